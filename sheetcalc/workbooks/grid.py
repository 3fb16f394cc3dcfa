"""The rows of tables and answers, and which tables share them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sheetcalc.workbooks.declare import Answer, Row, Table
from sheetcalc.workbooks.refs import Here


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows of a table or an answer.

    Parameters
    ----------
    count : int
        How many.
    lineage : mapping of str to int
        The tables whose rows these are, each with the number of rows here for one of its rows: 1 for a table
        like it, more for an answer with several rows for each.
    rows : tuple of Row
        The named rows, if they have names.
    """

    count: int
    lineage: Mapping[str, int]
    rows: tuple[Row, ...] = ()

    def here(self, sheet: str, row: int, place: int = 1, cells: int = 1) -> Here:
        """Say where a formula stands: in which row, counted from 1, and at which place of its item."""
        rows = {table: (row - 1) // step + 1 for table, step in self.lineage.items()}
        return Here(sheet, rows, row, place, cells)

    def named(self, step: int = 1) -> dict[str, tuple[int, int]]:
        """Give first row, from 0, and number of rows of each named row, `step` rows for each."""
        return {row.handle: (place * step, step) for place, row in enumerate(self.rows)}


def grids(blocks: Iterable[Table | Answer]) -> dict[str, Grid]:
    """Find the rows of every table and answer, by handle.

    Raises
    ------
    ValueError
        A table is like one that is not there, or says something about its rows that contradicts it.
    """
    known = {block.handle: block for block in blocks}
    found: dict[str, Grid] = {}

    def grid(handle: str, asking: tuple[str, ...]) -> Grid:
        if handle not in found:
            if handle not in known:
                raise ValueError(f"{asking[-1]} is like {handle}, which is no table")
            if handle in asking:
                raise ValueError(f"{handle} is like itself")
            block = known[handle]
            found[handle] = _grid(block, grid(block.like, (*asking, handle)) if block.like else None)
        return found[handle]

    for handle in known:
        grid(handle, ())
    _check_cells(known, found)
    return found


def _grid(block: Table | Answer, like: Grid | None) -> Grid:
    if isinstance(block, Answer):
        if block.rows < 1:
            raise ValueError(f"{block.handle} has no rows")
        above = like or Grid(1, {})
        lineage = {table: step * block.rows for table, step in above.lineage.items()}
        return Grid(block.rows * above.count, {block.handle: 1} | lineage)
    if like:
        if block.rows or block.filled:
            raise ValueError(
                f"{block.handle} is like {block.like}: it has neither rows nor `filled` of its own"
            )
        return like
    rows = () if isinstance(block.rows, int) else block.rows
    count = block.rows if isinstance(block.rows, int) else len(rows)
    if count < 1:
        raise ValueError(f"{block.handle} has no rows")
    if len({row.handle for row in rows}) < len(rows):
        raise ValueError(f"{block.handle}: two rows have one name")
    return Grid(count, {block.handle: 1}, rows)


def _check_cells(blocks: Mapping[str, Table | Answer], found: Mapping[str, Grid]) -> None:
    # A row's own cells may stand in any table with these rows, and nowhere else.
    for handle, grid in found.items():
        columns = {
            item.handle
            for other, block in blocks.items()
            if found[other].rows is grid.rows and isinstance(block, Table)
            for item in block.columns
        }
        for row in grid.rows:
            if unknown := set(row.cells) - columns:
                raise ValueError(
                    f"{handle}: row {row.handle} has cells in {sorted(unknown)}, which are no columns"
                )
