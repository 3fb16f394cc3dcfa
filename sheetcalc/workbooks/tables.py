"""Where tables and answers stand."""

from collections.abc import Iterator, Sequence

from sheetcalc.kinds import COUNT, TEXT
from sheetcalc.workbooks.declare import FLAG, Answer, Item, Ruled, Table, Value
from sheetcalc.workbooks.grid import Grid
from sheetcalc.workbooks.page import SEVERAL_WIDTH, USUAL_WIDTH, Page, Plan
from sheetcalc.workbooks.refs import Cells, Here, Place
from sheetcalc.workbooks.style import side, unit_words

NUMBER_WIDTH = 6  # of the column of row numbers
LONG_TABLE = 12  # rows from which on the head is repeated on every printed page
WRITTEN_WIDTH, WRITTEN_HEIGHT = 10, 21.0  # of cells to write into by hand
LINE, MARGIN = 12.5, 4.0  # of rows with several lines, in points


def place_table(plan: Plan, page: Page, block: Table) -> None:
    """Place a table: title, head, rows, and the column that says which rows are in use."""
    for item in block.columns:
        if item.default is not None:
            raise ValueError(f"{item.handle}: a default stands in a line, not in a table")
    grid = plan.grids[block.handle]
    names_itself = not grid.rows and names_rows(block.columns[0])
    filled = None if block.like else _filled(block, names_itself)
    columns = (*block.columns, filled) if filled else block.columns
    if grid.rows or names_itself:
        page.need_label(1, (row.label for row in grid.rows))
    else:
        page.need(1, NUMBER_WIDTH)
    _place_head(plan, page, block.title, columns, 1 if names_itself else 2)
    labels = page.cells(page.row, 1, grid.count)
    if not names_itself:
        _place_labels(page, labels, [row.label for row in grid.rows] or range(1, grid.count + 1))
    column = 1 if names_itself else 2
    for item in columns:
        cells = page.cells(page.row, column, grid.count, item.cells)
        _place_column(plan, page, item, cells, grid, guarded=item is not filled)
        in_table = Place(cells, item, lineage=grid.lineage, named=grid.named(), never_blank=item is filled)
        plan.record(item.handle, in_table)
        column += item.cells
    body = page.cells(page.row, 1, grid.count, column - 1)
    plan.record(block.handle, Place(body, lineage=grid.lineage, named=grid.named()))
    if not block.like and not filled:  # every row is in use, as its name says
        plan.record(
            _filled_handle(block), Place(labels, lineage=grid.lineage, named=grid.named(), never_blank=True)
        )
    page.row += grid.count


def place_answer(plan: Plan, page: Page, block: Answer) -> None:
    """Place an answer: title, head, and one array, or one below the other for each row of a table."""
    for item in block.columns:
        if item.cells > 1:
            raise ValueError(f"{item.handle}: a column of an answer has one cell in a row")
    grid = plan.grids[block.handle]
    above = plan.grids[block.like] if block.like else None
    page.need(1, NUMBER_WIDTH)
    _place_head(plan, page, block.title, block.columns, 2, word="result")
    _place_labels(
        page,
        page.cells(page.row, 1, grid.count),
        [row // block.rows + 1 if above else row + 1 for row in range(grid.count)],
    )
    body = page.cells(page.row, 2, grid.count, len(block.columns))
    named = above.named(block.rows) if above else {}
    for column, item in enumerate(block.columns):
        cells = body.part(0, grid.count, column, 1)
        for row in range(grid.count):
            page.show(cells.part(row, 1, 0, 1), "Table result", None, item)
        plan.record(item.handle, Place(cells, item, lineage=grid.lineage, named=named))
    plan.record(block.handle, Place(body, lineage=grid.lineage, named=named))
    for row in range(grid.count // block.rows):
        array = body.part(row * block.rows, block.rows, 0, len(block.columns))
        here = above.here(page.sheet.title, row + 1) if above else Here(page.sheet.title)
        page.show(array, "Table result", block.formula, block.columns[0], here)
    page.row += grid.count


def place_ruled(page: Page, block: Ruled) -> None:
    """Place empty rows to write on by hand."""
    page.title(block.title)
    if block.heads:
        lines = 1
        for column, words in enumerate(block.heads, 1):
            page.need(column, WRITTEN_WIDTH)
            page.put(page.row, column, "Table head", words)
            lines = max(lines, len(page.wrapped(words, "Table head", column, column)))
        page.heights[page.row] = LINE * lines + MARGIN
        page.row += 1
    labels = [""] * block.rows if isinstance(block.rows, int) else block.rows
    page.need_label(1, labels)
    for label in labels:
        if block.heads:
            for column in range(1, len(block.heads) + 1):
                page.put(page.row, column, "Table item")
        else:
            page.band(page.row, "Line item")
        page.put(page.row, 1, "Table item" if block.heads else "Line item", label or None)
        page.heights[page.row] = WRITTEN_HEIGHT
        page.row += 1


def names_rows(item: Item) -> bool:
    """Whether a table's first item tells its rows apart, so that they need no numbers."""
    return item.cells == 1 and item.kind in (TEXT, COUNT)


def _filled_handle(block: Table) -> str:
    return f"{block.handle}_filled"


def _filled(block: Table, names_itself: bool) -> Item | None:
    # The column that says which rows are in use; None where all are.
    needed = [item for item in block.columns if item.needed]
    if not needed and names_itself:
        needed = [block.columns[0]]
    tests = [
        f'{{{item.handle}?}}<>""' if item.cells == 1 else f"COUNTA({{{item.handle}:?}})>0" for item in needed
    ]
    test = f"AND({','.join(tests)})" if len(tests) > 1 else "".join(tests)
    test = block.filled.removeprefix("=") or test
    formula = test and f"=N({test})"
    return Item(handle=_filled_handle(block), label="In use", kind=FLAG, formula=formula) if formula else None


def _place_head(
    plan: Plan, page: Page, title: str, columns: Sequence[Item], column: int, word: str = ""
) -> None:
    page.title(title)
    page.repeated = page.row
    if column > 1:
        page.put(page.row, 1, "Table head")
    most = 1
    for item in columns:
        told = "" if page.sheet.paper else word or _word(item)
        for words in _heads(item, plan.system, told):
            page.need(column, item.width or (USUAL_WIDTH if item.cells == 1 else SEVERAL_WIDTH))
            style = "Table head"
            page.put(page.row, column, style, words, "left" if page.at_left(column, style) else side(item))
            most = max(
                most,
                sum(len(page.wrapped(line, "Table head", column, column)) for line in words.splitlines()),
            )
            column += 1
    page.heights[page.row] = LINE * most + MARGIN
    page.row += 1


def _word(item: Item) -> str:
    return "result" if item.formula else "needed entry" if item.needed else "entry"


def _heads(item: Item, system: str, word: str) -> Iterator[str]:
    below = "\n" + ", ".join(part for part in (unit_words(item, system), word) if part)
    for place in range(item.cells):
        over = item.heads[place] if item.heads else str(place + 1) if item.cells > 1 else ""
        yield f"{item.label} {over}".strip() + below.rstrip()


def _place_labels(page: Page, cells: Cells, labels: Sequence[str] | Sequence[int]) -> None:
    for row, label in enumerate(labels, cells.row):
        page.put(row, cells.column, "Table item", label)


def _place_column(plan: Plan, page: Page, item: Item, cells: Cells, grid: Grid, *, guarded: bool) -> None:
    for row in range(grid.count):
        own = grid.rows[row].cells if grid.rows else None
        content = own[item.handle] if own and item.handle in own else item.formula
        is_entry = content == ""
        for place in range(item.cells):
            cell = cells.part(row, 1, place, 1)
            if is_entry:
                plan.enter(page, cell, "Table entry", item)
            else:
                style = _style(page, cell, content)
                here = grid.here(cell.sheet, row + 1, place + 1, item.cells)
                page.show(cell, style, content, item, here, guarded=guarded)


def _style(page: Page, cell: Cells, content: Value) -> str:
    # Words that do not fit on a line get more of them; how much a formula will say is not known.
    if isinstance(content, str) and not content.startswith("="):
        lines = len(page.wrapped(content, "Table words", cell.column, cell.column))
        if lines > 1:
            page.heights[cell.row] = max(LINE * lines + MARGIN, page.heights.get(cell.row, 0.0))
            return "Table words"
    return "Table result"
