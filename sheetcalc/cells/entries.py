"""One cell as the value that a trade function takes."""

import datetime as dt
from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal
from math import isfinite
from numbers import Real
from typing import Any

from sheetcalc.cells.registry import Parameter
from sheetcalc.cells.units import inches, into_us, unit
from sheetcalc.cells.values import CellError
from sheetcalc.errors import EntryError, InputError, NotReadable
from sheetcalc.kinds import COURSES, TEXT, Kind
from sheetcalc.trade.lengths import parse_length

Read = Callable[[Any], Any]

_NUMBERS = (int, float, Decimal, Real)  # the usual ones first: asking for Real takes longest
_DATES = (dt.date, dt.time, dt.timedelta)
_LONGEST_SHOWN = 60


class ErrorGiven(EntryError):  # noqa: N818  (it says what the entry is)
    """A cell error in an argument; it is passed on as it is."""


def blank(cell: Any) -> bool:
    """Left out, empty, "" and text of blanks are one thing: not given."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def reader(parameter: Parameter, system: str) -> Read:
    """Build the function that reads one given cell of an argument, in us units.

    It raises `EntryError` for what cannot be read, a blank cell included.
    """
    if parameter.rest:
        return lambda cell: cell
    if parameter.choices:
        return _choice(parameter.name, parameter.choices)
    if parameter.kind is TEXT:
        return _text(parameter.name)
    number = _number(parameter.name, parameter.kind, system)
    if parameter.kind is COURSES:
        text = _text(parameter.name)
        return lambda cell: text(cell) if isinstance(cell, str) else number(cell)
    return number


def as_typed(cell: Any, kind: Kind, system: str) -> str:
    """Word what a cell holds, as the person sees it: the text typed, or the number with its unit."""
    if isinstance(cell, CellError):
        return cell.value
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, _NUMBERS):
        with suppress(OverflowError, ValueError):
            return f"{float(cell):.15g} {unit(kind, system)}".strip()
    text = str(cell)
    return f"“{text[:_LONGEST_SHOWN]}{'…' if len(text) > _LONGEST_SHOWN else ''}”"


def words(choices: tuple[str, ...]) -> str:
    """Word a choice.

    Examples
    --------
    >>> words(("flat", "quarter"))
    '“flat” or “quarter”'
    """
    *others, last = (f"“{choice}”" for choice in choices)
    return f"{', '.join(others)} or {last}" if others else last


def _number(name: str, kind: Kind, system: str) -> Read:
    convert = into_us(kind, system)

    def read(cell: Any) -> float:
        if type(cell) is not float:
            if kind.typed and isinstance(cell, str):
                return _length(name, cell, system)
            cell = _plain_number(name, cell, "a number or a length" if kind.typed else "a number")
        if not isfinite(cell):
            raise InputError(name, cell, "must be a finite number")
        return convert(cell) if convert else cell

    return read


def _plain_number(name: str, cell: Any, wanted: str) -> float:
    if isinstance(cell, _NUMBERS):
        try:
            return float(cell)
        except (OverflowError, ValueError):  # a whole number past all floats, a signalling NaN
            raise InputError(name, cell, "must be a number that a cell can hold") from None
    if isinstance(cell, CellError):
        raise ErrorGiven(name, cell, "must not be an error")
    if isinstance(cell, _DATES):
        raise NotReadable(name, cell, f"must be {wanted}: the spreadsheet took the entry for a date or time")
    raise NotReadable(name, cell, f"must be {wanted}")


def _length(name: str, text: str, system: str) -> float:
    try:
        typed = parse_length(text, system == "metric")
    except NotReadable as problem:
        raise NotReadable(name, text, problem.rule) from None
    if typed.fraction and not typed.unit and system == "metric":
        raise NotReadable(name, text, "must state its unit: a fraction is in inches, the call in millimetres")
    return inches(typed, system)


def _text(name: str) -> Read:
    def read(cell: Any) -> str:
        if isinstance(cell, str) and (text := cell.strip()):
            return text
        if isinstance(cell, CellError):
            raise ErrorGiven(name, cell, "must not be an error")
        raise NotReadable(name, cell, "must be text")

    return read


def _choice(name: str, choices: tuple[str, ...]) -> Read:
    known = {choice.lower(): choice for choice in choices}
    text = _text(name)

    def read(cell: Any) -> str:
        try:
            return known[text(cell).lower()]
        except (KeyError, NotReadable):
            raise NotReadable(name, cell, f"must be {words(choices)}") from None

    return read
