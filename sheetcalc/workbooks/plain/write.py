"""Write the plain edition of a workbook."""

import math
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import Cell
from sheetcalc.hosts.headless import Headless
from sheetcalc.kinds import SYSTEMS
from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.plain.calls import Call, calls_in
from sheetcalc.workbooks.plain.forms import FORMS
from sheetcalc.workbooks.plain.looks import Looks
from sheetcalc.workbooks.plain.native import HELPERS, Natives, NotNative, length_of
from sheetcalc.workbooks.plain.reads import CellAt, Reads
from sheetcalc.workbooks.plain.sheets import HELPERS_TITLE, Page, helpers, resolve
from sheetcalc.workbooks.plain.stored import STORED_SHEET, TITLE, Kept, Stored
from sheetcalc.workbooks.plain.words import reword
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.package import FileProblem, check_free, check_unlocked
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook


class Differs(NamedTuple):
    """A cell that shows something else than in the workbook with the functions."""

    cell: Area
    live: Cell
    plain: Cell


@dataclass(frozen=True)
class Plain:
    """What came of writing a plain edition.

    Parameters
    ----------
    report : Report
        The written workbook, computed without our functions.
    rewritten : int
        Formulas that native ones took the place of.
    helper_rows : int
        Rows of helper cells added.
    stored : list of Kept
        What is stored.
    differs : list of Differs
        Results that are others than in the workbook itself.
    """

    report: Report
    rewritten: int
    helper_rows: int
    stored: list[Kept]
    differs: list[Differs]


def is_plain(book: Workbook) -> bool:
    """Tell whether a workbook is a plain edition, by the sheets that one adds."""
    marks = {HELPERS: HELPERS_TITLE, STORED_SHEET: TITLE}
    return any(
        book.sheets[title].value(1, 1) == words for title, words in marks.items() if title in book.sheets
    )


def plain(path: str | os.PathLike[str], output: str | os.PathLike[str], *, force: bool = False) -> Plain:
    """Write a workbook anew with ordinary formulas in the place of our functions.

    Parameters
    ----------
    path : path-like
        The workbook; it stays as it is.
    output : path-like
        Where to write.
    force : bool, optional
        Overwrite another file there.

    Returns
    -------
    Plain
        What was done.

    Raises
    ------
    Problem
        The file cannot be read or written, calls none of our functions, is a plain edition already, or the
        output is the workbook itself.
    """
    if Path(output).resolve() == Path(path).resolve():
        raise FileProblem(f"{Path(path).name} is the workbook itself: give the plain edition another name.")
    check_free(Path(output), force=force)
    check_unlocked(Path(output))
    book = Workbook(path)
    reword(book)
    if is_plain(book):
        raise FileProblem(
            f"{book.file} is a plain edition already: its formulas are ordinary ones. Make changes in the "
            "workbook with the functions, run sheetcalc compute there, then sheetcalc plain."
        )
    work = _Work(book)
    work.rewrite()
    if not (work.rewritten or work.stored):
        raise FileProblem(f"{book.file} calls none of our functions: there is nothing to rewrite.")
    work.finish()
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder, Path(path).name)  # under its own name, which a refusal may say
        book.save(draft)
        report = compute(draft, output, force=force)
    differs = list(work.differs(report.host))
    return Plain(report, work.rewritten, len(work.natives.rows), work.stored, differs)


class _Work:
    # One workbook on its way to its plain edition.

    def __init__(self, book: Workbook) -> None:
        self.book = book
        self.host = Headless(book)
        self.natives = Natives(book)
        self.reads = Reads(book)
        self.looks = Looks(book)
        self.stored: list[Kept] = []
        self.rewritten = 0
        self._texts: dict[str, dict[Place, str]] = {title: {} for title in book.sheets}  # new formulas
        self._entries: dict[CellAt, float] = {}  # typed lengths as numbers
        self._worded: set[CellAt] = set()  # which say what is wrong in other words

    def rewrite(self) -> None:
        """Find every call of ours; settle what takes its place."""
        for title, sheet in self.book.sheets.items():
            for place, formula in sheet.formulas.items():
                calls = calls_in(formula.text, FORMS)
                if not calls:
                    continue
                self._read_lengths(calls, title)
                if any(call.name == "ENTRY_PROBLEM" for call in calls):
                    self._worded.add((title, place))
                cells = formula.cells
                try:
                    if cells is None or (cells.size == 1 and not _table(calls)):
                        text = self.natives.rewrite(formula.text, title, address(*place))
                        self._texts[title][place] = text
                    else:
                        self._texts[title] |= self.natives.rewrite_array(formula.text, title, cells)
                    self.rewritten += 1
                except NotNative as reason:
                    self.stored.append(Kept(cells or Area(title, *place, *place), formula.text, str(reason)))

    def _read_lengths(self, calls: list[Call], sheet: str) -> None:
        """Turn lengths typed as text, in cells that a call takes lengths from, into numbers."""
        for call in calls:
            system = _system(call)
            for parameter, argument in zip(_parameters(call), call.arguments, strict=False):
                if parameter is None or not parameter.kind.typed:
                    continue
                text = "".join(piece if isinstance(piece, str) else "" for piece in argument)
                for cells in self.reads.areas(text, sheet):
                    for title, place in self.reads.inside(cells):
                        value = self.book.sheets[title].value(*place)
                        if isinstance(value, str) and not self.book.sheets[title].computed(*place):
                            length = length_of(value, system)
                            if length is not None:
                                self._entries[title, place] = length

    def value(self, cell: CellAt) -> Cell:
        """Value of a cell in the edition with the functions."""
        value = self.host.get(cell[0], address(*cell[1]))
        assert not isinstance(value, list)
        return value

    def differs(self, written: Headless) -> Iterator[Differs]:
        """Compare what was rewritten, and what uses it, with the edition that has the functions."""
        new = {(title, place) for title, found in self._texts.items() for place in found}
        worded = self._worded | self.reads.resting(self._worded, ())
        for title, place in sorted(new | self.reads.resting(new | self._entries.keys(), ())):
            live, now = self.value((title, place)), written.get(title, address(*place))
            assert not isinstance(now, list)
            both_words = isinstance(live, str) and isinstance(now, str) and live and now
            if not _same(live, now) and not (both_words and (title, place) in worded):
                yield Differs(Area(title, *place, *place), live, now)

    # --- Writing ---

    def finish(self) -> None:
        """Put everything into the book."""
        texts = [text for row in self.natives.rows for text in row.cells.values()]
        texts += [text for found in self._texts.values() for text in found.values()]
        stored = Stored(self.book, self.reads, self.stored, self._entries, self.looks, self.value)
        helped = any("⟦" in text or "[" in text for text in texts)
        bold = self.looks.bold() if stored.cells or helped else 0
        page, where, ranges = helpers(self.natives.rows, texts, bold)
        for (title, place), length in self._entries.items():
            self.book.sheets[title].put(*place, length)
        for title, found in self._texts.items():
            for place, text in found.items():
                self._replace((title, place), resolve(text, where, ranges))
        for cell in stored.cells:
            title, place = cell
            sheet = self.book.sheets[title]
            look = self.looks.stored(sheet.style(*place))
            if self.value(cell) in (None, ""):  # a cell that is blank, not empty: what reads it shows no 0
                sheet.replace(*place, "", formula='""', style=look)
            else:
                sheet.replace(*place, self.value(cell), style=look)
        pages: dict[str, tuple[Page, list[float]]] = {}
        if helped:
            pages[HELPERS] = page, [22.0] + [14.0] * 40
        if stored.cells:
            pages[STORED_SHEET] = stored.page(), [58.0, 30.0, 30.0, 12.0, 12.0, 12.0, 20.0]
            self._say(stored)
        self.looks.save()
        self.book.forget_calculation_order()
        self.book.drop_links()
        for title, (added, widths) in pages.items():
            self.book.add_sheet(title, added.xml(widths, frozen=2))
            self.book.print_area(Area(title, 1, 1, *added.printed))

    def _replace(self, cell: CellAt, formula: str) -> None:
        title, place = cell
        value = self.value(cell)
        self.book.sheets[title].replace(*place, "" if value is None else value, formula=formula)

    def _say(self, stored: Stored) -> None:
        """Write the words beside stored lines, on paper too; and let the job's checks count what is old."""
        wide: dict[str, int] = {}
        for (title, place), formula in stored.marks().items():
            self.book.sheets[title].replace(*place, "", formula=formula)
            wide[title] = max(place[1] + 1, wide.get(title, 0))  # with room for the words
        for name in [name for name in self.book.names if name.name == "_xlnm.Print_Area" and name.area]:
            cells = name.area
            if cells and cells.right < wide.get(cells.sheet, 0):
                self.book.print_area(cells._replace(right=wide[cells.sheet]))
        for handle, template in stored.checks().items():
            cells = self.book.area(handle)
            if cells is None or cells.size > 1 or cells.sheet not in self.book.sheets:
                continue
            cell = cells.sheet, (cells.top, cells.left)
            text = self._texts[cells.sheet].get(cell[1]) or self.reads.formula(cell)
            if "{}" not in template or (text and "⟦" not in text):
                self._replace(cell, template.format(f"({text})"))


def _same(live: Cell, now: Cell) -> bool:
    if live in (None, "") or now in (None, ""):
        return live in (None, "") and now in (None, "")
    if isinstance(live, float | int) and isinstance(now, float | int):
        return math.isclose(live, now, rel_tol=1e-9, abs_tol=1e-9)
    return live == now


def _table(calls: list[Call]) -> bool:
    return any(call.name in REGISTRY and REGISTRY[call.name].columns for call in calls)


def _system(call: Call) -> str:
    """Tell the unit system of a call."""
    last = [piece for piece in call.arguments[-1] if isinstance(piece, str)] if call.arguments else []
    word = "".join(last).strip().strip('"').lower()
    return word if word in SYSTEMS else "us"


def _parameters(call: Call) -> list[Any]:
    function = REGISTRY.get(call.name)
    if call.name == "ENTRY_PROBLEM" and call.arguments:
        asked = "".join(piece for piece in call.arguments[0] if isinstance(piece, str)).strip('"').upper()
        function = REGISTRY.get(asked)
        return [None, *(function.inputs if function else ())]
    return list(function.inputs) if function else []
