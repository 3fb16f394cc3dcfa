"""Spares over several stock lengths, against the definition counted out."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.trade.ordering import boards_to_order, chance_short
from sheetcalc.trade.spares import spare_list, spares_short

STOCK = [96, 120, 144, 192]


def counted_short(stock, ordered, boards, cull):
    """Go through every outcome of the culling; boards serve the longest cuts first."""
    short = 0.0
    by_length = sorted(range(len(stock)), key=lambda at: -stock[at])
    for good in itertools.product(*(range(ordered[at] + 1) for at in by_length)):
        chance = math.prod(
            math.comb(ordered[at], n) * (1 - cull) ** n * cull ** (ordered[at] - n)
            for at, n in zip(by_length, good, strict=True)
        )
        over = 0
        for at, n in zip(by_length, good, strict=True):
            over += n - boards[at]
            if over < 0:
                short += chance
                break
    return short


@settings(max_examples=60, deadline=None)
@given(
    orders=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 3)), min_size=1, max_size=3),
    cull=st.integers(0, 80).map(lambda percent: percent / 100),
)
def test_the_chance_is_that_of_all_outcomes_counted(orders, cull):
    boards = [need for need, _ in orders]
    ordered = [need + spare for need, spare in orders]
    stock = STOCK[: len(orders)]
    assert spares_short(stock=stock, ordered=ordered, boards=boards, cull_rate=cull) == pytest.approx(
        counted_short(stock, ordered, boards, cull), abs=1e-10
    )


@given(good=st.integers(1, 150), ordered=st.integers(0, 40), cull=st.integers(0, 60).map(lambda n: n / 100))
def test_of_one_length_it_is_the_plain_chance(good, ordered, cull):
    assert spares_short([192], [good + ordered], [good], cull) == pytest.approx(
        chance_short(good + ordered, good, cull), abs=1e-9
    )


@given(good=st.integers(0, 150), cull=st.integers(0, 60).map(lambda n: n / 100), cents=st.integers(0, 5000))
def test_of_one_length_it_is_the_plain_order(good, cull, cents):
    rows = spare_list(stock=[192], boards=[good], prices=[cents / 100], cull_rate=cull)
    assert sum(row.order for row in rows) == boards_to_order(good, cull)


@settings(max_examples=80, deadline=None)
@given(
    boards=st.lists(st.integers(0, 25), min_size=1, max_size=4),
    cull=st.sampled_from([0, 0.03, 0.05, 0.1, 0.25]),
    confidence=st.sampled_from([0.8, 0.9, 0.95, 0.99]),
    data=st.data(),
)
def test_an_order_is_sure_enough_and_no_spare_is_idle(boards, cull, confidence, data):
    stock = STOCK[: len(boards)]
    prices = [data.draw(st.integers(100, 4000)) / 100 for _ in stock]
    rows = spare_list(stock, boards, prices, cull, confidence)
    needed, order = dict.fromkeys(stock, 0), dict.fromkeys(stock, 0)
    for row in rows:
        needed[row.stock], order[row.stock] = row.needed, row.order
        assert row.order >= row.needed
        assert row.cost == pytest.approx(row.order * prices[stock.index(row.stock)])
    assert [*needed.values()] == boards
    assert [row.stock for row in rows] == sorted(row.stock for row in rows)
    assert spares_short(stock, [*order.values()], boards, cull) <= 1 - confidence + 1e-9
    for length in stock:
        if order[length] > needed[length] and prices[stock.index(length)] > 0:
            fewer = [count - (each == length) for each, count in order.items()]
            assert spares_short(stock, fewer, boards, cull) > 1 - confidence
    apart = sum(
        boards_to_order(n, cull, confidence ** (1 / len(boards))) * p
        for n, p in zip(boards, prices, strict=True)
    )
    assert sum(row.cost for row in rows) <= apart + 1e-6, "dearer than spares of each length by itself"


def test_spares_of_a_longer_board_may_be_fewer_and_cheaper():
    rows = spare_list([144, 192], [12, 22], [18.4, 25.3], 0.05)
    assert [(row.stock, row.order - row.needed) for row in rows] == [(144, 0), (192, 4)]
    # counted out: (13, 25) is short in 5.35 % of orders, and so is not enough
    assert spares_short([144, 192], [13, 25], [12, 22], 0.05) == pytest.approx(0.05355, abs=1e-5)


def test_spares_keep_to_the_offer():
    args = {"stock": [144, 192], "boards": [12, 22], "prices": [18.4, 25.3], "cull_rate": 0.05}
    rows = spare_list(**args, available=[None, 25])
    assert {row.stock: row.order for row in rows} == {144: 14, 192: 25}
    with pytest.raises(NotFound, match="available"):
        spare_list(**args, available=[None, 24])  # 22 good ones of 24 are not sure enough
    with pytest.raises(NotFound, match="available"):
        spare_list(**args, available=[11, None])
    # a longer one on offer serves what the yard has no more of
    assert {row.stock for row in spare_list([96, 144], [5, 0], [9, 14], 0.1, available=[5, None])} == {
        96,
        144,
    }


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    orders=st.lists(st.tuples(st.integers(0, 20), st.integers(0, 5)), min_size=1, max_size=3),
    cull=st.sampled_from([0.03, 0.05, 0.1, 0.25]),
    confidence=st.sampled_from([0.8, 0.9, 0.95]),
)
def test_refused_only_where_all_boards_on_offer_are_not_sure_enough(orders, cull, confidence):
    boards, available = [need for need, _ in orders], [need + spare for need, spare in orders]
    stock, prices = STOCK[: len(orders)], [9.5, 14.25, 17, 30][: len(orders)]
    try:
        rows = spare_list(stock, boards, prices, cull, confidence, available)
    except NotFound:
        assert spares_short(stock, available, boards, cull) > 1 - confidence - 1e-6
    else:
        order = {row.stock: row.order for row in rows}
        assert all(order.get(length, 0) <= most for length, most in zip(stock, available, strict=True))
        assert spares_short(stock, available, boards, cull) <= 1 - confidence + 1e-9


def test_what_the_offer_lacks_of_one_length_the_others_make_good():
    rows = spare_list([168, 192], [15, 14], [26.85, 24.2], 0.03, 0.9, [None, 15])
    order = {row.stock: row.order for row in rows}
    assert order[192] == 15
    assert spares_short([168, 192], [*order.values()], [15, 14], 0.03) <= 0.1


def test_the_same_length_from_two_offers():
    rows = spare_list([144, 144], [5, 5], [20, 18], 0.1)
    assert sum(row.order for row in rows) == boards_to_order(10, 0.1)
    assert rows[0].order == 5, "the spares are the cheaper ones"


@pytest.mark.parametrize(
    ("changed", "error", "named"),
    [
        ({"stock": [], "boards": [], "prices": []}, NotReadable, "stock"),
        ({"stock": [144, 0]}, InputError, "stock"),
        ({"boards": [1]}, NotReadable, "boards"),
        ({"boards": [1, 2.5]}, InputError, "boards"),
        ({"boards": [1500, 1500]}, InputError, "boards"),
        ({"prices": [1]}, NotReadable, "prices"),
        ({"prices": [1, -1]}, InputError, "prices"),
        ({"cull_rate": 1}, InputError, "cull_rate"),
        ({"confidence": 1}, InputError, "confidence"),
        ({"confidence": 0}, InputError, "confidence"),
        ({"available": [1]}, NotReadable, "available"),
        ({"available": [20.5, None]}, InputError, "available"),
    ],
)
def test_bad_entries_are_named(changed, error, named):
    args = {"stock": [144, 192], "boards": [12, 22], "prices": [18.4, 25.3], "cull_rate": 0.05, **changed}
    with pytest.raises(error) as refused:
        spare_list(**args)
    assert refused.value.argument == named


def test_bad_orders_are_named():
    for changed, error in [({"ordered": [1]}, NotReadable), ({"ordered": [1, -2]}, InputError)]:
        args = {"stock": [144, 192], "ordered": [13, 25], "boards": [12, 22], "cull_rate": 0.05, **changed}
        with pytest.raises(error) as refused:
            spares_short(**args)
        assert refused.value.argument == "ordered"


def test_no_longer_board_stands_in_for_cuts_that_the_offer_lacks():
    args = {"stock": [144, 168], "prices": [13.7, 17.07], "cull_rate": 0.05, "confidence": 0.9}
    with pytest.raises(NotFound, match="available"):
        spare_list(boards=[9, 1], available=[5, 12], **args)
    assert {row.stock: row.order for row in spare_list(boards=[5, 5], available=[5, 12], **args)}[144] == 5


def test_a_cheap_long_board_stands_in_without_excess():
    rows = spare_list([192, 144], [3, 4], [1, 2], 0.05, 0.99)
    assert sum(row.order for row in rows) == boards_to_order(7, 0.05, 0.99)
