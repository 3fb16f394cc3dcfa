"""Where everything stands: sheets as declared become pages of cells."""

import math
from collections.abc import Mapping, Sequence

from sheetcalc.workbooks.declare import (
    CHECK,
    Answer,
    Block,
    Chart,
    Item,
    Lines,
    Ruled,
    Sheet,
    Side,
    Table,
    Text,
)
from sheetcalc.workbooks.grid import grids
from sheetcalc.workbooks.lines import place_lines, place_side, place_text
from sheetcalc.workbooks.page import Page, Plan
from sheetcalc.workbooks.paper import CHARACTER, INCH
from sheetcalc.workbooks.style import HEIGHTS, ROW_HEIGHT
from sheetcalc.workbooks.tables import LONG_TABLE, place_answer, place_ruled, place_table

STATE = "state"  # handle of the item that the head of every sheet shows
LONGEST_LIST = 255  # characters of words that a validation can hold itself


def lay_out(sheets: Sequence[Sheet], system: str = "us") -> Plan:
    """Give everything its place.

    Parameters
    ----------
    sheets : sequence of Sheet
        In the order of their tabs.
    system : str
        "us" or "metric".

    Returns
    -------
    Plan
        Pages with what stands in their cells, formulas as declared.

    Raises
    ------
    ValueError
        The declaration contradicts itself.
    """
    blocks = [block for sheet in sheets for block in sheet.blocks]
    items = [item for sheet in sheets for item in _items(sheet)]
    for item in items:
        _check(item)
    for sheet in sheets:
        if sheet.paper and (typed := [item.handle for item in _items(sheet) if not item.formula]):
            raise ValueError(f"{sheet.title} is a paper, but {', '.join(typed)} are typed on it")
    rows = grids(block for block in blocks if isinstance(block, (Table, Answer)))
    # Where a long note breaks depends on the widths of all columns: a first round finds them.
    rooms: list[Mapping[int, float]] = [{} for _ in sheets]
    rooms = [page.widths for page in _round(sheets, rooms, Plan(system, rows), items).pages]
    return _round(sheets, rooms, Plan(system, rows), items)


def items_of(block: Block) -> tuple[Item, ...]:
    """List the items of a block."""
    match block:
        case Text() | Ruled() | Chart():
            return ()
        case Lines():
            return block.items
        case Side():
            return block.left.items + block.right.items
        case _:
            return block.columns


def _items(sheet: Sheet) -> list[Item]:
    return [item for block in sheet.blocks for item in items_of(block)]


def fits_validation(words: Sequence[str]) -> bool:
    """Whether a validation can hold these words itself."""
    return len(",".join(words)) <= LONGEST_LIST and not any("," in word for word in words)


def _check(item: Item) -> None:
    problems = {
        "a formula begins with =": item.formula and not item.formula.startswith("="),
        "it has at least one cell": item.cells < 1,
        "its heads are as many as its cells": item.heads and len(item.heads) != item.cells,
        "choices, needed and default are for entries": item.formula
        and (item.choices or item.needed or item.default is not None),
        "a needed entry has no default": item.needed and item.default is not None,
        "a default is a value of one cell": item.default is not None
        and (item.cells > 1 or str(item.default).startswith("=")),
    }
    for rule, broken in problems.items():
        if broken:
            raise ValueError(f"{item.handle}: {rule}")


def _round(
    sheets: Sequence[Sheet], rooms: Sequence[Mapping[int, float]], plan: Plan, items: Sequence[Item]
) -> Plan:
    has_state = any(item.handle == STATE for item in items)
    for sheet, room in zip(sheets, rooms, strict=True):
        page = Page(sheet, room)
        plan.pages.append(page)
        if sheet.head:
            _place_head(page, has_state)
        for block in sheet.blocks:
            if sheet is sheets[-1] and block is sheet.blocks[-1]:
                _place_lists(plan, page, items)
            _place_block(plan, page, block)
    return plan


def _place_head(page: Page, has_state: bool) -> None:
    page.band(1, "Sheet title")
    page.put(1, 1, "Sheet title", page.sheet.title)
    page.heights[1] = HEIGHTS["Sheet title"]
    page.put(2, 1, "Sheet sentence", page.sheet.holds or None)
    if has_state:
        page.show(page.cells(3, 1), "Sheet state", f"={{{STATE}}}", Item(handle="", label="", kind=CHECK))
    page.top = 4 if has_state else 3
    page.row = page.top + 1


def _place_block(plan: Plan, page: Page, block: Block) -> None:
    page.repeated = 0
    start = page.row
    match block:
        case Text():
            place_text(page, block)
        case Lines():
            place_lines(plan, page, block)
        case Side():
            place_side(plan, page, block)
        case Table():
            place_table(plan, page, block)
        case Ruled():
            place_ruled(page, block)
        case Chart():
            _place_chart(page, block)
        case _:
            place_answer(plan, page, block)
    if not (isinstance(block, Answer) or (isinstance(block, Table) and not block.printed)):
        page.printed = page.row
    if page.repeated and len(page.sheet.blocks) == 1:
        page.top = page.repeated + 1
    if page.row - page.repeated <= LONG_TABLE:
        page.repeated = 0
    is_headline = isinstance(block, Text) and block.style == "head"
    page.end_block(start, goes_on=is_headline)


def _place_chart(page: Page, block: Chart) -> None:
    width = sum(page.width(column) for column in range(1, page.last_column + 1)) * CHARACTER / INCH
    if page.room and block.wide > width:
        raise ValueError(f"{block.title}: wider than the {width:.1f} in of its page")
    page.title(block.title)
    page.charts.append((block, page.cells(page.row, 1)))
    page.row += math.ceil(block.high * INCH / ROW_HEIGHT)


def _place_lists(plan: Plan, page: Page, items: Sequence[Item]) -> None:
    # Words to choose from that are too many for a validation; before the last block, which may be a long one.
    lists = {item.choices: item.label for item in items if not fits_validation(item.choices)}
    if not lists:
        return
    start = page.row
    page.title("Words to choose from")
    for column, (words, label) in enumerate(lists.items(), 1):
        page.need(column, max(map(len, words)))
        page.put(page.row, column, "Table head", label)
        for row, word in enumerate(words, page.row + 1):
            page.put(row, column, "Table item", word)
        plan.lists[words] = page.cells(page.row + 1, column, len(words))
    page.row += max(map(len, lists)) + 1
    page.end_block(start)
