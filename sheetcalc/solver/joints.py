"""Runs broken into pieces that are cut from sizes that can be bought: where the breaks fall, at least cost."""

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import NamedTuple

from sheetcalc.solver.anywhere import anywhere
from sheetcalc.solver.cutting import Plan, Stock, TooLong, cheapest
from sheetcalc.solver.possible import possible
from sheetcalc.solver.prices import FINE, Prices, prices
from sheetcalc.solver.programme import Undecided
from sheetcalc.solver.search import ways
from sheetcalc.solver.spans import Rules, Run, Spans, spans

__all__ = ["Layout", "NoLayout", "Rules", "Run", "layout"]

_SECONDS = 30
_WIDTH = 12  # of the search, at effort 1
_BOUGHT = 3  # ways that are bought to the last board


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


def layout(
    runs: Sequence[Run], stock: tuple[Stock, ...], rules: Rules, each: int = 0, effort: float = 1.0
) -> Layout:
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
    with ThreadPoolExecutor(1) as alone:  # as Programme asks for
        try:
            return alone.submit(_layout, runs, stock, rules, each, effort, until).result()
        except Undecided:
            raise TooLong from None


def _layout(
    runs: Sequence[Run], stock: tuple[Stock, ...], rules: Rules, each: int, effort: float, until: float
) -> Layout:
    boards = sorted({board.size for board in stock})
    task = spans(runs, rules, boards)
    if task is None:
        raise NoLayout(_relaxed(runs, boards, rules, until))
    priced = prices(task, runs, rules, stock, each, effort, until)
    bound = priced.bound if rules.places is not None else anywhere(runs, rules, stock, each)
    found = _found(task, runs, stock, rules, each, priced, effort)
    if not found:
        nodes = possible(task, runs, rules, until)
        if nodes is None:
            raise NoLayout(_relaxed(runs, boards, rules, until))
        found = [nodes]
    layouts = (_bought(task, runs, nodes, stock, each, bound, effort) for nodes in found)
    return min(layouts, key=lambda one: (one.cost, sum(map(len, one.breaks))))


def _found(
    task: Spans,
    runs: Sequence[Run],
    stock: tuple[Stock, ...],
    rules: Rules,
    each: int,
    priced: Prices,
    effort: float,
) -> list[list[tuple[int, ...]]]:
    """Nodes of each run in the most promising ways; a search that lost itself tries again with fewer breaks."""
    dearest = max(board.cost for board in stock) * FINE
    order = sorted(range(len(runs)), key=lambda at: (runs[at].row, runs[at].start))
    for part in (0, 16, 4, 1):
        found = ways(
            task, runs, rules, stock, priced, each, max(1, round(_WIDTH * effort)), part and dearest // part
        )
        if found:
            return [
                [nodes for _, nodes in sorted(zip(order, way.all_nodes(), strict=True))]
                for way in found[:_BOUGHT]
            ]
    return []


def _relaxed(runs: Sequence[Run], boards: Sequence[int], rules: Rules, until: float) -> str:
    """Name the first rule without which there is a layout; "stock" where none is to blame."""
    without = {
        "apart": (runs, rules._replace(apart=0)),
        "rows_apart": (runs, rules._replace(rows_apart=0)),
        "least": (runs, rules._replace(least=0)),
        "closed": ([run._replace(closed=()) for run in runs], rules),
    }
    free = [run._replace(closed=()) for run in runs]
    if spans(free, Rules(rules.places, kerf=rules.kerf), boards) is None:
        return "stock"
    for rule, (others, less) in without.items():
        if (task := spans(others, less, boards)) and possible(task, others, less, until):
            return rule
    return "apart" if rules.apart else "rows_apart"  # none alone


def _bought(
    task: Spans,
    runs: Sequence[Run],
    nodes_of: Sequence[tuple[int, ...]],
    stock: tuple[Stock, ...],
    each: int,
    bound: int,
    effort: float,
) -> Layout:
    span_of = {run: span for span in task.each for run in span.runs}
    breaks: list[tuple[int, ...]] = []
    counts = [0] * len(task.sizes)
    for index, nodes in enumerate(nodes_of):
        span = span_of[index]
        breaks.append(tuple(span.nodes[node] for node in nodes[1:-1]))
        for before, after in pairwise(nodes):
            counts[dict(span.into[after])[before]] += 1
    used = [at for at, count in enumerate(counts) if count]
    sizes, demand = tuple(task.sizes[at] for at in used), tuple(counts[at] for at in used)
    plan = cheapest(sizes, demand, stock, effort)
    cost = plan.cost + each * sum(map(len, breaks))
    return Layout(tuple(breaks), sizes, demand, plan, cost, min(bound, cost))
