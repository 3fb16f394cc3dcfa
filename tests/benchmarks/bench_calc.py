"""How long LibreOffice Calc takes with the functions: 20,000 cells, the takeoff, an installation.

Run it from the top folder: ``python tests/benchmarks/bench_calc.py``. It starts an office of its own.
On a busy machine read the processor's seconds (of the office, and of the helper): waiting is not in them.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import openpyxl  # noqa: E402
from calc_office import LiveOffice, office_or_skip  # noqa: E402
from jobs import Job  # noqa: E402

from sheetcalc.hosts.calc.extension import extension  # noqa: E402
from sheetcalc.takeoff import sheets  # noqa: E402
from sheetcalc.takeoff.demo import DEMO  # noqa: E402
from sheetcalc.workbooks.write import write  # noqa: E402
from sheetcalc.xlsx.formulas import address  # noqa: E402

CELLS = 20_000
TIMES = 5


def rows(path: Path, formula: str) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Rows"
    sheet["C1"] = 5.125
    for row in range(1, CELLS + 1):
        sheet.cell(row, 1).value = 96 + row / 128
        sheet.cell(row, 2).value = formula.format(row=row)
    book.save(path)
    return path


def told(what: str, taken: list[float]) -> None:
    taken.sort()
    print(f"{what:<58} {taken[len(taken) // 2]:7.3f} s   best {taken[0]:7.3f} s", flush=True)


def changes(office: LiveOffice, sheet: str, read: str) -> list[float]:
    """Seconds from another face width to all answers read: every call is a new one."""
    before = worked()
    taken = [
        office.timed(["put", sheet, "C1", 3 + time / 16], ["values", sheet, read]) for time in range(TIMES)
    ]
    after = worked()
    for name in after:
        spent = (after[name] - before.get(name, 0.0)) / TIMES
        print(f"    {'processor, ' + name:<54} {spent:7.3f} s", flush=True)
    return taken


def worked() -> dict[str, float]:
    """Seconds that the processor gave the office and the helper so far; nothing where /proc tells none."""
    if not Path("/proc/self/stat").exists():
        return {}
    listed = subprocess.run(
        ["ps", "-wweo", "pid,ppid,args"], capture_output=True, text=True, check=True
    ).stdout
    lines = [line.split(None, 2) for line in listed.splitlines()[1:]]
    parents = {int(pid): int(parent) for pid, parent, _ in lines}

    def ours(pid: int) -> bool:
        return pid == os.getpid() or (pid in parents and ours(parents[pid]))

    spent: dict[str, float] = {}
    for pid, _, words in lines:
        name = "office" if "soffice.bin" in words else "helper" if "calc serve" in words else ""
        if name and ours(int(pid)):
            user, system = Path("/proc", pid, "stat").read_text().rpartition(")")[2].split()[11:13]
            spent[name] = (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")
    return spent


def main(folder: Path) -> None:
    office_or_skip()
    start = time.perf_counter()
    extension()
    told("pack the extension (what install does, but for unopkg)", [time.perf_counter() - start])
    calls = rows(folder / "calls.xlsx", "=COURSE_COUNT(A{row},$C$1,0.5)")
    words = rows(folder / "words.xlsx", '=COURSE_COUNT(A{row},$C$1,"1/2")')  # over the pipe
    native = rows(folder / "native.xlsx", "=ROUNDUP((A{row}-1)/$C$1,0)")
    porch = write(folder / "porch.xlsx", sheets(), DEMO).file
    office = LiveOffice(folder / "office")
    try:
        for path in (native, calls, words):
            told(f"open {CELLS} cells of {path.stem}", [office.timed(["open", path.as_uri()])])
            told("  every cell anew, with new numbers", changes(office, "Rows", f"B1:B{CELLS}"))
            again = [office.timed(["calculate"]) for _ in range(TIMES)]
            told("  every cell anew, with the same numbers", again)
            office.close()
        job = Job(porch)
        told("open the takeoff, every cell computed", [office.timed(["open", porch.as_uri()])])
        (sheet, at), _ = next(iter(job.handles.entries("board_wanted", "1x8", job.cell).items()))
        results = [["values", title] for title in job.book.sheets]
        read = [office.timed(*results) for _ in range(TIMES)]
        told("  read every cell over the pipe", read)
        for number, board in enumerate(["1x8", "1x4", "1x6", "1x8", "1x4", "1x6"]):
            first = "for the first time" if number < 2 else "again"
            taken = office.timed(["put", sheet, address(*at), board], *results)
            start = time.perf_counter()
            job.type({"board_wanted": board})
            headless = time.perf_counter() - start
            print(f"  board {board} {first:<46} {taken:7.3f} s   headless {headless:7.3f} s")
        office.close()
    finally:
        office.quit()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        main(Path(folder))
