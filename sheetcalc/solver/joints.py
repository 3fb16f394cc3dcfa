"""Runs broken into pieces that are cut from what can be bought: where the breaks fall, at least cost.

The task is put in order (spans) and priced, which proves a bound (prices, or anywhere where breaks may fall
anywhere). The prices guide a search for good ways to break all runs (search), and the best few are bought to
the last board (cutting). Where the search finds none, a programme decides whether there is any (possible).
"""

import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor

from sheetcalc.solver.anywhere import anywhere
from sheetcalc.solver.choice import Choice, Layout
from sheetcalc.solver.cutting import Nodes, Stock, TooLong
from sheetcalc.solver.few import few
from sheetcalc.solver.possible import possible
from sheetcalc.solver.prices import FINE, Prices, prices
from sheetcalc.solver.programme import Undecided, in_time
from sheetcalc.solver.search import Beam, Way
from sheetcalc.solver.spans import Breaks, Network, Rules, Run, network

__all__ = ["Layout", "NoLayout", "Rules", "Run", "layout"]

_SECONDS = 30
_WIDTH = 8  # of the search, at effort 1
_BOUGHT = 2  # ways that are bought to the last board, at effort 1
_ALONE = 2  # sizes of board that are tried alone where the bound is near
_WIDER = (1, 4, 16)  # times, where a search lost itself
_LESS = 900  # thousandths of its worth that an offcut is sold for, where that is another guide
_RUNS = 12  # fewer are searched more widely, and half as many to the end


class NoLayout(Exception):  # noqa: N818 - an answer, not a mistake
    """No layout keeps the rules; `rule` is what to relax, as `_in_the_way` names it."""

    def __init__(self, rule: str) -> None:
        super().__init__(rule)
        self.rule = rule


def layout(
    runs: tuple[Run, ...],
    stock: tuple[Stock, ...],
    rules: Rules,
    price: int = 0,
    effort: float = 1.0,
    tighter: tuple[Rules, ...] = (),
) -> Layout:
    """Break runs into pieces of least cost, of those that cost the same into few.

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
    tighter : tuple of Rules
        Rules of which each allows no more than `rules`: what is found under them is good here too, and a
        search with fewer choices at times finds better.

    Raises
    ------
    NoLayout
        The rules leave none.
    TooLong
        Half a minute, or the steps of the proof that there is a layout, were not enough. The best so far is
        not answered then: a slower machine would give another one.
    """
    until = time.monotonic() + _SECONDS
    with ThreadPoolExecutor(1) as alone:  # as Programme asks for
        try:
            return alone.submit(_best, runs, stock, rules, price, effort, tighter, until).result()
        except Undecided:
            raise TooLong from None


def _best(
    runs: tuple[Run, ...],
    stock: tuple[Stock, ...],
    rules: Rules,
    price: int,
    effort: float,
    tighter: tuple[Rules, ...],
    until: float,
) -> Layout:
    nodes = Nodes(effort / 2)  # the last proof of each purchase is not worth as much as another search
    best = _layout(runs, stock, rules, price, effort, nodes, until)
    again = [(rules, 1.0)] if effort > 1 else []
    for others, steps in [*again, *((others, effort) for others in tighter)]:
        if best.near:
            break
        try:
            other = _layout(runs, stock, others, price, steps, nodes, until)
        except NoLayout:
            continue
        except Undecided:
            in_time(until)
            continue
        if other.rank < best.rank:
            best = other._replace(bound=best.bound)
    return best


def _layout(
    runs: tuple[Run, ...],
    stock: tuple[Stock, ...],
    rules: Rules,
    price: int,
    effort: float,
    nodes: Nodes,
    until: float,
) -> Layout:
    net = network(runs, rules, stock, price)
    if net is None:
        raise NoLayout(_in_the_way(runs, stock, rules, until))
    priced = prices(net, effort, until)
    bound = priced.bound if rules.places is not None else anywhere(net, until)
    choice = Choice(net, priced, bound, effort, nodes, until)
    more = max(1, _RUNS // max(1, len(runs)))  # where runs are few, there is time for more
    width = max(1, round(_WIDTH * more * effort))
    most = max(1, round(_BOUGHT * more * effort))
    narrow = max(2, width // 4)
    beam = Beam(net, priced)
    found = _searched(net, priced, beam, narrow, until)
    if not found:
        way = possible(net, until)
        if way is None:
            raise NoLayout(_in_the_way(runs, stock, rules, until))
        found = [net.breaks(way)]
    choice.take(found, most, ranked=True)
    assert choice.best is not None  # something was found
    for others in _others(net, priced, beam, choice, (narrow, width), most, until):
        choice.take(others, most)
    if len(runs) <= _RUNS // 2 and choice.best.cost > bound:
        choice.take_all(few(net, priced, effort, until))
    return choice.best


def _others(
    net: Network, priced: Prices, beam: Beam, choice: Choice, widths: tuple[int, int], most: int, until: float
) -> Iterator[list[Breaks]]:
    """Search in other ways, each of which at times finds better, until one comes near."""
    narrow, width = widths
    assert choice.best is not None
    if not choice.best.near:
        yield _broken(net, Beam(net, priced, share=_LESS).ways(narrow, until)[:most])
    if not net.price or not choice.best.near:
        yield [*_guided(net, priced, narrow, until)]
    if not choice.best.near:
        yield _broken(net, beam.ways(width, until)[:most])
    if not choice.best.near:
        yield [*_of_fewer(net, priced, choice.best, narrow, until)]


def _guided(net: Network, priced: Prices, width: int, until: float) -> Iterator[Breaks]:
    """Search as if breaks cost more and, where runs are few, as if they cost nothing or very much."""
    dearest = max(board.cost for board in net.stock) * FINE
    price = net.price * FINE
    extras = [4 * price or dearest // 64]
    if len(net.runs) <= _RUNS:
        extras += [-price, dearest] if price else [dearest]
    for extra in extras:
        yield from _broken(net, Beam(net, priced, extra).ways(width, until)[:_BOUGHT])


def _of_fewer(net: Network, priced: Prices, best: Layout, width: int, until: float) -> Iterator[Breaks]:
    """Search with one size of board alone, where that can cost less, and without the dearest by its size."""
    total = sum([net.rules.size(run.length) for run in net.runs])
    boards = [board for board in net.stock if board.size > net.rules.kerf]
    alone: list[tuple[float, Stock]] = []
    for board in boards:
        fewest = sum([-(-run.length // net.rules.length(board.size)) - 1 for run in net.runs])
        least = total * board.cost / board.size + net.price * fewest
        if least < best.cost:
            alone.append((least, board))
    dearest = max(boards, key=lambda board: board.cost / board.size)
    far = best.cost > best.bound + best.bound // 100
    some: list[tuple[Stock, ...]] = [(board,) for _, board in sorted(alone)[: None if far else _ALONE]]
    some.append(tuple(board for board in boards if board != dearest))
    for at, stock in enumerate(dict.fromkeys(some)):
        if stock and stock != net.stock and (fewer := network(net.runs, net.rules, stock, net.price)):
            found = Beam(fewer, priced.of_fewer(fewer)).ways(width, until)[:1]
            if far and (not at or net.rules.places is not None):  # elsewhere prices take longer than all else
                found += Beam(fewer, prices(fewer, 1, until)).ways(width, until)[:1]
            yield from _broken(fewer, found)


def _searched(net: Network, priced: Prices, beam: Beam, width: int, until: float) -> list[Breaks]:
    """Search for the most promising ways.

    A search that lost itself tries again with breaks that seem dearer, as fewer of them bar less, and then
    wider.
    """
    dearest = max(board.cost for board in net.stock) * FINE
    for wide in _WIDER:
        for part in (0, 256, 64, 16, 4, 1):
            again = Beam(net, priced, dearest // part) if part else beam
            if found := again.ways(wide * width, until):
                return _broken(net, found)
    return []


def _broken(net: Network, found: Sequence[Way]) -> list[Breaks]:
    return [net.breaks(way.all_nodes(), net.order) for way in found]


def _in_the_way(runs: tuple[Run, ...], stock: tuple[Stock, ...], rules: Rules, until: float) -> str:
    """Name the first rule without which there is a layout.

    "stock" where no rule is to blame, "short" where no board yields a piece that is not too short, "together"
    where no rule alone makes room.
    """
    free = tuple(run._replace(closed=()) for run in runs)
    if network(free, rules._replace(apart=0, least=0, rows_apart=0), stock) is None:
        return "stock"
    longest = rules.length(max([board.size for board in stock]))
    if longest < rules.least and any(run.length > longest for run in runs):
        return "short"
    tries = [
        ("apart", runs, rules._replace(apart=0)),
        ("rows_apart", runs, rules._replace(rows_apart=0)),
        ("least", runs, rules._replace(least=0)),
        ("closed", free, rules),
    ]
    if rules.places is None:  # there is always a place beside one that rests, so that rule is thought of last
        tries.insert(0, tries.pop(1))
    for rule, others, less in tries:
        if (net := network(others, less, stock)) and possible(net, until):
            return rule
    return "together"
