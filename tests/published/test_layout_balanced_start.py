"""Balanced start, against the rule of published how-tos: equal edges, each more than half a piece.

Flooring: the span less the end gaps, divided by the face; the remainder is added to one face, and the sum
halved. Ceilings: "Suspended Ceilings: Planning Your Ceiling", DoItYourself.com, has the same rule for border
tiles, made equal and more than half a tile: the remainder of wall by tile, plus one tile. That this is halved
for two equal borders is derived. Agreement: exact.
"""

import pytest
from hypothesis import given
from strategies import faces, gaps, lengths

from sheetcalc.compare import same
from sheetcalc.trade.courses import course_count, course_ends, course_marks, course_note, rip_width

PORCH = {"across": 120, "face": 5.125, "gap": 0.5}  # usable 119


def test_worked_porch_of_120_in():
    # 119 / 5.125 is 23 and 1.125 over; (5.125 + 1.125) / 2 = 3.125, and 22 full courses between
    assert course_ends(layout="balanced", **PORCH) == [(3.125, 3.125, 0.5)]
    assert [mark.width for mark in course_marks(layout="balanced", **PORCH)] == [3.125] + [5.125] * 22 + [
        3.125
    ]
    assert course_note(layout="balanced", **PORCH) == "balanced 3 1/8"


def test_worked_porch_of_120_in_starting_full():
    assert course_ends(layout="full", **PORCH) == [(5.125, 1.125, 0.5)]
    assert course_count(layout="full", **PORCH) == 24


def test_nothing_left_over_is_full_boards():
    assert course_ends(across=23 * 5.125 + 1, face=5.125, gap=0.5, layout="balanced") == [(5.125, 5.125, 0.5)]


def test_less_than_one_face_is_one_course():
    assert course_ends(across=5.125, face=5.125, gap=0.5, layout="balanced") == [(4.125, 4.125, 0.5)]


@pytest.mark.parametrize("edge", ["first", "last"])
@given(face=faces, across=lengths(24, 600), gap=gaps)
def test_remainder_added_to_one_face_and_halved(edge, face, across, gap):
    whole_faces, remainder = divmod(across - 2 * gap, face)
    width = rip_width(edge=edge, across=across, face=face, gap=gap, layout="balanced", take_up=0)
    if remainder and whole_faces:
        assert same(width, (face + remainder) / 2)
        assert width > face / 2
    else:
        assert same(width, remainder or face)
