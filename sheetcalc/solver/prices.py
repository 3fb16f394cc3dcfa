"""What pieces and places of breaks are worth, and what any way to break the runs costs at least."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate
from math import ceil, gcd, inf
from typing import NamedTuple

from sheetcalc.solver.programme import Programme
from sheetcalc.solver.spans import Network, picked
from sheetcalc.solver.worth import Worth

__all__ = ["FINE", "Prices", "prices"]

FINE = 1 << 20
"""Parts of a unit of cost that prices are counted in, whole, so that the bound holds to the last digit."""

_ROUNDS = 60
_SIZES = 120  # with more, sizes are rounded down to steps: no dearer, so the bound still holds


class Prices(NamedTuple):
    """Prices in parts of a unit of cost.

    `worth` is what any size is worth, never more than a board of it costs; `rest` what a break at each node of
    each span takes from the other rows that could break there, `idle` the part of it that is lost in a row
    that could break there and does not; `bound` what any way costs at least, in whole units.
    """

    worth: Worth
    rest: tuple[tuple[int, ...], ...]
    idle: tuple[tuple[int, ...], ...]
    bound: int


class Limit(NamedTuple):
    """At most so many breaks in all rows of these spans together fall on these places."""

    places: range
    spans: tuple[int, ...]
    most: int

    def holds(self, span: int, bit: int) -> bool:
        """Tell whether a break of a span counts here."""
        return span in self.spans and bit.bit_length() - 1 in self.places


def prices(net: Network, effort: float, until: float) -> Prices:
    """Price pieces and places by a linear programme: which pieces the runs take, and how they are cut.

    Its rows say: as many pieces of each size are cut as are taken, each run is covered, and no place carries
    more breaks than the rules let it. That neighbouring rows keep apart stands in no other row, so its cost is a
    lower bound. The rows' prices alone prove it: they are made whole numbers that no board is cut dearer than
    it costs, and then every run costs at least its cheapest way.
    """
    net = _coarser(net)
    limits = list(_limits(net))
    pieces = len(net.sizes)
    first_node = list(accumulate((span.end for span in net.spans), initial=pieces))
    rows = [(0.0, inf)] * pieces
    for span in net.spans:
        rows += [(0.0, 0.0)] * (span.end - 1) + [(float(len(span.runs)), float(len(span.runs)))]
    limit_rows = range(len(rows), len(rows) + len(limits))
    rows += [(-inf, float(limit.most)) for limit in limits]
    programme = Programme(rows, until)
    for number, (span, base) in enumerate(zip(net.spans, first_node, strict=False)):
        for at in range(1, span.end + 1):
            breaks = [
                row
                for row, limit in zip(limit_rows, limits, strict=True)
                if limit.holds(number, span.bits[at])
            ]
            for before, piece in span.into[at]:
                taken = [(piece, -1.0), (base + at - 1, 1.0), *((row, 1.0) for row in breaks)]
                if before:
                    taken.append((base + before - 1, -1.0))
                programme.add(net.price if at < span.end else 0, *_unzipped(taken))
    for longer in range(1, pieces):
        programme.add(0, [longer - 1, longer], [1.0, -1.0])  # a longer piece serves as a shorter one
    largest = max(board.size for board in net.stock)
    seen: set[tuple[int, tuple[int, ...]]] = set()

    def cut(board: int, pattern: Sequence[int]) -> bool:
        key = board, tuple(sorted(pattern))
        if key in seen:
            return False
        seen.add(key)
        programme.add(
            net.stock[board].cost, *_unzipped([(at, float(pattern.count(at))) for at in sorted(set(pattern))])
        )
        return True

    for board, (size, _, _) in enumerate(net.stock):
        for piece, taken in enumerate(net.sizes):
            if taken <= size:
                cut(board, [piece] * (size // taken))
                left = [at for at in range(pieces) if net.sizes[at] <= size - taken]
                if left:
                    cut(board, [piece, left[-1]])
    row_prices: list[float] = []
    for _ in range(max(1, round(_ROUNDS * effort))):
        _, _, row_prices = programme.relaxed()
        worth = Worth(net.sizes, [max(0.0, price) for price in row_prices[:pieces]], largest)
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


def _unzipped(values: Sequence[tuple[int, float]]) -> tuple[list[int], list[float]]:
    return [row for row, _ in values], [value for _, value in values]


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
        cost, dearest = min(over, key=lambda pair: pair[0] / pair[1])
        for other, value in over:
            if other * dearest < cost * value:
                cost, dearest = other, value
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


def _limits(net: Network) -> Iterator[Limit]:
    """Yield how many breaks fall on a place at most, and on places that lie within `apart` of each other.

    The rows of each span are looked at by themselves, and all rows together.
    """
    every = range(len(net.spans))
    groups = [(number,) for number in every]
    if len(groups) > 1:
        groups.append(tuple(every))
    for spans in groups:
        rows: list[set[int]] = [set() for _ in net.places]
        for span in (net.spans[number] for number in spans):
            for bit in span.bits[1:-1]:
                rows[bit.bit_length() - 1].update(net.runs[at].row for at in span.runs)
        alone = [picked(each, net.rules.rows_apart) for each in rows]
        for at, most in enumerate(alone):
            if most < len(rows[at]):
                yield Limit(range(at, at + 1), spans, most)
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
                yield Limit(range(first, last), spans, most)
