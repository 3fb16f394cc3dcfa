"""What any way to break the runs costs at least where breaks may fall anywhere."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations
from math import ceil, gcd

from sheetcalc.solver.cutting import Stock
from sheetcalc.solver.spans import Rules, Run

__all__ = ["anywhere"]


def anywhere(runs: Sequence[Run], rules: Rules, stock: Sequence[Stock], each: int) -> int:
    """Return a bound on the cost of boards and breaks that holds wherever the breaks fall.

    A piece of size d is priced at a + b d. Whatever m pieces come from a board of size s then cost m a + b s at
    most, and if that is no more than the board's cost for every m that fits, the pieces of all runs together
    cost no more than their boards. The best a and b lie where two of these conditions meet, or at a = 0.
    """
    longest = max(board.size for board in stock) - rules.kerf
    shortest = min([max(1, rules.least), *(run.length for run in runs)]) + rules.kerf
    lines = {(1, board.size, board.cost) for board in stock if board.size >= shortest}
    lines |= {(board.size // shortest, board.size, board.cost) for board in stock if board.size >= shortest}
    starts = {Fraction(0)}
    for (m, s, c), (n, t, d) in combinations(sorted(lines), 2):
        if m * t != n * s:
            starts.add(Fraction(c * t - d * s, m * t - n * s))
    best = Fraction(0)
    for a in sorted(starts):
        b = min((c - m * a) / s for m, s, c in lines)
        if b < 0:
            continue
        total = Fraction(0)
        for run in runs:
            fewest = -(-run.length // longest)
            most = max(fewest, run.length // max(1, rules.least))
            total += min(k * (a + b * rules.kerf) + b * run.length + (k - 1) * each for k in (fewest, most))
        best = max(best, total)
    unit = gcd(*(board.cost for board in stock), each) or 1
    return ceil(best / unit) * unit
