from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.lengths import (
    feet_inches,
    inch_fraction,
    metre_words,
    millimetre_words,
    parse_length,
    read_length,
)

READ = {
    "14' 3-3/8\"": "171 3/8",
    "14'-3 3/8\"": "171 3/8",
    "14ft 3 3/8in": "171 3/8",
    "14 ft. 3 3/8 in.": "171 3/8",
    "14 feet 3 3/8 inches": "171 3/8",
    "171 3/8": "171 3/8",
    "171.375": "171 3/8",
    '171-3/8"': "171 3/8",
    "171-3/8": "171 3/8",
    "14ft3in": "171",
    "14' 5⁄8\"": "168 5/8",
    "14'": "168",
    "15'3": "183",
    "15.29'": "18348/100",
    "14 1/2'": "174",
    "0 3/8": "3/8",
    '3/8"': "3/8",
    "9/8": "9/8",
    ".5": "1/2",
    "14' 3.5\"": "171 1/2",
    "14’ 3⅜”": "171 3/8",  # typographic quotes, fraction character
    "14′3⅜″": "171 3/8",
    "14'3''": "171",
    "15½": "15 1/2",
    "8'½": "96 1/2",
    "-3'2": "-38",
    "−3'2": "-38",
    "  14 '  3  3/8  \" ": "171 3/8",
    "0'-0\"": "0",
}
IN_MM = {
    "4.35 m": 4350,
    "4350 mm": 4350,
    "435cm": 4350,
    "4.35M": 4350,
    "2 metres": 2000,
    "2 meters": 2000,
    "3 millimetres": 3,
    "12 centimeters": 120,
}
REFUSED = [
    "8 1/0",
    "14' 12",
    "14' 12 1/2\"",
    "14-3",
    "8..5",
    "1/2/3",
    "14' 3'",
    "1e3",
    "nan",
    "inf",
    "1_000",
    "14 x",
    "14 yd",
    "4 1/2 m",
    "1/2 mm",
    "4,35 m",
    "1,200",
    "3 4/3",
    "14.5' 3\"",
    "14 1/2' 3\"",
    "14' 3 m",
    "3 1",
    "--3",
    "- -3",
    "14' -",
    "'",
    '"',
    "",
    "   ",
    "٣",
    "2²",
    "①",
    "3/8/2027",
    "14'3\"2",
    "9" * 61,
]


def _inches(text: str) -> Fraction:
    sign = -1 if text.startswith("-") else 1
    return sign * sum((Fraction(part) for part in text.lstrip("-").split()), Fraction(0))


@pytest.mark.parametrize(("text", "inches"), READ.items())
def test_typed_feet_and_inches_are_read_exactly(text, inches):
    assert parse_length(text).number == _inches(inches)
    assert parse_length(text).unit in ("", "in")
    assert read_length(entry=text) == float(_inches(inches))


@pytest.mark.parametrize(("text", "millimetres"), IN_MM.items())
def test_typed_metric_lengths_are_read_exactly(text, millimetres):
    assert parse_length(text) == (Fraction(millimetres), "mm", False)
    assert read_length(entry=text) == float(Fraction(millimetres) / Fraction(254, 10))


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_not_fully_recognised_is_refused(text):
    with pytest.raises(NotReadable) as caught:
        read_length(entry=text)
    assert caught.value.argument == "entry"
    assert caught.value.value == text


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("8 1/0", "fraction over 0"),
        ("14' 12", "under 12 after feet"),
        ("14.5' 3", "whole feet"),
        ("3 4/3", "proper fraction"),
        ("4 1/2 m", "metric unit"),
        ("2,47 m", "no comma: decimals follow a point"),
        ("half", "such as 14'-3 3/8\", 171 3/8 or 4.35 m"),
    ],
)
def test_the_rule_that_is_broken_is_named(text, rule):
    with pytest.raises(NotReadable, match=rule):
        parse_length(text)


def test_in_a_metric_job_the_examples_are_metric():
    with pytest.raises(NotReadable, match=r"such as 4350, 435 cm or 4\.35 m$"):
        parse_length("half", True)


def test_a_number_that_was_a_date_is_refused():
    assert read_length(entry=2400) == 2400
    assert read_length(entry="-200'") == -2400
    with pytest.raises(InputError, match="date"):
        read_length(entry=45_000)
    with pytest.raises(InputError):
        read_length(entry="200' 1/16\"")
    assert read_length(entry=45_000, longest=50_000) == 45_000
    with pytest.raises(NotReadable):
        read_length(entry=None)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("length", "denominator", "feet", "inches"),
    [
        (171.375, 16, "14'-3 3/8\"", "171 3/8"),
        (182.375, 16, "15'-2 3/8\"", "182 3/8"),
        (0, 16, "0'-0\"", "0"),
        (0.375, 16, "0'-0 3/8\"", "3/8"),
        (3.375, 8, "0'-3 3/8\"", "3 3/8"),
        (12, 16, "1'-0\"", "12"),
        (11 + 31 / 32, 16, "1'-0\"", "12"),  # carried into the next foot
        (11 + 31 / 32, 32, "0'-11 31/32\"", "11 31/32"),
        (-14.5, 16, "-1'-2 1/2\"", "-14 1/2"),
        (-0.01, 16, "0'-0\"", "0"),  # never minus zero
        (1 / 32, 16, "0'-0 1/16\"", "1/16"),  # ties away from zero
        (-1 / 32, 16, "-0'-0 1/16\"", "-1/16"),
        (2.5, 1, "0'-3\"", "3"),
        (2.75, 2, "0'-3\"", "3"),
        (5 + 1 / 64, 64, "0'-5 1/64\"", "5 1/64"),
    ],
)
def test_lengths_as_written_on_a_plan_and_set_on_a_saw(length, denominator, feet, inches):
    assert feet_inches(length=length, denominator=denominator) == feet
    assert inch_fraction(length=length, denominator=denominator) == inches


@pytest.mark.parametrize("denominator", [0, 3, 10, 128, 16.5, -16])
def test_fractions_of_other_denominators_are_refused(denominator):
    for written in (feet_inches, inch_fraction):
        with pytest.raises(InputError, match="denominator"):
            written(length=10, denominator=denominator)


@given(st.integers(-2400 * 64, 2400 * 64), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_reading_what_was_written_gives_the_length_to_the_fraction(parts, denominator):
    length = parts / 64
    for written in (feet_inches, inch_fraction):
        back = read_length(entry=written(length=length, denominator=denominator))
        assert abs(back - length) <= 0.5 / denominator
        assert (back * denominator).is_integer()
        if (length * denominator).is_integer():
            assert back == length


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (0.5, "12.5"),  # 12.7
        (3.125, "79.5"),  # 79.375
        (3.11, "79"),  # 78.994
        (0.75 / 25.4, "1"),  # ties go away from zero
        (0.25 / 25.4, "0.5"),
        (-0.25 / 25.4, "-0.5"),
        (-0.2 / 25.4, "0"),
        (0, "0"),
        (-3.125, "-79.5"),
    ],
)
def test_millimetres_to_the_nearest_half(length: float, words: str):
    assert millimetre_words(length=length) == words


@pytest.mark.parametrize(
    ("millimetres", "parts", "words"),
    [
        (79.375, 1, "79"),
        (79.375, 2, "79.5"),
        (79.375, 10, "79.4"),
        (100.04, 10, "100"),
        (-0.04, 10, "0"),  # never minus zero
        (0.05, 10, "0.1"),  # ties away from zero
        (4637.5, 2, "4637.5"),
    ],
)
def test_parts_of_a_millimetre(millimetres, parts, words):
    assert millimetre_words(length=millimetres / 25.4, parts=parts) == words


@pytest.mark.parametrize("parts", [0, 3, 16, 2.5, -2])
def test_other_parts_of_a_millimetre_are_refused(parts):
    with pytest.raises(InputError, match="parts"):
        millimetre_words(length=10, parts=parts)


@pytest.mark.parametrize(
    ("millimetres", "words"),
    [
        (4800, "4.8 m"),
        (4350, "4.35 m"),
        (4637.5, "4.6375 m"),
        (4637.74, "4.6375 m"),
        (3000, "3 m"),
        (12, "0.012 m"),
        (-2400, "-2.4 m"),
        (0.2, "0 m"),
    ],
)
def test_lengths_in_metres(millimetres, words):
    assert metre_words(length=millimetres / 25.4) == words


@given(st.integers(-80_000, 80_000))
def test_reading_metric_words_gives_the_length(halves):
    length = halves / 2 / 25.4
    assert read_length(entry=metre_words(length=length)) == pytest.approx(length, abs=1e-12)
    assert read_length(entry=f"{millimetre_words(length=length)} mm") == pytest.approx(length, abs=1e-12)
