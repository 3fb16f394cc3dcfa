"""What the plain edition asks of the file's parts: formulas replaced, sheets and parts added."""

import zipfile
from pathlib import Path

import openpyxl
import pytest
from small_files import MAIN, relations, sheet_xml, small_book, unpacked, workbook_parts, write_parts

from sheetcalc.workbooks.plain import plain
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.package import FileProblem
from sheetcalc.xlsx.workbook import Workbook

ROW = '<row r="1"><c r="A1" s="2" cm="1"><f>1+1</f><v>2</v></c><c r="C1"><v>5</v></c></row>'


def test_a_formula_is_replaced_and_a_style_with_it(tmp_path: Path) -> None:
    book = small_book(tmp_path, ROW)
    book.sheets["Job"].replace(1, 1, 3.0, formula='IF(C1<9,"a&b",3)', style=4)
    book.sheets["Job"].replace(1, 2, "text")
    book.sheets["Job"].replace(1, 3, "", formula='""')
    xml = book.sheets["Job"].render().decode()
    assert '<c r="A1" s="4"><f>IF(C1&lt;9,"a&amp;b",3)</f><v>3</v></c>' in xml
    assert '<c r="B1" t="inlineStr"><is><t>text</t></is></c>' in xml
    assert '<c r="C1" t="str"><f>""</f><v></v></c>' in xml


def test_a_sheet_is_added_and_every_program_finds_it(tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    made.save(tmp_path / "job.xlsx")
    book = Workbook(tmp_path / "job.xlsx")
    book.add_sheet("More & more", sheet_xml('<row r="1"><c r="A1"><v>7</v></c></row>').encode())
    book.calculated()
    book.save(tmp_path / "more.xlsx")
    assert openpyxl.load_workbook(tmp_path / "more.xlsx")["More & more"]["A1"].value == 7
    assert Workbook(tmp_path / "more.xlsx").sheets["More & more"].value(1, 1) == 7
    with zipfile.ZipFile(tmp_path / "more.xlsx") as archive:
        assert archive.testzip() is None
    with pytest.raises(FileProblem, match="already has a sheet"):
        book.add_sheet("sheet", b"")


def test_a_part_is_added_once(tmp_path: Path) -> None:
    package = small_book(tmp_path, ROW).package
    package.add("xl/new.xml", b"<new/>")
    with pytest.raises(FileProblem, match="already holds"):
        package.add("xl/new.xml", b"<new/>")
    package.save()
    assert unpacked(tmp_path / "job.xlsx")["xl/new.xml"] == b"<new/>"
    assert (tmp_path / "job.bak.xlsx").exists()


def test_the_list_of_formulas_that_some_programs_keep_is_dropped(tmp_path: Path) -> None:
    sheet = sheet_xml('<row r="1"><c r="A1"><f>WHOLE_UNITS(9,4)</f><v>3</v></c></row>')
    parts: dict[str, str | bytes] = {**workbook_parts({"Job": sheet})}
    parts["[Content_Types].xml"] = '<Types><Override PartName="/xl/calcChain.xml" ContentType="x"/></Types>'
    parts["xl/calcChain.xml"] = f'<calcChain {MAIN}><c r="A1" i="1"/></calcChain>'
    parts["xl/_rels/workbook.xml.rels"] = relations(s1="worksheet sheets/1.xml", c="calcChain calcChain.xml")
    write_parts(tmp_path / "job.xlsx", parts)
    plain(tmp_path / "job.xlsx", tmp_path / "plain.xlsx")
    after = unpacked(tmp_path / "plain.xlsx")
    assert b"calcChain" not in after["[Content_Types].xml"] + after["xl/_rels/workbook.xml.rels"]


def test_blank_cells_whole_columns_and_names_are_watched_too(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Job"
    for row, (piece, count) in enumerate([(90, 10), (40, 4)], start=1):
        sheet.cell(row, 1, piece)
        sheet.cell(row, 2, count)
    sheet["C1"], sheet["D1"] = 144, 14
    sheet["G1"] = "=BUY_COST(A1:A9,B1:B9,C:C,D:D)"
    book.save(tmp_path / "job.xlsx")
    host = plain(tmp_path / "job.xlsx", tmp_path / "plain.xlsx").report.host
    assert host.get("Stored", "B5") == 0
    for cell in ("A5", "C7", "D300"):
        host.set("Job", cell, 96.0)
        host.recalculate()
        assert host.get("Stored", "B5") != 0, cell
        host.set("Job", cell, None)
        host.recalculate()
        assert host.get("Stored", "B5") == 0, cell


@pytest.mark.parametrize(
    "names", ["", "<definedNames/>", "<definedNames><definedName name='n'>1</definedName></definedNames>"]
)
def test_a_sheet_is_told_what_to_print(tmp_path: Path, names: str) -> None:
    parts = {**workbook_parts({"Job": sheet_xml('<row r="1"><c r="A1"><v>7</v></c></row>')})}
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace("</sheets>", f"</sheets>{names}")
    write_parts(tmp_path / "job.xlsx", parts)
    book = Workbook(tmp_path / "job.xlsx")
    for last in (4, 9):
        book.print_area(Area("Job", 1, 1, last, 28))
    book.calculated()
    book.save(tmp_path / "printed.xlsx")
    again = Workbook(tmp_path / "printed.xlsx")
    assert again.area("_xlnm.Print_Area", "Job") == Area("Job", 1, 1, 9, 28)
    assert len(again.names) == 1 + ("'n'" in names)


def test_a_link_to_the_functions_goes_with_the_last_call(tmp_path: Path) -> None:
    sheet = sheet_xml('<row r="1"><c r="A1"><f>[1]!WHOLE_UNITS(9,4)</f><v>3</v></c></row>')
    parts: dict[str, str] = {**workbook_parts({"Job": sheet})}
    references = '<externalReferences><externalReference r:id="rId9"/></externalReferences>'
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace("</sheets>", f"</sheets>{references}")
    write_parts(tmp_path / "job.xlsx", parts)
    done = plain(tmp_path / "job.xlsx", tmp_path / "plain.xlsx")
    assert done.report.host.get("Job", "A1") == 3
    assert not done.stored
    assert b"externalReferences" not in unpacked(tmp_path / "plain.xlsx")["xl/workbook.xml"]
