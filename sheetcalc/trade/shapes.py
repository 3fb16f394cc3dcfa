"""Ceilings that are no rectangles: corners measured along and across the boards, and what courses cover.

Corners are given in the order in which one meets them, either way round, `along` from the left-most end and
`across` from the starting wall. The courses are laid out once, over the greatest size across, as
`course_marks` lays out a rectangle, so both arms of an L have the same courses. Each course is then cut out
of the ceiling, less the gaps at its walls and around its openings.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby, pairwise
from math import atan2, degrees, dist, fsum
from typing import Annotated, Literal, NamedTuple, get_args

from sheetcalc.compare import over, round_down, same, settled
from sheetcalc.errors import InputError, NotReadable, at_least, number, whole
from sheetcalc.kinds import COUNT, LENGTH, Angle, Area, Beside, Count, InMetric, Length, Lengths
from sheetcalc.trade.courses import TAKE_UP, Start, course_marks
from sheetcalc.trade.outline import Ring, Side, Span, closed, crossed, enclosed, margins, slabs, walls
from sheetcalc.trade.steps import beside

__all__ = ["course_pieces", "shape_area", "shape_perimeter", "shape_size", "shape_walls"]

MOST_CORNERS = 200  # more come from the wrong range, never from a tape

Part = Literal["rest", "walls", "openings"]
"""Which area of a ceiling with openings."""
_PARTS = get_args(Part)

Across = Annotated[Sequence[float], LENGTH, Beside("along")]
Numbers = Annotated[Sequence[float | None], COUNT, Beside("along", blank=True)]


class Wall(NamedTuple):
    """One wall of the ceiling, from its corner to the next."""

    wall: Count
    length: Length
    angle: Angle


class CoursePiece(NamedTuple):
    """One stretch of one course, before it is cut from boards."""

    ceiling: Count | None
    course: Count
    piece: Count
    start: Length
    length: Length
    short: Length
    width: Length
    narrowest: Length


class _Shape(NamedTuple):
    ceiling: Ring
    openings: dict[float, Ring]


def _shape(
    along: Sequence[float],
    across: Sequence[float],
    openings: Sequence[float | None] | None,
    ceilings: Sequence[float | None] | None,
    ceiling: float | None,
) -> _Shape:
    """Sort the corners by ceiling and opening, and refuse what encloses no ceiling."""
    rows = len(along)
    numbers = {"openings": openings or [None] * rows, "ceilings": ceilings or [None] * rows}
    beside("across", across, "along", along)
    for name, values in numbers.items():
        beside(name, values, "along", along)
    if ceiling is not None:
        whole(ceiling=ceiling)
    rings: dict[float | None, list[tuple[float, float]]] = {}
    for x, y, opening, of in zip(along, across, *numbers.values(), strict=True):
        at_least(0, along=x, across=y)
        for name, value in (("openings", opening), ("ceilings", of)):
            if value is not None:
                whole(**{name: value})
        if ceiling is None or of is None or same(of, ceiling):
            rings.setdefault(opening, []).append((x, y))
    walls_of = rings.pop(None, [])
    if not walls_of:
        raise NotReadable("along", None, "must hold the corners of this ceiling")
    shape = _Shape(
        _ring(walls_of),
        {opening: _ring(corners) for opening, corners in rings.items() if opening is not None},
    )
    if not same(min(y for _, y in shape.ceiling), 0):
        raise InputError(
            "across", min(y for _, y in shape.ceiling), "must be 0 at the starting wall: take this off all"
        )
    for opening, ring in shape.openings.items():
        if same(_left(shape.ceiling, [ring]), enclosed(shape.ceiling)):
            raise InputError("openings", opening, "must lie within the walls: none of it does")
    return shape


def _left(ceiling: Ring, openings: Sequence[Ring]) -> float:
    """Area that openings leave of a ceiling."""
    return fsum(span.area for layer in slabs(ceiling, openings) for span in layer)


def _ring(corners: Sequence[tuple[float, float]]) -> Ring:
    if len(corners) < 2:
        raise InputError("along", corners[0][0], "must hold two corners of a rectangle, or three and more")
    if len(corners) > MOST_CORNERS:
        raise InputError("along", corners[-1][0], f"must hold {MOST_CORNERS} corners at most")
    ring = closed(corners)
    for sides in zip(*corners, strict=True):
        if same(min(sides), max(sides)):
            raise InputError("along", corners[0][0], "must enclose an area: all corners lie in one line")
    where = crossed(ring)
    if where:
        what = "this corner stands twice" if ring.count(where) > 1 else "two of them cross or touch"
        raise InputError("along", where[0], f"must go round the walls in order: {what}")
    if not over(enclosed(ring), 0):
        raise InputError("along", ring[0][0], "must enclose an area")
    return ring


def shape_area(
    along: Lengths,
    across: Across,
    openings: Numbers | None = None,
    ceilings: Numbers | None = None,
    ceiling: Count | None = None,
    part: Part = "rest",
) -> Area:
    r"""Area of a ceiling from its corners, less the openings in it.

    Parameters
    ----------
    along : sequence of float
        For each corner how far along the boards it lies, from the left-most end [in]. Two corners are
        opposite ones of a rectangle.
    across : sequence of float
        How far across the boards it lies, from the starting wall [in].
    openings : sequence of int, optional
        Number of the opening that each corner belongs to, such as a skylight or a chimney [-]; none for the
        walls.
    ceilings : sequence of int, optional
        Number of the ceiling that each corner belongs to [-].
    ceiling : int, optional
        Number of this ceiling [-]: corners of other ceilings are left out.
    part : {"rest", "walls", "openings"}, optional
        What openings leave, all that the walls enclose, or the openings, each by itself and whole.

    Returns
    -------
    float
        Area [ft²].

    Raises
    ------
    InputError
        Walls that cross or touch each other, fewer than two corners or none at the starting wall, a negative
        place, an opening that lies wholly outside the walls.
    NotReadable
        No corner of this ceiling, or a corner with one place only; another word for `part`.

    Notes
    -----
    .. math:: A = \tfrac{1}{2} \left| \sum (x_i y_{i+1} - x_{i+1} y_i) \right|

    for the walls; what openings take is counted once where they overlap, and only inside the walls. The rest
    is more than the walls less the openings where openings overlap or reach beyond the walls.

    References
    ----------
    The shoelace formula of plane geometry (from memory); WWPA, *Natural Wood Siding*: area, less openings.

    Examples
    --------
    >>> shape_area([0, 192, 192, 96, 96, 0], [0, 0, 96, 96, 192, 192])
    192.0
    """
    if part not in _PARTS:
        raise NotReadable("part", part, f"must be {', '.join(_PARTS)}")
    shape = _shape(along, across, openings, ceilings, ceiling)
    rings = [*shape.openings.values()]
    if part == "walls":
        return enclosed(shape.ceiling) / 144
    if part == "openings":
        return fsum(map(enclosed, rings)) / 144
    return _left(shape.ceiling, rings) / 144


def shape_perimeter(
    along: Lengths,
    across: Across,
    openings: Numbers | None = None,
    ceilings: Numbers | None = None,
    ceiling: Count | None = None,
) -> Length:
    """Length of all walls around a ceiling, from its corners; openings are left out.

    Parameters
    ----------
    along, across, openings, ceilings, ceiling
        The corners, as for `shape_area`.

    Returns
    -------
    float
        Length around the ceiling [in].

    Raises
    ------
    InputError, NotReadable
        As for `shape_area`.

    References
    ----------
    Pythagoras.

    Examples
    --------
    >>> shape_perimeter([0, 96, 0], [0, 0, 72])
    288.0
    """
    return fsum(dist(*wall) for wall in walls(_shape(along, across, openings, ceilings, ceiling).ceiling))


def shape_size(
    side: Literal["across", "along"],
    along: Lengths,
    across: Across,
    openings: Numbers | None = None,
    ceilings: Numbers | None = None,
    ceiling: Count | None = None,
) -> Length:
    """Greatest size of a ceiling across or along the boards, from its corners.

    Parameters
    ----------
    side : {"across", "along"}
        Which way.
    along, across, openings, ceilings, ceiling
        The corners, as for `shape_area`.

    Returns
    -------
    float
        From the first corner to the last, that way [in].

    Raises
    ------
    InputError, NotReadable
        As for `shape_area`; another word for `side`.

    References
    ----------
    Plane geometry.

    Examples
    --------
    >>> shape_size("across", [0, 192, 192, 96, 96, 0], [0, 0, 96, 96, 180, 180])
    180
    """
    if side not in ("across", "along"):
        raise NotReadable("side", side, "must be across, along")
    shape = _shape(along, across, openings, ceilings, ceiling)
    places = [point[side == "across"] for point in shape.ceiling]
    return max(places) - min(places)


def shape_walls(
    along: Lengths,
    across: Across,
    openings: Numbers | None = None,
    ceilings: Numbers | None = None,
    ceiling: Count | None = None,
) -> list[Wall]:
    """Length of each wall of a ceiling and its angle to the boards, from its corners; openings are left out.

    Parameters
    ----------
    along, across, openings, ceilings, ceiling
        The corners, as for `shape_area`.

    Returns
    -------
    list of Wall
        Number of the wall, its length [in], its angle to the boards [°]: 0 along them, 90 square to them, in
        the order of the corners, with the inside on the left.

    Raises
    ------
    InputError, NotReadable
        As for `shape_area`.

    Notes
    -----
    Boards that end at a wall at an angle of 60 to them are cut with the saw set 30 off square.

    References
    ----------
    Pythagoras.

    Examples
    --------
    >>> shape_walls([0, 8, 8], [0, 0, 8])  # doctest: +NORMALIZE_WHITESPACE +ELLIPSIS
    [Wall(wall=1, length=8.0, angle=0.0), Wall(wall=2, length=8.0, angle=90.0),
     Wall(wall=3, length=11.313..., angle=45.0)]
    """
    shape = _shape(along, across, openings, ceilings, ceiling)
    return [
        Wall(wall, dist(a, b), degrees(atan2(abs(b[1] - a[1]), abs(b[0] - a[0]))))
        for wall, (a, b) in enumerate(walls(shape.ceiling), 1)
    ]


def course_pieces(
    along: Lengths,
    across: Across,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: Annotated[Length, InMetric(0.5)] = TAKE_UP,
    openings: Numbers | None = None,
    ceilings: Numbers | None = None,
    ceiling: Count | None = None,
    cut_step: Length = 0,
) -> list[CoursePiece]:
    r"""Stretches of every course in a ceiling given by its corners: where each starts and how long it is.

    Parameters
    ----------
    along, across
        The corners, as for `shape_area`.
    face, gap, finish_gap, layout, least, take_up
        How to lay it out, as for `course_count`. The gaps are also left at all other walls and around
        openings, square to them: `gap` where courses or boards start from the wall, `finish_gap` where they
        run to it.
    openings, ceilings, ceiling
        As for `shape_area`.
    cut_step : float, optional
        Lengths come down to a whole number of these [in]; 0 for exact ones.

    Returns
    -------
    list of CoursePiece
        The number of the ceiling as given, the course, the stretch within it from the left, where it starts
        along the boards [in], its length from long point to long point [in], the length between its short
        points [in], its width and its narrowest width, cuts at its ends left out [in].

    Raises
    ------
    InputError, NotReadable
        As for `shape_area` and `course_count`.

    Notes
    -----
    A course that a wall cuts part of the way stays one stretch: a board with a notch, or ripped along a part
    of it. Walls and sides that run within 15° of the boards rip, others end them; only these make a short
    point, and so does a notch at an end. A stretch shorter or narrower than 1e-9 of its unit is no stretch.
    Where the cuts of both ends meet, as in a tip, `narrowest` is the width.

    References
    ----------
    Plane geometry; gaps square to the wall: common practice, no source.

    Examples
    --------
    >>> course_pieces([0, 60, 50, 0], [0, 0, 6, 6], 5, 0.5)  # doctest: +NORMALIZE_WHITESPACE +ELLIPSIS
    [CoursePiece(ceiling=None, course=1, piece=1, start=0.5, length=57.694..., short=49.361..., width=5.0,
                 narrowest=5.0)]
    """
    found: list[CoursePiece] = []
    block = (face, gap, finish_gap, layout, least, take_up)
    stretches = laid(along, across, *block, openings, ceilings, ceiling).stretches
    at_least(0, cut_step=cut_step)
    for piece in (stretch.piece for stretch in stretches):
        length = round_down(piece.length / cut_step) * cut_step if over(cut_step, 0) else piece.length
        if over(length, 0):
            length = settled(length)
            found.append(piece._replace(ceiling=ceiling, length=length, short=min(piece.short, length)))
    return found


class Stretch(NamedTuple):
    """A stretch of a course, and the trapezoids that it covers."""

    piece: CoursePiece
    spans: Sequence[Span]


class Laid(NamedTuple):
    """A ceiling by its corners, its openings, and every stretch of its courses from the starting wall."""

    walls: Ring
    openings: Sequence[Ring]
    stretches: Sequence[Stretch]


def laid(
    along: Sequence[float],
    across: Sequence[float],
    face: float,
    gap: float,
    finish_gap: float | None = None,
    layout: Start = "auto",
    least: float | None = None,
    take_up: float = TAKE_UP,
    openings: Sequence[float | None] | None = None,
    ceilings: Sequence[float | None] | None = None,
    ceiling: float | None = None,
) -> Laid:
    """Lay a ceiling out by its corners; the arguments are those of `course_pieces`."""
    corners = (along, across, openings or (), ceilings or ())
    return _laid(*map(tuple, corners), ceiling, face, gap, finish_gap, layout, least, take_up)


@lru_cache(maxsize=64)  # a takeoff asks for the same ceiling to cut, to draw and to compare it
def _laid(
    along: tuple[float, ...],
    across: tuple[float, ...],
    openings: tuple[float | None, ...],
    ceilings: tuple[float | None, ...],
    ceiling: float | None,
    face: float,
    gap: float,
    finish_gap: float | None,
    layout: Start,
    least: float | None,
    take_up: float,
) -> Laid:
    shape = _shape(along, across, openings, ceilings, ceiling)
    reach = max(y for _, y in shape.ceiling)
    marks = course_marks(reach, face, gap, finish_gap, layout, least, take_up)

    finish = gap if finish_gap is None else number("finish_gap", finish_gap)
    taken = [*margins(shape.ceiling, gap, finish, ends=(0, reach))]
    for ring in shape.openings.values():
        taken += [ring, *margins(ring[::-1], gap, finish)]
    strips = [(mark.far_edge - mark.width, mark.far_edge) for mark in marks]
    layers = [*slabs(shape.ceiling, taken, [edge for strip in strips for edge in strip])]

    found: list[Stretch] = []
    at = 0
    for mark, (low, high) in zip(marks, strips, strict=True):
        mine: list[list[Span]] = []
        while at < len(layers) and not over(layers[at][0].high, high):
            if not over(low, layers[at][0].low):
                mine.append(layers[at])
            at += 1
        here = sorted(
            (Stretch(_piece(spans), spans) for spans in _stretches(mine)), key=lambda each: each.piece.start
        )
        kept = [each for each in here if over(each.piece.length, 0) and over(each.piece.width, 0)]
        found += [
            each._replace(piece=each.piece._replace(course=mark.course, piece=count))
            for count, each in enumerate(kept, 1)
        ]
    return Laid(shape.ceiling, [*shape.openings.values()], found)


def _stretches(layers: Sequence[Sequence[Span]]) -> list[list[Span]]:
    """Put the trapezoids of one course together that lie upon each other."""
    found: list[list[Span]] = []
    for layer in layers:
        for span in layer:
            left, right = span.at(span.low)
            under_it: list[list[Span]] = []
            for stretch in found:
                for other in stretch:
                    other_left, other_right = other.at(span.low)
                    if same(other.high, span.low) and over(min(right, other_right), max(left, other_left)):
                        under_it.append(stretch)
                        break
            for stretch in under_it:
                found.remove(stretch)
            found.append([each for stretch in under_it for each in stretch] + [span])
    return found


def _piece(spans: Sequence[Span]) -> CoursePiece:
    """Measure one stretch of a course."""
    start, short_start, cut_start = _end([(span.low, span.high, span.left) for span in spans], min, max)
    end, short_end, cut_end = _end([(span.low, span.high, span.right) for span in spans], max, min)
    width = max(span.high for span in spans) - min(span.low for span in spans)
    return CoursePiece(
        None,
        0,
        0,
        settled(start),
        end - start,
        max(0.0, settled(short_end - short_start)),
        width,
        _narrowest(spans, cut_start, cut_end) if over(cut_end, cut_start) else width,
    )


def _end(
    sides: Sequence[tuple[float, float, Side]],
    outermost: Callable[[Iterable[float]], float],
    innermost: Callable[[Iterable[float]], float],
) -> tuple[float, float, float]:
    """Where the long point of one end lies, its short point, and where the cut at the long point ends."""
    places = [(side, side.at(y)) for low, high, side in _outer(sides, outermost) for y in (low, high)]
    tip = outermost(x for _, x in places)
    ending = [(side, x) for side, x in places if side.steep]
    at_tip = {side for side, x in ending if same(x, tip)}
    return (
        tip,
        innermost([tip, *(x for _, x in ending)]),
        innermost([tip, *(x for side, x in ending if side in at_tip)]),
    )


def _outer(
    sides: Sequence[tuple[float, float, Side]], outermost: Callable[[Iterable[float]], float]
) -> Iterator[tuple[float, float, Side]]:
    """Yield the outermost side of each layer; those farther in belong to a notch in the edge."""
    for (low, high), layer in groupby(sorted(sides), key=lambda each: each[:2]):
        middle = (low + high) / 2
        by_place = {side.at(middle): side for _, _, side in layer}
        yield low, high, by_place[outermost(by_place)]


def _narrowest(spans: Sequence[Span], start: float, end: float) -> float:
    """Narrowest width of a stretch from `start` to `end` along it."""
    corners = {x for span in spans for y in (span.low, span.high) for x in span.at(y)}
    places = [start, *sorted(x for x in corners if over(x, start) and over(end, x)), end]
    ends: list[float] = []
    for near, far in pairwise(places):
        if over(far, near):  # between two corners the width runs straight: two places tell its ends
            one, two = (
                fsum(_height(span, near + (far - near) * share) for span in spans) for share in (0.25, 0.75)
            )
            ends += [one - (two - one) / 2, two + (two - one) / 2]
    return settled(min(ends))


def _height(span: Span, x: float) -> float:
    """How much of a place along the boards lies within a trapezoid."""
    low, high = span.low, span.high
    for side, inside in ((span.left, 1), (span.right, -1)):
        at_low, at_high = inside * (x - side.at(span.low)), inside * (x - side.at(span.high))
        if at_low < 0 and at_high < 0:
            return 0.0
        if at_low < 0 or at_high < 0:
            crossing = span.low + (span.high - span.low) * at_low / (at_low - at_high)
            low, high = (max(low, crossing), high) if at_low < 0 else (low, min(high, crossing))
    return max(0.0, high - low)
