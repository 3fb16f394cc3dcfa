"""The native forms in a real LibreOffice that has none of our functions; and headless, the same calls."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pytest
from calc_office import LiveOffice
from calls import ways
from hypothesis import HealthCheck, Phase, given, settings
from openpyxl.worksheet.formula import ArrayFormula
from plain_cases import CALLED, agree, arguments, formula, places, python, same, size
from record_calls import CALLS_TO

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.kinds import Takes
from sheetcalc.workbooks.plain import Plain, plain
from sheetcalc.xlsx.formulas import address

EACH = 12  # cases of a function in one unit system
FROM = 40  # column where answers stand
TESTS = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveOffice]:
    live = LiveOffice(tmp_path_factory.mktemp("office"), bare=True)
    yield live
    live.quit()


def recalculated(office: LiveOffice, made: Plain) -> list[list[Any]]:
    """Rows of the first sheet, worked out by the office; an error that no other program knows is no cell."""
    office.open(made.report.file.absolute().as_uri())
    try:
        office.calculate()
        return office.cells("Cases")
    finally:
        office.close()


# --- Cases that are drawn ---


def drawn(function: CellFunction, system: str) -> list[dict[str, list[Cell]]]:
    found: list[dict[str, list[Cell]]] = []

    @settings(
        max_examples=EACH,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(arguments(function, system))
    def collect(values: dict[str, list[Cell]]) -> None:
        found.append(values)

    collect()
    return found


def test_every_native_form_in_an_office_without_our_functions(office: LiveOffice, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Cases"
    made: list[tuple[CellFunction, str, dict[str, list[Cell]], int]] = []
    row = 1
    for function in (REGISTRY[name] for name in CALLED):
        for system in ("us", "metric"):
            for values in drawn(function, system):
                for name, cells in places(function, row).items():
                    for cell, value in zip(cells, values[name], strict=True):
                        sheet[cell].value = value
                high, wide = size(function)
                first, last = address(row, FROM), address(row + high - 1, FROM + wide - 1)
                text = formula(function, row, system)
                sheet[first] = ArrayFormula(f"{first}:{last}", text) if function.columns else text
                made.append((function, system, values, row))
                row += high
    book.save(tmp_path / "cases.xlsx")
    done = plain(tmp_path / "cases.xlsx", tmp_path / "plain.xlsx")
    assert not done.stored
    rows = recalculated(office, done)
    wrong: list[str] = []
    for function, system, values, row in made:
        high, wide = size(function)
        shown = [line[FROM - 1 : FROM - 1 + wide] for line in rows[row - 1 : row - 1 + high]]
        answer = python(function, values, system)
        if any(isinstance(cell, list) for line in shown for cell in line) or not agree(
            function, shown, answer
        ):
            wrong.append(f"{function.name} {system} {values}: {shown[:2]} instead of {answer[:2]}")
    assert not wrong, "\n".join(wrong)
    assert len(made) > 1_000


# --- Cases that stand somewhere: every function in several ways, and what publications say ---


class Case(NamedTuple):
    """A call with its arguments, and where its answer stands."""

    function: CellFunction
    arguments: list[Any]
    told: str


def written(folder: Path, cases: list[Case]) -> tuple[Plain, list[tuple[Case, int, list[list[Cell]]]]]:
    """Write the calls into a workbook, lists and readings as ranges, and its plain edition."""
    book = openpyxl.Workbook()
    sheet, given = book.active, book.create_sheet("Given")
    assert sheet is not None
    sheet.title = "Cases"
    row = given_row = 1
    made: list[tuple[Case, int, list[list[Cell]]]] = []
    for case in cases:
        texts: list[str] = []
        for argument in case.arguments:
            if isinstance(argument, list):
                for line in argument:
                    for column, cell in enumerate(line, start=1):
                        given.cell(given_row, column).value = cell
                    given_row += 1
                first = given_row - len(argument)
                texts.append(f"Given!A{first}:{address(given_row - 1, len(argument[0]))}")
            else:
                texts.append(typed(argument))
        answer = call(case.function, case.arguments)
        rows = answer if isinstance(answer, list) else [[answer]]
        if case.function.columns and len(rows[0]) < len(case.function.columns):  # one error for all cells
            rows = [rows[0] * len(case.function.columns)]
        first, last = f"A{row}", address(row + len(rows) - 1, len(rows[0]))
        text = f"={case.function.name}({','.join(texts)})"
        sheet[first] = ArrayFormula(f"{first}:{last}", text) if case.function.columns else text
        made.append((case, row, rows))
        row += len(rows)
    book.save(folder / "cases.xlsx")
    return plain(folder / "cases.xlsx", folder / "plain.xlsx"), made


def typed(argument: object) -> str:
    if argument is None:
        return ""
    if isinstance(argument, str):
        return '"' + argument.replace('"', '""') + '"'
    return f"{argument:.17g}"


def compared(office: LiveOffice, done: Plain, made: list[tuple[Case, int, list[list[Cell]]]]) -> list[str]:
    """Tell where a form answers otherwise than the function, an error of another kind too."""
    rows = recalculated(office, done)
    wrong: list[str] = []
    for case, row, answer in made:
        for high, line in enumerate(answer, start=row):
            for wide, cell in enumerate(line, start=1):
                headless = done.report.host.get("Cases", address(high, wide))
                for where, shown in (("Calc", rows[high - 1][wide - 1]), ("headless", headless)):
                    is_error = isinstance(cell, CellError)
                    if isinstance(shown, list) or (shown != cell if is_error else not same(shown, cell)):
                        wrong.append(f"{case.told} {case.arguments}, {where}: {shown!r}, not {cell!r}")
    return wrong


def test_every_function_called_in_several_ways(office: LiveOffice, tmp_path: Path) -> None:
    cases = [
        Case(function, arguments_, f"{function.name}, {way}")
        for function in (REGISTRY[name] for name in CALLED)
        for way, arguments_ in ways(function)
        if not several_answers(function, arguments_, way)
    ]
    done, made = written(tmp_path, cases)
    wrong = compared(office, done, made)
    assert not wrong, "\n".join(wrong)
    assert {one.reason for one in done.stored} <= {"its list is no range", "its readings are no plain range"}
    assert len(done.stored) < 30
    assert len(made) > 1_000


def several_answers(function: CellFunction, given_: list[Any], way: str) -> bool:
    """Tell whether a call answers for each cell of a range, which is stored and no form."""
    ones = zip(function.inputs, given_, strict=False)
    ranged = any(isinstance(one, list) and parameter.takes is Takes.ONE for parameter, one in ones)
    return ranged or way.startswith("ceilings of")


def test_every_published_case(office: LiveOffice, tmp_path: Path) -> None:
    out = tmp_path / "calls.json"
    words = [sys.executable, "-m", "pytest", "-q", "-p", "record_calls", "-p", "no:cacheprovider"]
    words += [
        str(file)
        for file in sorted((TESTS / "published").glob("test_*.py"))
        if any(f" {name.lower()}" in file.read_text(encoding="utf-8") for name in CALLED)
    ]
    environment = {**os.environ, "PYTHONPATH": str(TESTS), CALLS_TO: str(out)}
    subprocess.run(words, cwd=TESTS.parent, env=environment, capture_output=True, timeout=300)
    cases = [
        Case(REGISTRY[name], in_cells(REGISTRY[name], one), f"{name}, published")
        for name, calls in json.loads(out.read_text()).items()
        if name in CALLED
        for one in calls
    ]
    made, answers = written(tmp_path, cases)
    assert not made.stored
    wrong = compared(office, made, answers)
    assert not wrong, "\n".join(wrong)
    assert len({case.function.name for case in cases}) > 25
    assert len(cases) > 400


def in_cells(function: CellFunction, given_: dict[str, Any]) -> list[Any]:
    """Arguments of a Python call as cells hold them."""
    found: list[Any] = []
    for parameter in function.inputs:
        value = given_.get(parameter.name)
        if parameter.takes is not Takes.ONE and value is not None:
            value = [value] if not isinstance(value, list) else value
            value = [[None if one is None else float(one) for one in value]]
        elif isinstance(value, int) and not isinstance(value, bool):
            value = float(value)
        found.append(value)
    while found and found[-1] is None:
        found.pop()
    return found
