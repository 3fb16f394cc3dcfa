"""The most that the pieces in one board can be worth: the bounded knapsack, by dynamic programming.

A size wanted n times is let in as 1, 2, 4 … of it at once, so that each takes log n steps.
"""

from collections.abc import Sequence
from math import inf
from typing import Any

from sheetcalc.solver.programme import in_time
from sheetcalc.solver.task import Counts

_CLOCK = 1024  # patterns from one look at the clock to the next


class Knapsack:
    """Table of the most value for each room, for pieces of whole-number size and value, each up to its limit.

    Row k of the table knows the sizes from the k-th on, so that a pattern is read off forwards, and every
    pattern of at least some value is found without a step in vain.
    """

    def __init__(self, sizes: Sequence[int], limits: Sequence[int], room: int) -> None:
        self._sizes, self._limits, self._room = sizes, limits, room
        self._values: Sequence[int] = ()
        self._table: list[Any] = []

    def fill(self, values: Sequence[int]) -> None:
        """Compute the table for these values of the sizes."""
        import numpy as np

        best = np.zeros(self._room + 1, np.int64)
        table: list[Any] = [best]
        for size, limit, value in zip(
            reversed(self._sizes), reversed(self._limits), reversed(values), strict=True
        ):
            rest, part = limit if value else 0, 1
            if rest:
                best = best.copy()
            while rest:
                part = min(part, rest)
                np.maximum(best[part * size :], best[: -part * size] + part * value, out=best[part * size :])
                rest -= part
                part *= 2
            table.append(best)
        self._values = values
        self._table = [memoryview(row) for row in reversed(table)]

    def most(self, room: int) -> int:
        """Most value in `room`."""
        return self._table[0][room]

    def others(self, room: int, least: float, most: int) -> list[Counts]:
        """Return good patterns that each hold one more size surely: the best few worth more than `least`."""
        worth = [
            (value + self._table[0][room - size], i)
            for i, (size, value) in enumerate(zip(self._sizes, self._values, strict=True))
            if value and size <= room
        ]
        found: list[Counts] = []
        for _, i in sorted(at for at in worth if at[0] > least)[-most:]:
            counts = list(self.pattern(room - self._sizes[i]))
            if counts[i] < self._limits[i]:
                counts[i] += 1
                found.append(tuple(counts))
        return found

    def pattern(self, room: int) -> Counts:
        """Return a pattern of most value."""
        counts: list[int] = []
        for k, (size, value) in enumerate(zip(self._sizes, self._values, strict=True)):
            best, after, count = self._table[k][room], self._table[k + 1], 0
            while count * value + after[room - count * size] != best:
                count += 1
            counts.append(count)
            room -= count * size
        return tuple(counts)

    def patterns(self, room: int, least: int, most: int, until: float = inf) -> list[Counts]:
        """Return all patterns worth at least `least`, or only so many of them, while there is time."""
        found: list[Counts] = []
        counts = [0] * len(self._sizes)

        def add(k: int, room: int, least: int) -> None:
            if least <= 0 and any(counts):
                found.append(tuple(counts))
                if not len(found) % _CLOCK:
                    in_time(until)
            for i in range(k, len(counts)):
                if self._table[i][room] < least:
                    return
                size, value, after = self._sizes[i], self._values[i], self._table[i + 1]
                for count in range(1, min(self._limits[i], room // size) + 1):
                    if len(found) >= most:
                        return
                    if after[room - count * size] >= least - count * value:
                        counts[i] = count
                        add(i + 1, room - count * size, least - count * value)
                counts[i] = 0

        add(0, room, least)
        return found[:most]
