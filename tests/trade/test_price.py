"""Prices, payments and past jobs."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.price import (
    amount_due,
    cull_from_jobs,
    margin_from_markup,
    markup_from_margin,
    payment_split,
    price_from_margin,
    price_from_markup,
    rate_from_jobs,
    round_price,
)

COSTS = st.integers(0, 10_000_000).map(lambda cents: cents / 100)
SHARES = st.integers(0, 99).map(lambda percent: percent / 100)


@given(cost=COSTS, margin=SHARES.filter(lambda margin: margin <= 0.9))
def test_markup_and_margin_give_one_price(cost: float, margin: float):
    markup = markup_from_margin(margin=margin)
    assert price_from_markup(cost=cost, markup=markup) == pytest.approx(
        price_from_margin(cost=cost, margin=margin)
    )
    assert margin_from_markup(markup=markup) == pytest.approx(margin)


@given(cost=COSTS.filter(bool), margin=SHARES)
def test_a_margin_is_a_share_of_the_price(cost: float, margin: float):
    price = price_from_margin(cost=cost, margin=margin)
    assert (price - cost) / price == pytest.approx(margin)


@pytest.mark.parametrize(
    ("price", "step", "rounded"),
    [
        (9412.3, 25, 9425),
        (9425, 25, 9425),
        (0, 25, 0),
        (0.1 * 3, 0.1, 0.3),
        (12.01, 0.05, 12.05),
        (1, 50, 50),
    ],
)
def test_round_price(price: float, step: float, rounded: float):
    assert round_price(price=price, step=step) == rounded


def amounts(price: float, shares: list[float]) -> list[float]:
    return [payment.amount for payment in payment_split(price=price, shares=shares)]


@pytest.mark.parametrize(
    ("price", "shares", "expected"),
    [
        (9400, [0.3, 0.4, 0.3], [2820, 3760, 2820]),
        (100, [1 / 3, 1 / 3, 1 / 3], [33.33, 33.33, 33.34]),
        (1000.01, [0.5, 0.5], [500.01, 500]),  # half a cent goes up, the last takes what is left
        (0.01, [0.5, 0.5, 0], [0.01, 0, 0]),  # never more than is left
        (0, [0.5, 0.5], [0, 0]),
        (1.005, [1], [1.01]),  # 1.005 in floats is a little under
        (70.1, [0.1] * 10, [7.01] * 10),
    ],
)
def test_payments_by_hand(price: float, shares: list[float], expected: list[float]):
    assert amounts(price, shares) == expected


@given(
    cents=st.integers(0, 10_000_000),
    weights=st.lists(st.integers(0, 100), min_size=1, max_size=8).filter(any),
)
def test_payments_add_up_to_the_cent(cents: int, weights: list[int]):
    shares = [weight / sum(weights) for weight in weights]
    paid = [round(amount * 100) for amount in amounts(cents / 100, shares)]
    assert sum(paid) == cents
    assert min(paid) >= 0
    for part, share in zip(paid[:-1], shares[:-1], strict=True):
        assert abs(part - cents * share) < 0.5 + 1e-6 or part < cents * share  # rounded, or all that was left


def test_amount_due_by_hand():
    """Of 9400 + 350 three fifths are done, 5850; a tenth is held back, 5265; 2820 were billed."""
    due = amount_due(bid=9400, changes=350, share_done=0.6, billed=2820, held_back=0.1)
    assert due == 2445
    assert amount_due(bid=9400, changes=-400, share_done=1, billed=9300) == -300
    assert amount_due(bid=9400, changes=0, share_done=0, billed=0) == 0


@given(bid=COSTS, changes=COSTS, percent=st.integers(0, 100))
def test_nothing_is_due_once_all_of_it_is_billed(bid: float, changes: float, percent: int):
    earned = amount_due(bid=bid, changes=changes, share_done=percent / 100, billed=0, held_back=0.05)
    assert abs(amount_due(bid, changes, percent / 100, earned, 0.05)) < 1e-9


def test_rate_is_sum_over_sum():
    assert rate_from_jobs(hours=[10, 40], quantities=[100, 200]) == pytest.approx(50 / 300)
    assert rate_from_jobs(hours=[0, 40], quantities=[0, 200]) == pytest.approx(0.2)


def test_cull_rate_is_sum_over_sum():
    assert cull_from_jobs(rejected=[5, 0, 9], delivered=[50, 30, 60]) == pytest.approx(0.1)
    assert cull_from_jobs(rejected=[8], delivered=[8]) == 1


VALID = {
    price_from_markup: {"cost": 100, "markup": 0.25},
    price_from_margin: {"cost": 100, "margin": 0.2},
    markup_from_margin: {"margin": 0.2},
    margin_from_markup: {"markup": 0.25},
    round_price: {"price": 101, "step": 25},
    payment_split: {"price": 100, "shares": [0.3, 0.7]},
    amount_due: {"bid": 100, "changes": 5, "share_done": 0.5, "billed": 20, "held_back": 0.1},
    rate_from_jobs: {"hours": [20, 40], "quantities": [150, 320]},
    cull_from_jobs: {"rejected": [4, 9], "delivered": [60, 110]},
}


@pytest.mark.parametrize(
    ("function", "argument", "value", "error"),
    [
        (price_from_markup, "cost", -1, InputError),
        (price_from_markup, "markup", 20, InputError),
        (price_from_markup, "markup", -0.1, InputError),
        (price_from_margin, "cost", -1, InputError),
        (price_from_margin, "margin", 1, InputError),
        (markup_from_margin, "margin", -0.1, InputError),
        (markup_from_margin, "margin", 20, InputError),
        (margin_from_markup, "markup", 25, InputError),
        (round_price, "price", -1, InputError),
        (round_price, "step", 0, InputError),
        (payment_split, "price", -1, InputError),
        (payment_split, "shares", [], NotReadable),
        (payment_split, "shares", [0.5, None], NotReadable),
        (payment_split, "shares", [1.5, -0.5], InputError),
        (payment_split, "shares", [0.5, 0.4], InputError),
        (amount_due, "bid", -1, InputError),
        (amount_due, "changes", math.inf, InputError),
        (amount_due, "share_done", 1.1, InputError),
        (amount_due, "billed", -1, InputError),
        (amount_due, "held_back", 1, InputError),
        (rate_from_jobs, "hours", [], NotReadable),
        (rate_from_jobs, "quantities", [150], NotReadable),
        (rate_from_jobs, "quantities", None, NotReadable),
        (rate_from_jobs, "hours", [20, None], NotReadable),
        (rate_from_jobs, "hours", [-1, 20], InputError),
        (rate_from_jobs, "quantities", [150, -20], InputError),
        (rate_from_jobs, "quantities", [0, 0], InputError),
        (cull_from_jobs, "rejected", [], NotReadable),
        (cull_from_jobs, "delivered", [60], NotReadable),
        (cull_from_jobs, "rejected", [4, 1.5], InputError),
        (cull_from_jobs, "delivered", [60, 110.5], InputError),
        (cull_from_jobs, "rejected", [61, 9], InputError),
    ],
)
def test_refusals(function, argument: str, value, error):
    with pytest.raises(error) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument


def test_a_rate_needs_something_delivered():
    with pytest.raises(InputError) as refused:
        cull_from_jobs(rejected=[0, 0], delivered=[0, 0])
    assert refused.value.argument == "delivered"


@pytest.mark.parametrize("typed", [10, 10.5, 25])
def test_ten_for_ten_percent_is_refused(typed):
    for refused in (
        lambda: price_from_markup(cost=100, markup=typed),
        lambda: margin_from_markup(markup=typed),
    ):
        with pytest.raises(InputError, match=r"10 % is 0\.1"):
            refused()
    assert price_from_markup(cost=100, markup=9.5) == pytest.approx(1050)
