"""Markup and margin: worked examples and tables as printed in builders' pricing notes.

200,000 at a markup of 25 % is 250,000, a margin of 20 %. "The Mistake of Markup": a job of 10,000 with 25 %
on it is 12,500, a margin of 20 %. The table is printed to a tenth of a percent in several such notes.
"""

import pytest

from sheetcalc.trade.price import margin_from_markup, markup_from_margin, price_from_margin, price_from_markup


@pytest.mark.parametrize(("cost", "price"), [(200_000, 250_000), (10_000, 12_500)])
def test_worked_examples(cost: float, price: float):
    assert price_from_markup(cost=cost, markup=0.25) == pytest.approx(price)
    assert price_from_margin(cost=cost, margin=0.20) == pytest.approx(price)


@pytest.mark.parametrize(
    ("markup", "margin"),
    [
        (0.10, 9.1),
        (0.15, 13.0),
        (0.20, 16.7),
        (0.25, 20.0),
        (0.30, 23.1),
        (0.50, 33.3),
        (0.75, 42.9),
        (1.00, 50.0),
    ],
)
def test_table_of_margins(markup: float, margin: float):
    assert 100 * margin_from_markup(markup=markup) == pytest.approx(margin, abs=0.05)


@pytest.mark.parametrize(
    ("margin", "markup"),
    [(0.10, 11.1), (0.20, 25.0), (0.30, 42.9), (0.35, 53.8), (0.40, 66.7), (0.50, 100.0)],
)
def test_table_of_markups(margin: float, markup: float):
    assert 100 * markup_from_margin(margin=margin) == pytest.approx(markup, abs=0.05)


def test_ten_and_ten_is_twenty_one():
    """Overhead, then profit, multiply (derived)."""
    assert price_from_markup(price_from_markup(100, 0.1), 0.1) == pytest.approx(121)
