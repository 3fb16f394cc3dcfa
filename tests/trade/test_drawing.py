"""The picture against what it pictures: the same lengths, areas and places, found from the drawn points."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import ceilings

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.courses import course_count, course_ends, course_marks
from sheetcalc.trade.drawing import FRAME, Fixture, around, drawing_lines, drawn, edge_at
from sheetcalc.trade.readings import ceiling_area

PORCH = {"along": 192, "across": 120, "face": 5.125, "gap": 0.5}
PIECES = {"courses": [1, 1, 2, 3, 3], "starts": [0, 96, 0, 0, 64]}
LIGHTS = {
    "shapes": ["round", "rectangle", "round", "round"],
    "widths": [6, 4, 6, 6],
    "heights": [None, 12, None, None],
    "positions_across": [60, 30, 60, 90],
    "positions_along": [48, 150, None, 10],
    "ceilings": [1, 1, 1, 2],
}


def area(path):
    """Shoelace formula, square feet."""
    return abs(sum(a.x * b.y - b.x * a.y for a, b in pairwise(path))) / 2 / 144


def inches(points, walls_x=192):
    """Points of the frame back in inches, from the known length of the walls."""
    walls = drawing_lines("walls", **PORCH)
    left, low = min(p.x for p in walls), min(p.y for p in walls)
    scale = (max(p.x for p in walls) - left) / walls_x
    return [((p.x - left) / scale, (p.y - low) / scale) for p in points]


def test_walls_out_of_parallel_enclose_the_area_of_the_ceiling():
    readings = {"along": 192, "across": [118, 122]}
    walls = drawn(**readings, face=5.125, gap=0.5).walls
    assert area(walls) == pytest.approx(ceiling_area(readings["across"], readings["along"]), rel=1e-9)


def test_the_end_wall_runs_from_reading_to_reading():
    walls = drawn(along=[190, 193, 192], across=120, face=5.125, gap=0.5).walls
    assert {(p.x, p.y) for p in walls} == {(0, 0), (190, 0), (193, 60), (192, 120), (0, 120)}


@given(ceiling=ceilings(), along=st.integers(40, 600))
def test_courses_lie_one_against_the_other_from_wall_to_wall(ceiling, along):
    try:
        plan = drawn(along=along, **ceiling)
    except InputError:
        return  # a layout "full" that runs out
    marks, ends = course_marks(**ceiling), course_ends(**ceiling)
    assert len(plan.strips) == course_count(**ceiling)
    for strip, other in pairwise(plan.strips):
        assert strip.high == other.low
    for strip, mark in list(zip(plan.strips, marks, strict=True))[1:-1]:
        assert strip.high[0].y == pytest.approx(mark.far_edge)
        assert strip.high[0].y - strip.low[0].y == pytest.approx(ceiling["face"])
    places = [along * at / max(1, len(ends) - 1) for at in range(len(ends))]
    for x, end, reading in zip(places, ends, ceiling["across"], strict=True):
        start, finish = edge_at(plan.start, x), edge_at(plan.finish, x)
        assert finish - start == pytest.approx(reading, abs=1e-6)
        inside = plan.left_end <= x <= along - plan.left_end
        if inside:
            assert edge_at(plan.strips[-1].high, x) == pytest.approx(finish - end.finish_gap, abs=1e-6)


@given(
    ceiling=ceilings(),
    along=st.integers(40, 600),
    what=st.sampled_from(["walls", "courses", "first", "last"]),
)
def test_a_ceiling_fits_the_frame_and_fills_it_one_way(ceiling, along, what):
    try:
        walls = drawing_lines("walls", along=along, **ceiling)
        lines = drawing_lines(what, along=along, **ceiling)
    except InputError:
        return
    assert all(0 < p.x < 1 and 0 < p.y < FRAME for p in walls)
    if lines != [(-1, -1)]:
        assert min(p.y for p in walls) - 1e-6 <= min(p.y for p in lines)
        assert max(p.x for p in lines) <= max(p.x for p in walls) + 1e-6
    wide = max(p.x for p in walls) - min(p.x for p in walls)
    high = max(p.y for p in walls) - min(p.y for p in walls)
    assert wide == pytest.approx(0.96, abs=3e-6) or high == pytest.approx(0.43, abs=3e-6)


def test_every_course_joint_and_every_end_joint_is_on_the_path():
    path = inches(drawing_lines("courses", **PORCH, **PIECES))
    marks = course_marks(across=120, face=5.125, gap=0.5)
    for mark in marks[:-1]:
        for end in (0.5, 191.5):
            assert any(abs(x - end) + abs(y - mark.far_edge) < 0.01 for x, y in path)
    # up from the near edge of the course to its far edge, and back
    for course, x in ((1, 96.5), (3, 64.5)):
        near, far = marks[course - 1].far_edge - marks[course - 1].width, marks[course - 1].far_edge
        steps = [y for at, y in path if abs(at - x) < 0.01]
        assert steps == pytest.approx([near, far, near], abs=0.01)


def test_the_path_never_leaves_the_lines():
    """Every step runs along a course joint, along the ends of the boards, or up an end joint."""
    path = inches(drawing_lines("courses", **PORCH, **PIECES))
    upright = {0.5, 191.5, 96.5, 64.5}
    for (x, y), (to_x, to_y) in pairwise(path):
        along_an_edge = abs(y - to_y) < 0.01
        up_an_end = abs(x - to_x) < 0.01 and min(abs(x - end) for end in upright) < 0.01
        assert along_an_edge or up_an_end


def test_end_joints_are_marked_in_the_middle_of_their_course():
    found = inches(drawing_lines("joints", **PORCH, **PIECES))
    assert [(round(x, 1), round(y, 1)) for x, y in found] == [
        (96.5, round(0.5 + 3.125 / 2, 1)),
        (64.5, round(0.5 + 3.125 + 1.5 * 5.125, 1)),
    ]


def test_ripped_courses_are_outlined_and_full_ones_are_not():
    first = inches(drawing_lines("first", **PORCH))
    assert {(round(x, 1), round(y, 1)) for x, y in first} == {
        (0.5, 0.5),
        (191.5, 0.5),
        (191.5, 3.6),
        (0.5, 3.6),
    }
    assert drawing_lines("first", 192, 119, 5, 0.5, layout="full") == [(-1, -1)]
    assert drawing_lines("last", 192, 51, 5, 0.5) == [(-1, -1)]


def test_a_single_course_is_first_and_last_but_drawn_once():
    assert len(drawing_lines("first", 60, 5, 5.125, 0.5)) > 1
    assert drawing_lines("last", 60, 5, 5.125, 0.5) == [(-1, -1)]


def test_fixtures_of_this_ceiling_that_say_where_they_are():
    every = 2 * len(around(Fixture("round", 6, None, 60, 48)))
    points = inches(drawing_lines("fixtures", **PORCH, **LIGHTS, ceiling=1))
    assert len(points) == every
    light, vent = points[: every // 2], points[every // 2 :]
    assert all((x - 48) ** 2 + (y - 60) ** 2 == pytest.approx(9, abs=0.01) for x, y in light)
    assert {(144, 28), (156, 28), (156, 32), (144, 32)} <= {(round(x, 1), round(y, 1)) for x, y in vent}
    assert len(drawing_lines("fixtures", **PORCH, **LIGHTS)) == every * 3 // 2
    assert drawing_lines("fixtures", **PORCH) == [(-1, -1)]


def test_an_edge_goes_on_level_beyond_its_end():
    strip = drawn(**PORCH).strips[1]
    assert edge_at(strip.low, 500) == strip.low[-1].y


def test_a_fixture_without_a_place_is_not_drawn_by_itself_either():
    with pytest.raises(NotReadable, match="positions_along"):
        around(Fixture("round", 6, None, 60, None))


def test_the_bar_is_as_long_as_it_says():
    xs = [x for x, _ in inches(drawing_lines("bar", **PORCH, bar=36))]
    assert max(xs) - min(xs) == pytest.approx(36, abs=1e-3)


def test_the_last_point_is_repeated():
    walls = drawing_lines("walls", **PORCH)
    assert drawing_lines("walls", **PORCH, points=9) == walls + [walls[-1]] * (9 - len(walls))


@pytest.mark.parametrize(
    ("what", "change", "argument"),
    [
        ("walls", {"along": 1}, "along"),
        ("walls", {"points": 3}, "points"),
        ("walls", {"points": 1e6}, "points"),
        ("bar", {"bar": 0}, "bar"),
        ("bar", {"bar": 400}, "bar"),
        ("joints", {"courses": [25], "starts": [60]}, "courses"),
        ("joints", {"courses": [0], "starts": [60]}, "courses"),
        ("joints", {"courses": [2], "starts": [192]}, "starts"),
        ("joints", {"courses": [2], "starts": [-1]}, "starts"),
        ("fixtures", LIGHTS | {"widths": [6, 0, 6, 6]}, "width"),
    ],
)
def test_outside_its_range(what, change, argument):
    with pytest.raises(InputError) as refused:
        drawing_lines(what, **(PORCH | change))
    assert refused.value.argument == argument


@pytest.mark.parametrize(
    ("what", "change", "argument"),
    [
        ("roof", {}, "what"),
        ("joints", {"courses": [2]}, "starts"),
        ("fixtures", LIGHTS | {"widths": [6]}, "widths"),
        ("fixtures", LIGHTS | {"shapes": ["oval"] * 4}, "shape"),
    ],
)
def test_not_readable(what, change, argument):
    with pytest.raises(NotReadable) as refused:
        drawing_lines(what, **(PORCH | change))
    assert refused.value.argument == argument
