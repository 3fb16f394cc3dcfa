"""How long the plain edition of the demo takes to write, how large it is, and one what-if in it."""

import tempfile
import time
from pathlib import Path

from sheetcalc.hosts.headless import Headless
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.plain import plain
from sheetcalc.workbooks.write import write
from sheetcalc.xlsx.workbook import Workbook


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        source, output = Path(folder, "porch.xlsx"), Path(folder, "porch_plain.xlsx")
        write(source, sheets(), DEMO)
        start = time.perf_counter()
        made = plain(source, output)
        print(
            f"written in {time.perf_counter() - start:.1f} s: {made.rewritten} formulas rewritten, ", end=""
        )
        print(f"{made.helper_rows} helper rows, {len(made.stored)} stored")
        print(f"{source.stat().st_size / 1024:.0f} KB live, {output.stat().st_size / 1024:.0f} KB plain")
        host = Headless(Workbook(output))
        start = time.perf_counter()
        for width in (52.0, 51.5, 51.25):
            host.set("Boards", "B8", width)
            host.recalculate()
        print(f"one what-if: {(time.perf_counter() - start) / 3 * 1000:.0f} ms")


if __name__ == "__main__":
    main()
