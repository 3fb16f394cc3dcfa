"""Comparisons that no float surprise can tip.

Tape readings are exact to 1/64 in at best, so numbers that differ by less than one part in a billion are the
same number. Whatever counts courses, boards, boxes or days compares and rounds through this module.
"""

import math

TOLERANCE = 1e-9


def same(a: float, b: float) -> bool:
    """Tell whether two numbers are equal, tolerance 1e-9 relative and at least absolute."""
    apart = abs(a - b)
    return apart <= TOLERANCE or apart <= TOLERANCE * max(abs(a), abs(b))


def over(a: float, b: float) -> bool:
    """Tell whether `a` is more than `b` by more than the tolerance."""
    more = a - b
    return more > TOLERANCE and more > TOLERANCE * max(abs(a), abs(b))


def under(a: float, b: float) -> bool:
    """Tell whether `a` is less than `b` by more than the tolerance."""
    less = b - a
    return less > TOLERANCE and less > TOLERANCE * max(abs(a), abs(b))


def round_up(number: float) -> int:
    """Round up to a whole number; a whole number plus a float's dust stays that number.

    Examples
    --------
    >>> round_up(0.1 * 3 * 10), round_up(3.001)
    (3, 4)
    """
    nearest = round(number)
    return nearest if same(number, nearest) else math.ceil(number)


def round_down(number: float) -> int:
    """Round down to a whole number; a whole number less a float's dust stays that number."""
    nearest = round(number)
    return nearest if same(number, nearest) else math.floor(number)


def settled(number: float) -> float:
    """Take a float's dust off zero, so that a tight fit reads 0 and never -1e-16."""
    return 0.0 if abs(number) <= TOLERANCE else number
