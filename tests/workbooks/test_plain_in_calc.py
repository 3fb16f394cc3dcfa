"""The native forms in a real LibreOffice that has none of our functions."""

from pathlib import Path

import openpyxl
from hypothesis import HealthCheck, Phase, given, settings
from openpyxl.worksheet.formula import ArrayFormula
from plain_cases import CALLED, agree, arguments, formula, places, python, size
from plain_office import recalculated

from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell
from sheetcalc.workbooks.plain import plain
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

EACH = 12  # cases of a function in one unit system
FROM = 40  # column where answers stand


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


def test_every_native_form_in_an_office_without_our_functions(tmp_path: Path) -> None:
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
    assert not plain(tmp_path / "cases.xlsx", tmp_path / "plain.xlsx").stored
    (saved,) = recalculated([tmp_path / "plain.xlsx"], tmp_path)
    answers = Workbook(saved).sheets["Cases"]
    wrong: list[str] = []
    for function, system, values, row in made:
        high, wide = size(function)
        shown = [[answers.value(row + down, FROM + on) for on in range(wide)] for down in range(high)]
        answer = python(function, values, system)
        if not agree(function, shown, answer):
            wrong.append(f"{function.name} {system} {values}: {shown[:2]} instead of {answer[:2]}")
    assert not wrong, "\n".join(wrong)
    assert len(made) > 1_000
