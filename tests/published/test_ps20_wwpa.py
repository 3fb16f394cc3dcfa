"""Softwood sizes, board measure and coverage.

Sources: Voluntary Product Standard PS 20-20, American Softwood Lumber Standard (NIST, 2020, revised 2021);
Western Wood Products Association (WWPA), Natural Wood Siding, Table 4 "Coverage Estimator", row T&G, and the
procedure beside it. The factors are printed to two decimals: agreement 0.005.
"""

import pytest

from sheetcalc.trade.boards import (
    board_coverage,
    board_feet,
    board_price,
    board_thickness,
    face_width,
    overall_width,
    running_length,
)

FOOT = 12

# nominal: overall, face, lineal feet per ft², board feet per ft²
TABLE_4 = {
    "1x4": (3 + 3 / 8, 3 + 1 / 8, 3.84, 1.28),
    "1x6": (5 + 3 / 8, 5 + 1 / 8, 2.34, 1.17),
    "1x8": (7 + 1 / 8, 6 + 7 / 8, 1.75, 1.16),
    "1x10": (9 + 1 / 8, 8 + 7 / 8, 1.35, 1.13),
}
FROM_MEMORY = {"1x12": (11 + 1 / 8, 10 + 7 / 8, 1.10, 1.10)}  # sizes from memory, factors derived from them


@pytest.mark.parametrize(("nominal", "row"), (TABLE_4 | FROM_MEMORY).items())
def test_table_4(nominal, row):
    overall, face, running, measure = row
    assert overall_width(nominal=nominal) == overall
    assert face_width(nominal=nominal) == face
    feet = running_length(area=1, face=face_width(nominal=nominal))
    assert feet == pytest.approx(running, abs=0.005)
    assert board_feet(nominal=nominal, length=feet * FOOT) == pytest.approx(measure, abs=0.005)


@pytest.mark.parametrize("nominal", TABLE_4)
def test_the_tongue_is_a_quarter_inch(nominal):
    assert overall_width(nominal=nominal) - face_width(nominal=nominal) == 0.25


@pytest.mark.parametrize("nominal", TABLE_4 | FROM_MEMORY)
def test_one_inch_nominal_is_three_quarters_dressed(nominal):
    """PS 20, matched boards, dry: from memory."""
    assert board_thickness(nominal=nominal) == 0.75


def test_the_procedure_worked_for_10_by_16_feet():
    """Area, plus 10 % for trim and waste, then the factor: 160 → 176 ft²; 411.84 lf and 205.92 bd ft by the
    printed factors 2.34 and 1.17; unrounded 412.10 and 206.05.
    """
    face = face_width(nominal="1x6")
    feet = running_length(area=10 * 16, face=face, waste=0.1)
    assert feet == pytest.approx(412.10, abs=0.005)
    assert feet == pytest.approx(176 * 2.34, rel=0.005 / 2.34)  # the factor's own rounding
    measure = board_feet(nominal="1x6", length=feet * FOOT)
    assert measure == pytest.approx(206.05, abs=0.005)
    assert measure == pytest.approx(176 * 1.17, rel=0.005 / 1.17)
    assert board_coverage(face=face, length=feet * FOOT) == pytest.approx(176)


def test_a_board_foot_is_144_cubic_inches_nominal():
    assert board_feet(nominal="1x12", length=FOOT) == 1


def test_a_2x8_of_12_feet_is_16_board_feet():
    assert board_feet(nominal="2x8", length=12 * FOOT) == 16


def test_stock_under_an_inch_counts_as_an_inch():
    """Softwood board measure: from memory."""
    assert board_feet(nominal="3/4x6", length=10 * FOOT) == board_feet(nominal="1x6", length=10 * FOOT) == 5


def test_a_price_by_board_measure_and_by_the_foot_agree():
    """A 1x6 is half a board foot per running foot."""
    by_measure = board_price(price=3.1, per="board foot", nominal="1x6", length=16 * FOOT)
    assert by_measure == pytest.approx(board_price(price=1.55, per="foot", nominal="1x6", length=16 * FOOT))
