from pathlib import Path

import pytest
from openpyxl import Workbook as NewWorkbook
from openpyxl import load_workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from small_files import unpacked

from sheetcalc.cells.values import CellError
from sheetcalc.workbooks.compute import compute
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.xlsx.package import FileProblem


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A list of ceilings, three rows, two in use; a rate, a share and a date."""
    book = NewWorkbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "My job"
    for row, across in enumerate((120, "10' 6\"", None), 2):
        sheet.cell(row, 1, across).number_format = "# ??/16"
        sheet.cell(row, 2, 0.5).number_format = "# ??/16"
        sheet.cell(row, 3, f'=IF(E{row},COURSE_COUNT(A{row}:A{row},5.125,B{row}),"")')
        sheet.cell(row, 5, f'=A{row}<>""')
    sheet["A8"] = 0.1
    sheet["A8"].number_format = "0.0%"
    sheet["A9"].number_format = "yyyy-mm-dd"
    sheet["A10"] = "=SUM(C2:C4)"
    sheet["G1"] = ArrayFormula("G1:I30", '=IF(E2,COURSE_MARKS(A2,5.125,B2,,,,,,30),"")')
    for name, cells in {
        "across": "$A$2:$A$4",
        "gap": "$B$2:$B$4",
        "courses": "$C$2:$C$4",
        "ceilings_filled": "$E$2:$E$4",
        "waste": "$A$8",
        "start": "$A$9",
        "all_courses": "$A$10",
        "marks": "$G$1:$I$30",
    }.items():
        book.defined_names[name] = DefinedName(name, attr_text=f"'My job'!{cells}")
    path = tmp_path / "porch.xlsx"
    book.save(path)
    return path


def test_a_workbook_is_computed_where_it_stands(file: Path):
    before = unpacked(file)
    report = compute(file)
    assert report.file == file
    assert report.unevaluated == report.bugs == []
    assert report.value("courses") == [[24], [25], [""]]
    assert report.value("courses.2") == 25
    assert report.value("all_courses") == 49
    marks = report.value("marks")
    assert isinstance(marks, list)
    assert [row[0] for row in marks] == [*range(1, 25), *[""] * 6]
    after = unpacked(file)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}
    stored = load_workbook(file, data_only=True)["My job"]
    assert [stored.cell(row, 3).value for row in (2, 3, 4)] == [24, 25, None]
    assert [stored["G24"].value, stored["I24"].value] == [24, marks[23][2]]
    assert load_workbook(file)["My job"]["C2"].value.startswith("=IF(E2,COURSE_COUNT")
    assert file.with_name("porch.bak.xlsx").exists()


def test_computed_again_it_does_not_change(file: Path):
    compute(file)
    first = file.read_bytes()
    compute(file)
    assert file.read_bytes() == first
    assert not file.with_name("porch.bak2.xlsx").exists()


def test_values_are_typed_in_first(file: Path):
    report = compute(
        file,
        file.with_name("out.xlsx"),
        [("across.3", "11 1/2"), ("across.3", "132"), ("gap", "1/4"), ("gap.1", "3/8"), ("waste", "12.5")],
    )
    assert report.value("gap") == [[0.375], [0.25], [0.25]]  # the third row came into use on the way
    assert report.value("courses.3") == 26
    assert report.value("waste") == 0.125
    stored = load_workbook(file.with_name("out.xlsx"), data_only=True)["My job"]
    assert stored["A4"].value == 132
    assert stored["A4"].number_format == "# ??/16"
    assert load_workbook(file)["My job"]["A4"].value is None


def test_a_mapping_of_values(file: Path):
    report = compute(file, sets={"start": "2026-01-02", "across.1": ""})
    assert report.value("start") == 46024
    assert report.value("courses") == [[""], [25], [""]]
    assert str(load_workbook(file)["My job"]["A9"].value) == "2026-01-02 00:00:00"


def test_an_error_has_its_reason(file: Path):
    report = compute(file, sets={"across.1": "some"})
    assert report.value("courses.1") == CellError.VALUE
    assert "“some”" in report.reason("courses")
    assert report.value("all_courses") == CellError.VALUE


def test_formulas_that_are_not_computed_are_listed(file: Path):
    book = load_workbook(file)
    book["My job"]["K1"] = "=NOSUCH(1)"
    book.save(file)
    report = compute(file)
    assert [str(one) for one in report.unevaluated] == [
        "'My job'!K1: it uses NOSUCH, which is not known here"
    ]
    assert load_workbook(file)["My job"]["K1"].value == "=NOSUCH(1)"


@pytest.mark.parametrize(
    ("sets", "sentence"),
    [
        ({"gap": "1", "courses": "1"}, "courses is a result"),
        ({"gap": "1", "gaap": "1"}, "Close to it: gap"),
        ({"waste": "0.1"}, "waste is a percentage: write 10% or 0.1%"),
    ],
)
def test_a_value_that_cannot_be_typed_changes_nothing(file: Path, sets: dict[str, str], sentence: str):
    before = file.read_bytes()
    with pytest.raises(HandleProblem, match=sentence):
        compute(file, sets=sets)
    assert file.read_bytes() == before
    assert [path.name for path in file.parent.iterdir()] == ["porch.xlsx"]


def test_another_file_is_not_overwritten_unasked(file: Path):
    other = file.with_name("out.xlsx")
    other.write_bytes(b"kept")
    with pytest.raises(FileProblem, match="already exists"):
        compute(file, other)
    assert other.read_bytes() == b"kept"
    compute(file, other, force=True)
    assert load_workbook(other, data_only=True)["My job"]["A10"].value == 49


def test_an_open_file_is_left_alone_but_can_be_read(file: Path):
    file.with_name("~$porch.xlsx").touch()
    with pytest.raises(FileProblem, match="is open in another program"):
        compute(file)
    assert compute(file, file.with_name("out.xlsx")).value("all_courses") == 49
