"""How long calls and the import take. Prints, and asserts no time: python tests/benchmarks/bench_cells.py."""

import subprocess
import sys
import timeit
from collections.abc import Callable
from typing import Any

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import describe
from sheetcalc.kinds import Length

ROWS = 10_000


def left_over(length: Length, gap: Length, kerf: Length = 0) -> Length:
    """Take as little time as a trade function can."""
    return length - gap - kerf


def best(run: Callable[[], Any], times: int = 1) -> float:
    return min(timeit.repeat(run, number=times, repeat=9)) / times


def main() -> None:
    function = describe(left_over, "benchmarks")
    args: list[Any] = [120.5, 0.5, 0.125]
    column = [[96 + row / 16] for row in range(ROWS)]
    typed = [[f"{8 + row // 192}'-{row // 16 % 12} {row % 16}/16\""] for row in range(ROWS)]
    columns: list[Any] = [column, [[0.5]] * ROWS, [[0.125]] * ROWS]

    plain = best(lambda: left_over(*args), 20_000)
    print(f"scalar call over the plain function, {plain * 1e6:.2f} µs:")
    for what, cells in {
        "three numbers": args,
        "two numbers": args[:2],
        "one typed length": ["10' 0-1/2\"", *args[1:]],
        "metric": [*args, "metric"],
        "refused": [120.5, 0.5, "x"],
    }.items():
        print(f"  {what:<24}{(best(lambda cells=cells: call(function, cells), 5_000) - plain) * 1e6:6.2f} µs")

    print(f"{ROWS:,} rows in one call:")
    for what, cells in {
        "one column": [column, 0.5, 0.125],
        "three columns": columns,
        "three columns, metric": [*columns, "metric"],
        "typed lengths": [typed, 0.5, 0.125],
        "refused": [[["x"]] * ROWS, 0.5, 0.125],
    }.items():
        print(f"  {what:<24}{best(lambda cells=cells: call(function, cells)) * 1e3:6.1f} ms")

    print("import, the interpreter's own start taken off:")
    start = best(lambda: subprocess.run([sys.executable, "-c", ""], check=True))
    for what, code in {
        "sheetcalc": "import sheetcalc",
        "call and registry": "import sheetcalc.cells.call",
        "with a metric call": "from sheetcalc.cells.call import call; call('INCH_FRACTION', [5, 'metric'])",
    }.items():
        seconds = best(lambda code=code: subprocess.run([sys.executable, "-c", code], check=True)) - start
        print(f"  {what:<24}{seconds * 1e3:6.0f} ms")


if __name__ == "__main__":
    main()
