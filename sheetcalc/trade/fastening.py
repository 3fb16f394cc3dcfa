"""Nails: how many, how long, and how many holes to fill."""

import math
from typing import Annotated

from sheetcalc.errors import above, at_least, whole, within
from sheetcalc.kinds import Angle, Count, InMetric, Length, Readings, Share
from sheetcalc.trade.backing import bearing_count

__all__ = ["face_nail_count", "nail_count", "nail_length"]


def nail_count(
    courses: Count,
    along: Readings,
    spacing: Length,
    per_bearing: Count = 1,
    face_courses: Count = 3,
    joints: Count = 0,
) -> Count:
    """Nails for a ceiling: blind at every bearing, through the face in the edge courses, two at each joint.

    Parameters
    ----------
    courses : int
        Courses, ripped ones included [-].
    along : float or sequence of float
        Readings along the boards [in]; the longest counts.
    spacing : float
        Spacing of the bearings, or of the nails where solid sheathing lets them land anywhere [in].
    per_bearing : int, optional
        Nails in each course at each bearing [-].
    face_courses : int, optional
        Courses that are face-nailed as well, for want of room for the gun [-].
    joints : int, optional
        End joints [-].

    Returns
    -------
    int
        Nails [-].

    Raises
    ------
    NotReadable
        No reading along.
    InputError
        A reading or spacing not over 0, a count not whole.

    Notes
    -----
    b = along/spacing rounded up, plus one; per_bearing·b·courses + b·min(face_courses, courses) + 2·joints.
    Boards to 6 in wide take one nail at a bearing through the base of the tongue, wider ones two face nails.
    The spacings published for walls, 24 in over solid wood sheathing and 16 in without, are generous
    overhead, where boards hang on their nails: 16 in is the careful reading. Exterior boards want
    corrosion-resistant nails of 15 or 16 gauge, never brads (common practice, no source). Wear eye and
    hearing protection and use a full-sequential trigger (NIOSH 2011-202); local codes decide.

    References
    ----------
    WRCLA siding guide, blind nailing; WWPA *Natural Wood Siding* guide, page 9, spacing; IRC 2018 R703.3.3,
    corrosion resistance. The face-nailed courses: common practice, no source.

    Examples
    --------
    >>> nail_count(24, 183, 16)
    351
    """
    whole(courses=courses, per_bearing=per_bearing, face_courses=face_courses, joints=joints)
    bearings = bearing_count(along, spacing)
    return per_bearing * bearings * courses + bearings * min(face_courses, courses) + 2 * joints


def face_nail_count(along: Readings, spacing: Length, face_courses: Count = 3) -> Count:
    """Face nails in the edge courses, which is the number of holes to fill.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in]; the longest counts.
    spacing : float
        Spacing of the bearings [in].
    face_courses : int, optional
        Courses that are face-nailed: the first, the last and mostly the one before the last [-].

    Returns
    -------
    int
        Holes [-].

    Raises
    ------
    NotReadable
        No reading along.
    InputError
        A reading or spacing not over 0, courses not whole.

    Notes
    -----
    b·face_courses, with b = along/spacing rounded up, plus one.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> face_nail_count(183, 16)
    39
    """
    whole(face_courses=face_courses)
    return bearing_count(along, spacing) * face_courses


def nail_length(
    thickness: Length,
    layers: Length = 0,
    penetration: Annotated[Length, InMetric(38)] = 1.5,
    angle: Angle = 45,
    depth_share: Share = 2 / 3,
) -> Length:
    """Shortest nail that goes through board and layers and still holds in the framing.

    Parameters
    ----------
    thickness : float
        Board thickness [in].
    layers : float, optional
        Thickness of what does not hold a nail: wrap, foam, gypsum [in]. Wood sheathing holds: leave it out.
    penetration : float, optional
        Length wanted in framing, or in framing and wood sheathing, along the nail [in]; 1-1/2 in (38 mm).
    angle : float, optional
        Angle of the nail to the face of the board, 1 to 90 [°].
    depth_share : float, optional
        Share of the thickness that the nail passes, 0 to 1: 1 for a face nail [-].

    Returns
    -------
    float
        Least nail length [in]; take the next longer size.

    Raises
    ------
    InputError
        A thickness or penetration not over 0, layers under 0, angle or share out of range.

    Notes
    -----
    (depth_share·thickness + layers)/sin(angle) + penetration. Ring-shank nails need 1-1/4 in. Between framing
    members a nail holds in the sheathing alone. Exterior boards want 15 or 16 gauge, never brads (common
    practice, no source). Know what pipes and cables lie behind before choosing a longer nail; local codes
    decide.

    References
    ----------
    WWPA *Natural Wood Siding* guide, page 9: 1-1/2 in into framing or framing and wood sheathing, on walls.
    California Redwood Association: the same, with rigid foam adding to the length.

    Examples
    --------
    >>> nail_length(0.75, 0.5, 1.5, 90, 1)
    2.75
    >>> round(nail_length(0.75), 3)
    2.207
    """
    above(0, thickness=thickness, penetration=penetration)
    at_least(0, layers=layers)
    within(1, 90, angle=angle)
    within(0, 1, depth_share=depth_share)
    return (depth_share * thickness + layers) / math.sin(math.radians(angle)) + penetration
