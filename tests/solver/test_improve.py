"""The parts of the cheapest cutting, where the whole would not show a fault."""

import itertools
import time
from concurrent.futures import ThreadPoolExecutor
from random import Random

import highspy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetcalc.solver import improve
from sheetcalc.solver.columns import Columns
from sheetcalc.solver.greedy import fill
from sheetcalc.solver.improve import Nodes, Search
from sheetcalc.solver.knapsack import Knapsack
from sheetcalc.solver.programme import Answer, Programme, Undecided
from sheetcalc.solver.settings import Settings
from sheetcalc.solver.task import Board, Task, exact, worth_buying

BOARDS = (Board(70, 5, 9, limited=False, stock=0), Board(100, 8, 2, limited=True, stock=1))
TASK = Task((40, 30), (4, 5), BOARDS)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    kinds=st.lists(
        st.tuples(st.integers(2, 9), st.integers(0, 4), st.integers(0, 12)), min_size=1, max_size=4
    ),
    room=st.integers(9, 25),
    least=st.integers(0, 30),
)
def test_patterns_of_at_least_some_value(kinds: list[tuple[int, int, int]], room: int, least: int):
    sizes, limits, values = zip(*kinds, strict=True)
    knapsack = Knapsack(sizes, limits, room)
    knapsack.fill(values)

    def total(counts: tuple[int, ...], each: tuple[int, ...]) -> int:
        return sum(count * one for count, one in zip(counts, each, strict=True))

    fitting = [
        counts
        for counts in itertools.product(*(range(limit + 1) for limit in limits))
        if total(counts, sizes) <= room
    ]
    good = [counts for counts in fitting if any(counts) and total(counts, values) >= least]
    assert sorted(knapsack.patterns(room, least, most=10**6)) == sorted(good)
    assert len(knapsack.patterns(room, least, most=3)) == min(3, len(good))
    best = knapsack.pattern(room)
    assert best in fitting
    assert total(best, values) == knapsack.most(room) == max(total(counts, values) for counts in fitting)
    others = knapsack.others(room, least=0, most=10)
    assert set(others) <= set(fitting)


def test_a_board_as_long_and_as_cheap_as_another_drives_it_out():
    stock = [
        (100, 40, None),
        (90, 40, None),
        (90, 36, 2),
        (80, 38, 1),
        (120, 60, 0),
        (100, 42, None),
        (20, 2, 3),
    ]
    boards, unit = worth_buying(stock, least=30, pieces=9)
    assert unit == 2
    assert [(board.stock, board.cost, board.number, board.limited) for board in boards] == [
        (3, 19, 1, True),
        (2, 18, 2, True),
        (0, 20, 9, False),
    ]


def test_what_does_not_cover_the_demand_or_is_not_on_offer_is_no_plan():
    search = Search(TASK, effort=1.0, until=time.monotonic() + 5)
    best = search.best
    search.offer({(0, (1, 1)): 4})
    search.offer({(1, (1, 2)): 4})
    assert search.best == best


@pytest.mark.parametrize(
    ("groups", "left", "trimmed"),
    [
        ({(0, (1, 0)): 3, (0, (0, 2)): 2}, [-1, 0], {(0, (1, 0)): 2, (0, (0, 2)): 2}),
        ({(0, (1, 2)): 2, (0, (2, 1)): 5}, [0, -2], {(0, (1, 1)): 2, (0, (2, 1)): 5}),
        ({(0, (3, 2)): 4}, [-1, 0], {(0, (3, 2)): 3, (0, (2, 2)): 1}),
    ],
    ids=["a board too many", "a whole group", "one of a group"],
)
def test_pieces_too_many_are_left_out(groups: dict, left: list[int], trimmed: dict):
    assert exact(groups, left) == trimmed


def test_settings_may_stay_under_the_number_asked_for():
    some = Settings(TASK, [(0, (1, 1)), (0, (0, 1))], losses=[0, 0], slack=0)
    assert list(some.plans(cost=25, number=3, steps=100)) == [{(0, (1, 1)): 4, (0, (0, 1)): 1}]
    assert list(some.plans(cost=24, number=3, steps=100)) == []
    assert list(some.plans(cost=25, number=3, steps=1)) == []


def test_filling_stops_when_nothing_is_on_offer():
    assert fill((40,), (3,), (Board(100, 8, 1, limited=True, stock=0),), lead=True) is None


def test_rounds_used_up_leave_a_valid_bound():
    columns = Columns(TASK, dear=None, until=time.monotonic() + 5)
    for pattern in ((0, (1, 0)), (0, (0, 1))):
        columns.add(pattern)
    assert columns.generate(enough=1000, rounds=1)
    first = columns.bound
    assert not columns.generate(enough=1000, rounds=50)
    assert 0 < first <= columns.bound <= 25


def test_a_programme_tells_whether_it_had_nodes_enough():
    programme = Programme([(7.0, float("inf"))], until=time.monotonic() + 5)
    for cost, length in ((5.0, 3.0), (8.0, 5.0)):
        programme.add(cost, [0], [length], whole=True)
    answer = programme.whole(nodes=100)
    assert (answer.values, answer.bound, answer.possible, answer.finished) == ([1, 1], 13, True, True)


def test_time_up():
    programme = Programme([(1.0, 2.0)], until=time.monotonic() - 1)
    programme.add(1.0, [0], [1.0])
    with pytest.raises(Undecided):
        programme.relaxed()


def test_every_run_has_the_time_that_is_left(monkeypatch: pytest.MonkeyPatch):
    """HiGHS counts its time over all runs of a programme."""
    monkeypatch.setattr(time, "monotonic", lambda: 0.0)
    programme = Programme([(1.0, 2.0)], until=5.0)
    programme.add(1.0, [0], [1.0])
    programme.relaxed()
    spent = programme._highs.getRunTime()
    assert spent > 0
    programme.relaxed()
    assert programme._highs.getOptionValue("time_limit")[1] == spent + 5


def test_searches_that_share_nodes_take_no_more_together(monkeypatch: pytest.MonkeyPatch):
    taken: list[int] = []
    whole = Programme.whole

    def counted(programme: Programme, nodes: int) -> Answer:
        answer = whole(programme, nodes)
        taken.append(answer.nodes * programme._highs.getNumCol())
        return answer

    monkeypatch.setattr(Programme, "whole", counted)
    monkeypatch.setattr(improve, "_NODES", 1200)
    boards = tuple(
        Board(size, cost, 99, limited=False, stock=at)
        for at, (size, cost) in enumerate([(1207, 1250), (1449, 1490), (1931, 1970)])
    )
    chance = Random(4)
    sizes = tuple(sorted(chance.sample(range(161, 1400), 24), reverse=True))
    task = Task(sizes, (2,) * len(sizes), boards)

    def both() -> None:
        nodes = Nodes(effort=1.0)
        for _ in range(3):
            Search(task, 1.0, time.monotonic() + 60, nodes=nodes).close()

    with ThreadPoolExecutor(1) as thread:
        thread.submit(both).result()
    assert len(taken) > 1
    assert sum(taken) <= 1200


def test_a_task_too_large_for_its_tables_keeps_an_honest_bound():
    boards = (Board(30_000_000, 5, 9, limited=False, stock=0),)
    search = Search(Task((14_000_000, 9_000_000), (3, 4), boards), effort=1.0, until=time.monotonic() + 5)
    search.run()
    assert search.best is not None
    assert (search.cost, search.bound) == (15, 13)


def test_what_highs_does_not_solve_is_undecided():
    def both() -> None:
        other = highspy._Highs()
        other.setOptionValue("output_flag", False)
        other.setOptionValue("threads", 2)
        other.addVar(1.0, 2.0)
        other.run()
        programme = Programme([(1.0, 2.0)], until=time.monotonic() + 5)
        programme.add(1.0, [0], [1.0])
        with pytest.raises(Undecided):  # another number of threads in this one
            programme.relaxed()

    with ThreadPoolExecutor(1) as thread:
        thread.submit(both).result()


def test_the_long_steps_mind_the_clock():
    task = Task((1,), (5000,), (Board(5000, 9, 5000, limited=False, stock=0),))
    patterns = [(0, (count,)) for count in range(1, 5000)]
    past = time.monotonic() - 1
    with pytest.raises(Undecided):
        list(Settings(task, patterns, losses=[0] * len(patterns), slack=0, until=past).plans(9, 2, 10**6))
    knapsack = Knapsack([1, 2], [3000, 3000], 9000)
    knapsack.fill([0, 0])
    with pytest.raises(Undecided):
        knapsack.patterns(9000, 0, 10**6, past)
    assert len(knapsack.patterns(9000, 0, 2000, time.monotonic() + 60)) == 2000
