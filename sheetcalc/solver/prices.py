"""What pieces and places of breaks are worth, and what any way to break the runs costs at least."""

from collections.abc import Iterator, Sequence
from itertools import accumulate
from math import ceil, gcd, inf
from typing import NamedTuple

from sheetcalc.solver.cutting import Stock
from sheetcalc.solver.programme import Programme
from sheetcalc.solver.spans import Rules, Run, Spans
from sheetcalc.solver.worth import Worth

__all__ = ["FINE", "Prices", "prices"]

FINE = 1 << 20
"""Parts of a unit of cost that prices are counted in, whole, so that the bound holds to the last digit."""

_ROUNDS = 60
_SIZES = 120  # with more, sizes are rounded down to steps: no dearer, so the bound still holds


class Prices(NamedTuple):
    """Prices in parts of a unit of cost.

    `worth` is what any size is worth, never more than a board of it costs; `rest` what a break at each place
    takes from the other rows that could break there; `bound` what any way costs at least, in whole units.
    """

    worth: Worth
    rest: tuple[int, ...]
    bound: int


class Limit(NamedTuple):
    """At most so many breaks in all rows together fall on these places."""

    places: range
    most: int


def prices(
    task: Spans,
    runs: Sequence[Run],
    rules: Rules,
    stock: Sequence[Stock],
    each: int,
    effort: float,
    until: float,
) -> Prices:
    """Price pieces and places by a linear programme: which pieces the runs take, and how they are cut.

    Its rows say: as many pieces of each size are cut as are taken, each run is covered, and no place carries
    more breaks than the rules let it. That neighbouring rows keep apart stands in no other row, so its cost is a
    lower bound. The rows' prices alone prove it: they are made whole numbers that no board is cut dearer than
    it costs, and then every run costs at least its cheapest way.
    """
    task = _coarser(task)
    limits = list(_limits(task, runs, rules))
    pieces = len(task.sizes)
    first_node = list(accumulate((span.end for span in task.each), initial=pieces))
    rows = [(0.0, inf)] * pieces
    for span in task.each:
        rows += [(0.0, 0.0)] * (span.end - 1) + [(float(len(span.runs)),) * 2]
    limit_rows = range(len(rows), len(rows) + len(limits))
    rows += [(-inf, float(limit.most)) for limit in limits]
    held = [
        [row for row, limit in zip(limit_rows, limits, strict=True) if at in limit.places]
        for at in range(len(task.places))
    ]

    programme = Programme(rows, until)
    for span, base in zip(task.each, first_node, strict=False):
        for at in range(1, span.end + 1):
            breaks = held[span.bits[at].bit_length() - 1] if at < span.end else []
            for before, piece in span.into[at]:
                taken = [(piece, -1.0), (base + at - 1, 1.0), *((row, 1.0) for row in breaks)]
                if before:
                    taken.append((base + before - 1, -1.0))
                programme.add(each if at < span.end else 0, *_unzipped(taken))
    for longer in range(1, pieces):
        programme.add(0, [longer - 1, longer], [1.0, -1.0])  # a longer piece serves as a shorter one
    largest = max(board.size for board in stock)
    seen: set[tuple[int, tuple[int, ...]]] = set()

    def cut(board: int, pattern: Sequence[int]) -> bool:
        key = board, tuple(sorted(pattern))
        if key in seen:
            return False
        seen.add(key)
        programme.add(
            stock[board].cost, *_unzipped([(at, float(pattern.count(at))) for at in sorted(set(pattern))])
        )
        return True

    for board, (size, _, _) in enumerate(stock):
        for piece, taken in enumerate(task.sizes):
            if taken <= size:
                cut(board, [piece] * (size // taken))
                left = [at for at in range(pieces) if task.sizes[at] <= size - taken]
                if left:
                    cut(board, [piece, left[-1]])
    row_prices: list[float] = []
    for _ in range(max(1, round(_ROUNDS * effort))):
        _, _, row_prices = programme.relaxed()
        worth = Worth(task.sizes, [max(0.0, price) for price in row_prices[:pieces]], largest)
        dear = [at for at, (size, cost, _) in enumerate(stock) if worth(size) > cost + 1e-7 * max(1, cost)]
        if not [at for at in dear if cut(at, worth.cut(stock[at].size))]:
            break
    return _proven(task, rules, stock, each, row_prices, limits, limit_rows)


def _coarser(task: Spans) -> Spans:
    step = 1
    while len({size // step for size in task.sizes}) > _SIZES:
        step *= 2
    if step == 1:
        return task
    sizes = sorted({max(1, size // step * step) for size in task.sizes})
    index = {size: at for at, size in enumerate(sizes)}
    again = [index[max(1, size // step * step)] for size in task.sizes]
    each = tuple(
        span._replace(
            into=tuple(tuple((before, again[piece]) for before, piece in came) for came in span.into)
        )
        for span in task.each
    )
    return task._replace(each=each, sizes=tuple(sizes))


def _unzipped(values: Sequence[tuple[int, float]]) -> tuple[list[int], list[float]]:
    return [row for row, _ in values], [value for _, value in values]


def _proven(
    task: Spans,
    rules: Rules,
    stock: Sequence[Stock],
    each: int,
    row_prices: Sequence[float],
    limits: Sequence[Limit],
    limit_rows: range,
) -> Prices:
    largest = max(board.size for board in stock)
    exact = [max(0, int(price * FINE)) for price in row_prices[: len(task.sizes)]]
    worth = Worth(task.sizes, exact, largest)
    over = [
        (board.cost * FINE, int(worth(board.size)))
        for board in stock
        if worth(board.size) > board.cost * FINE
    ]
    if over:  # all a little cheaper, until no board is cut dearer than it costs
        cost, dearest = min(over, key=lambda pair: pair[0] / pair[1])
        for other, value in over:
            if other * dearest < cost * value:
                cost, dearest = other, value
        worth = Worth(task.sizes, [price * cost // dearest for price in exact], largest)
    rest = [0] * len(task.places)
    given_back = 0
    for limit, row in zip(limits, limit_rows, strict=True):
        price = max(0, ceil(-row_prices[row] * FINE))
        given_back += price * limit.most
        for at in limit.places:
            rest[at] += price
    lifted = [int(worth(size)) for size in task.sizes]
    least = -given_back
    for span in task.each:
        ways = [0] * len(span.nodes)
        for at in range(1, span.end + 1):
            extra = each * FINE + rest[span.bits[at].bit_length() - 1] if at < span.end else 0
            ways[at] = extra + min(ways[before] + lifted[piece] for before, piece in span.into[at])
        least += len(span.runs) * ways[-1]
    unit = gcd(*(board.cost for board in stock), each) or 1
    return Prices(worth, tuple(rest), max(0, -(-least // (FINE * unit)) * unit))


def _limits(task: Spans, runs: Sequence[Run], rules: Rules) -> Iterator[Limit]:
    """Yield how many breaks fall on each place at most, and on places that lie within `apart` of each other."""
    rows: list[set[int]] = [set() for _ in task.places]
    for span in task.each:
        for bit in span.bits[1:-1]:
            rows[bit.bit_length() - 1].update(runs[at].row for at in span.runs)
    alone = [_picked(each, rules.rows_apart) for each in rows]
    if rules.rows_apart:
        for at, most in enumerate(alone):
            if most < len(rows[at]):
                yield Limit(range(at, at + 1), most)
    for first, place in enumerate(task.places):
        last, seen, most_in_row, end = first, set[int](), 0, -inf
        while last < len(task.places) and task.places[last] - place < rules.apart:
            seen |= rows[last]
            if task.places[last] >= end:  # the most that one row can have here
                most_in_row += 1
                end = task.places[last] + max(rules.least, 1)
            last += 1
        most = most_in_row * _picked(seen, 1)
        if last > first + 1 and most < sum(alone[first:last]):
            yield Limit(range(first, last), most)


def _picked(rows: set[int], rest: int) -> int:
    """Count the rows that can be picked so that after each one `rest` rows are left out."""
    count, free = 0, -inf
    for row in sorted(rows):
        if row >= free:
            count += 1
            free = row + rest + 1
    return count
