"""One path over many lines: what a chart needs that can lift its pen nowhere.

It never leaves the lines, save for the shortest hop between two that touch nowhere.
"""

import math
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import pairwise

from sheetcalc.trade.outline import Point

_SAME = 1e-6  # of an inch: points that lie so near are one
Line = Sequence[Point]
_Ways = dict[Point, dict[Point, float]]  # from each point to those that a line leads to, and how far


def one_path(lines: Iterable[Line], over: Iterable[Line] = (), spurs: Iterable[Line] = ()) -> list[Point]:
    """Draw all lines with one path.

    Parameters
    ----------
    lines : iterable of sequence of Point
        What is drawn, each from point to point.
    over : iterable of sequence of Point
        Lines that the path may run along on its way, such as those drawn by another path.
    spurs : iterable of sequence of Point
        Straight lines from a point on one of the lines to its other end, up and down which the path goes in
        passing.

    Returns
    -------
    list of Point
        The path.

    Examples
    --------
    >>> one_path([[(0, 0), (4, 0)]], spurs=[[(1, 0), (1, 9)]])
    [(0, 0), (1, 0), (1, 9), (1, 0), (4, 0)]
    """
    drawn, other = [*lines], [*over]
    spur = {_known(foot): (foot, end) for foot, end in spurs}
    points = {_known(point): point for line in (*drawn, *other, *spur.values()) for point in line}
    feet = sorted(
        {(y, x) for line in (*drawn, *other, spur) for x, y in map(_known, line)}  # by their height
    )
    todo = {side for line in drawn for side in _sides(line, feet)}
    ways: _Ways = {}
    for start, end in (*todo, *(side for line in other for side in _sides(line, feet))):
        _join(ways, start, end)
    _hop(ways)

    path = _walk(ways, todo)
    return [*_shorter([points[key] for key in _with_spurs(path, spur)])]


def _walk(ways: _Ways, todo: set[tuple[Point, Point]]) -> list[Point]:
    """Go along every side once: straight on where that can be, else to the nearest that is left."""
    if not todo:
        return []
    path = [min((point for side in todo for point in side), key=lambda point: (point[1], point[0]))]
    ahead = (1.0, 0.0)
    while todo:
        at = path[-1]
        ends = [end for end in ways[at] if (at, end) in todo or (end, at) in todo]
        if ends:
            end = max(ends, key=lambda end: (_straight(ahead, at, end), end))
            todo -= {(at, end), (end, at)}
            path.append(end)
        else:
            path += _way(ways, at, {point for side in todo for point in side})
        ahead = (path[-1][0] - path[-2][0], path[-1][1] - path[-2][1])
    return path


def _known(point: Point) -> Point:
    return round(point[0] / _SAME) * _SAME, round(point[1] / _SAME) * _SAME


def _sides(line: Line, feet: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield the sides of a line, parted where another line meets them; `feet` are (across, along)."""
    for start, end in pairwise(map(_known, line)):
        if start != end:
            low, high = sorted(((start[1], start[0]), (end[1], end[0])))
            near = feet[bisect_left(feet, low) : bisect_left(feet, high) + 1]
            on_it = {(x, y) for y, x in near if _between((x, y), start, end)}
            yield from pairwise(sorted(on_it | {start, end}, key=lambda point: math.dist(start, point)))


def _between(point: Point, start: Point, end: Point) -> bool:
    return math.dist(start, point) + math.dist(point, end) - math.dist(start, end) < _SAME


def _join(ways: _Ways, one: Point, other: Point) -> None:
    ways.setdefault(one, {})[other] = ways.setdefault(other, {})[one] = math.dist(one, other)


def _hop(ways: _Ways) -> None:
    """Join what touches nowhere by the shortest hops (Prim's algorithm)."""
    outside = {point: (math.inf, point) for point in ways}  # how far from what is joined, and where there
    while outside:
        far, (_, near) = min(outside.items(), key=lambda item: (item[1], item[0]))
        part = _touching(ways, far)
        if near != far:  # it is not the first
            _join(ways, near, far)
        for point in part:
            del outside[point]
        for point, nearest in outside.items():
            outside[point] = min([nearest, *((math.dist(one, point), one) for one in part)])


def _touching(ways: _Ways, start: Point) -> set[Point]:
    """All points that lines lead to from one."""
    part, new = set[Point](), {start}
    while new:
        part |= new
        new = {end for point in new for end in ways[point]} - part
    return part


def _straight(ahead: Point, start: Point, end: Point) -> float:
    """How straight on a side leads: 1, or back: -1."""
    x, y = end[0] - start[0], end[1] - start[1]
    return round((ahead[0] * x + ahead[1] * y) / (math.hypot(*ahead) * math.hypot(x, y)), 9)


def _way(ways: _Ways, start: Point, ends: Collection[Point]) -> list[Point]:
    """Shortest way from a point to the nearest of some others."""
    came: dict[Point, Point] = {}
    far = {start: 0.0}
    queue: list[tuple[float, Point]] = []
    point = start
    while point not in ends:  # all lines are joined: it comes to one of them
        for end, length in ways[point].items():
            if far[point] + length < far.get(end, math.inf):
                far[end], came[end] = far[point] + length, point
                heappush(queue, (far[end], end))
        _, point = heappop(queue)
    way = [point]
    while way[-1] != start:
        way.append(came[way[-1]])
    return way[-2::-1]


def _with_spurs(path: Iterable[Point], spurs: dict[Point, tuple[Point, Point]]) -> Iterator[Point]:
    """Go up and down each spur where its foot is first passed."""
    left = dict(spurs)
    for point in path:
        yield point
        if point in left:
            yield _known(left.pop(point)[1])
            yield point


def _shorter(path: Sequence[Point]) -> Iterator[Point]:
    """Leave out what lies on the way straight on."""
    for at, point in enumerate(path):
        if at in (0, len(path) - 1) or not _between(point, path[at - 1], path[at + 1]):
            yield point
