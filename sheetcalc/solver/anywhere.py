"""What any way to break the runs costs at least where breaks may fall anywhere.

Pieces fall into classes by their size, from one board's size to the next. A piece of class j and size d is
priced at a[j] + b d. If what comes from one board is never priced above the board, the prices of all pieces
together are no more than their boards cost, and every run costs at least its cheapest set of classes that its
length allows (such prices are called a dual feasible function). The best a and b are found by a linear
programme; the bound is then computed in whole numbers.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice, pairwise
from math import ceil, floor, gcd, inf
from typing import NamedTuple

from sheetcalc.solver.programme import Programme
from sheetcalc.solver.spans import Network, picked

__all__ = ["anywhere"]

_UNIT = 1 << 40  # parts of a unit of cost
_MOST_SETS = 4000

Counts = tuple[int, ...]  # of pieces of each class


class Class(NamedTuple):
    """Pieces of these sizes, both included."""

    low: int
    high: int


class Alike(NamedTuple):
    """Runs of one length: what sets of pieces they can have, how many they are, how many with the fewest."""

    length: int
    fewest: int
    sets: list[Counts]
    number: int
    tight: int


def anywhere(net: Network, until: float) -> int:
    """Return a bound on the cost of boards and breaks that holds wherever the breaks fall."""
    rules = net.rules
    largest = max(board.size for board in net.stock)
    shortest = rules.size(min([max(1, rules.least), *(run.length for run in net.runs)]))
    edges = sorted({board.size for board in net.stock if shortest <= board.size < largest} | {largest // 2})
    classes = _classes(shortest, edges, largest)
    while (task := _task(net, classes, _MOST_SETS if edges else None)) is None:
        edges = edges[1:]
        classes = _classes(shortest, edges, largest)
    boards, alike = task
    a, b = _priced(net, classes, alike, boards, until)
    scale = Fraction(1)  # until no board is priced above its cost
    for counts, most, cost in boards:
        value = sum(map(int.__mul__, a, counts)) + b * most
        if value > cost * _UNIT:
            scale = min(scale, Fraction(cost * _UNIT, value))
    total = Fraction(0)
    for each in alike:
        costs = [
            (
                sum(counts),
                scale * _piece_cost(net, a, b, each.length, counts) / _UNIT + net.price * (sum(counts) - 1),
            )
            for counts in each.sets
        ]
        total += each.tight * min(cost for _, cost in costs)
        total += (each.number - each.tight) * min((cost for k, cost in costs if k > each.fewest), default=0)
    unit = gcd(*(board.cost for board in net.stock), net.price) or 1
    return max(0, ceil(total / unit)) * unit


def _task(
    net: Network, classes: Sequence[Class], limit: int | None
) -> tuple[list[tuple[Counts, int, int]], list[Alike]] | None:
    """Return all sets that boards yield and that runs can have, or None if there are more than the limit."""
    boards: list[tuple[Counts, int, int]] = []
    for board in net.stock:
        sets = _from_board(classes, board.size)
        boards += [(counts, most, board.cost) for counts, most in islice(sets, limit)]
    alike = list(_alike(net, classes, limit))
    if limit and len(boards) + sum(len(each.sets) for each in alike) > limit:
        return None
    return boards, alike


def _classes(shortest: int, edges: Sequence[int], largest: int) -> list[Class]:
    kept = [edge for edge in edges if shortest <= edge < largest]
    return [Class(one + 1, other) for one, other in pairwise([shortest - 1, *kept, largest])]


def _piece_cost(net: Network, a: Sequence[int], b: int, length: int, counts: Counts) -> Fraction:
    size = Fraction(length, net.rules.grain) + sum(counts) * net.rules.kerf
    return sum(map(int.__mul__, a, counts)) + b * size


def _from_board(classes: Sequence[Class], size: int) -> Iterator[tuple[Counts, int]]:
    """Yield the sets of pieces that a board yields, and the most of it that they use.

    Of sets that differ in the smallest class alone, those at the ends and where the board is used up.
    """
    for others, low in _sets(classes[1:], size):
        high = sum(count * each.high for count, each in zip(others, classes[1:], strict=True))
        most = (size - low) // classes[0].low
        full = max(0, size - high) // classes[0].high
        for count in {0, min(full, most), min(full + 1, most), most}:
            if count or any(others):
                yield (count, *others), min(size, high + count * classes[0].high)


def _sets(classes: Sequence[Class], room: int) -> Iterator[tuple[Counts, int]]:
    """Yield all sets of pieces whose least sizes fit, and the sum of these."""
    if not classes:
        yield (), 0
        return
    for count in range(room // classes[0].low + 1):
        used = count * classes[0].low
        for rest, more in _sets(classes[1:], room - used):
            yield (count, *rest), used + more


def _alike(net: Network, classes: Sequence[Class], limit: int | None) -> Iterator[Alike]:
    """Yield runs alike, and how many of them can have the fewest pieces.

    With the fewest pieces each break has little room: as much as the longest pieces together are longer than
    the run. If that is less than breaks must be apart, no two neighbouring rows can both have so few; if
    there is no room at all, the place of the break has to rest.
    """
    rules = net.rules
    longest = rules.length(classes[-1].high)
    rows: dict[tuple[int, int], list[int]] = {}
    for run in net.runs:
        rows.setdefault((run.start, run.length), []).append(run.row)
    for (_, length), numbers in rows.items():
        fewest = -(-length // longest)
        tight = len(numbers)
        if fewest > 1:
            room = fewest * longest - length
            rest = rules.rows_apart if not room else 0
            tight = picked(set(numbers), max(rest, 1 if room < rules.apart else 0))
        sets = list(islice(_of_run(net, classes, length, fewest), limit))
        yield Alike(length, fewest, sets, len(numbers), tight)
        if limit:
            limit = max(1, limit - len(sets))


def _of_run(net: Network, classes: Sequence[Class], length: int, fewest: int) -> Iterator[Counts]:
    """Yield the sets of pieces that a run can have, of those that differ in the smallest class the ends."""
    kerf, grain = net.rules.kerf, net.rules.grain
    least = [grain * (each.low - kerf - 1) + 1 for each in classes]  # a size is rounded up
    most = [grain * (each.high - kerf) for each in classes]
    bare = [Class(max(1, low), high) for low, high in zip(least, most, strict=True)]
    for others, low in _sets(bare[1:], length):
        high = sum(count * each.high for count, each in zip(others, bare[1:], strict=True))
        first = max(0, -(-(length - high) // bare[0].high))
        last = (length - low) // bare[0].low
        more = max(first, fewest + 1 - sum(others))
        for count in sorted({first, more, last}):
            if first <= count <= last and (count or any(others)):
                yield (count, *others)


def _priced(
    net: Network,
    classes: Sequence[Class],
    alike: Sequence[Alike],
    boards: Sequence[tuple[Counts, int, int]],
    until: float,
) -> tuple[list[int], int]:
    """Find the a of each class and the b that prove most."""
    rows: list[tuple[float, float]] = [(-inf, float(cost)) for _, _, cost in boards]
    of_a: list[list[tuple[int, float]]] = [[] for _ in classes]
    of_b: list[tuple[int, float]] = []
    of_runs: list[tuple[float, list[int]]] = []
    for row, (counts, most, _) in enumerate(boards):
        for entries, count in zip(of_a, counts, strict=True):
            entries.append((row, float(count)))
        of_b.append((row, float(most)))
    for each in alike:
        tight: list[int] = []
        others: list[int] = []
        for counts in each.sets:
            for held in [tight, others] if sum(counts) > each.fewest else [tight]:
                held.append(len(rows))
                for entries, count in zip(of_a, counts, strict=True):
                    entries.append((len(rows), -float(count)))
                size = each.length / net.rules.grain + sum(counts) * net.rules.kerf
                of_b.append((len(rows), -size))
                rows.append((-inf, float(net.price * (sum(counts) - 1))))
        of_runs += [(float(each.tight), tight), (float(each.number - each.tight), others)]
    programme = Programme(rows, until)  # what each run costs at least, then a up and down, then b
    for number, held in of_runs:
        programme.add(-number if held else 0.0, held, [1.0] * len(held))
    for sign in (1.0, -1.0):
        for entries in of_a:
            programme.add(0, [row for row, _ in entries], [sign * value for _, value in entries])
    programme.add(0, [row for row, _ in of_b], [value for _, value in of_b])
    _, values, _ = programme.relaxed()
    first = len(of_runs)
    a = [values[first + at] - values[first + len(classes) + at] for at in range(len(classes))]
    return [floor(value * _UNIT) for value in a], max(0, floor(values[-1] * _UNIT))
