"""How many boards to order, and in what units they are sold."""

from bisect import bisect_left

from sheetcalc.compare import over, round_up
from sheetcalc.errors import above, at_least, share, whole, within
from sheetcalc.kinds import Count, Number, Share

__all__ = ["boards_to_order", "chance_short", "whole_units"]

_MOST_BOARDS = 1_000_000  # far past any job; keeps the work of one call in bounds
_NO_CHANCE = 1e-40  # weight, against the likeliest number of good boards, that is taken as none at all


def boards_to_order(good_boards: Count, cull_rate: Share, confidence: Share = 0.95) -> Count:
    """Boards to order so that, with the wanted confidence, enough are good once the culls are set aside.

    Parameters
    ----------
    good_boards : int
        Good boards that the job needs [-].
    cull_rate : float
        Share of the boards that is culled, 0 to under 1 [-].
    confidence : float, optional
        Chance wanted that enough are good, between 0 and 1 [-].

    Returns
    -------
    int
        Boards to order [-]; 0 when none are needed.

    Raises
    ------
    InputError
        Boards not whole or over a million, a cull rate of 1, a confidence of 0 or 1.

    Notes
    -----
    The smallest N with P(good ≥ n) ≥ confidence, good ~ Binomial(N, 1 − q); the same question as how many
    tries the n-th success takes (negative binomial). Dividing n by 1 − q alone runs short often: 22 boards
    for 20 good ones at 10 % are too few in 38 % of orders. Culls within one bundle are not independent, so
    the answer is a floor.

    References
    ----------
    Penn State STAT 414, section 11.6: the negative binomial distribution.

    Examples
    --------
    >>> boards_to_order(20, 0.1)
    25
    """
    whole(good_boards=good_boards)
    within(0, _MOST_BOARDS, good_boards=good_boards)
    share(cull_rate=cull_rate)
    above(0, confidence=confidence)
    share(confidence=confidence)
    good = round(good_boards)

    def enough(ordered: int) -> bool:
        return not over(_chance_short(ordered, good, cull_rate), 1 - confidence)

    most = good
    while not enough(most):
        most *= 2
    return good + bisect_left(range(good, most), True, key=enough)


def chance_short(ordered: Count, good_boards: Count, cull_rate: Share) -> Share:
    """Chance that an order runs short: fewer good boards in it than the job needs.

    Parameters
    ----------
    ordered : int
        Boards ordered [-].
    good_boards : int
        Good boards that the job needs [-].
    cull_rate : float
        Share of the boards that is culled, 0 to 1 [-].

    Returns
    -------
    float
        Chance of running short, 0 to 1 [-].

    Raises
    ------
    InputError
        Boards not whole or over a million, a cull rate outside 0 to 1.

    Notes
    -----
    P(good ≤ n − 1), good ~ Binomial(N, 1 − q). Culls within one bundle are not independent, so real orders
    spread wider than this.

    References
    ----------
    Penn State STAT 414, section 11.6: the negative binomial distribution.

    Examples
    --------
    >>> chance_short(2, 1, 0.5)
    0.25
    >>> round(chance_short(22, 20, 0.1), 4)
    0.38
    """
    whole(ordered=ordered, good_boards=good_boards)
    within(0, _MOST_BOARDS, ordered=ordered, good_boards=good_boards)
    within(0, 1, cull_rate=cull_rate)
    return _chance_short(round(ordered), round(good_boards), min(max(cull_rate, 0.0), 1.0))


def _chance_short(ordered: int, needed: int, cull: float) -> float:
    # Every number of good boards is weighed against the likeliest one, outwards from it until nothing weighs
    # anything; the chance is the weight below `needed` over the whole. No factorial, no power, so neither
    # thousands of boards nor a chance near 0 or 1 costs accuracy.
    keep = 1 - cull
    likeliest = min(ordered, int((ordered + 1) * keep))
    weights = [0.0, 0.0]  # of too few, of enough
    weight, good = 1.0, likeliest
    while weight > _NO_CHANCE:
        weights[good >= needed] += weight
        weight *= good * cull / ((ordered - good + 1) * keep) if good else 0.0
        good -= 1
    weight, good = 1.0, likeliest
    while good < ordered:
        weight *= (ordered - good) * keep / ((good + 1) * cull)
        good += 1
        if weight <= _NO_CHANCE:
            break
        weights[good >= needed] += weight
    return weights[False] / sum(weights)


def whole_units(quantity: Number, unit_size: Number) -> Count:
    """Whole boxes, cans, rolls or sheets to buy for a quantity.

    Parameters
    ----------
    quantity : float
        What is needed, in any unit [-].
    unit_size : float
        What one of them holds, in the same unit [-].

    Returns
    -------
    int
        Units to buy, rounded up [-].

    Raises
    ------
    InputError
        A quantity under 0, a unit that holds nothing.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> whole_units(1840, 500)
    4
    """
    at_least(0, quantity=quantity)
    above(0, unit_size=unit_size)
    return round_up(quantity / unit_size)
