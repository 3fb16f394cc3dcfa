"""A form of somebody's own, filled: what is written, what stays, what is told."""

import re
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from small_files import MAIN, relations, sheet_xml, unpacked, workbook_parts, write_parts

from sheetcalc.cells.values import CellError
from sheetcalc.hosts.headless import HostProblem
from sheetcalc.takeoff.papers import FIRMS_OWN, PAPERS
from sheetcalc.workbooks.compute import Report, compute, opened
from sheetcalc.workbooks.fill import Filled, fill, for_you_alone
from sheetcalc.xlsx.formulas import area
from sheetcalc.xlsx.package import Problem
from sheetcalc.xlsx.workbook import Workbook

STYLES = (
    '<numFmts count="1"><numFmt numFmtId="164" formatCode="&quot;$&quot;#,##0"/></numFmts>'
    '<cellXfs count="4"><xf numFmtId="0" fontId="0"/>'
    '<xf numFmtId="164" fontId="1"><alignment indent="1"/></xf>'
    '<xf numFmtId="49"/><xf numFmtId="15" applyNumberFormat="1"/></cellXfs>'
)


def text(at: str, words: str) -> str:
    return f'<c r="{at}" t="inlineStr"><is><t>{words}</t></is></c>'


CELLS = (
    f'<row r="1" ht="40" customHeight="1">{text("A1", "Some firm")}</row>'
    f'<row r="3">{text("B3", "an older owner")}<c r="C3"/><c r="D3" s="1"/></row>'
    '<row r="4"><c r="B4" s="1"><v>999</v></c><c r="C4" cm="1"><f>B4*0.3</f><v>299.7</v></c></row>'
    '<row r="5"><c r="B5"/><c r="C5" s="2"/><c r="D5" s="3"/></row>'
    f'<row r="10">{text("B10", "old")}</row><row r="11">{text("B11", "old")}</row>'
    f'<row r="13">{text("B13", "old")}<c r="C13"><f>1+1</f><v>2</v></c></row>'
    '<row r="14"><c r="B14"><f>C4</f><v>299.7</v></c></row>'
    "<row r='20'><c r='B20'/></row>"
)
BEFORE = (
    '<sheetPr codeName="Sheet1"/><sheetViews><sheetView showGridLines="0" workbookViewId="0"/></sheetViews>'
)
AFTER = (
    '<sheetProtection sheet="1" password="CC1A"/><mergeCells count="2"><mergeCell ref="D3:F3"/>'
    '<mergeCell ref="F10:G10"/></mergeCells><conditionalFormatting sqref="B4"><cfRule type="cellIs" '
    'priority="1" operator="greaterThan"><formula>5</formula></cfRule></conditionalFormatting>'
    '<dataValidations count="1"><dataValidation type="whole" sqref="B4"/></dataValidations>'
    '<drawing xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="d1"/>'
)
OTHERS = {
    "xl/vbaProject.bin": b"\xd0\xcf\x11\xe0 macros, not to be read",
    "xl/media/image1.png": b"\x89PNG\r\n\x1a\n a logo",
    "xl/drawings/drawing1.xml": b"<wsDr/>",
    "xl/charts/chart1.xml": b"<chartSpace/>",
}

Fill = Callable[..., Filled]


@pytest.fixture(scope="module")
def demo_report(demo_file: Path) -> Report:
    return opened(demo_file)


@pytest.fixture
def fill_in(tmp_path: Path, demo_report: Report) -> Fill:
    """Write a form with these names, and fill it from the demo job."""

    def fill_in(
        names: Mapping[str, str],
        cells: str = CELLS,
        after: str = AFTER,
        takeoff: Path | None = None,
        before_sheets: str = "",
        after_sheets: str = "",
        styles: str | None = STYLES,
        suffix: str = ".xlsx",
        **parts: str,
    ) -> Filled:
        defined = "".join(
            f'<definedName name="{name.partition("|")[0]}"{name.partition("|")[2]}>{means}</definedName>'
            for name, means in names.items()
        )
        sheets = {"Form": sheet_xml(cells, BEFORE, after), "Other": sheet_xml('<row r="1"/>')}
        made = workbook_parts(sheets, defined, after_sheets, before_sheets, styles=styles)
        form = write_parts(tmp_path / f"form{suffix}", {**made, **OTHERS, **parts})
        return fill(form, opened(takeoff) if takeoff else demo_report, tmp_path / f"bid{suffix}")

    return fill_in


@pytest.fixture
def changed_job(tmp_path: Path, demo_file: Path) -> Callable[..., Path]:
    """Copy the demo job with other entries, its stored answers as they were."""

    def changed(**entries: str | float) -> Path:
        book = Workbook(demo_file)
        for name, value in entries.items():
            cells = book.area(name)
            assert cells is not None
            book.sheets[cells.sheet].put(cells.top, cells.left, value)
        book.save(tmp_path / "porch.xlsx")
        return tmp_path / "porch.xlsx"

    return changed


def value(filled: Filled, at: str, sheet: str = "Form"):
    cell = area(sheet, at)
    assert cell is not None
    return Workbook(filled.file).sheets[sheet].value(cell.top, cell.left)


def code(filled: Filled, at: str) -> str:
    cell = area("Form", at)
    assert cell is not None
    return Workbook(filled.file).number_format("Form", cell.top, cell.left)


def demo(filled: Filled, handle: str):
    return filled.report.value(handle)


# --- What is written ---


def test_names_take_values_and_the_rest_keeps_every_byte(fill_in: Fill, tmp_path: Path):
    filled = fill_in({"OWNER": "Form!$B$3", "price": "Form!$B$4"}, suffix=".xlsm")
    assert value(filled, "B3") == "R. and T. Quillfeather"
    assert value(filled, "B4") == demo(filled, "price") > 5000
    assert filled.problems == filled.told == []
    assert [one[:2] for one in filled.taken] == [("OWNER", "Form!B3"), ("price", "Form!B4")]
    form, bid = unpacked(tmp_path / "form.xlsm"), unpacked(filled.file)
    assert list(form) == list(bid)
    assert [part for part in form if form[part] != bid[part]] == ["xl/workbook.xml", "xl/sheets/1.xml"]
    assert bid["xl/workbook.xml"].replace(b'<calcPr fullCalcOnLoad="1"/>', b"") == form["xl/workbook.xml"]
    was, now = (parts["xl/sheets/1.xml"].decode() for parts in (form, bid))
    was = was.replace("an older owner", "R. and T. Quillfeather")
    was = was.replace("<v>999</v>", f"<v>{demo(filled, 'price'):.0f}</v>")
    assert now == was.replace("<v>299.7</v>", f"<v>{0.3 * demo(filled, 'price'):g}</v>")


def test_formulas_of_the_form_follow_and_are_asked_for_on_opening(fill_in: Fill):
    filled = fill_in(
        {"price": "Form!$B$4"}, after_sheets='<calcPr calcId="1" calcCompleted="0" fullCalcOnLoad="0"/>'
    )
    assert value(filled, "C4") == value(filled, "B14") == pytest.approx(0.3 * demo(filled, "price"))
    assert value(filled, "C13") == 2
    calculation = re.search(rb"<calcPr[^>]*>", unpacked(filled.file)["xl/workbook.xml"])
    assert calculation is not None
    assert calculation[0] == b'<calcPr fullCalcOnLoad="1" calcId="1"/>'


def test_a_form_without_formulas_is_not_asked_to_calculate(fill_in: Fill, tmp_path: Path):
    filled = fill_in({"price": "Form!$B$4"}, cells='<row r="4"><c r="B4"/></row>', after="")
    changed = [
        part
        for part, content in unpacked(tmp_path / "form.xlsx").items()
        if content != unpacked(filled.file)[part]
    ]
    assert changed == ["xl/styles.xml", "xl/sheets/1.xml"]


def test_a_formula_that_cannot_be_worked_out_is_told(fill_in: Fill):
    cells = '<row r="4"><c r="B4"/><c r="C4"><f>NOSUCH(B4)</f><v>7</v></c></row>'
    filled = fill_in({"price": "Form!$B$4"}, cells=cells, after="")
    assert filled.told == ["1 formula of the form could not be worked out here: open it once"]
    assert value(filled, "C4") == 7
    assert b"fullCalcOnLoad" in unpacked(filled.file)["xl/workbook.xml"]


def test_a_form_that_cannot_be_worked_out_at_all_is_told(fill_in: Fill, monkeypatch: pytest.MonkeyPatch):
    def refuse(book: Workbook):
        raise HostProblem(f"{book.file} cannot be computed: too odd.")

    monkeypatch.setattr("sheetcalc.workbooks.fill.Headless", refuse)
    filled = fill_in({"price": "Form!$B$4"})
    assert filled.told == ["form.xlsx cannot be computed: too odd; a program does so on opening"]
    assert value(filled, "B4") == demo(filled, "price")
    assert value(filled, "C4") == 299.7


def test_a_cell_without_a_number_format_takes_the_one_of_the_takeoff(fill_in: Fill, tmp_path: Path):
    filled = fill_in({"bid_date": "Form!$B$5", "margin": "Form!$B$20", "good_until": "Form!$D$5"})
    assert (value(filled, "B5"), code(filled, "B5")) == (demo(filled, "bid_date"), "yyyy-mm-dd")
    assert (value(filled, "B20"), code(filled, "B20")) == (pytest.approx(0.2, abs=0.001), "0.0%")
    assert code(filled, "D5") == "yyyy-mm-dd"  # built in, and the form's own
    form, bid = (unpacked(file)["xl/styles.xml"].decode() for file in (tmp_path / "form.xlsx", filled.file))
    assert '<xf numFmtId="15" applyNumberFormat="1"/>' in bid
    assert '<cellXfs count="6">' in bid
    assert '<numFmts count="3">' in bid
    assert 'fontId="0" numFmtId="165" applyNumberFormat="1"/>' in bid
    for piece in re.findall(r"<xf\b[^>]*/>|<numFmt\b[^>]*>", form):
        assert piece in bid


def test_a_form_without_styles_takes_the_numbers_alone(fill_in: Fill):
    filled = fill_in({"bid_date": "Form!$B$5"}, styles=None)
    assert value(filled, "B5") == demo(filled, "bid_date")


@pytest.mark.parametrize(
    "styles",
    [
        '<cellXfs count="1"><xf numFmtId="0"/></cellXfs>',
        '<numFmts count="0"/><cellXfs count="1"><xf numFmtId="0"><alignment/></xf></cellXfs>',
    ],
)
def test_a_form_without_formats_of_its_own_gets_a_list_of_them(fill_in: Fill, styles: str):
    cells = '<row r="5"><c r="B5"/><c r="C5"/></row>'
    filled = fill_in({"bid_date": "Form!$B$5", "good_until": "Form!$C$5"}, cells, "", styles=styles)
    assert code(filled, "B5") == code(filled, "C5") == "yyyy-mm-dd"
    assert unpacked(filled.file)["xl/styles.xml"].count(b"<numFmts ") == 1


def test_a_cell_that_takes_text_gets_words(fill_in: Fill):
    filled = fill_in({"price": "Form!$C$5"})
    assert value(filled, "C5") == f"{demo(filled, 'price'):,.2f}"


def test_lengths_are_numbers_and_worded_ones_words(fill_in: Fill):
    filled = fill_in({"cut.3": "Form!$B$4", "start_cut": "Form!$B$5", "across.1.2": "Form!$B$20"})
    assert value(filled, "B4") == 319.5
    assert value(filled, "B5") == "26'-7 1/2\""
    assert value(filled, "B20") == "8' 8-1/2\""


def test_dates_are_counted_as_the_form_counts_them(fill_in: Fill):
    filled = fill_in({"bid_date": "Form!$D$5"}, before_sheets='<workbookPr date1904="1"/>')
    assert value(filled, "D5") == demo(filled, "bid_date") - 1462


def test_text_that_begins_like_a_formula_stays_text(fill_in: Fill, changed_job):
    filled = fill_in({"owner": "Form!$B$3"}, takeoff=changed_job(owner='=HYPERLINK("x")'))
    assert value(filled, "B3") == '=HYPERLINK("x")'
    assert not Workbook(filled.file).sheets["Form"].computed(3, 2)


def test_the_takeoff_is_computed_afresh_and_stays_as_it_is(fill_in: Fill, changed_job, tmp_path: Path):
    stale = changed_job(labor_rate=99)
    before = stale.read_bytes()
    filled = fill_in({"price": "Form!$B$4"}, takeoff=stale)
    assert stale.read_bytes() == before
    stored = Workbook(stale).area("price")
    assert stored is not None
    fresh = compute(shutil.copy(stale, tmp_path / "again.xlsx"))
    assert value(filled, "B4") == fresh.value("price")
    assert value(filled, "B4") != Workbook(stale).sheets[stored.sheet].value(stored.top, stored.left)


def test_names_of_one_sheet_are_filled_too(fill_in: Fill):
    filled = fill_in({"owner": "Form!$B$3", 'owner| localSheetId="1"': "Other!$A$1"})
    assert value(filled, "B3") == value(filled, "A1", "Other") == "R. and T. Quillfeather"
    assert [one[1] for one in filled.taken] == ["Form!B3", "Other!A1"]


def test_a_single_merged_cell_is_filled(fill_in: Fill):
    filled = fill_in({"job": "Form!$D$3:$F$3", "place": "Form!$B$20"})
    assert value(filled, "D3") == "New porch ceilings, tongue-and-groove"
    assert filled.problems == []
    filled.file.unlink()
    assert value(fill_in({"job": "Form!$D$3"}), "D3") == "New porch ceilings, tongue-and-groove"


# --- Tables ---


def test_a_column_takes_the_rows_in_use_and_empties_the_rest(fill_in: Fill):
    filled = fill_in({"included": "Form!$B$10:$B$14"})
    assert [value(filled, f"B{row}") for row in range(10, 14)] == [
        *(row[0] for row in demo(filled, "included")[:3]),
        None,
    ]
    assert value(filled, "B14") == 299.7  # a formula behind the last row stays
    assert filled.problems == []
    assert filled.told == ["included: emptied what stood in B13"]
    assert filled.taken == [("included", "Form!B10:B14", "3 of 5 rows")]


def test_columns_of_one_table_keep_to_their_rows(fill_in: Fill, changed_job):
    takeoff = changed_job(**{"option": "A vent more"})
    book = Workbook(takeoff)
    cells = book.area("option")
    assert cells is not None
    book.sheets[cells.sheet].put(cells.top, cells.left, None)  # the first row is free now
    book.sheets[cells.sheet].put(cells.top + 2, cells.left, "A fan")
    book.sheets[cells.sheet].put(cells.top + 2, cells.left + 1, 95)
    book.save()
    names = {"option": "Form!$B$30:$B$33", "option_price": "Form!$C$30:$C$33"}
    filled = fill_in(names, takeoff=takeoff)
    assert (value(filled, "B32"), value(filled, "C32")) == ("A fan", 95)
    assert value(filled, "B30") is None
    assert (value(filled, "B33"), value(filled, "C33")) == (None, None)


def test_columns_of_tables_with_rows_alike_keep_together(fill_in: Fill):
    filled = fill_in({"ceiling": "Form!$B$30:$B$33", "first_framing": "Form!$C$30:$C$33"})
    found = [(value(filled, f"B{row}"), value(filled, f"C{row}")) for row in range(30, 34)]
    assert found == [("Front porch", None), ("Side porch", None), ("Garden porch", "10 1/2"), (None, None)]


def test_a_block_takes_a_block(fill_in: Fill):
    filled = fill_in({"across_read": "Form!$H$30:$J$33", "payment_amount.payment_two": "Form!$B$20"})
    assert value(filled, "J30") == "8'-8 3/4\""
    assert value(filled, "H32") == "7'-10\""
    assert value(filled, "H33") is None
    assert value(filled, "B20") == pytest.approx(0.4 * demo(filled, "price"))


def test_a_table_that_is_too_short_is_not_begun(fill_in: Fill):
    filled = fill_in({"fixture": "Form!$B$10:$B$13", "shape": "Form!$C$30:$C$40", "owner": "Form!$B$3"})
    assert value(filled, "B10") == "old"
    assert value(filled, "C30") is None
    assert value(filled, "B3") == "R. and T. Quillfeather"
    assert filled.problems == [
        "fixture (Form!B10:B13): 7 rows are in use, the form has 4",
        "shape (Form!C30:C40): nothing of its table is written, since fixture does not fit",
    ]


@pytest.mark.parametrize(
    ("handle", "cells", "why"),
    [
        ("price", "$C$4", "C4 holds a formula, which stays"),
        ("included", "$B$13:$B$16", "B14 holds a formula, which stays"),
        ("included", "$F$10:$F$16", "Form!F10:G10 is merged: a table needs single cells"),
        ("price", "$E$3", "Form!D3:F3 is merged: a table needs single cells"),
        ("price", "$B$20:$B$21", "it is one value, but the form has 2 rows for it"),
        ("price", "$B$20:$C$20", "a row of it has 1 cell, in the form 2"),
        ("across", "$B$30:$B$40", "a row of it has 3 cells, in the form 1"),
        ("fixture", "$B$20", "7 rows are in use, the form has 1"),
    ],
)
def test_what_does_not_fit_is_told_and_left_alone(fill_in: Fill, tmp_path: Path, handle, cells, why):
    filled = fill_in({handle: f"Form!{cells}"})
    assert filled.problems == [f"{handle} (Form!{cells.replace('$', '')}): {why}"]
    assert filled.taken == []
    form, bid = unpacked(tmp_path / "form.xlsx"), unpacked(filled.file)
    assert form["xl/sheets/1.xml"] == bid["xl/sheets/1.xml"]


def test_the_heading_of_a_table_stays(fill_in: Fill):
    table = f'<table {MAIN} id="1" name="T" ref="B10:C13" totalsRowCount="1"/>'
    parts = {"xl/sheets/_rels/1.xml.rels": relations(t="table ../tables/1.xml"), "xl/tables/1.xml": table}
    filled = fill_in({"included": "Form!$B$10:$B$13", "except": "Form!$B$40"}, **parts)
    assert filled.problems[0].endswith("B10 is the heading or total of a table, which stays")
    filled.file.unlink()
    filled = fill_in({"included": "Form!$B$11:$B$13"}, **parts)
    assert filled.problems[0].endswith("B13 is the heading or total of a table, which stays")


# --- What is missing ---


def test_unknown_names_are_told_with_close_ones(fill_in: Fill):
    filled = fill_in(
        {
            "prize": "Form!$B$3",
            "price.7": "Form!$B$3",
            "rate": "0.3",
            "_xlnm.Print_Area": "Form!$A$1:$F$40",
            "owner": "Form!$B$20",
        }
    )
    assert filled.told[0].startswith("prize: no name of porch.xlsx, left alone; close to it: price")
    assert filled.told[1:] == ["price has no row 7: it has 1 row"]
    assert value(filled, "B3") == "an older owner"
    assert filled.problems == []


def test_an_old_number_under_a_name_that_may_be_mistyped_is_a_problem(fill_in: Fill):
    cells = '<row r="3"><c r="B3"><v>9800</v></c></row>'
    filled = fill_in({"prize": "Form!$B$3", "owner": "Form!$B$20"}, cells=cells)
    (problem,) = filled.problems
    assert problem.startswith("prize: no name of porch.xlsx, left alone; close to it: price")
    assert problem.endswith("; Form!B3 keeps its number")
    assert filled.told == []


def test_figures_that_are_for_the_firm_alone_are_known(fill_in: Fill):
    places = ("price", "hours_total", "owner", "option_price")
    filled = fill_in(
        {name: f"Form!$K${row}" for row, name in enumerate(places, 30)} | {"option_price": "Form!$L$30:$L$49"}
    )
    assert for_you_alone(filled, FIRMS_OWN, PAPERS["bid"]) == ["hours_total"]


@pytest.mark.parametrize("means", ["#REF!", "Form!$B:$B", "Form!$B$3,Form!$B$5", "Gone!$A$1", "5"])
def test_a_name_that_means_no_block_of_cells_is_told(fill_in: Fill, means: str):
    filled = fill_in({"price": means})
    assert filled.problems == ["price: it means no block of cells in form.xlsx"]


def test_an_error_is_never_written_and_no_older_price_stays(fill_in: Fill, changed_job):
    filled = fill_in({"price": "Form!$B$4"}, takeoff=changed_job(board_wanted="1x12"))
    assert demo(filled, "price") is CellError.NA
    assert value(filled, "B4") is None
    assert value(filled, "C4") == 0
    assert filled.problems == ["price (Form!B4) is left empty: #N/A in porch.xlsx"]
    assert filled.taken == [("price", "Form!B4", "(empty)")]


def test_what_the_takeoff_has_not_yet_is_emptied_and_told(fill_in: Fill, blank_file: Path):
    filled = fill_in({"owner": "Form!$B$3", "included": "Form!$B$10:$B$12"}, takeoff=blank_file)
    assert value(filled, "B3") is None
    assert value(filled, "B10") is None
    assert filled.told == [
        "owner: blank.xlsx holds nothing there yet",
        "included: blank.xlsx holds nothing there yet",
    ]


def test_two_names_of_one_cell_that_differ(fill_in: Fill):
    filled = fill_in({"owner": "Form!$B$3", "place": "Form!$B$3", "bid_owner": "Form!$B$3"})
    assert filled.problems == ["place (Form!B3): B3 belongs to another name too"]
    assert value(filled, "B3") == "R. and T. Quillfeather"


def test_no_column_of_a_table_is_written_when_a_cell_of_another_belongs_elsewhere(fill_in: Fill):
    names = {"owner": "Form!$B$3", "fixture": "Form!$H$30:$H$40", "shape": "Form!$B$3:$B$11"}
    filled = fill_in(names, cells='<row r="3"><c r="B3"/></row>')
    assert filled.problems == [
        "shape (Form!B3:B11): B3 belongs to another name too",
        "fixture (Form!H30:H40): nothing of its table is written, since shape does not fit",
    ]
    assert value(filled, "H30") is None
    assert value(filled, "B3") == "R. and T. Quillfeather"


# --- What is not done ---


def test_nothing_is_written_when_no_name_fits(fill_in: Fill, tmp_path: Path):
    with pytest.raises(Problem, match=r"form\.xlsx has no name that is one of porch\.xlsx"):
        fill_in({"prize": "Form!$B$3"})
    assert not (tmp_path / "bid.xlsx").exists()


def test_neither_form_nor_takeoff_is_overwritten(tmp_path: Path, demo_report: Report):
    form = Path(shutil.copy(demo_report.file, tmp_path / "form.xlsx"))
    with pytest.raises(Problem, match=r"form\.xlsx is the form itself"):
        fill(form, demo_report, form, force=True)
    with pytest.raises(Problem, match=r"porch\.xlsx is the takeoff itself"):
        fill(form, demo_report, demo_report.file, force=True)
    other = Path(shutil.copy(demo_report.file, tmp_path / "bid.xlsx"))
    with pytest.raises(Problem, match=r"bid\.xlsx already exists"):
        fill(form, demo_report, other)
