"""California Redwood Association, "How long do siding nails have to be?" (calredwood.org, questions).

1-1/2 in into solid wood sheathing and framing together; rigid foam holds nothing, so it adds to the nail.
Face nails, square to the board.
"""

import pytest

from sheetcalc.trade.fastening import nail_length


def test_half_inch_siding_over_half_inch_plywood_takes_a_6d_nail():
    assert nail_length(thickness=0.5, layers=0, angle=90, depth_share=1) == pytest.approx(2)


def test_tongue_and_groove_over_an_inch_of_foam_takes_a_12d_nail():
    """1x8 tongue-and-groove, 3/4 in thick, over 1 in of foam and 1/2 in of plywood: 3-1/4 in."""
    assert nail_length(thickness=0.75, layers=1, angle=90, depth_share=1) == pytest.approx(3.25)
