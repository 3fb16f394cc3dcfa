"""Moisture: what boards will settle at, how much they will move, and whether they can be hung."""

import math
from collections.abc import Sequence
from functools import cache
from typing import Literal

from sheetcalc import errors
from sheetcalc.compare import TOLERANCE, over, round_up, under
from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.kinds import Area, Count, Length, Number, Percent, Percents, Readings, Temperature, Text
from sheetcalc.trade.tables import rows
from sheetcalc.trade.tape import given

__all__ = [
    "board_movement",
    "equilibrium_moisture",
    "gap_needed",
    "joint_space",
    "movement_coefficient",
    "readings_needed",
    "ready_to_hang",
]

FIBRE_SATURATION = 30  # % moisture content above which wood no longer moves
LARGEST_COEFFICIENT = 0.01  # twice that of any wood; 0.234 (per cent for 0.00234) must not pass
COLDEST, HOTTEST = -20, 100  # °C, where the moisture equation is still believed


def _percent(name: str, value: float) -> float:
    """Return a moisture or humidity in per cent, refused where a cell typed 12 % holds 0.12."""
    if under(errors.number(name, value), 0) or (over(value, 0) and under(value, 1)):
        raise InputError(name, value, "must be 0, or 1 and more: 12 % is written 12")
    return value


def equilibrium_moisture(temperature: Temperature, humidity: Percent) -> Percent:
    r"""Moisture content that wood settles at in air of a steady temperature and relative humidity.

    Parameters
    ----------
    temperature : float
        Air temperature [°F].
    humidity : float
        Relative humidity, 0 to 100 [%].

    Returns
    -------
    float
        Equilibrium moisture content [%].

    Raises
    ------
    InputError
        `humidity` lies between 0 and 1 or outside 0 to 100; `temperature` is beyond deep frost or boiling.

    Notes
    -----
    With t in °C and h as a part of 1:

    .. math:: M = \frac{1800}{W} \left[ \frac{K h}{1 - K h}
              + \frac{K_1 K h + 2 K_1 K_2 K^2 h^2}{1 + K_1 K h + K_1 K_2 K^2 h^2} \right]

    The form for °C serves both unit systems, so that both give the same answer; the form published for °F
    differs by up to 0.02. The published table spans 30 to 210 °F (-1.1 to 98.9 °C). Temperatures from -20 to
    100 °C are taken; below the table the equation falls where wood does not, by up to 0.8 points at -20 °C
    and 90 % humidity. The answer is an average over species, for wood that has had time: boards in a stack
    take weeks.

    References
    ----------
    Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-282, 2021), Eq. 4-5 and Table 4-2; Simpson,
    FPL-RN-0268 (1998).

    Examples
    --------
    >>> equilibrium_moisture(68, 50)
    9.271140709879791
    """
    errors.within(0, 100, humidity=_percent("humidity", humidity))
    t = (errors.number("temperature", temperature) - 32) / 1.8
    if under(t, COLDEST) or over(t, HOTTEST):
        raise InputError("temperature", temperature, "must lie between deep frost and boiling water")
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * humidity / 100
    first, second = k1 * kh, k1 * k2 * kh**2
    return 1800 / w * (kh / (1 - kh) + (first + 2 * second) / (1 + first + second))


def _letters(name: str) -> str:
    return "".join(sign for sign in name.casefold() if sign.isalpha())


@cache
def _woods() -> dict[str, dict[str, str]]:
    """Rows of the table by the letters of every name they go by."""
    found: dict[str, dict[str, str]] = {}
    for row in rows("wood_movement"):
        for name in filter(None, (row["species"], row["also"])):
            found[_letters(name)] = row
            found[_letters(" ".join(reversed(name.split(","))))] = row  # "old growth redwood"
    return found


def movement_coefficient(species: Text, grain: Literal["flat", "quarter"] = "flat") -> Number:
    """Change of a board's width per 1 % of moisture, as a part of the width, by species.

    Parameters
    ----------
    species : str
        Name of the wood, compared by its letters only: "Western Red Cedar" is western redcedar.
    grain : {"flat", "quarter"}, optional
        Flat (plain) or quarter (vertical) grain.

    Returns
    -------
    float
        Coefficient [1/%].

    Raises
    ------
    NotFound
        No such wood in the table, or the name fits several: nothing is guessed.
    NotReadable
        `species` is no text, or `grain` another word.

    Notes
    -----
    Published for 6 to 14 % moisture. Real boards are rarely purely flat or quarter grain; flat is the
    careful choice.

    References
    ----------
    Wood Handbook (FPL-GTR-190 and FPL-GTR-282), Table 13-5. The file of the table says which rows were read
    there, which were derived from Table 4-3 by the table's own relation, and which are from memory.

    Examples
    --------
    >>> movement_coefficient("Western Red Cedar")
    0.00234
    """
    if not isinstance(species, str) or not species.strip():  # pyright: ignore[reportUnnecessaryIsInstance]
        raise NotReadable("species", species, "must be the name of a wood")
    if grain not in ("flat", "quarter"):
        raise NotReadable("grain", grain, "must be flat or quarter")
    letters = _letters(species)
    if wood := _woods().get(letters):
        return float(wood[grain])
    alike = [
        row["species"] for row in rows("wood_movement") if letters and letters in _letters(row["species"])
    ]
    which = f"must be one wood: {'; '.join(alike)}" if alike else "must be a wood of the table"
    raise NotFound("species", species, which)


def _growth(width: float, coefficient: float, **moistures: float) -> float:
    """Growth from the first to the second moisture; they come by name, for the message."""
    errors.within(0, LARGEST_COEFFICIENT, coefficient=coefficient)
    now, later = (min(_percent(name, value), FIBRE_SATURATION) for name, value in moistures.items())
    return width * coefficient * (later - now)


def board_movement(
    width: Length, coefficient: Number, moisture_now: Percent, moisture_later: Percent
) -> Length:
    r"""Change of a board's width when its moisture changes; growth is positive.

    Parameters
    ----------
    width : float
        Width at the moisture it has now [in].
    coefficient : float
        Change of width per 1 % moisture, from `movement_coefficient` [1/%].
    moisture_now, moisture_later : float
        Moisture content [%]; over 30 counts as 30, since wetter wood moves no more.

    Returns
    -------
    float
        Change of width [in].

    Raises
    ------
    InputError
        `width` is not over 0, `coefficient` lies outside 0 to 0.01, or a moisture under 0 or between 0 and 1.

    Notes
    -----
    .. math:: \Delta D = D \cdot C \cdot (M_{later} - M_{now})

    Published for 6 to 14 % moisture; beyond that the straight line is off by a few per cent of the movement.
    Movement along a board is about a fortieth of this (from memory) and left out.

    References
    ----------
    Wood Handbook (FPL-GTR-190), Eq. 13-2 and the example on p. 13-16; fibre saturation near 30 %, chapter 4.

    Examples
    --------
    >>> board_movement(10, 0.002, 8, 12)
    0.08
    """
    errors.above(0, width=width)
    return _growth(width, coefficient, moisture_now=moisture_now, moisture_later=moisture_later)


def gap_needed(
    across: Readings, coefficient: Number, moisture_now: Percent, moisture_later: Percent
) -> Length:
    """Gap to leave at each of the two walls so that boards hung tight have room to grow.

    Parameters
    ----------
    across : float or sequence of float
        Readings at right angles to the boards [in]; the widest decides.
    coefficient : float
        Change of width per 1 % moisture, from `movement_coefficient` [1/%].
    moisture_now, moisture_later : float
        Moisture content when hung and at its wettest [%]; over 30 counts as 30.

    Returns
    -------
    float
        Half the growth of the whole width [in]; 0 when the boards will shrink.

    Raises
    ------
    NotReadable
        There is no reading.
    InputError
        A reading is not over 0, `coefficient` outside 0 to 0.01, or a moisture under 0 or between 0 and 1.

    Notes
    -----
    The worst case: boards tight, fastenings giving way. In fact the nails hold much of it and each joint
    takes a little. Where the gap comes out wider than the trim covers, leave a space at each course
    (`joint_space`).

    References
    ----------
    Wood Handbook (FPL-GTR-190), Eq. 13-2; half to each wall is common practice, no source.

    Examples
    --------
    >>> gap_needed([119.5, 120], 0.002, 8, 12)
    0.48
    """
    widest = max(given("across", across))
    growth = _growth(widest, coefficient, moisture_now=moisture_now, moisture_later=moisture_later)
    return max(0.0, growth / 2)


def joint_space(
    face: Length, coefficient: Number, moisture_now: Percent, moisture_wettest: Percent
) -> Length:
    """Space to leave at each course so that boards have room to grow.

    Parameters
    ----------
    face : float
        Width that one laid board covers [in].
    coefficient : float
        Change of width per 1 % moisture, from `movement_coefficient` [1/%].
    moisture_now, moisture_wettest : float
        Moisture content when hung and at its wettest [%]; over 30 counts as 30.

    Returns
    -------
    float
        Growth of one board [in]; 0 when the boards will dry.

    Raises
    ------
    InputError
        `face` is not over 0, `coefficient` lies outside 0 to 0.01, or a moisture under 0 or between 0 and 1.

    Notes
    -----
    The space must stay well under the tongue, or the joint opens when the boards dry.

    References
    ----------
    Wood Handbook (FPL-GTR-190), Eq. 13-2; a space at each course is common practice, no source.

    Examples
    --------
    >>> joint_space(5, 0.002, 8, 12)
    0.04
    """
    errors.above(0, face=face)
    growth = _growth(face, coefficient, moisture_now=moisture_now, moisture_wettest=moisture_wettest)
    return max(0.0, growth)


def readings_needed(area: Area, per_1000: Number = 40, at_least: Count = 10) -> Count:
    """Moisture readings to take on the boards for an area, before they are hung.

    Parameters
    ----------
    area : float
        Area to be covered [ft²].
    per_1000 : float, optional
        Readings per 1,000 ft² of boards, in both unit systems [-].
    at_least : int, optional
        Fewest readings, however small the job [-].

    Returns
    -------
    int
        Readings, rounded up; none for no area [-].

    Raises
    ------
    InputError
        `area` or `per_1000` is under 0, or `at_least` not a whole number of 0 or more.

    References
    ----------
    NWFA (National Wood Flooring Association) checklist: at least 40 per 1,000 ft² of boards. The least of
    ten: from memory.

    Examples
    --------
    >>> readings_needed(410)
    17
    """
    errors.at_least(0, area=area, per_1000=per_1000)
    errors.whole(at_least=at_least)
    if not over(area, 0):
        return 0
    return max(round_up(area * per_1000 / 1000), round_up(at_least))


def _tenth(number: float) -> float:
    return math.floor(number * 10 + 0.5 + TOLERANCE) / 10  # ties up, as a person rounds


def _aim(mean: float, target: float, tolerance: float) -> str:
    """Word how far the mean misses the target; "" if it does not."""
    if not over(abs(mean - target), tolerance):
        return ""
    shown = _tenth(mean)
    if not over(abs(shown - target), tolerance):  # 14.04 must not be refused as "14, target 12 within 2"
        shown += math.copysign(0.1, mean - target)
    return f"wait: mean {shown:g}, target {_tenth(target):g} within {_tenth(tolerance):g}"


def ready_to_hang(
    readings: Percents, limit: Percent, target: Percent | None = None, tolerance: Percent = 2
) -> Text:
    """Tell whether a stack of boards is dry enough to hang, how many to set aside, or why to wait.

    Parameters
    ----------
    readings : sequence of float
        Moisture readings, one board each [%].
    limit : float
        Reading at which a board is too wet [%].
    target : float, optional
        Moisture content that the boards will have in service [%]; the mean is not judged if not given.
    tolerance : float, optional
        How far the mean may be from the target [%].

    Returns
    -------
    str
        "ready"; "ready, set aside 2"; "wait: 5 of 12 at 18 or more"; "wait: mean 16, target 12 within 2".

    Raises
    ------
    NotReadable
        There is no reading.
    InputError
        A moisture is under 0 or between 0 and 1.

    Notes
    -----
    More than a quarter of the readings at the limit or over: wait. Else those boards are set aside, and the
    mean of the rest is held against the target. One reason is given, its numbers to a tenth.

    Hand meters are reliable to 30 %; set them for the species and temperature.

    References
    ----------
    Hanging boards at the moisture content of their service: Wood Handbook (FPL-GTR-190), p. 13-3. The quarter
    and the tolerance are common practice, no source.

    Examples
    --------
    >>> ready_to_hang([12, 11.5, 13, 12, 19], 18)
    'ready, set aside 1'
    """
    taken = [_percent("readings", reading) for reading in readings]
    if not taken:
        raise NotReadable("readings", readings, "must hold a reading")
    _percent("limit", limit)
    errors.at_least(0, tolerance=tolerance)
    dry = [reading for reading in taken if under(reading, limit)]
    wet = len(taken) - len(dry)
    if 4 * wet > len(taken):
        return f"wait: {wet} of {len(taken)} at {_tenth(limit):g} or more"
    missed = "" if target is None else _aim(_mean(dry), _percent("target", target), tolerance)
    return missed or (f"ready, set aside {wet}" if wet else "ready")


def _mean(numbers: Sequence[float]) -> float:
    return math.fsum(numbers) / len(numbers)
