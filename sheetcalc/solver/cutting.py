"""The cheapest way to cut a demand from sizes that can be bought."""

import math
from typing import NamedTuple

__all__ = ["Cut", "NoPlan", "Plan", "Stock", "TooLong", "cheapest"]


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


class NoPlan(Exception):  # noqa: N818 - an answer, not a mistake
    """Proven: the demand cannot be cut from the stock."""


class TooLong(Exception):  # noqa: N818 - an answer, not a mistake
    """The work was abandoned undecided."""


_MOST_PATTERNS = 20_000


def _patterns(sizes: tuple[int, ...], demand: tuple[int, ...], size: int, most: int) -> list[tuple[int, ...]]:
    """All patterns that no further piece fits into, or as many as allowed."""
    order = sorted(range(len(sizes)), key=lambda i: -sizes[i])
    found: list[tuple[int, ...]] = []
    counts = [0] * len(sizes)

    def fill(at: int, room: int, least: int) -> None:
        if len(found) > most:
            return
        if at == len(order):
            if room < least:
                found.append(tuple(counts))
            return
        i = order[at]
        fits = min(demand[i], room // sizes[i])
        for count in range(fits, -1, -1):
            counts[i] = count
            short = min(least, sizes[i]) if count < demand[i] else least
            fill(at + 1, room - count * sizes[i], short)
        counts[i] = 0

    fill(0, size, size + 1)
    return found


def _greedy(
    sizes: tuple[int, ...], demand: tuple[int, ...], stock: tuple[Stock, ...]
) -> list[tuple[int, tuple[int, ...]]] | None:
    """Fill board after board, longest piece first, each time the stock that wastes least money."""
    left = list(demand)
    used = [0] * len(stock)
    order = sorted((i for i in range(len(sizes)) if left[i]), key=lambda i: -sizes[i])
    boards: list[tuple[int, tuple[int, ...]]] = []
    while any(left):
        best: tuple[float, int, tuple[int, ...]] | None = None
        longest = next(i for i in order if left[i])
        for s, (size, cost, number) in enumerate(stock):
            if size < sizes[longest] or (number is not None and used[s] >= number):
                continue
            counts, room = [0] * len(sizes), size
            for i in order:
                counts[i] = min(left[i], room // sizes[i])
                room -= counts[i] * sizes[i]
            rate = cost / (size - room)
            if best is None or rate < best[0]:
                best = rate, s, tuple(counts)
        if best is None:
            return None
        _, s, counts = best
        boards.append((s, counts))
        used[s] += 1
        left = [a - b for a, b in zip(left, counts, strict=True)]
    return boards


def _programme(
    sizes: tuple[int, ...], demand: tuple[int, ...], stock: tuple[Stock, ...], effort: float
) -> tuple[list[tuple[int, tuple[int, ...]]] | None, float, bool]:
    """Solve over all patterns: the boards, a lower bound, and whether nothing was left out."""
    from highspy import _Highs  # pyright: ignore

    columns: list[tuple[int, tuple[int, ...]]] = []
    complete = True
    for s, board in enumerate(stock):
        found = _patterns(sizes, demand, board.size, _MOST_PATTERNS)
        complete &= len(found) <= _MOST_PATTERNS
        columns += [(s, counts) for counts in found if any(counts)]
    highs = _Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.0)
    highs.setOptionValue("mip_max_nodes", int(2000 * effort))
    highs.setOptionValue("time_limit", 30.0)
    for wanted in demand:
        highs.addRow(wanted, math.inf, 0, [], [])
    for board in stock:
        highs.addRow(-math.inf, math.inf if board.number is None else board.number, 0, [], [])
    m = len(sizes)
    for s, counts in columns:
        rows = [i for i in range(m) if counts[i]]
        highs.addCol(
            stock[s].cost, 0, math.inf, len(rows) + 1, [*rows, m + s], [*(counts[i] for i in rows), 1]
        )
    from highspy import HighsModelStatus, HighsVarType

    for column in range(len(columns)):
        highs.changeColIntegrality(column, HighsVarType.kInteger)
    highs.run()
    status = highs.getModelStatus()
    if status == HighsModelStatus.kTimeLimit:
        raise TooLong
    if status == HighsModelStatus.kInfeasible:
        return None, math.inf, complete
    info = highs.getInfo()
    boards: list[tuple[int, tuple[int, ...]]] = []
    if info.primal_solution_status == 2:
        for column, times in zip(columns, highs.getSolution().col_value, strict=True):
            boards += [column] * round(times)
    return boards or None, info.mip_dual_bound, complete


def cheapest(
    sizes: tuple[int, ...], demand: tuple[int, ...], stock: tuple[Stock, ...], effort: float = 1.0
) -> Plan:
    """Cheapest way to cut `demand` pieces of `sizes` from `stock`."""
    largest = max((board.size for board in stock if board.number != 0), default=0)
    if any(wanted and size > largest for size, wanted in zip(sizes, demand, strict=True)):
        raise NoPlan
    if not any(demand):
        return Plan((), 0, 0)
    boards = _greedy(sizes, demand, stock)
    total = sum(size * wanted for size, wanted in zip(sizes, demand, strict=True))
    bound = min(-(-total * board.cost // board.size) for board in stock if board.size and board.number != 0)
    cost = sum(stock[s].cost for s, _ in boards) if boards else None
    if cost != bound:
        found, least, complete = _programme(sizes, demand, stock, effort)
        if complete:
            if found is None and boards is None:
                raise NoPlan if math.isinf(least) else TooLong
            if math.isfinite(least):
                bound = max(bound, math.ceil(least - 1e-4))
        if found and (cost is None or sum(stock[s].cost for s, _ in found) < cost):
            boards = found
    if boards is None:
        raise TooLong
    return _plan(sizes, demand, stock, boards, bound)


def _plan(
    sizes: tuple[int, ...],
    demand: tuple[int, ...],
    stock: tuple[Stock, ...],
    boards: list[tuple[int, tuple[int, ...]]],
    bound: int,
) -> Plan:
    left = list(demand)
    groups: dict[tuple[int, tuple[int, ...]], int] = {}
    for s, counts in boards:
        cut = tuple(min(a, b) for a, b in zip(counts, left, strict=True))
        left = [a - b for a, b in zip(left, cut, strict=True)]
        if any(cut):
            groups[s, cut] = groups.get((s, cut), 0) + 1
    cost = sum(stock[s].cost * times for (s, _), times in groups.items())
    order = sorted(
        groups.items(), key=lambda group: (stock[group[0][0]].size, group[0][0], -group[1], group[0][1])
    )
    return Plan(tuple(Cut(s, times, counts) for (s, counts), times in order), cost, min(bound, cost))
