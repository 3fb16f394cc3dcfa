"""What a plan must cost at least, and which patterns can stand in a cheap one: column generation.

A linear programme knows a few patterns only. Its prices tell which pattern is missing (a knapsack problem),
and that one comes in, until none is missing: Gilmore and Gomory's method. The same prices then rule out all
patterns that no cheap plan can hold: reduced-cost fixing.
"""

import math
from collections.abc import Sequence
from fractions import Fraction

from sheetcalc.solver.knapsack import Knapsack
from sheetcalc.solver.programme import Programme, in_time
from sheetcalc.solver.task import Groups, Pattern, Task

_SLACK = 1e-9  # of a float's sum
_FINEST = 40  # bits after the point in whole-number prices, fewer where the sums would not fit into 60 bits
_HALVINGS = 16
_MORE = 24  # columns a board may give at once


class Columns:
    """Patterns found by pricing, the relaxation over them, and the bound that its prices prove.

    Each size is worth its price in the relaxation. A board whose best pattern is worth more than it costs
    gives a new column. At any time the prices, in whole numbers and scaled so that no unlimited board is
    worth more than its cost, prove a bound (Farley 1990, from memory); a limited board may be worth more,
    which the bound pays for.
    """

    def __init__(self, task: Task, dear: int | None, until: float) -> None:
        self.task = task
        self.patterns: list[Pattern] = []
        self.values: list[float] = []
        self.bound = Fraction(-1)
        self._known: set[Pattern] = set()
        self._limited = [b for b, board in enumerate(task.boards) if board.limited]
        self._knapsack = Knapsack(task.sizes, task.limits, task.boards[-1].size)
        free = max((board.size for board in task.boards if not board.cost and not board.limited), default=0)
        self._free = [size <= free for size in task.sizes]
        inf = math.inf
        self.rows = [(float(wanted), inf) for wanted in task.demand]
        self.rows += [(-inf, float(task.boards[b].number)) for b in self._limited]
        self._programme = Programme(self.rows, until)
        self._until = until
        self._lacking = 0
        self._proof: tuple[list[int], Fraction, list[Fraction]] = ([], Fraction(1), [])
        rate = task.material[1]
        self._price([float(size * rate) for size in task.sizes] + [0.0] * len(self._limited))
        if dear is not None:  # no plan is known: a lacking piece costs more than any plan
            self._lacking = len(task.sizes)
            for row in range(len(task.sizes)):
                self._programme.add(dear, [row], [1.0])

    def add(self, pattern: Pattern) -> bool:
        """Take a pattern in, unless it is known."""
        if pattern in self._known:
            return False
        self._known.add(pattern)
        self.patterns.append(pattern)
        rows, values = self.entries(pattern)
        self._programme.add(self.task.boards[pattern[0]].cost, rows, values)
        return True

    def entries(self, pattern: Pattern) -> tuple[list[int], list[float]]:
        """Rows of a pattern: its sizes, and its board where that is limited."""
        board, counts = pattern
        rows = [i for i, count in enumerate(counts) if count]
        values = [float(counts[i]) for i in rows]
        if self.task.boards[board].limited:
            rows.append(len(counts) + self._limited.index(board))
            values.append(1.0)
        return rows, values

    def generate(self, enough: int, rounds: int) -> bool:
        """Price until no column is missing, `enough` is proven or rounds are over; tell if more may help."""
        for _ in range(rounds):
            cost, values, prices = self._programme.relaxed()
            self.values = values[self._lacking :]
            in_time(self._until)
            news = self._price(prices)
            reached = math.ceil(self.bound)
            done = reached >= enough or reached >= cost - _SLACK * max(1.0, cost)
            if done or not any([self.add(pattern) for pattern in news]):
                return False
        return True

    def _price(self, prices: Sequence[float]) -> list[Pattern]:
        """Prove a bound by these prices; return patterns worth more than they cost."""
        task, knapsack = self.task, self._knapsack
        worth = [0.0 if free else max(price, 0.0) for price, free in zip(prices, self._free, strict=False)]
        most = sum(value * limit for value, limit in zip(worth, task.limits, strict=True)) or 1.0
        scale = Fraction(2) ** min(_FINEST, 60 - math.frexp(most)[1])
        whole = [math.floor(value * scale) for value in worth]
        knapsack.fill(whole)
        best = [knapsack.most(board.size) for board in task.boards]
        over = Fraction(1)
        for board, value in zip(task.boards, best, strict=True):
            if not board.limited and value > scale * board.cost:
                over = max(over, Fraction(value, scale * board.cost))
        extra = [
            max(Fraction(0), value / over - scale * board.cost) if board.limited else Fraction(0)
            for board, value in zip(task.boards, best, strict=True)
        ]
        proven = sum(value * wanted for value, wanted in zip(whole, task.demand, strict=True)) / over
        proven -= sum(more * board.number for more, board in zip(extra, task.boards, strict=True))
        if proven / scale > self.bound:
            self.bound = proven / scale
            self._proof = whole, over * scale, [more / scale for more in extra]
        rents = dict(zip(self._limited, prices[len(task.sizes) :], strict=True))
        news: list[Pattern] = []
        for b, board in enumerate(task.boards):
            pays = scale * (board.cost - rents.get(b, 0.0)) * (1 + _SLACK) + 1
            if best[b] > pays:
                news.append((b, knapsack.pattern(board.size)))
                news += [(b, counts) for counts in knapsack.others(board.size, pays, _MORE)]
        return news

    def within(self, gap: Fraction, most: int) -> tuple[Fraction, list[Pattern]]:
        """Return all patterns of plans that cost at most `gap` over the bound, and that gap.

        The gap is made smaller until they are not too many. A pattern stands in such a plan only if it costs
        at most that much over the worth of its pieces.
        """
        worth, scale, extra = self._proof
        self._knapsack.fill(worth)
        for _ in range(_HALVINGS):
            found: list[Pattern] = []
            for b, board in enumerate(self.task.boards):
                least = math.ceil(scale * (board.cost + extra[b] - gap))
                some = self._knapsack.patterns(board.size, least, most + 1 - len(found), self._until)
                found += [(b, counts) for counts in some]
            if len(found) <= most:
                return gap, found
            gap /= 2
        return Fraction(-1), []  # no pattern costs less than its pieces are worth

    def loss(self, pattern: Pattern) -> int:
        """Return what a pattern costs over the worth of its pieces, in fine units."""
        worth, scale, extra = self._proof
        board, counts = pattern
        value = sum(each * count for each, count in zip(worth, counts, strict=True))
        return math.ceil(scale * (self.task.boards[board].cost + extra[board])) - value

    def fine(self, cost: Fraction) -> int:
        """Return a cost in the fine units of `loss`, and what that rounds up at each board."""
        return math.ceil(self._proof[1] * cost) + sum(self.task.demand)

    def rounded(self) -> tuple[Groups, list[Pattern]]:
        """Return the relaxation's values rounded down, and its patterns by what that leaves of them."""
        groups: Groups = {}
        rest: list[tuple[float, Pattern]] = []
        for pattern, value in zip(self.patterns, self.values, strict=False):
            times = math.floor(value + 1e-6)
            if times:
                groups[pattern] = times
            if value - times > 1e-6:
                rest.append((value - times, pattern))
        return groups, [pattern for _, pattern in sorted(rest, key=lambda part: -part[0])]
