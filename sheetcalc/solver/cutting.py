"""The cheapest way to cut a demand from sizes that can be bought."""

import math
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import NamedTuple

from sheetcalc.solver import greedy
from sheetcalc.solver.columns import Columns
from sheetcalc.solver.programme import Programme, Undecided
from sheetcalc.solver.task import Groups, Task, cost_of, exact, left_over, merged, worth_buying

__all__ = ["Cut", "NoPlan", "Plan", "Stock", "TooLong", "cheapest"]

_SECONDS = 30.0
_ROUNDS = 400
_COLUMNS = 4_000
_NODES = 2_000


class Stock(NamedTuple):
    """A size that can be bought; `number` is the most on offer, None no limit."""

    size: int
    cost: int
    number: int | None = None


class Cut(NamedTuple):
    """One way to cut: `counts` of each size of the demand out of one `stock`, done so many `times`."""

    stock: int
    times: int
    counts: tuple[int, ...]


class Plan(NamedTuple):
    """All cuts, what they cost, and a proven bound: no plan costs less than `bound`."""

    cuts: tuple[Cut, ...]
    cost: int
    bound: int


class NoPlan(Exception):  # noqa: N818  (it says what the answer is)
    """Proven: the demand cannot be cut from the stock."""


class TooLong(Exception):  # noqa: N818
    """The work was abandoned undecided."""


def cheapest(
    sizes: tuple[int, ...], demand: tuple[int, ...], stock: tuple[Stock, ...], effort: float = 1.0
) -> Plan:
    """Cheapest way to cut `demand` pieces of `sizes` from `stock`."""
    wanted: dict[int, int] = {}
    for size, number in zip(sizes, demand, strict=True):
        if number:
            wanted[size] = wanted.get(size, 0) + number
    if not wanted:
        return Plan((), 0, 0)
    boards, unit = worth_buying(stock, min(wanted), sum(wanted.values()))
    if not boards or boards[-1].size < max(wanted):
        raise NoPlan
    order = sorted(wanted, reverse=True)
    task = Task(tuple(order), tuple(wanted[size] for size in order), tuple(boards), unit)
    groups, bound = _solve(task, effort, time.monotonic() + _SECONDS)
    return _plan(sizes, demand, stock, task, groups, bound)


def _material(task: Task) -> int:
    """Least cost of as much length as the pieces have, a board's cost spread over its length."""
    length = sum(size * wanted for size, wanted in zip(task.sizes, task.demand, strict=True))
    cost = Fraction(0)
    for board in sorted(task.boards, key=lambda board: Fraction(board.cost, board.size)):
        used = min(length, board.size * board.number) if board.limited else length
        cost += Fraction(board.cost * used, board.size)
        length -= used
    if length:
        raise NoPlan
    return math.ceil(cost)


def _solve(task: Task, effort: float, until: float) -> tuple[Groups, int]:
    bound = _material(task)
    best: Groups | None = None
    cost = 0
    for groups in greedy.plans(task.sizes, task.demand, task.boards):
        new = cost_of(groups, task.boards)
        if best is None or (new, len(groups)) < (cost, len(best)):
            best, cost = groups, new
    if best is None or cost > bound:
        with ThreadPoolExecutor(1) as alone:
            try:
                best, bound = alone.submit(_improve, task, best, bound, effort, until).result()
            except Undecided:
                raise TooLong from None
    return exact(best, task.demand), bound


def _improve(task: Task, best: Groups | None, bound: int, effort: float, until: float) -> tuple[Groups, int]:
    pieces = sum(task.demand)
    ceiling = pieces * max(board.cost for board in task.boards)
    columns = Columns(task, ceiling + 1 if best is None else None, until)
    for pattern in best or ():
        columns.add(pattern)
    cost = None if best is None else cost_of(best, task.boards)
    columns.generate(cost, int(_ROUNDS * effort))
    bound = max(bound, math.ceil(columns.bound))
    if bound > ceiling:
        raise NoPlan
    # round
    base, rest = columns.rounded()
    for groups in _rounded(task, base, rest):
        new = cost_of(groups, task.boards)
        if cost is None or new < cost:
            best, cost = groups, new
    if best is not None and cost is not None and cost <= bound:
        return best, bound
    gap = (ceiling if cost is None else cost) - columns.bound
    patterns = columns.within(gap, int(_COLUMNS * effort))
    complete = patterns is not None
    if patterns is None:
        patterns = columns.patterns
    inf = math.inf
    limited = [b for b, board in enumerate(task.boards) if board.limited]
    programme = Programme([(float(d), inf) for d in task.demand] + [(-inf, float(task.boards[b].number)) for b in limited], until)
    for pattern in patterns:
        programme.add(task.boards[pattern[0]].cost, *columns.entries(pattern), whole=True)
    answer = programme.whole(int(_NODES * effort))
    if complete and not answer.possible:
        if best is None:
            raise NoPlan
    if answer.values is not None:
        groups = {p: round(v) for p, v in zip(patterns, answer.values, strict=True) if v > 0.5}
        new = cost_of(groups, task.boards)
        if cost is None or new < cost:
            best, cost = groups, new
    if best is None or cost is None:
        raise TooLong
    if complete and math.isfinite(answer.bound):
        bound = max(bound, math.ceil(answer.bound - 1e-5 - 1e-9 * abs(answer.bound)))
    return best, min(bound, cost)


def _rounded(task: Task, base: Groups, rest: Sequence[tuple[float, tuple[int, tuple[int, ...]]]]):
    for tops in (False, True):
        groups = dict(base)
        left = left_over(task.demand, groups)
        number = [board.number - sum(t for (b, _), t in groups.items() if b == i) for i, board in enumerate(task.boards)]
        if tops:
            for _, pattern in sorted(rest, key=lambda at: -at[0]):
                if number[pattern[0]] and all(c <= max(l, 0) for c, l in zip(pattern[1], left, strict=True)):
                    groups[pattern] = groups.get(pattern, 0) + 1
                    left = [l - c for c, l in zip(pattern[1], left, strict=True)]
                    number[pattern[0]] -= 1
        left = [max(l, 0) for l in left]
        boards = [board._replace(number=n) for board, n in zip(task.boards, number, strict=True)]
        for more in greedy.plans(task.sizes, left, boards):
            yield merged(groups, more)


def _plan(
    sizes: tuple[int, ...],
    demand: tuple[int, ...],
    stock: tuple[Stock, ...],
    task: Task,
    groups: Groups,
    bound: int,
) -> Plan:
    at = {size: i for i, size in enumerate(task.sizes)}
    left = dict(enumerate(demand))
    # split sizes given twice
    cuts: dict[tuple[int, tuple[int, ...]], int] = {}
    for (b, counts), times in sorted(groups.items()):
        while times:
            this, most = [0] * len(sizes), times
            need = list(counts)
            for j, size in enumerate(sizes):
                i = at.get(size)
                if i is None or not need[i] or not left[j]:
                    continue
                take = min(need[i], left[j])
                this[j] = take
                need[i] -= take
            most = min([times, *(left[j] // c for j, c in enumerate(this) if c)])
            for j, c in enumerate(this):
                left[j] -= c * most
            key = task.boards[b].stock, tuple(this)
            cuts[key] = cuts.get(key, 0) + most
            times -= most
    cost = cost_of(groups, task.boards) * task.unit
    order = sorted(cuts.items(), key=lambda cut: (stock[cut[0][0]].size, cut[0][0], -cut[1], cut[0][1]))
    return Plan(
        tuple(Cut(s, times, counts) for (s, counts), times in order), cost, min(bound * task.unit, cost)
    )
