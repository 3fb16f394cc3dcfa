"""What a call from Excel costs in Python, up to the COM border, and how many calls the takeoff makes.

Run it from the top folder: ``python tests/benchmarks/bench_excel.py``. The COM server of xlwings runs as it
is; what COM and VBA add is not measured here. For the whole way an issue of xlwings (1976) reports 13 to 3.8
ms a call: hence the last columns, one call a cell against one call a list.
"""

import importlib
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from com_border import windows  # noqa: E402

from sheetcalc.hosts import engine, headless  # noqa: E402
from sheetcalc.hosts.excel.module import FUNCTIONS_IN  # noqa: E402
from sheetcalc.takeoff import sheets  # noqa: E402
from sheetcalc.takeoff.demo import DEMO  # noqa: E402
from sheetcalc.workbooks.handles import Handles  # noqa: E402
from sheetcalc.workbooks.write import write  # noqa: E402
from sheetcalc.xlsx.formulas import address  # noqa: E402
from sheetcalc.xlsx.workbook import Workbook  # noqa: E402

CEILINGS = 100
WHOLE_WAY = 0.0038  # seconds a call, from xlwings' issue 1976
IN_WORDS = ("INCH_FRACTION", "FEET_INCHES", "READ_LENGTH")


def seconds(run: Callable[[], Any], times: int = 5) -> float:
    """Return the best of some runs, in time of the processor."""
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        run()
        best = min(best, time.process_time() - start)
    return best


def costs() -> None:
    """Print the cost of a call in Python, and of a list of ceilings cell by cell and at once."""
    with windows():
        functions = importlib.import_module(FUNCTIONS_IN)
        server = importlib.import_module("xlwings.com_server").XLPython()

        def ask(name: str, *args: Any) -> Any:
            return server.CallUDF(FUNCTIONS_IN, name, args)

        assert functions
        across = tuple((120 + row / 16,) for row in range(CEILINGS))
        along = tuple((180 + row / 16,) for row in range(CEILINGS))
        one = seconds(lambda: [ask("COURSE_COUNT", 120.0, 5.125, 0.5) for _ in range(1000)]) / 1000
        print(f"one COURSE_COUNT in Python             {one * 1e6:8.0f} µs")

        def cell_by_cell() -> None:
            for (wide,), (long,) in zip(across, along, strict=True):
                ask("COURSE_COUNT", wide, 5.125, 0.5)
                ask("RIP_WIDTH", "first", wide, 5.125, 0.5)
                ask("RIP_WIDTH", "last", wide, 5.125, 0.5)
                ask("CUT_LENGTH", long, 0.5)

        ways = {
            "4 calls a ceiling": (cell_by_cell, 4 * CEILINGS),
            "LAYOUT_TABLE once": (lambda: ask("LAYOUT_TABLE", across, along, 5.125, 0.5), 1),
        }
        for name, (run, calls) in ways.items():
            python = seconds(run)
            print(
                f"{CEILINGS} ceilings, {name:20}    {python * 1e3:8.1f} ms in Python, "
                f"{calls:4} calls: {calls * WHOLE_WAY:.3f} s at {WHOLE_WAY * 1e3} ms"
            )


def calls_of_the_takeoff() -> None:
    """Print how many calls the demo job makes when all is computed, and after a change.

    Excel computes what depends on a change, as the engine does here; a cell that comes to what it was before
    may still make those below it ask.
    """
    made: Counter[str] = Counter()
    plain = engine.Calls._answer

    def counted(self: Any, function: Any, *given: Any) -> Any:
        made[function.name] += 1
        return plain(self, function, *given)

    engine.Calls._answer = counted  # type: ignore[method-assign]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "porch.xlsx"
        write(path, sheets(), DEMO)
        made.clear()
        book = Workbook(path)
        host = headless.Headless(book)
        tell("all computed", made)
        for handle, value in (("board_wanted", "1x8"), ("gap.1", "3/4")):
            cell = Handles(book).area(handle)
            host.set(cell.sheet, address(cell.top, cell.left), value)
            made.clear()
            host.recalculate()
            tell(f"{handle} = {value}", made)


def tell(what: str, made: Counter[str]) -> None:
    """Print how many calls were made, how many of them for lengths in words, and the time they take."""
    total = sum(made.values())
    words = sum(made[name] for name in IN_WORDS)
    print(
        f"the demo job, {what:18} {total:4} calls, {words:4} of them lengths in words: "
        f"{total * WHOLE_WAY:.1f} s at {WHOLE_WAY * 1e3} ms"
    )


if __name__ == "__main__":
    costs()
    calls_of_the_takeoff()
