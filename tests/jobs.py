"""A computed workbook to ask what if: entries are typed by their handles, answers read by theirs."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.headless import Headless
from sheetcalc.workbooks.handles import Handles
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook


class Job:
    """The workbook in `file`; it is never written."""

    def __init__(self, file: Path, functions: Mapping[str, CellFunction] = REGISTRY) -> None:
        self.book = Workbook(file)
        self.host = Headless(self.book, functions)
        self.handles = Handles(self.book)
        self._typed: set[tuple[str, Place]] = set()

    def cell(self, sheet: str, at: Place) -> Cell:
        value = self.host.get(sheet, address(*at))
        assert not isinstance(value, list)
        return value

    def type(self, entries: Mapping[str, str]) -> None:
        """Type texts into entries, one after the other, and compute."""
        for handle, text in entries.items():
            for (sheet, at), value in self.handles.entries(handle, text, self._now).items():
                self.host.set(sheet, address(*at), value)
                self._typed.add((sheet, at))
        self.host.recalculate()

    def _now(self, sheet: str, at: Place) -> Cell:
        """Value of a cell after what was typed before: it may have brought further rows into use."""
        self.host.recalculate()
        return self.cell(sheet, at)

    def take_back(self) -> None:
        """Put back what stood in the file."""
        for sheet, at in self._typed:
            self.host.set(sheet, address(*at), self.book.sheets[sheet].value(*at))
        self._typed.clear()
        self.host.recalculate()

    def __getitem__(self, handle: str) -> Any:
        """Value of one cell, a list for a row or a column, a list of rows for a block."""
        cells = self.handles.area(handle)
        rows = [[self.cell(cells.sheet, at) for at in row] for row in cells.rows()]
        if len(rows) == 1:
            return rows[0] if len(rows[0]) > 1 else rows[0][0]
        return rows if len(rows[0]) > 1 else [row[0] for row in rows]

    def used(self, handle: str) -> list[Any]:
        """Return the values of a column in the rows in use."""
        return [value for value in self[handle] if value not in (None, "")]

    def errors(self) -> list[str]:
        """Cells of the whole workbook that show an error, and which."""
        found: list[str] = []
        for title, sheet in self.book.sheets.items():
            for at in sheet.places():
                value = self.cell(title, at)
                if isinstance(value, CellError):
                    found.append(f"{title}!{address(*at)} {value.value}")
        return found

    def area(self, handle: str) -> Area:
        return self.handles.area(handle)
