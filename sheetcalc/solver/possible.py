"""Whether any way to break the runs keeps the rules: a programme of yes and no; costs play no part."""

from collections.abc import Sequence
from math import inf

from sheetcalc.solver.programme import Programme, Undecided
from sheetcalc.solver.spans import Network, Rules, Span

__all__ = ["possible"]

_NODES = 100_000


def possible(net: Network, until: float) -> list[tuple[int, ...]] | None:
    """Return the nodes of each run in some way that keeps the rules, or None: proven that there is none.

    Raises
    ------
    Undecided
        Neither was found in time.
    """
    runs, rules, span_of = net.runs, net.rules, net.span_of
    column: dict[tuple[int, int], int] = {}
    for index in range(len(runs)):
        for node in range(1, span_of[index].end):
            column[index, node] = len(column)
    rows: list[tuple[float, float]] = []
    held: list[list[int]] = [[] for _ in column]

    def row(columns: Sequence[int], low: float, high: float) -> None:
        for each in columns:
            held[each].append(len(rows))
        rows.append((low, high))

    for index in range(len(runs)):
        for columns, low, high in _covered(span_of[index], rules):
            row([column[index, node] for node in columns], low, high)
    for one, (first, _, _, _) in enumerate(runs):
        for other, (second, _, _, _) in enumerate(runs):
            if 0 < second - first <= max(rules.rows_apart, 1):
                for a, b in _clashes(span_of[one], span_of[other], second - first, rules):
                    row([column[one, a], column[other, b]], -inf, 1)
    programme = Programme(rows, until)
    for each in held:
        programme.add(0, each, [1.0] * len(each), 1.0, whole=True)
    answer = programme.whole(_NODES)
    if answer.values is None:
        if answer.possible:
            raise Undecided
        return None
    values = answer.values
    return [
        (
            0,
            *(node for node in range(1, span_of[index].end) if values[column[index, node]] > 0.5),
            span_of[index].end,
        )
        for index in range(len(runs))
    ]


def _covered(span: Span, rules: Rules) -> list[tuple[list[int], float, float]]:
    """Say that a break lies within reach of every node, and no two too near."""
    reach = [0] * len(span.nodes)  # the furthest node that a piece from each can end at
    for at, came in enumerate(span.into):
        for before, _ in came:
            reach[before] = at
    for at in range(1, len(reach)):  # a node that nothing leaves ends no piece, but may lie within one
        reach[at] = max(reach[at], reach[at - 1])
    found: list[tuple[list[int], float, float]] = []
    for at in range(span.end):
        if reach[at] < span.end:
            found.append((list(range(at + 1, reach[at] + 1)), 1, inf))
        near = [
            other
            for other in range(at, span.end)
            if other and span.nodes[other] - span.nodes[at] < rules.least
        ]
        if len(near) > 1:
            found.append((near, -inf, 1))
    return found


def _clashes(one: Span, other: Span, rows: int, rules: Rules) -> list[tuple[int, int]]:
    return [
        (a, b)
        for a in range(1, one.end)
        for b in range(1, other.end)
        if (rows == 1 and abs(one.nodes[a] - other.nodes[b]) < rules.apart)
        or (rows <= rules.rows_apart and one.nodes[a] == other.nodes[b])
    ]
