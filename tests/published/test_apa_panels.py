"""APA, The Engineered Wood Association: panels of 48 x 96 in (1220 x 2440 mm), spaced 1/8 in all round."""

import inspect
from typing import get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.kinds import InMetric
from sheetcalc.trade.backing import sheet_count

SPACE = 1 / 8
FEET = st.integers(4, 40)


def test_sheet_size_in_both_systems():
    parameters = inspect.signature(sheet_count).parameters
    hints = get_type_hints(sheet_count, include_extras=True)
    for name, inches, millimetres in (("sheet_width", 48, 1220), ("sheet_length", 96, 2440)):
        assert parameters[name].default == inches
        assert InMetric(millimetres) in hints[name].__metadata__


@pytest.mark.parametrize(
    ("across", "along", "sheets"), [(4, 8, 1), (8, 16, 4), (12, 16, 6), (10, 16, 6), (10, 32, 12)]
)
def test_porches_measured_in_whole_sheets_and_half_ones(across: int, along: int, sheets: int):
    assert sheet_count(across=across * 12, along=along * 12) == sheets


@given(across=FEET, along=FEET)
def test_the_space_between_panels_never_asks_for_more_of_them(across: int, along: int):
    spaced = sheet_count(across * 12, along * 12, sheet_width=48 + SPACE, sheet_length=96 + SPACE)
    assert spaced <= sheet_count(across * 12, along * 12)
