"""Spare boards for a purchase of several stock lengths: culls hit boards, and a longer board can stand in."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from math import exp, fsum, lgamma, log
from typing import Annotated, NamedTuple

from sheetcalc.compare import over
from sheetcalc.errors import InputError, NotFound, NotReadable, above, at_least, share, whole, within
from sheetcalc.kinds import COUNT, MONEY, Beside, Count, Length, Lengths, Money, Share
from sheetcalc.trade.ordering import boards_to_order
from sheetcalc.trade.price import cents, exact
from sheetcalc.trade.steps import beside

__all__ = ["spare_list", "spares_short"]

_MOST_BOARDS = 2000  # in one purchase; far past any job, and keeps the work of one call in bounds
_PARTS = 32  # steps from the whole risk for each sum down to an even share of it
_HALVES = 20  # steps on from there, where offers leave some sums less sure than the others can make good


class Ordered(NamedTuple):
    """Boards of one stock length: those that the cuts need, those to order, what they cost together."""

    stock: Length
    needed: Count
    order: Count
    cost: Money


def spare_list(
    stock: Lengths,
    boards: Annotated[Sequence[float], COUNT, Beside("stock")],
    prices: Annotated[Sequence[float], MONEY, Beside("stock")],
    cull_rate: Share,
    confidence: Share = 0.95,
    available: Annotated[Sequence[float | None], COUNT, Beside("stock", blank=True)] | None = None,
) -> list[Ordered]:
    """Boards to order of each stock length, spares for the culls included; a longer one may stand in.

    Parameters
    ----------
    stock : sequence of float
        Stock lengths [in].
    boards : sequence of float
        Good boards that the cuts need of each [-].
    prices : sequence of float
        Price of one board of each [money].
    cull_rate : float
        Share of the boards that is culled, 0 to under 1 [-].
    confidence : float, optional
        Chance wanted that all cuts find a good board, between 0 and 1 [-].
    available : sequence of float, optional
        Boards on offer of each stock length [-]; no limit where it is blank.

    Returns
    -------
    list of Ordered
        Stock length [in], boards needed, boards to order, their cost [money], by stock length; no row where
        none is ordered.

    Raises
    ------
    NotFound
        Fewer boards on offer of some length than its cuts need, or too few in all for the spares.
    NotReadable
        No stock length is given, or lists that stand beside each other differ in length.
    InputError
        A length not over 0, a negative price, boards not whole or too many, a cull rate of 1, a confidence
        of 0 or 1.

    Notes
    -----
    Culls hit boards, not pieces, so spares are boards. For one length the answer is that of
    `boards_to_order`. For several, all cuts find a board when for each length the good boards of that length
    and over are as many as those lengths need. Each of these sums gets spares, the cheapest that can stand
    in, until all of them together are sure enough; then spares are taken out and exchanged, one length
    against others, while that makes the order cheaper. The confidence always holds; that no other mix is
    cheaper is not proven. A longer board stands in for a culled one, never for one that the cuts need and the
    yard does not have: cuts that keep to the offer (`buy_list` with `available`) waste less.

    References
    ----------
    Penn State STAT 414, section 11.6: the negative binomial distribution. Pooling: derived.

    Examples
    --------
    >>> spare_list([144, 192], [12, 22], [18.4, 25.3], 0.05)
    [Ordered(stock=144, needed=12, order=12, cost=220.8), Ordered(stock=192, needed=22, order=26, cost=657.8)]
    """
    _check(stock, boards, cull_rate)
    beside("prices", prices, "stock", stock)
    for price in prices:
        at_least(0, prices=price)
    above(0, confidence=confidence)
    share(confidence=confidence)
    available = [None] * len(stock) if available is None else available
    beside("available", available, "stock", stock)
    for most in available:
        if most is not None:
            whole(available=most)

    offers = [cents(exact(price)) for price in prices]
    order = sorted(range(len(stock)), key=lambda at: (-stock[at], offers[at]))  # longest first
    needed = [round(boards[at]) for at in order]
    left = [_left(available[at], round(boards[at])) for at in order]
    purchase = _Purchase(needed, left, [offers[at] for at in order], cull_rate, confidence)
    spares = purchase.spares()
    if spares is None:
        raise NotFound("available", available, "must be boards enough for the cuts and the spares")
    return [
        Ordered(stock[at], needed[place], count, count * offers[at] / 100)
        for place, at in reversed([*enumerate(order)])
        if (count := needed[place] + spares[place])
    ]


class _Purchase(NamedTuple):
    """Lengths, longest first: boards needed, how many more are on offer, cents for one; and the risk."""

    needed: list[int]
    left: list[int]
    costs: list[int]
    cull_rate: float
    confidence: float

    def spares(self) -> list[int] | None:
        """Spares of each length, as cheap as exchanges make them; None if the offer has too few."""
        # Of k such sums one fails at most k times as often as each alone, so with offers enough an even share
        # of the risk is always sure.
        if min(self.left) < 0:
            return None
        parts = range(_PARTS + _HALVES)
        spares = self._by_sums(bisect_left(parts, True, key=lambda part: self._sure(self._by_sums(part))))
        if not self._sure(spares):
            return None
        spares = self._without_idle(spares)
        while exchanged := min(self._exchanges(spares), key=self._cost, default=None):
            if self._cost(exchanged) >= self._cost(spares):
                break
            spares = exchanged
        return spares

    def _by_sums(self, part: int) -> list[int]:
        # The boards of each length and over are, by themselves, as sure as that part of the risk asks for, or
        # as the offer allows.
        lengths = len(self.needed)
        risk = 1 - part / _PARTS * (1 - 1 / lengths) if part <= _PARTS else 0.5 ** (part - _PARTS) / lengths
        confident = 1 - (1 - self.confidence) * risk
        spares = [0] * lengths
        for place in range(lengths):
            more = _spares(sum(self.needed[: place + 1]), self.cull_rate, confident) - sum(spares)
            for at in sorted(range(place + 1), key=lambda at: (self.costs[at], -at)):
                taken = max(0, min(more, self.left[at] - spares[at]))
                spares[at] += taken
                more -= taken
        return spares

    def _sure(self, spares: Sequence[int]) -> bool:
        return not over(_chance_short(self.needed, spares, self.cull_rate), 1 - self.confidence)

    def _cost(self, spares: Sequence[int]) -> int:
        return sum(count * cost for count, cost in zip(spares, self.costs, strict=True))

    def _without_idle(self, spares: Sequence[int], kept: int = -1) -> list[int]:
        # Without the spares that nothing depends on, the costliest out first.
        fewer = [*spares]
        for at in sorted(range(len(fewer)), key=lambda at: -self.costs[at]):
            while at != kept and fewer[at]:
                fewer[at] -= 1
                if not self._sure(fewer):
                    fewer[at] += 1
                    break
        return fewer

    def _exchanges(self, spares: Sequence[int]) -> Iterator[list[int]]:
        # One more of a length may let several of others go.
        for at in range(len(spares)):
            if spares[at] < self.left[at]:
                yield self._without_idle([count + (place == at) for place, count in enumerate(spares)], at)


def spares_short(
    stock: Lengths,
    ordered: Annotated[Sequence[float], COUNT, Beside("stock")],
    boards: Annotated[Sequence[float], COUNT, Beside("stock")],
    cull_rate: Share,
) -> Share:
    """Chance that an order of several stock lengths runs short, where a longer board may stand in.

    Parameters
    ----------
    stock : sequence of float
        Stock lengths [in].
    ordered : sequence of float
        Boards ordered of each [-].
    boards : sequence of float
        Good boards that the cuts need of each [-].
    cull_rate : float
        Share of the boards that is culled, 0 to under 1 [-].

    Returns
    -------
    float
        Chance of running short, 0 to 1 [-].

    Raises
    ------
    NotReadable
        No stock length is given, or lists that stand beside each other differ in length.
    InputError
        A length not over 0, boards not whole or too many, a cull rate of 1.

    Notes
    -----
    Culls within one bundle are not independent, so real orders spread wider: the chance is a floor.

    References
    ----------
    Penn State STAT 414, section 11.6: the negative binomial distribution. Pooling: derived.

    Examples
    --------
    >>> spares_short([144, 192], [13, 25], [12, 22], 0.05)  # doctest: +ELLIPSIS
    0.053548...
    """
    _check(stock, boards, cull_rate)
    beside("ordered", ordered, "stock", stock)
    for count in ordered:
        whole(ordered=count)
        within(0, _MOST_BOARDS, ordered=count)
    order = sorted(range(len(stock)), key=lambda at: -stock[at])
    return _chance_short(
        [round(boards[at]) for at in order],
        [round(ordered[at]) - round(boards[at]) for at in order],
        cull_rate,
    )


def _spares(good: int, cull: float, confidence: float) -> int:
    return int(boards_to_order(good, cull, confidence)) - good


def _left(available: float | None, needed: int) -> int:
    return (_MOST_BOARDS if available is None else round(available)) - needed


def _check(stock: Sequence[float], boards: Sequence[float], cull_rate: float) -> None:
    if not stock:
        raise NotReadable("stock", stock, "must hold a length")
    beside("boards", boards, "stock", stock)
    for length in stock:
        above(0, stock=length)
    for count in boards:
        whole(boards=count)
    if over(fsum(boards), _MOST_BOARDS):
        raise InputError("boards", boards, f"must be {_MOST_BOARDS} or fewer in all")
    share(cull_rate=cull_rate)


def _chance_short(needed: Sequence[int], spares: Sequence[int], cull: float) -> float:
    # Longest first: how likely it is that so many good boards are over, down to the shortest.
    over_after = {0: 1.0}
    for need, spare in zip(needed, spares, strict=True):
        culled = _culled(need + spare, cull)
        found: dict[int, float] = {}
        for had, chance in over_after.items():
            for lost, weight in culled:
                left = had + spare - lost
                if left < 0:
                    break
                found[left] = found.get(left, 0.0) + chance * weight
        over_after = found
    return max(0.0, 1 - fsum(over_after.values()))


_NO_CHANCE = -50.0  # natural logarithm of what is taken as none at all


def _culled(boards: int, cull: float) -> list[tuple[int, float]]:
    # How likely each number of culls is among so many boards.
    if not cull or not boards:
        return [(0, 1.0)]
    weights = [
        (
            lost,
            lgamma(boards + 1)
            - lgamma(lost + 1)
            - lgamma(boards - lost + 1)
            + lost * log(cull)
            + (boards - lost) * log(1 - cull),
        )
        for lost in range(boards + 1)
    ]
    return [(lost, exp(weight)) for lost, weight in weights if weight > _NO_CHANCE]
