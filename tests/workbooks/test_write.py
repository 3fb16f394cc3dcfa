from pathlib import Path

import pytest
from sample_workbook import SHEETS, VALUES

from sheetcalc.kinds import COUNT
from sheetcalc.workbooks.declare import Item, Lines, Sheet
from sheetcalc.workbooks.write import made, write
from sheetcalc.xlsx.package import FileProblem


def test_what_is_written_is_what_is_made(tmp_path: Path):
    report = write(tmp_path / "sample.xlsx", SHEETS, VALUES)
    assert report.file == tmp_path / "sample.xlsx"
    assert report.value("state") == "ok"
    assert report.file.read_bytes() == made(SHEETS, VALUES)
    assert [file.name for file in tmp_path.iterdir()] == ["sample.xlsx"]


@pytest.mark.parametrize("name", ["sample", "sample.xls", "sample.xlsm", ".xlsx.txt"])
def test_a_workbook_says_what_it_is(tmp_path: Path, name: str):
    with pytest.raises(FileProblem, match=r"ends in \.xlsx"):
        write(tmp_path / name, SHEETS, VALUES)
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_overwritten_unasked(tmp_path: Path):
    file = tmp_path / "SAMPLE.XLSX"
    file.write_bytes(b"mine")
    with pytest.raises(FileProblem, match="already exists"):
        write(file, SHEETS, VALUES)
    assert file.read_bytes() == b"mine"
    write(file, SHEETS, VALUES, force=True)
    assert file.read_bytes() == made(SHEETS, VALUES)


def test_a_declaration_with_a_formula_that_depends_on_itself_is_not_made():
    items = (
        Item(handle="this", label="This", kind=COUNT, formula="={that}+1"),
        Item(handle="that", label="That", kind=COUNT, formula="={this}+1"),
    )
    circle = Sheet(title="Circle", holds="Two lines.", blocks=(Lines(title="Lines", items=items),))
    with pytest.raises(ValueError, match="2 formulas are not computed, the first of them Circle!B"):
        made((*SHEETS, circle), VALUES)
