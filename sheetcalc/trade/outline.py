"""Plane geometry of a ceiling drawn by its corners: rings, gaps along walls, what strips leave of them.

A point is (along, across). A region is one ring less any number of others; `slabs` cuts it along lines of
equal across into layers in which every boundary is straight, so each layer is a row of trapezoids. Everything
else is read off these: area, courses, pieces.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from sheetcalc.compare import over, same, under

Point = tuple[float, float]
Ring = tuple[Point, ...]

_RIPS_WITHIN = math.tan(math.radians(15))  # of the boards: a cut so flat is made along a board, not across it
_SHARPEST = 5  # a gap around a corner that juts in reaches this many gaps into the ceiling at most


class Side(NamedTuple):
    """A straight boundary that is not parallel to the boards, from its near to its far end."""

    near: Point
    far: Point
    ring: int

    def at(self, across: float) -> float:
        """Where along it stands at that place across."""
        (x, y), (far_x, far_y) = self.near, self.far
        if x == far_x or across <= y:
            return x
        return far_x if across >= far_y else x + (far_x - x) * (across - y) / (far_y - y)

    @property
    def steep(self) -> bool:
        """Over 15° off the line of the boards: it ends a board instead of ripping it."""
        return over(self.far[1] - self.near[1], _RIPS_WITHIN * abs(self.far[0] - self.near[0]))


class Span(NamedTuple):
    """A trapezoid: what lies between two sides, from `low` to `high` across."""

    low: float
    high: float
    left: Side
    right: Side

    def at(self, across: float) -> tuple[float, float]:
        """Its left and right end at that place across."""
        return self.left.at(across), self.right.at(across)

    @property
    def area(self) -> float:
        """Its area."""
        ends = (self.at(self.low), self.at(self.high))
        return math.fsum(right - left for left, right in ends) / 2 * (self.high - self.low)


# --- Rings ---


def closed(corners: Sequence[Point]) -> Ring:
    """Corners as a ring that runs so that its inside lies on the left; two are opposite ones of a rectangle.

    Examples
    --------
    >>> closed([(0, 0), (9, 4)])
    ((0, 0), (9, 0), (9, 4), (0, 4))
    """
    ring = list(corners)
    if len(ring) == 2:
        (x, y), (far_x, far_y) = ring
        ring = [(x, y), (far_x, y), (far_x, far_y), (x, far_y)]
    elif len(ring) > 3 and _touch(ring[0], ring[-1]):  # the first corner said again
        ring.pop()
    return tuple(ring if enclosed(ring) >= 0 else reversed(ring))


def enclosed(ring: Sequence[Point]) -> float:
    """Area within a ring, negative where its inside lies on the right: the shoelace formula.

    Examples
    --------
    >>> enclosed([(0, 0), (4, 0), (0, 3)])
    6.0
    """
    x, y = ring[0]
    return math.fsum((a[0] - x) * (b[1] - y) - (b[0] - x) * (a[1] - y) for a, b in walls(ring)) / 2


def walls(ring: Sequence[Point]) -> list[tuple[Point, Point]]:
    """List the walls between corners, the last one back to the first."""
    return [*pairwise(ring), (ring[-1], ring[0])]


def crossed(ring: Sequence[Point]) -> Point | None:
    """Return a corner whose wall crosses or touches another wall of the ring, None if there is none."""
    each = walls(ring)
    for at, (start, end) in enumerate(each):
        if _touch(start, end):
            return start
        after = each[(at + 1) % len(each)][1]
        if same(_turn(start, end, after) / math.dist(start, end), 0) and _ahead(end, start, after):
            return end  # the next wall runs back over this one
    for (one, (a, b)), (other, (c, d)) in combinations(enumerate(each), 2):
        if other - one not in (1, len(each) - 1) and _meet(a, b, c, d):
            return c
    return None


def _touch(a: Point, b: Point) -> bool:
    return same(a[0], b[0]) and same(a[1], b[1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _ahead(a: Point, b: Point, c: Point) -> bool:
    """Tell whether b and c lie in the same direction from a."""
    return (b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1]) > 0


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Tell whether two walls have a point in common."""
    apart = [
        _sign(_turn(*line, point) / math.dist(*line))
        for line, point in (((a, b), c), ((a, b), d), ((c, d), a), ((c, d), b))
    ]
    if apart[0] * apart[1] > 0 or apart[2] * apart[3] > 0:
        return False
    return all(
        not over(max(min(a[k], b[k]), min(c[k], d[k])), min(max(a[k], b[k]), max(c[k], d[k]))) for k in (0, 1)
    )


def _sign(distance: float) -> int:
    return 0 if same(distance, 0) else 1 if distance > 0 else -1


# --- Gaps ---


def margins(
    ring: Ring, gap: float, finish_gap: float, ends: tuple[float, float] | None = None
) -> Iterator[Ring]:
    """Yield the strips along the walls that stay open: to the left of every wall of the ring.

    Walls that courses or boards come away from have `gap`, those that they run to `finish_gap`. `ends` are
    the places across where walls along the boards have no strip, because the first and the last course keep
    off them anyway.
    """
    each = [(a, b, _open(a, b, gap, finish_gap, ends)) for a, b in walls(ring)]
    for at, (a, b, (x, y)) in enumerate(each):
        if x or y:
            yield (a, b, (b[0] + x, b[1] + y), (a[0] + x, a[1] + y))
        _, after, (next_x, next_y) = each[(at + 1) % len(each)]
        if under(_turn(a, b, after) / math.dist(a, b), 0) and (x or y) and (next_x or next_y):  # it juts in
            tip = _tip((x, y), (next_x, next_y))
            yield (b, (b[0] + next_x, b[1] + next_y), (b[0] + tip[0], b[1] + tip[1]), (b[0] + x, b[1] + y))


def _open(a: Point, b: Point, gap: float, finish_gap: float, ends: tuple[float, float] | None) -> Point:
    """How far from a wall its strip reaches, square to it."""
    run, rise = b[0] - a[0], b[1] - a[1]
    if ends and same(rise, 0) and any(same(a[1], end) for end in ends):
        return 0.0, 0.0
    comes_away = -rise > 0 if abs(rise) >= abs(run) else run > 0
    open_, length = gap if comes_away else finish_gap, math.hypot(run, rise)
    return -rise / length * open_, run / length * open_


def _tip(one: Point, other: Point) -> Point:
    """Where the far edges of two strips meet, from the corner between their walls."""
    cross = one[0] * other[1] - one[1] * other[0]
    one_two, other_two = one[0] ** 2 + one[1] ** 2, other[0] ** 2 + other[1] ** 2
    x = (one_two * other[1] - other_two * one[1]) / cross
    y = (other_two * one[0] - one_two * other[0]) / cross
    most = _SHARPEST * math.sqrt(max(one_two, other_two))
    share = min(1.0, most / math.hypot(x, y))
    return x * share, y * share


# --- Layers ---


def slabs(ring: Ring, without: Sequence[Ring], levels: Sequence[float] = ()) -> Iterator[list[Span]]:
    """Yield what is left of a ring in layers from near to far; no layer lies on both sides of a level.

    Spans and layers that measure no more than a float's dust are left out.
    """
    rings = (ring, *without)
    sides = [
        Side(a, b, index) if a[1] < b[1] else Side(b, a, index)
        for index, each in enumerate(rings)
        for a, b in walls(each)
        if not same(a[1], b[1])
    ]
    near, far = min(y for _, y in ring), max(y for _, y in ring)
    heights = sorted({*levels, *(y for each in rings for _, y in each), *_crossings(sides)})
    heights = [y for y in heights if not under(y, near) and not over(y, far)]
    kept = [y for at, y in enumerate(heights) if not at or not same(y, heights[at - 1])]
    for low, high in pairwise(kept):
        middle = (low + high) / 2
        found = [
            span
            for left, right in _left(_spans(sides, middle), middle)
            if _wide(span := Span(low, high, left, right))
        ]
        if found:
            yield found


def outlines(spans: Sequence[Span]) -> list[Ring]:
    """Trace what trapezoids of layers cover together: inside on the left, so holes run the other way.

    Examples
    --------
    >>> one, other = (Side((x, 0), (x, 9), 0) for x in (1, 5))
    >>> outlines([Span(0, 2, one, other), Span(2, 9, one, other)])
    [((5, 2), (5, 9), (1, 9), (1, 2), (1, 0), (5, 0))]
    """
    after: dict[Point, list[Point]] = {}  # keyed without a float's dust

    def edge(start: Point, end: Point) -> None:
        if _key(start) != _key(end):
            after.setdefault(_key(start), []).append(end)

    for span in spans:
        (left, right), (far_left, far_right) = span.at(span.low), span.at(span.high)
        edge((right, span.low), (far_right, span.high))
        edge((far_left, span.high), (left, span.low))
    for level in sorted({each for span in spans for each in (span.low, span.high)}):
        upper = [span.at(level) for span in spans if span.low == level]
        lower = [span.at(level) for span in spans if span.high == level]
        for x, far in pairwise(sorted({x for ends in (*upper, *lower) for x in ends})):
            covered = [any(near <= x and far <= end for near, end in side) for side in (upper, lower)]
            if covered == [True, False]:
                edge((x, level), (far, level))
            elif covered == [False, True]:
                edge((far, level), (x, level))
    found: list[Ring] = []
    while after:
        at = next(iter(after))
        ring: list[Point] = []
        while at in after:  # all round: what leaves the start has gone
            ring.append(after[at].pop())
            if not after[at]:
                del after[at]
            at = _key(ring[-1])
        found.append(tuple(ring))
    return found


def _key(point: Point) -> Point:
    # Off the fractions of an inch, so that no float's dust tells two of them apart.
    return round(point[0] + 0.3141e-6, 6), round(point[1] + 0.3141e-6, 6)


def _wide(span: Span) -> bool:
    return any(over(right - left, 0) for left, right in (span.at(span.low), span.at(span.high)))


def _crossings(sides: Sequence[Side]) -> Iterator[float]:
    """Yield the places across where sides of different rings cross."""
    for one, other in combinations(sides, 2):
        low, high = max(one.near[1], other.near[1]), min(one.far[1], other.far[1])
        if one.ring == other.ring or low >= high:
            continue
        at_low, at_high = one.at(low) - other.at(low), one.at(high) - other.at(high)
        if at_low * at_high < 0:
            yield low + (high - low) * at_low / (at_low - at_high)


def _spans(sides: Sequence[Side], across: float) -> dict[int, list[tuple[Side, Side]]]:
    """Pair the sides of each ring at one place across."""
    here: dict[int, list[Side]] = {}
    for side in sides:
        if side.near[1] < across < side.far[1]:
            here.setdefault(side.ring, []).append(side)
    for each in here.values():
        each.sort(key=lambda side: side.at(across))
    return {ring: list(zip(each[::2], each[1::2], strict=True)) for ring, each in here.items()}


def _left(spans: dict[int, list[tuple[Side, Side]]], across: float) -> Iterator[tuple[Side, Side]]:
    """Yield what the other rings leave of the first one at one place across."""
    taken = sorted(
        (pair for ring, pairs in spans.items() if ring for pair in pairs), key=lambda pair: pair[0].at(across)
    )
    for left, right in spans.get(0, []):
        start = left
        for near, far in taken:
            if near.at(across) >= right.at(across):
                break
            if over(near.at(across), start.at(across)):
                yield start, near
            if far.at(across) > start.at(across):
                start = far
        if over(right.at(across), start.at(across)):
            yield start, right
