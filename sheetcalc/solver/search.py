"""Ways to break all runs, row after row, a few of the cheapest kept at each step: beam search.

Prices stand for what is still to come: an offcut is sold at nearly its worth, a break pays for the place that
it takes from later rows.
"""

from collections.abc import Iterable, Iterator, Sequence
from heapq import nsmallest
from typing import NamedTuple

from sheetcalc.solver.paths import Path, Paths
from sheetcalc.solver.prices import FINE, Prices
from sheetcalc.solver.programme import in_time
from sheetcalc.solver.spans import Network

__all__ = ["Beam", "Way", "near"]

_NEVER = 1 << 200
_BRANCHES = 8  # ways that each one kept goes on in, at most
_STAIR = 20_000  # a break that goes on a stair seems dearer by such a part of a board
_TRIED = 3  # times as many are looked at closely as are kept


Broken = tuple[int, int, int]  # a row, the bits of its breaks and of the places near them


class Way(NamedTuple):
    """A way to break the runs so far: the nodes of each, as a chain back to the first run."""

    cost: int  # what was paid, less what the offcuts are worth
    offcuts: tuple[int, ...]
    recent: tuple[Broken, ...]  # the latest first
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
        self._costs: dict[tuple[int, ...], list[int]] = {}
        self._taken: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[int, tuple[int, ...]]] = {}
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

    def costs(self, offcuts: tuple[int, ...]) -> list[int]:
        """Cost of each piece where these offcuts lie about."""
        costs = self._costs.get(offcuts)
        if costs is None:
            costs = list(map(min, self.fresh, *map(self.from_offcut, offcuts))) if offcuts else self.fresh
            self._costs[offcuts] = costs
        return costs

    def of_new_boards(self, pieces: Sequence[int]) -> int:
        """Cost of pieces without an offcut."""
        return sum([self.fresh[piece] for piece in pieces])

    def take(self, offcuts: tuple[int, ...], pieces: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        """Cut pieces, the largest first: what they cost, and the offcuts then."""
        taken = self._taken.get((offcuts, pieces))
        if taken is None:
            taken = self._taken[offcuts, pieces] = self._take([*offcuts], pieces)
        return taken

    def _take(self, left: list[int], pieces: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        total = 0
        for piece in pieces:
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


class _Turn:
    """A run in its turn: the paths through it, and what its places lose that neither rest nor are used."""

    def __init__(self, row: int, market: _Market, paths: Paths, idle: Sequence[tuple[int, int]]) -> None:
        self.row, self.market, self.paths, self._idle = row, market, paths, idle

    def lost(self, used: int) -> int:
        """Sum what the places lose that neither rest nor are used now."""
        return sum([lost for bit, lost in self._idle if not bit & used]) if self._idle else 0


class _Kept(NamedTuple):
    """A way, and what it leaves to the run that comes next: bits of places barred, and of those at rest."""

    way: Way
    barred: int
    resting: int


class Beam:
    """A search through all runs, as narrow or wide as asked for.

    What follows guides the search alone: `extra` is a cost of breaks, as the fewer there are, the less is
    barred later; an offcut is sold for `share` thousandths of its worth.
    """

    def __init__(self, net: Network, prices: Prices, extra: int = 0, share: int = 970) -> None:
        self._net = net
        self._bit_of = {place: 1 << bit for bit, place in enumerate(net.places)}
        self._stair = max(board.cost for board in net.stock) * FINE // _STAIR if net.rules.apart else 0
        beside = near(net.places, net.rules.apart)
        nodes = sum(len(net.span_of[run].nodes) for run in net.order)
        each = (
            net.price * FINE + extra + FINE // (64 * (1 + nodes))
        )  # of two that cost the same, fewer breaks
        shares = [_share(left, share) for left in range(len(net.order), 0, -1)]
        markets = {some: _Market(net, prices, some) for some in dict.fromkeys(shares)}
        alike: dict[int, tuple[Paths, list[tuple[int, int]]]] = {}
        for span, rest, idle in zip(net.spans, prices.rest, prices.idle, strict=True):
            breaks = [each + taken - lost for taken, lost in zip(rest, idle, strict=True)]
            breaks[-1] = 0
            paths = Paths(span, markets[shares[0]].fresh, breaks, beside)
            for run in span.runs:
                alike[run] = paths, [(bit, lost) for bit, lost in zip(span.bits, idle, strict=True) if lost]
        self._turns = [
            _Turn(net.runs[run].row, markets[some], *alike[run])
            for run, some in zip(net.order, shares, strict=True)
        ]

    def ways(self, width: int, until: float) -> list[Way]:
        """Return ways to break all runs, the most promising first; none if the search lost itself."""
        kept = [_Kept(Way(0, (), (), (), None), 0, 0)]
        for turn, after in zip(self._turns, [*self._turns[1:], None], strict=False):
            in_time(until)
            ranked: list[tuple[int, int, _Kept]] = []
            for cost, way, path in self._on(turn, kept, width):
                new = Way(
                    cost,
                    turn.market.take(way.offcuts, path.pieces)[1],
                    self._recent(way, turn.row, path),
                    path.nodes,
                    way,
                )
                if not after:
                    ranked.append((cost, len(ranked), _Kept(new, 0, 0)))
                    continue
                barred, resting = self._barred(new, after.row)
                ahead = after.paths.first(barred)  # the run that comes next tells a good way from a bad one
                if ahead:
                    total = (
                        cost + after.lost(resting) + ahead.breaks + turn.market.of_new_boards(ahead.pieces)
                    )
                    ranked.append((total, len(ranked), _Kept(new, barred, resting)))
            kept = [each for _, _, each in nsmallest(width, ranked)]
        return [each.way for each in kept]

    def _on(self, turn: _Turn, kept: Sequence[_Kept], width: int) -> Iterable[tuple[int, Way, Path]]:
        """Ways to go on through one run, and their costs.

        Of those that leave the same offcuts and break this run alike only the cheapest, though after another
        the rows further back may bar less.
        """
        found: list[tuple[int, int, int, Path]] = []
        for place, (way, barred, resting) in enumerate(kept):
            costs = turn.market.costs(way.offcuts)
            base = way.cost + turn.lost(resting)
            for at, path in enumerate(turn.paths.cheapest(costs, barred, _BRANCHES)):
                found.append(
                    (base + path.breaks + sum([costs[piece] for piece in path.pieces]), place, at, path)
                )
        found.sort()
        stairs = [self._stairs(way, turn.row) for way, _, _ in kept]
        fresh: dict[tuple[tuple[int, ...], int], tuple[int, Way, Path]] = {}
        for _, place, _, path in found[: _TRIED * width]:
            way, _, resting = kept[place]
            cost, offcuts = turn.market.take(way.offcuts, path.pieces)
            cost += way.cost + turn.lost(resting) + path.breaks
            cost += self._stair * (path.bits & stairs[place]).bit_count()
            key = offcuts, path.bits
            if key not in fresh or fresh[key][0] > cost:
                fresh[key] = cost, way, path
        return fresh.values()

    def _barred(self, way: Way, row: int) -> tuple[int, int]:
        """Bits of the places where a row may not break after what went before, and of those that rest."""
        barred = resting = 0
        for other, bits, beside in way.recent:
            if 0 < row - other <= self._net.rules.rows_apart:
                resting |= bits
            if row - other == 1:
                barred |= beside
        return barred | resting, resting

    def _recent(self, way: Way, row: int, path: Path) -> tuple[Broken, ...]:
        """Add the breaks of a run to those that later rows have to mind."""
        bits, beside, recent = path.bits, path.beside, way.recent
        if recent and recent[0][0] == row:
            bits |= recent[0][1]
            beside |= recent[0][2]
            recent = recent[1:]
        back = row - max(self._net.rules.rows_apart, 1)
        return ((row, bits, beside), *[each for each in recent if each[0] >= back])

    def _stairs(self, way: Way, row: int) -> int:
        """Bits of the places where a break goes on a stair: as far on as the one before from its own."""
        before = [at for other, bits, _ in way.recent if row - other == 1 for at in _set(bits)]
        last = [at for other, bits, _ in way.recent if row - other == 2 for at in _set(bits)]
        places, found = self._net.places, 0
        for place in [places[at] for at in before] if last else ():
            for lower in [places[at] for at in last]:
                if abs(place - lower) <= 2 * self._net.rules.apart:
                    found |= self._bit_of.get(2 * place - lower, 0)
        return found


def _share(left: int, share: int) -> int:
    # The fewer runs are left that can use an offcut, the less it is sold for.
    return share if left > 4 else min(share, 800 + 40 * (left - 1))


def near(places: Sequence[int], apart: int) -> list[int]:
    """Return the bits of all places nearer than `apart` to each place."""
    return [
        sum([1 << at for at, other in enumerate(places) if abs(other - place) < apart]) for place in places
    ]


def _set(bits: int) -> Iterator[int]:
    """Yield which bits are set."""
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest
