"""WRCLA (Western Red Cedar Lumber Association) siding guide: blind nailing and cut ends.

Tongue-and-groove to 6 in wide: one nail per bearing, through the base of the tongue. Wider: two face nails.
Every field cut is coated; end grain takes liquid up to 250 times faster than the other faces.
"""

import pytest

from sheetcalc.trade.coating import board_surface, cut_edge_area, end_grain_area
from sheetcalc.trade.fastening import nail_count


def test_nails_per_bearing_by_width():
    narrow = nail_count(courses=24, along=176, spacing=16, per_bearing=1, face_courses=0)
    wide = nail_count(courses=15, along=176, spacing=16, per_bearing=2, face_courses=0)
    assert narrow == 24 * 12
    assert wide == 15 * 12 * 2


def test_every_field_cut_is_coated():
    """A 1x6 that is cut to length and ripped: the end and the edge are the surface the cuts laid open."""
    whole = board_surface(thickness=0.75, width=5.375, length=192)
    shorter = board_surface(thickness=0.75, width=5.375, length=183)
    off_cut = board_surface(thickness=0.75, width=5.375, length=9)
    assert shorter + off_cut - whole == pytest.approx(end_grain_area(thickness=0.75, width=5.375, ends=2))
    ripped = board_surface(thickness=0.75, width=3.125, length=192)
    waste = board_surface(thickness=0.75, width=2.25, length=192)
    assert ripped + waste - whole == pytest.approx(cut_edge_area(thickness=0.75, length=192, count=2))
