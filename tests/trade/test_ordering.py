"""Orders under a cull rate."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.ordering import boards_to_order, chance_short, whole_units

CULLS = st.integers(0, 95).map(lambda percent: percent / 100)


def chance_by_definition(ordered: int, good_boards: int, cull_rate: float) -> float:
    keep = 1 - cull_rate
    return math.fsum(
        math.comb(ordered, good) * keep**good * cull_rate ** (ordered - good)
        for good in range(min(good_boards, ordered + 1))
    )


@given(ordered=st.integers(0, 60), good_boards=st.integers(0, 60), cull_rate=CULLS | st.just(1.0))
def test_chance_short_is_the_sum_of_the_binomial_terms(ordered: int, good_boards: int, cull_rate: float):
    assert chance_short(ordered=ordered, good_boards=good_boards, cull_rate=cull_rate) == pytest.approx(
        chance_by_definition(ordered, good_boards, cull_rate), rel=1e-11, abs=1e-39
    )


@given(
    good_boards=st.integers(1, 400), cull_rate=CULLS, confidence=st.integers(1, 999).map(lambda n: n / 1000)
)
def test_the_order_is_the_smallest_that_is_sure_enough(good_boards: int, cull_rate: float, confidence: float):
    order = boards_to_order(good_boards=good_boards, cull_rate=cull_rate, confidence=confidence)
    assert order >= good_boards
    assert chance_short(order, good_boards, cull_rate) <= 1 - confidence + 1e-9
    if order > good_boards:
        assert chance_short(order - 1, good_boards, cull_rate) > 1 - confidence


@given(good_boards=st.integers(1, 200), cull_rate=CULLS)
def test_more_confidence_or_more_boards_never_lower_an_order(good_boards: int, cull_rate: float):
    order = boards_to_order(good_boards, cull_rate, 0.9)
    assert boards_to_order(good_boards, cull_rate, 0.99) >= order
    assert boards_to_order(good_boards + 1, cull_rate, 0.9) > order


@pytest.mark.parametrize(
    ("good_boards", "cull_rate", "confidence", "order"),
    [
        (0, 0.3, 0.95, 0),
        (17, 0, 0.95, 17),
        (1, 0.1, 0.9, 1),  # exactly as sure as wanted
        (2, 0.1, 0.81, 2),
        (1, 0.5, 0.75, 2),
        (1, 0.5, 0.7500001, 3),
        (3, 0.1, 0.729, 3),
        (1, 0.99, 0.95, 299),  # 0.99^299 = 0.0495
    ],
)
def test_orders_at_the_corners(good_boards: int, cull_rate: float, confidence: float, order: int):
    assert boards_to_order(good_boards=good_boards, cull_rate=cull_rate, confidence=confidence) == order


def test_an_order_near_certain_culls_stays_within_reach():
    """One good board in a million: 1 − (1 − 1e-6)^N must reach 0.95."""
    assert boards_to_order(1, 1 - 1e-6, 0.95) == math.ceil(math.log(0.05) / math.log1p(-1e-6))


def test_the_chance_over_thousands_of_boards_keeps_its_digits():
    """Half a pile of 2n − 1 boards: by symmetry as likely too few as enough, whatever n."""
    for good_boards in (1, 7, 1000, 250_000):
        assert chance_short(2 * good_boards - 1, good_boards, 0.5) == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize(
    ("ordered", "good_boards", "cull_rate", "chance"),
    [
        (0, 0, 0.2, 0),
        (5, 0, 1, 0),
        (5, 5, 0, 0),
        (4, 5, 0, 1),
        (9, 1, 1, 1),
        (3, 3, 0.2, 1 - 0.8**3),
        (9, 20, 0.1, 1),
    ],
)
def test_chances_at_the_corners(ordered: int, good_boards: int, cull_rate: float, chance: float):
    assert chance_short(ordered=ordered, good_boards=good_boards, cull_rate=cull_rate) == pytest.approx(
        chance
    )


@pytest.mark.parametrize(
    ("quantity", "unit_size", "units"),
    [(0, 12, 0), (12, 12, 1), (12.01, 12, 2), (0.3, 0.1, 3), (0.1 * 3, 0.1, 3), (7, 2.5, 3)],
)
def test_whole_units(quantity: float, unit_size: float, units: int):
    assert whole_units(quantity=quantity, unit_size=unit_size) == units


VALID = {
    boards_to_order: {"good_boards": 20, "cull_rate": 0.1, "confidence": 0.95},
    chance_short: {"ordered": 25, "good_boards": 20, "cull_rate": 0.1},
    whole_units: {"quantity": 30, "unit_size": 12},
}


@pytest.mark.parametrize(
    ("function", "argument", "value"),
    [
        (boards_to_order, "good_boards", 10.5),
        (boards_to_order, "good_boards", -1),
        (boards_to_order, "good_boards", 1_000_001),
        (boards_to_order, "cull_rate", 1),
        (boards_to_order, "cull_rate", -0.1),
        (boards_to_order, "cull_rate", 10),
        (boards_to_order, "confidence", 0),
        (boards_to_order, "confidence", 1),
        (chance_short, "ordered", 10.5),
        (chance_short, "ordered", 1_000_001),
        (chance_short, "good_boards", 8.5),
        (chance_short, "cull_rate", 1.01),
        (chance_short, "cull_rate", math.nan),
        (whole_units, "quantity", -1),
        (whole_units, "unit_size", 0),
    ],
)
def test_refusals(function, argument: str, value):
    with pytest.raises(InputError) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument


def test_words_are_no_numbers():
    with pytest.raises(NotReadable):
        boards_to_order("ten", 0.1)  # type: ignore[arg-type]
