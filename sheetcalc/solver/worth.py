"""What a length is worth when pieces of given prices can be cut from it: the unbounded knapsack.

By dynamic programming over the lengths that pieces add up to, in a heap, since these are few.
"""

from bisect import bisect_right
from collections.abc import Sequence
from heapq import heappop, heappush

__all__ = ["Share", "Worth"]


class Worth:
    """The dearest set of pieces that any length yields.

    Steps are kept instead of every length: `at` holds the lengths where the worth rises, `value` the worth
    from there on.

    Parameters
    ----------
    sizes, prices : sequence
        Each size of piece and what one is worth, 0 or more; any number of each can be cut.
    most : int
        Longest length that is ever asked for.

    Examples
    --------
    >>> worth = Worth([3, 5], [30, 60], 10)
    >>> worth(2), worth(4), worth(9), worth.cut(9)
    (0, 30, 90, [0, 1])
    """

    def __init__(self, sizes: Sequence[int], prices: Sequence[float], most: int) -> None:
        useful: list[tuple[int, float, int]] = []
        for size, price, index in sorted(zip(sizes, prices, range(len(sizes)), strict=True)):
            if price > (useful[-1][1] if useful else 0):
                useful.append((size, price, index))
        self.at: list[int] = []
        self.value: list[float] = []
        self._last: list[tuple[int, int]] = []  # the step a step is reached from, and the piece added there
        found: dict[int, tuple[float, int, int]] = {0: (0, -1, -1)}
        ahead = [0]
        while ahead:
            here = heappop(ahead)
            value, before, piece = found.pop(here)
            if self.value and value <= self.value[-1]:
                continue
            step = len(self.at)
            self.at.append(here)
            self.value.append(value)
            self._last.append((before, piece))
            for size, price, index in useful:
                there = here + size
                if there > most:
                    break
                known = found.get(there)
                if known is None:
                    heappush(ahead, there)
                elif known[0] >= value + price:
                    continue
                found[there] = value + price, step, index

    def __call__(self, length: int) -> float:
        """Return the worth of a length."""
        return self.value[bisect_right(self.at, length) - 1]

    def used(self, length: int) -> int:
        """Return how much of a length its dearest pieces need."""
        return self.at[bisect_right(self.at, length) - 1]

    def cut(self, length: int) -> list[int]:
        """Return the pieces, by their place in `sizes`, that make a length so dear."""
        step = bisect_right(self.at, length) - 1
        pieces: list[int] = []
        while step > 0:
            step, piece = self._last[step]
            pieces.append(piece)
        return sorted(pieces)


class Share:
    """Worth where each size of piece is worth its share of a board: the length that pieces can use of it.

    Much quicker than `Worth`, as the lengths that pieces add up to are the bits of one whole number.

    Examples
    --------
    >>> worth = Share([3, 5], 10, 90)
    >>> worth(2), worth(4), worth(9), worth.used(7)
    (0, 27, 81, 6)
    """

    def __init__(self, sizes: Sequence[int], board: int, cost: int) -> None:
        self._board, self._cost = board, cost
        inside = (1 << board + 1) - 1
        reached, inside = 1, (1 << board + 1) - 1
        for size in sizes:
            several = size  # that many times, and twice as many, until there is no room
            while several <= board:
                reached |= reached << several & inside
                several *= 2
        self._reached = reached

    def __call__(self, length: int) -> int:
        """Return the worth of a length."""
        return self.used(length) * self._cost // self._board

    def used(self, length: int) -> int:
        """Return how much of a length the pieces use that leave least of it."""
        return (self._reached & (1 << length + 1) - 1).bit_length() - 1
