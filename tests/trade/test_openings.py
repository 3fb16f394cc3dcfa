"""Openings."""

import math

import pytest

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.openings import opening_area


def test_a_rectangle_is_width_times_height():
    assert opening_area(shape="rectangle", width=22, height=30) == pytest.approx(660 / 144)


def test_a_round_opening_is_measured_by_its_diameter():
    assert opening_area(shape="round", width=12) == pytest.approx(math.pi / 4)


def test_a_round_opening_may_repeat_its_diameter_but_nothing_else():
    assert opening_area("round", 6.5, 6.5) == opening_area("round", 6.5)
    with pytest.raises(InputError) as refused:
        opening_area("round", 6.5, 7)
    assert (refused.value.argument, refused.value.value) == ("height", 7)


@pytest.mark.parametrize(
    ("arguments", "error", "argument"),
    [
        (("oval", 6, 7), NotReadable, "shape"),
        (("rectangle", 6), NotReadable, "height"),
        (("rectangle", 6, 0), InputError, "height"),
        (("rectangle", 0, 6), InputError, "width"),
        (("round", -6), InputError, "width"),
    ],
)
def test_refusals(arguments, error, argument: str):
    with pytest.raises(error) as refused:
        opening_area(*arguments)
    assert refused.value.argument == argument
