"""Plans by filling one board after another, each as full as it goes (subset sum): quick, never proof."""

from collections.abc import Iterator, Sequence

from sheetcalc.solver.task import Board, Groups

# A set of lengths is one whole number with a bit for each length, so that adding a piece is one shift.


def _reach(sizes: Sequence[int], left: Sequence[int], room: int) -> list[int]:
    """Lengths that the sizes from each index on can fill together, up to `room`."""
    inside = (1 << room + 1) - 1
    reach = [1] * (len(sizes) + 1)
    for i in range(len(sizes) - 1, -1, -1):
        lengths, rest, part = reach[i + 1], min(left[i], room // sizes[i]), 1
        while rest:
            part = min(part, rest)
            lengths |= lengths << part * sizes[i]
            rest -= part
            part *= 2
        reach[i] = lengths & inside
    return reach


def _parts(sizes: Sequence[int], left: Sequence[int], reach: Sequence[int], total: int) -> list[int]:
    """Return a pattern that fills `total` exactly, large sizes first."""
    counts = [0] * len(sizes)
    for i, size in enumerate(sizes):
        if not total:
            break
        count = min(left[i], total // size)
        while not reach[i + 1] >> (total - count * size) & 1:
            count -= 1
        counts[i] = count
        total -= count * size
    return counts


def fill(
    sizes: Sequence[int], demand: Sequence[int], boards: Sequence[Board], *, lead: bool
) -> Groups | None:
    """Fill boards as full as they go, each time the one that costs least for the length used.

    Parameters
    ----------
    sizes, demand, boards
        Of a task; sizes from the largest on.
    lead : bool
        Whether each board holds the largest piece left.
    """
    left, on_offer = list(demand), [board.number for board in boards]
    groups: Groups = {}
    while True:
        first = next((i for i, count in enumerate(left) if count), None)
        if first is None:
            return groups
        fitting = [b for b, board in enumerate(boards) if board.size >= sizes[first] and on_offer[b]]
        if not fitting:
            return None
        base = sizes[first] if lead else 0
        left[first] -= lead
        reach = _reach(sizes, left, boards[fitting[-1]].size - base)
        used = {b: base + (reach[0] & (1 << boards[b].size - base + 1) - 1).bit_length() - 1 for b in fitting}
        best = min(fitting, key=lambda b: (boards[b].cost / used[b], boards[b].size - used[b]))
        counts = _parts(sizes, left, reach, used[best] - base)
        left[first] += lead
        counts[first] += lead
        # the best pattern stays the best as long as there are pieces for it
        times = min(on_offer[best], *(left[i] // count for i, count in enumerate(counts) if count))
        groups[best, tuple(counts)] = times
        on_offer[best] -= times
        left = [had - times * count for had, count in zip(left, counts, strict=True)]


def plans(sizes: Sequence[int], demand: Sequence[int], boards: Sequence[Board]) -> Iterator[Groups]:
    """Yield the plans that filling finds."""
    for lead in (True, False):
        groups = fill(sizes, demand, boards, lead=lead)
        if groups is not None:
            yield groups
