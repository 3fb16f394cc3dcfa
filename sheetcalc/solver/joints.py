"""Runs broken into pieces that are cut from what can be bought: where the breaks fall, at least cost.

The task is put in order (spans) and priced, which proves a bound (prices, or anywhere where breaks may fall
anywhere). The prices guide a search for good ways to break all runs (search), and the best few are bought to
the last board (cutting). Where the search finds none, a programme decides whether there is any (possible).
"""

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

from sheetcalc.solver.anywhere import anywhere
from sheetcalc.solver.cutting import Plan, Stock, TooLong, cheapest
from sheetcalc.solver.possible import possible
from sheetcalc.solver.prices import FINE, Prices, prices
from sheetcalc.solver.programme import Undecided
from sheetcalc.solver.search import ways
from sheetcalc.solver.spans import Network, Rules, Run, network

__all__ = ["Layout", "NoLayout", "Rules", "Run", "layout"]

_SECONDS = 30
_WIDTH = 8  # of the search, at effort 1
_BOUGHT = 2  # ways that are bought to the last board, at effort 1
_MANY = 30  # sizes: one such purchase takes long enough


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
    runs: tuple[Run, ...], stock: tuple[Stock, ...], rules: Rules, price: int = 0, effort: float = 1.0
) -> Layout:
    """Break runs into pieces of least cost.

    Parameters
    ----------
    runs : tuple of Run
        What is to be covered. Runs of one row do not overlap.
    stock : tuple of Stock
        Sizes that can be bought, each longer by the kerf that its last piece saves.
    rules : Rules
        What is allowed.
    price : int
        Cost of one break.
    effort : float
        How wide to search, counted in steps, never in seconds.

    Raises
    ------
    NoLayout
        The rules leave none.
    TooLong
        Half a minute, or the steps of the proof that there is a layout, were not enough.
    """
    until = time.monotonic() + _SECONDS
    with ThreadPoolExecutor(1) as alone:  # as Programme asks for
        try:
            return alone.submit(_layout, runs, stock, rules, price, effort, until).result()
        except Undecided:
            raise TooLong from None


def _layout(
    runs: tuple[Run, ...], stock: tuple[Stock, ...], rules: Rules, price: int, effort: float, until: float
) -> Layout:
    net = network(runs, rules, stock, price)
    if net is None:
        raise NoLayout(_in_the_way(runs, stock, rules, until))
    priced = prices(net, effort, until)
    found = _searched(net, priced, max(1, round(_WIDTH * effort)), until)
    if not found:
        nodes = possible(net, until)
        if nodes is None:
            raise NoLayout(_in_the_way(runs, stock, rules, until))
        found = [nodes]
    bound = priced.bound if rules.places is not None else anywhere(net, until)
    return _cheapest(net, found, priced, bound, effort, until)


def _cheapest(
    net: Network,
    found: list[list[tuple[int, ...]]],
    priced: Prices,
    bound: int,
    effort: float,
    until: float,
) -> Layout:
    """Buy for the most promising ways; one that cannot cost less than another is left."""
    best: Layout | None = None
    ways: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
    for nodes_of in found:
        ways.setdefault(_counts(net, nodes_of), nodes_of)
    enough = priced.bound + priced.bound // 500
    for counts, nodes_of in list(ways.items())[: max(1, round(_BOUGHT * effort))]:
        if best is not None and len(best.sizes) > _MANY:
            break
        breaks = sum(map(len, nodes_of)) - 2 * len(nodes_of)
        least = sum(count * int(priced.worth(size)) for count, size in zip(counts, net.sizes, strict=True))
        if best is None or (best.cost > enough and least + net.price * breaks * FINE < best.cost * FINE):
            new = _bought(net, nodes_of, counts, bound, effort, until)
            if best is None or new.cost < best.cost:
                best = new
    assert best is not None  # something was found
    return best


def _searched(net: Network, priced: Prices, width: int, until: float) -> list[list[tuple[int, ...]]]:
    """Nodes of each run in the most promising ways.

    A search that lost itself tries again with breaks that seem dearer: fewer of them bar less.
    """
    dearest = max(board.cost for board in net.stock) * FINE
    for extra in (0, dearest // 256, dearest // 64, dearest // 16, dearest // 4, dearest):
        if found := ways(net, priced, width, until, extra):
            return [
                [nodes for _, nodes in sorted(zip(net.order, way.all_nodes(), strict=True))] for way in found
            ]
    return []


def _in_the_way(runs: tuple[Run, ...], stock: tuple[Stock, ...], rules: Rules, until: float) -> str:
    """Name the first rule without which there is a layout; "stock" where no rule is to blame."""
    free = tuple(run._replace(closed=()) for run in runs)
    if network(free, rules._replace(apart=0, least=0, rows_apart=0), stock) is None:
        return "stock"
    for rule, others, less in (
        ("apart", runs, rules._replace(apart=0)),
        ("rows_apart", runs, rules._replace(rows_apart=0)),
        ("least", runs, rules._replace(least=0)),
        ("closed", free, rules),
    ):
        if (net := network(others, less, stock)) and possible(net, until):
            return rule
    return "apart"  # no rule alone


def _counts(net: Network, nodes_of: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    counts = [0] * len(net.sizes)
    for run, nodes in enumerate(nodes_of):
        for piece in net.span_of[run].pieces(nodes):
            counts[piece] += 1
    return tuple(counts)


def _bought(
    net: Network,
    nodes_of: Sequence[tuple[int, ...]],
    counts: tuple[int, ...],
    bound: int,
    effort: float,
    until: float,
) -> Layout:
    breaks = tuple(
        tuple(net.span_of[run].nodes[node] for node in nodes[1:-1]) for run, nodes in enumerate(nodes_of)
    )
    used = [at for at, count in enumerate(counts) if count]
    sizes, demand = tuple(net.sizes[at] for at in used), tuple(counts[at] for at in used)
    plan = cheapest(sizes, demand, net.stock, effort, until)
    cost = plan.cost + net.price * sum(map(len, breaks))
    return Layout(breaks, sizes, demand, plan, cost, bound)
