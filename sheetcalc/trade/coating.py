"""What is coated, and how much primer or finish it takes."""

from sheetcalc.errors import above, at_least, share, whole, within
from sheetcalc.kinds import Area, Count, Film, Length, Share, SpreadRate, Volume

__all__ = ["board_surface", "cut_edge_area", "end_grain_area", "primer_volume", "spread_rate"]


def end_grain_area(thickness: Length, width: Length, ends: Count) -> Area:
    """Area of cut board ends: every one is primed before it goes up.

    Parameters
    ----------
    thickness : float
        Board thickness [in].
    width : float
        Overall board width, tongue included [in].
    ends : int
        Cut ends [-].

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    InputError
        A size not over 0, ends not whole.

    Notes
    -----
    thickness·width·ends. End grain takes liquid up to 250 times faster than the other faces, so it uses more
    primer than its area says; no published multiple for that was found, so any factor on it is an assumption.

    References
    ----------
    WRCLA (Western Red Cedar Lumber Association) siding guide: coat every field cut.

    Examples
    --------
    >>> end_grain_area(0.75, 5.5, 96)
    2.75
    """
    above(0, thickness=thickness, width=width)
    whole(ends=ends)
    return thickness * width * ends / 144


def cut_edge_area(thickness: Length, length: Length, count: Count = 1) -> Area:
    """Area of ripped or routed edges, to be primed like cut ends.

    Parameters
    ----------
    thickness : float
        Board thickness [in].
    length : float
        Length of one edge [in].
    count : int, optional
        Edges of that length [-].

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    InputError
        A thickness not over 0, a length under 0, a count not whole.

    Notes
    -----
    thickness·length·count.

    References
    ----------
    WRCLA (Western Red Cedar Lumber Association) siding guide: coat every field cut.

    Examples
    --------
    >>> cut_edge_area(0.75, 192, 2)
    2.0
    """
    above(0, thickness=thickness)
    at_least(0, length=length)
    whole(count=count)
    return thickness * length * count / 144


def board_surface(thickness: Length, width: Length, length: Length, count: Count = 1) -> Area:
    """Whole surface of boards: both faces, both edges and both ends, for priming all round.

    Parameters
    ----------
    thickness : float
        Board thickness [in].
    width : float
        Overall board width, tongue included [in].
    length : float
        Board length [in].
    count : int, optional
        Boards of that size [-].

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    InputError
        A size not over 0, a count not whole.

    Notes
    -----
    2·(width·length + thickness·length + thickness·width)·count, the board taken as a plain box: grooves and
    beads add a little.

    References
    ----------
    Geometry, no source needed.

    Examples
    --------
    >>> board_surface(0.75, 5.25, 192, 16)
    256.875
    """
    above(0, thickness=thickness, width=width, length=length)
    whole(count=count)
    return 2 * (width * length + thickness * length + thickness * width) * count / 144


def spread_rate(volume_solids: Share, dry_film: Film) -> SpreadRate:
    """Area that a gallon or litre covers, from the solids in the can and the dry film wanted.

    Parameters
    ----------
    volume_solids : float
        Solids by volume, over 0 to 1 [-].
    dry_film : float
        Thickness of the dry film [mil].

    Returns
    -------
    float
        Spread rate of one coat [ft²/gal].

    Raises
    ------
    InputError
        Solids not over 0 or over 1, a film not over 0.

    Notes
    -----
    (231/0.144)·solids/film: a US gallon is 231 in³, and 231/0.144 = 1604.17 ft² of it are 1 mil thick. In
    metric, 1000·solids/film. Without loss; the label's figure beats this one, and a test board beats the
    label.

    References
    ----------
    NIST Handbook 44, Appendix C: the US gallon as 231 in³ exactly. Coating guides: 1604 ft²·mil/gal.

    Examples
    --------
    >>> spread_rate(0.36, 1.5)
    385.0
    """
    above(0, volume_solids=volume_solids, dry_film=dry_film)
    within(0, 1, volume_solids=volume_solids)
    return 231 / 0.144 * volume_solids / dry_film


def primer_volume(area: Area, spread_rate: SpreadRate, coats: Count = 1, loss: Share = 0) -> Volume:
    """Primer, stain or paint to buy for an area.

    Parameters
    ----------
    area : float
        Area to coat [ft²].
    spread_rate : float
        Area that one coat covers, from the label [ft²/gal].
    coats : int, optional
        Coats [-].
    loss : float, optional
        Share of what is bought that is left in trays, rollers and cans, 0 to under 1 [-].

    Returns
    -------
    float
        Volume, not yet rounded to cans [gal].

    Raises
    ------
    InputError
        An area under 0, a spread rate not over 0, coats not whole, a loss outside 0 to under 1.

    Notes
    -----
    area·coats/(spread_rate·(1 − loss)). Rough-sawn faces take about twice what smooth ones do (from memory).
    Read the label's cautions on air, skin and fire, and keep to its temperatures.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> primer_volume(360, 400, 2, 0.1)
    2.0
    """
    at_least(0, area=area)
    above(0, spread_rate=spread_rate)
    whole(coats=coats)
    share(loss=loss)
    return area * coats / (spread_rate * (1 - loss))
