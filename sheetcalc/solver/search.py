"""Ways to break all runs, row after row, a few of the cheapest kept at each step: beam search.

Prices stand for what is still to come: an offcut is sold at nearly its worth, a break pays for the place that
it takes from later rows.
"""

from collections.abc import Sequence
from heapq import nsmallest
from typing import NamedTuple

from sheetcalc.solver.prices import FINE, Prices
from sheetcalc.solver.programme import in_time
from sheetcalc.solver.spans import Network, Rules, Span

__all__ = ["Way", "near", "ways"]

_NEVER = 1 << 200
_BRANCHES = 8  # ways that each one kept goes on in, at most
_STAIR = 20_000  # a break that goes on a stair seems dearer by such a part of a board
_TRIED = 3  # times as many are looked at closely as are kept


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

    def __init__(self, net: Network, prices: Prices, share: int) -> None:
        self._sizes, self._worth, self._share = net.sizes, prices.worth, share
        self._known: dict[int, list[int]] = {}
        self.fresh: list[int] = []
        self.board: list[int] = []
        for size in net.sizes:
            cost, board = min(
                (board.cost * FINE - self.sold(board.size - size), board.size)
                for board in net.stock
                if board.size >= size
            )
            self.fresh.append(cost)
            self.board.append(board)

    def sold(self, length: int) -> int:
        """Return what an offcut is sold for."""
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


class _Step:
    """One run in its turn: its span, and what its breaks cost."""

    def __init__(self, net: Network, prices: Prices, index: int, number: int, extra: int) -> None:
        self.span, self.row = net.spans[number], net.runs[index].row
        self.idle = [
            (bit, lost) for bit, lost in zip(self.span.bits, prices.idle[number], strict=True) if lost
        ]
        self.costs = [net.price * FINE + extra + rest for rest in prices.rest[number]]
        self.costs[-1] = 0
        self.guide = [cost - lost for cost, lost in zip(self.costs, prices.idle[number], strict=True)]

    def lost(self, used: int) -> int:
        """Sum what the places lose that neither rest nor are used now."""
        return sum([lost for bit, lost in self.idle if not bit & used])


def ways(net: Network, prices: Prices, width: int, until: float, extra: int = 0) -> list[Way]:
    """Return ways to break all runs, the most promising first; none if the search lost itself.

    `extra` is a cost of breaks that guides the search alone: the fewer there are, the less is barred later.
    """
    beside = near(net.places, net.rules.apart)
    number_of = {run: number for number, span in enumerate(net.spans) for run in span.runs}
    tiny = FINE // (64 * (1 + sum(len(net.span_of[at].nodes) for at in net.order)))  # of two, fewer breaks
    steps = [_Step(net, prices, at, number_of[at], extra + tiny) for at in net.order]
    markets = {
        share: _Market(net, prices, share) for share in {_share(left) for left in range(1, len(steps) + 1)}
    }
    place_of = {1 << bit: place for bit, place in enumerate(net.places)}
    stair = max(board.cost for board in net.stock) * FINE // _STAIR if net.rules.apart else 0
    kept = [(Way(0, (), (), (), None), 0, 0)]
    for at, step in enumerate(steps):
        market = markets[_share(len(steps) - at)]
        found: list[tuple[int, int, tuple[int, ...]]] = []
        for place, (way, barred, resting) in enumerate(kept):
            in_time(until)
            base = way.cost + step.lost(resting)
            costs = market.costs(way.offcuts)
            found += [
                (base + cost, place, nodes)
                for cost, nodes in _cheapest(step.span, barred, costs, step.guide, _BRANCHES)
            ]
        found.sort()
        fresh: dict[tuple[tuple[int, ...], int], Way] = {}
        for _, place, nodes in found[: _TRIED * width]:
            in_time(until)
            way, _, resting = kept[place]
            cost, offcuts = market.take(way.offcuts, step.span.pieces(nodes))
            bits = sum([step.span.bits[node] for node in nodes])
            cost += way.cost + sum([step.costs[node] for node in nodes]) + step.lost(resting | bits)
            cost += stair * _stairs(
                way.recent, step.row, step.span.nodes, nodes, place_of, 2 * net.rules.apart
            )
            key = offcuts, bits
            if key not in fresh or fresh[key].cost > cost:
                fresh[key] = Way(cost, offcuts, _recent(way.recent, step.row, bits, net.rules), nodes, way)
        ranked: list[tuple[int, int, tuple[Way, int, int]]] = []
        after = steps[at + 1] if at + 1 < len(steps) else None
        for way in fresh.values():
            in_time(until)
            barred, resting, ahead = 0, 0, 0
            if after:  # the run that comes next tells a good way from one that blocks it
                barred, resting = _barred(way, after.row, net.rules, beside)
                ahead = _ahead(after.span, barred, market.fresh, after.guide) + after.lost(resting)
            if ahead < _NEVER:
                ranked.append((way.cost + ahead, len(ranked), (way, barred, resting)))
        kept = [each for _, _, each in nsmallest(width, ranked)]
    return [way for way, _, _ in kept]


def _share(left: int) -> int:
    # Thousandths of its worth that an offcut is sold for: the fewer runs are left to use it, the less.
    return 970 if left > 4 else 800 + 40 * (left - 1)


def near(places: Sequence[int], apart: int) -> list[int]:
    """Return the bits of all places nearer than `apart` to each place."""
    return [
        sum([1 << at for at, other in enumerate(places) if abs(other - place) < apart]) for place in places
    ]


def _barred(way: Way, row: int, rules: Rules, beside: Sequence[int]) -> tuple[int, int]:
    """Bits of the places where a row may not break after what went before, and of those that rest."""
    barred = resting = 0
    for other, bits in way.recent:
        if 0 < row - other <= rules.rows_apart:
            resting |= bits
        if row - other == 1:
            while bits:
                lowest = bits & -bits
                barred |= beside[lowest.bit_length() - 1]
                bits ^= lowest
    return barred | resting, resting


def _stairs(
    recent: Sequence[tuple[int, int]],
    row: int,
    places: Sequence[int],
    nodes: Sequence[int],
    place_of: dict[int, int],
    wide: int,
) -> int:
    """Count the breaks of a row that go on a stair: as far from one before as that from one before it."""
    before = [_places(bits, place_of) for other, bits in recent if row - other == 1]
    last = [_places(bits, place_of) for other, bits in recent if row - other == 2]
    if not before or not last:
        return 0
    lower = set(last[0])
    return sum(
        [
            1
            for node in nodes[1:-1]
            for place in before[0]
            if abs(place - places[node]) <= wide and 2 * place - places[node] in lower
        ]
    )


def _places(bits: int, place_of: dict[int, int]) -> list[int]:
    found: list[int] = []
    while bits:
        lowest = bits & -bits
        found.append(place_of[lowest])
        bits ^= lowest
    return found


def _recent(
    recent: tuple[tuple[int, int], ...], row: int, bits: int, rules: Rules
) -> tuple[tuple[int, int], ...]:
    """Add the breaks of a run to those that later rows have to mind."""
    if recent and recent[0][0] == row:
        bits |= recent[0][1]
        recent = recent[1:]
    kept = (each for each in recent if row - each[0] <= max(rules.rows_apart, 1))
    return ((row, bits), *kept)


def _ahead(span: Span, barred: int, costs: Sequence[int], break_costs: Sequence[int]) -> int:
    """Return the cost of the cheapest way through a span."""
    ahead = [_NEVER] * (span.end + 1)
    ahead[0] = 0
    for at in range(1, span.end + 1):
        if not span.bits[at] & barred:
            best = min([ahead[before] + costs[piece] for before, piece in span.into[at]])
            if best < _NEVER:
                ahead[at] = best + break_costs[at]
    return ahead[-1]


def _cheapest(
    span: Span, barred: int, costs: Sequence[int], break_costs: Sequence[int], most: int
) -> list[tuple[int, tuple[int, ...]]]:
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
        extra = break_costs[at]
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
