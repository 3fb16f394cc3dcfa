"""What pieces and places of breaks are worth, and what any way to break the runs costs at least.

A linear programme of two parts: runs are paths through their places, boards are cut by patterns that column
generation finds, and the pieces link the two. Taking it apart by its prices is Dantzig and Wolfe's
decomposition; the bound needs the prices alone.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, gcd, inf
from typing import NamedTuple

from sheetcalc.solver.programme import Programme, in_time
from sheetcalc.solver.spans import Network, picked
from sheetcalc.solver.worth import Share, Worth

__all__ = ["FINE", "Prices", "prices"]

FINE = 1 << 20
"""Parts of a unit of cost that prices are counted in, whole, so that the bound holds to the last digit."""

_ROUNDS = 60  # of new ways to cut
_ROUNDS_ANYWHERE = 6  # where the prices guide the search alone
_FEW = 9  # runs
_SIZES = 120  # with more, sizes are rounded down to steps: no dearer, so the bound still holds


class Prices(NamedTuple):
    """Prices in parts of a unit of cost.

    `worth` is what any size is worth, never more than a board of it costs; `rest` what a break at each node
    of each span takes from the other rows that could break there, `idle` the part of it that is lost in a
    row that could break there and does not; `bound` what any way costs at least, in whole units.
    """

    worth: Worth | Share
    rest: tuple[tuple[int, ...], ...]
    idle: tuple[tuple[int, ...], ...]
    bound: int

    def of_fewer(self, net: Network) -> "Prices":
        """Return a guide for the same task with fewer boards; it proves nothing.

        Places keep their prices if they are the same. Where one board is left, sizes are worth their share.
        """
        worth = self.worth
        if len(net.stock) == 1:
            ((size, cost, _),) = net.stock
            worth = Share(net.sizes, size, cost * FINE)
        if [len(nodes) for nodes in self.rest] == [len(span.nodes) for span in net.spans]:
            return self._replace(worth=worth, bound=0)
        free = tuple((0,) * len(span.nodes) for span in net.spans)
        return Prices(worth, free, free, 0)


class Limit(NamedTuple):
    """At most so many breaks in all rows of these spans together fall on these places."""

    places: range
    spans: frozenset[int]
    most: int

    def holds(self, span: int, bit: int) -> bool:
        """Tell whether a break of a span counts here."""
        return span in self.spans and bit.bit_length() - 1 in self.places


def prices(net: Network, effort: float, until: float) -> Prices:
    """Price pieces and places by a linear programme: which pieces the runs take, and how they are cut.

    Its rows say: as many pieces of each size are cut as are taken, each run is covered, and no place carries
    more breaks than the rules let it. Whatever else the rules say stands in no row, so its cost is a lower
    bound. The rows' prices alone prove it: they are made whole numbers at which no board is cut dearer than
    it costs, and then every run costs at least its cheapest way.
    """
    net = _coarser(net)
    families = _families(net)
    limits = list(_limits(net, families))
    programme, limit_rows = _flow(net, families, limits, until)
    known: set[tuple[int, tuple[int, ...]]] = set()

    def cut(board: int, pattern: Sequence[int]) -> bool:
        if (board, tuple(pattern)) in known:
            return False
        known.add((board, tuple(pattern)))
        pieces = sorted(set(pattern))
        programme.add(net.stock[board].cost, pieces, [float(pattern.count(piece)) for piece in pieces])
        return True

    for board, (room, _, _) in enumerate(net.stock):  # to begin with: one size alone, and in pairs
        for piece, size in enumerate(net.sizes):
            if size <= room:
                cut(board, [piece] * (room // size))
                if other := bisect_right(net.sizes, room - size):
                    cut(board, sorted([piece, other - 1]))
    largest = max((board.size for board in net.stock), default=0)
    row_prices: list[float] = []
    rounds = _ROUNDS if net.rules.places is not None else _ROUNDS_ANYWHERE
    for _ in range(max(1, round(rounds * effort))):
        _, _, row_prices = programme.relaxed()
        in_time(until)
        worth = Worth(net.sizes, [max(0.0, price) for price in row_prices[: len(net.sizes)]], largest)
        dear = [
            at for at, (size, cost, _) in enumerate(net.stock) if worth(size) > cost + 1e-7 * max(1, cost)
        ]
        if not [at for at in dear if cut(at, worth.cut(net.stock[at].size))]:
            break
    return _proven(net, row_prices, limits, limit_rows)


def _coarser(net: Network) -> Network:
    step = 1
    while len({size // step for size in net.sizes}) > _SIZES:
        step *= 2
    if step == 1:
        return net
    sizes = sorted({max(1, size // step * step) for size in net.sizes})
    index = {size: at for at, size in enumerate(sizes)}
    again = [index[max(1, size // step * step)] for size in net.sizes]
    spans = tuple(
        span._replace(
            into=tuple(tuple((before, again[piece]) for before, piece in came) for came in span.into)
        )
        for span in net.spans
    )
    return replace(net, spans=spans, sizes=tuple(sizes))


def _families(net: Network) -> list[tuple[int, ...]]:
    """Put spans together that differ in nothing but their end, unless they stand for many runs.

    Their pieces then flow through one net of places. Spans of many runs have limits of their own. Where
    breaks may fall anywhere, the places are but a choice, and it is enough that the spans start together.
    """
    families: list[list[int]] = []
    for number, span in sorted(enumerate(net.spans), key=lambda pair: -pair[1].nodes[-1]):
        for family in families:
            leader = net.spans[family[0]]
            places = span.nodes[: 1 if net.rules.places is None else -1]
            if len(span.runs) <= _FEW >= len(leader.runs) and leader.nodes[: len(places)] == places:
                family.append(number)
                break
        else:
            families.append([number])
    return [tuple(family) for family in families]


def _flow(
    net: Network, families: Sequence[tuple[int, ...]], limits: Sequence[Limit], until: float
) -> tuple[Programme, range]:
    """Return a programme whose columns are the pieces of all runs, and its rows for the limits."""
    pieces = len(net.sizes)
    rows = [(0.0, inf)] * pieces
    through: dict[tuple[int, int], int] = {}  # the row of each place of each family
    for at, family in enumerate(families):
        for bit in sorted({bit for number in family for bit in net.spans[number].bits if bit}):
            through[at, bit] = len(rows)
            rows.append((0.0, 0.0))
    ends = range(len(rows), len(rows) + len(net.spans))
    rows += [(float(len(span.runs)), float(len(span.runs))) for span in net.spans]
    limit_rows = range(len(rows), len(rows) + len(limits))
    rows += [(-inf, float(limit.most)) for limit in limits]
    programme = Programme(rows, until)
    for at, family in enumerate(families):
        known: set[tuple[int, int]] = set()
        for number in family:
            span = net.spans[number]
            for node in range(1, span.end + 1):
                bit = span.bits[node]
                to = [through[at, bit] if bit else ends[number]]
                if bit:
                    to += [
                        row for row, limit in zip(limit_rows, limits, strict=True) if limit.holds(number, bit)
                    ]
                for before, piece in span.into[node]:
                    if (span.bits[before], to[0]) not in known:
                        known.add((span.bits[before], to[0]))
                        out = [through[at, span.bits[before]]] if before else []
                        values = [-1.0, *[1.0] * len(to), *[-1.0] * len(out)]
                        programme.add(net.price if bit else 0, [piece, *to, *out], values)
    for longer in range(1, pieces):
        programme.add(0, [longer - 1, longer], [1.0, -1.0])  # a longer piece serves as a shorter one
    return programme, limit_rows


def _proven(net: Network, row_prices: Sequence[float], limits: Sequence[Limit], limit_rows: range) -> Prices:
    largest = max(board.size for board in net.stock)
    exact = [max(0, int(price * FINE)) for price in row_prices[: len(net.sizes)]]
    worth = Worth(net.sizes, exact, largest)
    over = [
        (board.cost * FINE, int(worth(board.size)))
        for board in net.stock
        if worth(board.size) > board.cost * FINE
    ]
    if over:  # all a little cheaper, until no board is cut dearer than it costs
        cost, dearest = min(over, key=lambda pair: Fraction(*pair))
        worth = Worth(net.sizes, [price * cost // dearest for price in exact], largest)
    rest = [[0] * len(span.nodes) for span in net.spans]
    idle = [[0] * len(span.nodes) for span in net.spans]
    given_back = 0
    for limit, row in zip(limits, limit_rows, strict=True):
        price = max(0, ceil(-row_prices[row] * FINE))
        given_back += price * limit.most
        for number in limit.spans if price else ():
            for node, bit in enumerate(net.spans[number].bits):
                if limit.holds(number, bit):
                    rest[number][node] += price
                    if len(limit.places) == 1:
                        idle[number][node] += price // (net.rules.rows_apart + 1)
    lifted = [int(worth(size)) for size in net.sizes]
    least = -given_back
    for span, taken in zip(net.spans, rest, strict=True):
        ways = [0] * len(span.nodes)
        for at in range(1, span.end + 1):
            extra = net.price * FINE + taken[at] if at < span.end else 0
            ways[at] = extra + min(ways[before] + lifted[piece] for before, piece in span.into[at])
        least += len(span.runs) * ways[-1]
    unit = gcd(*(board.cost for board in net.stock), net.price) or 1
    return Prices(
        worth, tuple(map(tuple, rest)), tuple(map(tuple, idle)), max(0, -(-least // (FINE * unit)) * unit)
    )


def _limits(net: Network, families: Sequence[tuple[int, ...]]) -> Iterator[Limit]:
    """Yield how many breaks fall on a place at most, and on places that lie within `apart` of each other.

    The rows of each family are looked at by themselves, and all rows together.
    """
    every = tuple(range(len(net.spans)))
    for spans in [*families, every] if len(families) > 1 else [every]:
        rows: list[set[int]] = [set() for _ in net.places]
        for span in (net.spans[number] for number in spans):
            for bit in span.bits[1:-1]:
                rows[bit.bit_length() - 1].update(net.runs[at].row for at in span.runs)
        alone = [picked(each, net.rules.rows_apart) for each in rows]
        for at, most in enumerate(alone):
            if most < len(rows[at]):
                yield Limit(range(at, at + 1), frozenset(spans), most)
        for first, place in enumerate(net.places):
            last, seen, most_in_row, end = first, set[int](), 0, -inf
            while last < len(net.places) and net.places[last] - place < net.rules.apart:
                seen |= rows[last]
                if net.places[last] >= end:  # the most that one row can have here
                    most_in_row += 1
                    end = net.places[last] + max(net.rules.least, 1)
                last += 1
            most = most_in_row * picked(seen, 1)
            if last > first + 1 and most < sum(alone[first:last]):
                yield Limit(range(first, last), frozenset(spans), most)
