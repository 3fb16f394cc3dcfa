"""What a computed workbook says, on one screen: its answers, and what stops it or deserves a look."""

from typing import NamedTuple

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.workbooks.compute import Report
from sheetcalc.workbooks.shown import shown

ANSWERS = "answers"  # handle of the lines to show: label, value, unit
CHECKS = {"entries_needed": "missing", "stop_checks": "stop", "look_checks": "look"}
"""Handles of the tables of label, state and where, and what a check says whose state is not "ok"."""


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
    for table, word in CHECKS.items():
        found = looks if word == "look" else stops  # an error among the looks stops nothing
        for label, state, where, *_ in _rows(report, table):
            if state != "ok":
                found.append(f"{word}: {_so(word, state)}{shown(label)} ({shown(where)})")
    if any(stop.startswith("missing") for stop in stops):
        looks.clear()  # nothing is worth a look before there is a price
    return Points(stops, looks)


def _so(word: str, state: Cell) -> str:
    """Say that things are not as a check's sentence tells that they ought to be."""
    if word == "missing":
        return ""
    return "not known: " if state == "not known" else "not so: "


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
