"""Cheapest cutting beside plain ways. Prints, and asserts no time: run this file."""

import itertools
import json
import random
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import LinearConstraint, milp

from sheetcalc.solver.cutting import Plan, Stock, cheapest

Task = tuple[tuple[int, ...], tuple[int, ...], tuple[Stock, ...]]

PUBLISHED = Path(__file__).parents[1] / "published" / "cutting_stock.json"
FEET = (6, 8, 10, 12, 14, 16, 18, 20)
MOST_PATTERNS = 20_000  # for scipy
REPEATS = 3  # the best of them counts, since other work of the machine only adds


def jobs(number: int, seed: int = 1) -> Iterator[Task]:
    """Yield realistic jobs in 16ths of an inch, a kerf of 1/8 in or none, an end trim of 1 in or none."""
    draw = random.Random(seed)
    for _ in range(number):
        lengths, pieces = draw.choice((2, 3, 4, 6, 8)), draw.choice((20, 50, 100, 200))
        kerf, trim = draw.choice((0, 2)), draw.choice((0, 0, 16))
        feet = sorted(draw.sample(FEET, draw.randint(3, 7)))
        rate, way = draw.randint(60, 250), draw.choice(("by length", "long ones dear", "uneven"))
        stock: list[Stock] = []
        for each in feet:
            dear = 1 + 0.01 * (each - feet[0]) if way == "long ones dear" else 1
            share = draw.uniform(0.9, 1.1) if way == "uneven" else dear
            stock.append(Stock(192 * each - trim + kerf, round(rate * each * share)))
        longest = min(192 * feet[-1] - trim - kerf, 15 * 192)
        sizes = draw.sample(range(24 * 16, longest), lengths)
        demand = [1] * lengths
        for _ in range(pieces - lengths):
            demand[draw.randrange(lengths)] += 1
        yield tuple(size + kerf for size in sizes), tuple(demand), tuple(stock)


def short_pieces(number: int, seed: int = 2) -> Iterator[Task]:
    """Yield what is hardest: 500 short pieces of 12 to 20 lengths, five stocks at uneven prices."""
    draw = random.Random(seed)
    for _ in range(number):
        lengths = draw.randint(12, 20)
        demand = [1] * lengths
        for _ in range(500 - lengths):
            demand[draw.randrange(lengths)] += 1
        sizes = tuple(draw.sample(range(8 * 16, 60 * 16), lengths))
        stock = tuple(Stock(192 * f, round(f * 100 * draw.uniform(0.93, 1.07))) for f in (8, 10, 12, 14, 16))
        yield sizes, tuple(demand), stock


def first_fit(task: Task) -> int:
    """Cost of the rule of thumb: longest first into the first board with room, the best stock for all."""
    sizes, demand, stock = task
    pieces = [
        size for size, number in sorted(zip(sizes, demand, strict=True), reverse=True) for _ in range(number)
    ]
    costs: list[int] = []
    for board in stock:
        rooms: list[int] = []
        for piece in pieces if board.size >= pieces[0] else ():
            at = next((at for at, room in enumerate(rooms) if room >= piece), None)
            if at is None:
                rooms.append(board.size - piece)
            else:
                rooms[at] -= piece
        if rooms:
            costs.append(board.cost * len(rooms))
    return min(costs)


def maximal(task: Task, room: int) -> Iterator[tuple[int, ...]]:
    """Yield all patterns that no further piece fits into."""
    sizes, demand, _ = task

    def rest(at: int, left: int, least: int) -> Iterator[tuple[int, ...]]:
        if at == len(sizes):
            if left < least:
                yield ()
            return
        for count in range(min(demand[at], left // sizes[at]) + 1):
            more = min(least, sizes[at]) if count < demand[at] else least
            for counts in rest(at + 1, left - count * sizes[at], more):
                yield (count, *counts)

    return rest(0, room, room + 1)


def by_scipy(task: Task) -> int | None:
    """Cost by scipy.optimize.milp over all maximal patterns; None if they are too many."""
    _, demand, stock = task
    columns: list[tuple[int, ...]] = []
    costs: list[int] = []
    for board in stock:
        found = list(itertools.islice(maximal(task, board.size), MOST_PATTERNS))
        columns += found
        costs += [board.cost] * len(found)
        if len(columns) >= MOST_PATTERNS:
            return None
    rows = LinearConstraint(np.array(columns).T, demand, np.inf)
    found = milp(costs, constraints=rows, integrality=np.ones(len(costs)), options={"mip_rel_gap": 0})
    return round(found.fun)


def timed(run: Callable[[Task], Any], task: Task) -> tuple[float, Any]:
    """Best time [ms], and the answer."""
    best, answer = float("inf"), None
    for _ in range(REPEATS):
        start = time.perf_counter()
        answer = run(task)
        best = min(best, time.perf_counter() - start)
    return best * 1e3, answer


def row(name: str, times: list[float], notes: str) -> str:
    ordered = sorted(times)
    median, most = ordered[len(ordered) // 2], ordered[min(len(ordered) - 1, len(ordered) * 95 // 100)]
    return f"  {name:<22}{median:9.1f}{most:9.1f}{ordered[-1]:9.1f}   {notes}"


def compare(title: str, tasks: list[Task], *, scipy: bool = True) -> None:
    """Print a table of all ways over the same tasks."""
    print(f"{f'{title}, {len(tasks)}':<24}median     95 %    worst [ms]")
    ours = [timed(lambda task: cheapest(*task), task) for task in tasks]
    plans: list[Plan] = [plan for _, plan in ours]
    proven = sum(plan.cost == plan.bound for plan in plans)
    gap = max((plan.cost - plan.bound) / plan.cost for plan in plans)
    cuts = sum(len(plan.cuts) for plan in plans) / len(plans)
    print(row("cheapest", [ms for ms, _ in ours], f"{proven} proven, widest gap {gap:.2%}, {cuts:.1f} cuts"))
    if scipy:
        other = [timed(by_scipy, task) for task in tasks]
        able = [(plan.cost, cost) for plan, (_, cost) in zip(plans, other, strict=True) if cost is not None]
        equal = sum(ours == theirs for ours, theirs in able)
        print(
            row(
                "scipy, all patterns", [ms for ms, _ in other], f"{equal} of {len(able)} that it can do agree"
            )
        )
    thumb = [timed(first_fit, task) for task in tasks]
    over = sorted(cost / plan.bound - 1 for plan, (_, cost) in zip(plans, thumb, strict=True))
    mean = sum(over) / len(over)
    print(
        row(
            "first fit, one stock", [ms for ms, _ in thumb], f"costs {mean:.1%} more, at worst {over[-1]:.1%}"
        )
    )


def main(number: int) -> None:
    """Print all tables, the first over so many jobs."""
    cheapest((3, 2), (5, 7), (Stock(7, 10), Stock(9, 13)))  # what is imported when first needed
    published = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    boards: list[Task] = []
    for case in published["boards"]:
        kerf, trim = case["kerf"], case["trim"]
        sizes, demand = zip(*((length + kerf, count) for length, count in case["demand"]), strict=True)
        stock = tuple(Stock(length - trim + kerf, price, most) for length, price, most in case["stock"])
        boards.append((sizes, demand, stock))
    compare("realistic jobs", list(jobs(number)))
    compare("boards as published", boards)
    compare("short pieces", list(short_pieces(10)), scipy=False)
    for case in published["instances"]:
        task = tuple(case["sizes"]), tuple(case["demand"]), (Stock(case["size"], 1),)
        compare(case["name"], [task], scipy=len(case["sizes"]) < 20)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
