"""Conversions at the door. The factors in use are checked against exact definitions."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc import kinds
from sheetcalc.cells.units import from_us, inches, into_us, unit
from sheetcalc.kinds import AREA, COUNT, LENGTH, TEMPERATURE, Kind
from sheetcalc.trade.lengths import parse_length

DIMENSIONED = [kind for kind in vars(kinds).values() if isinstance(kind, Kind) and kind.units]
every_kind = pytest.mark.parametrize("kind", DIMENSIONED, ids=lambda kind: kind.name)

FOOT, POUND = Fraction(3048, 10000), Fraction(45359237, 100000000)  # in metres and kilograms, by definition
GALLON = 231 * Fraction(254, 10000) ** 3 * 1000  # litres: 231 cubic inches


@pytest.mark.parametrize(
    ("kind", "metric_of_one"),
    [
        (kinds.LENGTH, Fraction(254, 10)),
        (kinds.RUN, FOOT),
        (kinds.AREA, FOOT**2),
        (kinds.VOLUME, GALLON),
        (kinds.TUBE, GALLON * 1000 / 128),
        (kinds.FILM, Fraction(254, 10)),
        (kinds.SPREAD, FOOT**2 / GALLON),
        (kinds.DENSITY, POUND / FOOT**3),
        (kinds.WEIGHT, POUND),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_factors_follow_from_the_definitions(kind: Kind, metric_of_one: Fraction):
    # NIST Handbook 44, Appendix C: the inch, pound and gallon by definition (from memory).
    assert from_us(kind, "metric")(1.0) == float(f"{float(metric_of_one):.12e}")
    assert into_us(kind, "metric")(1.0) == pytest.approx(float(1 / metric_of_one), rel=1e-15)


def test_every_dimensioned_kind_is_checked_above():
    assert len(DIMENSIONED) == 9 + 1  # and temperature, below


def test_temperatures_have_no_dust():
    assert into_us(TEMPERATURE, "metric")(20) == 68
    assert into_us(TEMPERATURE, "metric")(-40) == -40
    assert from_us(TEMPERATURE, "metric")(68.0) == 20
    assert from_us(TEMPERATURE, "metric")(32.0) == 0


@every_kind
@given(tenths=st.integers(-50_000, 50_000))
def test_what_a_person_types_comes_back_unchanged(kind: Kind, tenths: int):
    assert from_us(kind, "metric")(into_us(kind, "metric")(tenths / 10)) == pytest.approx(
        tenths / 10, rel=1e-12
    )
    if kind is not TEMPERATURE:  # near -18 °C the start cancels what makes a digit significant
        assert from_us(kind, "metric")(into_us(kind, "metric")(tenths / 10)) == tenths / 10


@given(tenths=st.integers(1, 400_000))
def test_a_length_in_millimetres_is_as_exact_as_if_it_were_typed(tenths: int):
    assert into_us(LENGTH, "metric")(tenths / 10) == inches(parse_length(f"{tenths / 10} mm"), "us")


def test_nothing_to_convert():
    assert into_us(LENGTH, "us") is None
    assert from_us(AREA, "us") is None
    assert into_us(COUNT, "metric") is None
    assert from_us(COUNT, "metric") is None


@pytest.mark.parametrize(
    ("text", "system", "length"),
    [
        ("127", "us", 127),
        ("127", "metric", 5),
        ("5 in", "metric", 5),
        ("127 mm", "us", 5),
        ("12.7 cm", "metric", 5),
        ("1' 3 1/2\"", "metric", 15.5),
    ],
)
def test_a_typed_length_keeps_its_own_unit(text: str, system: str, length: float):
    assert inches(parse_length(text), system) == length


def test_unit_names():
    assert unit(LENGTH, "us") == "in"
    assert unit(LENGTH, "metric") == "mm"
    assert unit(COUNT, "metric") == ""
