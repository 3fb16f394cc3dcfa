"""Ways to break all runs, row after row, a few of the cheapest kept at each step."""

from collections.abc import Sequence
from heapq import nsmallest
from typing import NamedTuple

from sheetcalc.solver.cutting import Stock
from sheetcalc.solver.prices import FINE, Prices
from sheetcalc.solver.spans import Rules, Run, Span, Spans

__all__ = ["Way", "ways"]

_NEVER = 1 << 62


class Way(NamedTuple):
    """A way to break the runs so far: the nodes of each, as a chain back to the first run."""

    cost: int  # what was paid, less what the offcuts are worth
    offcuts: tuple[int, ...]
    recent: tuple[tuple[int, int], ...]  # rows and the bits of their breaks, the latest first
    nodes: tuple[int, ...]
    before: "Way | None"

    def all_nodes(self) -> list[tuple[int, ...]]:
        """Nodes of each run in the order they were broken."""
        found: list[tuple[int, ...]] = []
        way: Way | None = self
        while way is not None and way.nodes:
            found.append(way.nodes)
            way = way.before
        return found[::-1]


class _Market:
    """What a piece costs: from a new board or from an offcut, the rest sold at a share of its worth."""

    def __init__(self, sizes: Sequence[int], stock: Sequence[Stock], prices: Prices, share: int) -> None:
        self._sizes, self._worth, self._share = sizes, prices.worth, share
        self._known: dict[int, list[int]] = {}
        self._rests: dict[tuple[int, int], int] = {}
        self.fresh: list[int] = []
        self.board: list[int] = []
        for size in sizes:
            cost, board = min(
                (board.cost * FINE - self.sold(board.size - size), board.size) for board in stock if board.size >= size
            )
            self.fresh.append(cost)
            self.board.append(board)

    def sold(self, length: int) -> int:
        return int(self._worth(length)) * self._share // 1000

    def from_offcut(self, length: int) -> list[int]:
        """Cost of each piece out of an offcut."""
        costs = self._known.get(length)
        if costs is None:
            sold = self.sold(length)
            costs = [sold - self.sold(length - size) if size <= length else _NEVER for size in self._sizes]
            self._known[length] = costs
        return costs

    def costs(self, offcuts: Sequence[int]) -> list[int]:
        """Cost of each piece where these offcuts lie about."""
        return list(map(min, self.fresh, *map(self.from_offcut, offcuts))) if offcuts else self.fresh

    def take(self, offcuts: tuple[int, ...], pieces: Sequence[int]) -> tuple[int, tuple[int, ...]]:
        """Cut pieces, the largest first: what they cost, and the offcuts then."""
        left = list(offcuts)
        total = 0
        for piece in sorted(pieces, reverse=True):
            cost, source = self.fresh[piece], -1
            for offcut in left:
                if (other := self.from_offcut(offcut)[piece]) < cost:
                    cost, source = other, offcut
            total += cost
            if source < 0:
                source = self.board[piece]
            else:
                left.remove(source)
            if rest := self._worth.used(source - self._sizes[piece]):
                left.append(rest)
        left.sort()
        return total, tuple(left)


def ways(
    task: Spans,
    runs: Sequence[Run],
    rules: Rules,
    stock: Sequence[Stock],
    prices: Prices,
    each: int,
    width: int,
    extra: int = 0,
) -> list[Way]:
    """Return ways to break all runs, the most promising first; none if the search lost itself.

    `extra` is a cost of breaks that guides the search alone: the fewer there are, the less is barred later.
    """
    order = sorted(range(len(runs)), key=lambda at: (runs[at].row, runs[at].start))
    span_of = {run: span for span in task.each for run in span.runs}
    near = _near(task.places, rules.apart)
    markets: dict[int, _Market] = {}
    tiny = FINE // (64 * (1 + sum(len(span_of[at].nodes) for at in order)))
    break_costs = [each * FINE + extra + tiny + rest for rest in prices.rest]
    kept = [Way(0, (), (), (), None)]
    for step, index in enumerate(order):
        share = _share(len(order) - step)
        market = markets.setdefault(share, _Market(task.sizes, stock, prices, share))
        span, row = span_of[index], runs[index].row
        found: list[tuple[int, int, tuple[int, ...]]] = []
        for at, way in enumerate(kept):
            base = way.cost
            for cost, nodes in _cheapest(span, _barred(way, row, rules, near), market.costs(way.offcuts), break_costs, 8):
                found.append((base + cost, at, nodes))
        found.sort()
        fresh: dict[tuple[tuple[int, ...], int], Way] = {}
        for _, at, nodes in found[: 3 * width]:
            way = kept[at]
            pieces = [dict(span.into[after])[before] for before, after in zip(nodes, nodes[1:], strict=False)]
            cost, offcuts = market.take(way.offcuts, pieces)
            cost += way.cost + sum(break_costs[span.bits[node].bit_length() - 1] for node in nodes[1:-1])
            bits = sum(span.bits[node] for node in nodes[1:-1])
            recent = _recent(way.recent, row, bits, rules)
            key = offcuts, bits
            if key not in fresh or fresh[key].cost > cost:
                fresh[key] = Way(cost, offcuts, recent, nodes, way)
        kept = nsmallest(width, fresh.values(), key=lambda way: way.cost)
    return kept


def _share(left: int) -> int:
    return 970 if left > 4 else 800 + 40 * (left - 1)


def _near(places: Sequence[int], apart: int) -> list[int]:
    """Bits of all places nearer than `apart` to each place."""
    near: list[int] = []
    for place in places:
        near.append(sum(1 << at for at, other in enumerate(places) if abs(other - place) < apart))
    return near


def _barred(way: Way, row: int, rules: Rules, near: Sequence[int]) -> int:
    """Bits of the places where a row may not break after what went before."""
    barred = 0
    for other, bits in way.recent:
        if 0 < row - other <= rules.rows_apart:
            barred |= bits
        if row - other == 1:
            while bits:
                lowest = bits & -bits
                barred |= near[lowest.bit_length() - 1]
                bits ^= lowest
    return barred


def _recent(recent: tuple[tuple[int, int], ...], row: int, bits: int, rules: Rules) -> tuple[tuple[int, int], ...]:
    if recent and recent[0][0] == row:
        bits |= recent[0][1]
        recent = recent[1:]
    kept = (each for each in recent if row - each[0] < max(rules.rows_apart, 1))
    return ((row, bits), *kept)


def _cheapest(span: Span, barred: int, costs: Sequence[int], break_costs: Sequence[int], most: int) -> list[tuple[int, tuple[int, ...]]]:
    """Return cheap ways through a span: for each piece the cheapest that holds it, the best of those."""
    end = span.end
    ahead = [_NEVER] * (end + 1)
    came = [0] * (end + 1)
    ahead[0] = 0
    steps: list[tuple[int, int, int]] = []
    for at in range(1, end + 1):
        bit = span.bits[at]
        if bit & barred:
            continue
        extra = break_costs[bit.bit_length() - 1] if bit else 0
        best, source = _NEVER, 0
        for before, piece in span.into[at]:
            so_far = ahead[before]
            if so_far < _NEVER:
                cost = costs[piece] + extra
                steps.append((before, at, cost))
                if so_far + cost < best:
                    best, source = so_far + cost, before
        ahead[at], came[at] = best, source
    if ahead[end] >= _NEVER:
        return []
    back = [_NEVER] * (end + 1)
    goes = [0] * (end + 1)
    back[end] = 0
    through: list[tuple[int, int, int]] = []
    for before, at, cost in reversed(steps):
        rest = back[at]
        if rest < _NEVER:
            through.append((ahead[before] + cost + rest, before, at))
            if cost + rest < back[before]:
                back[before], goes[before] = cost + rest, at
    found: dict[tuple[int, ...], int] = {}
    for cost, before, at in nsmallest(3 * most, through):
        nodes = [before]
        while nodes[-1]:
            nodes.append(came[nodes[-1]])
        nodes.reverse()
        nodes.append(at)
        while nodes[-1] != end:
            nodes.append(goes[nodes[-1]])
        found.setdefault(tuple(nodes), cost)
        if len(found) == most:
            break
    return [(cost, nodes) for nodes, cost in found.items()]
