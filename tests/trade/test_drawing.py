"""The picture against what it pictures: the same lengths, areas and places, found from the drawn points."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import ceilings

from sheetcalc.errors import EntryError, InputError, NotReadable
from sheetcalc.trade.courses import course_count, course_ends, course_marks
from sheetcalc.trade.drawing import (
    FRAME,
    Fixture,
    around,
    drawing_lines,
    drawn,
    drawn_by_corners,
    within,
)
from sheetcalc.trade.readings import ceiling_area
from sheetcalc.trade.shapes import laid

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
    assert len(plan.boards) == course_count(**ceiling)
    for board, mark in list(zip(plan.boards, marks, strict=True))[1:-1]:
        edges = sorted({round(point.y, 9) for point in board.rings[0]})
        assert edges == pytest.approx([mark.far_edge - mark.width, mark.far_edge])
    places = [along * at / max(1, len(ends) - 1) for at in range(len(ends))]
    for x, end, reading in zip(places, ends, ceiling["across"], strict=True):
        x = min(max(x, 1e-6), along - 1e-6)
        [(start, finish)] = within([plan.walls], x)
        assert finish - start == pytest.approx(reading, abs=1e-5)
        if plan.boards_from <= x < along - plan.boards_from:
            edges = [within(board.rings, x) for board in plan.boards]
            for [(_, high)], [(low, _)] in pairwise(edges):
                assert high == pytest.approx(low)
            assert edges[-1][0][1] == pytest.approx(finish - end.finish_gap, abs=1e-5)


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


def test_a_fixture_without_a_place_is_not_drawn_by_itself_either():
    with pytest.raises(NotReadable, match="positions_along"):
        around(Fixture("round", 6, None, 60, None))


def test_the_bar_is_as_long_as_it_says():
    xs = [x for x, _ in inches(drawing_lines("bar", **PORCH, bar=36))]
    assert max(xs) - min(xs) == pytest.approx(36, abs=1e-3)


def test_the_last_point_is_repeated():
    walls = drawing_lines("walls", **PORCH)
    assert drawing_lines("walls", **PORCH, points=9) == walls + [walls[-1]] * (9 - len(walls))


# --- Ceilings by their corners ---

L_SHAPE = {"corners_x": [0, 192, 192, 96, 96, 0], "corners_y": [0, 0, 50, 50, 120, 120]}
AROUND = {"along": 192, "across": 120, "face": 5, "gap": 0.5}  # courses end at 5.5, 10.5 and on


def room(points, what="walls"):
    """Points of the frame back in inches; the L is 192 wide."""
    walls = drawing_lines("walls", **AROUND, **L_SHAPE)
    left, low = min(p.x for p in walls), min(p.y for p in walls)
    scale = (max(p.x for p in walls) - left) / 192
    return [((p.x - left) / scale, (p.y - low) / scale) for p in points]


def near(points, expected):
    return len(points) == len(expected) and all(
        math.dist(*pair) < 0.02 for pair in zip(points, expected, strict=True)
    )


def test_the_walls_of_an_l_run_from_corner_to_corner():
    corners = [*zip(*L_SHAPE.values(), strict=True)]
    walls = room(drawing_lines("walls", **AROUND, **L_SHAPE))
    assert near(walls, [*corners, corners[0]])


def test_courses_of_an_l_are_cut_by_its_walls():
    plan = drawn_by_corners(laid(*L_SHAPE.values(), face=5, gap=0.5), 5)
    marks = course_marks(across=120, face=5, gap=0.5)
    assert len(plan.boards) == len(marks) == 24
    for board, mark in zip(plan.boards, marks, strict=True):
        near, far = mark.far_edge - mark.width, mark.far_edge
        assert board.ends == pytest.approx((0.5, 191.5 if near < 49.5 else 95.5))
        [(low, high)] = within(board.rings, 150) or [(None, None)]
        assert (low, high) == ((near, min(far, 49.5)) if near < 49.5 else (None, None))
    notched = next(board for board in plan.boards if len(set(board.rings[0])) > 4)
    assert not notched.ripped  # full width in one arm
    assert [board.course for board in plan.boards if board.ripped] == [24]


def test_an_opening_parts_the_courses_and_is_drawn():
    hole = {"holes": [None] * 6 + [1, 1]}
    corners = {"corners_x": [*L_SHAPE["corners_x"], 40, 70]}
    corners |= {"corners_y": [*L_SHAPE["corners_y"], 20, 41]}
    plan = drawn_by_corners(laid(*corners.values(), openings=hole["holes"], face=5, gap=0.5), 5)
    parted = [board for board in plan.boards if board.course in (6, 7)]  # 25.5 to 30.5, and to 35.5
    assert [board.ends for board in parted] == [(0.5, 39.5), (70.5, 191.5)] * 2
    path = room(drawing_lines("courses", **AROUND, **corners, **hole))
    for x, y in ((40, 20), (70, 41), (70.5, 25.5), (39.5, 30.5)):
        assert any(near([(x, y)], [point]) for point in path), (x, y)


def test_a_hole_within_one_board_is_drawn_in_it():
    corners = {"corners_x": [0, 96, 60, 62], "corners_y": [0, 50, 21.5, 22]}
    found = laid(*corners.values(), openings=[None, None, 1, 1], face=5, gap=0.25, layout="full")
    plan = drawn_by_corners(found, 5)
    [holed] = [board for board in plan.boards if len(board.rings) == 2]
    assert holed.course == 5
    assert holed.cuts(61) == [((61, 20.25), (61, 21.25)), ((61, 22.25), (61, 25.25))]
    assert holed.cuts(30) == [((30, 20.25), (30, 25.25))]


def test_end_joints_of_an_l_start_no_stretch():
    hole = {"holes": [None] * 6 + [1, 1]}
    corners = {"corners_x": [*L_SHAPE["corners_x"], 40, 70]}
    corners |= {"corners_y": [*L_SHAPE["corners_y"], 20, 41]}
    pieces = {"courses": [6, 6, 6, 7], "starts": [0.5, 70.5, 150, 0.5]}
    marks = room(drawing_lines("joints", **AROUND, **corners, **hole, **pieces))
    assert near(marks, [(150, 28)])
    with pytest.raises(InputError, match=r"starts is 55, but must lie within the ceiling"):
        drawing_lines("joints", **AROUND, **corners, **hole, courses=[6], starts=[55])


def test_corners_of_another_ceiling_leave_the_rectangle():
    other = L_SHAPE | {"corners_of": [2] * 6}
    assert drawing_lines("walls", **AROUND, **other, ceiling=1) == drawing_lines("walls", **AROUND)
    by_corners = drawing_lines("walls", **AROUND, **L_SHAPE)
    assert drawing_lines("walls", **AROUND, **other, ceiling=2) == by_corners
    assert drawing_lines("walls", **AROUND, **L_SHAPE, ceiling=1) == by_corners


def test_a_rectangle_is_drawn_alike_by_readings_and_by_corners():
    corners = {"corners_x": [0, 192], "corners_y": [0, 120]}
    joints = {"courses": [1, 1, 2], "starts": [0.5, 60, 0.5]}
    from_boards = joints | {"starts": [start - 0.5 for start in joints["starts"]]}
    for what in ("walls", "courses", "first", "last", "joints", "bar"):
        by_readings = drawing_lines(what, **AROUND, **from_boards)
        assert set(drawing_lines(what, **AROUND, **corners, **joints)) == set(by_readings)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"corners_y": [0, 5, 50, 50, 120]}, "corners_y"),
        ({"corners_y": [-1, 0, 50, 50, 120, 120]}, "corners_y"),
        ({"holes": [1] * 6}, "corners_x"),
        ({"corners_of": [1]}, "corners_of"),
    ],
)
def test_wrong_corners_are_named_as_they_were_given(change, argument):
    with pytest.raises(EntryError) as refused:
        drawing_lines("walls", **AROUND, **(L_SHAPE | change))
    assert refused.value.argument == argument


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
