"""Ceilings by their corners: shapes worked out by hand, the rules in words, and entries that are refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import ceilings as layouts

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.courses import course_marks
from sheetcalc.trade.cutting import cut_length
from sheetcalc.trade.shapes import (
    course_pieces,
    shape_area,
    shape_perimeter,
    shape_size,
    shape_walls,
)

L_ALONG, L_ACROSS = [0, 192, 192, 96, 96, 0], [0, 0, 96, 96, 180, 180]
"""16 ft by 15 ft with a corner of 8 ft by 7 ft left out."""

functions = pytest.mark.parametrize(
    "function",
    [
        shape_area,
        shape_perimeter,
        shape_walls,
        lambda *corners, **more: shape_size("along", *corners, **more),
        lambda *corners, **more: course_pieces(*corners, face=5.125, gap=0.5, **more),
    ],
    ids=["area", "perimeter", "walls", "size", "pieces"],
)


def test_an_l_by_hand():
    assert shape_area(along=L_ALONG, across=L_ACROSS) == (192 * 96 + 96 * 84) / 144
    assert shape_perimeter(along=L_ALONG, across=L_ACROSS) == 2 * (192 + 180)  # as its rectangle
    assert shape_size("across", along=L_ALONG, across=L_ACROSS) == 180
    assert shape_size("along", along=L_ALONG, across=L_ACROSS) == 192
    assert [wall.length for wall in shape_walls(along=L_ALONG, across=L_ACROSS)] == [192, 96, 96, 84, 96, 180]


def test_courses_of_an_l_by_hand():
    # face 5, gap 1/2: 179 / 5 leaves 36 courses, 4 in the last. Course 19 runs from 90.5 to 95.5, course 20
    # lies in the inner arm alone, as the gap at 95.5 leaves nothing of it farther out.
    pieces = course_pieces(along=L_ALONG, across=L_ACROSS, face=5, gap=0.5)
    assert [(piece.course, piece.piece) for piece in pieces] == [(course, 1) for course in range(1, 37)]
    assert {piece.length for piece in pieces[:19]} == {191}
    assert {piece.length for piece in pieces[19:]} == {95}
    assert {piece.start for piece in pieces} == {0.5}
    assert [piece.width for piece in pieces] == [5] * 35 + [4]
    assert all(piece.short == piece.length and piece.narrowest == piece.width for piece in pieces)


def test_a_wall_inside_a_course_leaves_a_notch():
    # Face 8, started full: course 12 runs from 88.5 to 96.5, and the wall at 96 leaves 7 of it farther out.
    piece = course_pieces(along=L_ALONG, across=L_ACROSS, face=8, gap=0.5, layout="full")[11]
    assert piece[1:] == (12, 1, 0.5, 191, 95, 8, 7)


def test_an_end_at_an_angle_has_a_long_and_a_short_point():
    # The far wall runs from (120, 0) to (108, 11): a course 5 wide is 5 * 12 / 11 shorter on its far side.
    along, across = [0, 120, 108, 0], [0, 0, 11, 11]
    first, second = course_pieces(along=along, across=across, face=5, gap=0.5)
    slant = math.hypot(12, 11) / 11  # the gap is square to the wall, the board lies along
    assert first.length == pytest.approx(120 - 0.5 * 12 / 11 - 0.5 * slant - 0.5, rel=1e-12)
    assert first.length - first.short == pytest.approx(5 * 12 / 11, rel=1e-12)
    assert first.length - second.length == pytest.approx(5 * 12 / 11, rel=1e-12)
    assert (first.start, first.width, first.narrowest) == (0.5, 5, 5)
    assert [wall.angle for wall in shape_walls(along=along, across=across)] == [
        0,
        pytest.approx(math.degrees(math.atan2(11, 12))),
        0,
        90,
    ]


def test_a_wall_nearly_along_the_boards_rips_them():
    # 11 at the left, 10 at the right: the last course tapers, and is as long as the others.
    first, last = course_pieces(along=[0, 240, 240, 0], across=[0, 0, 10, 11], face=5, gap=0, layout="full")[
        :2
    ]
    assert (first.length, first.short, first.narrowest) == (240, 240, 5)
    assert (last.length, last.short, last.width, last.narrowest) == (240, 240, 5, 5)
    third = course_pieces(along=[0, 240, 240, 0], across=[0, 0, 10, 11], face=5, gap=0, layout="full")[2]
    assert (third.length, third.short, third.width, third.narrowest) == (240, 240, 1, 0)


def test_an_opening_parts_the_courses_and_keeps_its_gap():
    # A chimney from 60 to 84 along, from 10 to 25 across; face 5, gap 1: courses 2 to 5 lie beside it.
    pieces = course_pieces(
        along=[0, 120, 60, 84],
        across=[0, 62, 10, 25],
        face=5,
        gap=1,
        openings=[None, None, 1, 1],
    )
    by_course = {course: [p[2:5] for p in pieces if p.course == course] for course in range(1, 13)}
    assert by_course[1] == [(1, 1, 118)]
    for course in (3, 4, 5):
        assert by_course[course] == [(1, 1, 58), (2, 85, 34)]
    assert by_course[6] == [(1, 1, 118)]
    second = next(piece for piece in pieces if piece.course == 2)  # from 6 to 11: 3 of it pass the chimney
    assert (second.length, second.short, second.width, second.narrowest) == (118, 118, 5, 3)


def test_openings_count_once_and_only_inside_the_walls():
    corners = {
        "along": [0, 120, 12, 36, 24, 48, 108, 132],
        "across": [0, 96, 12, 36, 12, 36, 0, 24],
        "openings": [None, None, 1, 1, 2, 2, 3, 3],
    }
    assert shape_area(**corners) == pytest.approx((120 * 96 - 36 * 24 - 12 * 24) / 144, rel=1e-12)
    assert shape_area(**corners, part="walls") == 120 * 96 / 144
    assert shape_area(**corners, part="openings") == 3 * 24 * 24 / 144
    with pytest.raises(NotReadable, match="rest, walls, openings"):
        shape_area(**corners, part="holes")


def test_an_opening_outside_the_walls_is_refused():
    corners = {"along": [0, 120, 12, 36, 120, 140], "across": [0, 96, 12, 36, 40, 60]}
    openings = [None, None, 1, 1, 2, 2]  # the second one touches the wall from outside
    for function in (shape_area, shape_perimeter, shape_walls):
        with pytest.raises(InputError, match=r"openings.*2.*within the walls"):
            function(**corners, openings=openings)
    assert shape_area([0, 120, 110, 120], [0, 96, 40, 60], openings=[None, None, 1, 1]) > 0  # from inside


def test_first_gap_where_boards_start_and_finish_gap_where_they_end():
    (piece,) = course_pieces(along=[0, 100], across=[0, 6.5], face=5, gap=1, finish_gap=0.5)
    assert (piece.start, piece.length, piece.width) == (1, 98.5, 5)
    arms = course_pieces(  # a wall across the finish of the near arm keeps the finishing gap
        along=[0, 100, 100, 50, 50, 0],
        across=[0, 0, 9, 9, 14, 14],
        face=12,
        gap=1,
        finish_gap=0.5,
        layout="full",
    )
    assert [(p.length, p.short, p.width, p.narrowest) for p in arms] == [
        (98.5, 48.5, 12, 7.5),
        (48.5, 48.5, 0.5, 0.5),
    ]


def test_corners_of_several_ceilings_in_one_list():
    along, across = [0, 100, 0, 50, 10, 20], [0, 50, 0, 20, 10, 20]
    of = {"openings": [None, None, None, None, 7, 7], "ceilings": [1, 1, 3, 3, 3, 3]}
    assert shape_area(along, across, **of, ceiling=1) == 5000 / 144
    assert shape_area(along, across, **of, ceiling=3) == 900 / 144
    assert {piece.ceiling for piece in course_pieces(along, across, 5, 0.5, **of, ceiling=3)} == {3}
    walls = shape_walls(along, across, **of, ceiling=3)
    assert [(wall.wall, wall.length) for wall in walls] == [(1, 50), (2, 20), (3, 50), (4, 20)]
    with pytest.raises(NotReadable, match="corners of this ceiling"):
        shape_area(along, across, **of, ceiling=2)


def test_lengths_come_down_to_a_step():
    along, across = [0, 120, 108, 0], [0, 0, 11, 11]
    exact = course_pieces(along, across, 5, 0.5)
    cut = course_pieces(along, across, 5, 0.5, cut_step=1 / 16)
    for one, other in zip(exact, cut, strict=True):
        assert 0 <= one.length - other.length < 1 / 16
        assert other.length * 16 == round(other.length * 16)
    assert course_pieces([0, 100], [0, 6], 5, 0.5, cut_step=0.5)[0].length == 99  # a whole step stays


def test_between_short_points_it_is_no_longer_than_between_long_ones():
    square = course_pieces(along=[0, 100.3], across=[0, 6], face=5, gap=0.5, cut_step=0.5)[0]
    assert (square.length, square.short) == (99, 99)
    slanted = course_pieces([0, 60, 50, 0], [0, 0, 6, 6], face=5, gap=0.5, cut_step=12)[0]
    assert (slanted.length, slanted.short) == (48, 48)


@given(layouts(tapers=["last"]), st.integers(24 * 16, 400 * 16).map(lambda steps: steps / 16))
def test_a_rectangle_is_laid_out_as_by_its_readings(layout, along):
    across, _ = layout.pop("across")[0], layout.pop("taper")
    marks = course_marks(across, **layout)
    pieces = course_pieces([0, along], [0, across], **layout)
    assert [piece.course for piece in pieces] == [mark.course for mark in marks if mark.width > 1e-9]
    for piece, mark in zip(pieces, marks, strict=False):
        assert piece.width == pytest.approx(mark.width, abs=1e-9)
        assert piece.length == cut_length(along, layout["gap"], layout["finish_gap"], least_gap=0)
        assert (piece.short, piece.piece, piece.start) == (piece.length, 1, layout["gap"])


@functions
@pytest.mark.parametrize("turn", range(6))
def test_corners_may_start_anywhere_and_go_either_way_round(function, turn):
    along, across = (corners[turn:] + corners[:turn] for corners in (L_ALONG, L_ACROSS))
    expected = function(L_ALONG, L_ACROSS)
    if function is shape_walls:
        expected = expected[turn:] + expected[:turn]
        expected = [wall._replace(wall=number) for number, wall in enumerate(expected, 1)]
    assert function(along, across) == expected
    assert function([*along, along[0]], [*across, across[0]]) == expected  # the first corner said again
    if function is not shape_walls:
        assert function(along[::-1], across[::-1]) == expected


@functions
@pytest.mark.parametrize(
    ("along", "across", "rule"),
    [
        ([0, 100, 0, 100], [0, 0, 50, 50], "cross or touch"),  # a bow tie
        ([0, 100, 100, 50, 0], [0, 0, 50, 0, 50], "cross or touch"),  # a corner on another wall
        ([0, 100, 100, 100, 100, 0], [0, 0, 80, 80, 50, 50], "this corner stands twice"),
        ([0, 100, 50, 100, 0], [0, 0, 0, 50, 50], "cross or touch"),  # back over the wall before
        ([0, 100, 200], [0, 0, 0], "all corners lie in one line"),
        ([0, 100], [0, 0], "all corners lie in one line"),
        ([0, 0], [0, 100], "all corners lie in one line"),
        ([0, 100, 200], [0, 50, 100], "cross or touch"),  # in one line aslant
        ([5], [0], "two corners"),
        ([-1, 100, 100], [0, 0, 50], "0 or more"),
        ([0, 100, 100], [1, 1, 50], "must be 0 at the starting wall"),
        ([*range(201)], [0] * 200 + [9], "200 corners"),
    ],
)
def test_what_encloses_no_ceiling_is_refused(function, along, across, rule):
    with pytest.raises(InputError, match=rule):
        function(along, across)


@functions
def test_lists_fit_each_other(function):
    with pytest.raises(NotReadable, match="as many cells"):
        function(along=[0, 1, 2], across=[0, 1])
    with pytest.raises(NotReadable, match="as many cells"):
        function(along=[0, 100], across=[0, 50], openings=[None])
    with pytest.raises(InputError, match="whole number"):
        function(along=[0, 100], across=[0, 50], ceilings=[1.5, 1])
    with pytest.raises(InputError, match="whole number"):
        function(along=[0, 100], across=[0, 50], ceiling=0.5)
    with pytest.raises(NotReadable, match="corners of this ceiling"):
        function(along=[], across=[])
    with pytest.raises(InputError, match="two corners"):
        function(along=[0, 100, 7], across=[0, 50, 9], openings=[None, None, 1])


def test_other_arguments_are_checked():
    with pytest.raises(NotReadable, match="must be across, along"):
        shape_size("up", [0, 100], [0, 50])
    for wrong in ({"gap": -1}, {"face": 0}, {"finish_gap": -1}, {"cut_step": -1}):
        with pytest.raises(InputError):
            course_pieces(**{"along": [0, 100], "across": [0, 50], "face": 5, "gap": 0.5, **wrong})


def test_a_tip_keeps_its_width_as_its_narrowest():
    last = course_pieces([0, 30, 15], [0, 0, 15], face=5, gap=0)[-1]
    assert last.short == 0
    assert last.narrowest == last.width == 5
    assert last.length == pytest.approx(10)
