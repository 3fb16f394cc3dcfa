"""The best of several ways to break the runs: bought to the last board, but only where it can pay."""

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import inf
from typing import NamedTuple

from sheetcalc.solver.cutting import Nodes, bought, filled
from sheetcalc.solver.few import Few
from sheetcalc.solver.prices import FINE, Prices
from sheetcalc.solver.programme import in_time
from sheetcalc.solver.spans import Breaks, Network

__all__ = ["Choice", "Layout"]

_MANY = 30  # sizes: one such purchase takes long enough
_PURCHASES = 40  # of few runs, at effort 1

Pieces = tuple[tuple[int, int], ...]  # sizes and their counts


class Layout(NamedTuple):
    """Breaks of each run, in the order of the runs.

    `cost` is that of the boards and the breaks; no layout costs less than `bound`.
    """

    breaks: Breaks
    cost: int
    bound: int

    @property
    def rank(self) -> tuple[int, int]:
        """What makes one better than another: its cost, then the number of its breaks."""
        return self.cost, sum(map(len, self.breaks))

    @property
    def near(self) -> bool:
        """Whether it costs so little that nothing else is worth the time."""
        return self.cost <= self.bound + self.bound // 500


class Choice:
    """The best layout so far."""

    def __init__(
        self, net: Network, prices: Prices, bound: int, effort: float, nodes: Nodes, until: float
    ) -> None:
        self.best: Layout | None = None
        self._sizes = 0  # of the pieces of the best
        self._net, self._prices, self._bound = net, prices, bound
        self._effort, self._nodes, self._until = effort, nodes, until
        self._known: dict[Pieces, int] = {}  # what those cost at least that were bought or refused

    def take(self, found: Sequence[Breaks], most: int, *, ranked: bool = False) -> None:
        """Buy for ways to break all runs: unless they come ranked, those first that are cheap just filled."""
        rated: dict[Pieces, tuple[int, int, int, Breaks, Pieces]] = {}
        for breaks in found:
            if self.best is not None:
                in_time(self._until)
            pieces = self._pieces(breaks)
            if pieces not in self._known and pieces not in rated:
                number = sum(map(len, breaks))
                cost, _ = filled(*_apart(pieces), self._net.stock)
                rated[pieces] = cost + self._net.price * number, number, len(rated), breaks, pieces
        bought = 0
        for cost, number, _, breaks, pieces in rated.values() if ranked else sorted(rated.values()):
            best = self.best
            if best is not None:
                sure = (cost, number) < best.rank
                if bought == most or (self._sizes > _MANY and (bought or not sure)):
                    break
                least = self._least(pieces, number)
                if not sure and (least, number) >= best.rank:
                    self._known[pieces] = least
                    continue
            bought += 1
            self._buy(breaks, pieces)

    def take_all(self, found: Iterable[Few | None]) -> None:
        """Buy for all ways to break few runs that can be better, and prove the best so, if time allows."""
        net, best = self._net, self.best
        assert best is not None
        least = best.cost  # of all that are left out
        bought, most = 0, max(1, round(_PURCHASES * self._effort))
        for way in found:
            assert self.best is not None
            if way is None or way.least >= (self.best.cost + 1) * FINE:
                if net.rules.places is not None:
                    self.best = self.best._replace(bound=max(self.best.bound, min(least, self.best.cost)))
                break
            if bought == most:
                break
            breaks = net.breaks(way.nodes)
            pieces = self._pieces(breaks)
            if pieces not in self._known:
                _, material = filled(*_apart(pieces), net.stock)
                material = max(material + net.price * way.breaks, -(-way.least // FINE))
                if (material, way.breaks) < self.best.rank:
                    bought += 1
                    self._buy(breaks, pieces)
                else:
                    self._known[pieces] = material
            least = min(least, self._known[pieces])

    def _least(self, pieces: Pieces, breaks: int) -> int:
        worth = sum([int(self._prices.worth(size)) * count for size, count in pieces])
        return -(-worth // FINE) + self._net.price * breaks

    def _pieces(self, breaks: Breaks) -> Pieces:
        rules = self._net.rules
        counts = Counter(
            rules.size(far - near)
            for (_, start, length, _), places in zip(self._net.runs, breaks, strict=True)
            for near, far in pairwise([start, *places, start + length])
        )
        return tuple(sorted(counts.items()))

    def _buy(self, breaks: Breaks, pieces: Pieces) -> None:
        sizes, counts = _apart(pieces)
        joints = self._net.price * sum(map(len, breaks))
        enough = inf if self.best is None else self.best.cost - joints + 1  # as cheap may have fewer breaks
        least = self._least(pieces, 0)
        cost, bound = bought(
            sizes, counts, self._net.stock, self._effort, self._until, self._nodes, least, enough
        )
        new = Layout(breaks, cost + joints, self._bound)
        if self.best is None or new.rank < self.best.rank:
            self.best, self._sizes = new, len(sizes)
        self._known[pieces] = bound + joints


def _apart(pieces: Pieces) -> tuple[tuple[int, ...], tuple[int, ...]]:
    return tuple(size for size, _ in pieces), tuple(count for _, count in pieces)
