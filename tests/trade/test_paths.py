"""One path over many lines: it covers them all and leaves them only where it must."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiLineString, unary_union

from sheetcalc.trade.paths import one_path


def square(x, y, side):
    return [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)]


def hops(path, *lines):
    """Steps of a path that lie on no line."""
    on = MultiLineString(lines).buffer(1e-3)
    return [step for step in pairwise(path) if not LineString(step).within(on)]


squares = st.builds(square, st.integers(0, 9), st.integers(0, 9), st.integers(1, 5))


@given(st.lists(squares, min_size=1, max_size=6))
def test_every_line_is_drawn_and_one_hop_is_the_most_for_each(lines):
    path = one_path(lines)
    assert MultiLineString(lines).difference(LineString(path).buffer(1e-3)).is_empty
    off = unary_union(LineString(path)).difference(MultiLineString(lines).buffer(1e-3))
    assert len(getattr(off, "geoms", [off])) * (not off.is_empty) < len(lines)


def test_lines_that_meet_in_the_middle_of_a_side_need_no_hop():
    wall = [(0, 0), (9, 0)]
    assert (
        hops(one_path([wall, [(4, 5), (4, 0)], [(7, 0), (7, 3)]]), wall, [(4, 5), (4, 0)], [(7, 0), (7, 3)])
        == []
    )


def test_lines_apart_are_joined_where_they_are_nearest():
    one, other = square(0, 0, 4), square(5, 6, 3)
    assert {frozenset(step) for step in hops(one_path([one, other]), one, other)} == {
        frozenset([(4, 4), (5, 6)])
    }


def test_a_hop_starts_from_any_line_that_is_joined():
    lines = [(0, 0), (2, 1)], [(5, 1), (7, 3)], [(11, 4), (13, 4)]
    assert {frozenset(step) for step in hops(one_path(lines), *lines)} == {
        frozenset([(2, 1), (5, 1)]),
        frozenset([(7, 3), (11, 4)]),
    }


def test_it_runs_along_other_lines_on_its_way():
    one, other, wall = square(0, 0, 4), square(20, 0, 4), [(-1, -2), (25, -2)]
    path = one_path([one, other], over=[wall])
    assert {frozenset(step) for step in hops(path, one, other, wall)} == {
        frozenset([(0, 0), (-1, -2)]),
        frozenset([(24, 0), (25, -2)]),
    }


def test_what_may_be_run_along_is_not_drawn_for_its_own_sake():
    assert all(y >= 0 for _, y in one_path([square(0, 0, 4)], over=[[(0, -1), (24, -1)]]))


def test_straight_runs_have_no_points_between():
    path = one_path([square(0, 0, 4)], over=[[(2, 0), (2, 9)]])
    assert len(path) == 5
    assert one_path([]) == []


def test_a_spur_is_gone_up_and_down_once():
    line, spur = [(0, 0), (9, 0), (9, 4)], [(3, 0), (3, 2)]
    path = one_path([line, [(0, 0), (0, 4)]], spurs=[spur])
    assert path.count((3, 2)) == 1
    at = path.index((3, 2))
    assert path[at - 1] == path[at + 1] == (3, 0)


@pytest.mark.parametrize("dust", [0, 1e-13, -1e-13])
def test_dust_parts_no_lines(dust):
    one, other = [(0, 0), (1 / 3, 1 / 3)], [(1 / 3 + dust, 1 / 3), (5, 1 / 3)]
    assert len(one_path([one, other])) == 3
