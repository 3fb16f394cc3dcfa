"""What stands behind the boards: framing or strapping, sheets, weather barrier, sealant."""

from typing import Annotated

from sheetcalc.compare import over, round_up
from sheetcalc.errors import InputError, above, at_least, share, within
from sheetcalc.kinds import Count, InMetric, Length, Readings, Share, TubeVolume
from sheetcalc.trade.tape import given

__all__ = ["barrier_rolls", "bearing_count", "sealant_tubes", "sheet_count"]

_OUNCES_PER_CUBIC_INCH = 128 / 231  # a US gallon is 128 fl oz and 231 in³


def bearing_count(along: Readings, spacing: Length, first: Length = 0) -> Count:
    """Framing lines or strapping rows that cross the boards.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in]; the longest counts.
    spacing : float
        Spacing on centre [in].
    first : float, optional
        From the boards' start to the first of them [in].

    Returns
    -------
    int
        Framing lines or strapping rows [-].

    Raises
    ------
    NotReadable
        No reading along.
    InputError
        A reading or spacing not over 0, or the first beyond the boards' far end.

    Notes
    -----
    (along − first)/spacing rounded up, plus one: the far end always has one, even where the spacing does not
    come out.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> bearing_count(183, 16)
    13
    """
    longest = max(given("along", along))
    above(0, spacing=spacing)
    within(0, longest, "must lie between the boards' ends", first=first)
    return round_up((longest - first) / spacing) + 1


def sheet_count(
    across: Readings,
    along: Readings,
    sheet_width: Annotated[Length, InMetric(1220)] = 48,
    sheet_length: Annotated[Length, InMetric(2440)] = 96,
) -> Count:
    """Sheets of plywood or the like behind the boards, laid in rows, each offcut starting the next row.

    Parameters
    ----------
    across : float or sequence of float
        Readings across the boards [in]; the widest counts.
    along : float or sequence of float
        Readings along the boards [in]; the longest counts.
    sheet_width : float, optional
        Sheet width [in]; 48 in (1220 mm).
    sheet_length : float, optional
        Sheet length [in]; 96 in (2440 mm).

    Returns
    -------
    int
        Sheets [-].

    Raises
    ------
    NotReadable
        No reading.
    InputError
        A reading or sheet size not over 0.

    Notes
    -----
    Rows = across/sheet_width rounded up; sheets = rows·along/sheet_length rounded up. The last row takes
    whole sheets ripped down. The gap of 1/8 in that panels want at edges and ends is not counted: it only
    saves. Sheet ends still fall on framing, which may cost an offcut.

    References
    ----------
    APA: panel size and gaps. The rows: common practice, no source.

    Examples
    --------
    >>> sheet_count(120, 183)
    6
    """
    above(0, sheet_width=sheet_width, sheet_length=sheet_length)
    rows = round_up(max(given("across", across)) / sheet_width)
    return round_up(rows * max(given("along", along)) / sheet_length)


def barrier_rolls(
    across: Readings,
    along: Readings,
    roll_width: Length,
    roll_length: Length,
    lap: Annotated[Length, InMetric(150)] = 6,
) -> Count:
    """Weather barrier in whole rolls, lapped at every seam and roll end.

    Parameters
    ----------
    across : float or sequence of float
        Readings across the boards [in]; the widest counts.
    along : float or sequence of float
        Readings along the boards [in]; the longest counts.
    roll_width : float
        Width of the roll [in].
    roll_length : float
        Length of the roll [in].
    lap : float, optional
        Lap at every seam and roll end [in]; 6 in (150 mm).

    Returns
    -------
    int
        Rolls [-].

    Raises
    ------
    NotReadable
        No reading.
    InputError
        A reading not over 0, a lap under 0, a roll no wider or longer than the lap.

    Notes
    -----
    Pieces that lap cover a distance in (distance − lap)/(size − lap) of them, rounded up, at least 1. This is
    used both ways: the width across gives the strips, all running along the boards; the strips, taken as one
    run of strips·along, give the rolls, since what is left of a roll starts the next strip. Counting rolls
    strip by strip instead would buy a roll for every strip, however short. A roll that happens to end where a
    strip does needs no lap there, so the answer is never too low.

    References
    ----------
    IRC R703.2: laps of 2 in at horizontal seams and 6 in at joints; a wall rule, so 6 in is taken at every
    seam.

    Examples
    --------
    >>> barrier_rolls(120, 192, 36, 600)
    2
    """
    at_least(0, lap=lap)
    for name, size in (("roll_width", roll_width), ("roll_length", roll_length)):
        above(0, **{name: size})
        if not over(size, lap):
            raise InputError(name, size, "must be over the lap")

    def pieces(distance: float, size: float) -> int:
        return max(1, round_up((distance - lap) / (size - lap)))

    strips = pieces(max(given("across", across)), roll_width)
    return pieces(strips * max(given("along", along)), roll_length)


def sealant_tubes(
    length: Length, width: Length, depth: Length, tube_volume: TubeVolume, loss: Share = 0
) -> Count:
    """Whole tubes of sealant for a bead.

    Parameters
    ----------
    length : float
        Length of the bead [in].
    width, depth : float
        Width and depth of the bead [in].
    tube_volume : float
        What a tube holds [fl oz].
    loss : float, optional
        Share of what is bought that stays in tubes and on rags, 0 to under 1 [-].

    Returns
    -------
    int
        Tubes [-].

    Raises
    ------
    InputError
        A length under 0, another size not over 0, a loss outside 0 to under 1.

    Notes
    -----
    length·width·depth/(tube_volume·(1 − loss)), rounded up; 128 fl oz are a US gallon of 231 in³.

    References
    ----------
    NIST Handbook 44, Appendix C: the US gallon as 231 in³ exactly, the in³ as 0.554 fluid ounce.

    Examples
    --------
    >>> sealant_tubes(624, 0.375, 0.375, 10.1, 0.1)
    6
    """
    at_least(0, length=length)
    above(0, width=width, depth=depth, tube_volume=tube_volume)
    share(loss=loss)
    return round_up(length * width * depth * _OUNCES_PER_CUBIC_INCH / (tube_volume * (1 - loss)))
