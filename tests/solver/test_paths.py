"""The paths through a run: all of them, the cheapest first, around what is barred."""

from itertools import combinations, pairwise

import pytest

from sheetcalc.solver import paths
from sheetcalc.solver.cutting import Stock
from sheetcalc.solver.paths import Path, Paths
from sheetcalc.solver.search import near
from sheetcalc.solver.spans import Rules, Run, network

RULES = Rules((3, 4, 6, 7, 9, 11, 12), apart=2, least=3)
NET = network((Run(1, 0, 15),), RULES, (Stock(8, 80), Stock(6, 57)), 5)
SPAN = NET.spans[0]
COSTS = [size * size for size in NET.sizes]
BREAKS = [0, *(7 * at % 5 for at in range(1, SPAN.end)), 0]


def brute(barred: int) -> list[int]:
    """Costs of all ways, by trying every set of places."""
    costs = []
    inside = [at for at in range(1, SPAN.end) if not SPAN.bits[at] & barred]
    for number in range(len(inside) + 1):
        for way in combinations(inside, number):
            nodes = (0, *way, SPAN.end)
            pieces = [SPAN.nodes[b] - SPAN.nodes[a] for a, b in pairwise(nodes)]
            if min(pieces) >= RULES.least and max(pieces) <= 8:
                costs.append(sum(size * size for size in pieces) + sum(BREAKS[at] for at in way))
    return sorted(costs)


def paths_of() -> Paths:
    return Paths(SPAN, COSTS, BREAKS, near(NET.places, RULES.apart))


def cost(path: Path) -> int:
    return sum(COSTS[piece] for piece in path.pieces) + path.breaks


def test_all_paths_come_the_cheapest_first():
    found = paths_of().cheapest(COSTS, 0, 1000)
    assert [cost(path) for path in found] == brute(0)
    assert len({path.nodes for path in found}) == len(found) > 10


def test_paths_know_their_places_and_those_beside():
    for path in paths_of().cheapest(COSTS, 0, 1000):
        places = {SPAN.nodes[node] for node in path.nodes[1:-1]}
        assert {place for at, place in enumerate(NET.places) if path.bits >> at & 1} == places
        close = {place for place in NET.places if any(abs(place - other) < 2 for other in places)}
        assert {place for at, place in enumerate(NET.places) if path.beside >> at & 1} == close
        assert [*path.pieces] == sorted(path.pieces, reverse=True)


@pytest.mark.parametrize("listed", [0, 3, 500])
def test_a_barred_place_is_gone_around(monkeypatch: pytest.MonkeyPatch, listed: int):
    monkeypatch.setattr(paths, "_LISTED", listed)
    ours = paths_of()
    for barred in range(1 << len(NET.places)):
        costs = brute(barred)
        found = ours.cheapest(COSTS, barred, 3)
        assert [cost(path) for path in found] == costs[:3]
        assert not any(path.bits & barred for path in found)
        first = ours.first(barred)
        assert (first and cost(first)) == (costs[0] if costs else None)
