"""Tape readings: one ceiling measured in several places, where a place may have been left out."""

import math
from collections.abc import Sequence

from sheetcalc.errors import NotReadable, above

Taken = float | Sequence[float | None]
"""One reading, or one for each place measured; None is a place without a reading."""


def places(readings: Taken | None) -> list[float | None]:
    """List the places measured, those without a reading as None; a single reading is one place."""
    if readings is None or isinstance(readings, (int, float)):
        return [readings]
    return list(readings)


def given(name: str, readings: Taken | None) -> list[float]:
    """List the readings there are, each over 0.

    Raises
    ------
    NotReadable
        There is none, or one is no number.
    InputError
        A reading is not over 0.

    Examples
    --------
    >>> given("across", [120.25, None, 119.75])
    [120.25, 119.75]
    """
    found = [reading for reading in places(readings) if reading is not None]
    if not found:
        raise NotReadable(name, readings, "must hold a reading")
    for reading in found:
        above(0, **{name: reading})
    return found


def mean(values: Sequence[float]) -> float:
    """Mean of the readings, or of what follows from them at each."""
    return math.fsum(values) / len(values)
