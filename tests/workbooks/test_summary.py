from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.workbook.defined_name import DefinedName

from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.summary import points, summary

CHECKS = [
    ("entries_needed", "Board price", '=IF(B9="","missing","ok")', "Start"),
    ("stop_checks", "Every length is read", '=IF(ISERROR(B9*1),"stop","ok")', "Measure"),
    ("look_checks", "Not too much", '=IF(B9*1>5,"look","ok")', "Order"),
]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row, (handle, *cells) in enumerate(CHECKS, 1):
        for column, cell in enumerate(cells, 1):
            sheet.cell(row, column, cell)
        book.defined_names[handle] = DefinedName(handle, attr_text=f"Sheet!$A${row}:$C${row}")
    answers = [("Price", "=B9*100", "each", "#,##0.00"), ("Share", '=IF(B9="","",B9/8)', "", "0.0%")]
    for row, (label, formula, unit, code) in enumerate(answers, 6):
        sheet.cell(row, 1, label)
        sheet.cell(row, 2, formula).number_format = code
        sheet.cell(row, 3, unit)
    book.defined_names["answers"] = DefinedName("answers", attr_text="Sheet!$A$6:$C$7")
    book.defined_names["rate"] = DefinedName("rate", attr_text="Sheet!$B$9")
    path = tmp_path / "job.xlsx"
    book.save(path)
    return path


def computed(file: Path, rate: str) -> Report:
    return compute(file, sets={"rate": rate})


def test_answers_in_the_formats_of_their_cells(file: Path):
    report = computed(file, "3")
    assert summary(report) == [
        f"{file} computed",
        f"  {'Price':<26} 300.00 each",
        f"  {'Share':<26} 37.5%",
    ]
    assert points(report) == ([], [])


def test_a_look_is_told_and_stops_nothing(file: Path):
    report = computed(file, "6")
    assert points(report) == ([], ["look: not so: Not too much (Order)"])
    assert summary(report)[-1] == "  look: not so: Not too much (Order)"


def test_an_error_among_the_looks_stops_nothing_by_itself(file: Path):
    report = computed(file, "six")
    assert points(report) == (
        ["stop: not so: Every length is read (Measure)"],
        ["look: not so: Not too much (Order)"],
    )
    assert f"  {'Price':<26} #VALUE!" in summary(report)  # without its unit


def test_nothing_is_worth_a_look_while_an_entry_is_missing(file: Path):
    report = computed(file, "")
    assert points(report) == (["missing: Board price (Start)"], [])
    assert f"  {'Share':<26} -" in summary(report)


def test_a_workbook_without_checks(tmp_path: Path):
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = "=1+1"
    book.save(tmp_path / "own.xlsx")
    report = compute(tmp_path / "own.xlsx")
    assert points(report) == ([], [])
    assert summary(report) == [f"{tmp_path / 'own.xlsx'} computed"]


def test_cells_that_a_shorter_row_of_values_empties_are_told(file: Path):
    book = load_workbook(file)
    sheet = book["Sheet"]
    for cell, value in {"D9": 0.05, "E9": 0.1, "F9": None}.items():
        sheet[cell] = value
        sheet[cell].number_format = "0%"
    book.defined_names["culls"] = DefinedName("culls", attr_text="Sheet!$D$9:$F$9")
    book.save(file)
    told = [line for line in summary(compute(file, sets={"culls.1": "12%"})) if "emptied" in line]
    assert told == ["  emptied, no value was given for it: Sheet!E9, which held 10%"]
    assert compute(file, sets={"culls": ""}).emptied == ()  # that was asked for
