"""Write the plain edition of a workbook."""

import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from sheetcalc.cells.units import inches
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.errors import EntryError
from sheetcalc.hosts.headless import Headless
from sheetcalc.kinds import SYSTEMS
from sheetcalc.trade.lengths import MM_PER_INCH, parse_length
from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.plain.calls import Call, pieces, sheet_name
from sheetcalc.workbooks.plain.forms import FORMS
from sheetcalc.workbooks.plain.looks import Looks
from sheetcalc.workbooks.plain.native import HELPERS, Natives, NotNative
from sheetcalc.workbooks.plain.sheets import Page, helpers, resolve
from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area, address, area, letters, tokens
from sheetcalc.xlsx.package import FileProblem, check_free, check_unlocked
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

STORED_SHEET = "Stored"
STALE = "entries changed since these were computed: run sheetcalc compute"
FRESH = "stored, no formula: as computed from the entries"
RESTS_STALE = "rests on stored lines that are older than the entries: run sheetcalc compute"
RESTS = "rests on stored lines"

_MOST_WATCHED = 2_000  # cells of one range that are watched one by one, blank ones too
_CHANGED, _WORDS, _RESTS, _ACCEPT, _STOP = range(4, 9)  # rows of the sheet Stored


class Kept(NamedTuple):
    """A formula whose value is stored."""

    cells: Area
    formula: str
    reason: str


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
    """

    report: Report
    rewritten: int
    helper_rows: int
    stored: list[Kept]


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
        The file cannot be read or written, or the output is the workbook itself.
    """
    if Path(output).resolve() == Path(path).resolve():
        raise FileProblem(f"{Path(path).name} is the workbook itself: give the plain edition another name.")
    check_free(Path(output), force=force)
    check_unlocked(Path(output))
    book = Workbook(path)
    work = _Work(book)
    work.rewrite()
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder, f"draft{Path(path).suffix}")
        if work.found:
            work.finish()
            book.save(draft)
        else:
            draft.write_bytes(Path(path).read_bytes())
        report = compute(draft, output, force=force)
    return Plain(report, work.rewritten, len(work.natives.rows), work.stored)


class _Work:
    # One workbook on its way to its plain edition.

    def __init__(self, book: Workbook) -> None:
        self.book = book
        self.host = Headless(book)
        self.natives = Natives(book)
        self.looks = Looks(book)
        self.stored: list[Kept] = []
        self.rewritten = 0
        self.found = False
        self._texts: dict[str, dict[Place, str]] = {title: {} for title in book.sheets}  # new formulas
        self._entries: dict[tuple[str, Place], float] = {}  # typed lengths as numbers

    def rewrite(self) -> None:
        """Find every call of ours; settle what takes its place."""
        for title, sheet in self.book.sheets.items():
            for place, formula in sheet.formulas.items():
                calls = [piece for piece in pieces(formula.text, FORMS) if isinstance(piece, Call)]
                if not calls:
                    continue
                self.found = True
                self._read_lengths(formula.text, title)
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

    def _read_lengths(self, formula: str, sheet: str) -> None:
        """Turn lengths typed as text, in cells that a call takes lengths from, into numbers."""
        for call, system in _calls(formula):
            for parameter, argument in zip(_parameters(call), call.arguments, strict=False):
                if parameter is None or not parameter.kind.typed:
                    continue
                text = "".join(piece if isinstance(piece, str) else "" for piece in argument)
                for cells in self._areas(text, sheet):
                    for place in (at for row in cells.rows() for at in row):
                        self._read_length(cells.sheet, place, system)

    def _read_length(self, title: str, place: Place, system: str) -> None:
        sheet = self.book.sheets[title]
        value = sheet.value(*place)
        if isinstance(value, str) and not sheet.computed(*place):
            try:
                length = inches(parse_length(value), system)
            except EntryError:
                return
            self._entries[title, place] = (
                float(f"{length * float(MM_PER_INCH):.13g}") if system == "metric" else length
            )

    def _areas(self, text: str, sheet: str, depth: int = 3) -> Iterator[Area]:
        """Find the cells that an expression names, by names that mean expressions too."""
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
                yield from (Area(known, 1, 1, LAST_ROW, LAST_COLUMN) for known in self.book.sheets)
            elif token.kind == "cell":
                reference = token.text
                if at + 2 < len(found) and found[at + 1].text == ":" and found[at + 2].kind == "cell":
                    reference += ":" + found[at + 2].text
                    at += 2
                one = area(title, reference)
            elif token.kind == "name" and not (at + 1 < len(found) and found[at + 1].text == "("):
                one = self.book.area(token.text, sheet)
                if one is None and depth:
                    meanings = [
                        name.definition for name in self.book.names if name.name.lower() == token.text.lower()
                    ]
                    for meaning in meanings:
                        yield from self._areas(meaning, sheet, depth - 1)
            at += 1
            if one is not None and one.sheet in self.book.sheets:
                yield one

    # --- Writing ---

    def finish(self) -> None:
        """Put everything into the book."""
        texts = [text for row in self.natives.rows for text in row.cells.values()]
        texts += [text for found in self._texts.values() for text in found.values()]
        kept = {(one.cells.sheet, at): one for one in self.stored for row in one.cells.rows() for at in row}
        helped = any("⟦" in text or "[" in text for text in texts)
        bold = self.looks.bold() if kept or helped else 0
        page, where, ranges = helpers(self.natives.rows, texts, bold)
        for (title, place), length in self._entries.items():
            self.book.sheets[title].put(*place, length)
        for title, found in self._texts.items():
            for place, text in found.items():
                value = self._value(title, place)
                self.book.sheets[title].replace(
                    *place, value if value is not None else "", formula=resolve(text, where, ranges)
                )
        for title, place in kept:
            sheet = self.book.sheets[title]
            value = self._value(title, place)
            look = self.looks.stored(sheet.style(*place))
            if value in (None, ""):  # a cell that is blank, not empty: what reads it shows no 0
                sheet.replace(*place, "", formula='""', style=look)
            else:
                sheet.replace(*place, value, style=look)
        stored = self._stored_page(kept, bold) if kept else None
        self.looks.save()
        self.book.forget_calculation_order()
        if helped:
            self.book.add_sheet(HELPERS, page.xml([22.0] + [14.0] * 40, frozen=2))
        if stored:
            self.book.add_sheet(STORED_SHEET, stored.xml([44.0, 40.0, 30.0, 12.0], frozen=2))

    def _value(self, title: str, place: Place) -> Cell:
        value = self.host.get(title, address(*place))
        assert not isinstance(value, list)
        return value

    def _stored_page(self, kept: dict[tuple[str, Place], Kept], bold: int) -> Page:
        needs = self._needs(kept)
        page = Page()
        first = _STOP + len(self.stored) + 7
        last = first + len(needs) - 1
        page.line(1, ["Stored: what needs sheetcalc and no formula can work out"], bold)
        page.line(
            2,
            [
                "These cells keep the values of the last run. After a change of what they depend on: make "
                "it in the workbook with the functions, run sheetcalc compute there, then sheetcalc plain."
            ],
        )
        page.line(
            _CHANGED,
            ["Entries changed since", (f"SUM($D${first}:$D${last})",)]
            if needs
            else ["Entries changed since", 0.0],
        )
        page.line(_WORDS, ["Stored lines are", (f'IF($B${_CHANGED}>0,"{STALE}","{FRESH}")',)])
        page.line(_RESTS, ["Lines that read them", (f'IF($B${_CHANGED}>0,"{RESTS_STALE}","{RESTS}")',)])
        page.line(_ACCEPT, ["Let the price stand on older stored lines? Type yes"])
        page.line(
            _STOP,
            ["Counts as a stop check that fails", (f'IF(AND($B${_CHANGED}>0,$B${_ACCEPT}<>"yes"),1,0)',)],
        )
        page.line(_STOP + 2, ["Stored cells", "Formula in the workbook with the functions", "Why"], bold)
        for at, one in enumerate(self.stored, start=_STOP + 3):
            page.line(at, [str(one.cells), "=" + one.formula, one.reason])
        page.line(first - 1, ["What they were computed from", "Now", "Then", "Changed"], bold)
        for at, (cell, now, then) in enumerate(needs, start=first):
            page.line(at, [cell, (now,), then])
            seen, before = f"$B{at}", f"$C{at}"
            changed = (
                f"IF(EXACT({seen},{before}),0,IF(COUNT({seen},{before})<2,1,"
                f"IF(ABS({seen}-{before})<=1E-9*MAX(1,ABS({before})),0,1)))"
            )
            page.cells[at, 4], page.looks[at, 4] = (changed,), 0
        self._say(kept)
        return page

    def _needs(self, kept: dict[tuple[str, Place], Kept]) -> list[tuple[str, str, Cell]]:
        """List what the stored formulas read: where, a formula of what it is now, what it was then."""
        found: dict[tuple[str, Place], None] = {}
        counted: dict[str, tuple[str, Cell]] = {}
        for cells in {
            cells: None for one in self.stored for cells in self._areas(one.formula, one.cells.sheet)
        }:
            inside = [place for row in cells.rows() for place in row] if cells.size <= _MOST_WATCHED else None
            if inside is None:  # what is filled, and how much of it
                inside = [at for at in self.book.sheets[cells.sheet].places() if _within(at, cells)]
                filled = sum(self.book.sheets[cells.sheet].value(*at) is not None for at in inside)
                counted[str(cells)] = f"COUNTA({_absolute(cells)})", float(filled)
            found |= {(cells.sheet, place): None for place in inside if (cells.sheet, place) not in kept}
        watched: list[tuple[str, str, Cell]] = []
        for title, place in found:
            cell = f"{sheet_name(title)}!{address(*place)}"
            then = self._entries.get((title, place), self._value(title, place))
            shown = "error" if isinstance(then, CellError) else then
            watched.append((cell, f'IF(ISERROR({cell}),"error",IF({cell}="","",{cell}))', shown))
        return watched + [(f"filled cells of {cells}", now, then) for cells, (now, then) in counted.items()]

    def _say(self, kept: dict[tuple[str, Place], Kept]) -> None:
        """Say beside every stored line and every line that reads one what it is; and in the job's checks."""
        rows: dict[str, dict[int, int]] = {title: {} for title in self.book.sheets}
        for title, sheet in self.book.sheets.items():
            for place, formula in sheet.formulas.items():
                if (title, place) not in kept and self._reads(formula.text, title):
                    rows[title][place[0]] = _RESTS
        for title, (row, _) in kept:
            rows[title][row] = _WORDS
        for title, marked in rows.items():
            sheet = self.book.sheets[title]
            beside = max((column for _, column in sheet.places()), default=0) + 1
            for row in sorted(marked):
                if marked.get(row - 1) != marked[row]:  # the first of a block says it
                    sheet.replace(row, beside, "", formula=f"{STORED_SHEET}!$B${marked[row]}", style=0)
        self._amend("stops", "({})+" + f"{STORED_SHEET}!$B${_STOP}")
        words = f'"stopped: "&{STORED_SHEET}!$B${_WORDS}'
        self._amend("state", f"IF({STORED_SHEET}!$B${_STOP}>0,{words}," + "{})")

    def _reads(self, formula: str, sheet: str) -> bool:
        """Tell whether a formula reads what is stored."""
        return any(
            one.cells.sheet == cells.sheet
            and one.cells.top <= cells.bottom
            and cells.top <= one.cells.bottom
            and one.cells.left <= cells.right
            and cells.left <= one.cells.right
            for cells in self._areas(formula, sheet)
            for one in self.stored
        )

    def _amend(self, handle: str, template: str) -> None:
        """Let a check of the job, if the workbook has it, count what is stored and old."""
        cells = self.book.area(handle)
        if cells is None or cells.size > 1 or cells.sheet not in self.book.sheets:
            return
        sheet, place = self.book.sheets[cells.sheet], (cells.top, cells.left)
        formula = sheet.formulas.get(place)
        text = self._texts[cells.sheet].get(place, formula.text if formula else "")
        if formula and "⟦" not in text:
            value = self._value(cells.sheet, place)
            sheet.replace(*place, "" if value is None else value, formula=template.format(text))


def _within(place: Place, cells: Area) -> bool:
    return cells.top <= place[0] <= cells.bottom and cells.left <= place[1] <= cells.right


def _absolute(cells: Area) -> str:
    first, last = address(cells.top, cells.left), address(cells.bottom, cells.right)
    return f"{sheet_name(cells.sheet)}!{first}:{last}"


def _table(calls: list[Call]) -> bool:
    from sheetcalc.cells.registry import REGISTRY

    return any(call.name in REGISTRY and REGISTRY[call.name].columns for call in calls)


def _calls(formula: str) -> Iterator[tuple[Call, str]]:
    """Every call in a formula, nested ones too, with its unit system."""
    open_ends = [piece for piece in pieces(formula, FORMS) if isinstance(piece, Call)]
    while open_ends:
        call = open_ends.pop()
        words = [
            piece.strip('"').lower()
            for argument in call.arguments
            for piece in argument
            if isinstance(piece, str)
        ]
        yield call, next((word for word in reversed(words[-1:]) if word in SYSTEMS), "us")
        open_ends += [piece for argument in call.arguments for piece in argument if isinstance(piece, Call)]


def _parameters(call: Call):
    from sheetcalc.cells.registry import REGISTRY

    function = REGISTRY.get(call.name)
    if call.name == "ENTRY_PROBLEM" and call.arguments:
        asked = "".join(piece for piece in call.arguments[0] if isinstance(piece, str)).strip('"').upper()
        function = REGISTRY.get(asked)
        return [None, *(function.inputs if function else ())]
    return list(function.inputs) if function else []
