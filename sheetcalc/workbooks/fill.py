"""Fill a form of the estimator's own: its names that are handles of the takeoff get their values.

Everything else in the form keeps its bytes. Nothing is overwritten that was not meant, and nothing is cut:
what does not fit is told, and where a value is missing the cell is emptied, so that no older one stays.
"""

import os
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.formulas import within
from sheetcalc.hosts.headless import Headless, HostProblem
from sheetcalc.workbooks.compute import Report
from sheetcalc.workbooks.formats import Formats
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.workbooks.kept import Kept
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.package import FileProblem, check_free, check_unlocked
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Name, NumberFormat, Workbook

_FROM_1904 = 1462  # days between the two ways to count dates


@dataclass(frozen=True)
class Filled:
    """What came of filling a form.

    Parameters
    ----------
    file : Path
        The file that was written.
    report : Report
        The takeoff, computed afresh.
    taken : list of (str, str, str)
        Name, where it stands in the form, and what stands there now, in words.
    told : list of str
        What deserves a look: names that the takeoff has not, names that hold nothing.
    problems : list of str
        What was not filled, and why.
    """

    file: Path
    report: Report
    taken: list[tuple[str, str, str]] = field(default_factory=list[tuple[str, str, str]])
    told: list[str] = field(default_factory=list[str])
    problems: list[str] = field(default_factory=list[str])


class _NotFilled(Exception):  # noqa: N818  (a sentence for the person)
    """Why a name of the form is not filled."""


class _Write(NamedTuple):
    """What a cell of the form gets, and the number format that it has in the takeoff."""

    value: Cell
    looks: NumberFormat


class _Match(NamedTuple):
    """A name of the form, and the cells that it means in both files."""

    name: str
    form: Area
    takeoff: Area


Writes = dict[tuple[str, Place], _Write]


def fill(
    form: str | os.PathLike[str],
    takeoff: Report,
    output: str | os.PathLike[str],
    *,
    force: bool = False,
) -> Filled:
    """Write a form with the values of a takeoff.

    Parameters
    ----------
    form : path-like
        The form, .xlsx or .xlsm; it stays as it is.
    takeoff : Report
        The takeoff as `compute.opened` gives it, computed afresh.
    output : path-like
        Where to write.
    force : bool, optional
        Overwrite another file there.

    Returns
    -------
    Filled
        What was filled, and what was not.

    Raises
    ------
    Problem
        A file cannot be read or written, or the form has none of the takeoff's names.
    """
    written = Path(output).resolve()
    for what, path in (("form", Path(form)), ("takeoff", takeoff.file)):
        if written == path.resolve():
            raise FileProblem(f"{path.name} is the {what} itself: give the filled form another name.")
    check_free(Path(output), force=force)
    check_unlocked(Path(output))
    target = Workbook(form)
    work = _Work(target, Filled(Path(output), takeoff))
    work.fill()
    target.save(output, force=force)
    return work.filled


def for_you_alone(filled: Filled, inside: Collection[str], shown_on: Iterable[str]) -> list[str]:
    """List the single figures in a filled form that stand on inside sheets and are not shown to others.

    Parameters
    ----------
    filled : Filled
        The filled form.
    inside : collection of str
        Sheets of the takeoff with figures that are nobody else's.
    shown_on : iterable of str
        Sheets of it that others get.
    """
    report = filled.report
    used = [
        area
        for title in shown_on
        if (sheet := report.host.book.sheets.get(title))
        for at in sheet.formulas
        for area in report.host.uses((title, at))
    ]
    cells = {name: report.handles.area(name) for name, _, _ in filled.taken}
    return [
        name
        for name, area in cells.items()
        if area.size == 1
        and area.sheet in inside
        and not any(one.sheet == area.sheet and _overlap(one, area) for one in used)
    ]


class _Work:
    # One form on its way to being filled.

    def __init__(self, book: Workbook, filled: Filled) -> None:
        self.book = book
        self.filled = filled
        self._handles = filled.report.handles
        self._host = filled.report.host
        self._kept = {title: Kept(book, sheet) for title, sheet in book.sheets.items()}
        self._writes: Writes = {}

    def fill(self) -> None:
        matches = list(self._matches())
        if not matches and not self.filled.problems:
            raise FileProblem(
                f"{self.book.file} has no name that is one of {self.filled.report.file.name}; "
                "“sheetcalc names” lists them."
            )
        tables: dict[Area, list[_Match]] = {}
        for match in matches:
            tables.setdefault(match.takeoff._replace(left=0, right=0), []).append(match)
        for columns in tables.values():
            self._take(columns)
        self._put()

    # --- Names ---

    def _matches(self) -> Iterator[_Match]:
        """Names that both files have."""
        for name in self.book.names:
            if name.name.startswith("_"):  # the programs' own, as _xlnm.Print_Area
                continue
            try:
                takeoff = self._handles.area(name.name)
            except HandleProblem as problem:
                self._told_unknown(name, problem)
                continue
            if name.area is None or name.area.sheet not in self.book.sheets:
                self.filled.problems.append(f"{name.name}: it means no block of cells in {self.book.file}")
                continue
            yield _Match(name.name, name.area, takeoff)

    def _told_unknown(self, name: Name, problem: HandleProblem) -> None:
        if name.area is None:
            return  # a constant or a formula of its own
        close = get_close_matches(name.name.lower(), self._handles, n=3)
        hint = f"; close to it: {', '.join(close)}" if close else ""
        about = f"{name.name}: no name of {self.filled.report.file.name}, left alone{hint}"
        about = str(problem).rstrip(".") if "has no" in str(problem) else about
        old = self._typed_number(name.area) if close or "has no" in about else None
        if old is None:
            self.filled.told.append(about)
        else:  # it may be meant for a name of the takeoff, and the number may be of an older job
            self.filled.problems.append(f"{about}; {old} keeps its number")

    def _typed_number(self, cells: Area) -> Area | None:
        """Find the first number that is typed in these cells of the form."""
        sheet = self.book.sheets.get(cells.sheet)
        if sheet is None:
            return None
        for at in within(cells, frozenset(sheet.places())):
            if isinstance(sheet.value(*at), float) and not sheet.computed(*at):
                return Area(cells.sheet, *at, *at)
        return None

    def _get(self, sheet: str, at: Place) -> Cell:
        value = self._host.get(sheet, address(*at))
        assert not isinstance(value, list)
        return value

    # --- What goes where ---

    def _fitted(self, match: _Match, rows: list[int]) -> Writes:
        """Cells of the form and what they get, if all of it fits."""
        form, takeoff = self._unmerged(match.form), match.takeoff
        high, wide = form.bottom - form.top + 1, form.right - form.left + 1
        cells = takeoff.right - takeoff.left + 1
        if wide != cells:
            raise _NotFilled(f"a row of it has {_count(cells, 'cell')}, in the form {wide}")
        if len(rows) > high:
            raise _NotFilled(f"{_count(len(rows), 'row')} are in use, the form has {high}")
        if takeoff.top == takeoff.bottom and high > 1:
            raise _NotFilled(f"it is one value, but the form has {high} rows for it")
        sheet, kept = self.book.sheets[form.sheet], self._kept[form.sheet]
        found: Writes = {}
        for place, line in enumerate(form.rows()):
            of_row = rows[place] if place < len(rows) else None
            for offset, at in enumerate(line):
                if sheet.computed(*at):
                    if of_row is None:
                        continue  # a formula behind the last row stays
                    raise _NotFilled(f"{address(*at)} holds a formula, which stays")
                if at in kept.headings:
                    raise _NotFilled(f"{address(*at)} is the heading or total of a table, which stays")
                source = (takeoff.sheet, of_row or takeoff.top, takeoff.left + offset)
                value = self._get(source[0], source[1:]) if of_row else None
                found[form.sheet, at] = _Write(value, self._host.book.number_format(*source))
        return found

    def _unmerged(self, cells: Area) -> Area:
        """Cells to write into: of one merged cell the first, which holds what it shows."""
        first = cells._replace(bottom=cells.top, right=cells.left)
        for merged in self._kept[cells.sheet].merged:
            if not _overlap(merged, cells):
                continue
            if (merged.top, merged.left) == (cells.top, cells.left) and _within(cells, merged):
                return first
            raise _NotFilled(f"{merged} is merged: a table needs single cells")
        return cells

    def _take(self, columns: list[_Match]) -> None:
        """Take columns of one table of the takeoff, or none of them: half a table would mislead."""
        cells = columns[0].takeoff
        table = cells.top < cells.bottom
        rows = [cells.top]
        if table:
            rows = self._handles.in_use([match.takeoff for match in columns], self._get)
        fitted: list[tuple[_Match, Writes]] = []
        refused = ""
        taken = dict(self._writes)
        for match in columns:
            try:
                found = self._fitted(match, rows)
                if clash := [at for at, one in found.items() if taken.get(at, one).value != one.value]:
                    raise _NotFilled(f"{address(*clash[0][1])} belongs to another name too")
                taken |= found
                fitted.append((match, found))
            except _NotFilled as problem:
                refused = refused or match.name
                self._refuse(match, str(problem))
        for match, found in fitted:
            if table and refused:
                self._refuse(match, f"nothing of its table is written, since {refused} does not fit")
            else:
                self._writes |= found
                self._tell(match, found, len(rows))

    def _refuse(self, match: _Match, why: str) -> None:
        self.filled.problems.append(f"{match.name} ({match.form}): {why}")

    def _tell(self, match: _Match, found: Writes, rows: int) -> None:
        sheet = self.book.sheets[match.form.sheet]
        for (_, at), one in found.items():
            if isinstance(one.value, CellError):
                why = self._host.reason(match.takeoff.sheet, address(match.takeoff.top, match.takeoff.left))
                reason = f": {why}" if why and match.takeoff.size == 1 else ""
                left = f"{one.value.value} in {self.filled.report.file.name}{reason}"
                self.filled.problems.append(
                    f"{match.name} ({Area(match.form.sheet, *at, *at)}) is left empty: {left}"
                )
        held = [one for one in found.values() if one.value not in (None, "")]
        if match.takeoff.size == 1:
            (((title, at), one),) = found.items()
            words = "" if isinstance(one.value, CellError) else shown(one.value, self._looks(title, at, one))
        else:
            words = f"{rows} of {match.form.bottom - match.form.top + 1} rows"
        self.filled.taken.append((match.name, str(match.form), words or "(empty)"))
        emptied = [
            address(*at)
            for (_, at), one in found.items()
            if one.value in (None, "") and sheet.value(*at) not in (None, "")
        ]
        if not held:
            self.filled.told.append(f"{match.name}: {self.filled.report.file.name} holds nothing there yet")
        elif emptied:
            self.filled.told.append(f"{match.name}: emptied what stood in {', '.join(emptied)}")

    # --- Into the file ---

    def _put(self) -> None:
        formats = Formats(self.book)
        values: dict[tuple[str, Place], Cell] = {}
        for (title, at), one in self._writes.items():
            values[title, at] = self._value(one, self.book.number_format(title, *at))
        self._recompute(values)
        for (title, at), one in self._writes.items():
            sheet, value = self.book.sheets[title], values[title, at]
            plain = self.book.number_format(title, *at) == "General"
            if plain and isinstance(value, float) and one.looks != "General":  # a date would show as 46,126
                sheet.replace(*at, value, style=formats.with_code(sheet.style(*at), one.looks))
            else:
                sheet.put(*at, value)
        formats.save()

    def _value(self, one: _Write, own: NumberFormat) -> Cell:
        """Give what the cell gets: words where it takes text, and dates counted as the form counts them."""
        if isinstance(one.value, CellError) or one.value == "":
            return None
        if isinstance(one.value, str):
            return one.value
        if own.text and one.value is not None:
            return shown(one.value, one.looks)
        days = self.book.date_1904 - self._host.book.date_1904
        return one.value - days * _FROM_1904 if days and one.looks.date and one.value else one.value

    def _looks(self, title: str, at: Place, one: _Write) -> str:
        own = self.book.number_format(title, *at)
        return one.looks if own in ("General", "@") else own

    def _recompute(self, values: dict[tuple[str, Place], Cell]) -> None:
        """Store what the form's own formulas come to, as far as the new values change it."""
        formulas = [(title, at) for title, sheet in self.book.sheets.items() for at in sheet.places()]
        formulas = [(title, at) for title, at in formulas if self.book.sheets[title].computed(*at)]
        if not formulas:
            return
        self.book.calculate_on_opening()
        try:
            host = Headless(self.book)
            before = {cell: host.get(cell[0], address(*cell[1])) for cell in formulas}
            for (title, at), value in values.items():
                host.set(title, address(*at), value)
            host.recalculate()
        except HostProblem as problem:
            self.filled.told.append(f"{str(problem).rstrip('.')}; a program does so on opening")
            return
        for (title, at), was in before.items():
            now, sheet = host.get(title, address(*at)), self.book.sheets[title]
            if not isinstance(now, list) and (now != was or sheet.value(*at) is None):
                sheet.show(*at, now)
        if count := len(host.unevaluated):
            many = _count(count, "formula")
            self.filled.told.append(f"{many} of the form could not be worked out here: open it once")


def _count(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _overlap(one: Area, other: Area) -> bool:
    return (
        one.top <= other.bottom
        and other.top <= one.bottom
        and one.left <= other.right
        and other.left <= one.right
    )


def _within(inner: Area, outer: Area) -> bool:
    return (
        outer.top <= inner.top
        and inner.bottom <= outer.bottom
        and outer.left <= inner.left
        and inner.right <= outer.right
    )
