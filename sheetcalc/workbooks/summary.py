"""What a computed workbook says, on one screen: its answers, and what stops it or deserves a look."""

from collections.abc import Mapping
from typing import NamedTuple

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.workbooks.compute import Report
from sheetcalc.workbooks.shown import shown
from sheetcalc.workbooks.wrong import Spot, wrong_entries

ANSWERS = "answers"  # handle of the lines to show: label, value, unit
PRICE = "price"  # handle of what the bid says: a number, or there is no bid
CHECKS = {"entries_needed": "missing", "stop_checks": "stop", "look_checks": "look"}
"""Handles of the tables of label, state and where, and what a check says whose state is not "ok"."""


_UNKNOWN = "not known"  # what a look says while something stops the job


class Points(NamedTuple):
    """What stops the price, and what deserves a look, in words."""

    stops: list[str]
    looks: list[str]


def points(report: Report) -> Points:
    """Read the checks of a computed workbook; one that has none has no points.

    Parameters
    ----------
    report : Report
        The computed workbook.

    Returns
    -------
    Points
        One sentence each.
    """
    stops: list[str] = []
    looks: list[str] = []
    failing: dict[Spot, str] = {}
    unknown = 0
    for table, word in CHECKS.items():
        for row, (label, state, where, *_) in enumerate(_rows(report, table)):
            said = f"{word}: {_so(word, state)}{shown(label)} ({shown(where)})"
            if state == "ok":
                continue
            if word == "stop":
                failing[_cell(report, table, row)] = said
            elif word == "missing":
                stops.append(said)
            elif state == _UNKNOWN:
                unknown += 1
            else:  # an error among the looks stops nothing
                looks.append(said)
    if stops:
        looks.clear()  # nothing is worth a look before there is a price
    elif unknown:
        looks.append(f"look: {unknown} point{'s' * (unknown > 1)} cannot be told until that is mended")
    folded = _folded(report, failing)
    return Points(stops + folded.stops, looks + folded.looks)


def _folded(report: Report, failing: Mapping[Spot, str]) -> Points:
    """Say which entries are wrong, and only count the checks that fail with them.

    A wrong entry with which none fails stops nothing: the workbook has its price.
    """
    behind = {spot: report.host.behind([spot]) for spot in failing}
    wrong = wrong_entries(report.host, report.handles, behind)
    stopping = [one for one in wrong if any(not one.spots.isdisjoint(cells) for cells in behind.values())]
    looks = [f"look: {one.sentence}" for one in wrong if one not in stopping]
    spots = {spot for one in stopping for spot in one.spots}
    alone = [said for spot, said in failing.items() if spots.isdisjoint(behind[spot])]
    follow = len(failing) - len(alone)
    checks, them = "check fails" if follow == 1 else "checks fail", "it" if len(stopping) == 1 else "them"
    more = [f"stop: {follow} {checks} with {them}"] if follow else []
    return Points([*(f"stop: {one.sentence}" for one in stopping), *more, *alone], looks)


def _cell(report: Report, table: str, row: int) -> Spot:
    """Where the state of a check stands."""
    area = report.handles.area(table)
    return area.sheet, (area.top + row, area.left + 1)


def _so(word: str, state: Cell) -> str:
    """Say that things are not as a check's sentence tells that they ought to be."""
    if word == "missing":
        return ""
    return "not known: " if state == _UNKNOWN else "not so: "


def summary(report: Report) -> list[str]:
    """Lines for a screen: the file, its answers, what to look at, what could not be computed.

    Parameters
    ----------
    report : Report
        The computed workbook.

    Returns
    -------
    list of str
        One line each.
    """
    lines = [f"{report.file} computed"]
    if ANSWERS in set(report.handles):
        area = report.handles.area(ANSWERS)
        formats = report.host.book.number_format
        for row, (label, value, unit, *_) in enumerate(_rows(report, ANSWERS), start=area.top):
            code = formats(area.sheet, row, area.left + 1)
            if not isinstance(value, CellError):
                value = f"{shown(value, code)} {shown(unit)}" if value not in (None, "") else "-"
            lines.append(f"  {shown(label):<26} {shown(value)}")
    lines += [f"  {look}" for look in points(report).looks]
    lines += [f"  emptied, no value was given for it: {cell}" for cell in report.emptied]
    lines += [f"  not computed, its stored value kept: {formula}" for formula in report.unevaluated]
    lines += [f"  a fault of sheetcalc, please report it: {bug}" for bug in report.bugs]
    return lines


def _rows(report: Report, handle: str) -> list[list[Cell]]:
    if handle not in set(report.handles):
        return []
    rows = report.value(handle)
    return rows if isinstance(rows, list) else [[rows]]
