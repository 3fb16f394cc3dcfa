"""The formulas of a workbook as they are computed here: fitted when first asked for, and what they use."""

from collections.abc import Collection, Iterable, Mapping

from sheetcalc.cells.registry import CellFunction
from sheetcalc.hosts.fitting import Fitted, Fitter
from sheetcalc.hosts.references import references
from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

Spot = tuple[str, Place]
"""A cell: its sheet and its place."""


class Formulas:
    """The formulas of a workbook.

    Parameters
    ----------
    book : Workbook
        The file.
    functions : mapping
        Our functions by their names.
    """

    def __init__(self, book: Workbook, functions: Mapping[str, CellFunction]) -> None:
        self.refused: dict[Spot, str] = {}
        """Formulas that cannot be computed, as far as they were asked for, and why."""
        self._book = book
        self._fitter = fitter(functions)
        self._places: dict[str, frozenset[Place]] = {}  # filled cells, by sheet
        self._dropped: set[tuple[str, str]] = set()  # names that the engine could not use, by sheet
        self._read_names()

    def _read_names(self) -> None:
        self._areas: dict[str, dict[str, Area | None]] = {}  # what names mean, by the sheet that uses them
        self._named: dict[str, dict[str, list[Area] | None]] = {}  # what they use
        self._fitted: dict[Spot, Fitted] = {}
        self._used: dict[Spot, list[Area] | None] = {}
        areas: dict[str, dict[str, Area | None]] = {"": {}}
        used: dict[str, dict[str, list[Area] | None]] = {"": {}}
        for name in self._book.names:
            key = name.name.upper()
            if (name.sheet, key) not in self._dropped:
                areas.setdefault(name.sheet, {})[key] = name.area
                constant = not name.area and references(name.definition, "", {}) == []
                used.setdefault(name.sheet, {})[key] = [] if constant else [name.area] if name.area else None
        for title in self._book.sheets:
            self._areas[title] = areas[""] | areas.get(title, {})
            self._named[title] = used[""] | used.get(title, {})

    def drop(self, names: Collection[tuple[str, str]]) -> bool:
        """Do without these names, in upper case beside the sheets that they are for; tell if that is new."""
        if self._dropped.issuperset(names):
            return False
        self._dropped |= set(names)
        self.refused.clear()
        self._read_names()
        return True

    def refuse(self, found: Mapping[Spot, str]) -> None:
        """Leave out these formulas, for the reasons given."""
        self.refused |= found

    def anchor(self, spot: Spot) -> Spot | None:
        """Where the formula of a cell stands; None if it has none."""
        title, at = spot
        sheet = self._book.sheets.get(title)
        if sheet is None:
            return None
        if at in sheet.formulas:
            return spot
        return (title, sheet.members[at]) if at in sheet.members else None

    def fitted(self, anchor: Spot) -> Fitted:
        """Return a formula as the engine takes it."""
        if anchor in self.refused:
            return Fitted("", self.refused[anchor])
        if anchor not in self._fitted:
            title, at = anchor
            found = self._fitter.fit(self._book.sheets[title].formulas[at], self._areas[title])
            if found.problem:
                self.refused[anchor] = found.problem
            self._fitted[anchor] = found
        return self._fitted[anchor]

    def names(self, title: str) -> Mapping[str, list[Area] | None]:
        """Names that formulas of a sheet may use, in upper case, and the cells that each uses."""
        return self._named[title]

    def uses(self, anchor: Spot) -> list[Area] | None:
        """Cells that a formula uses; None if that cannot be told."""
        if anchor not in self._used:
            fitted = self.fitted(anchor)
            told = not fitted.anywhere
            self._used[anchor] = references(fitted.text, anchor[0], self._named[anchor[0]]) if told else None
        return self._used[anchor]

    def behind(self, anchor: Spot) -> list[Spot]:
        """Cells with formulas that a formula uses."""
        found: list[Spot] = []
        for cells in self.uses(anchor) or ():
            sheet = self._book.sheets.get(cells.sheet)
            for places in (sheet.formulas, sheet.members) if sheet else ():
                found += [(cells.sheet, at) for at in within(cells, places)]
        return found

    def needed(self, asked: Iterable[Spot]) -> set[Area]:
        """All cells that some cells depend on; the whole workbook if that cannot be told."""
        seen: set[Area] = set()
        anchors: set[Spot] = set()
        open_ends = list(asked)
        while open_ends:
            anchor = self.anchor(open_ends.pop())
            if anchor is None or anchor in anchors:
                continue
            anchors.add(anchor)
            used = self.uses(anchor)
            if used is None:
                return {Area(title, 1, 1, LAST_ROW, LAST_COLUMN) for title in self._book.sheets}
            if not seen.issuperset(used):
                open_ends += self.behind(anchor)
                seen.update(used)
        return seen

    def cells_behind(self, asked: Iterable[Spot]) -> frozenset[Spot]:
        """Cells of the file that these cells depend on, themselves among them."""
        found = {*asked}
        for cells in self.needed(found):
            if cells.sheet not in self._places and cells.sheet in self._book.sheets:
                self._places[cells.sheet] = frozenset(self._book.sheets[cells.sheet].places())
            found |= {(cells.sheet, at) for at in within(cells, self._places.get(cells.sheet, ()))}
        return frozenset(found)


def fitter(functions: Mapping[str, CellFunction]) -> Fitter:
    """Return what makes formulas fit that call these functions."""
    return Fitter(functions, {name for name, function in functions.items() if function.columns})


def within(area: Area, places: Collection[Place]) -> list[Place]:
    """Those of the places that lie in an area; both may be many."""
    if area.size < len(places):
        return [place for row in area.rows() for place in row if place in places]
    return [
        (row, column)
        for row, column in places
        if area.top <= row <= area.bottom and area.left <= column <= area.right
    ]
