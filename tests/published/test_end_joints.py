"""Where end joints may fall, by the trade's associations.

National Wood Flooring Association (NWFA), installation guidelines: end joints of neighbouring courses at
least 6 in apart for strip, 8 to 10 in for boards of 3 to 5 in, 10 in for wider ones. A rule for floors; the
default of 24 in keeps all of them. Western Wood Products Association (WWPA), Natural Wood Siding guide: end
joints on framing unless the boards are matched at their ends or the backing is solid. That stair-steps and H
patterns are to be avoided is from memory; the rest of a bearing breaks up both.
"""

import inspect
from itertools import pairwise

import pytest

from sheetcalc.trade.joints import joint_plan

PORCH = {"lengths": [384], "counts": [14], "stock": [96, 144, 192], "prices": [12.4, 19.9, 27.1]}


def joints(**job: object) -> list[list[float]]:
    courses: dict[int, list[float]] = {}
    for course, piece, start, _ in joint_plan(**job):
        courses.setdefault(course, []).extend([start] if piece > 1 else [])
    return list(courses.values())


@pytest.mark.parametrize("stagger", [6, 8, 10, 24])
@pytest.mark.parametrize("bearing", [0, 16])
def test_joints_of_neighbouring_courses_keep_apart(stagger: float, bearing: float):
    found = joints(**PORCH, stagger=stagger, bearing=bearing)
    assert all(found)
    assert min(abs(a - b) for one, other in pairwise(found) for a in one for b in other) >= stagger


def test_the_default_keeps_every_published_stagger():
    assert inspect.signature(joint_plan).parameters["stagger"].default >= 10


@pytest.mark.parametrize(("bearing", "first"), [(16, 0), (16, 10.5), (24, 7.25)])
def test_joints_fall_on_framing(bearing: float, first: float):
    found = joints(**PORCH, bearing=bearing, first_bearing=first, stagger=10)
    assert all(found)
    assert all((joint - first) % bearing == 0 for course in found for joint in course)


def test_no_h_pattern():
    found = joints(**PORCH, bearing=16)
    assert all(found)
    for rest in range(1, 5):
        assert not any(set(one) & set(other) for one, other in zip(found, found[rest:], strict=False))
