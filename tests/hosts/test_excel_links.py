"""Workbooks as Excel may save them: calls led to the add-in through a link to its file.

The forms are those of functions from other add-ins, from memory; no file here was saved by Excel.
"""

import re
from pathlib import Path

import pytest
from small_files import MAIN, OFFICE, RELATIONS, sheet_xml, unpacked, workbook_parts, write_parts

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cli import main
from sheetcalc.hosts.headless import Headless
from sheetcalc.xlsx.formulas import bare_calls, tokens
from sheetcalc.xlsx.workbook import Workbook

TEMPLATE = Path(__file__).parents[2] / "workbook_templates" / "porch_ceiling_us.xlsx"
ADDIN = r"C:\Users\Ann%20Oak\AppData\Roaming\Microsoft\Excel\XLSTART\sheetcalc.xlam"
LINK = f'<externalLink {MAIN} xmlns:r="{OFFICE}"><externalBook r:id="rId1"/></externalLink>'
LINK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"
LINKS_TO = (
    f'<Relationships {RELATIONS}><Relationship Id="rId1" Type="{OFFICE}/externalLinkPath" '
    f'Target="file:///{ADDIN}" TargetMode="External"/></Relationships>'
)


def linked(parts: dict[str, str]) -> dict[str, str]:
    """Add the link to the add-in's file to the parts of a workbook."""
    made = dict(parts)
    made["xl/externalLinks/externalLink1.xml"] = LINK
    made["xl/externalLinks/_rels/externalLink1.xml.rels"] = LINKS_TO
    override = f'<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="{LINK_TYPE}"/>'
    types = made["[Content_Types].xml"].replace("<Types/>", "<Types></Types>")
    made["[Content_Types].xml"] = types.replace("</Types>", override + "</Types>")
    relation = (
        f'<Relationship Id="rIdLink" Type="{OFFICE}/externalLink" Target="externalLinks/externalLink1.xml"/>'
    )
    rels = "xl/_rels/workbook.xml.rels"
    made[rels] = made[rels].replace("</Relationships>", relation + "</Relationships>")
    references = (
        f'<externalReferences><externalReference xmlns:r="{OFFICE}" r:id="rIdLink"/></externalReferences>'
    )
    made["xl/workbook.xml"] = made["xl/workbook.xml"].replace("</sheets>", f"</sheets>{references}", 1)
    return made


def book(path: Path, *formulas: str, names: str = "", after_sheets: str = "") -> Path:
    cells = "".join(
        f'<row r="{row}"><c r="A{row}"><f>{formula}</f><v>0</v></c></row>'
        for row, formula in enumerate(formulas, 1)
    )
    parts = workbook_parts({"Job": sheet_xml(cells)}, names=names, after_sheets=after_sheets)
    return write_parts(path / "job.xlsx", linked(parts))


FORMS = [
    "{}",
    "[1]!{}",
    "'C:\\Users\\Ann Oak\\XLSTART\\sheetcalc.xlam'!{}",
    "'C:\\Users\\Ann Oak\\XLSTART\\[sheetcalc.xlam]'!{}",
    "[sheetcalc.xlam]!{}",
    "[1]Sheet1!{}",
    "sheetcalc.xlam!{}",
    "_xll.{}",
    "_xlfn.{}",
    "_xludf.{}",
    "[1]!_xll.{}",
]


@pytest.mark.parametrize("form", FORMS)
def test_what_stands_before_a_call_changes_nothing(form: str, tmp_path: Path):
    count = form.format("COURSE_COUNT(120,5.125,0.5)")
    inner = form.format("READ_LENGTH(5.125)")
    nested = form.format(f"course_count(120,{inner},0.5)")
    formulas = (count, f"1+IF(TRUE,{count},0)*2", nested, f"SUM({count},{nested})")
    found = Headless(Workbook(book(tmp_path, *formulas)))
    assert not found.unevaluated
    assert found.get("Job", "A1:A4") == [[24.0], [49.0], [24.0], [48.0]]


def test_other_links_and_functions_stay_as_they_are():
    for formula in ("[1]!OTHER(A1)", "[1]Job!A1", "_xlfn.XLOOKUP(1,A:A,B:B)", "Job!A1+'My job'!B2", "OURS"):
        assert "".join(one.text for one in bare_calls(tokens(formula), {"OURS"})) == formula
    found = bare_calls(tokens("[2]Job!A1*[1]!OURS(Job!A1,[2]!OTHER())"), {"OURS"})
    assert "".join(one.text for one in found) == "[2]Job!A1*OURS(Job!A1,[2]!OTHER())"


def by_link(xml: str) -> str:
    """Let every call of ours in a sheet go through the link."""
    calls = re.compile(rf"\b({'|'.join(REGISTRY)})\(")
    return re.sub(r"<f\b[^>]*>[^<]*</f>", lambda formula: calls.sub(r"[1]!\1(", formula[0]), xml)


def test_the_takeoff_saved_with_a_link_is_computed_as_before(tmp_path: Path):
    parts = {name: content.decode("latin-1") for name, content in unpacked(TEMPLATE).items()}
    made = {name: by_link(xml) if "/worksheets/" in name else xml for name, xml in linked(parts).items()}
    file = write_parts(tmp_path / "porch.xlsx", {name: xml.encode("latin-1") for name, xml in made.items()})
    assert sum(xml.count("[1]!") for xml in made.values()) > 400
    before, now = Workbook(TEMPLATE), Workbook(file)
    found = Headless(now)
    assert not found.unevaluated
    found.store()
    for title, sheet in before.sheets.items():
        for place in sheet.places():
            assert now.sheets[title].value(*place) == sheet.value(*place), (title, place)


def test_compute_keeps_the_link_for_excel(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = book(tmp_path, "[1]!COURSE_COUNT(120,5.125,0.5)")
    before = unpacked(file)
    assert main(["compute", str(file)]) == 0, capsys.readouterr()
    after = unpacked(file)
    assert b"<f>[1]!COURSE_COUNT(120,5.125,0.5)</f><v>24</v>" in after["xl/sheets/1.xml"]
    assert b"<externalReferences>" in after["xl/workbook.xml"]
    for part, content in before.items():
        if "external" in part or part.endswith(".rels"):
            assert after[part] == content


# --- Links that nothing uses any more ---


def test_a_link_is_dropped_when_no_formula_uses_it(tmp_path: Path):
    after = '<calcPr calcId="1" fullCalcOnLoad="1"/>'
    found = Workbook(book(tmp_path, "[1]!COURSE_COUNT(120,5.125,0.5)", after_sheets=after))
    assert not found.drop_links()
    found.sheets["Job"].replace(1, 1, 24.0, formula="ROUND(24,0)")
    assert found.drop_links()
    assert not found.drop_links()
    found.calculated()
    found.save(tmp_path / "plain.xlsx")
    parts = unpacked(tmp_path / "plain.xlsx")
    assert b"external" not in parts["xl/workbook.xml"] + parts["[Content_Types].xml"]
    assert b"external" not in parts["xl/_rels/workbook.xml.rels"]
    assert b'<calcPr calcId="191029"/></workbook>' in parts["xl/workbook.xml"]
    assert Headless(Workbook(tmp_path / "plain.xlsx")).get("Job", "A1") == 24.0


@pytest.mark.parametrize("names", ["", '<definedName name="gap">Job!$A$1</definedName>'])
def test_what_stands_behind_a_dropped_link_moves_up(names: str, tmp_path: Path):
    found = Workbook(book(tmp_path, "1+1", names=names))
    assert found.drop_links()
    found.calculated()
    found.add_sheet("More", sheet_xml("").encode())
    found.save()
    again = Workbook(tmp_path / "job.xlsx")
    assert list(again.sheets) == ["Job", "More"]
    assert b'<calcPr calcId="191029"/></workbook>' in unpacked(tmp_path / "job.xlsx")["xl/workbook.xml"]


def test_a_link_stays_that_a_name_uses(tmp_path: Path):
    names = '<definedName name="theirs">[1]Prices!$A$1</definedName>'
    assert not Workbook(book(tmp_path, "1+1", names=names)).drop_links()


def test_a_workbook_without_links_is_left_alone(tmp_path: Path):
    file = write_parts(tmp_path / "job.xlsx", workbook_parts({"Job": sheet_xml("")}))
    found = Workbook(file)
    assert not found.drop_links()
    before = file.read_bytes()
    found.save()
    assert file.read_bytes() == before
