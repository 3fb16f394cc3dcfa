"""Runs broken into pieces that are cut from sizes that can be bought: where the breaks fall, at least cost."""

import time
from collections.abc import Sequence
from typing import NamedTuple

from sheetcalc.solver.cutting import Plan, Stock, TooLong, cheapest
from sheetcalc.solver.prices import FINE, Prices, prices
from sheetcalc.solver.programme import Undecided
from sheetcalc.solver.search import Way, ways
from sheetcalc.solver.spans import Rules, Run, Spans, spans

__all__ = ["Layout", "NoLayout", "Rules", "Run", "layout"]

_SECONDS = 30


class NoLayout(Exception):  # noqa: N818 - an answer, not a mistake
    """No layout keeps the rules; `rule` is what to relax: a field of Rules, "closed" or "stock"."""

    def __init__(self, rule: str) -> None:
        super().__init__(rule)
        self.rule = rule


class Layout(NamedTuple):
    """Breaks of each run, in the order of the runs.

    `sizes` and `counts` are all pieces, kerf included, `plan` cuts them. `cost` is that of the plan and the
    breaks; no layout costs less than `bound`.
    """

    breaks: tuple[tuple[int, ...], ...]
    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    plan: Plan
    cost: int
    bound: int


def layout(runs: Sequence[Run], stock: tuple[Stock, ...], rules: Rules, each: int = 0, effort: float = 1.0) -> Layout:
    """Break runs into pieces of least cost.

    Parameters
    ----------
    runs : sequence of Run
        What is to be covered. Runs of one row do not overlap.
    stock : tuple of Stock
        Sizes that can be bought, each longer by the kerf that its last piece saves.
    rules : Rules
        What is allowed.
    each : int
        Cost of one break.
    effort : float
        How wide to search, counted in steps, never in seconds.

    Raises
    ------
    NoLayout
        The rules leave none.
    TooLong
        Half a minute was not enough.
    """
    until = time.monotonic() + _SECONDS
    task = spans(runs, rules, max((board.size for board in stock), default=0))
    if task is None:
        raise NoLayout("stock")
    try:
        priced = prices(task, runs, rules, stock, each, effort, until)
    except Undecided:
        raise TooLong from None
    dearest = max(board.cost for board in stock) * FINE
    for part in (0, 16, 4, 1):
        found = ways(task, runs, rules, stock, priced, each, max(1, round(12 * effort)), part and dearest // part)
        if found:
            break
    else:
        raise NoLayout("apart")
    return min(
        (_bought(task, runs, way, stock, each, priced, effort) for way in _unlike(found)),
        key=lambda one: (one.cost, sum(map(len, one.breaks))),
    )


def _unlike(found: Sequence[Way]) -> list[Way]:
    return list(found[:3])


def _bought(task: Spans, runs: Sequence[Run], way: Way, stock: tuple[Stock, ...], each: int, priced: Prices, effort: float) -> Layout:
    span_of = {run: span for span in task.each for run in span.runs}
    order = sorted(range(len(runs)), key=lambda at: (runs[at].row, runs[at].start))
    breaks: list[tuple[int, ...]] = [()] * len(runs)
    counts = [0] * len(task.sizes)
    for index, nodes in zip(order, way.all_nodes(), strict=True):
        span = span_of[index]
        breaks[index] = tuple(span.nodes[node] for node in nodes[1:-1])
        for before, after in zip(nodes, nodes[1:], strict=False):
            counts[dict(span.into[after])[before]] += 1
    used = [at for at, count in enumerate(counts) if count]
    sizes, demand = tuple(task.sizes[at] for at in used), tuple(counts[at] for at in used)
    plan = cheapest(sizes, demand, stock, effort)
    cost = plan.cost + each * sum(map(len, breaks))
    return Layout(tuple(breaks), sizes, demand, plan, cost, min(priced.bound, cost))
