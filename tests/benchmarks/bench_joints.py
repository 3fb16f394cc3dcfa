"""How far layouts of end joints are from their bound, and how long they take.

Beside each stands what racking by hand costs: the longest boards, each course begun with an offcut where the
rules let it. Prints, and asserts no time: python tests/benchmarks/bench_joints.py.
"""

import time
from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from sheetcalc.solver.cutting import Stock
from sheetcalc.solver.joints import Rules, Run, layout

FOOT = 12 * 64
INCH = 64
FACE = 5.125
FEET = (8, 10, 12, 14, 16)


class Job(NamedTuple):
    name: str
    runs: tuple[Run, ...]
    rules: Rules
    first_bearing: int = 0


def rectangle(
    name: str, across: float, along: float, bearing: int = 16, kerf: int = 0, first: float = 0
) -> Job:
    courses = -int(-(across * 12 - 1) // FACE)
    length = round(along * FOOT)
    return Job(
        name, tuple(Run(row, 0, length) for row in range(1, courses + 1)), rules(length, bearing, kerf, first)
    )


def rules(longest: int, bearing: float = 16, kerf: int = 0, first: float = 0) -> Rules:
    step = round(bearing * INCH)
    places = tuple(range(round(first * INCH), longest + 1, step)) if bearing else None
    return Rules(places, 24 * INCH, 24 * INCH, 4, kerf)


def jobs() -> Iterator[Job]:
    yield rectangle("14 x 32 ft", 14, 32)
    yield rectangle("14 x 32 ft, kerf, bearings from 10.5 in", 14, 32 - 1 / 8, kerf=8, first=10.5)
    yield rectangle("14 x 32 ft, bearings 24 in", 14, 32, 24)
    yield rectangle("12 x 60 ft", 12, 60)
    yield rectangle("12 x 60 ft, kerf, bearings from 10.5 in", 12, 60 - 1 / 8, kerf=8, first=10.5)
    long, short = 40 * FOOT, 32 * FOOT
    ell = [Run(row, 0, long) for row in range(1, 67)] + [Run(row, 0, short) for row in range(67, 100)]
    yield Job("L, 28 x 40 and 14 x 32 ft", tuple(ell), rules(long))
    yield rectangle("14 x 32 ft, joints anywhere", 14, 32, 0)
    yield rectangle("14 x 31 ft 9-3/8 in, anywhere, kerf", 14, 31 + 9.375 / 12, 0, kerf=8)
    plain = rectangle("14 x 32 ft with an opening", 14, 32)
    split: list[Run] = []
    for run in plain.runs:
        if 12 <= run.row <= 17:
            split += [run._replace(length=10 * FOOT + 80), Run(run.row, 13 * FOOT, 19 * FOOT)]
        else:
            split.append(run)
    yield plain._replace(runs=tuple(split))


def price_lists() -> dict[str, tuple[int, ...]]:
    chance = Random(7)
    return {
        "per foot": tuple(feet * 160 for feet in FEET),
        "long ones dearer": tuple(round(feet * (144 + 3 * (feet - 8))) for feet in FEET),
        "noisy": tuple(round(feet * 160 * chance.uniform(0.93, 1.07)) for feet in FEET),
    }


def by_hand(job: Job, stock: tuple[Stock, ...]) -> int | None:
    """Cost of the longest boards when each course starts with an offcut, if that can keep the rules."""
    longest = stock[-1]
    rule = job.rules
    bought, offcuts, rows = 0, [0], dict[int, list[int]]()
    for run in job.runs:
        barred = [at for back in range(1, rule.rows_apart + 1) for at in rows.get(run.row - back, [])]
        at, end = run.start, run.start + run.length
        first = True
        while at < end:
            from_offcut = first and max(offcuts) - rule.kerf >= rule.least
            board = max(offcuts) if from_offcut else longest.size
            reach = at + board - rule.kerf
            if reach >= end:
                place = end
            else:
                ok = [
                    p
                    for p in (rule.places or range(run.start, end, 4 * INCH))
                    if at + rule.least <= p <= min(reach, end - rule.least)
                    and p not in barred
                    and all(abs(p - q) >= rule.apart for q in rows.get(run.row - 1, []))
                ]
                if not ok:
                    if from_offcut:
                        first = False
                        continue
                    return None
                place = ok[-1]
            if from_offcut:
                offcuts.remove(board)
            else:
                bought += 1
            offcuts.append(board - (place - at) - rule.kerf)
            if place < end:
                rows.setdefault(run.row, []).append(place)
            at, first = place, False
        offcuts = sorted(offcuts)[-6:]
    return bought * longest.cost


def main() -> None:
    layout(rectangle("", 14, 32).runs, (Stock(16 * FOOT, 7),), rules(32 * FOOT))  # imports what is needed
    print(f"{'':<42}{'prices':<18}{'joint':>6}{'cost':>9}{'bound':>9}{'gap':>7}{'joints':>7}   time  by hand")
    for job in jobs():
        for prices, costs in price_lists().items():
            sizes = [feet * FOOT + job.rules.kerf for feet in FEET]
            stock = tuple(Stock(size, cost) for size, cost in zip(sizes, costs, strict=True))
            for each in (0, 500):
                times: list[float] = []
                for _ in range(3):
                    start = time.perf_counter()
                    found = layout(job.runs, stock, job.rules, each)
                    times.append(time.perf_counter() - start)
                joints = sum(map(len, found.breaks))
                hand = by_hand(job, stock)
                print(
                    f"{job.name:<42}{prices:<18}{each / 100:6.2f}{found.cost / 100:9.2f}"
                    f"{found.bound / 100:9.2f}{found.cost / found.bound - 1:7.2%}{joints:7}"
                    f"{min(times) * 1000:5.0f} ms"
                    + (f"{hand / (found.cost - each * joints) - 1:+8.1%} boards" if hand else "")
                )


if __name__ == "__main__":
    main()
