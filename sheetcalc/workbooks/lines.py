"""Where lines and texts stand."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from sheetcalc.kinds import LENGTH, TEXT
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Side, Text
from sheetcalc.workbooks.page import LABEL_WIDTH, SEVERAL_WIDTH, USUAL_WIDTH, Page, Plan
from sheetcalc.workbooks.refs import Here, Place
from sheetcalc.workbooks.style import HEIGHTS, STATED, side, unit_words

RIGHT_BLOCK = 7  # column in which the right one of two blocks begins
BETWEEN_WIDTH = 3  # of the column between them
IF_BLANK_WIDTH = 14
TITLE_SHARE = 1.0  # letters of a title in a column one letter wide
_WORDS = Item(handle="", label="")  # plain words, in no item


def place_text(page: Page, block: Text) -> None:
    """Place sentences, one below the other, each on as many rows as it takes."""
    style = f"Text {block.style}"
    for line in block.lines:
        is_formula = line.startswith("=") and "{" in line
        for part in [line] if is_formula else page.wrapped(line, style, 1):
            if is_formula:
                page.show(page.cells(page.row, 1), style, part, _WORDS)
            else:
                page.put(page.row, 1, style, part)
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
    below = _is_long(page, block.left, 1) or _is_long(page, block.right, RIGHT_BLOCK)
    place_lines(plan, page, block.left, last=RIGHT_BLOCK - 2, below=below)
    left_end, page.row = page.row, start
    place_lines(plan, page, block.right, first=RIGHT_BLOCK, below=below)
    page.row = max(page.row, left_end)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Columns of a block: the same everywhere, save where several cells or another block take the room."""

    label: int
    several: int
    entries: bool
    last: int

    @property
    def unit(self) -> int:
        return self.label + self.several + 1

    @property
    def if_blank(self) -> int:
        return self.unit + 1

    @property
    def used(self) -> int:
        return self.unit + 2

    @property
    def note(self) -> int:
        if self.several > 1:
            return self.unit + 1 + self.entries
        return self.unit + 1 if self.label > 1 else self.unit + 3


def place_lines(
    plan: Plan, page: Page, block: Lines, first: int = 1, last: int = 0, *, below: bool = False
) -> None:
    """Place lines in the columns from `first` on; a block that ends at `last` has no room for notes.

    Heads stand below the title, not beside it, if `below` says so or the title is long.
    """
    several = max(item.cells for item in block.items)
    columns = _Columns(first, several, any(not item.formula for item in block.items), last)
    _need_widths(page, block, columns)
    _place_heads(plan, page, block, columns, below=below or _is_long(page, block, first))
    top = page.row
    for item in block.items:
        _place_line(plan, page, item, columns)
    if block.handle:
        plan.record(block.handle, Place(page.cells(top, first, page.row - top, columns.unit - first + 1)))


def _need_widths(page: Page, block: Lines, columns: _Columns) -> None:
    page.need_label(columns.label, (item.label for item in block.items))
    for column in range(columns.unit, columns.note):
        page.need(column, IF_BLANK_WIDTH if columns.entries and column == columns.if_blank else USUAL_WIDTH)
    usual = USUAL_WIDTH if columns.several == 1 else SEVERAL_WIDTH
    for item in block.items:
        for place in range(1, item.cells + 1):
            page.need(columns.label + place, item.width or usual)


def _is_long(page: Page, block: Lines, column: int) -> bool:
    # Whether heads beside the title would cut it off.
    return len(block.title) > TITLE_SHARE * page.room.get(column, LABEL_WIDTH)


def _place_heads(plan: Plan, page: Page, block: Lines, columns: _Columns, *, below: bool) -> None:
    page.title(block.title, columns.label, columns.last)
    if page.sheet.paper:
        return
    row = page.row - 1
    if below:
        row = page.row
        page.band(row, "Block head", columns.label, columns.last)
        page.row += 1
    for column, words in enumerate(_over_values(block, columns.several), columns.label + 1):
        page.put(row, column, "Block head", words, side="right")
    if any(unit_words(item, plan.system) for item in block.items):
        page.put(row, columns.unit, "Block head", "Unit")
    if columns.entries:
        page.put(row, columns.if_blank, "Block head", "If blank")
    if any(_used(item, plan.system) for item in block.items):
        page.put(row, columns.used, "Block head", "Used", side="right")
    if not columns.last and any(item.note for item in block.items):
        page.put(row, columns.note, "Block head", "Note")


def _over_values(block: Lines, several: int) -> Iterable[str]:
    found = {item.heads for item in block.items if item.cells == several and item.heads}
    if len(found) > 1:
        raise ValueError(f"{block.title}: its items have different heads")
    if several == 1:
        return ("Value",) if any(side(item) == "right" for item in block.items) else ()
    return found.pop() if found else map(str, range(1, several + 1))


def _place_line(plan: Plan, page: Page, item: Item, columns: _Columns) -> None:
    row = page.row
    page.band(row, "Line item", columns.label, columns.last)
    page.put(row, columns.label, "Line item", item.label)
    page.put(row, columns.unit, "Line words", unit_words(item, plan.system) or None)  # "" would cut words off
    note = "" if columns.last else item.note
    if not item.formula and item.default is None:
        words = "needed" if item.needed else "may stay blank"
        if item.kind == TEXT and not item.choices and columns.several == 1 and not columns.last:
            # what is typed here runs on over the next columns, so the words go to the note
            note = f"{words.capitalize()}. {note}".strip()
        else:
            page.put(row, columns.if_blank, "Line needed" if item.needed else "Line words", words)
    _place_values(plan, page, item, columns)
    for place, part in enumerate(page.wrapped(note, "Line words", columns.note) if note else ()):
        page.put(row + place, columns.note, "Line more" if place else "Line words", part)
        page.row = row + place
    page.row += 1


def _place_values(plan: Plan, page: Page, item: Item, columns: _Columns) -> None:
    cells = page.cells(page.row, columns.label + 1, 1, item.cells)
    for place in range(item.cells):
        cell = cells.part(0, 1, place, 1)
        if item.formula:
            here = Here(cell.sheet, j=place + 1, cells=item.cells)
            page.show(cell, "Line result", item.formula, item, here)
        else:
            plan.enter(page, cell, "Line entry", item)
    found, shown_as = Place(cells, item), item
    if item.default is not None:
        given, used = page.cells(page.row, columns.if_blank), page.cells(page.row, columns.used)
        if item.kind is LENGTH:
            shown_as = replace(item, kind=STATED)
        page.show(given, "Line words", item.default, shown_as)
        found = replace(found, given=given, used=used, never_blank=True)
    elif plan.system == "us":
        shown_as = replace(item, kind=WORDED)  # feet and inches, in words
    if formula := _used(item, plan.system):
        page.show(page.cells(page.row, columns.used), "Line result", formula, shown_as)
    plan.record(item.handle, found)


def _used(item: Item, system: str) -> str:
    # What stands in the "used" cell: the entry or its default, and a typed length as it is read.
    if item.used or item.formula or item.cells > 1:
        return item.used
    if item.default is not None:
        used = f'IF({{{item.handle}!}}="",{{{item.handle}@}},{{{item.handle}!}})'
        return f"=READ_LENGTH({used})" if item.kind.typed else f"={used}"
    if item.kind.typed:
        return f"={'FEET_INCHES' if system == 'us' else 'READ_LENGTH'}({{{item.handle}}})"
    return ""
