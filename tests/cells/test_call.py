"""A call with single cells: what reaches the function, what is answered, what is refused."""

import datetime as dt
from decimal import Decimal
from typing import Literal

import pytest
from cells.fakes import FAKES

from sheetcalc.cells.call import call, problem
from sheetcalc.cells.registry import describe
from sheetcalc.cells.values import CellError
from sheetcalc.errors import EntryError, InputError
from sheetcalc.kinds import Area, Length, Number, Text

LEFT, CAME, DEFAULTS = FAKES["what_is_left"], FAKES["as_it_came"], FAKES["with_default"]
READINGS, LISTS, STEPS = FAKES["readings_of"], FAKES["to_buy"], FAKES["steps"]


def test_by_name_or_function():
    assert call(" inch_Fraction", [5.125]) == "5 1/8"
    assert call(LEFT, [20.0, 3.5, 0.125]) == 16.375


def test_an_unknown_name():
    assert call("NO_SUCH", [1]) is CellError.NAME
    assert problem("NO_SUCH", [1]) == "function is “NO_SUCH”, but must be the name of a cell function"


@pytest.mark.parametrize(
    ("args", "came"),
    [
        ([2.5], "(2.5, 'none', 'round')"),
        ([2], "(2.0, 'none', 'round')"),
        ([True], "(1.0, 'none', 'round')"),
        ([Decimal("2.5"), None, None], "(2.5, 'none', 'round')"),
        ([2.5, "", ""], "(2.5, 'none', 'round')"),
        ([2.5, " "], "(2.5, 'none', 'round')"),
        ([2.5, " oak "], "(2.5, 'oak', 'round')"),
        ([2.5, None, " SQUARE "], "(2.5, 'none', 'Square')"),
        ([[[2.5]], [["oak"]], [[None]]], "(2.5, 'oak', 'round')"),
        ([((2.5,),), "oak"], "(2.5, 'oak', 'round')"),
        ([[[2.5]], []], "(2.5, 'none', 'round')"),
    ],
)
def test_what_reaches_the_function(args, came):
    assert call(CAME, args) == came


# --- Units ---


def test_units_are_the_last_argument_given():
    assert call(LEFT, [508, 127, "metric"]) == 381
    assert call(LEFT, [508, 127, None, "metric"]) == 381
    assert call(LEFT, [508, 127, 25.4, " Metric "]) == 355.6
    assert call(LEFT, [508, 127, [["metric"]], None, ""]) == 381
    assert call(LEFT, [20, 5, "us"]) == 15
    assert call(LEFT, [20, 5, "", "US"]) == 15


def test_units_elsewhere_are_no_units():
    assert call(LEFT, [20, "metric", 5]) is CellError.VALUE
    assert call(CAME, [2, "metric", "square"]) == "(2.0, 'metric', 'Square')"


def test_other_words_are_no_units():
    assert call(LEFT, [20, 5, 1, "imperial"]) is CellError.VALUE
    assert problem(LEFT, [20, 5, 1, "imperial"]) == "units is “imperial”, but must be “us” or “metric”"
    assert call(LEFT, [20, 5, 1, CellError.REF]) is CellError.REF
    assert problem(LEFT, [20, 5, 1, [[1], [2]]]) == "units is 2 cells, but must be “us” or “metric”"


def test_each_system_converts_what_it_must():
    assert call("SLOPE_LENGTH", [3000, 40, 30, "metric"]) == 5000
    assert call("EQUILIBRIUM_MOISTURE", [20, 50, "metric"]) == pytest.approx(
        call("EQUILIBRIUM_MOISTURE", [68, 50]), rel=1e-12
    )
    assert call(FAKES["warmer"], [20, 9, "metric"]) == 25
    assert call(LEFT, ["20 in", 127, "metric"]) == 381
    assert call(LEFT, ["508 mm", 5]) == 15


def test_a_metric_answer_has_no_dust():
    assert call(LEFT, [0.3, 0.1, "metric"]) == 0.2
    assert call(LEFT, [0.3, 0.1]) == 0.3 - 0.1  # in us units the float stays as it is


def test_defaults_follow_the_units():
    assert call(DEFAULTS, []) == "(0.015625, None)"
    assert call(DEFAULTS, ["metric"]) == "(0.019685039, None)"
    assert call(DEFAULTS, ["", 25.4, "metric"]) == "(0.019685039, 1.0)"


def test_keyword_only_arguments_follow_the_units():
    assert call(FAKES["in_words"], [5.125]) == "5 1/8"
    assert call(FAKES["in_words"], [130.3, "metric"]) == "130.5"
    assert call(FAKES["to_grain"], [1]) == "64.000000"
    assert call(FAKES["to_grain"], [25.4, "metric"]) == "254.000000"


# --- What is wrong ---


@pytest.mark.parametrize(
    ("args", "error", "said"),
    [
        ([], CellError.VALUE, "length is not given, but is needed"),
        ([20], CellError.VALUE, "cut is not given, but is needed"),
        ([None, 5], CellError.VALUE, "length is not given, but is needed"),
        ([20, ""], CellError.VALUE, "cut is not given, but is needed"),
        ([0, 5], CellError.NUM, "length is 0 in, but must be over 0"),
        ([0, 5, "metric"], CellError.NUM, "length is 0 mm, but must be over 0"),
        ([20, 25.5], CellError.NUM, "cut is 25.5 in, but must not be longer than the length"),
        ([20, "65 cm"], CellError.NUM, "cut is “65 cm”, but must not be longer than the length"),
        ([508, 650, "metric"], CellError.NUM, "cut is 650 mm, but must not be longer than the length"),
        (["x", 5], CellError.VALUE, "length is “x”, but must be a length such as"),
        ([CellError.DIV, 5], CellError.DIV, "length is #DIV/0!, but must not be an error"),
        ([20, CellError.NA], CellError.NA, "cut is #N/A, but must not be an error"),
        (
            [dt.date(2024, 3, 8), 5],
            CellError.VALUE,
            "length is “2024-03-08”, but must be a number or a length:",
        ),
        ([float("nan"), 5], CellError.NUM, "length is nan in, but must be a finite number"),
        (
            [20, 5, 1, "us", 3],
            CellError.VALUE,
            "argument 5 is 3, but must not be there: WHAT_IS_LEFT takes 3 and units",
        ),
        (
            [20, 5, 1, 2, "us"],
            CellError.VALUE,
            "argument 4 is 2, but must not be there: WHAT_IS_LEFT takes 3 and units",
        ),
        (
            [20, 5, 1, 2, 3, 4],
            CellError.VALUE,
            "argument 6 is 4, but must not be there: WHAT_IS_LEFT takes 3 and units",
        ),
    ],
)
def test_refusals(args, error, said):
    assert call(LEFT, args) is error
    assert problem(LEFT, args).startswith(said)


def test_nothing_to_say_of_a_call_that_works():
    assert problem(LEFT, [20, 5]) == ""
    assert problem(STEPS, [7, 2]) == ""


def test_a_choice_and_a_text():
    assert problem(CAME, [1, 2]) == "word is 2, but must be text"
    assert problem(CAME, [1, "", "oval"]) == "shape is “oval”, but must be “round” or “Square”"


def test_a_default_that_breaks_a_rule_is_shown_in_the_persons_unit():
    def at_most(face: Length, take_up: Length = 0) -> Length:
        raise InputError("take_up", 0.5, "must lie in 0 to half the face")

    function = describe(at_most, "fakes")
    assert problem(function, [1]) == "take_up is 0.5 in when not given, but must lie in 0 to half the face"
    assert problem(function, [1, 2]) == "take_up is 2 in, but must lie in 0 to half the face"
    said = "take_up is 12.7 mm when not given, but must lie in 0 to half the face"
    assert problem(function, [1, "metric"]) == said


def test_a_word_taken_by_default_is_shown():
    def starts(face: Length, layout: Literal["auto", "full"] = "auto") -> Length:
        raise InputError("layout", layout, "must leave a board")

    said = "layout is “auto” when not given, but must leave a board"
    assert problem(describe(starts, "fakes"), [1, "metric"]) == said


def test_a_rule_about_no_argument():
    def fails(face: Length) -> Length:
        raise InputError("the plan", None, "must end")

    assert call(describe(fails, "fakes"), [1]) is CellError.NUM
    assert problem(describe(fails, "fakes"), [1]) == "the plan must end"


def test_a_bug_leaves_the_call():
    def broken(face: Length) -> Length:
        raise KeyError("a bug")

    def no_number(face: Length) -> Length:
        return float("nan")

    def no_cell_error(face: Length) -> Length:
        raise EntryError("face", 1, "must be told apart")

    with pytest.raises(KeyError):
        call(describe(broken, "fakes"), [1])
    with pytest.raises(ArithmeticError):
        call(describe(no_number, "fakes"), [1])
    with pytest.raises(TypeError):
        call(describe(no_cell_error, "fakes"), [1])


def test_an_answer_past_all_floats():
    def square(side: Number) -> Area:
        return side * side

    assert call(describe(square, "fakes"), [1e200]) is CellError.NUM
    assert problem(describe(square, "fakes"), [1e200]) == "the answer must be a number that a cell can hold"


def test_answers_are_floats_or_text():
    def turned(side: Number) -> Number:
        return -side

    def nothing(side: Number) -> Number | None:
        return None

    def no_word(side: Number) -> Text | None:
        return None

    assert str(call(describe(turned, "fakes"), [0])) == "0.0"
    assert call(describe(nothing, "fakes"), [0]) == ""
    assert call(describe(no_word, "fakes"), [0]) == ""


# --- Tables ---


def test_a_table_in_both_systems():
    assert call(STEPS, [7, 2]) == [[1.0, 7.0, 10.0, "step 1"], [2.0, "", 20.0, "step 2"]]
    assert call(STEPS, [177.8, 3, "metric"])[2] == [3.0, 533.4, 30.0, "step 3"]


def test_rows_pad_a_table():
    blank = ["", "", "", ""]
    assert call(STEPS, [7, 1, "", 3]) == [[1.0, 7.0, 10.0, "step 1"], blank, blank]
    assert call(STEPS, [7, 1, "", 2, "metric"]) == [[1.0, 7.0, 10.0, "step 1"], blank]
    assert call(STEPS, [7, 2, "", 2]) == call(STEPS, [7, 2])
    assert call(STEPS, [7, 2, "", "", "us"]) == call(STEPS, [7, 2])


def test_a_padded_table_shares_no_row():
    padded = call(STEPS, [7, 1, "", 3])
    padded[1][0] = 5
    assert padded[2][0] == ""


def test_too_few_rows():
    assert call(STEPS, [7, 3, "", 2]) is CellError.NUM
    assert problem(STEPS, [7, 3, "", 2]) == "rows is 2, but must be 3 or more to hold the answer"


@pytest.mark.parametrize("rows", [0, -1, 2.5, 1e9, float("nan")])
def test_rows_is_a_whole_number(rows):
    assert call(STEPS, [7, 1, "", rows]) is CellError.NUM
    assert problem(STEPS, [7, 1, "", rows]).startswith("rows is ")


def test_rows_is_one_number():
    assert call(STEPS, [7, 1, "", "many"]) is CellError.VALUE
    assert call(STEPS, [7, 1, "", CellError.NAME]) is CellError.NAME
    assert problem(STEPS, [7, 1, "", [[1], [2]]]) == "rows is 2 cells, but must be one number"
    assert problem(STEPS, [7, 1, "", "many"]) == "rows is “many”, but must be a number"


def test_a_table_without_rows_is_one_blank_row():
    assert call(STEPS, [7, 0]) == [["", "", "", ""]]


# --- Single cells where more may stand ---


def test_a_single_cell_is_a_reading_a_list_and_a_ceiling():
    assert call(READINGS, [120]) == "(120.0, 1, None)"
    assert call(LISTS, [96, 4, None, "", 16]) == "([96.0], [4.0], None, 0, [16.0])"
    assert call(FAKES["room_by_room"], [120, 90, 5]) == [
        [120.0, 5.0, "([120.0], [90.0], None, 'auto', 1)"],
    ]


# --- Help functions ---


def test_entry_problem_hands_everything_on():
    assert call("ENTRY_PROBLEM", ["INCH_FRACTION", 5]) == ""
    assert (
        call("ENTRY_PROBLEM", ["inch_fraction", CellError.NA]) == "length is #N/A, but must not be an error"
    )
    said = "length, row 2, is “x”, but must be a length such as"
    assert call("ENTRY_PROBLEM", ["INCH_FRACTION", [[1], ["x"]], "metric"]).startswith(said)
    assert call("ENTRY_PROBLEM", [[["INCH_FRACTION"]], 5, 3, "metric"]) == (
        "denominator is 3, but must be 1, 2, 4, 8, 16, 32 or 64"
    )
    assert call("ENTRY_PROBLEM", ["ENTRY_PROBLEM"]) == "function is not given, but is needed"
    assert "must be the name" in call("ENTRY_PROBLEM", ["NO_SUCH", 5])


def test_entry_problem_of_several_functions():
    answers = call("ENTRY_PROBLEM", [[["INCH_FRACTION"], ["FACE_WIDTH"]], "1x6"])
    assert answers[0][0].startswith("length is “1x6”")
    assert answers[1][0] == ""


def test_entry_problem_needs_a_name():
    assert call("ENTRY_PROBLEM", []) is CellError.VALUE
    assert call("ENTRY_PROBLEM", [CellError.REF, 3]) is CellError.REF
    assert problem("ENTRY_PROBLEM", [3]) == "function is 3, but must be text"


def test_help_and_version_take_no_units():
    assert call("FUNCTION_HELP", ["metric"]) is CellError.NA
    assert call("FUNCTION_HELP", ["INCH_FRACTION", "metric"]) is CellError.VALUE
    assert call("FUNCTION_VERSION", ["us"]) is CellError.VALUE
