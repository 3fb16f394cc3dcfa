"""The cheapest way to cut a demand from sizes that can be bought.

Everything is a whole number. A plan comes from filling boards (greedy), a bound from the material. Where they
differ, column generation (Gilmore and Gomory 1961, from memory) proves a better bound and finds the patterns
that cheap plans are made of (columns, knapsack), and whole-number programmes over all patterns that can
matter close the gap (improve, programme). At last the patterns become fewer at the same cost (settings). Work
is counted in steps, never in seconds, so that every machine gives the same plan.
"""

import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from math import gcd, inf
from typing import NamedTuple

from sheetcalc.solver import greedy
from sheetcalc.solver.improve import Nodes, Search
from sheetcalc.solver.programme import Undecided
from sheetcalc.solver.task import Counts, Groups, Task, cost_of, worth_buying

__all__ = ["Cut", "NoPlan", "Nodes", "Plan", "Stock", "TooLong", "bought", "cheapest", "filled"]

_SECONDS = 30.0


class Stock(NamedTuple):
    """A size that can be bought; `number` is the most on offer, None no limit."""

    size: int
    cost: int
    number: int | None = None


class Cut(NamedTuple):
    """One way to cut: `counts` of each size of the demand out of one `stock`, done so many `times`."""

    stock: int
    times: int
    counts: Counts


class Plan(NamedTuple):
    """All cuts, what they cost, and a proven bound: no plan costs less than `bound`."""

    cuts: tuple[Cut, ...]
    cost: int
    bound: int


class NoPlan(Exception):  # noqa: N818  (it says what the answer is)
    """Proven: the demand cannot be cut from the stock."""


class TooLong(Exception):  # noqa: N818
    """Given up: neither a plan nor proof that there is none, or the time was up."""


def cheapest(
    sizes: tuple[int, ...],
    demand: tuple[int, ...],
    stock: tuple[Stock, ...],
    effort: float = 1.0,
    until: float | None = None,
) -> Plan:
    """Cut all pieces of the demand at least cost.

    Parameters
    ----------
    sizes : tuple of int
        Sizes wanted, over 0, in any order; a size may stand there more than once.
    demand : tuple of int
        Number wanted of each; cut exactly, never more.
    stock : tuple of Stock
        Sizes that can be bought, their costs of 0 or more, and perhaps how many are on offer.
    effort : float, optional
        Scales the steps of the search. A plan that they do not prove cheapest has `bound` under `cost`.
    until : float, optional
        Reading of the monotonic clock at which to give up; 30 seconds from now if not given.

    Returns
    -------
    Plan
        Of the cheapest plans found one of the fewest cuts, and of those the one whose offcuts, each squared,
        sum up to the most: one long offcut is of more use than two short ones. Cuts stand by size of stock.

    Raises
    ------
    NoPlan
        A size over every stock, or too little on offer.
    TooLong
        The time is up, or few on offer and the effort spent before a plan was found.

    Examples
    --------
    >>> plan = cheapest(sizes=(45, 30), demand=(2, 4), stock=(Stock(100, 12), Stock(120, 13)))
    >>> plan.cost, plan.bound, plan.cuts
    (25, 25, (Cut(stock=0, times=1, counts=(0, 3)), Cut(stock=1, times=1, counts=(2, 1))))
    """
    put = _put(sizes, demand, stock)
    if put is None:
        return Plan((), 0, 0)
    task, unit = put
    search = Search(task, effort, time.monotonic() + _SECONDS if until is None else until)
    if not search.settled:
        with ThreadPoolExecutor(1) as alone:  # as Programme asks for
            try:
                alone.submit(search.run).result()
            except Undecided:
                raise TooLong from None
    if search.best is None:
        raise NoPlan if search.proven else TooLong
    return _plan(search.best, search.bound, task, unit, sizes, demand, stock)


def bought(
    sizes: tuple[int, ...],
    demand: tuple[int, ...],
    stock: tuple[Stock, ...],
    effort: float,
    until: float,
    nodes: Nodes,
    least: int = 0,
    enough: float = inf,
) -> tuple[int, int]:
    """Return what `cheapest` would cost and its bound, for one who asks often, in a thread of his own.

    All boards are without limit. No plan costs less than `least`, plans that cost `enough` or more are of no
    use, so there the search stops, and `nodes` is for all that is asked.
    """
    put = _put(sizes, demand, stock)
    if put is None:
        return 0, 0
    task, unit = put
    search = Search(task, effort, until, -(-least // unit), enough / unit, nodes)
    search.close()
    return search.cost * unit, search.bound * unit


def _plan(
    groups: Groups,
    bound: int,
    task: Task,
    unit: int,
    sizes: tuple[int, ...],
    demand: tuple[int, ...],
    stock: tuple[Stock, ...],
) -> Plan:
    ordered = sorted({size for size, number in zip(sizes, demand, strict=True) if number}, reverse=True)
    times_of: dict[tuple[int, Counts], int] = {}
    left = list(demand)
    for (b, counts), times in sorted(groups.items()):
        for way, part in _shared_out(dict(zip(ordered, counts, strict=True)), times, sizes, left):
            at = task.boards[b].stock, way
            times_of[at] = times_of.get(at, 0) + part
    cuts = sorted(
        (Cut(index, times, counts) for (index, counts), times in times_of.items()),
        key=lambda cut: (stock[cut.stock].size, cut.stock, -cut.times, cut.counts),
    )
    return Plan(tuple(cuts), cost_of(groups, task.boards) * unit, bound * unit)


def filled(sizes: tuple[int, ...], demand: tuple[int, ...], stock: tuple[Stock, ...]) -> tuple[int, int]:
    """Return what boards cost that are filled as full as they go, and what the material costs at least.

    All boards are without limit: quick, and never under what `cheapest` finds.

    Examples
    --------
    >>> filled(sizes=(45, 30), demand=(2, 4), stock=(Stock(100, 12), Stock(120, 13)))
    (25, 23)
    """
    put = _put(sizes, demand, stock)
    if put is None:
        return 0, 0
    task, unit = put
    plans = greedy.plans(task.sizes, task.demand, task.boards)
    return min(cost_of(groups, task.boards) for groups in plans) * unit, task.material[0] * unit


def _put(sizes: Sequence[int], demand: Sequence[int], stock: Sequence[Stock]) -> tuple[Task, int] | None:
    """Put a task in order, its costs in units, its sizes in common steps; None if nothing is wanted."""
    wanted: dict[int, int] = {}
    for size, number in zip(sizes, demand, strict=True):
        if number:
            wanted[size] = wanted.get(size, 0) + number
    if not wanted:
        return None
    boards, unit = worth_buying(stock, min(wanted), sum(wanted.values()))
    if not boards or boards[-1].size < max(wanted):
        raise NoPlan
    ordered = sorted(wanted, reverse=True)
    step = gcd(*ordered)
    task = Task(
        tuple(size // step for size in ordered),
        tuple(wanted[size] for size in ordered),
        tuple(board._replace(size=board.size // step) for board in boards),
    )
    if task.lacks_length:
        raise NoPlan
    return task, unit


def _shared_out(
    counts: dict[int, int], times: int, sizes: tuple[int, ...], left: list[int]
) -> Iterator[tuple[Counts, int]]:
    """Share a pattern out among sizes that stand in the demand more than once; `left` keeps account."""
    while times:
        lacking = dict(counts)
        way = [0] * len(sizes)
        for j, size in enumerate(sizes):
            if lacking.get(size) and left[j]:
                way[j] = min(lacking[size], left[j])
                lacking[size] -= way[j]
        part = min(times, *(left[j] // count for j, count in enumerate(way) if count))
        for j, count in enumerate(way):
            left[j] -= part * count
        yield tuple(way), part
        times -= part
