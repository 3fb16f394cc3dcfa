"""A workbook whose entries are changed in memory, and what a few of its cells then hold."""

import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.formulas import Spot
from sheetcalc.hosts.headless import Headless
from sheetcalc.workbooks.compute import Report
from sheetcalc.workbooks.handles import HandleProblem, Handles
from sheetcalc.workbooks.summary import points
from sheetcalc.workbooks.wrong import against_rules, refused
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import NumberFormat, Workbook

Entries = Mapping[Spot, Cell]

_MOST_ROWS = 12  # of a column that is shown


class Shown(NamedTuple):
    """A cell that is compared: its handle, where it stands, how it looks, and the words beside it."""

    handle: str
    spot: Spot
    looks: NumberFormat
    label: str


class WhatIf:
    """A workbook that answers what-ifs; its file is only read.

    Parameters
    ----------
    path : path-like
        The workbook.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.book = Workbook(path)
        self.host = Headless(self.book, at_once=False)
        self.handles = Handles(self.book)
        if not set(self.handles):
            raise HandleProblem(
                f"{self.book.file} defines no names, so nothing in it can be compared: "
                "name the cells to vary and to show (name box, or Define Name)."
            )
        self._now: dict[Spot, Cell] = {}  # entries that differ from the file

    def stored(self, spot: Spot) -> Cell:
        """Value of a cell as the file has it."""
        return self.book.sheets[spot[0]].value(*spot[1])

    def value(self, entries: Entries, spot: Spot) -> Cell:
        """Value of one cell with these entries."""
        return self._values(entries, [spot])[spot]

    def shown(self, handles: Iterable[str]) -> list[Shown]:
        """Cells of these handles: of a column those in the rows in use in the file.

        Raises
        ------
        HandleProblem
            There is no such handle, or it means a whole table.
        """
        found: list[Shown] = []
        for handle in handles:
            area = self.handles.area(handle)
            if area.top != area.bottom and area.left != area.right:
                raise HandleProblem(f"{handle} is a table: name a column of it, or a row of that.")
            cells = self._in_use(handle, area)
            if len(cells) > _MOST_ROWS:
                raise HandleProblem(f"{handle} has {len(cells)} rows in use: name one, such as {handle}.1.")
            found += self.at((name, (area.sheet, at)) for name, at in cells)
        return found

    def at(self, handles: Iterable[tuple[str, Spot]]) -> list[Shown]:
        """Describe the cells of these handles."""
        return [
            Shown(handle, spot, self.book.number_format(spot[0], *spot[1]), self._label(handle, spot))
            for handle, spot in handles
        ]

    def _label(self, handle: str, spot: Spot) -> str:
        """Words beside a line's cell or over a column's."""
        title, (row, column) = spot
        area = self.handles.area(handle.partition(".")[0] if "." in handle else handle)
        beside = [(row, at) for at in range(column - 1, 0, -1)]
        above = [(at, column) for at in range(row - 1, 0, -1)]
        sheet = self.book.sheets[title]
        for at in [*beside, *above] if area.top == area.bottom else above:
            value = sheet.value(*at)
            if isinstance(value, str) and value.strip() and (not sheet.computed(*at)):
                return " ".join(value.partition("\n")[0].split())
        return ""

    def _in_use(self, handle: str, area: Area) -> list[tuple[str, Place]]:
        if area.size == 1:
            return [(handle, (area.top, area.left))]
        if area.top == area.bottom:
            return [(f"{handle}.1.{n}", at) for n, at in enumerate(next(area.rows()), start=1)]
        rows = self.handles.rows(handle, lambda sheet, at: self.value({}, (sheet, at)))
        return [(f"{handle}.{row[0][0] - area.top + 1}", row[0]) for row in rows]

    def answers(self, entries: Entries, asked: Iterable[Shown]) -> list[Cell]:
        """Values of cells with these entries in place of the file's; no others are computed."""
        spots = [cell.spot for cell in asked]
        values = self._values(entries, spots)
        return [values[spot] for spot in spots]

    def _values(self, entries: Entries, spots: Sequence[Spot]) -> dict[Spot, Cell]:
        self._enter(entries)
        values = self.host.answers([(sheet, address(*at)) for sheet, at in spots])
        return dict(zip(spots, values, strict=True))

    def _enter(self, entries: Entries) -> None:
        gone = [spot for spot in self._now if spot not in entries]
        changed = {spot: value for spot, value in entries.items() if not self._holds(spot, value)}
        for (sheet, at), value in {**{spot: self.stored(spot) for spot in gone}, **changed}.items():
            self.host.set(sheet, address(*at), value)
        self._now = dict(entries)

    def _holds(self, spot: Spot, value: Cell) -> bool:
        now = self._now[spot] if spot in self._now else self.stored(spot)
        return type(now) is type(value) and now == value

    def reason(self, entries: Entries, shown: Iterable[Shown]) -> str:
        """Why cells are errors or blank with these entries: a call's sentence, else what stops the job."""
        self._enter(entries)
        self.host.recalculate()
        for entry in against_rules(self.host, self.handles):
            if not entry.spots.isdisjoint(entries):
                return entry.sentence
        for _, (sheet, at), *_ in shown:
            wrong = isinstance(self.host.get(sheet, address(*at)), CellError)
            if wrong and (why := self.host.reason(sheet, address(*at))):
                found = refused(self.host, self.handles, why, self.host.behind([(sheet, at)]))
                return found[0].sentence if found else why
        found = points(Report(Path(self.book.file), self.handles, self.host))
        return "; ".join(found.stops[:2]) + (" …" if len(found.stops) > 2 else "")
