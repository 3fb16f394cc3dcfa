"""From first plans and a first bound to the best plan, or to the best that the effort allows."""

import math

from sheetcalc.solver import greedy
from sheetcalc.solver.columns import Columns
from sheetcalc.solver.programme import Programme
from sheetcalc.solver.settings import Settings
from sheetcalc.solver.task import (
    Groups,
    Pattern,
    Task,
    cost_of,
    exact,
    left_over,
    merged,
    squared_offcuts,
    still_on_offer,
)

# The budgets at effort 1, all in steps.
_ROUNDS = 400
_ROUNDS_AT_ONCE = 4  # at least, and more for many sizes; then what they say is rounded to a plan
_CELLS = 300_000_000  # of all pricing tables together, so that many sizes get fewer rounds
_MANY = 100  # sizes: more are too many for whole-number programmes
_WIDTHS = (250, 500)  # patterns let into a whole-number programme, besides those already found
_TABLE = 50_000_000  # of one pricing table: more takes memory that no real task needs
_NODES = 30_000  # times the patterns of the programme
_SETTINGS_MOST = 30  # more patterns than that are left as they are
_SETTINGS_PATTERNS = 100
_SETTINGS_STEPS = 2000
_OFFCUT_STEPS = 500
_DUST = 0.01  # units of cost that a programme's bound in floats may be too high


class Nodes:
    """Nodes left for whole-number programmes; several searches may share them.

    One of a programme with many patterns counts for as many, as it takes about so much longer.
    """

    def __init__(self, effort: float) -> None:
        self._left = int(_NODES * effort)

    def most(self, patterns: int) -> int:
        """Return how many a programme of so many patterns may take: half of what is left."""
        return self._left // 2 // patterns

    def take(self, nodes: int, patterns: int) -> None:
        """Count down what it took."""
        self._left -= nodes * patterns


class Search:
    """The best plan so far and the proven bound, which close in on each other; costs in units of the task.

    No plan costs less than `least`, and none that costs `enough` or more is of use. `nodes` may be shared
    with other searches.

    Of two plans the cheaper is better, then the one of fewer patterns, then the one whose offcuts, each
    squared, sum up to more: one long offcut is of more use than two short ones.
    """

    def __init__(
        self,
        task: Task,
        effort: float,
        until: float,
        least: int = 0,
        enough: float = math.inf,
        nodes: Nodes | None = None,
    ) -> None:
        self.task = task
        self.best: Groups | None = None
        self.bound = max(task.material[0], least)
        self.cost = sum(task.demand) * max(board.cost for board in task.boards) + 1  # more than any plan
        self._effort = effort
        self._until = until
        self._enough = enough
        self._nodes = nodes or Nodes(effort)
        for groups in greedy.plans(task.sizes, task.demand, task.boards):
            self.offer(groups)

    @property
    def proven(self) -> bool:
        """Whether the plan is proven cheapest or of no use or, if there is none, that there can be none."""
        return self.bound >= min(self.cost, self._enough)

    @property
    def settled(self) -> bool:
        """Whether nothing is left to look for."""
        return self.proven and (self.best is None or len(self.best) == 1)

    def run(self) -> None:
        """Search until nothing is left to look for, or the effort is spent."""
        columns = self._columns()
        if columns is not None:
            self._close(columns)
            if self.best is not None:
                self._settle(columns, self.best)

    def close(self) -> None:
        """Search for the cost alone."""
        columns = None if self.proven else self._columns()
        if columns is not None:
            self._close(columns)

    def _columns(self) -> Columns | None:
        if len(self.task.sizes) * self.task.boards[-1].size > _TABLE:
            return None
        columns = Columns(self.task, self.cost if self.best is None else None, self._until)
        for pattern in self.best or ():
            columns.add(pattern)
        return columns

    def _close(self, columns: Columns) -> None:
        self._relax(columns)
        many = self.best is not None and len(self.task.sizes) > _MANY
        for width in () if many else map(self._steps, _WIDTHS):
            if self.proven or not self._nodes.most(width) or not self._widen(columns, width):
                break

    def _steps(self, number: float) -> int:
        return max(1, int(number * self._effort))

    def offer(self, groups: Groups) -> None:
        """Keep a plan that is better than the best."""
        task = self.task
        left = left_over(task.demand, groups)
        if max(left) > 0 or min(still_on_offer(task.boards, groups)) < 0:
            return  # a programme's values are floats: what they say is never taken on trust
        groups = exact(groups, left)
        if self.best is None or self._rank(groups) < self._rank(self.best):
            self.best, self.cost = groups, cost_of(groups, task.boards)

    def _rank(self, groups: Groups) -> tuple[int, int, int]:
        return cost_of(groups, self.task.boards), len(groups), -squared_offcuts(groups, self.task)

    def _relax(self, columns: Columns) -> None:
        """Generate columns; every few rounds make a plan of them."""
        task = self.task
        most = 20 + _CELLS // (len(task.sizes) * task.boards[-1].size)
        rounds, more = self._steps(min(_ROUNDS, most)), True
        at_once = max(_ROUNDS_AT_ONCE, len(task.sizes) // 6)
        while more and rounds > 0 and not self.proven:
            more = columns.generate(self.cost, min(rounds, at_once))
            rounds -= at_once
            self.bound = max(self.bound, math.ceil(columns.bound))
            if not self.proven:
                self._round(columns)

    def _round(self, columns: Columns) -> None:
        """Cut patterns as often as the relaxation says, rounded, and fill boards with what is left."""
        task = self.task
        groups, parts = columns.rounded()
        left = [max(0, lacking) for lacking in left_over(task.demand, groups)]
        numbers = [max(0, number) for number in still_on_offer(task.boards, groups)]
        for up in (False, True):
            if up:
                groups = dict(groups)
                for pattern in parts:
                    b, counts = pattern
                    if numbers[b] and all(count <= had for count, had in zip(counts, left, strict=True)):
                        groups[pattern] = groups.get(pattern, 0) + 1
                        numbers[b] -= 1
                        left = [had - count for had, count in zip(left, counts, strict=True)]
            boards = [board._replace(number=n) for board, n in zip(task.boards, numbers, strict=True)]
            for rest in greedy.plans(task.sizes, left, boards):
                self.offer(merged(groups, rest))
                if self.proven:
                    return

    def _widen(self, columns: Columns, width: int) -> bool:
        """Solve in whole numbers over the patterns found and all that plans up to some cost can hold.

        Any plan costs more than that, or as much as this programme's bound. Tell whether more patterns may
        help.
        """
        gap, patterns = columns.within(self.cost - columns.bound, width)
        patterns = list(dict.fromkeys([*columns.patterns, *patterns]))
        programme = Programme(columns.rows, self._until)
        for pattern in patterns:
            programme.add(self.task.boards[pattern[0]].cost, *columns.entries(pattern), whole=True)
        most = self._nodes.most(len(patterns))
        if not most:
            return False
        answer = programme.whole(most)
        self._nodes.take(answer.nodes, len(patterns))
        if answer.values is not None:
            self.offer(
                {p: round(value) for p, value in zip(patterns, answer.values, strict=True) if value > 0.5}
            )
        beyond = math.floor(columns.bound + gap) + 1
        dust = _DUST + 1e-9 * abs(answer.bound)  # costs are whole: no proof is lost up to 10^9
        least = math.ceil(max(0.0, answer.bound) - dust) if answer.possible else beyond
        self.bound = max(self.bound, min(least, beyond))
        return answer.finished

    def _settle(self, columns: Columns, best: Groups) -> None:
        """Look for plans as cheap with fewer patterns, then for as few patterns with better offcuts."""
        if not 1 < len(best) <= _SETTINGS_MOST:
            return
        slack = self.cost - columns.bound
        _, near = columns.within(slack, self._steps(_SETTINGS_PATTERNS))
        patterns: list[Pattern] = list(dict.fromkeys([*best, *columns.patterns, *near]))
        losses = [columns.loss(pattern) for pattern in patterns]
        settings = Settings(self.task, patterns, losses, columns.fine(slack), self._until)
        number = len(best)
        while number > 1:
            plan = next(settings.plans(self.cost, number - 1, self._steps(_SETTINGS_STEPS)), None)
            if plan is None:
                break
            self.offer(plan)
            number = len(plan)
        for plan in settings.plans(self.cost, number, self._steps(_OFFCUT_STEPS)):
            self.offer(plan)
