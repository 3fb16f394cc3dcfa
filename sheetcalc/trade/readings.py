"""What the readings of a ceiling say about its shape."""

import math
from typing import Annotated

from sheetcalc.compare import over, settled, under
from sheetcalc.errors import InputError, above, at_least
from sheetcalc.kinds import Area, InMetric, Length, Readings
from sheetcalc.trade.tape import given, mean

__all__ = ["ceiling_area", "out_of_parallel", "out_of_square", "slope_length"]


def out_of_parallel(across: Readings) -> Length:
    """Widest less narrowest reading across the boards: how far two walls are from parallel.

    Parameters
    ----------
    across : float or sequence of float
        Readings at right angles to the boards [in].

    Returns
    -------
    float
        Widest less narrowest [in]; 0 for a single reading.

    Raises
    ------
    NotReadable
        There is no reading.
    InputError
        A reading is not over 0.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> out_of_parallel([120.25, 120, 119.5])
    0.75
    """
    readings = given("across", across)
    return settled(max(readings) - min(readings))


def out_of_square(along: Readings, diagonal_1: Length, diagonal_2: Length) -> Length:
    """How far the far wall is slipped along the boards, from the two diagonals; 0 is square.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in]; several count as their mean.
    diagonal_1, diagonal_2 : float
        The two diagonals, corner to corner [in].

    Returns
    -------
    float
        Slip of the far side against the near one [in], positive towards the far corner that `diagonal_1`
        reaches, negative when `diagonal_2` is the longer.

    Raises
    ------
    NotReadable
        There is no reading.
    InputError
        A measure is not over 0, or half of each diagonal and the side make no triangle: one of the three was
        misread.

    Notes
    -----
    In a parallelogram with the side L along the boards and diagonals d1, d2:

    .. math:: s = (d_1^2 - d_2^2) / (4 L)

    The diagonals halve each other, so d1/2, d2/2 and L are a triangle: abs(d1 − d2)/2 < L < (d1 + d2)/2.
    Walls that are also out of parallel make the slip an approximation.

    References
    ----------
    Plane geometry; equal diagonals as the test of square are common practice, no source.

    Examples
    --------
    >>> out_of_square(192, 240, 228)
    7.3125
    """
    readings = given("along", along)
    above(0, diagonal_1=diagonal_1, diagonal_2=diagonal_2)
    side = math.fsum(readings) / len(readings)
    difference, total = diagonal_1 - diagonal_2, diagonal_1 + diagonal_2
    if not (over(side, abs(difference) / 2) and under(side, total / 2)):
        raise InputError(
            "along", along, "must be over half the difference and under half the sum of the diagonals"
        )
    return difference * total / (4 * side)


def slope_length(run: Length, rise: Length, per: Annotated[Length, InMetric(100)] = 12) -> Length:
    r"""Length up a slope from its level run and its rise: 3 in 12, or 25 in 100 in metric.

    Parameters
    ----------
    run : float
        Level distance [in].
    rise : float
        Rise for each `per` of level distance [in]; 0 is level.
    per : float, optional
        The level distance that `rise` is stated for [in]; 12 in (100 mm in metric).

    Returns
    -------
    float
        Length along the slope [in].

    Raises
    ------
    InputError
        `run` or `per` is not over 0, or `rise` is under 0.

    Notes
    -----
    .. math:: length = run \sqrt{1 + (rise/per)^2}

    References
    ----------
    Pythagoras; the 5-12-13 triangle.

    Examples
    --------
    >>> slope_length(120, 5)
    130.0
    """
    above(0, run=run, per=per)
    at_least(0, rise=rise)
    return run * math.hypot(rise, per) / per


def ceiling_area(across: Readings, along: Readings) -> Area:
    """Area of a ceiling, from the mean of the readings each way.

    Parameters
    ----------
    across : float or sequence of float
        Readings at right angles to the boards [in].
    along : float or sequence of float
        Readings along the boards [in].

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    NotReadable
        There is no reading one way.
    InputError
        A reading is not over 0.

    Notes
    -----
    Exact for a rectangle, and for walls out of parallel one way only (a trapezoid read at both ends).

    References
    ----------
    WWPA, *Natural Wood Siding*: area is length times width, less openings.

    Examples
    --------
    >>> ceiling_area([119, 121], 192)
    160.0
    """
    return mean(given("across", across)) * mean(given("along", along)) / 144
