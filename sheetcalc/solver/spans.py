"""The task of breaking runs into pieces, put in order: like runs together, and the pieces each allows.

A run is a network: its places are nodes, a piece leads from one to another, a path from end to end breaks the
run.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import gcd, inf
from typing import NamedTuple

from sheetcalc.solver.cutting import Stock

__all__ = ["Breaks", "Network", "Rules", "Run", "Span", "network", "picked"]

Breaks = tuple[tuple[int, ...], ...]
"""Where each run is broken, in the order of the runs."""

_PARTS = 24
"""Where breaks may fall anywhere, so many places are tried along the longest board."""

_ENDS = 4  # where runs end in more places than these, boards are whole from their start alone


class Run(NamedTuple):
    """A stretch to be covered; no break falls inside a `closed` stretch, though it may on its ends."""

    row: int
    start: int
    length: int
    closed: tuple[tuple[int, int], ...] = ()


class Rules(NamedTuple):
    """What is allowed everywhere.

    Parameters
    ----------
    places : tuple of int or None
        Where breaks may fall; None for anywhere.
    apart : int
        Least distance of breaks in neighbouring rows, whose numbers differ by 1.
    least : int
        Shortest piece, but for a run that is one piece.
    rows_apart : int
        Rows for which the place of a break rests.
    kerf : int
        What each piece takes from a board besides its length.
    grain : int
        Steps of a position in one step of a size: runs, places and distances are given finer than boards, so
        that each piece by itself is rounded up.
    """

    places: tuple[int, ...] | None = None
    apart: int = 0
    least: int = 0
    rows_apart: int = 0
    kerf: int = 0
    grain: int = 1

    def size(self, length: int) -> int:
        """Return what a piece takes from a board."""
        return -(-length // self.grain) + self.kerf

    def length(self, size: int) -> int:
        """Return the longest piece that a board yields."""
        return (size - self.kerf) * self.grain


class Span(NamedTuple):
    """Runs alike: where their pieces can end, and what leads there.

    `nodes` holds the start, the places of breaks, and the end. `into` has for each node the nodes that a
    piece comes from, with that piece's size. `bits` has the bit of each node among all places of the task.
    """

    nodes: tuple[int, ...]
    into: tuple[tuple[tuple[int, int], ...], ...]
    bits: tuple[int, ...]
    runs: tuple[int, ...]  # which runs these are

    @property
    def end(self) -> int:
        """The last node."""
        return len(self.nodes) - 1

    def pieces(self, nodes: Sequence[int]) -> list[int]:
        """Return the pieces between nodes, by their size."""
        return [dict(self.into[after])[before] for before, after in pairwise(nodes)]


@dataclass(frozen=True)
class Network:
    """A task put in order.

    Parameters
    ----------
    runs, rules, stock, price
        As given: what is to be covered, what is allowed, what can be bought, what a break costs.
    spans : tuple of Span
        All runs, those alike together.
    sizes : tuple of int
        Sizes of all pieces as they are cut, kerf included.
    places : tuple of int
        Places of all breaks, by their bit.
    """

    runs: tuple[Run, ...]
    rules: Rules
    stock: tuple[Stock, ...]
    price: int
    spans: tuple[Span, ...]
    sizes: tuple[int, ...]
    places: tuple[int, ...]

    @cached_property
    def span_of(self) -> dict[int, Span]:
        """The span that each run is one of."""
        return {run: span for span in self.spans for run in span.runs}

    @cached_property
    def order(self) -> list[int]:
        """Runs row by row."""
        return sorted(range(len(self.runs)), key=lambda at: (self.runs[at].row, self.runs[at].start))

    def breaks(self, nodes_of: Sequence[Sequence[int]], order: Sequence[int] | None = None) -> Breaks:
        """Return the places of breaks for the nodes of each run, given in their order or another."""
        pairs = zip(range(len(self.runs)) if order is None else order, nodes_of, strict=True)
        return tuple(
            tuple(self.span_of[run].nodes[node] for node in nodes[1:-1]) for run, nodes in sorted(pairs)
        )


def network(runs: tuple[Run, ...], rules: Rules, stock: tuple[Stock, ...], price: int = 0) -> Network | None:
    """Put a task in order, or return None if some run cannot be covered whatever the others do."""
    boards = sorted({board.size for board in stock})
    longest = max(boards, default=0)
    whole = len({run[1:3] for run in runs}) <= _ENDS
    like: dict[tuple[int, int, tuple[int, ...]], list[int]] = {}
    for index, run in enumerate(runs):
        like.setdefault((run.start, run.length, _open(run, rules, boards, whole)), []).append(index)
    found: list[tuple[tuple[int, ...], list[list[tuple[int, int]]], list[int]]] = []
    for (start, length, places), indices in like.items():
        nodes = (start, *places, start + length)
        into = _into(nodes, rules, longest)
        if not into[-1]:
            return None
        kept = [at for at, came in enumerate(into) if came or not at]
        again = {at: new for new, at in enumerate(kept)}
        found.append(
            (
                tuple(nodes[at] for at in kept),
                [[(again[before], size) for before, size in into[at]] for at in kept],
                indices,
            )
        )
    places = sorted({place for nodes, _, _ in found for place in nodes[1:-1]})
    sizes = sorted({size for _, into, _ in found for came in into for _, size in came})
    bit = {place: 1 << at for at, place in enumerate(places)}
    index_of = {size: at for at, size in enumerate(sizes)}
    found_spans = tuple(
        Span(
            nodes,
            tuple(tuple((before, index_of[size]) for before, size in came) for came in into),
            (0, *(bit[place] for place in nodes[1:-1]), 0),
            tuple(indices),
        )
        for nodes, into, indices in found
    )
    return Network(runs, rules, stock, price, found_spans, tuple(sizes), tuple(places))


def _open(run: Run, rules: Rules, boards: Sequence[int], whole: bool) -> tuple[int, ...]:
    first, last = run.start + max(1, rules.least), run.start + run.length - max(1, rules.least)
    return tuple(
        place
        for place in (_grid(run, rules, boards, whole) if rules.places is None else rules.places)
        if first <= place <= last and not any(low < place < high for low, high in run.closed)
    )


def _grid(run: Run, rules: Rules, boards: Sequence[int], whole: bool) -> list[int]:
    """Places to try where breaks may fall anywhere.

    Equal parts of the boards from the start, also a kerf before, so that two pieces come from one board;
    where `whole` says so, whole boards from the end; and where the rules are tight: the shortest pieces, the
    ends of what is closed.
    """
    lengths = [rules.length(size) for size in boards if size > rules.kerf]
    if not lengths:
        return []
    common, wanted = gcd(*lengths), max(1, max(lengths) // _PARTS)
    step = common // -(-common // wanted) if 2 * common > wanted else wanted
    start, end = run.start, run.start + run.length
    places = {start + rules.least, end - rules.least, *((end - size for size in lengths) if whole else ())}
    places.update(end for ends in run.closed for end in ends)
    places.update(place - rules.kerf * rules.grain for place in range(start, end, step))
    places.update(range(start, end, common if common > step else max(lengths)))
    return sorted(places)


def _into(nodes: tuple[int, ...], rules: Rules, longest: int) -> list[list[tuple[int, int]]]:
    """Pieces into each node, of those that stand on a way from start to end."""
    end = len(nodes) - 1
    into: list[list[tuple[int, int]]] = [[] for _ in nodes]
    low = 0
    for at in range(1, end + 1):
        while rules.size(nodes[at] - nodes[low]) > longest:
            low += 1
        for before in range(low, at):
            length = nodes[at] - nodes[before]
            whole = before == 0 and at == end
            if (length >= rules.least or whole) and (before == 0 or into[before]):
                into[at].append((before, rules.size(length)))
    reached = {end}
    for at in range(end, 0, -1):
        if at in reached:
            reached.update(before for before, _ in into[at])
        else:
            into[at] = []
    return into


def picked(rows: set[int], rest: int) -> int:
    """Count the rows that can be picked so that after each one `rest` rows are left out."""
    count, free = 0, -inf
    for row in sorted(rows):
        if row >= free:
            count += 1
            free = row + rest + 1
    return count
