"""Cutting boards to length: how long, in how many batches, what gap that leaves, and from what stock."""

from sheetcalc.compare import over, round_up, settled, under
from sheetcalc.errors import InputError, NotFound, NotReadable, above, at_least
from sheetcalc.kinds import Count, Length, Lengths, Readings
from sheetcalc.trade.tape import given, mean

__all__ = ["cut_batches", "cut_length", "smallest_gap", "stock_length", "widest_gap"]


def cut_length(
    along: Readings,
    gap: Length,
    finish_gap: Length | None = None,
    least_gap: Length | None = None,
    most_gap: Length | None = None,
) -> Length:
    r"""Length to cut the boards so that a gap stays open at both of their ends.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in].
    gap : float
        Gap at the start, the line that the boards are set to [in].
    finish_gap : float, optional
        Gap wanted at the far end [in]; as `gap` if not given.
    least_gap : float, optional
        Smallest gap allowed at the far end [in]; half of `finish_gap` if not given.
    most_gap : float, optional
        Widest gap allowed at the far end, for what the trim covers [in]; no limit if not given.

    Returns
    -------
    float
        One length for all boards of the ceiling [in].

    Raises
    ------
    InputError
        A reading not over 0, a negative gap, `most_gap` not over `least_gap`, nothing left to cut, or
        readings that vary too much for one length.

    Notes
    -----
    .. math:: c = \bar{a} - g - f

    held within the longest, :math:`\min a - g - g_{least}`, and the shortest, :math:`\max a - g - g_{most}`.
    The gap at the far end wanders with the wall; trim covers it within its width.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> cut_length(along=183.5, gap=0.75)
    182.0
    """
    finish_gap = gap if finish_gap is None else finish_gap
    at_least(0, gap=gap, finish_gap=finish_gap)
    least_gap = finish_gap / 2 if least_gap is None else least_gap
    at_least(0, least_gap=least_gap)
    readings = given("along", along)
    length = mean(readings) - gap - finish_gap
    longest = min(readings) - gap - least_gap
    if most_gap is not None:
        _over_least(least_gap, most_gap)
        shortest = max(readings) - gap - most_gap
        if over(shortest, longest):
            raise InputError("along", along, "must not vary by more than the gap may: cut in batches")
        length = max(length, shortest)
    length = min(length, longest)
    if not over(length, 0):
        raise InputError("along", along, "must leave a length over 0 between the gaps")
    return length


def cut_batches(along: Readings, least_gap: Length, most_gap: Length) -> Count:
    r"""How many batches, each cut to its own length, that keep the gap at the far end within its limits.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in].
    least_gap : float
        Smallest gap allowed at the far end [in].
    most_gap : float
        Widest gap allowed at the far end [in].

    Returns
    -------
    int
        Batches, at least 1 [-].

    Raises
    ------
    InputError
        A reading not over 0, a negative gap, or `most_gap` not over `least_gap`.

    Notes
    -----
    .. math:: (\max a - \min a) / (g_{most} - g_{least})

    rounded up: each batch serves the readings within one step of that size.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> cut_batches(along=[183.5, 184.25, 184.75], least_gap=0.375, most_gap=1)
    2
    """
    at_least(0, least_gap=least_gap)
    _over_least(least_gap, most_gap)
    readings = given("along", along)
    return max(1, round_up((max(readings) - min(readings)) / (most_gap - least_gap)))


def _over_least(least_gap: float, most_gap: float) -> None:
    above(0, most_gap=most_gap)
    if not over(most_gap, least_gap):
        raise InputError("most_gap", most_gap, "must be over least_gap")


def smallest_gap(along: Readings, cut_length: Length, gap: Length) -> Length:
    """Smallest gap left at the far end of the boards when all are cut to one length and set to a line.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in].
    cut_length : float
        Length that the boards are cut to [in].
    gap : float
        Gap at the start, the line that the boards are set to [in].

    Returns
    -------
    float
        Gap at the narrowest reading [in]; negative where the boards are too long.

    Raises
    ------
    InputError
        A reading or the cut length not over 0, or a negative gap.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> smallest_gap(along=[183.5, 183.25, 183.625], cut_length=182, gap=0.75)
    0.5
    """
    return min(_far_gaps(along, cut_length, gap))


def widest_gap(along: Readings, cut_length: Length, gap: Length) -> Length:
    """Widest gap left at the far end of the boards when all are cut to one length and set to a line.

    Parameters
    ----------
    along : float or sequence of float
        Readings along the boards [in].
    cut_length : float
        Length that the boards are cut to [in].
    gap : float
        Gap at the start, the line that the boards are set to [in].

    Returns
    -------
    float
        Gap at the widest reading [in]; negative where the boards are too long.

    Raises
    ------
    InputError
        A reading or the cut length not over 0, or a negative gap.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> widest_gap(along=[183.5, 183.25, 183.625], cut_length=182, gap=0.75)
    0.875
    """
    return max(_far_gaps(along, cut_length, gap))


def _far_gaps(along: Readings, cut_length: float, gap: float) -> list[float]:
    above(0, cut_length=cut_length)
    at_least(0, gap=gap)
    return [settled(reading - gap - cut_length) for reading in given("along", along)]


def stock_length(cut_length: Length, stock: Lengths, end_trim: Length = 0) -> Length:
    """Shortest stock length that yields a piece after its end is trimmed.

    Parameters
    ----------
    cut_length : float
        Length of the piece [in].
    stock : sequence of float
        Stock lengths on offer [in].
    end_trim : float, optional
        What trimming takes off each board [in].

    Returns
    -------
    float
        One of the stock lengths [in].

    Raises
    ------
    NotFound
        No stock is long enough.
    NotReadable
        No stock length is given.
    InputError
        A length not over 0, or a negative trim.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> stock_length(cut_length=182, stock=[144, 192, 168], end_trim=2)
    192
    """
    above(0, cut_length=cut_length)
    at_least(0, end_trim=end_trim)
    if not stock:
        raise NotReadable("stock", stock, "must hold a length")
    for length in stock:
        above(0, stock=length)
    enough = [length for length in stock if not under(length - end_trim, cut_length)]
    if not enough:
        raise NotFound("stock", stock, "must hold a length that yields the piece")
    return min(enough)
