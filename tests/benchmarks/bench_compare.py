"""How long a thousand what-ifs of the demo job take, in time of the processor.

Run it from the top folder: ``python tests/benchmarks/bench_compare.py``. Every other gap is another plan
of boards and joints for the solver, which then takes most of the time.
"""

import tempfile
import time
from pathlib import Path

from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.compare.sensitivity import sensitivity
from sheetcalc.workbooks.compare.vary import Vary, compare
from sheetcalc.workbooks.compare.what_if import WhatIf
from sheetcalc.workbooks.write import write

PROFITS = tuple(map(str, range(10, 35)))
RATES = tuple(map(str, range(50, 90)))
BOARDS = ("1x4", "1x6", "1x8")
CASES = {
    "profit x loaded rate": (Vary("profit", PROFITS), Vary("labor_rate", RATES)),
    "board x gap x profit x rate": (
        Vary("profit", PROFITS[:10]),
        Vary("labor_rate", RATES[:11]),
        Vary("board", BOARDS),
        Vary("gap", ("1/2", "5/8", "3/4")),
    ),
    "board x 20 gaps": (Vary("board", BOARDS), Vary("gap", tuple(f"{n}/64" for n in range(20, 40)))),
    "20 readings": (Vary("across.1.1", tuple(f"104 {n}/32" for n in range(20))),),
}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = write(Path(folder, "porch.xlsx"), sheets(), DEMO).file
        for name, varied in CASES.items():
            start = time.process_time()
            job = WhatIf(file)
            opened = time.process_time()
            many = len(compare(job, varied).rows)
            print(
                f"{name:<28} {many:>5} combinations: {time.process_time() - opened:6.2f} s"
                f", opening {opened - start:5.2f} s"
            )
        start = time.process_time()
        found = sensitivity(WhatIf(file))
        moved = len(found.moves) + found.still
        print(f"sensitivity of {moved} entries: {time.process_time() - start:6.2f} s")


if __name__ == "__main__":
    main()
