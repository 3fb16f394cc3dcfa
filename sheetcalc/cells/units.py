"""Between the person's unit system and the us units of the trade functions.

Factors are exact fractions, multiplied by their numerator before divided by their denominator: so 12.7 mm is
half an inch and 20 °C is 68 °F with no float's dust. This is the only module that knows the units library,
which is imported at the first metric conversion.
"""

import math
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any

from sheetcalc.kinds import Kind
from sheetcalc.trade.lengths import (
    MM_PER_INCH,
    TypedLength,
    cut_feet,
    cut_inches,
    cut_millimetres,
    feet_inches,
    inch_fraction,
    metre_words,
    millimetre_words,
)

Convert = Callable[[float], float]

DIGITS = 13
"""Significant digits of a metric answer: past them a float holds the dust of its conversion."""


def unit(kind: Kind, system: str) -> str:
    """Name the unit of a kind as shown to a person; "" for what has none."""
    return kind.metric if system == "metric" else kind.us


def into_us(kind: Kind, system: str) -> Convert | None:
    """Conversion of a number in the person's unit; None where nothing is to convert.

    Examples
    --------
    >>> from sheetcalc.kinds import TEMPERATURE
    >>> into_us(TEMPERATURE, "metric")(20)
    68.0
    """
    if system == "us" or kind.units is None:
        return None
    slope, start = _line(kind.units[1], kind.units[0])
    return _along(slope, start)


def from_us(kind: Kind, system: str) -> Convert | None:
    """Conversion of an answer to the person's unit; None where nothing is to convert."""
    if system == "us" or kind.units is None:
        return None
    slope, start = _line(kind.units[0], kind.units[1])
    exact = _along(slope, start)
    return lambda number: float(f"{exact(number):.{DIGITS - 1}e}")


def inches(typed: TypedLength, system: str) -> float:
    """Typed length in inches; without a unit of its own it has the unit of the call."""
    metric = typed.unit == "mm" or (not typed.unit and system == "metric")
    return float(typed.number / MM_PER_INCH if metric else typed.number)


METRIC_WORDS = {
    feet_inches: metre_words,
    inch_fraction: millimetre_words,
    cut_inches: cut_millimetres,
    cut_feet: cut_millimetres,
}
"""What words a length in metric instead of what does in inches."""


def _along(slope: Fraction, start: Fraction) -> Convert:
    below = math.lcm(slope.denominator, start.denominator)
    rise, base = int(slope * below), int(start * below)
    return lambda number: (number * rise + base) / below


@cache
def _line(source: str, target: str) -> tuple[Fraction, Fraction]:
    # A number in `target` is slope * number in `source` + start; only temperatures start elsewhere than at 0.
    start, one = (Fraction(_quantity()(Fraction(n), source).to(target).magnitude) for n in (0, 1))
    return one - start, start


@cache
def _quantity() -> Any:
    import pint  # slow, and a us call needs none of it

    units: Any = pint.UnitRegistry
    return units(non_int_type=Fraction).Quantity
