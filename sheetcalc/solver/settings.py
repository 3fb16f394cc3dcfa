"""Few patterns at a given cost, since every pattern has to be set up: a search in depth with limited steps.

The literature calls it pattern minimisation.
"""

import math
from collections.abc import Iterator, Sequence

from sheetcalc.solver.programme import in_time
from sheetcalc.solver.task import Groups, Pattern, Task

_CLOCK = 1024  # steps from one look at the clock to the next


class Settings:
    """A search for plans of few patterns, the largest size left next, each pattern as often as it fits.

    What a pattern loses, its cost over the worth of its pieces, may sum up to `slack` in a plan of that cost.
    """

    def __init__(
        self,
        task: Task,
        patterns: Sequence[Pattern],
        losses: Sequence[int],
        slack: int,
        until: float = math.inf,
    ) -> None:
        self._task = task
        self._until = until
        self._slack = slack
        self._steps = 0
        self._led_by: list[list[tuple[Pattern, int, list[tuple[int, int]]]]] = [[] for _ in task.sizes]
        for loss, pattern in sorted(zip(losses, patterns, strict=True)):
            held = [(i, count) for i, count in enumerate(pattern[1]) if count]
            self._led_by[held[0][0]].append((pattern, max(loss, 0), held))

    def plans(self, cost: int, number: int, steps: int) -> Iterator[Groups]:
        """Yield plans of at most that cost and number of patterns, as far as the steps go."""
        self._steps = steps
        on_offer = [board.number for board in self._task.boards]
        return self._plans(list(self._task.demand), cost, self._slack, number, on_offer)

    def _plans(
        self, left: list[int], cost: int, slack: int, number: int, on_offer: list[int]
    ) -> Iterator[Groups]:
        first = next((i for i, count in enumerate(left) if count), None)
        if first is None:
            yield {}
            return
        if number == 1:
            yield from self._last(left, cost, on_offer)
            return
        for pattern, loss, held in self._led_by[first]:
            self._steps -= 1
            if self._steps < 0 or loss > slack:
                return
            if not self._steps % _CLOCK:
                in_time(self._until)
            b = pattern[0]
            times = on_offer[b]
            for i, count in held:
                times = min(times, left[i] // count)
            each = self._task.boards[b].cost
            if not times or times * each > cost or times * loss > slack:
                continue
            rest = left.copy()
            for i, count in held:
                rest[i] -= times * count
            on_offer[b] -= times
            for plan in self._plans(rest, cost - times * each, slack - times * loss, number - 1, on_offer):
                yield {**plan, pattern: plan.get(pattern, 0) + times}
            on_offer[b] += times

    def _last(self, left: list[int], cost: int, on_offer: list[int]) -> Iterator[Groups]:
        """Yield the one pattern that finishes what is left, if there is one."""
        common = math.gcd(*left)
        length = sum(size * count for size, count in zip(self._task.sizes, left, strict=True))
        for b, board in enumerate(self._task.boards):
            most = min(common, on_offer[b], cost // board.cost if board.cost else common)
            for times in range(-(-length // board.size), most + 1):
                if common % times == 0:
                    yield {(b, tuple(count // times for count in left)): times}
                    break
