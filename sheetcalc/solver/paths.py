"""The ways through one run, the cheapest first."""

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from itertools import chain, islice
from typing import NamedTuple

from sheetcalc.solver.spans import Span

__all__ = ["Path", "Paths"]

_LISTED = 500  # paths that are kept; where all of these are barred, another is looked for


class Path(NamedTuple):
    """A way through a run: its nodes, its pieces, the largest first, and what its breaks cost.

    `bits` are those of its breaks, `beside` those of the places that are too near to them for the next row.
    """

    nodes: tuple[int, ...]
    pieces: tuple[int, ...]
    breaks: int
    bits: int
    beside: int


class Paths:
    """All paths through a span.

    Parameters
    ----------
    span : Span
        Runs alike.
    costs : sequence of int
        Of each size of piece, where nothing else is said.
    breaks : sequence of int
        Of a break at each node.
    beside : sequence of int
        Bits of the places that are too near to each place for the next row.
    """

    def __init__(
        self, span: Span, costs: Sequence[int], breaks: Sequence[int], beside: Sequence[int]
    ) -> None:
        self._span, self._breaks, self._beside = span, breaks, beside
        self._out: list[list[tuple[int, int]]] = [[] for _ in span.nodes]  # next node, piece
        for at, came in enumerate(span.into):
            for before, piece in came:
                self._out[before].append((at, piece))
        self._costs = costs
        self._more = self._cheapest(costs, 0)
        self._listed: list[Path] = []

    def first(self, barred: int) -> Path | None:
        """Return the cheapest path without a barred place, None if there is none."""
        for path in chain(self._listed, self._listing()):
            if not path.bits & barred:
                return path
        return next(self._cheapest(self._costs, barred), None)

    def _listing(self) -> Iterator[Path]:
        """List more paths."""
        for path in islice(self._more, max(0, _LISTED - len(self._listed))):
            self._listed.append(path)
            yield path

    def cheapest(self, costs: Sequence[int], barred: int, most: int) -> list[Path]:
        """Return the cheapest paths without a barred place at other costs of pieces."""
        return list(islice(self._cheapest(costs, barred), most))

    def _cheapest(self, costs: Sequence[int], barred: int) -> Iterator[Path]:
        """Yield the paths without a barred place, the cheapest first."""
        end, breaks = self._span.end, self._breaks
        on: list[list[tuple[int, int, int]]] = [[] for _ in self._span.nodes]  # the cheapest way on first
        on[end].append((0, end, -1))
        for at in range(end - 1, -1, -1):
            if not self._span.bits[at] & barred:
                on[at] = sorted(
                    [
                        (costs[piece] + breaks[after] + on[after][0][0], after, piece)
                        for after, piece in self._out[at]
                        if on[after]
                    ]
                )
        if not on[0]:
            return
        # a path so far, with the rank of the way it goes on in; from there the cheapest to the end
        ahead: list[tuple[int, tuple[int, ...], tuple[int, ...], int]] = [(on[0][0][0], (0,), (), 0)]
        while ahead:
            cost, nodes, pieces, rank = heappop(ahead)
            while nodes[-1] != end:
                ways = on[nodes[-1]]
                if rank + 1 < len(ways):
                    heappush(ahead, (cost + ways[rank + 1][0] - ways[rank][0], nodes, pieces, rank + 1))
                _, after, piece = ways[rank]
                nodes, pieces, rank = (*nodes, after), (*pieces, piece), 0
            yield self._path(nodes, pieces)

    def _path(self, nodes: tuple[int, ...], pieces: tuple[int, ...]) -> Path:
        breaks = bits = beside = 0
        for node in nodes[1:-1]:
            bit = self._span.bits[node]
            breaks += self._breaks[node]
            bits |= bit
            beside |= self._beside[bit.bit_length() - 1]
        return Path(nodes, tuple(sorted(pieces, reverse=True)), breaks, bits, beside)
