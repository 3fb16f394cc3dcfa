"""An independent look at a cutting plan: it trusts nothing that the solver says of it."""

from collections import Counter
from collections.abc import Sequence

from sheetcalc.solver.cutting import Plan, Stock


def check(plan: Plan, sizes: Sequence[int], demand: Sequence[int], stock: Sequence[Stock]) -> None:
    """Fail unless the plan cuts the demand exactly, from boards that are on offer, at the cost it names."""
    made = [0] * len(sizes)
    bought: Counter[int] = Counter()
    for cut in plan.cuts:
        assert cut.times >= 1
        assert len(cut.counts) == len(sizes)
        assert min(cut.counts) >= 0
        assert any(cut.counts), "a board bought and not cut"
        assert (
            sum(count * size for count, size in zip(cut.counts, sizes, strict=True)) <= stock[cut.stock].size
        )
        bought[cut.stock] += cut.times
        made = [had + cut.times * count for had, count in zip(made, cut.counts, strict=True)]
    assert made == list(demand)
    for index, number in bought.items():
        most = stock[index].number
        assert most is None or number <= most
    assert plan.cost == sum(stock[index].cost * number for index, number in bought.items())
    assert plan.bound <= plan.cost
    ways = [(cut.stock, cut.counts) for cut in plan.cuts]
    assert len(set(ways)) == len(ways), "one way to cut stands in two rows"
    sizes_in_order = [stock[cut.stock].size for cut in plan.cuts]
    assert sizes_in_order == sorted(sizes_in_order)
