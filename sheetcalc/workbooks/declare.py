"""The words in which a workbook is declared; build.py turns them into a file.

A sheet module says what stands on a sheet, never where: the builder places the blocks, writes the references,
guards, names, styles and print set-up.

References in formulas
----------------------
``{gap}``
    The cell of that item: the one cell of a line, or this row's cell of an aligned table. An entry with a
    default is read through its "used" cell. An item of several cells gives this row's stretch of cells, but
    in the formula of an item with as many cells it gives the cell of the same place. A column of an answer
    with several rows for each row of a table gives, in a row of that table, the stretch that belongs to it.
``{gap:}``
    All cells of that item in this row, also between items with as many cells.
``{gap[]}``
    The whole column (for several cells, or the handle of a table or answer: the whole block).
``{buy.primer}``, ``{face.2}``
    One row of a table by name or number; one cell of a line with several cells by number.
``{gap?}``
    The same cell without a guard: blank is an answer here. Goes with all of the above.
``{gap!}``
    The entry cell itself, blank or not, of an entry with a default; never guarded.
``{n}``, ``{j}``
    Number of this row in its table; place of this cell in its item.

Guards: a result is blank while any single cell it refers to is blank, and while a stretch of cells it refers
to is wholly blank. An error is not blank, so it comes through. Whole columns are not guarded, nor what ROWS
or COLUMNS counts.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from sheetcalc.kinds import TEXT, Kind

CHECK = Kind("check")  # a result that reads "ok", or says what is wrong
FLAG = Kind("flag")  # 1 for yes, 0 for no: its formula gives a number, such as =N(…)
DATE = Kind("date")
AS_TYPED = Kind("words as typed")  # 1/4 or 5%, of which a program else makes a date or another number
WORDED = Kind("worded length", "in", "mm")  # a length in words, as the rule shows it: 3 1/8 or 79.5

Value = float | str | bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line, or one column of a table.

    Parameters
    ----------
    handle : str
        Its name in formulas, in the file's defined names and on the command line; lower case, neither
        cell-like nor the name of a cell function.
    label : str
        What a person reads.
    kind : Kind
        What the number means; gives unit, format and validation.
    formula : str
        "" makes it an entry, a text that begins with "=" a result.
    note : str
        One sentence beside a line; for a column, shown when its entry is selected.
    cells : int
        Cells side by side, for the readings of one ceiling or for choices to compare.
    heads : tuple of str
        One word over each of several cells.
    choices : tuple of str
        The words an entry may hold.
    needed : bool
        An entry that the price cannot do without.
    default : Value
        Taken while an entry line is blank; stands in its own cell, with a "used" cell beside it.
    per : Kind, optional
        Unit below the line: money per area.
    unit : str
        A unit in words, where the kind has none ("per board").
    used : str
        Formula of the "used" cell of an entry without a default, where what counts may stand elsewhere.
    width : int
        Characters wide, where the kind's usual width does not do.
    """

    handle: str
    label: str
    kind: Kind = TEXT
    formula: str = ""
    note: str = ""
    cells: int = 1
    heads: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    needed: bool = False
    default: Value = None
    per: Kind | None = None
    unit: str = ""
    used: str = ""
    width: int = 0


@dataclass(frozen=True, slots=True)
class Text:
    """Sentences down the page, each on as many rows as it takes.

    Parameters
    ----------
    lines : tuple of str
        The sentences; one that begins with "=" and holds a reference is a formula on one row.
    style : str
        "plain", "head", "caution" or "paper" (large, for the owner).
    """

    lines: tuple[str, ...]
    style: str = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Items one below the other: item, value, unit, if blank, used, note.

    Lines with several cells stand in a block of their own: item, its cells, unit, if blank, note.
    """

    title: str
    items: tuple[Item, ...]
    handle: str = ""  # names the block from the first label to the last unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """Two blocks of lines side by side: one screen.

    Entries stand on the left; their notes are shown when the entry is selected.
    """

    left: Lines
    right: Lines


@dataclass(frozen=True, slots=True)
class Row:
    """A named row of a table; `cells` holds what differs there.

    That is a constant, None for an empty cell, a formula beginning with "=", or "" for an entry. Keys are
    columns of the table or of one like it.
    """

    handle: str
    label: str
    cells: Mapping[str, Value] = field(default_factory=dict[str, Value])


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under one header row.

    Parameters
    ----------
    handle : str
        Its name; the file gets a defined name ``<handle>_filled`` for the column that says which rows are in
        use.
    title : str
        Heading.
    columns : tuple of Item
        One formula (or none: entries) a column.
    rows : int or tuple of Row
        How many, or which. With named rows the labels stand in the first column; a column's formula applies
        where the row has no cell of its own. Other rows are told apart by the first column, if it is words or
        a count, or are numbered.
    like : str
        Handle of the table or answer whose rows these are, one for one.
    filled : str
        Formula beginning with "=" that tells whether a row is in use, itself never guarded; without it a row
        is in use when its needed entries are there, or if it has none, when its first column names it. Not
        for `like` tables. Formulas refer to it as ``{<handle>_filled}``.
    printed : bool
        False for one at the end of a sheet that stays off paper, as answers there do.
    """

    handle: str
    title: str
    columns: tuple[Item, ...]
    rows: int | tuple[Row, ...] = 0
    like: str = ""
    filled: str = ""
    printed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A table function's answer as one fixed array formula.

    Parameters
    ----------
    handle : str
        Its name; each column has a handle of its own.
    title : str
        Heading.
    columns : tuple of Item
        The answer's columns in order (their formulas are not used).
    rows : int
        Rows of the array.
    formula : str
        Begins with "="; guarded like any result.
    like : str
        Handle of a table: one array below the other for each of its rows (``{n}`` and aligned references
        work), with `rows` rows each.
    """

    handle: str
    title: str
    columns: tuple[Item, ...]
    rows: int
    formula: str
    like: str = ""


Line = Literal["plain", "bold", "dash", "dots", "fine", "marks", "specks"]
"""How a line is drawn: never told apart by colour alone. Of marks and specks only the points are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One series of a chart; references are those of formulas, each to cells side by side on one sheet.

    Parameters
    ----------
    label : str
        What it shows.
    values : str
        Reference to its values, such as ``{price_of[]}``.
    across : str
        In a scatter chart, reference to where its points stand across.
    line : str
        In a scatter chart, how its line is drawn.
    """

    label: str
    values: str
    across: str = ""
    line: Line = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """Empty rows to write on by hand; no entries, and no names in the file.

    Parameters
    ----------
    title : str
        Heading.
    rows : int or tuple of str
        How many, or the words that stand first in each.
    heads : tuple of str
        Words over the columns, the first column's among them; without any, each row is one long line.
    """

    title: str
    rows: int | tuple[str, ...]
    heads: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A native chart on rows of its own, fed by cells, so that it follows them in every program.

    Parameters
    ----------
    title : str
        Heading.
    words : str
        What it shows, for whoever hears the page instead of seeing it.
    series : tuple of Series
        What is drawn.
    kind : str
        "column" or "bar" (bars lie, for long names; the first on top) beside names, or "scatter".
    names : str
        Reference to the names of the columns or bars.
    unit : str
        Title of the axis of values.
    wide, high : float
        Size in inches; no wider than the columns of its page.
    frame : float
        Makes a scatter chart a drawing to scale, without axes: 0 to 1 across, 0 to this height up.
    from_zero : bool
        Columns or bars begin at 0, so that their heights compare.
    """

    title: str
    words: str
    series: tuple[Series, ...]
    kind: Literal["column", "bar", "scatter"] = "column"
    names: str = ""
    unit: str = ""
    wide: float = 7.0
    high: float = 3.5
    frame: float = 0.0
    from_zero: bool = False


Block = Text | Lines | Side | Table | Answer | Ruled | Chart


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet.

    Parameters
    ----------
    title : str
        One word, on the tab.
    holds : str
        One sentence below the title.
    blocks : tuple of Block
        From top to bottom.
    landscape : bool
        Paper across.
    columns : int
        Columns of the printed page.
    locked : bool
        Formulas locked without password.
    one_page : bool
        Printed on a single page, however small.
    head : bool
        Shows title, sentence and the state of the checks above the blocks; the owner's page does without.
    paper : bool
        Handed out to a reader: nothing is typed on it, and no head speaks of entries, results or values.
    """

    title: str
    holds: str
    blocks: tuple[Block, ...]
    landscape: bool = False
    columns: int = 9
    locked: bool = False
    one_page: bool = False
    head: bool = True
    paper: bool = False
