"""How long commands take on the demo job. It prints, and asserts no time: run this file."""

import subprocess
import sys
import tempfile
import timeit
from pathlib import Path

from sheetcalc.hosts.headless import Headless
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.handles import Handles
from sheetcalc.workbooks.write import write
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

WHAT_IFS = 1_000
READ = (
    "price",
    "price_per_area",
    "margin",
    "area_total",
    "site_days",
    "courses.1",
    "first.1",
    "last.1",
    "cut.1",
    "boards_total",
)
COMMAND = "import sys; from sheetcalc.cli import main; sys.exit(main())"


def process(*words: str | Path) -> float:
    """Best time of the whole process, the interpreter's own start included."""

    def run() -> None:
        subprocess.run(
            [sys.executable, "-c", COMMAND, *map(str, words)], check=True, stdout=subprocess.DEVNULL
        )

    return min(timeit.repeat(run, number=1, repeat=5))


def what_ifs(file: Path, entry: str) -> float:
    """Time of one what-if: one entry changed, the answers read, only what they need computed."""
    book = Workbook(file)
    host, handles = Headless(book), Handles(book)

    def place(handle: str) -> tuple[str, str]:
        cells = handles.area(handle)
        return cells.sheet, address(cells.top, cells.left)

    asked = [place(handle) for handle in READ]
    at = place(entry)
    numbers = iter(range(1_000_000))

    def once() -> None:
        host.set(*at, 0.5 + next(numbers) % 16 / 64)
        host.answers(asked)

    return min(timeit.repeat(once, number=WHAT_IFS, repeat=1)) / WHAT_IFS


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "porch.xlsx")
        report = write(file, sheets(), DEMO)
        formulas = sum(len(sheet.formulas) for sheet in report.host.book.sheets.values())
        print(f"the demo job: {formulas:,} formulas, {file.stat().st_size / 1024:.0f} KB")
        print("whole processes, the interpreter's start included:")
        for what, words in {
            "sheetcalc --help": ["--help"],
            "sheetcalc cell": ["cell", "=COURSE_COUNT(120, 5.125, 0.5)"],
            "sheetcalc functions": ["functions"],
            "sheetcalc new": ["new", file, "--force"],
            "sheetcalc compute": ["compute", file, "--output", Path(folder, "out.xlsx"), "--force"],
        }.items():
            print(f"  {what:<24}{process(*words):6.2f} s")
        print(f"one of {WHAT_IFS:,} what-ifs, {len(READ)} answers read:")
        for entry in ("gap.1", "labor_rate"):
            print(f"  {entry + ' changed':<24}{what_ifs(file, entry) * 1e3:6.1f} ms")


if __name__ == "__main__":
    main()
