"""Which entries move a result most: each moved by a step, down and up, everything else as it stands."""

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from sheetcalc.cells.values import Cell
from sheetcalc.errors import EntryError
from sheetcalc.hosts.headless import Bug
from sheetcalc.trade.lengths import inch_fraction, parse_length
from sheetcalc.workbooks.compare.vary import is_number
from sheetcalc.workbooks.compare.what_if import Shown, Spot, WhatIf
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.workbooks.names import names, words
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.cells import number_text

STEPS = (
    "Each entry moved by: lengths 1/8 in or 3 mm, percentages 1 point, whole numbers 1, everything else 10 %."
)
STEP_ENTRY, STEP_SIZE = "step_entry", "step_size"
"""Names of two columns side by side in which a workbook states steps of its own."""
_SHARE = 0.1
_LENGTHS = {"in": Fraction(1, 8), "mm": Fraction(3)}
_INCH = Fraction(254, 10)  # mm
_ASSUMED = "assumed_value.assumed_{}"  # handle of what stands in for a blank entry
_STEP = re.compile(r"([\d./ -]+?)\s*(%?)")


class Step(NamedTuple):
    """How far an entry is moved: a share of its value, or an amount in its own unit, such as points."""

    amount: Fraction
    share: bool


class Moved(NamedTuple):
    """An entry, its step, what the result becomes by it less and by it more, and why if it cannot."""

    handle: str
    label: str
    value: str
    step: str
    results: tuple[Cell, Cell]
    reason: str


@dataclass(frozen=True)
class Sensitivity:
    """What moves a result.

    Parameters
    ----------
    file : str
        Name of the workbook.
    of : Shown
        The result.
    now : float
        Its value as the workbook stands.
    moves : list of Moved
        Entries that move it, the one that moves it most first.
    stuck : list of Moved
        Entries that bring an error or no result, with the reason.
    still : int
        Entries that it depends on, but that move nothing.
    steps : str
        The steps in words.
    bugs : list of Bug
        Calls that failed through no fault of the entries.
    """

    file: str
    of: Shown
    now: float
    moves: list[Moved]
    stuck: list[Moved]
    still: int
    steps: str
    bugs: list[Bug]

    def change(self, moved: Moved) -> tuple[float | None, float | None]:
        """By how much the result becomes more, for the step down and the step up."""
        less, more = (value - self.now if is_number(value) else None for value in moved.results)
        return less, more


class _Line(NamedTuple):
    # An entry as an estimator sees it: one line, or one column of a table.
    handle: str
    label: str
    unit: str
    values: dict[Spot, Cell]  # what is moved; of a blank entry what is assumed


def step(text: str) -> tuple[str, Step]:
    """Read a step: 5%, HANDLE=1/4 or HANDLE=5%; the handle is "" for all entries.

    Raises
    ------
    HandleProblem
        It is none, or not over 0.

    Examples
    --------
    >>> step("gap=1/4")
    ('gap', Step(amount=Fraction(1, 4), share=False))
    >>> step("5%")
    ('', Step(amount=Fraction(1, 20), share=True))
    """
    handle, given, amount = text.rpartition("=")
    found = _step(amount)
    if not found or not (given or found.share):
        raise HandleProblem(f"--step takes a share such as 5%, HANDLE=1/4 or HANDLE=5%, not {text!r}.")
    return handle.strip(), found


def _step(text: str) -> Step | None:
    found = _STEP.fullmatch(text.strip())
    try:
        number = parse_length(found[1]).number if found else Fraction(0)
    except EntryError:
        return None
    if not found or number <= 0:
        return None
    return Step(number / 100 if found[2] else number, bool(found[2]))


def steps_stated(job: WhatIf) -> dict[str, Step]:
    """Read the steps that the workbook states: the entry's name or its label, in lower case, and its step.

    Raises
    ------
    HandleProblem
        A step cannot be read, or there is no such entry.
    """
    if not {STEP_ENTRY, STEP_SIZE} <= set(job.handles):
        return {}
    found: dict[str, Step] = {}
    columns = (job.handles.area(STEP_ENTRY), job.handles.area(STEP_SIZE))
    for row in range(columns[0].top, columns[0].bottom + 1):
        entry, size = (job.stored((cells.sheet, (row, cells.left))) for cells in columns)
        if entry in (None, "") and size in (None, ""):
            continue
        where = f"{columns[0].sheet}, row {row}"
        looks = job.book.number_format(columns[1].sheet, row, columns[1].left)
        if is_number(size) and looks.date:
            raise HandleProblem(f"{where}: the step of {entry} has become a date: type '1/4, or 0.25.")
        words = number_text(size) if is_number(size) else str(size or "")
        by = _step(words)
        if by and is_number(size) and looks.percent:
            by = Step(Fraction(words), share=True)
        if by is None:
            raise HandleProblem(
                f"{where}: the step of {entry or 'no entry'} is {f'“{size}”' if size else 'missing'}: "
                "type 1/4, 5% or 2."
            )
        name = str(entry or "").strip().lower()
        if name in found:
            raise HandleProblem(f"{where}: the step of {entry} is stated twice.")
        found[name] = by
    told = {word.lower() for one in names(job.book) for word in (one.handle, one.label)}
    if unknown := [entry for entry in found if entry not in told | {*job.handles}]:
        raise HandleProblem(f"{columns[0].sheet}: there is no entry “{unknown[0]}” to move by a step.")
    return found


def sensitivity(
    job: WhatIf,
    of: str = "price",
    steps: Sequence[tuple[str, Step]] = (),
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Sensitivity:
    """Move each entry that a result depends on, and see what becomes of the result.

    Parameters
    ----------
    job : WhatIf
        The workbook.
    of : str, optional
        Handle of the result.
    steps : sequence of pairs, optional
        Handles and steps, as `step` reads them.
    progress : callable, optional
        Told after each entry how many are done, of how many.

    Raises
    ------
    Problem
        There is no such result, or it is no number as the workbook stands.
    """
    asked = job.shown([of])
    if len(asked) != 1:
        raise HandleProblem(f"{of} has several values: name one, such as {asked[0].handle}.")
    (now,) = job.answers({}, asked)
    if not is_number(now):
        why = job.reason({}, asked)
        raise HandleProblem(f"{of} is no number as the workbook stands" + (f": {why}." if why else "."))
    own = {handle.lower(): given for handle, given in steps if handle}
    usual = next((given for handle, given in reversed(steps) if not handle), None)
    for handle in own:
        job.handles.area(handle)
    lines = [line for line in _lines(job, asked[0].spot) if line.values]
    stated = steps_stated(job)
    if unknown := set(own) - {line.handle for line in lines}:
        raise HandleProblem(f"{of} depends on no number or length that is entered as {sorted(unknown)[0]}.")
    moves: list[Moved] = []
    for number, line in enumerate(lines, start=1):
        of_workbook = stated.get(line.handle) or stated.get(line.label.lower())
        moves.append(_moved(job, asked, line, own.get(line.handle) or of_workbook or usual))
        progress(number, len(lines))
    stuck = [moved for moved in moves if moved.reason]
    told = STEPS
    if usual:
        share = f"{float(usual.amount * 100):g} %"
        told = f"Each entry moved by {share} of its value, unless its own step says otherwise."
    if stated:
        told += f" Stated in the workbook: {', '.join(stated)}."
    found = Sensitivity(job.book.file, asked[0], now, [], stuck, 0, told, job.host.bugs)
    size = {moved.handle: max(abs(change or 0.0) for change in found.change(moved)) for moved in moves}
    moving = sorted((one for one in moves if size[one.handle] > 0), key=lambda one: -size[one.handle])
    still = sum(not size[one.handle] and not one.reason for one in moves)
    return Sensitivity(job.book.file, asked[0], now, moving, stuck, still, told, job.host.bugs)


def _moved(job: WhatIf, asked: Sequence[Shown], line: _Line, given: Step | None) -> Moved:
    sheet, at = next(iter(line.values))
    looks = job.book.number_format(sheet, *at)
    by = given or _usual_step(line, looks.percent, str(looks))
    results: list[Cell] = []
    reason = ""
    for sign in (-1, 1):
        entries = {
            spot: _changed(value, by, sign, line.unit, percent=looks.percent)
            for spot, value in line.values.items()
        }
        (result,) = job.answers(entries, asked)
        results.append(result)
        if not is_number(result) and not reason:
            way = "less" if sign < 0 else "more"
            reason = f"{way}: {job.reason(entries, asked) or 'no number comes out'}"
    said = {shown(value, looks) for value in line.values.values()}
    value = said.pop() if len(said) == 1 else f"{len(line.values)} values"
    return Moved(
        line.handle,
        line.label,
        value,
        _step_words(by, line.unit, percent=looks.percent),
        (results[0], results[1]),
        reason,
    )


def _usual_step(line: _Line, percent: bool, looks: str) -> Step:
    if percent:
        return Step(Fraction(1), False)
    if line.unit in _LENGTHS:
        return Step(_LENGTHS[line.unit], False)
    whole = all(is_number(value) and value == int(value) for value in line.values.values())
    if looks == "0" and whole:
        return Step(Fraction(1), False)
    return Step(Fraction(_SHARE).limit_denominator(100), True)


def _changed(value: Cell, by: Step, sign: int, unit: str, *, percent: bool) -> Cell:
    """Value that an entry is given; a length keeps the unit that it was typed in."""
    if is_number(value):
        if by.share:
            return value + sign * abs(value) * float(by.amount)
        return _plain(value + sign * float(by.amount / 100 if percent else by.amount))
    length = parse_length(str(value))
    own = length.unit or unit
    amount = by.amount * (_INCH if (unit, own) == ("in", "mm") else 1)
    amount = amount / _INCH if (unit, own) == ("mm", "in") else amount
    number = length.number * (1 + sign * by.amount) if by.share else length.number + sign * amount
    return f"{number_text(float(number))} {length.unit}" if length.unit else float(number)


def _plain(number: float) -> float:
    return round(number, 12)  # 0.25 - 0.01 without a float's dust


def _step_words(by: Step, unit: str, *, percent: bool) -> str:
    if by.share:
        share = f"{float(by.amount * 100):g} %"
        return f"{share} of it" if percent else share
    if percent:
        return f"{float(by.amount):g} point{'s' if by.amount != 1 else ''}"
    if unit == "in":
        return f"{inch_fraction(float(by.amount))} in"
    return f"{float(by.amount):g} {unit}".strip()


def _lines(job: WhatIf, of: Spot) -> Iterator[_Line]:
    """Entries that a result depends on, in the order of the workbook."""
    behind = job.host.behind([of])
    owners = job.handles.owners()
    cells: dict[str, list[Spot]] = {}
    titles = list(job.book.sheets)
    for spot in sorted(behind & owners.keys(), key=lambda spot: (titles.index(spot[0]), spot[1])):
        if not job.book.sheets[spot[0]].computed(*spot[1]):
            cells.setdefault(owners[spot], []).append(spot)
    for handle, spots in cells.items():
        label, unit = words(job.book, job.handles, handle)
        yield _Line(handle, label, unit, dict(_values(job, handle, spots, unit)))


def _values(job: WhatIf, handle: str, spots: Sequence[Spot], unit: str) -> Iterator[tuple[Spot, Cell]]:
    """Numbers and lengths in these cells; where all is blank, what is assumed."""
    for spot in spots:
        value = job.stored(spot)
        assumed = _ASSUMED.format(handle)
        if value in (None, "") and len(spots) == 1 and assumed in set(job.handles):
            area = job.handles.area(assumed)
            value = job.value({}, (area.sheet, (area.top, area.left)))
        if job.book.number_format(spot[0], *spot[1]).date:
            continue
        if is_number(value) and math.isfinite(value):
            yield spot, value
        elif isinstance(value, str) and unit in _LENGTHS:
            try:
                parse_length(value)
            except EntryError:
                continue
            yield spot, value
