"""A ceiling as lines: its walls, courses, end joints and fixtures, for a picture to scale.

Drawn like a floor plan, as in a mirror on the floor: who stands with the starting wall behind has it at the
bottom of the picture, and left is left. Boards run from side to side, the courses stack upwards. Points are
inches from the left end, `x` along the boards and `y` across them; only `drawing_lines` brings them into a
frame of fixed shape.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Literal, NamedTuple, get_args

from sheetcalc.compare import over, same, under
from sheetcalc.errors import EntryError, InputError, NotReadable, above, at_least, number, renamed, whole
from sheetcalc.kinds import (
    COUNT,
    LENGTH,
    TEXT,
    Beside,
    Count,
    InMetric,
    Length,
    Lengths,
    Number,
    Readings,
    Takes,
)
from sheetcalc.trade.courses import TAKE_UP, Start, TakeUp, Taper, course_ends, course_marks
from sheetcalc.trade.openings import opening_area
from sheetcalc.trade.outline import outlines
from sheetcalc.trade.paths import one_path
from sheetcalc.trade.shapes import Laid, laid
from sheetcalc.trade.steps import beside
from sheetcalc.trade.tape import given, mean

__all__ = ["drawing_lines"]

What = Literal["walls", "courses", "first", "last", "joints", "fixtures", "bar"]
"""What is drawn."""

FRAME = 0.5  # height of the frame, 1 wide
LEFT, TOP, BELOW = 0.02, 0.01, 0.06  # of the frame that stays free: beside, above, and below for the bar
BAR_AT, TICK = 0.03, 0.006  # height of the scale bar in the frame, and of its ends
ROUND_BY = 16  # points around a fixture
MOST_POINTS = 10_000


class Point(NamedTuple):
    """A point of a drawing."""

    x: float
    y: float


class FramePoint(NamedTuple):
    """A point within the frame, 0 to 1 across and 0 to a half up."""

    x: Number
    y: Number


class Fixture(NamedTuple):
    """An opening, its centre from the start wall and from the left end."""

    shape: str
    width: float  # across the boards, or its diameter
    height: float | None  # along the boards
    across: float
    along: float | None

    @property
    def half(self) -> Point:
        """Half its size, along and across the boards."""
        along = self.width if self.shape == "round" else self.height
        return Point((along or 0) / 2, self.width / 2)


@dataclass(frozen=True, slots=True)
class Board:
    """A course as it lies, or a stretch of one: lines around it and around holes in it."""

    course: int
    rings: Sequence[Sequence[Point]]
    ripped: bool

    @property
    def ends(self) -> tuple[float, float]:
        """Where it starts along the ceiling, and where it ends."""
        places = [point.x for point in self.rings[0]]
        return min(places), max(places)

    def cuts(self, x: float) -> list[tuple[Point, Point]]:
        """Where a cut across runs through it: from where to where."""
        return [(Point(x, low), Point(x, high)) for low, high in within(self.rings, x)]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A ceiling as lines.

    Parameters
    ----------
    walls : list of Point
        All around the ceiling, back to the first.
    openings : list of list of Point
        All around each opening in it, back to the first.
    boards : list of Board
        The courses from the starting wall, their stretches from left to right.
    boards_from : float
        Where pieces are counted from, from the left end.
    """

    walls: list[Point]
    openings: list[list[Point]]
    boards: list[Board]
    boards_from: float


def within(rings: Iterable[Sequence[Point]], x: float) -> list[tuple[float, float]]:
    """Stretches across that lie within rings at one place along."""
    edges = (
        a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x)
        for ring in rings
        for a, b in pairwise(ring)
        if (a.x <= x) != (b.x <= x)
    )
    places = sorted(edges)
    return [*zip(places[::2], places[1::2], strict=True)]


def drawn(
    along: Readings,
    across: Readings,
    face: float,
    gap: float,
    finish_gap: float | None = None,
    layout: Start = "auto",
    least: float | None = None,
    take_up: float = TAKE_UP,
    taper: Taper = "last",
) -> Drawn:
    """Lay a ceiling out as lines; its arguments are those of `drawing_lines`."""
    lengths = given("along", along)
    if not over(min(lengths), 2 * gap):
        raise InputError("along", min(lengths), "must be over the two gaps together")
    marks = course_marks(across, face, gap, finish_gap, layout, least, take_up, taper)
    ends = [
        (end.first or 0.0, end.last or 0.0, end.finish_gap or 0.0)
        for end in course_ends(across, face, gap, finish_gap, layout, least, take_up, taper)
        if end.first is not None
    ]
    start_gap = marks[0].far_edge - marks[0].width
    alone = len(marks) == 1
    # Boards lie straight; where walls are not parallel it is the walls that run out of line.
    low = [start_gap if alone else marks[0].far_edge - first for first, _, _ in ends]
    high = [start_gap + first if alone else marks[-2].far_edge + last for first, last, _ in ends]
    start = [edge - start_gap for edge in low]
    finish = [edge + end[2] for edge, end in zip(high, ends, strict=True)]

    reach = mean(finish)

    def end_of(edges: Sequence[float]) -> float:
        return _at(lengths, edges[-1] / reach) - gap

    edges = [low, *([mark.far_edge] for mark in marks[:-1]), high]
    lines = [_line(edge, gap, end_of(edge), mean(lengths)) for edge in edges]
    ripped = [under(min(widths), face) for widths in zip(*(end[:2] for end in ends), strict=True)]
    ripped = [ripped[0], *[False] * (len(marks) - 2), ripped[1]][: len(marks)]
    boards = [
        Board(course, [[*near, *reversed(far), near[0]]], each)
        for course, ((near, far), each) in enumerate(zip(pairwise(lines), ripped, strict=True), 1)
    ]
    steps = max(1, len(lengths) - 1)
    right = [
        Point(length, start[-1] + (finish[-1] - start[-1]) * step / steps)
        for step, length in enumerate(lengths * (1 + (len(lengths) == 1)))
    ]
    near_wall = _line(start, 0, lengths[0], mean(lengths))
    far_wall = _line(finish, 0, lengths[-1], mean(lengths))
    return Drawn([*near_wall, *right[1:-1], *reversed(far_wall), near_wall[0]], [], boards, gap)


def drawn_by_corners(found: Laid, face: float) -> Drawn:
    """Draw a ceiling that was laid out by its corners, with boards of this face, as lines."""
    boards = [
        Board(
            round(piece.course), [_closed(ring) for ring in outlines(spans)], ripped=under(piece.width, face)
        )
        for piece, spans in found.stretches
    ]
    return Drawn(_closed(found.walls), [*map(_closed, found.openings)], boards, 0.0)


_CORNERS = {"along": "corners_x", "across": "corners_y", "openings": "holes", "ceilings": "corners_of"}


def _closed(ring: Sequence[tuple[float, float]]) -> list[Point]:
    return [Point(*corner) for corner in (*ring, ring[0])]


def _at(values: Sequence[float], share: float) -> float:
    """Value at a share of the way along values that are spread evenly from end to end."""
    if len(values) == 1:
        return values[0]
    place = min(max(share, 0.0), 1.0) * (len(values) - 1)
    before = min(int(place), len(values) - 2)
    return values[before] + (values[before + 1] - values[before]) * (place - before)


def _line(heights: Sequence[float], left: float, right: float, whole_length: float) -> list[Point]:
    """Draw an edge from its heights, which are spread evenly along the whole length."""
    steps = len(heights) - 1
    between = (whole_length * step / steps for step in range(1, steps))
    places = [left, *(x for x in between if left < x < right), right]
    return [Point(x, _at(heights, x / whole_length)) for x in places]


def around(fixture: Fixture) -> list[Point]:
    """Points around a fixture that says where it lies."""
    if fixture.along is None:
        raise NotReadable("positions_along", None, "is needed to draw a fixture")
    half = fixture.half
    turn = [step / ROUND_BY for step in range(ROUND_BY)]
    if fixture.shape == "round":
        unit = [Point(math.cos(2 * math.pi * part), math.sin(2 * math.pi * part)) for part in turn]
    else:
        corners = [Point(-1, -1), Point(1, -1), Point(1, 1), Point(-1, 1), Point(-1, -1)]
        unit = [Point(_at([c.x for c in corners], part), _at([c.y for c in corners], part)) for part in turn]
    return [Point(fixture.along + half.x * x, fixture.across + half.y * y) for x, y in unit]


def drawing_lines(
    what: What,
    along: Readings,
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
    courses: Annotated[Sequence[float], COUNT, Takes.LIST] | None = None,
    starts: Annotated[Sequence[float], LENGTH, Beside("courses")] | None = None,
    shapes: Annotated[Sequence[str], TEXT, Takes.LIST] | None = None,
    widths: Annotated[Sequence[float], LENGTH, Beside("shapes")] | None = None,
    heights: Annotated[Sequence[float | None], LENGTH, Beside("shapes", blank=True)] | None = None,
    positions_across: Annotated[Sequence[float], LENGTH, Beside("shapes")] | None = None,
    positions_along: Annotated[Sequence[float | None], LENGTH, Beside("shapes", blank=True)] | None = None,
    ceilings: Annotated[Sequence[float | None], COUNT, Beside("shapes", blank=True)] | None = None,
    ceiling: Count | None = None,
    bar: Annotated[Length, InMetric(1000)] = 48,
    points: Count | None = None,
    corners_x: Lengths | None = None,
    corners_y: Annotated[Sequence[float], LENGTH, Beside("corners_x")] | None = None,
    holes: Annotated[Sequence[float | None], COUNT, Beside("corners_x", blank=True)] | None = None,
    corners_of: Annotated[Sequence[float | None], COUNT, Beside("corners_x", blank=True)] | None = None,
) -> list[FramePoint]:
    r"""Points of one line of a ceiling's picture to scale, in a frame 1 wide and a half high, for a chart.

    Parameters
    ----------
    what : {"walls", "courses", "first", "last", "joints", "fixtures", "bar"}
        What is drawn: walls, all edges of the boards and of openings, the first course if it is ripped, the
        last and others that are, the middle of each end joint, points around each fixture, or a bar of known
        length.
    along : float or sequence of float
        Readings along the boards, from the starting wall to the other one [in].
    across : float or sequence of float
        Readings across the boards, from left to right [in].
    face, gap, finish_gap, layout, least, take_up, taper
        How to lay the courses, as for `course_count`.
    courses : sequence of int, optional
        Course of each piece, as `joint_plan` answers [-].
    starts : sequence of float, optional
        Where that piece starts, from where the boards start, by corners from the left end [in]: an end joint,
        save where a stretch of the course begins.
    shapes : sequence of str, optional
        "round" or "rectangle", for each fixture.
    widths : sequence of float, optional
        Its width across the boards, or its diameter [in].
    heights : sequence of float, optional
        The length of a rectangle along the boards [in].
    positions_across : sequence of float, optional
        Its centre from the starting wall [in].
    positions_along : sequence of float, optional
        Its centre from the left end [in]; without it a fixture is not drawn.
    ceilings : sequence of int, optional
        Number of the ceiling that each fixture hangs in [-].
    ceiling : int, optional
        Number of this ceiling [-]: fixtures of other ceilings are left out.
    bar : float, optional
        Length of the scale bar [in]; 48 in (1000 mm in metric).
    points : int, optional
        How many points to answer [-]: the last one is repeated. As many as there are if not given.
    corners_x : sequence of float, optional
        Corners of ceilings along the boards [in]; one without any is the rectangle of its readings.
    corners_y : sequence of float, optional
        The same corners across the boards [in].
    holes : sequence of int, optional
        Number of the opening that each corner is one of [-]; blank: of the walls.
    corners_of : sequence of int, optional
        Number of the ceiling that each corner is one of [-].

    Returns
    -------
    list of FramePoint
        Share of the frame's width across, and up [-]. Nothing to draw is one point outside the frame.

    Raises
    ------
    InputError
        As for `course_count` and `course_pieces`; a length not over the two gaps; a piece that lies in no
        course; a fixture without size; a bar longer than the frame; fewer points than the line has.
    NotReadable
        As for `course_count`; an unknown word, or a list that is shorter than the one it stands beside.

    Notes
    -----
    Lines are paths: they run back over themselves, or along walls, rather than stop, because a blank between
    two points means something else in every program. What touches nowhere is joined by the shortest hops. The
    scale is the larger one at which the ceiling fits both ways, with a margin; the bar lies below. Walls run
    straight from reading to reading, and readings are spread evenly.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> drawing_lines("joints", 96, 43, 5.25, 0.5, courses=[1, 1, 2], starts=[0, 47.5, 0])
    [FramePoint(x=0.5, y=0.09125)]
    """
    if what not in get_args(What):
        raise NotReadable("what", what, "must be " + ", ".join(get_args(What)))
    of = corners_of or [None] * len(corners_x or [])
    if any(ceiling is None or each is None or same(each, ceiling) for each in of):
        block = (face, gap, finish_gap, layout, least, take_up)
        corners = (holes, corners_of, ceiling)
        try:
            plan = drawn_by_corners(laid(corners_x or [], corners_y or [], *block, *corners), face)
        except EntryError as wrong:
            raise renamed(wrong, _CORNERS) from None
    else:
        plan = drawn(along, across, face, gap, finish_gap, layout, least, take_up, taper)
    frame = _Frame.of(plan)
    cuts = joints(plan, courses, starts)
    match what:
        case "walls":
            path = plan.walls
        case "courses":
            edges = [*plan.openings, *(ring for board in plan.boards for ring in board.rings)]
            path = one_path(edges, [plan.walls], (cut for found in cuts for cut in found))
        case "first" | "last":
            ripped = (
                board for board in plan.boards if board.ripped and (board.course == 1) == (what == "first")
            )
            path = one_path((ring for board in ripped for ring in board.rings), [plan.walls, *plan.openings])
        case "joints":
            path = [Point(cut[0][0].x, (cut[0][0].y + cut[-1][1].y) / 2) for cut in cuts]
        case "fixtures":
            listed = _fixtures(shapes, widths, heights, positions_across, positions_along, ceilings, ceiling)
            path = [point for fixture in listed if fixture.along is not None for point in around(fixture)]
        case _:
            return _filled(frame.bar(bar), points)
    return _filled([frame.point(*point) for point in path], points)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a ceiling stands in the frame."""

    scale: float
    left: float
    low: float

    @classmethod
    def of(cls, plan: Drawn) -> "_Frame":
        xs, ys = zip(*plan.walls, strict=True)
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        room = 1 - 2 * LEFT, FRAME - TOP - BELOW
        scale = min(room[0] / wide, room[1] / high)
        return cls(
            scale,
            LEFT + (room[0] - wide * scale) / 2 - min(xs) * scale,
            BELOW + (room[1] - high * scale) / 2 - min(ys) * scale,
        )

    def point(self, x: float, y: float) -> FramePoint:
        return FramePoint(self.left + x * self.scale, self.low + y * self.scale)

    def bar(self, length: float) -> list[FramePoint]:
        above(0, bar=length)
        half = length * self.scale / 2
        if over(half, 0.5 - LEFT):
            raise InputError("bar", length, "must be shorter than the frame of the picture")
        ends = [(0.5 - half, TICK), (0.5 - half, -TICK), (0.5 - half, 0.0), (0.5 + half, 0.0)]
        path = [*ends, (0.5 + half, TICK), (0.5 + half, -TICK)]
        return [FramePoint(x, BAR_AT + y) for x, y in path]


def joints(
    plan: Drawn, courses: Sequence[float] | None, starts: Sequence[float] | None
) -> list[list[tuple[Point, Point]]]:
    """Cuts of each end joint through its course; the arguments are those of `drawing_lines`."""
    found: list[list[tuple[Point, Point]]] = []
    beside("starts", starts or [], "courses", courses or [])
    for course, start in zip(courses or [], starts or [], strict=True):
        whole(courses=course)
        at_least(0, starts=start)
        here = [board for board in plan.boards if board.course == round(course)]
        if not here:
            raise InputError("courses", course, "must be a course of this ceiling")
        x = plan.boards_from + start
        lies_in = [board for board in here if not under(x, board.ends[0]) and not over(x, board.ends[1])]
        if not lies_in:
            raise InputError("starts", start, "must lie within the ceiling")
        found += [board.cuts(x) for board in lies_in if over(x, board.ends[0]) and under(x, board.ends[1])]
    return found


def _fixtures(
    shapes: Sequence[str] | None,
    widths: Sequence[float] | None,
    heights: Sequence[float | None] | None,
    positions_across: Sequence[float] | None,
    positions_along: Sequence[float | None] | None,
    ceilings: Sequence[float | None] | None,
    ceiling: float | None,
) -> list[Fixture]:
    """List the fixtures of this ceiling."""
    shapes = shapes or []
    none: list[None] = [None] * len(shapes)
    lists = {
        "widths": widths or [],
        "heights": heights or none,
        "positions_across": positions_across or [],
        "positions_along": positions_along or none,
        "ceilings": ceilings or none,
    }
    for name, values in lists.items():
        beside(name, values, "shapes", shapes)
    found: list[Fixture] = []
    for shape, width, height, across, along, hangs_in in zip(shapes, *lists.values(), strict=True):
        if ceiling is not None and hangs_in is not None and round(hangs_in) != round(ceiling):
            continue
        shape = shape.strip().lower()
        opening_area(shape, width or 0, height)  # type: ignore[arg-type]  (it says what is wrong)
        number("positions_across", across)
        found.append(Fixture(shape, width or 0, height, across or 0, along))
    return found


def _filled(path: list[FramePoint], points: float | None) -> list[FramePoint]:
    """Repeat the last point until there are as many as asked for."""
    path = [FramePoint(round(x, 6), round(y, 6)) for x, y in path] or [FramePoint(-1, -1)]
    if points is None:
        return path
    whole(points=points)
    if round(points) < len(path):
        raise InputError("points", points, "must be as many as the line has, or more")
    if round(points) > MOST_POINTS:
        raise InputError("points", points, f"must be {MOST_POINTS} at most")
    return path + [path[-1]] * (round(points) - len(path))
