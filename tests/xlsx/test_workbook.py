import re
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook as NewWorkbook
from openpyxl import load_workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from small_files import sheet_xml, small_book, unpacked, workbook_parts, write_parts

from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.package import FileProblem
from sheetcalc.xlsx.sheet import Formula
from sheetcalc.xlsx.workbook import CALCULATED_BY, Name, NumberFormat, Workbook


def test_sheets_come_in_their_order_whatever_their_parts_are_called(tmp_path: Path):
    parts = workbook_parts({"Zeta & Söhne": sheet_xml(""), "Chart": "<chartsheet/>", "alpha": sheet_xml("")})
    rels = parts["xl/_rels/workbook.xml.rels"].replace('"sheets/1.xml"', '"/elsewhere/any.data"')
    parts["xl/_rels/workbook.xml.rels"] = rels.replace(
        'worksheet" Target="sheets/2', 'chartsheet" Target="sheets/2'
    )
    parts["elsewhere/any.data"] = parts.pop("xl/sheets/1.xml")
    name = '<definedName name="a" localSheetId="2">alpha!$A$1</definedName>'
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(
        "</workbook>", f"<definedNames>{name}</definedNames></workbook>"
    )
    book = Workbook(write_parts(tmp_path / "job.xlsx", parts))
    assert list(book.sheets) == ["Zeta & Söhne", "alpha"]
    assert book.sheets["Zeta & Söhne"].part == "elsewhere/any.data"
    assert book.names == [Name("a", "alpha", "alpha!$A$1", Area("alpha", 1, 1, 1, 1))]


def test_names(tmp_path: Path):
    names = (
        "<definedName name=\"gap\">'My job'!$B$2:$B$9</definedName>"
        '<definedName name="rate">0.5&amp;""</definedName>'
        '<definedName name="Gap" localSheetId="0">Job!$A$1</definedName>'
        '<definedName name="gone" localSheetId="7">Job!$A$1</definedName>'
    )
    book = small_book(tmp_path, "", names=names)
    assert [tuple(name[:3]) for name in book.names] == [
        ("gap", "", "'My job'!$B$2:$B$9"),
        ("rate", "", '0.5&""'),
        ("Gap", "Job", "Job!$A$1"),
    ]
    assert book.area("GAP") == Area("My job", 2, 2, 9, 2)
    assert book.area("gap", "Job") == Area("Job", 1, 1, 1, 1)
    assert book.area("rate", "Job") is None
    assert book.area("other") is None


def test_shared_strings_without_phonetic_guides(tmp_path: Path):
    strings = (
        '<si><t xml:space="preserve"> a</t></si><si><r><rPr><b/></rPr><t>b</t></r><r><t>c_x0041_</t></r>'
        '<rPh sb="0" eb="1"><t>guide</t></rPh><phoneticPr fontId="1"/></si><si/>'
    )
    cells = "".join(f'<c t="s"><v>{number}</v></c>' for number in range(3))
    sheet = small_book(tmp_path, f"<row>{cells}</row>", strings=strings).sheets["Job"]
    assert [sheet.value(1, column) for column in (1, 2, 3)] == [" a", "bcA", ""]


FORMATS: list[tuple[str, bool, bool, bool]] = [
    ("General", False, False, False),
    ("0.0%", True, False, False),
    ('0.0"%"', False, False, False),
    ("0;0%", False, False, False),
    ("# ??/16", False, True, False),
    ("# ?/?", False, True, False),
    ("0 0/64", False, True, False),
    ("yyyy-mm-dd", False, False, True),
    ("d/m/yy", False, False, True),
    ("[h]:mm", False, False, True),
    ("[Red]0.00", False, False, False),
    ('"days" 0', False, False, False),
    (r"\d0", False, False, False),
    ("_(* #,##0.00_)", False, False, False),
    ("[$-409]mmm d", False, False, True),
    ("[$€-407]0.00", False, False, False),
]


@pytest.mark.parametrize(("code", "percent", "fraction", "date"), FORMATS)
def test_what_a_number_format_shows(code: str, percent: bool, fraction: bool, date: bool):
    looks = NumberFormat(code)
    assert (looks.percent, looks.fraction, looks.date, looks.text) == (percent, fraction, date, False)


def test_number_formats_of_cells(tmp_path: Path):
    styles = (
        '<numFmts count="1"><numFmt numFmtId="164" formatCode="# ??/16"/></numFmts>'
        '<cellStyleXfs><xf numFmtId="9"/></cellStyleXfs>'
        '<cellXfs><xf/><xf numFmtId="164"/><xf numFmtId="10"/><xf numFmtId="14"/><xf numFmtId="49"/>'
        '<xf numFmtId="777"/></cellXfs>'
        '<dxfs><dxf><numFmt numFmtId="164" formatCode="0"/></dxf></dxfs>'
    )
    cells = "".join(f'<c s="{style}"/>' for style in range(7))
    book = small_book(tmp_path, f"<row>{cells}</row>", styles=styles)
    looks = [book.number_format("Job", 1, column) for column in range(1, 9)]
    assert [*looks] == ["General", "# ??/16", "0.00%", "yyyy-mm-dd", "@", "General", "General", "General"]
    assert looks[4].text


def test_damaged_formats(tmp_path: Path):
    book = small_book(tmp_path, "", styles='<cellXfs><xf numFmtId="x"/></cellXfs>')
    with pytest.raises(FileProblem, match=r"its part xl/styles.xml holds no proper formats"):
        book.number_format("Job", 1, 1)


def test_a_workbook_without_styles(tmp_path: Path):
    assert small_book(tmp_path, "").number_format("Job", 1, 1) == "General"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('<calcPr calcId="124519" fullCalcOnLoad="1"/>', f'<calcPr calcId="{CALCULATED_BY}"/>'),
        ("<calcPr fullCalcOnLoad='true' />", f'<calcPr calcId="{CALCULATED_BY}" />'),
        ('<calcPr calcId="999999" calcMode="manual"/>', '<calcPr calcId="999999" calcMode="manual"/>'),
        ('<calcPr calcCompleted="0" calcId="191029"/>', '<calcPr calcId="191029"/>'),
        ("", f'<calcPr calcId="{CALCULATED_BY}"/>'),
    ],
)
@pytest.mark.parametrize("names", ["", '<definedName name="gap">Job!$A$1</definedName>'])
def test_stored_values_count_as_calculated(tmp_path: Path, before: str, after: str, names: str):
    book = small_book(tmp_path, "", names=names, after_sheets=f"{before}<extLst/>")
    was = unpacked(book.package.path)
    book.calculated()
    book.save()
    now = unpacked(book.package.path)
    text = was.pop("xl/workbook.xml").decode().replace(before + "<extLst/>", f"{after}<extLst/>")
    assert now.pop("xl/workbook.xml").decode() == text
    assert now == was


def test_a_bare_list_of_names_comes_before_the_calculation(tmp_path: Path):
    book = small_book(tmp_path, "", after_sheets="<definedNames/>")
    book.calculated()
    assert (
        f'<definedNames/><calcPr calcId="{CALCULATED_BY}"/></workbook>'
        in book.package.read("xl/workbook.xml").decode()
    )


def test_dates_from_1904(tmp_path: Path):
    assert small_book(tmp_path, "", before_sheets='<workbookPr date1904="1"/>').date_1904
    assert not small_book(tmp_path, "", before_sheets="<workbookPr/>").date_1904


def test_a_sheet_without_a_part(tmp_path: Path):
    parts = workbook_parts({"Job": sheet_xml("")})
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace('r:id="s1"', 'r:id="none"')
    book = Workbook(write_parts(tmp_path / "job.xlsx", parts))
    with pytest.raises(FileProblem, match=r"job.xlsx is damaged: its sheet Job is missing"):
        _ = [*book.sheets.values()]


def test_files_of_the_usual_library_round_trip(tmp_path: Path):
    new = NewWorkbook()
    sheet = new.active
    assert sheet is not None
    sheet.title = "My job"
    for row, values in enumerate(
        [[120, 5.125, "=A1/B1"], ["text", True, '="a"&A2'], [None, -0.5, "=1/0"]], 1
    ):
        for column, value in enumerate(values, 1):
            sheet.cell(row, column, value)
    sheet["E1"] = ArrayFormula("E1:E2", "=B1:B2*2")
    new.defined_names["across"] = DefinedName("across", attr_text="'My job'!$A$1")
    path = tmp_path / "job.xlsx"
    new.save(path)

    book = Workbook(path)
    found = book.sheets["My job"]
    assert found.formulas == {
        (1, 3): Formula("A1/B1"),
        (2, 3): Formula('"a"&A2'),
        (3, 3): Formula("1/0"),
        (1, 5): Formula("B1:B2*2", Area("My job", 1, 5, 2, 5)),
    }
    answers: dict[tuple[int, int], Any] = {
        (1, 3): 23.5,
        (2, 3): " atext",
        (3, 3): "",
        (1, 5): 10.25,
        (2, 5): True,
    }
    for place, value in answers.items():
        found.show(*place, value)
    found.put(4, 1, "=not a formula")
    book.calculated()
    book.save()

    values, formulas = load_workbook(path, data_only=True)["My job"], load_workbook(path)["My job"]
    assert {place: values.cell(*place).value for place in answers} == {**answers, (3, 3): None}
    assert values["A4"].value == "=not a formula"
    assert formulas["C1"].value == "=A1/B1"
    assert formulas["A4"].data_type in ("s", "inlineStr")
    assert not re.search("fullCalcOnLoad", unpacked(path)["xl/workbook.xml"].decode())
