import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import lengths
from strategies import readings as measures

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.readings import ceiling_area, out_of_parallel, out_of_square, slope_length


def test_out_of_parallel_is_widest_less_narrowest_wherever_they_stand():
    assert out_of_parallel(across=[120.25, 121, 119.5, 120]) == 1.5
    assert out_of_parallel(across=[119.5, None, 121]) == 1.5


def test_out_of_parallel_of_one_reading_is_nothing():
    assert out_of_parallel(across=120) == 0
    assert out_of_parallel(across=[None, 120]) == 0


def test_out_of_parallel_has_no_float_dust():
    assert out_of_parallel(across=[120.1, 120 + 0.1, 60.05 * 2]) == 0


@given(st.lists(measures, min_size=1, max_size=9), st.randoms())
def test_out_of_parallel_does_not_depend_on_order_or_blanks(readings, random):
    shuffled = [*readings, None]
    random.shuffle(shuffled)
    assert out_of_parallel(across=shuffled) == out_of_parallel(across=readings) >= 0


@pytest.mark.parametrize("across", [[], [None], None])
def test_out_of_parallel_needs_a_reading(across):
    with pytest.raises(NotReadable) as refused:
        out_of_parallel(across=across)
    assert refused.value.argument == "across"


@pytest.mark.parametrize("across", [0, -120, [120, 0], math.nan, [120, math.inf]])
def test_out_of_parallel_refuses_what_no_tape_shows(across):
    with pytest.raises(InputError):
        out_of_parallel(across=across)


def test_equal_diagonals_are_square():
    assert out_of_square(along=192, diagonal_1=230.5, diagonal_2=230.5) == 0


def test_out_of_square_is_signed_by_the_longer_diagonal():
    assert out_of_square(along=192, diagonal_1=240, diagonal_2=228) == 7.3125
    assert out_of_square(along=192, diagonal_1=228, diagonal_2=240) == -7.3125


def test_out_of_square_takes_the_mean_of_several_readings():
    assert out_of_square(along=[191, None, 193], diagonal_1=240, diagonal_2=228) == 7.3125


@given(
    along=measures,
    across=measures,
    slip=lengths(-12, 12),
)
def test_out_of_square_finds_the_slip_of_a_parallelogram_drawn_by_corners(along, across, slip):
    diagonal_1 = math.hypot(along + slip, across)
    diagonal_2 = math.hypot(along - slip, across)
    found = out_of_square(along=along, diagonal_1=diagonal_1, diagonal_2=diagonal_2)
    assert found == pytest.approx(slip, abs=1e-9)


@pytest.mark.parametrize(
    ("along", "diagonal_1", "diagonal_2"),
    [
        (192, 100, 90),  # too short to reach
        (192, 192, 192),  # flat: the corners fall on one line
        (10, 240, 210),  # half the difference is more than the side
        (15, 240, 210),  # and just as much
    ],
)
def test_out_of_square_refuses_a_triangle_that_does_not_close(along, diagonal_1, diagonal_2):
    with pytest.raises(InputError, match="half the sum") as refused:
        out_of_square(along=along, diagonal_1=diagonal_1, diagonal_2=diagonal_2)
    assert refused.value.argument == "along"


@given(along=measures, diagonal_1=measures, diagonal_2=measures)
def test_out_of_square_answers_exactly_when_a_parallelogram_exists(along, diagonal_1, diagonal_2):
    # d1² + d2² = 2(L² + W²), and the slip may not be longer than the sloping side W
    across_squared = (diagonal_1**2 + diagonal_2**2) / 2 - along**2
    slip = (diagonal_1**2 - diagonal_2**2) / (4 * along)
    assume(abs(across_squared - slip**2) > 1e-3)
    if across_squared > slip**2:
        assert out_of_square(along=along, diagonal_1=diagonal_1, diagonal_2=diagonal_2) == pytest.approx(slip)
    else:
        with pytest.raises(InputError):
            out_of_square(along=along, diagonal_1=diagonal_1, diagonal_2=diagonal_2)


@pytest.mark.parametrize("argument", ["along", "diagonal_1", "diagonal_2"])
@pytest.mark.parametrize("value", [0, -1, math.nan])
def test_out_of_square_names_the_argument(argument, value):
    with pytest.raises(InputError) as refused:
        out_of_square(**{"along": 192, "diagonal_1": 240, "diagonal_2": 228, argument: value})
    assert refused.value.argument == argument


def test_slope_length_by_right_triangles():
    assert slope_length(run=120, rise=5) == 130  # 5-12-13
    assert slope_length(run=120, rise=9) == 150  # 3-4-5
    assert slope_length(run=120, rise=75, per=100) == 150  # the metric way of stating it


def test_level_is_its_own_length():
    assert slope_length(run=97.5, rise=0) == 97.5


@given(
    run=measures,
    rise=lengths(0, 24),
    per=st.sampled_from([12, 100]),
)
def test_slope_length_is_the_long_side_of_run_and_whole_rise(run, rise, per):
    assert slope_length(run=run, rise=rise, per=per) == pytest.approx(math.hypot(run, run * rise / per))


@pytest.mark.parametrize(
    ("argument", "value"), [("run", 0), ("run", -5), ("rise", -0.5), ("per", 0), ("rise", math.inf)]
)
def test_slope_length_names_the_argument(argument, value):
    with pytest.raises(InputError) as refused:
        slope_length(**{"run": 120, "rise": 3, "per": 12, argument: value})
    assert (refused.value.argument, refused.value.value) == (argument, value)


def test_text_is_no_number():
    with pytest.raises(NotReadable):
        slope_length(run="120", rise=3)


def test_ceiling_area_takes_the_mean_of_readings_both_ways():
    assert ceiling_area(across=[108, None, 132], along=[190, 194]) == pytest.approx(120 * 192 / 144)
    with pytest.raises(NotReadable):
        ceiling_area(across=[None], along=192)
