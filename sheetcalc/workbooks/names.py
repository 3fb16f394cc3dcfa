"""What the names of a workbook hold, from the file alone: for a person who puts them into a form."""

from collections.abc import Iterable
from itertools import takewhile
from typing import NamedTuple

from sheetcalc.cells.values import Cell
from sheetcalc.workbooks.handles import Handles
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.sheet import Place, Sheet
from sheetcalc.xlsx.workbook import Workbook

_NO_UNITS = ("entry", "needed entry", "result")  # other words below a column's head
_MOST_ABOVE = 3  # rows between a column and its head
_SHOWN = 3  # values of a column that are told


class Named(NamedTuple):
    """A name of the workbook.

    Parameters
    ----------
    handle : str
        The name.
    label : str
        Words beside its cell or over its column.
    value : str
        What it holds now, in words.
    unit : str
        The unit as the sheet says it.
    cells : Area
        What it means.
    rows : tuple of str
        Names of single rows: ``order_buy.primer`` is row primer of order_buy.
    is_a : str
        "entry", "result", or "table" for a whole one.
    """

    handle: str
    label: str
    value: str
    unit: str
    cells: Area
    rows: tuple[str, ...]
    is_a: str


def names(book: Workbook, text: str = "") -> list[Named]:
    """List the names of a workbook in the order of its sheets, those of single rows with their columns.

    Parameters
    ----------
    book : Workbook
        The file.
    text : str, optional
        Only names with these words in the name or its label; case does not matter.
    """
    handles = Handles(book)
    known = set(handles)
    spelled = {name.name.lower(): name.name for name in book.names if not name.sheet}
    rows: dict[str, list[str]] = {}
    for name in known:
        column, dot, row = name.partition(".")
        if dot and column in known:
            rows.setdefault(column, []).append(row)
    titles = list(book.sheets)
    areas = {name: handles.area(name) for name in known}
    found = [
        _named(book, handles, spelled[name], cells, rows.get(name, []))
        for name, cells in areas.items()
        if "." not in name or name.partition(".")[0] not in known
    ]
    wanted = [
        one
        for one in found
        if all(word in f"{one.handle}\n{one.label}".lower() for word in text.lower().split())
    ]
    return sorted(wanted, key=lambda one: (titles.index(one.cells.sheet), *one.cells[1:3], -one.cells.size))


def words(book: Workbook, handles: Handles, name: str) -> tuple[str, str]:
    """Label and unit of a name, as its sheet says them; of a row of a table, the row and its column."""
    cells = handles.area(name)
    sheet = book.sheets[cells.sheet]
    if cells.top < cells.bottom:
        return (_title(sheet, cells), "") if handles.is_block(cells) else _over(sheet, cells)
    column = name.partition(".")[0].lower()
    if column == name.lower() or column not in set(handles):
        return _beside(sheet, cells)
    label, unit = _over(sheet, handles.area(column))
    return f"{_first([sheet.value(cells.top, 1)])}: {label}", unit


def _named(book: Workbook, handles: Handles, name: str, cells: Area, rows: list[str]) -> Named:
    label, unit = words(book, handles, name)
    in_order = sorted(rows, key=lambda row: handles.area(f"{name}.{row}").top)
    value = _held(book, handles, cells)
    return Named(name, label, value, unit, cells, tuple(in_order), _is_a(book, handles, cells))


def _is_a(book: Workbook, handles: Handles, cells: Area) -> str:
    """Tell what a name means; where cells of fixed words or figures stand, the head of their column tells."""
    sheet = book.sheets[cells.sheet]
    if cells.top < cells.bottom:
        if handles.is_block(cells):
            return "table"
        heads = (sheet.value(row, cells.left) for row in range(cells.top - 1, max(0, cells.top - 4), -1))
        for below in _first(heads).partition("\n")[2].split(", "):
            if below in _NO_UNITS:
                return below.rpartition(" ")[2]
    computed = {sheet.computed(*at) for row in cells.rows() for at in row}
    if len(computed) > 1 and cells.left < cells.right:
        return "table"
    return "result" if computed == {True} else "entry"


def _held(book: Workbook, handles: Handles, cells: Area) -> str:
    sheet = book.sheets[cells.sheet]

    def get(_: str, at: Place) -> Cell:
        return sheet.value(*at)

    def words(row: int) -> str:
        said = (
            shown(sheet.value(row, at), book.number_format(cells.sheet, row, at))
            for at in range(cells.left, cells.right + 1)
        )
        return " | ".join(said) if cells.left < cells.right else next(said)

    if cells.top == cells.bottom:
        return words(cells.top).strip("| ")
    used = handles.in_use([cells], get)
    high, wide = cells.bottom - cells.top + 1, cells.right - cells.left + 1
    if handles.is_block(cells):
        return f"{len(used)} of {high} rows, {wide} cells each"
    told = ", ".join(map(words, used[:_SHOWN])) + (", …" if len(used) > _SHOWN else "")
    return f"{len(used)} of {high} rows" + (f": {told}" if used else "")


def _beside(sheet: Sheet, cells: Area) -> tuple[str, str]:
    """Words to the left of a cell, and those right behind it."""
    before = _first(sheet.value(cells.top, column) for column in range(cells.left - 1, 0, -1))
    behind = sheet.value(cells.top, cells.right + 1)
    unit = "" if sheet.computed(cells.top, cells.right + 1) else behind
    return before, unit if isinstance(unit, str) else ""


def _over(sheet: Sheet, cells: Area) -> tuple[str, str]:
    """Words over a column, and the unit on their second line; what the heads of several columns share."""
    above = range(cells.top - 1, max(0, cells.top - 1 - _MOST_ABOVE), -1)
    heads = [
        _first(sheet.value(row, column) for row in above) for column in range(cells.left, cells.right + 1)
    ]
    first, _, below = heads[0].partition("\n")
    several = [head.partition("\n")[0] for head in heads]
    shared = list(takewhile(lambda letters: len(set(letters)) == 1, zip(*several, strict=False)))
    label = "".join(letters[0] for letters in shared).strip() or first
    return label, ", ".join(word for word in below.split(", ") if word not in _NO_UNITS)


def _title(sheet: Sheet, cells: Area) -> str:
    """Words over a block: the topmost ones before a row without any."""
    title = ""
    for row in range(cells.top - 1, max(0, cells.top - 1 - _MOST_ABOVE), -1):
        words = _first(sheet.value(row, column) for column in range(cells.left, cells.right + 1))
        if not words:
            break
        title = words.partition("\n")[0]
    return title


def _first(values: Iterable[Cell]) -> str:
    return next((value.strip() for value in values if isinstance(value, str) and value.strip()), "")
