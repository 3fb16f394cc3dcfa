"""A comparison on the screen."""

from typing import Any

from sheetcalc.workbooks.compare.screen import table
from sheetcalc.workbooks.compare.vary import Combination, Comparison
from sheetcalc.workbooks.compare.what_if import Shown
from sheetcalc.xlsx.workbook import NumberFormat


class Price(float):
    """A number that counts how often prices are compared."""

    compared = 0

    def __lt__(self, other: Any) -> bool:
        Price.compared += 1
        return super().__lt__(other)

    def __eq__(self, other: object) -> bool:
        Price.compared += 1
        return super().__eq__(other)

    __hash__ = float.__hash__


def test_the_cheapest_is_found_once_for_all_lines():
    many = 400
    prices = [(7 * number) % many + 10.0 for number in range(many)]
    rows = [Combination((f"{price:g}",), (price,), (Price(price),)) for price in prices]
    entry, price = (Shown(handle, ("Job", (1, 1)), NumberFormat("0"), "") for handle in ("gap", "price"))
    comparison = Comparison("job.xlsx", [entry], [price], rows, [], [])
    assert comparison.cheapest == [0]
    Price.compared = 0
    lines = table(comparison, 80, saved=True)
    assert [line.endswith("cheapest") for line in lines[2:22]] == [True] + [False] * 19
    assert Price.compared < 20 * many
