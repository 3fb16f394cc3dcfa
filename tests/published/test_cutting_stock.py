"""Published cutting and packing instances with known optima; cutting_stock.json names the source of each.

The optimum must be met and proven. The boards' optima were proven by two models apart from this package.
"""

import json
from pathlib import Path
from typing import Any

import pytest
from plans import check

from sheetcalc.solver.cutting import Stock, cheapest

DATA: dict[str, Any] = json.loads((Path(__file__).parent / "cutting_stock.json").read_text(encoding="utf-8"))


def by_name(case: dict[str, Any]) -> str:
    return case["name"]


@pytest.mark.parametrize("case", DATA["instances"], ids=by_name)
def test_fewest_of_one_size(case: dict[str, Any]):
    assert case["name"] in DATA["sources"]
    sizes, demand, stock = tuple(case["sizes"]), tuple(case["demand"]), (Stock(case["size"], 1),)
    plan = cheapest(sizes=sizes, demand=demand, stock=stock)
    check(plan, sizes, demand, stock)
    assert (plan.cost, plan.bound) == (case["optimum"], case["optimum"])


@pytest.mark.parametrize("case", DATA["boards"], ids=by_name)
def test_cheapest_of_several_boards(case: dict[str, Any]):
    kerf, trim = case["kerf"], case["trim"]
    sizes, demand = zip(*((length + kerf, count) for length, count in case["demand"]), strict=True)
    stock = tuple(Stock(length - trim + kerf, price, number) for length, price, number in case["stock"])
    plan = cheapest(sizes=sizes, demand=demand, stock=stock)
    check(plan, sizes, demand, stock)
    assert (plan.cost, plan.bound) == (case["optimum"], case["optimum"])
