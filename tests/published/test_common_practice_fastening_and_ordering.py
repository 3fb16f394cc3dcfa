"""What finish carpenters hold to. Common practice, no source: every fact of this file."""

import math

import pytest

from sheetcalc.trade.backing import bearing_count
from sheetcalc.trade.coating import end_grain_area
from sheetcalc.trade.fastening import face_nail_count, nail_count, nail_length
from sheetcalc.trade.ordering import boards_to_order, chance_short


@pytest.mark.parametrize("function", [nail_count, nail_length])
def test_exterior_boards_are_nailed_with_15_or_16_gauge_never_brads(function):
    """Common practice, no source. No function takes a gauge: the advice stands where nails are worked out."""
    advice = " ".join(function.__doc__.split())
    assert "15 or 16 gauge, never brads (common practice, no source)" in advice


def test_every_cut_end_is_primed():
    """Common practice, no source. 24 courses of one board each: 48 ends, none left out."""
    assert end_grain_area(thickness=0.75, width=5.375, ends=2 * 24) == pytest.approx(48 * 0.75 * 5.375 / 144)


def test_the_holes_of_face_nails_are_filled():
    """Common practice, no source. Three courses are face-nailed: first, last, and the one before the last."""
    holes = face_nail_count(along=183, spacing=16)
    assert holes == 3 * bearing_count(along=183, spacing=16) == 39
    assert holes == nail_count(courses=24, along=183, spacing=16) - nail_count(24, 183, 16, face_courses=0)


def test_half_inch_plywood_behind_the_boards_lets_nails_land_anywhere():
    """Common practice, no source: nails follow their own spacing there, not that of the framing.

    The plywood holds, so it is no layer that a longer nail must make up for, as half an inch of gypsum is.
    """
    over_plywood = nail_length(thickness=0.75, layers=0, angle=90, depth_share=1)
    over_gypsum = nail_length(thickness=0.75, layers=0.5, angle=90, depth_share=1)
    assert (over_plywood, over_gypsum) == (pytest.approx(2.25), pytest.approx(2.75))
    framing = bearing_count(along=183, spacing=24)
    assert nail_count(courses=24, along=183, spacing=12, face_courses=0) == 24 * 17 > 24 * framing


def test_rough_lumber_has_been_culled_at_half_the_pile():
    """Common practice, no source. Twice the boards is then enough only half the time."""
    assert boards_to_order(good_boards=20, cull_rate=0.5) == 51
    for ordered in (40, 50, 51):
        outcomes_short = sum(math.comb(ordered, good) for good in range(20))
        chance = chance_short(ordered=ordered, good_boards=20, cull_rate=0.5)
        assert chance == pytest.approx(outcomes_short / 2**ordered, rel=1e-12)
        assert (chance <= 0.05) == (ordered == 51)
    assert chance_short(ordered=40, good_boards=20, cull_rate=0.5) > 0.4
