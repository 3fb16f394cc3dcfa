"""Coverage of tongue-and-groove boards with the longer tongue.

Source: Western Red Cedar Lumber Association (WRCLA), tongue-and-groove factors 4.0, 2.4 and 1.77 lineal
feet per ft² for 1x4, 1x6 and 1x8. The faces 3, 5 and 6-3/4 in are derived from them. 12/6.75 is 1.778, so the
last factor is cut off, not rounded: agreement 0.01, from below.
"""

import pytest

from sheetcalc.trade.boards import course_pitch, face_width, running_length


@pytest.mark.parametrize(("face", "factor"), [(3, 4.0), (5, 2.4), (6.75, 1.77)])
def test_coverage_factors(face, factor):
    assert 0 <= running_length(area=1, face=face) - factor < 0.01


@pytest.mark.parametrize(("nominal", "face"), [("1x4", 3), ("1x6", 5), ("1x8", 6.75)])
def test_the_longer_tongue_shows_an_eighth_less_than_the_standard_table(nominal, face):
    """Why a measured face beats the table."""
    assert face_width(nominal=nominal) - face == 0.125
    assert course_pitch(run_length=10 * face, boards=10) == face


def test_what_the_table_would_leave_short():
    """160 ft² of 1x6 take 9.4 ft more than the standard table says."""
    short = running_length(area=160, face=5) - running_length(area=160, face=face_width(nominal="1x6"))
    assert short == pytest.approx(384 - 374.634, abs=0.001)
