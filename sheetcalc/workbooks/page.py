"""Pages of cells: what stands where, before anything is written."""

import re
import textwrap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.workbooks.declare import Chart, Item, Sheet, Value
from sheetcalc.workbooks.grid import Grid
from sheetcalc.workbooks.refs import Cells, Here, Place
from sheetcalc.workbooks.style import HEIGHTS, TEXT_SCALE, side

LABEL_WIDTH = 30
MOST_LABEL_WIDTH = 40
KEPT_ROWS = 6  # of a block: headline, title, head and a few rows stay on one printed page
USUAL_WIDTH = 12
SEVERAL_WIDTH = 10  # of each of several cells side by side

_HANDLE = re.compile(r"[a-z][a-z0-9_]*")
_CELL_LIKE = re.compile(r"[a-z]{1,3}\d+|r\d*(c\d*)?|c\d*")
_WORDS = {"n", "j", "true", "false"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """What stands in one cell, or in the cells of one array formula.

    Parameters
    ----------
    cells : Cells
        Where.
    style : str
        Name of its cell style.
    content : Value
        A value, or a formula as declared.
    item : Item, optional
        Gives the number format.
    side : str
        "left", "right" or "center".
    here : Here, optional
        Where its formula stands; None if it is none.
    guarded : bool
        Its formula is blank while something that it needs is blank.
    """

    cells: Cells
    style: str
    content: Value = None
    item: Item | None = None
    side: str = "left"
    here: Here | None = None
    guarded: bool = True


@dataclass(slots=True)
class Page:
    """One sheet, laid out.

    Parameters
    ----------
    sheet : Sheet
        As declared.
    room : mapping of int to float
        Widths of its columns, once they are known.
    spots : list of Spot
        What stands in its cells; of two in one cell the later one.
    widths : dict of int to float
        Width that each column needs.
    heights : dict of int to float
        Heights of rows, where they are not the usual ones.
    row : int
        The next row.
    top : int
        The first row that scrolls.
    repeated : int
        The row repeated on every printed page, or 0.
    printed : int
        The row after the last block that is printed: answers at the end of a sheet are shown by other sheets.
    blocks : list of (int, int)
        First row of each block, and the row before which no printed page ends within it.
    goes_on : bool
        The last block is the headline of the next one.
    charts : list of (Chart, Cells)
        Charts, each with the cell in which its upper left corner stands.
    """

    sheet: Sheet
    room: Mapping[int, float]
    spots: list[Spot] = field(default_factory=list[Spot])
    widths: dict[int, float] = field(default_factory=dict[int, float])
    heights: dict[int, float] = field(default_factory=dict[int, float])
    row: int = 1
    top: int = 1
    repeated: int = 0
    printed: int = 0
    blocks: list[tuple[int, int]] = field(default_factory=list[tuple[int, int]])
    goes_on: bool = False
    charts: list[tuple[Chart, Cells]] = field(default_factory=list[tuple[Chart, Cells]])

    @property
    def last_column(self) -> int:
        """Last column of the printed page."""
        return max((self.sheet.columns, *self.room))

    def cells(self, row: int, column: int, rows: int = 1, columns: int = 1) -> Cells:
        """Give a rectangle on this page."""
        return Cells(self.sheet.title, row, column, rows, columns)

    def put(self, row: int, column: int, style: str, content: Value = None, side: str = "left") -> None:
        """Put words, or an empty cell of some style."""
        self.spots.append(Spot(cells=self.cells(row, column), style=style, content=content, side=side))

    def band(self, row: int, style: str, first: int = 1, last: int = 0) -> None:
        """Style a row of empty cells, up to the last column of the page."""
        for column in range(first, (last or self.last_column) + 1):
            self.put(row, column, style)

    def title(self, words: str, first: int = 1, last: int = 0) -> None:
        """Put the title of a block into the next row."""
        self.band(self.row, "Block title", first, last)
        self.put(self.row, first, "Block title", words)
        self.heights[self.row] = HEIGHTS["Block title"]
        self.row += 1

    def end_block(self, start: int, *, goes_on: bool = False) -> None:
        """Leave a row free below a block; one that goes on is the headline of the next and keeps to it."""
        if not self.goes_on:
            self.blocks.append((start, min(start + KEPT_ROWS, self.row)))
        self.goes_on = goes_on
        self.row += not goes_on

    def show(
        self,
        cells: Cells,
        style: str,
        content: Value,
        item: Item,
        here: Here | None = None,
        *,
        guarded: bool = True,
    ) -> None:
        """Put a value or a formula that is no entry."""
        is_formula = isinstance(content, str) and content.startswith("=")
        self.spots.append(
            Spot(
                cells=cells,
                style=style,
                content=content,
                item=item,
                side="left" if self.at_left(cells.column, style) else side(item),
                here=(here or Here(cells.sheet)) if is_formula else None,
                guarded=guarded,
            )
        )

    def at_left(self, column: int, style: str) -> bool:
        """Whether what stands there begins a line of a paper, or follows its label: a reader looks for it."""
        return self.sheet.paper and (column == 1 or style == "Line result")

    def need_label(self, column: int, labels: Iterable[str]) -> None:
        """Make a column wide enough for labels, within reason."""
        longest = max((len(label) for label in labels), default=0)
        self.need(column, min(max(LABEL_WIDTH, longest), MOST_LABEL_WIDTH))

    def need(self, column: int, width: float) -> None:
        """Make a column at least so wide."""
        self.widths[column] = max(width, self.widths.get(column, 0))

    def width(self, column: int) -> float:
        """How wide a column is."""
        return self.room.get(column, USUAL_WIDTH)

    def wrapped(self, text: str, style: str, first: int, last: int = 0) -> list[str]:
        """Break a text into lines that fit between two columns, the last one of the page if none is given."""
        width = sum(self.width(column) for column in range(first, (last or self.last_column) + 1))
        return textwrap.wrap(text, max(8, int(width * TEXT_SCALE[style]) - 1)) or [""]


@dataclass(slots=True)
class Plan:
    """All pages, and where each handle stands.

    Parameters
    ----------
    system : str
        "us" or "metric".
    grids : mapping of str to Grid
        Rows of tables and answers by their handles.
    pages : list of Page
        In the order of the tabs.
    places : dict of str to Place
        Where each handle stands.
    entries : dict of (str, int, int) to Item
        The item of each entry cell, by sheet, row and column.
    lists : dict of tuple of str to Cells
        Where the words stand that are too many for a validation to hold.
    """

    system: str
    grids: Mapping[str, Grid]
    pages: list[Page] = field(default_factory=list[Page])
    places: dict[str, Place] = field(default_factory=dict[str, Place])
    entries: dict[tuple[str, int, int], Item] = field(default_factory=dict[tuple[str, int, int], Item])
    lists: dict[tuple[str, ...], Cells] = field(default_factory=dict[tuple[str, ...], Cells])

    def enter(self, page: Page, cells: Cells, style: str, item: Item) -> None:
        """Put an entry."""
        page.spots.append(Spot(cells=cells, style=style, item=item, side=side(item)))
        self.entries[next(iter(cells))] = item

    def record(self, handle: str, place: Place) -> None:
        """Note where a handle stands.

        Raises
        ------
        ValueError
            It is taken, or no name that a file may hold.
        """
        if not _HANDLE.fullmatch(handle):
            raise ValueError(f"{handle!r} is no handle: lower-case letters, digits and underscores")
        if _CELL_LIKE.fullmatch(handle) or handle in _WORDS:
            raise ValueError(f"{handle} looks like a cell or a word of formulas")
        if handle.upper() in REGISTRY:
            raise ValueError(f"{handle} is the name of a cell function, which a name in the file could hide")
        if handle in self.places:
            raise ValueError(f"two things are called {handle}")
        self.places[handle] = place
