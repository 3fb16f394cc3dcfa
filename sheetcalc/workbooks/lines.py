"""Where lines and texts stand."""

from collections.abc import Iterator
from dataclasses import replace

from sheetcalc.kinds import TEXT
from sheetcalc.workbooks.declare import Item, Lines, Side, Text
from sheetcalc.workbooks.page import LABEL_WIDTH, SEVERAL_WIDTH, USUAL_WIDTH, Page, Plan
from sheetcalc.workbooks.refs import Here, Place
from sheetcalc.workbooks.style import HEIGHTS, unit_words

RIGHT_BLOCK = 7  # column in which the right one of two blocks begins
BETWEEN_WIDTH = 3  # of the column between them
_WORDS = Item(handle="", label="")  # plain words, in no item


def place_text(page: Page, block: Text) -> None:
    """Place sentences, one below the other, each on as many rows as it takes."""
    style = f"Text {block.style}"
    for line in block.lines:
        for part in [line] if line.startswith("=") else page.wrapped(line, style):
            page.show(page.cells(page.row, 1), style, part, _WORDS)
            if style in HEIGHTS:
                page.heights[page.row] = HEIGHTS[style]
            page.row += 1


def place_side(plan: Plan, page: Page, block: Side) -> None:
    """Place two blocks of lines side by side: entries on the left, answers on the right."""
    if any(item.cells > 1 for item in block.left.items + block.right.items):
        raise ValueError(f"{block.left.title}: no room for several cells in blocks side by side")
    if any(not item.formula for item in block.right.items):
        raise ValueError(f"{block.right.title}: entries stand in the block on the left")
    page.need(RIGHT_BLOCK - 1, BETWEEN_WIDTH)
    start = page.row
    place_lines(plan, page, block.left, last=RIGHT_BLOCK - 2)
    left_end, page.row = page.row, start
    place_lines(plan, page, block.right, first=RIGHT_BLOCK)
    page.row = max(page.row, left_end)


def place_lines(plan: Plan, page: Page, block: Lines, first: int = 1, last: int = 0) -> None:
    """Place lines in the columns from `first` on; one that ends at `last` has no room for notes."""
    several = max(item.cells for item in block.items)
    has_entries = any(not item.formula for item in block.items)
    unit = first + several + 1
    if_blank, used = unit + 1, unit + 2
    # The columns are the same everywhere, save where several cells or a block on the left take the room.
    note = unit + 1 + has_entries if several > 1 else unit + 1 if first > 1 else used + 1
    _need_widths(page, block, first, unit, note)

    top = page.row
    page.title(block.title, first, last)
    heads = {unit: "Unit"}
    if has_entries:
        heads[if_blank] = "If blank"
    if any(_used(item, plan.system) for item in block.items):
        heads[used] = "Used"
    if not last and any(item.note for item in block.items):
        heads[note] = "Note"
    for column, words in heads.items():
        page.put(top, column, "Block head", words, side="right" if words == "Used" else "left")
    for column, words in enumerate(_heads(block, several), first + 1):
        page.put(top, column, "Block head", words, side="right")

    for item in block.items:
        row = page.row
        page.band(row, "Line item", first, last)
        style = "Line words"
        for words in page.wrapped(item.note, style, note) if item.note and not last else [""]:
            if words:
                page.put(page.row, note, style, words)
            style = "Line more"
            page.row += 1
        page.put(row, first, "Line item", item.label)
        page.put(row, unit, "Line words", unit_words(item, plan.system))
        if item.default is None and not item.formula:
            page.put(row, if_blank, *_must(item))
        _place_values(plan, page, item, row, first + 1, if_blank, used)
    if block.handle:
        plan.record(block.handle, Place(page.cells(top + 1, first, page.row - top - 1, unit - first + 1)))


def _need_widths(page: Page, block: Lines, first: int, unit: int, note: int) -> None:
    page.need(first, LABEL_WIDTH)
    for column in range(unit, note):
        page.need(column, USUAL_WIDTH)
    for item in block.items:
        usual = USUAL_WIDTH if unit == first + 2 else SEVERAL_WIDTH
        for column in range(first + 1, first + 1 + item.cells):
            page.need(column, item.width or usual)


def _heads(block: Lines, several: int) -> Iterator[str]:
    found = {item.heads for item in block.items if item.cells == several and item.heads}
    if len(found) > 1:
        raise ValueError(f"{block.title}: its items have different heads")
    if several == 1:
        return iter(("Value",))
    return iter(found.pop() if found else map(str, range(1, several + 1)))


def _must(item: Item) -> tuple[str, str]:
    return ("Line needed", "needed") if item.needed else ("Line words", "may stay blank")


def _used(item: Item, system: str) -> str:
    # What stands in the "used" cell: the entry or its default, and a typed length as it is read.
    if item.formula or item.cells > 1:
        return ""
    if item.default is not None:
        used = f'IF({{{item.handle}!}}="",{{{item.handle}@}},{{{item.handle}!}})'
        return f"=READ_LENGTH({used})" if item.kind.typed else f"={used}"
    if item.kind.typed:
        return f"={'FEET_INCHES' if system == 'us' else 'READ_LENGTH'}({{{item.handle}}})"
    return ""


def _place_values(
    plan: Plan, page: Page, item: Item, row: int, column: int, if_blank: int, used: int
) -> None:
    cells = page.cells(row, column, 1, item.cells)
    for place in range(item.cells):
        cell = cells.part(0, 1, place, 1)
        if item.formula:
            here = Here(cell.sheet, j=place + 1, cells=item.cells)
            page.show(cell, "Line result", item.formula, item, here)
        else:
            plan.enter(page, cell, "Line entry", item)
    found, shown_as = Place(cells, item), item
    if item.default is not None:
        given, reads = page.cells(row, if_blank), page.cells(row, used)
        page.show(given, "Line words", item.default, item)
        found = replace(found, given=given, used=reads, never_blank=True)
    elif plan.system == "us":
        shown_as = replace(item, kind=TEXT, unit="in")  # feet and inches, in words
    if formula := _used(item, plan.system):
        page.show(page.cells(row, used), "Line result", formula, shown_as)
    plan.record(item.handle, found)
