"""What porch carpenters do. Common practice, no source, throughout."""

import pytest
from hypothesis import given
from strategies import gaps, lengths

from sheetcalc.trade.courses import course_count, course_ends, course_note, courses_crossed, visible_width
from sheetcalc.trade.cutting import cut_length, smallest_gap, widest_gap

FACES = [3.125, 5.125, 6.875, 8.875, 10.875]  # of 1x4 to 1x12


def test_boards_are_cut_to_leave_three_quarters_at_each_end():
    assert cut_length(along=183.5, gap=0.75) == 182


def test_twelve_courses_of_1x6_cover_61_and_a_half():
    assert course_count(across=61.5, face=5.125, gap=0) == 12
    assert course_note(across=61.5, face=5.125, gap=0) == "full boards"


@pytest.mark.parametrize("face", FACES)
def test_a_strip_of_about_an_inch_at_the_last_wall_is_a_layout_error(face):
    for strip in (0.875, 1, 1.125):
        ceiling = {"across": 12 * face + strip + 1, "face": face, "gap": 0.5}
        assert course_ends(layout="full", **ceiling) == [(face, pytest.approx(strip), 0.5)]
        assert "warning" in course_note(layout="full", **ceiling)
        first, last, _ = course_ends(**ceiling)[0]
        assert first == last == pytest.approx((face + strip) / 2)
        assert "warning" not in course_note(**ceiling)


@pytest.mark.parametrize("face", FACES)
@given(across=lengths(60, 600), gap=gaps)
def test_both_walls_get_a_proper_board(face, across, gap):
    first, last, _ = course_ends(across=across, face=face, gap=gap)[0]
    assert min(first, last) >= face / 2 - 1e-9


def test_the_end_gap_may_wander_because_trim_covers_it():
    along, trim_cover = [183.5, 183.25, 183.75, 184], 1.5
    length = cut_length(along=along, gap=0.75)
    assert length == 182.125  # one length, though the far wall runs out of true
    assert smallest_gap(along=along, cut_length=length, gap=0.75) == 0.375
    assert widest_gap(along=along, cut_length=length, gap=0.75) == 1.125 < trim_cover


def test_the_finishing_gap_may_wander_because_trim_covers_it():
    ends = course_ends(across=[100, 100.25, 100.5], face=5.125, gap=0.5, taper="gap")
    assert {(end.first, end.last) for end in ends} == {(ends[0].first, ends[0].last)}  # no tapered rip
    assert [end.finish_gap for end in ends] == [0.5, 0.75, 1]
    assert all(visible_width(width=end.last, gap=end.finish_gap, trim_cover=1.5) < end.last for end in ends)


def test_a_light_is_placed_by_the_courses_that_it_cuts():
    # courses of 5.125 from 0.5 on: the sixth ends at 31.25
    porch = {"across": 62.5, "face": 5.125, "gap": 0.5}
    assert courses_crossed(position=31.25, size=4, **porch) == "6-7"
    assert courses_crossed(position=28.6875, size=4, **porch) == "6"
