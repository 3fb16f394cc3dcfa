"""Who reads whom: the cells that formulas name, what stands behind a cell, and what rests on it."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cached_property

from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area, area, letters, tokens
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

CellAt = tuple[str, Place]
"""A cell by its sheet, row and column."""

MOST_LISTED = 2_000
"""Cells of one range that are taken one by one, blank ones too; of a larger one those that are filled."""


class Reads:
    """What the formulas of a workbook read, as it was opened.

    Parameters
    ----------
    book : Workbook
        The workbook.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._known: dict[tuple[str, str], tuple[Area, ...]] = {}

    def areas(self, text: str, sheet: str) -> tuple[Area, ...]:
        """Cells that an expression names, by names that mean expressions too."""
        key = text, sheet
        if key not in self._known:
            self._known[key] = tuple(self._areas(text, sheet, 3))
        return self._known[key]

    def inside(self, cells: Area) -> list[CellAt]:
        """Cells of a range, one by one; of a very large one only those that are filled."""
        if cells.size <= MOST_LISTED:
            return [(cells.sheet, place) for row in cells.rows() for place in row]
        places = self._book.sheets[cells.sheet].places()
        return [(cells.sheet, place) for place in places if within(place, cells)]

    def formula(self, cell: CellAt) -> str | None:
        """Find the formula that gives a cell its value; None for one that is typed or blank."""
        title, place = cell
        sheet = self._book.sheets[title]
        found = sheet.formulas.get(sheet.members.get(place, place))
        return found.text if found else None

    def behind(self, cells: Iterable[CellAt]) -> list[CellAt]:
        """Entries, blank ones too, that cells depend on, through whatever formulas; in the book's order."""
        seen: set[CellAt] = set()
        through: set[Area] = set()
        entries: list[CellAt] = []
        todo = list(cells)
        while todo:
            cell = todo.pop()
            if cell in seen:
                continue
            seen.add(cell)
            text = self.formula(cell)
            if text is None:
                entries.append(cell)
                continue
            new = {*self.areas(text, cell[0])} - through
            through |= new
            for one in new:
                todo += self.inside(one)
        order = {title: number for number, title in enumerate(self._book.sheets)}
        return sorted(entries, key=lambda cell: (order[cell[0]], cell[1]))

    def resting(self, cells: Iterable[CellAt], without: Collection[CellAt]) -> set[CellAt]:
        """Cells whose formulas read these, or read what reads them; not through what is left out."""
        found: set[CellAt] = set()
        todo = list(cells)
        while todo:
            title, place = todo.pop()
            readers = [*self._readers.get((title, place), ())]
            readers += [cell for one, cell in self._of_large if one.sheet == title and within(place, one)]
            new = {cell for cell in readers if cell not in found and cell not in without}
            found |= new
            todo += new
        return found

    @cached_property
    def _readers(self) -> Mapping[CellAt, list[CellAt]]:
        """Cells whose formulas name a cell, in ranges of a usual size."""
        found: dict[CellAt, list[CellAt]] = defaultdict(list)
        for one, cells in self._by_area.items():
            if one.size <= MOST_LISTED:
                for read in self.inside(one):
                    found[read] += cells
        return found

    @cached_property
    def _of_large(self) -> list[tuple[Area, CellAt]]:
        return [
            (one, cell) for one, cells in self._by_area.items() if one.size > MOST_LISTED for cell in cells
        ]

    @cached_property
    def _by_area(self) -> Mapping[Area, list[CellAt]]:
        found: dict[Area, list[CellAt]] = defaultdict(list)
        for title, sheet in self._book.sheets.items():
            for place, formula in sheet.formulas.items():
                filled = (
                    [place] if formula.cells is None else [at for row in formula.cells.rows() for at in row]
                )
                for one in dict.fromkeys(self.areas(formula.text, title)):
                    found[one] += [(title, at) for at in filled]
        return found

    def _areas(self, text: str, sheet: str, depth: int) -> Iterator[Area]:
        found = tokens(text)
        at = 0
        while at < len(found):
            token = found[at]
            title = sheet
            if token.kind in ("name", "quoted") and at + 1 < len(found) and found[at + 1].text == "!":
                title = token.text.strip("'").replace("''", "'") if token.kind == "quoted" else token.text
                at += 2
                token = found[at] if at < len(found) else token
            one: Area | None = None
            if token.kind in ("columns", "rows"):
                first, last = token.text.replace("$", "").split(":")
                whole = token.kind == "columns"
                one = area(
                    title, f"{first}1:{last}{LAST_ROW}" if whole else f"A{first}:{letters(LAST_COLUMN)}{last}"
                )
            elif token.kind == "brackets":  # of a table, wherever it stands
                yield from (Area(known, 1, 1, LAST_ROW, LAST_COLUMN) for known in self._book.sheets)
            elif token.kind == "cell":
                reference = token.text
                if at + 2 < len(found) and found[at + 1].text == ":" and found[at + 2].kind == "cell":
                    reference += ":" + found[at + 2].text
                    at += 2
                one = area(title, reference)
            elif token.kind == "name" and not (at + 1 < len(found) and found[at + 1].text == "("):
                one = self._book.area(token.text, sheet)
                if one is None and depth:
                    meanings = [
                        name.definition
                        for name in self._book.names
                        if name.name.lower() == token.text.lower()
                    ]
                    for meaning in meanings:
                        yield from self._areas(meaning, sheet, depth - 1)
            at += 1
            if one is not None and one.sheet in self._book.sheets:
                yield one


def within(place: Place, cells: Area) -> bool:
    """Tell whether a cell lies in a range of its sheet."""
    return cells.top <= place[0] <= cells.bottom and cells.left <= place[1] <= cells.right
