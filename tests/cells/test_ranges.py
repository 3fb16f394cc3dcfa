"""What ranges mean: several answers, the readings of a ceiling, lists, ceilings row by row."""

import pytest
from cells.fakes import FAKES
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.cells.call import call, problem
from sheetcalc.cells.registry import describe
from sheetcalc.cells.values import CellError
from sheetcalc.errors import NotReadable
from sheetcalc.kinds import Length, Number

LEFT, CAME, DEFAULTS = FAKES["what_is_left"], FAKES["as_it_came"], FAKES["with_default"]
READINGS, LISTS, STEPS = FAKES["readings_of"], FAKES["to_buy"], FAKES["steps"]
PLACES, ROOMS = FAKES["place_by_place"], FAKES["room_by_room"]
NUM, VALUE, NA, DIV = CellError.NUM, CellError.VALUE, CellError.NA, CellError.DIV


# --- One value: an answer per cell ---


def test_a_column_a_row_and_a_block_give_their_own_shape():
    assert call(LEFT, [[[20], [30]], 5]) == [[15.0], [25.0]]
    assert call(LEFT, [[[20, 30]], 5]) == [[15.0, 25.0]]
    assert call(LEFT, [[[20, 30], [40, 50]], 5]) == [[15.0, 25.0], [35.0, 45.0]]
    assert call(LEFT, (((20, 30), (40, 50)), 5)) == [[15.0, 25.0], [35.0, 45.0]]


def test_ranges_of_one_shape_go_together():
    assert call(LEFT, [[[20], [30]], [[5], [6]], [[1], [2]]]) == [[14.0], [22.0]]


def test_a_row_and_a_column_repeat():
    assert call(LEFT, [[[20, 30], [40, 50]], [[5], [6]]]) == [[15.0, 25.0], [34.0, 44.0]]
    assert call(LEFT, [[[20, 30], [40, 50]], [[5, 6]]]) == [[15.0, 24.0], [35.0, 44.0]]
    assert call(LEFT, [[[20], [30]], [[5, 6, 7]]]) == [[15.0, 14.0, 13.0], [25.0, 24.0, 23.0]]


@pytest.mark.parametrize("cut", [[[5], [6], [7]], [[5, 6], [7, 8]], [[5, 6, 7], [5, 6, 7], [5, 6, 7]]])
def test_other_shapes_do_not_fit(cut):
    lengths = [[20, 30, 40], [50, 60, 70]]
    assert call(LEFT, [lengths, cut]) is VALUE
    assert "cells, but must fit" in problem(LEFT, [lengths, cut])


def test_one_bad_cell_spoils_its_own_answer_only():
    lengths = [[20], ["x"], [NA], [None], [0], [2], ["2 ft"], [True]]
    assert call(LEFT, [lengths, 1.5]) == [[18.5], [VALUE], [NA], [VALUE], [NUM], [0.5], [22.5], [NUM]]
    assert problem(LEFT, [lengths, 1.5]).startswith("length, row 2, is “x”, but must be a length such as")
    assert problem(LEFT, [[[20, "x"]], 5]).startswith("length, column 2, is “x”, but")
    assert problem(LEFT, [[[20, 30], [40, "x"]], 5]).startswith("length, row 2, column 2, is “x”, but")
    assert problem(LEFT, [[[20], [None]], 5]) == "length, row 2, is not given, but is needed"
    assert problem(LEFT, [[[20], [2]], 5]) == "cut is 5 in, but must not be longer than the length"
    assert (
        problem(LEFT, [20, [[5, 25.5, 1]]])
        == "cut, column 2, is 25.5 in, but must not be longer than the length"
    )


def test_the_first_wrong_argument_speaks():
    assert call(LEFT, [[["x"], [20]], [[NA], [DIV]]]) == [[VALUE], [DIV]]


def test_a_bad_single_cell_spoils_every_answer():
    assert call(LEFT, [[[20], [30]], "x"]) == [[VALUE], [VALUE]]
    assert call(LEFT, [[[20], [30]]]) == [[VALUE], [VALUE]]
    assert problem(LEFT, [[[20], [30]]]) == "cut is not given, but is needed"


def test_blank_cells_of_an_optional_argument_take_the_default():
    assert call(LEFT, [20, 5, [[1], [None], [""]]]) == [[14.0], [15.0], [15.0]]
    assert call(DEFAULTS, [[[1], [None]]]) == [["(1.0, None)"], ["(0.015625, None)"]]
    assert call(DEFAULTS, [[["", 12.7]], "metric"]) == [["(0.019685039, None)", "(0.5, None)"]]


def test_words_and_choices_in_ranges():
    assert call(CAME, [1, [["oak", " fir", None]]]) == [
        ["(1.0, 'oak', 'round')", "(1.0, 'fir', 'round')", "(1.0, 'none', 'round')"]
    ]
    assert call(CAME, [1, None, [["Square"], ["oval"]]]) == [["(1.0, 'none', 'Square')"], [VALUE]]


def test_units_after_ranges():
    assert call(LEFT, [[[508], [254]], 127, "metric"]) == [[381.0], [127.0]]
    assert call(LEFT, [[[508], ["20 in"]], [["metric"]]]) == [[VALUE], [VALUE]]


def test_short_rows_are_filled_with_blanks():
    assert call(LEFT, [20, 5, [[1, 2], [3]]]) == [[14.0, 13.0], [12.0, 15.0]]


def test_a_range_without_cells_is_not_given():
    for nothing in ([], [[]], ()):
        assert call(LEFT, [nothing, 5]) is VALUE
        assert call(LEFT, [20, 5, nothing]) == 15


def test_more_answers_than_a_sheet_has_rows_are_refused():
    column, row = [[1]] * 2000, [[2] * 1000]
    assert call(LEFT, [column, row]) is NUM
    assert problem(LEFT, [column, row]) == "the answer must have 1048576 cells or fewer"


@given(
    lengths=st.lists(st.sampled_from([20, 30, "2 ft", "x", None, NA, 0]), min_size=2, max_size=4),
    cuts=st.lists(st.sampled_from([5, 25, "3 in", "y", None, DIV]), min_size=2, max_size=4),
    units=st.sampled_from(["us", "metric"]),
)
def test_a_grid_equals_its_single_calls(lengths, cuts, units):
    grid = call(LEFT, [[[length] for length in lengths], [cuts], 1, units])
    assert grid == [[call(LEFT, [length, cut, 1, units]) for cut in cuts] for length in lengths]


# --- Readings ---


def test_one_row_or_one_column_is_one_ceiling():
    assert call(READINGS, [[[120], [121]]]) == "([120.0, 121.0], 1, None)"
    assert call(READINGS, [[[120, 121]]]) == "([120.0, 121.0], 1, None)"
    assert call(READINGS, [[["10 ft"], [3048], ["3048 mm"]]]) == "([120.0, 3048.0, 120.0], 1, None)"


def test_blank_cells_are_no_readings_and_keep_their_place():
    assert (
        call(
            READINGS,
            [
                [
                    [120],
                    [None],
                    [
                        "",
                    ],
                    [121],
                ]
            ],
        )
        == "([120.0, None, None, 121.0], 1, None)"
    )


def test_no_reading_at_all():
    assert call(READINGS, [[[None], [""]]]) is VALUE
    assert problem(READINGS, [[[None], [""]]]) == "across is not given, but is needed"
    assert call(READINGS, [120, 1, [[None], [None]]]) == "(120.0, 1.0, None)"


def test_an_error_among_the_readings_is_passed_on():
    assert call(READINGS, [[[120], [DIV], ["x"]]]) is DIV
    assert call(READINGS, [[[120], ["x"], [DIV]]]) is VALUE
    assert problem(READINGS, [[[120], [DIV]]]) == "across, row 2, is #DIV/0!, but must not be an error"


def test_a_reading_that_breaks_a_rule_is_pointed_out():
    assert problem(READINGS, [[[120, 13, 121]]]) == "across, column 2, is 13 in, but must not be 13"
    assert problem(READINGS, [[[120], ["1' 1\""]]]) == "across, row 2, is “1' 1\"”, but must not be 13"
    assert problem(READINGS, [[[120], [330.2]], "metric"]) == "across, row 2, is 330.2 mm, but must not be 13"


def test_a_block_is_one_ceiling_per_row():
    assert call(READINGS, [[[120, 121], [130, None]]]) == [
        ["([120.0, 121.0], 1, None)"],
        ["([130.0, None], 1, None)"],
    ]


def test_a_row_of_a_block_without_a_reading_answers_blank():
    block = [[120, 121], [None, ""], [130, "x"], [NA, 1], [13, 5]]
    assert call(READINGS, [block]) == [["([120.0, 121.0], 1, None)"], [""], [VALUE], [NA], [NUM]]
    assert problem(READINGS, [block]).startswith("across, row 3, column 2, is “x”, but")
    assert (
        problem(READINGS, [[[120, 121], [1, 13]]]) == "across, row 2, column 2, is 13 in, but must not be 13"
    )


def test_a_row_left_blank_stays_blank_whatever_stands_beside_it():
    block = [[120, 121], [None, None]]
    assert call(READINGS, [block, [[1], ["x"]]])[1] == [""]
    assert call(READINGS, [block, "x"]) == [[VALUE], [""]]


def test_a_block_without_any_reading():
    assert call(READINGS, [[[None, None], [None, None]]]) == [[VALUE], [VALUE]]
    assert problem(READINGS, [[[None, None], [None, None]]]) == (
        "across, row 1, column 1, is not given, but is needed"
    )


def test_a_block_beside_one_value_for_each_ceiling():
    assert call(READINGS, [[[1, 2], [3, 4]], [[5], [6]]]) == [
        ["([1.0, 2.0], 5.0, None)"],
        ["([3.0, 4.0], 6.0, None)"],
    ]


def test_a_block_and_a_row_of_values_give_the_grid():
    assert call(READINGS, [[[1, 2], [3, 4]], [[5, 6]]]) == [
        ["([1.0, 2.0], 5.0, None)", "([1.0, 2.0], 6.0, None)"],
        ["([3.0, 4.0], 5.0, None)", "([3.0, 4.0], 6.0, None)"],
    ]


def test_two_blocks_go_row_by_row():
    across = [[1, 2], [3, 4], [None, None], [5, 6]]
    along = [[10, 20], [30, 40], [None, None], [None, None]]
    assert call(READINGS, [across, 1, along]) == [
        ["([1.0, 2.0], 1.0, [10.0, 20.0])"],
        ["([3.0, 4.0], 1.0, [30.0, 40.0])"],
        [""],
        ["([5.0, 6.0], 1.0, None)"],
    ]


def test_a_row_filled_in_one_of_two_needed_blocks_is_refused():
    across, along = [[120, 120], [None, None], [132, 132]], [[144, 144], [None, None], [None, None]]
    assert call("CEILING_AREA", [across, along]) == [[120.0], [""], [VALUE]]
    said = "along, row 3, column 1, is not given, but is needed"
    assert problem("CEILING_AREA", [across, along]) == said


def test_one_ceiling_and_several_values():
    row = [[120, 121, 122]]
    assert call(READINGS, [row, [[1], [2]]]) == [
        ["([120.0, 121.0, 122.0], 1.0, None)"],
        ["([120.0, 121.0, 122.0], 2.0, None)"],
    ]
    assert call(READINGS, [[[120], [121]], [[1, 2]]]) == [
        ["([120.0, 121.0], 1.0, None)", "([120.0, 121.0], 2.0, None)"]
    ]


def test_a_column_of_readings_beside_anything_with_rows_is_refused():
    column = [[120], [121], [122]]
    for beside in ([[1], [2], [3]], [[1], [2]], [[1, 2], [3, 4]]):
        assert call(READINGS, [column, beside]) is VALUE
        assert problem(READINGS, [column, beside]) == (
            "across is 3 cells, but must stand in a row when times has rows: 3 readings or 3 ceilings?"
        )
    assert call(READINGS, [column, 1, [[1, 2], [3, 4], [5, 6]]]) is VALUE
    assert call(READINGS, [column, 1, [[1], [2]]]) == "([120.0, 121.0, 122.0], 1.0, [1.0, 2.0])"


# --- Lists ---


def test_a_list_is_the_whole_range():
    assert (
        call(LISTS, [[[96, 48], [36, 24]], [[1, 2, 3, 4]]])
        == "([96.0, 48.0, 36.0, 24.0], [1.0, 2.0, 3.0, 4.0], None, 0, ())"
    )


def test_a_list_in_metric():
    assert (
        call(LISTS, [[[2540], ["4 ft"]], [[1], [2]], "metric"]) == "([100.0, 48.0], [1.0, 2.0], None, 0, ())"
    )


def test_blanks_of_a_list_alone_are_left_out():
    assert call(LISTS, [96, 1, "", "", [[16, None, 32]]]).endswith("[16.0, 32.0])")


def test_a_pair_blank_in_both_is_left_out():
    pieces, counts = [[96], [None], [24], [""]], [[1], [""], [4], [None]]
    assert call(LISTS, [pieces, counts]) == "([96.0, 24.0], [1.0, 4.0], None, 0, ())"
    limits = [[None], [None], [7], [None]]
    assert call(LISTS, [pieces, counts, limits]) == "([96.0, 24.0], [1.0, 4.0], [None, 7.0], 0, ())"


def test_blank_in_one_of_a_pair_is_refused():
    pieces = [[96], [None], [24], [48]]
    assert call(LISTS, [pieces, [[1], [None], [None], [2]]]) is VALUE
    assert problem(LISTS, [pieces, [[1], [None], [None], [2]]]) == (
        "counts, row 3, is not given, but is needed beside what is filled"
    )
    assert problem(LISTS, [pieces, [[1], [2], [3], [4]]]).startswith("pieces, row 2, is not given, but")
    assert call(LISTS, [pieces, [[1], [None], [3], [4]], [[1], [2], [3], [4]]]) is VALUE


def test_lists_that_are_not_equally_long():
    assert call(LISTS, [[[96], [48]], [[1], [2], [3]]]) is VALUE
    assert (
        problem(LISTS, [[[96], [48]], [[1], [2], [3]]])
        == "counts is 3 cells, but must have as many cells as pieces"
    )
    assert problem(LISTS, [[[96], [48]], 1]) == "counts is 1, but must have as many cells as pieces"


def test_a_list_without_a_value():
    assert call(LISTS, [[[None], [None]], [[None], [None]]]) is VALUE
    assert problem(LISTS, [[[None], [None]], [[None], [None]]]) == "pieces is not given, but is needed"
    assert problem(LISTS, [[[96], [48]], [[None], [None]]]) == "counts is not given, but is needed"
    assert call(LISTS, [[[96], [48]], [[1], [2]], [[None], [None]], 0, [[None], [None]]]) == (
        "([96.0, 48.0], [1.0, 2.0], None, 0.0, ())"
    )


def test_what_a_list_holds_wrongly_is_pointed_out():
    assert call(LISTS, [[[96], [NA]], [[1], [2]]]) is NA
    assert problem(LISTS, [[[96], ["x"]], [[1], [2]]]).startswith("pieces, row 2, is “x”, but")
    assert problem(LISTS, [[[96], [48]], [[1], ["few"]]]) == "counts, row 2, is “few”, but must be a number"
    assert call(LISTS, [[[None], [96], [13]], [[None], [1], [2]]]) is NA
    assert (
        problem(LISTS, [[[None], [96], [13]], [[None], [1], [2]]])
        == "pieces, row 3, is 13 in, but must be on offer"
    )


def test_one_list_and_several_values():
    assert call(LISTS, [[[96], [48]], [[1], [2]], "", [[0.125], [0.25]]]) == [
        ["([96.0, 48.0], [1.0, 2.0], None, 0.125, ())"],
        ["([96.0, 48.0], [1.0, 2.0], None, 0.25, ())"],
    ]
    assert call(LISTS, [[[96], ["x"]], [[1], [2]], "", [[0.125], [0.25]]]) == [[VALUE], [VALUE]]


# --- Tables ---


def test_a_table_takes_one_value():
    assert call(STEPS, [[[7], [8]], 2]) is VALUE
    assert (
        problem(STEPS, [[[7], [8]], 2]) == "height is 2 cells, but must be one value: the answer is a table"
    )
    assert call(STEPS, [7, 1, [[1, 2, 3]]]) == call(STEPS, [7, 1])


def test_a_table_takes_one_ceiling():
    assert call(PLACES, [[[1, 2], [3, 4]]]) is VALUE
    assert problem(PLACES, [[[1, 2], [3, 4]]]) == (
        "across is 2 by 2 cells, but must be one row or one column: the answer is a table of one ceiling"
    )


def test_a_table_by_readings_keeps_the_place_of_a_blank():
    assert call(PLACES, [[[1], [None], [3]]]) == [[1.0], [""], [3.0]]
    assert call(PLACES, [[[25.4, "", 3 * 25.4]], "metric"]) == [[25.4], [""], [76.2]]


# --- Ceilings row by row ---


def test_every_row_is_a_ceiling():
    assert call(ROOMS, [[[120], [130]], [[90], [91]], 5]) == [
        [120.0, 5.0, "([120.0], [90.0], None, 'auto', 1)"],
        [130.0, 5.0, "([130.0], [91.0], None, 'auto', 1)"],
    ]
    assert call(ROOMS, [[[120, 121]], [[90, None]], 5]) == [
        [121.0, 5.0, "([120.0, 121.0], [90.0, None], None, 'auto', 1)"]
    ]


def test_one_value_or_a_column_for_each_ceiling():
    across, along = [[120], [130]], [[90, None], [91, 92]]
    assert call(ROOMS, [across, along, [[5], [6]], [["1/2"], [None]], [["full"], [""]], 3]) == [
        [120.0, 5.0, "([120.0], [90.0, None], 0.5, 'full', 3.0)"],
        [130.0, 6.0, "([130.0], [91.0, 92.0], None, 'auto', 3.0)"],
    ]


def test_ceilings_in_metric_and_padded():
    rows = call(ROOMS, [[[2540], [5080]], [[90], [91]], 127, "", "", "", 3, "metric"])
    assert [row[:2] for row in rows] == [[2540.0, 127.0], [5080.0, 127.0], ["", ""]]
    assert call(ROOMS, [[[120], [130]], [[90], [91]], 5, "", "", "", 1]) is NUM


def test_one_bad_ceiling_spoils_its_own_row_only():
    across, along = [[120], [None], [13], ["x"], [14], [None]], [[90], [None], [91], [92], [None], [93]]
    rows = call(ROOMS, [across, along, [[5], [6], [7], [8], [9], [9]]])
    assert [row[0] for row in rows] == [120.0, "", NUM, VALUE, VALUE, VALUE]
    assert [row[2] for row in rows[1:]] == ["", NUM, VALUE, VALUE, VALUE]
    assert problem(ROOMS, [across, along, 5]) == "across, row 3, is 13 in, but must not be 13"
    assert (
        problem(ROOMS, [[[120], [130]], [[90], [91]], [[5], [0]]])
        == "face, row 2, is 0 in, but must be over 0"
    )
    assert call(ROOMS, [[[120], [130]], [[90], [91]], [[5], [None]]])[1] == [VALUE] * 3


def test_ceilings_without_any_reading():
    assert call(ROOMS, [[[None], [None]], [[None], [None]], 5]) == [[VALUE] * 3] * 2
    assert call(ROOMS, [[[None, None]], 90, 5]) is VALUE


@pytest.mark.parametrize(
    ("args", "said"),
    [
        ([[[120], [130]], [[90]], 5], "along is 90 in, but must have one row for each ceiling"),
        ([[[120], [130]], [[90, 91]], 5], "along is 2 cells, but must have one row for each ceiling"),
        ([120, [[90], [91]], 5], "across is 120 in, but must have one row for each ceiling"),
        ([[[120], [130]], [[90], [91]], [[5, 6]]], "face is 2 cells, but must be one value, or a column"),
        (
            [[[120], [130]], [[90], [91]], [[5], [6], [7]]],
            "face is 3 cells, but must be one value, or a column",
        ),
        ([120, 90, [[5], [6]]], "face is 2 cells, but must be one value, or a column"),
        ([120, 90, 5, "", "", [[1], [2]]], "price is 2 cells, but must be one value: the answer is a table"),
    ],
)
def test_ceilings_that_do_not_fit(args, said):
    assert call(ROOMS, args) is VALUE
    assert problem(ROOMS, args).startswith(said)


# --- Where a trade function points ---


def test_a_rule_about_the_whole_range_names_its_size():
    def uneven(across: Number, rest: Number = 0) -> Length:
        raise NotReadable("rest", None, "must be even")

    function = describe(uneven, "fakes")
    assert problem(function, [[[1], [2]]]) == "rest is not given, but must be even"
    assert problem(function, [[[1], [2]], [[3], [4]]]) == "rest, row 1, is 3, but must be even"
