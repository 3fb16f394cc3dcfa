from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import gaps, lengths, readings

from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.trade.cutting import cut_batches, cut_length, smallest_gap, stock_length, widest_gap

alongs = st.lists(readings, min_size=1, max_size=9)


@pytest.mark.parametrize(
    ("given_", "length"),
    [
        # one reading: less both gaps
        ({"along": 183.5, "gap": 0.5, "finish_gap": 0.75}, 182.25),
        ({"along": [183.5, None, 183.5], "gap": 0.5}, 182.5),
        # readings that vary: their mean, 183.75, while the smallest gap stays over half of the finish gap
        ({"along": [183.5, 183.75, 184], "gap": 0.5, "finish_gap": 0.75}, 182.5),
        # held to the longest: narrowest 183 - 0.5 - 0.375, where mean 184 - 1.25 would leave 0.25
        ({"along": [183, 185], "gap": 0.5, "finish_gap": 0.75}, 182.125),
        ({"along": [183, 185], "gap": 0.5, "finish_gap": 0.75, "least_gap": 0}, 182.5),
        ({"along": [183, 185], "gap": 0.5, "finish_gap": 1.5, "least_gap": 0.25}, 182),
        # held to the shortest: widest 185 - 0.5 - 1.75, where mean 183.5 - 1.25 would leave 2.25
        (
            {"along": [183, 183, 183, 185], "gap": 0.5, "finish_gap": 0.75, "least_gap": 0, "most_gap": 2},
            182.5,
        ),
        # shortest and longest meet: one length just does
        ({"along": [183, 185], "gap": 0.5, "finish_gap": 0.75, "least_gap": 0.25, "most_gap": 2.25}, 182.25),
        # a most gap that does not bind
        ({"along": [183.5, 184], "gap": 0.5, "finish_gap": 0.75, "most_gap": 3}, 182.5),
        # the least gap asked for is over the finish gap, and wins
        ({"along": 184, "gap": 0.5, "finish_gap": 0.25, "least_gap": 1}, 182.5),
    ],
)
def test_cut_length(given_, length):
    assert cut_length(**given_) == length


@pytest.mark.parametrize(
    ("given_", "error", "argument"),
    [
        ({"along": [], "gap": 0.5}, NotReadable, "along"),
        ({"along": [None], "gap": 0.5}, NotReadable, "along"),
        ({"along": [183, 0], "gap": 0.5}, InputError, "along"),
        ({"along": 183, "gap": -0.5}, InputError, "gap"),
        ({"along": 183, "gap": 0.5, "finish_gap": -0.25}, InputError, "finish_gap"),
        ({"along": 183, "gap": 0.5, "least_gap": -0.25}, InputError, "least_gap"),
        ({"along": 183, "gap": 0.5, "least_gap": 0.25, "most_gap": 0.25}, InputError, "most_gap"),
        ({"along": 183, "gap": 0.5, "least_gap": 0, "most_gap": 0}, InputError, "most_gap"),
        ({"along": [183, 186], "gap": 0.5, "least_gap": 0.25, "most_gap": 3}, InputError, "along"),
        ({"along": 1.5, "gap": 0.75}, InputError, "along"),
        ({"along": 1.25, "gap": 0.75}, InputError, "along"),
    ],
)
def test_cut_length_refuses(given_, error, argument):
    with pytest.raises(error) as refused:
        cut_length(**given_)
    assert refused.value.argument == argument


@given(alongs, gaps, gaps)
def test_cut_length_never_leaves_less_than_half_the_finish_gap(along, gap, finish_gap):
    length = cut_length(along=along, gap=gap, finish_gap=finish_gap)
    smallest = smallest_gap(along=along, cut_length=length, gap=gap)
    assert smallest >= finish_gap / 2 - 1e-9
    mean = Fraction(sum(map(Fraction, along)), len(along)) - Fraction(gap + finish_gap)
    assert length <= float(mean) + 1e-9
    if smallest > finish_gap / 2 + 1e-9:
        assert length == pytest.approx(float(mean))


@given(alongs, gaps, lengths(0, 1), lengths(1.0625, 6))
def test_one_batch_keeps_the_gap_within_its_limits_and_more_batches_are_asked_for_exactly_when_it_cannot(
    along, gap, least_gap, most_gap
):
    limits = {"along": along, "least_gap": least_gap, "most_gap": most_gap}
    if cut_batches(**limits) > 1:
        with pytest.raises(InputError):
            cut_length(gap=gap, **limits)
    else:
        length = cut_length(gap=gap, **limits)
        assert smallest_gap(along=along, cut_length=length, gap=gap) >= least_gap - 1e-9
        assert widest_gap(along=along, cut_length=length, gap=gap) <= most_gap + 1e-9


def test_cut_batches_counts_whole_steps():
    assert cut_batches(along=183.5, least_gap=0.25, most_gap=1) == 1
    assert cut_batches(along=[183.5, 184.25], least_gap=0.25, most_gap=1) == 1
    assert cut_batches(along=[183.5, 184.25, 184.3125], least_gap=0.25, most_gap=1) == 2
    assert cut_batches(along=[183.1, 183.4], least_gap=0.2, most_gap=0.3) == 3  # exact, whatever floats say


@given(alongs, lengths(0, 1), lengths(1.0625, 6))
def test_cut_batches_is_exact(along, least_gap, most_gap):
    steps = (Fraction(max(along)) - Fraction(min(along))) / (Fraction(most_gap) - Fraction(least_gap))
    assert cut_batches(along=along, least_gap=least_gap, most_gap=most_gap) == max(1, ceil(steps))


@pytest.mark.parametrize(
    ("limits", "argument"),
    [
        ({"least_gap": -0.25, "most_gap": 1}, "least_gap"),
        ({"least_gap": 1, "most_gap": 0.25}, "most_gap"),
        ({"least_gap": 0.25, "most_gap": 0.25}, "most_gap"),
    ],
)
def test_cut_batches_refuses(limits, argument):
    with pytest.raises(InputError) as refused:
        cut_batches(along=[183.5, 184], **limits)
    assert refused.value.argument == argument


def test_gaps_at_the_far_end_wander_between_smallest_and_widest():
    along = {"along": [183.5, None, 183.25, 184.125], "cut_length": 182, "gap": 0.75}
    assert smallest_gap(**along) == 0.5
    assert widest_gap(**along) == 1.375


def test_a_gap_may_come_out_negative_but_never_as_dust():
    assert smallest_gap(along=[182.5, 184], cut_length=182, gap=0.75) == -0.25
    assert smallest_gap(along=0.3, cut_length=0.2, gap=0.1) == 0


@pytest.mark.parametrize("gap_at", [smallest_gap, widest_gap])
@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"along": [None]}, NotReadable),
        ({"along": -1}, InputError),
        ({"cut_length": 0}, InputError),
        ({"gap": -0.25}, InputError),
    ],
)
def test_gaps_at_the_far_end_refuse(gap_at, wrong, error):
    with pytest.raises(error) as refused:
        gap_at(**{"along": 183.5, "cut_length": 182, "gap": 0.75} | wrong)
    assert refused.value.argument == next(iter(wrong))


def test_stock_length_is_the_shortest_that_yields_the_piece():
    assert stock_length(cut_length=140, stock=[192, 144, 168]) == 144
    assert stock_length(cut_length=140, stock=[192, 144, 168], end_trim=4) == 144
    assert stock_length(cut_length=140, stock=[192, 144, 168], end_trim=4.0625) == 168
    assert stock_length(cut_length=0.7, stock=[0.8], end_trim=0.1) == 0.8  # exact, whatever floats say


def test_no_stock_long_enough_is_not_found():
    with pytest.raises(NotFound) as refused:
        stock_length(cut_length=192.0625, stock=[192, 144])
    assert refused.value.argument == "stock"


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"cut_length": 0}, InputError),
        ({"stock": []}, NotReadable),
        ({"stock": [192, 0]}, InputError),
        ({"stock": [192, "long"]}, NotReadable),
        ({"end_trim": -1}, InputError),
    ],
)
def test_stock_length_refuses(wrong, error):
    with pytest.raises(error) as refused:
        stock_length(**{"cut_length": 140, "stock": [192], "end_trim": 2} | wrong)
    assert refused.value.argument == next(iter(wrong))


@given(alongs, gaps)
def test_a_second_unit_system_changes_nothing(along, gap):
    scaled = [reading * 25.4 for reading in along]
    length = cut_length(along=along, gap=gap)
    assert cut_length(along=scaled, gap=gap * 25.4) == pytest.approx(length * 25.4)
    assert smallest_gap(along=scaled, cut_length=length * 25.4, gap=gap * 25.4) == pytest.approx(
        smallest_gap(along=along, cut_length=length, gap=gap) * 25.4, abs=1e-9
    )
