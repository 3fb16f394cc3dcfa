"""scipy.stats as an independent reference for orders under a cull rate.

The table is derived, not published: the smallest N with P(good ≥ n) ≥ confidence, good ~ Binomial(N, 1 − q),
worked out apart from this package. Agreement with scipy.stats.binom.cdf: 1e-10 relative, where the chance is
over 1e-30.
"""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import stats

from sheetcalc.trade.ordering import boards_to_order, chance_short

CONFIDENCES = (0.90, 0.95, 0.99)
TABLE = {  # good boards: cull rate: orders at the three confidences
    10: {0.05: (12, 12, 13), 0.10: (13, 13, 14), 0.15: (14, 14, 16)},
    20: {0.05: (22, 23, 24), 0.10: (24, 25, 27), 0.15: (26, 27, 29)},
    25: {0.05: (28, 28, 30), 0.10: (30, 31, 33), 0.15: (32, 33, 36)},
    100: {0.05: (108, 109, 111), 0.10: (116, 117, 120), 0.15: (124, 125, 129)},
}
PLAIN_DIVISION = {10: (11, 12, 12), 20: (22, 23, 24), 25: (27, 28, 30), 100: (106, 112, 118)}

CELLS = [
    (good_boards, cull_rate, confidence, order)
    for good_boards, rates in TABLE.items()
    for cull_rate, orders in rates.items()
    for confidence, order in zip(CONFIDENCES, orders, strict=True)
]


@pytest.mark.parametrize(("good_boards", "cull_rate", "confidence", "order"), CELLS)
def test_the_table(good_boards: int, cull_rate: float, confidence: float, order: int):
    assert boards_to_order(good_boards=good_boards, cull_rate=cull_rate, confidence=confidence) == order
    assert good_boards + stats.nbinom.ppf(confidence, good_boards, 1 - cull_rate) == order


def test_dividing_by_the_share_of_good_boards_runs_short_often():
    """20 good boards at 10 %: 22 boards are enough with a chance of 0.6200, 25 with 0.9666."""
    assert 1 - chance_short(ordered=22, good_boards=20, cull_rate=0.1) == pytest.approx(0.6200, abs=5e-5)
    assert 1 - chance_short(ordered=25, good_boards=20, cull_rate=0.1) == pytest.approx(0.9666, abs=5e-5)
    for good_boards, orders in PLAIN_DIVISION.items():
        for cull_rate, divided in zip(TABLE[good_boards], orders, strict=True):
            assert math.ceil(good_boards / (1 - cull_rate) - 1e-9) == divided
            assert divided < boards_to_order(good_boards, cull_rate, 0.99)


@given(
    ordered=st.integers(0, 5000),
    good_boards=st.integers(0, 5000),
    cull_rate=st.integers(0, 1000).map(lambda thousandths: thousandths / 1000),
)
@example(ordered=5000, good_boards=4500, cull_rate=0.1)
@example(ordered=1_000_000, good_boards=500_000, cull_rate=0.5)
def test_chances_agree_with_scipy(ordered: int, good_boards: int, cull_rate: float):
    expected = stats.binom.cdf(good_boards - 1, ordered, 1 - cull_rate)
    assert chance_short(ordered=ordered, good_boards=good_boards, cull_rate=cull_rate) == pytest.approx(
        expected, rel=1e-10, abs=1e-30
    )


@given(
    good_boards=st.integers(1, 5000),
    cull_rate=st.integers(1, 990).map(lambda thousandths: thousandths / 1000),
    confidence=st.integers(1, 9999).map(lambda parts: parts / 10_000),
)
@example(good_boards=5000, cull_rate=0.5, confidence=0.95)
@example(good_boards=3000, cull_rate=0.9, confidence=0.999)
def test_orders_agree_with_scipy(good_boards: int, cull_rate: float, confidence: float):
    order = boards_to_order(good_boards=good_boards, cull_rate=cull_rate, confidence=confidence)
    # A chance within 1e-9 of the wanted one counts as that one, here and nowhere in scipy.
    assert stats.binom.sf(good_boards - 1, order, 1 - cull_rate) >= confidence - 1.1e-9
    assert order == good_boards or stats.binom.sf(good_boards - 1, order - 1, 1 - cull_rate) < confidence
