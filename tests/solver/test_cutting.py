"""The cheapest cutting: right on small tasks by an independent model, honest on large ones."""

import itertools
import os
import random
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import check
from scipy.optimize import Bounds, LinearConstraint, milp

import sheetcalc
from sheetcalc.solver.cutting import Cut, NoPlan, Plan, Stock, TooLong, cheapest

Task = tuple[tuple[int, ...], tuple[int, ...], tuple[Stock, ...]]
HALVES: Task = ((1536, 768), (20, 13), (Stock(3072, 100), Stock(1536, 50), Stock(2304, 75)))


def solved(task: Task, effort: float = 1.0) -> Plan:
    sizes, demand, stock = task
    plan = cheapest(sizes=sizes, demand=demand, stock=stock, effort=effort)
    check(plan, sizes, demand, stock)
    return plan


def optimum(task: Task) -> int | None:
    """Least cost by scipy.optimize.milp over all patterns, apart from the package; None if impossible."""
    sizes, demand, stock = task
    columns = [
        (s, counts)
        for s, board in enumerate(stock)
        for counts in itertools.product(
            *(range(min(number, board.size // size) + 1) for size, number in zip(sizes, demand, strict=True))
        )
        if sum(count * size for count, size in zip(counts, sizes, strict=True)) <= board.size
    ]
    made = np.array([counts for _, counts in columns]).T
    used = np.array([[s == board for s, _ in columns] for board in range(len(stock))])
    most = [np.inf if board.number is None else board.number for board in stock]
    found = milp(
        [stock[s].cost for s, _ in columns],
        constraints=[LinearConstraint(made, demand, np.inf), LinearConstraint(used, 0, most)],
        integrality=np.ones(len(columns)),
        bounds=Bounds(0, np.inf),
        options={"mip_rel_gap": 0},
    )
    assert found.status in (0, 2)
    return round(found.fun) if found.status == 0 else None


def agrees(task: Task) -> None:
    best = optimum(task)
    if best is None:
        with pytest.raises(NoPlan):
            solved(task)
    else:
        plan = solved(task)
        assert (plan.cost, plan.bound) == (best, best)


@st.composite
def small_tasks(draw: st.DrawFn) -> Task:
    """Draw few sizes and stocks, some limited, some free, some alike."""
    sizes = draw(st.lists(st.integers(2, 20), min_size=1, max_size=4))
    demand = [draw(st.integers(0, 7)) for _ in sizes]
    stock = draw(
        st.lists(
            st.builds(Stock, st.integers(1, 30), st.integers(0, 40), st.none() | st.integers(0, 5)),
            min_size=1,
            max_size=4,
        )
    )
    return tuple(sizes), tuple(demand), tuple(stock)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(small_tasks())
def test_agrees_with_an_independent_model(task: Task):
    agrees(task)


def test_costs_in_the_millions_are_proven_to_the_last_unit():
    agrees(
        ((704, 480, 415, 707), (4, 10, 5, 1), (Stock(815, 604919), Stock(849, 911377, 6), Stock(550, 912734)))
    )


def tight(seed: int) -> Task:
    """Return a task with hardly more on offer than its pieces need."""
    draw = random.Random(seed)
    sizes = tuple(sorted(draw.sample(range(25, 75), 4)))
    demand = tuple(draw.randint(2, 9) for _ in sizes)
    length = sum(size * number for size, number in zip(sizes, demand, strict=True))
    share = length * draw.choice((100, 101, 103, 105)) // 100
    numbers = [-(-share * part // (100 * size)) for size, part in ((100, 40), (120, 30), (160, 30))]
    costs = [draw.randint(9, 11) * size // 10 for size in (100, 120, 160)]
    return sizes, demand, tuple(map(Stock, (100, 120, 160), costs, numbers))


@pytest.mark.parametrize("seed", range(40))
def test_few_on_offer(seed: int):
    agrees(tight(seed))


def test_tight_offers_go_both_ways():
    possible = [optimum(tight(seed)) is not None for seed in range(40)]
    assert 5 <= sum(possible) <= 35


@pytest.mark.parametrize("seed", [136, 162, 283])
def test_dear_boards_few_on_offer(seed: int):
    """Costs so high that HiGHS fails from the basis of the round before."""
    sizes, demand, stock = tight(seed)
    dear = tuple(
        Stock(board.size, 10_000 * board.cost + at * at, 20 * (board.number or 0))
        for at, board in enumerate(stock, 1)
    )
    plan = solved((sizes, tuple(20 * number for number in demand), dear))
    assert plan.cost == plan.bound


def job(seed: int, lengths: int, pieces: int, boards: int, finest: int = 4) -> Task:
    """Return a job in 64ths of an inch or what is near: lengths of 2 to 12 ft, boards of 6 to 20 ft."""
    draw = random.Random(seed)
    sizes = tuple(draw.sample(range(24 * finest, 144 * finest), lengths))
    demand = [1] * lengths
    for _ in range(pieces - lengths):
        demand[draw.randrange(lengths)] += 1
    feet = [*draw.sample(range(8, 21, 2), boards - 1), 12]
    stock = tuple(Stock(12 * f * finest, round(f * draw.uniform(90, 110))) for f in feet)
    return sizes, tuple(demand), stock


@pytest.mark.parametrize("seed", range(12))
def test_jobs_are_proven(seed: int):
    plan = solved(job(seed, lengths=2 + seed % 7, pieces=20 + 15 * seed, boards=3 + seed % 4))
    assert plan.cost == plan.bound


@pytest.mark.parametrize("finest", [16, 64, 254])
def test_a_finer_unit_changes_nothing(finest: int):
    coarse = job(3, lengths=5, pieces=60, boards=4, finest=1)
    sizes, demand, stock = coarse
    fine = tuple(size * finest for size in sizes), demand, tuple(Stock(s * finest, c) for s, c, _ in stock)
    assert solved(fine).cost == solved(coarse).cost


@pytest.mark.parametrize(
    "task",
    [
        ((700,), (10_000,), (Stock(3840, 2300), Stock(3072, 1850))),
        ((700, 555, 1301), (10_000, 7777, 3333), (Stock(3840, 2303), Stock(3072, 1850))),
        (tuple(range(400, 520)), (2,) * 120, (Stock(3840, 2300), Stock(3072, 1850))),
        (tuple(range(101, 117)), (31,) * 16, (Stock(960, 1000), Stock(1440, 1490), Stock(1920, 2011))),
        ((997, 1499, 2003), (5, 9, 4), tuple(Stock(4999 + s, 4999 + s) for s in range(9))),
    ],
    ids=["one size", "many pieces", "many sizes", "short pieces", "price by length"],
)
def test_hard_ones_keep_an_honest_bound(task: Task):
    plan = solved(task)
    assert plan.bound <= plan.cost <= plan.bound * 1.02


def test_exact_halves():
    plan = solved(HALVES)
    assert (plan.cost, plan.bound) == (1325, 1325)
    assert len(plan.cuts) == 2


def test_sizes_equal_to_the_stock():
    stock = (Stock(96, 7), Stock(120, 9))
    plan = solved(((120, 96), (3, 5), stock))
    assert plan == Plan((Cut(0, 5, (0, 1)), Cut(1, 3, (1, 0))), 5 * 7 + 3 * 9, 5 * 7 + 3 * 9)


def test_sizes_given_twice_are_shared_out():
    plan = solved(((30, 50, 30, 20), (3, 2, 4, 0), (Stock(90, 10), Stock(80, 8))))
    once = solved(((30, 50), (7, 2), (Stock(90, 10), Stock(80, 8))))
    assert (plan.cost, plan.bound) == (once.cost, once.bound)


def test_stocks_given_twice():
    """The cheap ones first, as far as they go."""
    plan = solved(((60,), (7,), (Stock(60, 9), Stock(60, 5, 2), Stock(60, 7, 3), Stock(60, 9))))
    assert {cut.stock: cut.times for cut in plan.cuts} == {0: 2, 1: 2, 2: 3}


def test_fewer_cuts_at_the_same_cost():
    """Three pieces a board in two ways alike, or in one."""
    plan = solved(((30, 20, 10), (8, 8, 8), (Stock(60, 10),)))
    assert plan.cuts == (Cut(0, 8, (1, 1, 1)),)


def test_one_long_offcut_is_better_than_two_short_ones():
    """Two boards, two cuts, whatever is done: 50 in one piece rather than 40 and 10."""
    plan = solved(((30, 20, 10), (2, 1, 1), (Stock(70, 10),)))
    assert plan.cuts == (Cut(0, 1, (0, 1, 0)), Cut(0, 1, (2, 0, 1)))


def test_nothing_wanted():
    assert cheapest(sizes=(30, 20), demand=(0, 0), stock=(Stock(60, 10),)) == Plan((), 0, 0)
    assert cheapest(sizes=(), demand=(), stock=()) == Plan((), 0, 0)


@pytest.mark.parametrize(
    "stock",
    [(), (Stock(99, 1),), (Stock(200, 1, 0), Stock(99, 1)), (Stock(100, 1, 4), Stock(99, 1))],
    ids=["none", "too short", "none left", "too few"],
)
def test_no_plan(stock: tuple[Stock, ...]):
    with pytest.raises(NoPlan):
        cheapest(sizes=(100, 20), demand=(5, 1), stock=stock)


def test_no_plan_though_there_is_length_enough():
    """Six boards of 100 hold six pieces of 51, not seven, however much is left of each."""
    with pytest.raises(NoPlan):
        cheapest(sizes=(51, 10), demand=(7, 2), stock=(Stock(100, 1, 6),))


def test_more_effort_never_costs_more():
    task = job(7, lengths=14, pieces=300, boards=5)
    little, much = solved(task, effort=0.05), solved(task, effort=2)
    assert little.bound <= much.cost <= little.cost


def test_given_up_after_half_a_minute(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("sheetcalc.solver.cutting._SECONDS", -1.0)
    with pytest.raises(TooLong):
        cheapest(*job(1, lengths=6, pieces=60, boards=4))


def test_given_up_when_the_time_is_up():
    with pytest.raises(TooLong):
        cheapest(*job(1, lengths=6, pieces=60, boards=4), until=time.monotonic() - 1)


def test_in_several_threads_at_once():
    tasks = [job(seed, lengths=6, pieces=60, boards=4) for seed in range(4)]
    alone = [solved(task) for task in tasks]
    together: dict[int, Plan] = {}
    threads = [
        threading.Thread(target=lambda at=at: together.update({at: solved(tasks[at])})) for at in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [together[at] for at in range(4)] == alone


def test_beside_another_use_of_highs():
    """A thread that runs HiGHS with two threads of its own goes on doing so, and our plans are the same."""
    import highspy

    task = job(2, lengths=8, pieces=100, boards=5)
    plan = solved(task)

    def both() -> None:
        for _ in range(2):
            other = highspy._Highs()
            other.setOptionValue("output_flag", False)
            other.setOptionValue("threads", 2)
            other.addVar(1.0, 2.0)
            assert other.run() == highspy.HighsStatus.kOk
            assert solved(task) == plan

    with ThreadPoolExecutor(1) as thread:
        thread.submit(both).result()


def ran(code: str, **environment: str) -> str:
    """Output of code in another process, at the level of the system."""
    here = os.pathsep.join([str(Path(sheetcalc.__file__).parents[1]), str(Path(__file__).parents[1])])
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": here, **environment},
    ).stdout


@pytest.mark.parametrize("hashing", ["0", "4711"])
def test_the_same_plan_in_another_process_and_not_a_word_from_highs(hashing: str):
    task = job(5, lengths=8, pieces=90, boards=6)
    plan = solved(task)
    assert solved(task) == plan
    code = (
        f"from sheetcalc.solver.cutting import Stock, cheapest; import sys; p = cheapest(*{task!r}); print(p)"
    )
    code += "; assert 'highspy' in sys.modules"
    assert ran(code, PYTHONHASHSEED=hashing) == f"{plan}\n"


def test_light_to_import():
    code = "import sys, sheetcalc.solver.cutting; print({'highspy', 'numpy'} & set(sys.modules))"
    assert ran(code) == "set()\n"
