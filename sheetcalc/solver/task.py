"""A cutting task put in order, and plans on the way to their final form."""

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

Counts = tuple[int, ...]
Pattern = tuple[int, Counts]  # index of the board cut, how many of each size
Groups = dict[Pattern, int]  # how often each pattern is cut


class Board(NamedTuple):
    """A size worth buying; `number` is how many a plan can use, `limited` whether the offer sets that."""

    size: int
    cost: int
    number: int
    limited: bool
    stock: int


class Task(NamedTuple):
    """Distinct sizes, largest first, each in demand; boards, smallest first; costs without common part."""

    sizes: Counts
    demand: Counts
    boards: tuple[Board, ...]

    @property
    def limits(self) -> list[int]:
        """The most of each size that a pattern can hold."""
        room = self.boards[-1].size
        return [min(wanted, room // size) for size, wanted in zip(self.sizes, self.demand, strict=True)]

    @property
    def length(self) -> int:
        """All pieces end to end."""
        return sum(size * wanted for size, wanted in zip(self.sizes, self.demand, strict=True))

    @property
    def lacks_length(self) -> bool:
        """Whether even all boards end to end are too short."""
        return sum(board.size * board.number for board in self.boards) < self.length

    @property
    def material(self) -> tuple[int, Fraction]:
        """Least cost of so much length, were boards sold by length, and the rate of the last of it."""
        length, cost, rate = self.length, Fraction(0), Fraction(0)
        for board in sorted(self.boards, key=lambda board: Fraction(board.cost, board.size)):
            if length:
                rate = Fraction(board.cost, board.size)
            used = min(length, board.size * board.number)
            cost += rate * used
            length -= used
        return math.ceil(cost), rate


def worth_buying(
    stock: Sequence[tuple[int, int, int | None]], least: int, pieces: int
) -> tuple[list[Board], int]:
    """Return the boards that can stand in a best plan, smallest first, and the common part of their costs.

    A board falls out if another, without limit, is as long and as cheap.
    """
    usable = [
        Board(
            size,
            cost,
            pieces if number is None else min(number, pieces),
            number is not None and number < pieces,
            index,
        )
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
    """Return what a plan leaves of the demand; below 0 where it cuts too many."""
    left = list(demand)
    for (_, counts), times in groups.items():
        for i, count in enumerate(counts):
            left[i] -= count * times
    return left


def still_on_offer(boards: Sequence[Board], groups: Groups) -> list[int]:
    """Return how many of each board a plan leaves."""
    numbers = [board.number for board in boards]
    for (b, _), times in groups.items():
        numbers[b] -= times
    return numbers


def squared_offcuts(groups: Groups, task: Task) -> int:
    """Sum of the squares of what is left of each board."""
    return sum(
        times
        * (task.boards[b].size - sum(size * count for size, count in zip(task.sizes, counts, strict=True)))
        ** 2
        for (b, counts), times in groups.items()
    )


def exact(groups: Groups, left: Sequence[int]) -> Groups:
    """Leave out the pieces cut too many, where `left` is below 0, at the price of few new patterns."""
    trimmed = dict(groups)
    for i, lacking in enumerate(left):
        spare = -lacking
        while spare > 0:
            holders = [(times, pattern) for pattern, times in trimmed.items() if pattern[1][i]]
            whole = [holder for holder in holders if holder[0] <= spare]
            # each board of a whole group loses a piece, or else part of the smallest group is set apart
            times, pattern = max(whole) if whole else min(holders)
            board, counts = pattern
            boards = min(times, spare)
            off = min(counts[i], spare // boards)
            if boards == times:
                del trimmed[pattern]
            else:
                trimmed[pattern] = times - boards
            shorter = board, (*counts[:i], counts[i] - off, *counts[i + 1 :])
            if any(shorter[1]):
                trimmed[shorter] = trimmed.get(shorter, 0) + boards
            spare -= boards * off
    return trimmed
