"""WWPA (Western Wood Products Association), Natural Wood Siding guide, page 9: nail penetration and spacing.

1-1/2 in into studs, blocking or these and wood sheathing together; 1-1/4 in with ring-shank nails. Horizontal
siding to studs at 24 in on centre over solid wood sheathing, 16 in without. These are wall rules.
"""

import inspect

import pytest

from sheetcalc.trade.fastening import nail_count, nail_length


def test_penetration():
    assert inspect.signature(nail_length).parameters["penetration"].default == 1.5
    face_nail = {"thickness": 0.75, "layers": 0, "angle": 90, "depth_share": 1}
    assert nail_length(**face_nail) == pytest.approx(2.25)
    assert nail_length(**face_nail, penetration=1.25) == pytest.approx(2.0)  # ring shank


def test_spacing_over_sheathing_saves_a_third_of_the_blind_nails():
    without = nail_count(courses=24, along=192, spacing=16, face_courses=0)
    over_sheathing = nail_count(courses=24, along=192, spacing=24, face_courses=0)
    assert (without, over_sheathing) == (24 * 13, 24 * 9)
