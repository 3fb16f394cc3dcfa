"""Days, rates and rents."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError
from sheetcalc.trade.time import crew_days, loaded_rate, rental_cost

PRICES = st.integers(0, 200_000).map(lambda cents: cents / 100)


@pytest.mark.parametrize(
    ("hours", "crew", "day", "step", "days"),
    [
        (0, 2, 8, 0.5, 0),
        (48, 2, 8, 0.5, 3),
        (48.1, 2, 8, 0.5, 3.5),
        (48.1, 2, 8, 1, 4),
        (48.1, 2, 8, 0.1, 3.1),
        (30, 3, 10, 0.5, 1),
        (0.3, 1, 0.1, 1, 3),  # 0.3/0.1 in floats is a little under 3
    ],
)
def test_crew_days(hours: float, crew: int, day: float, step: float, days: float):
    assert crew_days(hours=hours, crew=crew, day=day, step=step) == days


def test_loaded_rate():
    """30 an hour, 36 % on top, four of five paid hours billed."""
    assert loaded_rate(wage=30, burden=0.36, billable=0.8) == pytest.approx(51)
    assert loaded_rate(wage=30, burden=0, billable=1) == 30


@pytest.mark.parametrize(
    ("days", "prices", "rent"),
    [
        (0, (45, 150, 400), 0),
        (1, (45, 150, 400), 45),
        (0.5, (45, 150, 400), 45),
        (3.2, (45, 150, 400), 150),  # four days, cheaper by the week
        (10, (45, 150, 400), 285),
        (11, (45, 150, 400), 300),
        (19, (45, 150, 400), 400),  # a month for fewer days
        (29, (45, 150, 400), 445),
        (19, (45, 150), 450),
        (19, (45,), 855),
        (19, (45, None, 400), 400),
        (6, (45, None, 400), 270),
        (7, (45, 500, 400), 315),  # a week dearer than its days is never taken
        (56, (45, 150, 5000), 1200),
        (3, (0.1,), 0.3),
        (28, (45, 0, 400), 0),
    ],
)
def test_rents_by_hand(days: float, prices: tuple[float | None, ...], rent: float):
    assert rental_cost(days, *prices) == rent


@given(
    days=st.integers(0, 100),
    day_price=PRICES,
    week_price=st.none() | PRICES,
    month_price=st.none() | PRICES,
)
def test_no_mix_is_cheaper(days: int, day_price: float, week_price: float | None, month_price: float | None):
    def cost(weeks: int, months: int) -> int:
        single = max(0, days - 7 * weeks - 28 * months)
        return single * cents(day_price) + weeks * cents(week_price or 0) + months * cents(month_price or 0)

    def cents(price: float) -> int:
        return round(price * 100)

    weeks = range(1 if week_price is None else 16)
    months = range(1 if month_price is None else 5)
    cheapest = min(cost(*mix) for mix in itertools.product(weeks, months))
    rent = rental_cost(days=days, day_price=day_price, week_price=week_price, month_price=month_price)
    assert rent == cheapest / 100


VALID = {
    crew_days: {"hours": 48, "crew": 2, "day": 8, "step": 0.5},
    loaded_rate: {"wage": 30, "burden": 0.3, "billable": 0.8},
    rental_cost: {"days": 10, "day_price": 45, "week_price": 150, "month_price": 400},
}


@pytest.mark.parametrize(
    ("function", "argument", "value"),
    [
        (crew_days, "hours", -1),
        (crew_days, "crew", 0),
        (crew_days, "crew", 1.5),
        (crew_days, "day", 0),
        (crew_days, "day", 25),
        (crew_days, "step", 0),
        (loaded_rate, "wage", -1),
        (loaded_rate, "burden", 30),
        (loaded_rate, "burden", -0.1),
        (loaded_rate, "billable", 0),
        (loaded_rate, "billable", 80),
        (rental_cost, "days", -1),
        (rental_cost, "day_price", -45),
        (rental_cost, "week_price", -1),
        (rental_cost, "month_price", -1),
    ],
)
def test_refusals(function, argument: str, value):
    with pytest.raises(InputError) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument
