import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import faces, lengths

from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.trade.boards import (
    board_coverage,
    board_feet,
    board_price,
    board_thickness,
    board_weight,
    course_pitch,
    face_width,
    overall_width,
    running_length,
)

board_lengths = lengths(1, 300)

VALID = {
    board_coverage: {"face": 5.125, "length": 192, "count": 3},
    board_feet: {"nominal": "1x6", "length": 192, "count": 3},
    board_price: {"price": 2, "per": "board foot", "nominal": "1x6", "length": 192},
    board_weight: {"thickness": 0.75, "width": 5.375, "length": 192, "density": 24, "count": 3},
    course_pitch: {"run_length": 51.5, "boards": 10, "joint_space": 0.0625},
    running_length: {"area": 160, "face": 5.125, "waste": 0.1},
}


# --- sizes ---


@pytest.mark.parametrize("size", [face_width, overall_width, board_thickness])
@pytest.mark.parametrize("typed", ["1x6", "1X6", " 1 x 6 ", "1×6", "1 × 6"])
def test_a_size_is_found_however_it_is_typed(size, typed):
    assert size(nominal=typed) == size(nominal="1x6")


@pytest.mark.parametrize("size", [face_width, overall_width, board_thickness])
@pytest.mark.parametrize("typed", ["2x6", "1x5", "6x1", "1x66", "1 by 6", "pine"])
def test_another_size_is_not_found(size, typed):
    with pytest.raises(NotFound, match="1x4, 1x6, 1x8, 1x10, 1x12") as refused:
        size(nominal=typed)
    assert (refused.value.argument, refused.value.value) == ("nominal", typed)


@pytest.mark.parametrize("size", [face_width, overall_width, board_thickness])
@pytest.mark.parametrize("typed", ["", "  ", 6, None])
def test_a_size_is_text(size, typed):
    with pytest.raises(NotReadable):
        size(nominal=typed)


@pytest.mark.parametrize("typed", ["19x135x121mm", "19 x 135 x 121 mm", "19.0×135×121 MM"])
def test_a_size_may_state_thickness_overall_width_and_face(typed):
    sizes = [size(nominal=typed) * 25.4 for size in (board_thickness, overall_width, face_width)]
    assert sizes == pytest.approx([19, 135, 121])


@pytest.mark.parametrize("typed", ["19x121x135 mm", "0x135x121 mm", "19x135x0 mm"])
def test_a_stated_size_that_cannot_be_is_refused(typed):
    with pytest.raises(InputError, match="in this order"):
        face_width(nominal=typed)


@pytest.mark.parametrize(
    "typed",
    [
        "19x135x121",
        "19x135 mm",
        "19x135x121x5 mm",
        "19x135x-1 mm",
        "3/4x6x5 mm",
        f"19x{'9' * 400}x121 mm",
        f"19x135.{'1' * 5000}x121 mm",
    ],
)
def test_a_size_that_states_too_little_is_not_found(typed):
    with pytest.raises(NotFound):
        face_width(nominal=typed)


# --- pitch, coverage, running length ---


def test_course_pitch_is_the_run_shared_out_plus_the_space():
    assert course_pitch(run_length=51.5, boards=10) == 5.15
    assert course_pitch(run_length=51.5, boards=10, joint_space=0.0625) == 5.2125
    assert course_pitch(run_length=5.125, boards=1) == 5.125


@pytest.mark.parametrize("boards", [0, -1, 2.5])
def test_course_pitch_needs_whole_boards(boards):
    with pytest.raises(InputError) as refused:
        course_pitch(run_length=51.5, boards=boards)
    assert refused.value.argument == "boards"


def test_board_coverage():
    assert board_coverage(face=6, length=192) == 8
    assert board_coverage(face=6, length=192, count=5) == 40
    assert board_coverage(face=6, length=192, count=0) == 0


def test_running_length_adds_the_waste():
    assert running_length(area=165, face=5.5) == 360
    assert running_length(area=165, face=5.5, waste=0.5) == 540
    assert running_length(area=0, face=5.5, waste=0.5) == 0


@given(face=faces, length=board_lengths, count=st.integers(1, 400))
def test_running_length_is_what_covers_the_area(face, length, count):
    area = board_coverage(face=face, length=length, count=count)
    assert running_length(area=area, face=face) == pytest.approx(count * length / 12)


@pytest.mark.parametrize("waste", [1, 1.5, -0.1, 10])
def test_running_length_takes_waste_as_a_share(waste):
    with pytest.raises(InputError) as refused:
        running_length(area=160, face=5.125, waste=waste)
    assert refused.value.argument == "waste"


# --- board measure and price ---


@pytest.mark.parametrize(
    ("nominal", "thickness", "width"),
    [
        ("2x8", 2, 8),
        ("1x6", 1, 6),
        ("5/4x6", 1.25, 6),
        ("1 1/4 x 6", 1.25, 6),
        ("1-1/4X6", 1.25, 6),
        ("1¼×6", 1.25, 6),
        ("1.25x6", 1.25, 6),
        ("1x5.5", 1, 5.5),
        ("3/4x6", 1, 6),  # under 1 in counts as 1 in
        ("1/2 x 4", 1, 4),
        ("24x24", 24, 24),
    ],
)
def test_board_feet_reads_any_nominal_size(nominal, thickness, width):
    assert board_feet(nominal=nominal, length=144) == thickness * width
    assert board_feet(nominal=nominal, length=36, count=8) == 2 * thickness * width


def test_no_board_is_no_board_feet():
    assert board_feet(nominal="1x6", length=192, count=0) == 0


@pytest.mark.parametrize(
    "nominal", ["", "1x", "x6", "1x6x12", "six", "1x6mm", '1"x6"', "2x8'", "1 6", 6, None]
)
def test_board_feet_guesses_nothing(nominal):
    with pytest.raises(NotReadable) as refused:
        board_feet(nominal=nominal, length=144)
    assert (refused.value.argument, refused.value.value) == ("nominal", nominal)


@pytest.mark.parametrize("nominal", ["0x6", "1x0", "-1x6", "25x150", "19x140", "1x24.5"])
def test_board_feet_refuses_sizes_that_are_no_nominal_inches(nominal):
    with pytest.raises(InputError) as refused:
        board_feet(nominal=nominal, length=144)
    assert refused.value.argument == "nominal"


@pytest.mark.parametrize(
    ("price", "per", "expected"),
    [
        (19.5, "board", 19.5),
        (1.25, "foot", 20),  # 16 running feet
        (2.5, "board foot", 20),  # 8 board feet
        (2500, "1000 board feet", 20),
        (4.1, "metre", 4.1 * 4.8768),
        (0, "board", 0),
    ],
)
def test_board_price(price, per, expected):
    assert board_price(price=price, per=per, nominal="1x6", length=192) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("per", ["board", "foot", "metre"])
def test_the_size_is_read_only_where_the_price_needs_it(per):
    assert board_price(price=2, per=per, nominal="cedar", length=192) > 0
    with pytest.raises(NotReadable):
        board_price(price=2, per="board foot", nominal="cedar", length=192)


@pytest.mark.parametrize("per", ["yard", "", "boards", None, 1000])
def test_another_word_is_no_price(per):
    with pytest.raises(NotReadable, match="1000 board feet") as refused:
        board_price(price=2, per=per, nominal="1x6", length=192)
    assert refused.value.argument == "per"


@given(
    nominal=st.sampled_from(["1x4", "1x6", "5/4x6", "2x8"]), length=board_lengths, count=st.integers(1, 300)
)
def test_a_price_by_the_thousand_is_the_board_foot_price(nominal, length, count):
    each = board_price(price=1.85, per="board foot", nominal=nominal, length=length)
    assert board_price(price=1850, per="1000 board feet", nominal=nominal, length=length) == pytest.approx(
        each
    )
    assert count * each == pytest.approx(1.85 * board_feet(nominal=nominal, length=length, count=count))


# --- weight ---


def test_board_weight():
    assert board_weight(thickness=0.75, width=6, length=192, density=24) == 12
    assert board_weight(thickness=0.75, width=6, length=192, density=24, count=10) == 120
    assert board_weight(thickness=0.75, width=6, length=192, density=24, count=0) == 0


# --- what is refused, by name ---

BAD = [
    *((function, name, 0) for function in VALID for name in VALID[function]
      if name in {"face", "length", "run_length", "thickness", "width", "density"}),
    *((function, name, -1) for function in VALID for name in VALID[function]
      if name not in {"nominal", "per"}),
    *((function, name, math.nan) for function in VALID for name in VALID[function]
      if name not in {"nominal", "per"}),
    *((function, "count", 1.5) for function in VALID if "count" in VALID[function]),
]  # fmt: skip


@pytest.mark.parametrize(("function", "argument", "value"), BAD)
def test_a_value_outside_its_range_is_named(function, argument, value):
    with pytest.raises(InputError) as refused:
        function(**{**VALID[function], argument: value})
    assert refused.value.argument == argument


@pytest.mark.parametrize("function", VALID)
def test_text_in_a_numbers_place_is_not_readable(function):
    for name in VALID[function]:
        if name not in {"nominal", "per"}:
            with pytest.raises(NotReadable) as refused:
                function(**{**VALID[function], name: "12"})
            assert refused.value.argument == name
