"""How long a workbook takes to open, compute, ask "what if" and save.

Run it from the top folder: ``python tests/benchmarks/bench_headless.py``. The first workbook is a list of 180
ceilings: 2,161 formulas, 180 of them calls of ours and one an array formula. The second is the demo job.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from xml.sax.saxutils import escape

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from small_files import sheet_xml, workbook_parts, write_parts  # noqa: E402

from sheetcalc.hosts.headless import Headless  # noqa: E402
from sheetcalc.takeoff import sheets  # noqa: E402
from sheetcalc.takeoff.demo import DEMO  # noqa: E402
from sheetcalc.workbooks.handles import Handles  # noqa: E402
from sheetcalc.workbooks.write import write  # noqa: E402
from sheetcalc.xlsx.formulas import address  # noqa: E402
from sheetcalc.xlsx.workbook import Workbook  # noqa: E402

CEILINGS = 180
TIMES = 300
ASKED = """price price_per_area margin pole_courses pole_first_shows pole_last_shows boards_total waste
    nails_total hours_total primer_exact""".split()  # noqa: SIM905
CHANGED: dict[str, Callable[[int], str | float]] = {  # another value every time, where there are so many
    "labor_rate": lambda time: 60 + time / 16,
    "board_rate": lambda time: 2 + time / 256,
    "stock_price.5.1": lambda time: 20 + time / 256,
    "cull_rate.1": lambda time: 0.02 + time / 8192,
    "gap_usual": lambda time: 0.25 + time / 1024,
    "gap.1": lambda time: 0.25 + time / 1024,
    "board_wanted": lambda time: ("1x6", "1x8", "1x4")[time % 3],
    "board.2": lambda time: "AB"[time % 2],
    "run_of_ten.1": lambda time: 51 + time / 1024,
    "across.1.1": lambda time: 104 + time / 1024,
    "along.1.2": lambda time: 183 + time / 1024,
}


def ceilings() -> str:
    """Rows: across, along, a guarded call, and native formulas."""
    rows: list[str] = []
    for row in range(2, CEILINGS + 2):
        formulas = [
            f'A{row}<>""',
            f'IF(C{row},COURSE_COUNT(A{row},5.125,$P$1),"")',
            f'IF(C{row},D{row}*B{row}/12,"")',
            f'IF(C{row},A{row}*B{row}/144,"")',
            f'IF(C{row},E{row}*1.08,"")',
            f'IF(C{row},ROUNDUP(G{row}/16,0),"")',
            f"SUM(E$2:E{row})",
            f'IF(OR(C{row}=FALSE,A{row}=""),"",IF(A{row}>B{row},"across","along"))',
            f'IF(C{row},H{row}*$P$2,"")',
            f'IF(C{row},K{row}/F{row},"")',
            f'IF(ISNUMBER(L{row}),ROUND(L{row},2),"")',
            f'J{row}&" "&C{row}',
        ]
        cells = f'<c r="A{row}"><v>{96 + row / 4}</v></c><c r="B{row}"><v>{120 + row}</v></c>'
        cells += "".join(
            f'<c r="{chr(67 + place)}{row}"><f>{escape(formula)}</f></c>'
            for place, formula in enumerate(formulas)
        )
        rows.append(f'<row r="{row}">{cells}</row>')
    marks = '<c r="R1"><f t="array" ref="R1:T60">COURSE_MARKS(A2,5.125,P1,,,,,,60)</f></c>'
    first = f'<row r="1"><c r="P1"><v>0.5</v></c><c r="P2"><v>31.5</v></c>{marks}</row>'
    return first + "".join(rows)


def timed(what: str, times: int, work: Callable[[], object]) -> None:
    taken: list[float] = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    taken.sort()
    print(f"{what:<44} {taken[len(taken) // 2] * 1e3:8.2f} ms   best {taken[0] * 1e3:8.2f} ms")


def main(path: Path, sheet: str, wide: str, narrow: str, asked: str) -> None:
    def opened() -> Workbook:
        book = Workbook(path)
        assert book.sheets
        return book

    timed("open: every cell and formula", 7, opened)
    timed("open, load and compute", 7, lambda: Headless(opened()))
    book = opened()
    host = Headless(book)
    assert not host.unevaluated
    formulas = sum(len(found.formulas) for found in book.sheets.values())
    numbers = iter(range(1, 10**9))

    def what_if(cell: str) -> None:
        host.set(sheet, cell, 0.5 + next(numbers) / 1e6)
        host.recalculate()

    def asked_alone(cell: str) -> None:
        host.set(sheet, cell, 0.5 + next(numbers) / 1e6)
        host.answers([(sheet, asked)])

    timed("what if: everything changes", 200, lambda: what_if(wide))
    timed("what if: little changes", 500, lambda: what_if(narrow))
    timed("what if: little changes, one cell asked for", 100, lambda: asked_alone(narrow))

    def stored() -> None:
        host.store()
        book.calculated()
        book.save(path.with_name("out.xlsx"), force=True)

    timed("store and save", 7, stored)
    print(f"{formulas} formulas in {path.name}")


def what_ifs(path: Path) -> None:
    """Time one entry changed and eleven results read, by entry."""
    book = Workbook(path)
    host, handles = Headless(book), Handles(book)

    def cell(handle: str) -> tuple[str, str]:
        area = handles.area(handle)
        return area.sheet, address(area.top, area.left)

    asked = [cell(handle) for handle in ASKED]
    start = time.perf_counter()
    host.answers(asked)
    print(f"{path.name}: the first what-if {(time.perf_counter() - start) * 1e3:.0f} ms, then")
    for handle, value in CHANGED.items():
        taken: list[float] = []
        for number in range(TIMES):
            start = time.perf_counter()
            host.set(*cell(handle), value(number))
            host.answers(asked)
            taken.append(time.perf_counter() - start)
        start = time.perf_counter()
        host.recalculate()
        whole = time.perf_counter() - start
        area = handles.area(handle)
        host.set(*cell(handle), book.sheets[area.sheet].value(area.top, area.left))
        host.answers(asked)
        mean, median, best = sum(taken) / TIMES, sorted(taken)[TIMES // 2], min(taken)
        print(
            f"  {handle:<18}mean {mean * 1e3:6.2f} ms   median {median * 1e3:6.2f} ms"
            f"   best {best * 1e3:6.2f} ms   whole workbook {whole * 1e3:6.2f} ms"
        )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        made = write_parts(Path(folder, "ceilings.xlsx"), workbook_parts({"Ceilings": sheet_xml(ceilings())}))
        main(made, "Ceilings", wide="P1", narrow="A9", asked="M9")
        what_ifs(write(Path(folder, "porch.xlsx"), sheets(), DEMO).file)
