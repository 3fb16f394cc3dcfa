"""One cell as a value: what is read, and what is refused with which words."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction

import pytest

from sheetcalc.cells.entries import ErrorGiven, as_typed, blank, reader, words
from sheetcalc.cells.registry import Parameter
from sheetcalc.cells.values import CellError
from sheetcalc.errors import InputError, NotReadable
from sheetcalc.kinds import ANYTHING, COURSES, LENGTH, MONEY, PERCENT, SHARE, TEXT

length = reader(Parameter("face", LENGTH), "us")
metric = reader(Parameter("face", LENGTH), "metric")
money = reader(Parameter("price", MONEY), "us")
text = reader(Parameter("nominal", TEXT), "us")
choice = reader(Parameter("layout", TEXT, choices=("auto", "full")), "us")
anything = reader(Parameter("argument", ANYTHING), "us")


@pytest.mark.parametrize("cell", [None, "", " ", "\t\n"])
def test_left_out_blank_and_empty_text_are_one_thing(cell):
    assert blank(cell)


@pytest.mark.parametrize("cell", [0, 0.0, False, "0 in", CellError.NA, [[None, None]]])
def test_zero_is_no_blank(cell):
    assert not blank(cell)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        (5.125, 5.125),
        (5, 5.0),
        (True, 1.0),
        (False, 0.0),
        (Decimal("5.125"), 5.125),
        (Fraction(41, 8), 5.125),
        (" 5 1/8 ", 5.125),
        ("5.125 ", 5.125),
        ("0' 5-1/8\"", 5.125),
        ("127 mm", 5.0),
    ],
)
def test_a_length(cell, value):
    assert length(cell) == value
    assert type(length(cell)) is float


def test_a_length_in_metric():
    assert metric(127) == 5
    assert metric("127") == 5
    assert metric("5 in") == 5
    assert metric("5 1/8 in") == 5.125


def test_a_fraction_states_its_unit_in_metric():
    with pytest.raises(NotReadable, match="must state its unit"):
        metric("5 1/8")


def test_a_text_that_is_no_length_is_refused_with_the_parsers_rule():
    with pytest.raises(NotReadable, match="must have inches under 12 after feet") as caught:
        length("5' 13\"")
    assert (caught.value.argument, caught.value.value) == ("face", "5' 13\"")


def test_text_is_no_number_but_for_lengths():
    assert money(12.5) == 12.5
    for cell in ("12.5", "12"):
        with pytest.raises(NotReadable, match="must be a number"):
            money(cell)


@pytest.mark.parametrize("read", [length, money], ids=["length", "money"])
@pytest.mark.parametrize(
    "cell",
    [dt.date(2024, 3, 8), dt.datetime(2024, 3, 8, 12), dt.time(3, 8), dt.timedelta(hours=3)],
)
def test_a_date_is_named_as_such(read, cell):
    with pytest.raises(NotReadable, match="took the entry for a date"):
        read(cell)


@pytest.mark.parametrize("cell", [float("nan"), float("inf"), -float("inf"), Decimal("NaN"), Decimal("inf")])
def test_what_is_not_finite_is_out_of_range(cell):
    for read in (length, metric, money):
        with pytest.raises(InputError, match="must be a finite number"):
            read(cell)


@pytest.mark.parametrize("cell", [10**400, Decimal("sNaN")])
def test_what_no_float_holds_is_out_of_range(cell):
    with pytest.raises(InputError, match="must be a number that a cell can hold"):
        length(cell)


@pytest.mark.parametrize("cell", [None, "", 3j, object(), b"5", {"type": "Error"}])
def test_anything_else_is_no_number(cell):
    with pytest.raises(NotReadable):
        money(cell)


def test_an_error_is_passed_on():
    for read in (length, money, text, choice):
        with pytest.raises(ErrorGiven) as caught:
            read(CellError.DIV)
        assert caught.value.value is CellError.DIV
    assert anything(CellError.DIV) is CellError.DIV


def test_text():
    assert text(" 1x6 ") == "1x6"
    for cell in (1.0, True, None, "", dt.date(2024, 1, 6)):
        with pytest.raises(NotReadable, match="must be text"):
            text(cell)


def test_a_choice_in_any_case():
    assert choice(" FULL ") == "full"
    for cell in ("ful", 1.0, None, "", True):
        with pytest.raises(NotReadable, match="must be “auto” or “full”"):
            choice(cell)


@pytest.mark.parametrize(
    ("cell", "kind", "system", "shown"),
    [
        (5.0, LENGTH, "us", "5 in"),
        (127, LENGTH, "metric", "127 mm"),
        (1234567.25, MONEY, "us", "1234567.25"),
        (0.1, SHARE, "us", "0.1"),
        (12, PERCENT, "metric", "12 %"),
        ("5 1/8 inn", LENGTH, "metric", "“5 1/8 inn”"),
        ("x" * 80, TEXT, "us", "“" + "x" * 60 + "…”"),
        (True, LENGTH, "us", "TRUE"),
        (Decimal("2.50"), MONEY, "us", "2.5"),
        (Decimal("sNaN"), MONEY, "us", "“sNaN”"),
        (float("nan"), LENGTH, "us", "nan in"),
        (10**400, LENGTH, "us", "“1" + "0" * 59 + "…”"),
        (CellError.NA, LENGTH, "us", "#N/A"),
        (dt.date(2024, 3, 8), LENGTH, "us", "“2024-03-08”"),
    ],
)
def test_as_typed(cell, kind, system, shown):
    assert as_typed(cell, kind, system) == shown


def test_words_of_a_choice():
    assert words(("one",)) == "“one”"
    assert words(("auto", "full", "balanced")) == "“auto”, “full” or “balanced”"


def test_courses_are_words_or_the_number_of_one():
    read = reader(Parameter("keep_clear", COURSES), "us")
    assert (read(" 7-9 "), read(8), read(8.0)) == ("7-9", 8, 8)
    with pytest.raises(NotReadable, match="keep_clear"):
        read(None)
