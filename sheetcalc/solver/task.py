"""A cutting task put in order, and plans on the way to their final form."""

import math
from collections.abc import Sequence
from typing import NamedTuple

Counts = tuple[int, ...]
Pattern = tuple[int, Counts]  # index of the board cut, how many of each size
Groups = dict[Pattern, int]  # how often each pattern is cut


class Board(NamedTuple):
    """A size worth buying; `number` is how many a plan can use, `limited` whether that is a limit on offer."""

    size: int
    cost: int
    number: int
    limited: bool
    stock: int


class Task(NamedTuple):
    """Distinct sizes, largest first, each in demand; boards by size; costs in units of `unit`."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    boards: tuple[Board, ...]
    unit: int

    @property
    def limits(self) -> list[int]:
        """The most of each size that a pattern can hold."""
        room = self.boards[-1].size
        return [min(wanted, room // size) for size, wanted in zip(self.sizes, self.demand, strict=True)]


def worth_buying(stock: Sequence[tuple[int, int, int | None]], least: int, pieces: int) -> tuple[list[Board], int]:
    """Return the boards that can stand in a best plan, smallest first, and the greatest common part of their costs.

    A board falls out if another, without limit, is as long and as cheap.
    """
    usable = [
        Board(size, cost, pieces if number is None else min(number, pieces), number is not None and number < pieces, index)
        for index, (size, cost, number) in enumerate(stock)
        if size >= least and number != 0
    ]
    kept: list[Board] = []
    cheapest: int | None = None  # among the unlimited that are as long
    for board in sorted(usable, key=lambda board: (-board.size, board.cost, board.limited, board.stock)):
        if cheapest is None or board.cost < cheapest:
            kept.append(board)
            if not board.limited:
                cheapest = board.cost
    unit = math.gcd(*(board.cost for board in kept)) or 1
    return [board._replace(cost=board.cost // unit) for board in reversed(kept)], unit


def cost_of(groups: Groups, boards: Sequence[Board]) -> int:
    """Cost of a plan in units of the task."""
    return sum(boards[board].cost * times for (board, _), times in groups.items())


def merged(*plans: Groups) -> Groups:
    """Put plans together."""
    together: Groups = {}
    for plan in plans:
        for pattern, times in plan.items():
            together[pattern] = together.get(pattern, 0) + times
    return together


def left_over(demand: Sequence[int], groups: Groups) -> list[int]:
    """What a plan leaves of the demand; below 0 where it cuts too many."""
    left = list(demand)
    for (_, counts), times in groups.items():
        for i, count in enumerate(counts):
            left[i] -= count * times
    return left


def exact(groups: Groups, demand: Sequence[int]) -> Groups:
    """Leave out pieces cut too many, with as few new patterns as are easily had."""
    left = left_over(demand, groups)
    for i in range(len(demand)):
        while left[i] < 0:
            spare = -left[i]
            holders = [(pattern, times) for pattern, times in groups.items() if pattern[1][i]]
            whole = [holder for holder in holders if holder[1] <= spare]
            # a whole group loses a piece from each board, or else part of the smallest group is set apart
            pattern, times = max(whole, key=lambda at: at[1]) if whole else min(holders, key=lambda at: at[1])
            board, counts = pattern
            boards = min(times, spare)
            off = min(counts[i], spare // boards)
            if boards < times:
                groups[pattern] = times - boards
            else:
                del groups[pattern]
            smaller = (board, (*counts[:i], counts[i] - off, *counts[i + 1 :]))
            left[i] += boards * off
            if any(smaller[1]):
                groups[smaller] = groups.get(smaller, 0) + boards
    return groups
