"""Areas and stretches of ceilings drawn by corners, against plane geometry and shapely.

Shoelace formula, Pythagoras, Thales' intercept theorem and the regular hexagon: school geometry, from memory.
shapely (GEOS) cuts the same shapes its own way: walls moved in with mitred corners, strips cut out as boxes.
Agreement 1e-9 for areas, 1e-6 in for places, where its moved walls round differently.
"""

import math
from functools import reduce

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon, box, union_all
from strategies import lengths

from sheetcalc.trade.courses import course_marks
from sheetcalc.trade.drawing import drawn_by_corners
from sheetcalc.trade.shapes import course_pieces, laid, shape_area, shape_perimeter, shape_size, shape_walls

FACES = st.sampled_from([3.125, 5, 5.125, 6.875])


def test_shoelace_of_a_quadrilateral():
    # (3,4) (5,11) (12,8) (9,5) (5,6) encloses 30, an example that textbooks repeat (from memory); moved down
    along, across = [3, 5, 12, 9, 5], [0, 7, 4, 1, 2]
    assert shape_area(along, across) * 144 == pytest.approx(30, rel=1e-12)


def test_triangle_3_4_5():
    assert shape_area([0, 48, 0], [0, 0, 36]) == pytest.approx(6, rel=1e-12)
    assert shape_perimeter([0, 48, 0], [0, 0, 36]) == pytest.approx(144, rel=1e-12)


def test_regular_hexagon():
    side = 60.0
    along = [side / 2, side * 1.5, side * 2, side * 1.5, side / 2, 0]
    high = side * math.sqrt(3)
    across = [0, 0, high / 2, high, high, high / 2]
    assert shape_area(along, across) == pytest.approx(1.5 * math.sqrt(3) * side**2 / 144, rel=1e-12)
    assert shape_perimeter(along, across) == pytest.approx(6 * side, rel=1e-12)
    assert [wall.angle for wall in shape_walls(along, across)] == pytest.approx([0, 60, 60, 0, 60, 60])


@given(lengths(60, 200), lengths(20, 200), FACES)
def test_intercepts_in_a_triangle(base, height, face):
    # Lines along the base cut a triangle in the ratio of their distance from the tip.
    pieces = course_pieces([0, base, base / 3], [0, 0, height], face, gap=0, layout="full", take_up=0)
    for piece in pieces:
        near = face * (piece.course - 1)
        assert piece.length == pytest.approx(base * (height - near) / height, abs=1e-8)


def star(corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Corners at growing angles around a middle, moved so that the lowest is 0 both ways."""
    points = [(reach * math.cos(turn), reach * math.sin(turn)) for turn, reach in corners]
    x, y = min(point[0] for point in points), min(point[1] for point in points)
    return [(point[0] - x, point[1] - y) for point in points]


@st.composite
def shapes(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Draw simple shapes with angled walls, 3 to 10 corners, some jutting in, none sharper than 25°."""
    count = draw(st.integers(3, 10))
    turns = [math.tau * (at + draw(lengths(0, 0.6))) / count for at in range(count)]
    points = star([(turn, draw(lengths(40, 160))) for turn in turns])
    for at, point in enumerate(points):
        before, after = points[at - 1], points[(at + 1) % count]
        one, two = math.dist(point, before), math.dist(point, after)
        inner = sum((before[k] - point[k]) * (after[k] - point[k]) for k in (0, 1)) / (one * two)
        assume(inner < math.cos(math.radians(25)))
    assume(Polygon(points).is_valid)
    return points


@st.composite
def steps(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Draw shapes with square corners: a stair on the far side, as an L, a T or a U has."""
    widths = draw(st.lists(lengths(12, 80), min_size=2, max_size=5))
    heights = draw(st.lists(lengths(20, 150), min_size=len(widths), max_size=len(widths), unique=True))
    points, x = [(0.0, 0.0)], sum(widths)
    points.append((x, 0.0))
    for width, height in zip(widths, heights, strict=True):
        points += [(x, height), (x - width, height)]
        x -= width
    return points


rooms = shapes() | steps()
THREAD = 1e-4  # what is no wider counts as nothing, here and there


def seen(shape):
    """Bounds of the parts that are more than a thread."""
    bounds = [part.bounds for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
    return [(x, y, far_x, far_y) for x, y, far_x, far_y in bounds if min(far_x - x, far_y - y) > THREAD]


def covered(rings):
    """What lies within an odd number of rings."""
    return reduce(lambda one, other: one.symmetric_difference(other), map(Polygon, rings), Polygon())


@given(rooms)
def test_area_and_sizes_as_shapely(points):
    along, across = map(list, zip(*points, strict=True))
    room = Polygon(points)
    assert shape_area(along, across) * 144 == pytest.approx(room.area, rel=1e-9)
    assert shape_perimeter(along, across) == pytest.approx(room.length, rel=1e-9)
    left, low, right, high = room.bounds
    assert shape_size("along", along, across) == right - left
    assert shape_size("across", along, across) == high - low


@given(rooms, st.lists(st.tuples(*[lengths(0, 120)] * 2, *[lengths(2, 40)] * 2), min_size=1, max_size=3))
def test_areas_with_openings_as_shapely(points, holes):
    room = Polygon(points)
    boxes = [box(x, y, x + wide, y + deep) for x, y, wide, deep in holes]
    assume(all(room.intersection(hole).area > THREAD for hole in boxes))  # else it is refused
    corners = [(x, y, None) for x, y in points]
    for number, (x, y, wide, deep) in enumerate(holes, 1):
        corners += [(x, y, number), (x + wide, y + deep, number)]
    along, across, openings = map(list, zip(*corners, strict=True))
    rest, walls, alone = (
        144 * shape_area(along, across, openings, part=part) for part in ("rest", "walls", "openings")
    )
    assert walls == pytest.approx(room.area, rel=1e-9)
    assert alone == pytest.approx(sum(hole.area for hole in boxes), rel=1e-9)
    assert rest == pytest.approx(room.difference(union_all(boxes)).area, rel=1e-9, abs=1e-6)


@settings(max_examples=150, deadline=None)
@given(
    rooms,
    FACES,
    lengths(0, 1),
    st.lists(st.tuples(*[lengths(5, 120)] * 2, *[lengths(2, 40)] * 2), max_size=2),
)
def test_pieces_as_shapely(points, face, gap, holes):
    assume(max(y for _, y in points) > 2 * gap + 1)
    room = Polygon(points)
    corners = [(x, y, None) for x, y in points]
    left = room.buffer(-gap, join_style="mitre", mitre_limit=5)
    for number, (x, y, wide, deep) in enumerate(holes, 1):
        assume(room.intersection(box(x, y, x + wide, y + deep)).area > THREAD)  # else it is refused
        corners += [(x, y, number), (x + wide, y + deep, number)]
        left = left.difference(box(x - gap, y - gap, x + wide + gap, y + deep + gap))
    along, across, openings = map(list, zip(*corners, strict=True))
    pieces = course_pieces(along, across, face, gap, take_up=0, openings=openings)
    plan = drawn_by_corners(laid(along, across, face, gap, take_up=0, openings=openings), face)

    reach = max(y for _, y in points)
    for mark in course_marks(reach, face, gap, take_up=0):
        strip = left.intersection(box(-1, mark.far_edge - mark.width, 2000, mark.far_edge))
        expected = sorted(seen(strip))
        mine = [p for p in pieces if p.course == mark.course and min(p.length, p.width) > THREAD]
        if len(mine) != len(expected):  # parts that hang together by a thread, or a thread of them
            wide = strip.buffer(-1e-5, join_style="mitre")
            assume(len(seen(wide)) == len(expected))
        assert len(mine) == len(expected)
        drawn = [ring for board in plan.boards if board.course == mark.course for ring in board.rings]
        assert covered(drawn).symmetric_difference(strip).area < THREAD
        for piece, (x, y, far_x, far_y) in zip(mine, expected, strict=True):
            assert piece.start == pytest.approx(x, abs=1e-6)
            assert piece.length == pytest.approx(far_x - x, abs=1e-6)
            assert piece.width == pytest.approx(far_y - y, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(rooms, FACES)
def test_short_points_and_narrowest_lie_within(points, face):
    along, across = map(list, zip(*points, strict=True))
    for piece in course_pieces(along, across, face, 0.5):
        assert 0 <= piece.short <= piece.length + 1e-9
        assert 0 <= piece.narrowest <= piece.width + 1e-9
