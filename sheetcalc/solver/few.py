"""All ways to break a few runs, in the order of what they cost at least."""

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from sheetcalc.solver.prices import FINE, Prices
from sheetcalc.solver.programme import in_time
from sheetcalc.solver.search import near
from sheetcalc.solver.spans import Network, Span

__all__ = ["Few", "few"]

_PATHS = 400  # ways to break one run; with more of them the runs are not few
_STATES = 2500  # at effort 1


class Few(NamedTuple):
    """A way to break all runs; no other way that is yet to come costs less than `least`, in fine parts."""

    least: int
    breaks: int
    nodes: list[tuple[int, ...]]


class _Path(NamedTuple):
    least: int  # worth of the pieces and price of the breaks
    breaks: int
    nodes: tuple[int, ...]
    pieces: tuple[int, ...]
    bits: int
    beside: int  # bits that are too near for the next row


class _State(NamedTuple):
    least: int  # with what the runs to come cost at least
    breaks: int
    number: int
    paths: tuple[_Path, ...]


def few(net: Network, prices: Prices, effort: float, until: float) -> Iterator[Few | None]:
    """Yield all ways, those that may be cheapest first; None at last if there are no more.

    Of ways with the same pieces only one comes. Where each run can be broken in too many ways, none comes.
    """
    if any(_number(span) > _PATHS for span in net.spans):
        return
    beside = near(net.places, net.rules.apart)
    paths = [sorted(_paths(net, prices, span, beside)) for span in net.spans]
    number_of = {run: number for number, span in enumerate(net.spans) for run in span.runs}
    choices = [paths[number_of[run]] for run in net.order]
    rows = [net.runs[run].row for run in net.order]
    after = [0]  # what the last runs cost at least
    for each in reversed(choices):
        after.append(after[-1] + min([path.least for path in each]))
    after.reverse()
    back = max(net.rules.rows_apart, 1)
    seen: set[tuple[object, ...]] = set()
    ahead = [_State(after[0], 0, 0, ())]
    number, most = 0, max(1, round(_STATES * effort))
    while ahead and number < most:
        in_time(until)
        state = heappop(ahead)
        at = len(state.paths)
        if at == len(choices):
            found = sorted(zip(net.order, [path.nodes for path in state.paths], strict=True))
            yield Few(state.least, state.breaks, [nodes for _, nodes in found])
            continue
        barred = 0
        for row, path in zip(rows, state.paths, strict=False):
            if 0 < rows[at] - row <= net.rules.rows_apart:
                barred |= path.bits
            if rows[at] - row == 1:
                barred |= path.beside
        base = state.least - after[at] + after[at + 1]
        recent = [
            (row, path.bits) for row, path in zip(rows, state.paths, strict=False) if rows[at] - row <= back
        ]
        pieces = [piece for path in state.paths for piece in path.pieces]
        for path in choices[at]:
            if path.bits & barred:
                continue
            key = at, tuple(sorted([*pieces, *path.pieces])), path.bits, *recent
            if key not in seen:
                seen.add(key)
                number += 1
                new = _State(base + path.least, state.breaks + path.breaks, number, (*state.paths, path))
                heappush(ahead, new)
    if not ahead:
        yield None


def _number(span: Span) -> int:
    ways = [1] + [0] * span.end
    for at in range(1, span.end + 1):
        ways[at] = sum([ways[before] for before, _ in span.into[at]])
    return ways[-1]


def _paths(net: Network, prices: Prices, span: Span, beside: Sequence[int]) -> Iterator[_Path]:
    def back_from(at: int) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
        if not at:
            yield (0,), ()
        for before, piece in span.into[at]:
            for nodes, pieces in back_from(before):
                yield (*nodes, at), (*pieces, piece)

    for nodes, pieces in back_from(span.end):
        inside = [span.bits[node] for node in nodes[1:-1]]
        least = sum([int(prices.worth(net.sizes[piece])) for piece in pieces])
        yield _Path(
            least + net.price * FINE * len(inside),
            len(inside),
            nodes,
            pieces,
            sum(inside),
            _together([beside[bit.bit_length() - 1] for bit in inside]),
        )


def _together(bits: Sequence[int]) -> int:
    every = 0
    for each in bits:
        every |= each
    return every
