"""Handles: the names by which a job's values are reached, and what a person types into their cells.

A handle is a defined name. ``gap`` is that cell, or that column in every row in use; ``gap.2`` is its second
row and ``gap.2.3`` the third cell there. A column beside the others says which rows are in use; its name ends
in ``_filled``.
"""

import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from difflib import get_close_matches

from sheetcalc.cells.values import Cell
from sheetcalc.errors import EntryError
from sheetcalc.trade.lengths import parse_length
from sheetcalc.workbooks.dates import read_date
from sheetcalc.xlsx.cells import LONGEST_TEXT, serial
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.package import Problem
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import NumberFormat, Workbook

FILLED = "_filled"
_BLANK = (None, "")
_UNUSED = (*_BLANK, False, 0.0)  # what a mark holds in a row that is not in use
_MOST_CELLS = 100_000  # a name of more is no job's list

_NUMBER = re.compile(r"([+-]?)\$?((?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+)((?:[eE][+-]?\d{1,3})?)\s*(%?)")
_DAYS = (25_000, 80_000)  # of a job: about 1968 to 2119, and four years later where days count from 1904
_PARTS = re.compile(r"(.+?)\.(\d{1,7})(?:\.(\d{1,5}))?")


class HandleProblem(Problem):
    """Why a handle or a value for it cannot be used."""


class Handles:
    """The handles of one workbook.

    Parameters
    ----------
    book : Workbook
        The file.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._areas = {
            name.name.lower(): name.area
            for name in book.names
            if name.area
            and name.area.size <= _MOST_CELLS
            and not name.sheet
            and name.area.sheet in book.sheets
        }
        self._tables: defaultdict[tuple[str, int, int], list[Area]] = defaultdict(list)
        self._marked: dict[tuple[str, int, int], int] = {}
        for name, cells in self._areas.items():
            rows = cells.sheet, cells.top, cells.bottom
            self._tables[rows].append(cells)
            if name.endswith(FILLED):
                self._marked.setdefault(rows, cells.left)

    def __iter__(self) -> Iterator[str]:
        return iter(self._areas)

    def area(self, handle: str) -> Area:
        """Cells that a handle means, with or without a row and a cell in it.

        Raises
        ------
        HandleProblem
            There is no such handle, row or cell.
        """
        plain = handle.strip().lower()
        if plain in self._areas:
            return self._areas[plain]
        found = _PARTS.fullmatch(plain)
        name, row, cell = (found[1], found[2], found[3]) if found else (plain, "", "")
        whole = self._areas.get(name)
        if whole is None:
            close = get_close_matches(name, self._areas, n=3)
            hint = f" Close to it: {', '.join(close)}." if close else ""
            raise HandleProblem(
                f"There is no handle “{handle.strip()}” in {self._book.file}.{hint} "
                "sheetcalc names lists them."
            )
        high, wide = whole.bottom - whole.top + 1, whole.right - whole.left + 1
        if not 1 <= int(row) <= high:
            raise HandleProblem(f"{name} has no row {row}: {_has(high, 'row')}.")
        if cell and not 1 <= int(cell) <= wide:
            raise HandleProblem(f"{name} has no cell {cell} in a row: {_has(wide, 'cell')}.")
        top = whole.top + int(row) - 1
        left, right = (whole.left + int(cell) - 1,) * 2 if cell else (whole.left, whole.right)
        return Area(whole.sheet, top, left, top, right)

    def owners(self) -> dict[tuple[str, Place], str]:
        """Name that means each cell most closely; the names of whole tables mean none by itself."""
        found: dict[tuple[str, Place], str] = {}
        for name, cells in sorted(self._areas.items(), key=lambda one: (one[1].size, one[0])):
            if cells.top == cells.bottom or not self.is_block(cells):
                for row in cells.rows():
                    for at in row:
                        found.setdefault((cells.sheet, at), name)
        return found

    def rows(self, handle: str, get: Callable[[str, Place], Cell]) -> list[list[tuple[int, int]]]:
        """Rows of cells that a value for this handle goes into: those in use.

        Parameters
        ----------
        handle : str
            The handle.
        get : callable
            Reads a cell, by its sheet and its place, as last computed.

        Raises
        ------
        HandleProblem
            No row is in use.
        """
        cells = self.area(handle)
        rows = list(cells.rows())
        if len(rows) == 1:
            return rows
        marks = self._marks(cells)
        used = [
            row for row in rows if marks is None and any(get(cells.sheet, at) not in _BLANK for at in row)
        ]
        if not used:  # it may be a table that begins in another one: then whatever stands beside it counts
            beside = [area.left for area in self._beside(cells) if not self.is_block(area)]
            across = beside if marks is None else [marks]
            used = [
                row for row in rows if any(get(cells.sheet, (row[0][0], at)) not in _UNUSED for at in across)
            ]
        if not used:
            raise HandleProblem(f"No row of {handle} is in use yet: name one, such as {handle}.1.")
        return used

    def in_use(self, columns: Sequence[Area], get: Callable[[str, Place], Cell]) -> list[int]:
        """Rows of a table down to the last one in use: marked, or with something in any of these columns.

        Free rows between them count, so that the columns of tables with rows alike keep together.
        """
        cells = columns[0]
        marks = self._marks(cells)
        across = {at for area in columns for at in self._within(area)} if marks is None else {marks}
        nothing = _BLANK if marks is None else _UNUSED
        for row in range(cells.bottom, cells.top - 1, -1):
            if any(get(cells.sheet, (row, at)) not in nothing for at in across):
                return list(range(cells.top, row + 1))
        return []

    def is_block(self, cells: Area) -> bool:
        """Tell whether these cells are a whole table: other names mean columns within them."""
        return any(
            area != cells and cells.left <= area.left and area.right <= cells.right
            for area in self._beside(cells)
        )

    def _within(self, cells: Area) -> set[int]:
        """Columns of these cells; of a whole table those with names, without the numbers of its rows."""
        areas = [
            area for area in self._beside(cells) if cells.left <= area.left and area.right <= cells.right
        ]
        named = [area for area in areas if not self.is_block(area)] if self.is_block(cells) else [cells]
        return {at for area in named for at in range(area.left, area.right + 1)}

    def _beside(self, cells: Area) -> list[Area]:
        """Cells of all names with just these rows."""
        return self._tables[cells.sheet, cells.top, cells.bottom]

    def _marks(self, cells: Area) -> int | None:
        """Column that says which of these rows are in use, if there is one."""
        return self._marked.get((cells.sheet, cells.top, cells.bottom))

    def entries(
        self, handle: str, text: str, get: Callable[[str, Place], Cell]
    ) -> dict[tuple[str, Place], Cell]:
        """Cells that a typed text goes into, and the value that each then holds.

        Where a row has several cells the text may give one value for each, separated by semicolons; the cells
        that are left over are emptied.

        Raises
        ------
        HandleProblem
            The handle means results, or the text does not suit it.
        """
        sheet = self.area(handle).sheet
        found: dict[tuple[str, Place], Cell] = {}
        for row in self.rows(handle, get):
            texts = [text] if len(row) == 1 else text.split(";")
            if len(texts) > len(row):
                raise HandleProblem(f"{handle} is given {len(texts)} values: {_has(len(row), 'cell')}.")
            for at, piece in zip(row, texts + [""] * (len(row) - len(texts)), strict=True):
                if self._book.sheets[sheet].computed(*at):
                    raise HandleProblem(f"{handle} is a result, not an entry: see {Area(sheet, *at, *at)}.")
                looks = self._book.number_format(sheet, *at)
                try:
                    found[sheet, at] = typed(piece, looks, date_1904=self._book.date_1904)
                except ValueError as problem:
                    raise HandleProblem(f"{handle} {problem}.") from None
        return found


def _has(count: int, what: str) -> str:
    return f"it has {count} {what}{'s' if count > 1 else ''}"


def typed(text: str, looks: NumberFormat, *, date_1904: bool = False) -> Cell:
    """Return what a cell of this format holds once a person has typed the text.

    Numbers, percentages, dates, TRUE and FALSE are taken as such, inches and fractions where the format
    shows fractions; everything else is text, with what begins like a formula. An apostrophe in front makes
    text of anything.

    Raises
    ------
    ValueError
        The text is too long, a date that may mean several days, a number in a cell of dates that counts the
        days to no job, or a number under 1 in a percent cell: programs take 0.1 for 10 % or for 0.1 %, as it
        is written (.1 or 0.1; Microsoft knowledge base, Q138821).

    Examples
    --------
    >>> typed("10", NumberFormat("0.0%")), typed("5 1/8", NumberFormat("# ??/16"))
    (0.1, 5.125)
    >>> typed("5 1/8", NumberFormat("General")), typed("=1", NumberFormat("0"))
    ('5 1/8', '=1')
    """
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"is longer than {LONGEST_TEXT} characters")
    plain = text.strip()
    if not plain:
        return None
    if plain.startswith("'"):
        return plain[1:]
    if looks.text:
        return text
    if plain.upper() in ("TRUE", "FALSE"):
        return plain.upper() == "TRUE"
    found = _NUMBER.fullmatch(plain)
    of_years = looks.date and "y" in looks.lower()  # else a time of day, which may be a number
    if looks.date and (of_years or not found) and (day := read_date(plain)):
        return _counted(day, date_1904)
    if found:
        number = Decimal(found[1] + found[2].replace(",", "") + found[3])
        if of_years and not _DAYS[0] <= number <= _DAYS[1]:
            raise ValueError("is a number, not a date: write a date as 2027-03-14")
        if math.isfinite(float(number)):
            return _in_percent(number, found[4], plain) if looks.percent or found[4] else float(number)
    if looks.fraction:
        try:
            length = parse_length(plain)
        except EntryError:
            return text
        return float(length.number) if not length.unit else text
    return text


def _counted(day: datetime, date_1904: bool) -> float:
    days = serial(day, date_1904)
    if days < 0:
        raise ValueError("is before the first day that a cell can hold")
    return days


def _in_percent(number: Decimal, sign: str, plain: str) -> float:
    if not sign and 0 < abs(number) < 1:
        raise ValueError(f"is a percentage: write {float(number * 100):g}% or {plain}%")
    return float(number / 100)
