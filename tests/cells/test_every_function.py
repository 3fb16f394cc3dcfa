"""What holds for every cell function, whoever adds one: its example is all that these tests need."""

import datetime as dt
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sheetcalc
from sheetcalc.cells.call import call, problem
from sheetcalc.cells.help import LONGEST_TEXT
from sheetcalc.cells.registry import REGISTRY, CellFunction, Parameter
from sheetcalc.cells.units import from_us, into_us
from sheetcalc.cells.values import CellError
from sheetcalc.kinds import TEXT, Takes

FUNCTIONS = [*REGISTRY.values()]
TRADE = [function for function in FUNCTIONS if function.has_units]


def each(functions: list[CellFunction]) -> Any:
    return pytest.mark.parametrize("function", functions, ids=[function.name for function in functions])


def example(function: CellFunction) -> list[Any]:
    """Return the example with every argument in its place, readings in a row, None where not given."""
    args = [*function.example, *[None] * (len(function.parameters) - len(function.example))]
    for place, parameter in enumerate(function.inputs):
        if parameter.takes is Takes.READINGS and isinstance(args[place], list) and len(args[place][0]) == 1:
            args[place] = [[row[0] for row in args[place]]]
    return args


def replaced(args: list[Any], place: int, argument: Any) -> list[Any]:
    return [*args[:place], argument, *args[place + 1 :]]


def is_error(answer: Any) -> bool:
    cells = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
    return any(isinstance(cell, CellError) for cell in cells)


# --- Names and texts ---


@each(FUNCTIONS)
def test_names_are_two_words_and_look_like_no_cell(function: CellFunction):
    assert re.fullmatch(r"[A-Z]+(_[A-Z0-9]+)+", function.name)
    assert function.name.lower() == function.python.__name__


@each(FUNCTIONS)
def test_help_text_fits_every_host(function: CellFunction):
    assert 0 < len(function.summary) <= LONGEST_TEXT
    assert "\n" not in function.summary
    names = [parameter.name for parameter in function.parameters]
    assert len(names) <= 60
    assert len("".join(names)) + len(names) <= 254
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z]+(_[a-z0-9]+)*", name) for name in names)


@each(FUNCTIONS)
def test_optional_arguments_come_last(function: CellFunction):
    optional = [parameter.optional for parameter in function.parameters]
    assert optional == sorted(optional)


@each(TRADE)
def test_the_python_function_is_exported(function: CellFunction):
    assert getattr(sheetcalc, function.python.__name__) is function.python
    assert function.python.__name__ in sheetcalc.__all__


# --- The example, and what is one step from it ---


@each(FUNCTIONS)
def test_the_example_works(function: CellFunction):
    answer = call(function, function.example)
    assert not is_error(answer)
    assert isinstance(answer, list) == bool(function.columns)
    assert problem(function, function.example) == ""
    assert call(function, example(function)) == answer
    if isinstance(answer, str):
        assert len(answer) <= LONGEST_TEXT


@each(FUNCTIONS)
def test_a_needed_argument_left_blank_is_an_error(function: CellFunction):
    for place, parameter in enumerate(function.parameters):
        if not (parameter.optional or parameter.rest):
            for blank in (None, "", " ", [[None]], [[None], [None]], [[None, ""], ["", None]]):
                args = replaced(example(function), place, blank)
                assert is_error(call(function, args)), (parameter.name, blank)
                if not isinstance(blank, list):
                    assert call(function, args) is CellError.VALUE
                    assert problem(function, args).startswith(f"{parameter.name} is not given, but ")


@each(FUNCTIONS)
def test_an_optional_argument_left_blank_is_its_default(function: CellFunction):
    answer = call(function, example(function))
    for place, parameter in enumerate(function.parameters):
        if parameter.optional and example(function)[place] is None:
            for blank in ("", " ", [[None]]):
                assert call(function, replaced(example(function), place, blank)) == answer


@each(FUNCTIONS)
def test_an_error_in_an_argument_is_passed_on(function: CellFunction):
    for place, parameter in enumerate(function.parameters):
        if not parameter.rest:
            for error in CellError:
                args = replaced(example(function), place, error)
                assert call(function, args) is error
                said = f"{parameter.name} is {error.value}, but must "
                assert problem(function, args).startswith(said)


@each([function for function in FUNCTIONS if not function.takes_rest])
def test_too_many_arguments(function: CellFunction):
    args = [*example(function), 1.0]
    assert call(function, args) is CellError.VALUE
    assert problem(function, args).startswith(f"argument {len(args)} is 1, but must not be there: ")


@each(FUNCTIONS)
def test_text_is_no_number_and_a_number_no_text(function: CellFunction):
    for place, parameter in enumerate(function.parameters):
        if not parameter.rest:
            wrong = 3.0 if parameter.kind is TEXT else "three"
            args = replaced(example(function), place, wrong)
            assert call(function, args) is CellError.VALUE
            assert problem(function, args).startswith(f"{parameter.name} is ")


@each(TRADE)
def test_what_is_not_finite_is_out_of_range(function: CellFunction):
    for place, parameter in enumerate(function.parameters):
        if parameter.kind is not TEXT:
            for number in (float("nan"), float("inf")):
                assert call(function, replaced(example(function), place, number)) is CellError.NUM


# --- Ranges ---


@each(FUNCTIONS)
def test_a_range_of_one_cell_is_that_cell(function: CellFunction):
    boxed = [[[cell]] if not isinstance(cell, list) else cell for cell in example(function)]
    assert call(function, boxed) == call(function, function.example)


@each([function for function in FUNCTIONS if not function.columns])
def test_a_range_answers_as_its_single_calls(function: CellFunction):
    for place, parameter in enumerate(function.parameters):
        if parameter.takes is Takes.ONE and parameter.name != "units" and not parameter.rest:
            args = example(function)
            cells = [args[place], None, CellError.DIV, -1.0, 0.5, 1e9, "zz", args[place], True]
            singles = [call(function, replaced(args, place, cell)) for cell in cells]
            assert call(function, replaced(args, place, [cells])) == [singles]
            column = [[cell] for cell in cells]
            assert call(function, replaced(args, place, column)) == [[answer] for answer in singles]


@each([function for function in FUNCTIONS if not function.columns])
def test_a_block_of_readings_answers_as_its_ceilings(function: CellFunction):
    for place, parameter in enumerate(function.inputs):
        if parameter.takes is Takes.READINGS:
            args = example(function)
            readings = args[place][0] if isinstance(args[place], list) else [args[place]]
            rows = [[*readings, None], [*readings, CellError.NA], [None, *readings], [*readings, -1]]
            singles = [call(function, replaced(args, place, [row])) for row in rows]
            blank = [None] * len(rows[0])
            block = replaced(args, place, [*rows, blank])
            assert call(function, block) == [*([answer] for answer in singles), [""]]


@each([function for function in TRADE if function.columns])
def test_rows_pad_a_table_and_never_cut_it(function: CellFunction):
    answer = call(function, function.example)
    if function.rows_at is not None:
        place = function.rows_at
        blank = [""] * len(function.columns)
        for more in range(3):
            args = replaced(example(function), place, len(answer) + more)
            assert call(function, args) == [*answer, *[blank] * more]
        if len(answer) > 1:
            assert call(function, replaced(example(function), place, len(answer) - 1)) is CellError.NUM


# --- Units ---


def in_metric(parameter: Parameter, argument: Any) -> Any:
    if isinstance(argument, list):
        return [[in_metric(parameter, cell) for cell in row] for row in argument]
    if argument is None and parameter.in_metric is not None:
        argument = parameter.default  # the metric default is rounder than the us one
    if argument is None or isinstance(argument, str):
        return argument
    convert = from_us(parameter.kind, "metric")
    return convert(argument) if convert else argument


def in_us(kind: Any, cell: Any) -> Any:
    convert = into_us(kind, "metric")
    return convert(cell) if convert and not isinstance(cell, str) else cell


@each(TRADE)
def test_the_metric_answer_is_the_us_answer(function: CellFunction):
    args = [
        in_metric(parameter, cell)
        for parameter, cell in zip(function.inputs, example(function), strict=False)
    ]
    metric = call(function, [*args, "metric"])
    us = call(function, function.example)
    assert not is_error(metric)
    if function.columns:
        kinds = [column.kind for column in function.columns]
        back = [[in_us(kind, cell) for kind, cell in zip(kinds, row, strict=True)] for row in metric]
        pairs = [pair for rows in zip(us, back, strict=True) for pair in zip(*rows, strict=True)]
    else:
        pairs = [(us, in_us(function.answer, metric))]
    for wanted, got in pairs:
        assert (
            isinstance(got, str)
            if isinstance(wanted, str)
            else got == pytest.approx(wanted, rel=1e-9, abs=1e-9)
        )


@each(TRADE)
def test_units_stand_wherever_the_last_argument_stands(function: CellFunction):
    answer = call(function, function.example)
    assert call(function, [*function.example, "us"]) == answer
    assert call(function, replaced(example(function), -1, " US ")[: len(function.parameters)]) == answer


# --- Anything at all ---

JUNK_NUMBERS = [
    0.0,
    -0.0,
    1.0,
    2,
    3.5,
    0.5,
    1 / 3,
    -1.0,
    12.0,
    16.0,
    96.0,
    120.0,
    1e-9,
    1e6,
    1e12,
    1e15,
    1e300,
    -1e308,
]
JUNK_WORDS = [
    "",
    " ",
    "x",
    "us",
    "metric",
    "first",
    "1x6",
    "12",
    "5 1/8",
    "14' 3\"",
    "3 m",
    "1/0",
    "-4 in",
    "auto",
    "𝟛½",
]
JUNK_OTHERS = [
    None,
    True,
    False,
    float("nan"),
    float("inf"),
    10**400,
    Decimal("2.5"),
    Decimal("sNaN"),
    dt.date(2024, 3, 8),
    dt.datetime(2024, 3, 8, 12),
    3j,
    b"5",
    *CellError,
]
junk_cells = st.one_of(
    st.sampled_from(JUNK_NUMBERS), st.sampled_from(JUNK_WORDS), st.sampled_from(JUNK_OTHERS)
)


@st.composite
def junk_ranges(draw: st.DrawFn) -> Any:
    high, wide = draw(st.integers(0, 3)), draw(st.integers(0, 3))
    return [[draw(junk_cells) for _ in range(wide)] for _ in range(high)]


@st.composite
def spoilt(draw: st.DrawFn, function: CellFunction) -> list[Any]:
    """Draw the example with junk in some places, a good number here and there, and junk after it."""
    args = example(function)
    for place in draw(st.sets(st.integers(0, max(0, len(args) - 1)), max_size=3)) if args else ():
        args[place] = draw(junk_cells | junk_ranges() | st.just([[args[place]] * 2]))
    return [*args, *draw(st.lists(junk_cells | junk_ranges(), max_size=2))]


@each(FUNCTIONS)
def test_nothing_leaves_a_call_but_cells(function: CellFunction):
    @settings(max_examples=30, deadline=None)
    @given(
        args=spoilt(function) | st.lists(junk_cells | junk_ranges(), max_size=len(function.parameters) + 1)
    )
    def check(args: list[Any]) -> None:
        answer = call(function, args)
        cells = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
        assert cells
        for cell in cells:
            assert type(cell) in (float, str, CellError)
            assert cell == cell, "no NaN"
        said = problem(function, args)
        assert (said != "") == is_error(answer)
        assert len(said) <= LONGEST_TEXT

    check()
