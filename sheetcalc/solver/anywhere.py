"""What any way to break the runs costs at least where breaks may fall anywhere."""

from fractions import Fraction
from itertools import combinations
from math import ceil, gcd

from sheetcalc.solver.spans import Network, picked

__all__ = ["anywhere"]


def anywhere(net: Network) -> int:
    """Return a bound on the cost of boards and breaks that holds wherever the breaks fall.

    A piece of size d is priced at a + b d. Whatever m pieces come from a board of size s then cost m a + b s
    at most, and if that is no more than the board's cost for every m that fits, the pieces of all runs
    together cost no more than their boards. The best a and b lie where two of these conditions meet, or at
    a = 0.
    """
    rules, stock = net.rules, net.stock
    longest = rules.length(max(board.size for board in stock))
    shortest = rules.size(min([max(1, rules.least), *(run.length for run in net.runs)]))
    lines = {(1, board.size, board.cost) for board in stock if board.size >= shortest}
    lines |= {(board.size // shortest, board.size, board.cost) for board in stock if board.size >= shortest}
    starts = {Fraction(0)}
    for (m, s, c), (n, t, d) in combinations(sorted(lines), 2):
        if m * t != n * s:
            starts.add(Fraction(c * t - d * s, m * t - n * s))
    alike = _alike(net, longest)
    best = Fraction(0)
    for a in sorted(starts):
        b = min((c - m * a) / s for m, s, c in lines)
        if b < 0:
            continue
        total = Fraction(0)
        for length, fewest, tight, count in alike:
            most = max(fewest + 1, length // max(1, rules.least))
            ways = [
                k * (a + b * rules.kerf) + Fraction(length, rules.grain) * b + (k - 1) * net.price
                for k in (fewest, fewest + 1, most)
            ]
            total += tight * min(ways) + (count - tight) * min(ways[1:])
        best = max(best, total)
    unit = gcd(*(board.cost for board in stock), net.price) or 1
    return ceil(best / unit) * unit


def _alike(net: Network, longest: int) -> list[tuple[int, int, int, int]]:
    """List runs alike: length, fewest pieces, how many of them can take so few, how many there are.

    With the fewest pieces each break has little room: as much as the longest pieces together are longer than
    the run. If that is less than breaks must be apart, no two neighbouring rows can both have so few; if
    there is no room at all, the place of the break has to rest.
    """
    rows: dict[tuple[int, int], list[int]] = {}
    for run in net.runs:
        rows.setdefault((run.start, run.length), []).append(run.row)
    found: list[tuple[int, int, int, int]] = []
    for (_, length), numbers in rows.items():
        fewest = -(-length // longest)
        tight = len(numbers)
        if fewest > 1:
            room = fewest * longest - length
            rest = net.rules.rows_apart if not room else 0
            tight = picked(set(numbers), max(rest, 1 if room < net.rules.apart else 0))
        found.append((length, fewest, tight, len(numbers)))
    return found
