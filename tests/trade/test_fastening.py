"""Nails."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.backing import bearing_count
from sheetcalc.trade.fastening import face_nail_count, nail_count, nail_length

ALONG = st.integers(16, 16 * 720).map(lambda sixteenths: sixteenths / 16)
SPACING = st.sampled_from([8, 12, 16, 19.2, 24])


def test_a_nail_count_by_hand():
    """183/16 is 11.4: 12 spaces, 13 bearings; 24 courses blind, 3 of them through the face too, 5 joints."""
    nails = nail_count(courses=24, along=183, spacing=16, per_bearing=1, face_courses=3, joints=5)
    assert nails == 13 * 24 + 13 * 3 + 10
    assert nail_count(courses=24, along=183, spacing=16, per_bearing=2, face_courses=1) == 2 * 13 * 24 + 13


def test_the_longest_reading_counts():
    assert nail_count(courses=20, along=[190, None, 193], spacing=16) == 14 * 20 + 14 * 3
    assert face_nail_count(along=[190, None, 193], spacing=16) == 42


def test_a_narrow_ceiling_has_no_more_face_nailed_courses_than_courses():
    assert nail_count(courses=2, along=96, spacing=24) == 5 * 2 + 5 * 2
    assert nail_count(courses=0, along=96, spacing=24) == 0


@given(courses=st.integers(3, 60), along=ALONG, spacing=SPACING, face_courses=st.integers(0, 3))
def test_face_nails_are_what_face_nailing_adds(courses: int, along: float, spacing: float, face_courses: int):
    blind = nail_count(courses, along, spacing, face_courses=0)
    both = nail_count(courses, along, spacing, face_courses=face_courses)
    assert both - blind == face_nail_count(along=along, spacing=spacing, face_courses=face_courses)
    assert blind == courses * bearing_count(along=along, spacing=spacing)


def test_a_nail_square_to_the_face_passes_its_share_and_the_layers():
    length = nail_length(thickness=0.75, layers=0.5, penetration=1.25, angle=90, depth_share=1)
    assert length == pytest.approx(2.5)


def test_a_slanting_nail_passes_more():
    straight = nail_length(thickness=0.75, layers=0.25, penetration=1.5, angle=90, depth_share=2 / 3)
    slanting = nail_length(thickness=0.75, layers=0.25, penetration=1.5, angle=30, depth_share=2 / 3)
    assert straight == pytest.approx(2.25)
    assert slanting == pytest.approx(3)  # sin 30° = 1/2
    assert nail_length(0.75) == pytest.approx(0.5 * math.sqrt(2) + 1.5)


VALID = {
    nail_count: {"courses": 24, "along": 183, "spacing": 16},
    face_nail_count: {"along": 183, "spacing": 16},
    nail_length: {"thickness": 0.75},
}


@pytest.mark.parametrize(
    ("function", "argument", "value", "error"),
    [
        (nail_count, "courses", 24.5, InputError),
        (nail_count, "along", 0, InputError),
        (nail_count, "along", [None], NotReadable),
        (nail_count, "spacing", 0, InputError),
        (nail_count, "per_bearing", 1.5, InputError),
        (nail_count, "face_courses", -1, InputError),
        (nail_count, "joints", 0.5, InputError),
        (face_nail_count, "face_courses", 2.5, InputError),
        (nail_length, "thickness", 0, InputError),
        (nail_length, "layers", -1, InputError),
        (nail_length, "penetration", 0, InputError),
        (nail_length, "angle", 0, InputError),
        (nail_length, "angle", 91, InputError),
        (nail_length, "depth_share", 1.5, InputError),
    ],
)
def test_refusals(function, argument: str, value, error):
    with pytest.raises(error) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument
