"""Penn State STAT 414, section 11.6, Negative Binomial Examples (online.stat.psu.edu/stat414/lesson/11/11.6).

A well strikes oil with a chance of 20 %; here a well is a board ordered, a strike a good board, so the cull
rate is 80 %. The first or third good board comes on board N when N − 1 boards still are short and N are not.
"""

import math

import pytest

from sheetcalc.trade.ordering import boards_to_order, chance_short


def comes_on(board: int, good_boards: int) -> float:
    short_before = chance_short(ordered=board - 1, good_boards=good_boards, cull_rate=0.8)
    return short_before - chance_short(ordered=board, good_boards=good_boards, cull_rate=0.8)


def test_first_success_on_the_third_trial():
    assert comes_on(board=3, good_boards=1) == pytest.approx(0.128, rel=1e-12)  # printed in full


def test_third_success_on_the_seventh_trial():
    assert comes_on(board=7, good_boards=3) == pytest.approx(0.049, abs=5e-4)  # printed to three places
    assert comes_on(board=7, good_boards=3) == pytest.approx(15 * 0.8**4 * 0.2**3, rel=1e-12)


def test_mean_15_and_variance_60_of_the_trials_to_the_third_success():
    chances = [chance_short(ordered=boards, good_boards=3, cull_rate=0.8) for boards in range(600)]
    mean = math.fsum(chances)
    square = math.fsum((2 * boards + 1) * chance for boards, chance in enumerate(chances))
    assert mean == pytest.approx(15, rel=1e-12)
    assert square - mean**2 == pytest.approx(60, rel=1e-12)


def test_an_order_is_the_trial_by_which_the_wanted_successes_have_come():
    order = boards_to_order(good_boards=3, cull_rate=0.8, confidence=0.95)
    assert math.fsum(comes_on(board, 3) for board in range(3, order + 1)) >= 0.95
    assert math.fsum(comes_on(board, 3) for board in range(3, order)) < 0.95
