"""Openings in the ceiling: lights, fans, vents, hatches, posts."""

import math
from typing import Literal

from sheetcalc.compare import same
from sheetcalc.errors import InputError, NotReadable, above
from sheetcalc.kinds import Area, Length

__all__ = ["opening_area"]


def opening_area(shape: Literal["round", "rectangle"], width: Length, height: Length | None = None) -> Area:
    """Area of an opening, to be taken off the ceiling's area.

    Parameters
    ----------
    shape : str
        "round" or "rectangle".
    width : float
        Width, or diameter of a round opening [in].
    height : float, optional
        The other side of a rectangle, which needs one [in].

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    InputError
        A width or height not over 0; a round opening with a height other than its width.
    NotReadable
        Another shape, or a rectangle without a height.

    Notes
    -----
    π·width²/4 or width·height. A round opening may repeat its diameter as its height; any other height means
    that the shape or a size is wrong, so it is refused rather than ignored.

    References
    ----------
    Geometry, no source needed; WWPA *Natural Wood Siding* guide: area = length x width, less openings.

    Examples
    --------
    >>> opening_area("rectangle", 24, 27)
    4.5
    >>> round(opening_area("round", 6), 4)
    0.1963
    """
    above(0, width=width)
    if height is not None:
        above(0, height=height)
    if shape == "round":
        if height is not None and not same(height, width):
            raise InputError("height", height, "must be left out or equal the width of a round opening")
        return math.pi * width**2 / 4 / 144
    if shape != "rectangle":
        raise NotReadable("shape", shape, "must be round or rectangle")
    if height is None:
        raise NotReadable("height", height, "must be given for a rectangle")
    return width * height / 144
