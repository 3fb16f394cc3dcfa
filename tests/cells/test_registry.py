"""What the registry reads off a signature, and what it refuses."""

from collections.abc import Sequence
from typing import Annotated, Any, Literal

import pytest
from cells.fakes import FAKES

from sheetcalc.cells.registry import REGISTRY, ROWS, STAGES, UNITS, Column, Parameter, describe, find
from sheetcalc.kinds import (
    ANYTHING,
    COUNT,
    LENGTH,
    MONEY,
    NUMBER,
    TEXT,
    Beside,
    InMetric,
    Length,
    Lengths,
    Number,
    Takes,
    Text,
)


def test_one_value_and_a_choice():
    assert FAKES["as_it_came"].parameters == (
        Parameter("number", NUMBER),
        Parameter("word", TEXT, optional=True, default="none"),
        Parameter("shape", TEXT, optional=True, default="round", choices=("round", "Square")),
        UNITS,
    )


def test_defaults_of_both_systems():
    step, gap, units = FAKES["with_default"].parameters
    assert step == Parameter("step", LENGTH, optional=True, default=1 / 64, in_metric=0.5)
    assert gap == Parameter("gap", LENGTH, optional=True)
    assert units is UNITS


def test_readings_and_lists():
    assert [parameter.takes for parameter in FAKES["readings_of"].inputs] == [
        Takes.READINGS,
        Takes.ONE,
        Takes.READINGS,
    ]
    pieces, counts, limits, kerf, bearing = FAKES["to_buy"].inputs
    assert pieces == Parameter("pieces", LENGTH, Takes.LIST)
    assert counts == Parameter("counts", COUNT, Takes.LIST, beside=Beside("pieces"))
    assert limits == Parameter(
        "limits", COUNT, Takes.LIST, beside=Beside("pieces", blank=True), optional=True
    )
    assert kerf.takes is Takes.ONE
    assert bearing == Parameter("bearing", LENGTH, Takes.LIST, optional=True, default=())


def test_a_table_has_columns_and_rows():
    table = FAKES["steps"]
    assert table.answer is None
    assert table.columns == (
        Column("step", COUNT),
        Column("height", LENGTH),
        Column("price", MONEY),
        Column("word", TEXT),
    )
    assert table.parameters[-2:] == (ROWS, UNITS)
    assert table.rows_at == 3


def test_a_table_by_readings_has_no_rows():
    table = FAKES["place_by_place"]
    assert table.rows_at is None
    assert table.parameters == (Parameter("across", LENGTH, Takes.READINGS), UNITS)


def test_a_list_of_ceilings():
    takes = [parameter.takes for parameter in FAKES["room_by_room"].inputs]
    assert takes == [Takes.CEILINGS] * 2 + [Takes.PER_CEILING] * 3 + [Takes.ONE]
    assert FAKES["room_by_room"].inputs[4].choices == ("auto", "full")


def test_keyword_only_arguments_follow_from_the_units():
    assert FAKES["in_words"].words_lengths
    assert [parameter.name for parameter in FAKES["in_words"].parameters] == ["length", "units"]
    assert [parameter.name for parameter in FAKES["to_grain"].set_by_units] == ["grain"]


def test_any_number_of_arguments():
    problem = REGISTRY["ENTRY_PROBLEM"]
    assert [parameter.kind for parameter in problem.parameters] == [TEXT, ANYTHING]
    assert problem.takes_rest
    assert not problem.has_units


def test_signature_and_summary():
    assert FAKES["what_is_left"].signature == "WHAT_IS_LEFT(length, cut, [kerf], [units])"
    assert FAKES["what_is_left"].summary == "What is left of a length."
    assert REGISTRY["ENTRY_PROBLEM"].signature == "ENTRY_PROBLEM(function, argument, …)"
    assert REGISTRY["FUNCTION_VERSION"].signature == "FUNCTION_VERSION()"


def test_a_sentence_may_run_over_lines_and_lack_its_stop():
    def two_lines(length: Length) -> Length:
        """One sentence that
        goes on, 1.5 times as long
        """
        return length

    assert describe(two_lines, "fakes").summary == "One sentence that goes on, 1.5 times as long"


def test_examples_stand_as_cells():
    def to_show(length: Length, across: Lengths, gap: Length = 0, words: Text = "") -> Length:
        """Show.

        >>> 1 + 1
        2
        >>> round(to_show(5, across=[1, None, 2],
        ...               words="so"), 2)
        5
        """
        return length

    assert describe(to_show, "fakes").example == (5, [[1], [None], [2]], None, "so")


def test_rows_of_an_example_are_equally_long():
    def to_show(across: Lengths) -> Length:
        """Show.

        >>> to_show([[1, 2], [3]])
        """
        return across[0]

    assert describe(to_show, "fakes").example == ([[1, 2], [3, None]],)


def test_a_function_without_an_example_is_refused():
    with pytest.raises(TypeError, match="no doctest calls it"):
        _ = FAKES["what_is_left"].example


def no_kind(length: float) -> Length: ...  # type: ignore[empty-body]
def no_answer(length: Length) -> float: ...  # type: ignore[empty-body]
def bare(length) -> Length: ...  # type: ignore[no-untyped-def]
def no_metric(length: Length = 12) -> Length: ...  # type: ignore[empty-body]
def own_rows(rows: Number) -> Length: ...  # type: ignore[empty-body]
def own_units(units: Text) -> Length: ...  # type: ignore[empty-body]
def keyword(*, length: Length = 0) -> Length: ...  # type: ignore[empty-body]
def beside_none(prices: Annotated[Sequence[float], MONEY, Beside("stock")]) -> Length: ...  # type: ignore[empty-body]
def plain_table(length: Length) -> list[dict[str, float]]: ...  # type: ignore[empty-body]
def numbered(size: Literal[1, 2]) -> Length: ...  # type: ignore[empty-body]
def optional_list(
    counts: Annotated[Sequence[float], COUNT, Beside("pieces")], pieces: Lengths = ()
) -> Length: ...  # type: ignore[empty-body]


@pytest.mark.parametrize(
    ("python", "said"),
    [
        (no_kind, "length has no kind"),
        (no_answer, "answer has no kind"),
        (bare, "length has no kind"),
        (no_metric, "not stated for both unit systems"),
        (own_rows, "rows is added"),
        (own_units, "units is added"),
        (keyword, "keyword-only"),
        (beside_none, "prices stands beside no list"),
        (plain_table, "answer has no kind"),
        (numbered, "size has no kind"),
        (optional_list, "pieces must be needed"),
    ],
)
def test_what_is_left_open_is_refused(python: Any, said: str):
    with pytest.raises(TypeError, match=said):
        describe(python, "fakes")


def test_a_dimensionless_default_needs_no_metric_one():
    def often(times: Number = 3, length: Annotated[Length, InMetric(300)] = 12) -> Length:
        return times * length

    assert [parameter.default for parameter in describe(often, "fakes").inputs] == [3, 12]


def test_find_is_free_of_case_and_outer_blanks():
    assert find(" Feet_Inches ") is REGISTRY["FEET_INCHES"]
    assert find("NO_SUCH") is None
    assert find(3) is None


def test_functions_stand_in_the_order_of_the_job_and_of_their_module():
    stages = [function.stage for function in REGISTRY.values()]
    assert stages == sorted(stages, key=[*STAGES, "help"].index)
    assert [*REGISTRY][:3] == ["READ_LENGTH", "FEET_INCHES", "INCH_FRACTION"]
    assert [*REGISTRY][-3:] == ["ENTRY_PROBLEM", "FUNCTION_HELP", "FUNCTION_VERSION"]
