"""An independent look at a layout of breaks: it trusts nothing that the solver says of it."""

import math
from collections import Counter
from collections.abc import Sequence
from itertools import combinations, pairwise

from plans import check

from sheetcalc.solver.cutting import Stock, cheapest, filled
from sheetcalc.solver.joints import Layout, Rules, Run


def ends(run: Run, breaks: Sequence[int]) -> list[int]:
    return [run.start, *breaks, run.start + run.length]


def broken(runs: Sequence[Run], rules: Rules, breaks: Sequence[Sequence[int]], longest: int) -> list[str]:
    """List the rules that are broken; `longest` is the longest piece that some board yields."""
    found: list[str] = []
    for run, places in zip(runs, breaks, strict=True):
        pieces = [far - near for near, far in pairwise(ends(run, places))]
        if min(pieces) <= 0 or max(pieces) > longest:
            found.append(f"a piece of {pieces} in row {run.row}")
        if len(pieces) > 1 and min(pieces) < rules.least:
            found.append(f"least: {pieces} in row {run.row}")
        for place in places:
            if rules.places is not None and place not in rules.places:
                found.append(f"places: {place} in row {run.row}")
            if any(low < place < high for low, high in run.closed):
                found.append(f"closed: {place} in row {run.row}")
    for (one, here), (other, there) in combinations(zip(runs, breaks, strict=True), 2):
        rows = abs(one.row - other.row)
        for a in here:
            for b in there:
                if rows == 1 and abs(a - b) < rules.apart:
                    found.append(f"apart: {a} and {b} in rows {one.row} and {other.row}")
                if 1 <= rows <= rules.rows_apart and a == b:
                    found.append(f"rows_apart: {a} in rows {one.row} and {other.row}")
    return found


def check_layout(
    found: Layout, runs: Sequence[Run], stock: Sequence[Stock], rules: Rules, price: int = 0
) -> None:
    """Fail unless a layout covers all runs, keeps the rules, and costs what it says."""
    assert len(found.breaks) == len(runs)
    assert (
        broken(runs, rules, found.breaks, (max(board.size for board in stock) - rules.kerf) * rules.grain)
        == []
    )
    pieces = Counter(
        math.ceil((far - near) / rules.grain) + rules.kerf
        for run, places in zip(runs, found.breaks, strict=True)
        for near, far in pairwise(ends(run, places))
    )
    boards = found.cost - price * sum(map(len, found.breaks))
    plan = cheapest(tuple(pieces), tuple(pieces.values()), tuple(stock))
    check(plan, tuple(pieces), tuple(pieces.values()), stock)
    assert plan.cost <= boards <= filled(tuple(pieces), tuple(pieces.values()), tuple(stock))[0]
    assert 0 <= found.bound <= found.cost
