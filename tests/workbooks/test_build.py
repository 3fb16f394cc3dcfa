import re
import shutil
import subprocess
import zipfile
from io import BytesIO

import openpyxl
import pytest
from sample_workbook import SHEETS, SPECIES, VALUES

from sheetcalc.workbooks.build import build
from sheetcalc.workbooks.place import lay_out


@pytest.fixture(scope="module", params=["us", "metric"])
def system(request):
    return request.param


@pytest.fixture(scope="module")
def file(system):
    return build(SHEETS, VALUES, system)


@pytest.fixture(scope="module")
def book(file):
    return openpyxl.load_workbook(BytesIO(file))


@pytest.fixture(scope="module")
def plan(system):
    return lay_out(SHEETS, system)


def part(file, name):
    with zipfile.ZipFile(BytesIO(file)) as parts:
        return parts.read(name).decode()


def cells(book):
    return [(sheet, cell) for sheet in book for row in sheet.iter_rows() for cell in row]


def formulas(book):
    for sheet, cell in cells(book):
        if cell.data_type == "f":
            yield sheet, cell, getattr(cell.value, "text", cell.value)


def test_the_same_declaration_gives_the_same_bytes(file, system):
    assert build(SHEETS, VALUES, system) == file


def test_the_file_says_nothing_of_when_it_was_built(file):
    with zipfile.ZipFile(BytesIO(file)) as parts:
        assert {info.date_time for info in parts.infolist()} == {(2000, 1, 1, 0, 0, 0)}
    assert re.findall(r">(\d{4}-.*?)<", part(file, "docProps/core.xml")) == ["2000-01-01T00:00:00Z"] * 2


def test_a_program_that_keeps_stored_text_takes_it_for_its_own(file):
    assert "<Application>Microsoft Excel" in part(file, "docProps/app.xml")


def test_values_stand_in_their_entries(book, plan):
    def value(handle, row=0, column=0):
        at = plan.places[handle].cells
        return book[at.sheet].cell(at.row + row, at.column + column).value

    assert value("board_face") == 5.125
    assert value("across", 0, 1) == "10' 0-1/4\""
    assert value("ceiling", 1) == "Side"
    assert value("measured_on").isoformat() == "2025-04-30T00:00:00"
    assert value("amount", 2) == 1
    assert value("wall_gap") is None


def test_typed_text_that_looks_like_a_formula_stays_text(book, plan):
    at = plan.places["job"].cells
    cell = book[at.sheet].cell(at.row, at.column)
    assert (cell.value, cell.data_type, cell.quotePrefix) == ("=Heron's porch", "s", True)


def test_metric_calls_say_so_and_us_calls_do_not(book, system):
    for _, _, text in formulas(book):
        calls = len(re.findall(r"[A-Z]+_[A-Z_]+\(", text))
        assert text.count(',"metric")') == (calls if system == "metric" else 0)


def test_a_formula_calls_us_behind_a_native_guard(book):
    calling = [text for _, _, text in formulas(book) if re.search(r"[A-Z]_[A-Z]", text)]
    assert len(calling) > 20
    assert [text for text in calling if not text.startswith(("=IF(", "=READ_LENGTH(IF("))] == []


def test_an_array_spans_its_answer(book):
    arrays = {cell.value.ref for _, cell, _ in formulas(book) if not isinstance(cell.value, str)}
    assert arrays == {"B10:D12", "B13:D15", "B16:D18", "B52:D91"}


def test_every_entry_is_unlocked_styled_and_ruled(book, plan):
    for (title, row, column), item in plan.entries.items():
        cell = book[title].cell(row, column)
        assert cell.style in ("Line entry", "Table entry")
        assert not cell.protection.locked
        rules = [
            rule for rule in book[title].data_validations.dataValidation if cell.coordinate in rule.sqref
        ]
        assert [rule.promptTitle for rule in rules] == [item.label]


def test_nothing_but_entries_is_unlocked(book, plan):
    entries = set(plan.entries)
    for sheet, cell in cells(book):
        if (sheet.title, cell.row, cell.column) not in entries:
            assert cell.protection.locked


def test_every_cell_has_the_format_of_its_kind(book, plan, system):
    def code(handle):
        at = plan.places[handle].cells
        return book[at.sheet].cell(at.row, at.column).number_format

    length = {"us": "# ??/16", "metric": "0.0"}[system]
    assert [code(handle) for handle in ("widest", "end_last")] == [length] * 2
    typed = {"us": length, "metric": "General"}[system]
    assert [code(handle) for handle in ("board_face", "across")] == [typed] * 2
    assert [code(handle) for handle in ("price", "profit", "days", "hang_rate")] == [
        "#,##0.00",
        "0.0%",
        "0",
        "0.0000",
    ]
    at = plan.places["wall_gap"]
    stated = {"us": "# ??/??", "metric": "General"}[system]
    assert book["Start"].cell(at.used.row, at.used.column).number_format == stated
    assert book["Start"].cell(at.given.row, at.given.column).number_format == stated


def test_a_typed_length_is_read_aloud(book, plan, system):
    at = plan.places["least_edge"].cells
    called = {"us": "FEET_INCHES($B$9)", "metric": 'READ_LENGTH($B$9,"metric")'}[system]
    assert book["Start"].cell(at.row, 5).value == f'=IF($B$9="","",{called})'


def test_every_handle_is_a_defined_name(book, plan):
    names = {name: defined.attr_text for name, defined in book.defined_names.items()}
    assert {name for name in names if "." not in name} == set(plan.places)
    assert names["board_face"] == "Start!$B$6"
    assert names["across"] == "Measure!$B$15:$D$17"
    assert names["end_first"] == "Working!$B$10:$B$18"
    assert names["answers"] == "Start!$G$6:$I$10"
    assert names["ceilings_filled"] == "Measure!$I$15:$I$17"
    assert names["costs_filled"] == "Bid!$A$7:$A$10"
    assert names["rate.delivery"] == "Bid!$C$9"
    assert {name for name in names if name.startswith("cost_line.")} == {
        f"cost_line.{row}" for row in ("boards", "hours", "delivery", "other")
    }


def test_a_sheet_prints_one_page_wide_with_its_name_and_pages(book, plan, system):
    for sheet, page in zip(book, plan.pages, strict=True):
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, page.sheet.one_page)
        assert not (page.sheet.one_page and len(sheet.row_breaks))
        assert sheet.page_setup.paperSize == {"us": 1, "metric": 9}[system]
        footer = sheet.oddFooter.left.text, sheet.oddFooter.right.text
        assert footer == (("&A", "page &P of &N") if page.sheet.head else (None, None))
        last = sheet.max_row
        if page.sheet.title == "Working":  # other sheets show the answers at its end
            last = (edges := plan.places["edges"].cells).row + edges.rows - 1
        area = page.cells(1, 1, last, page.last_column).address()
        assert sheet.print_area.replace("'", "") == area
    orientations = [sheet.page_setup.orientation for sheet in book]
    assert orientations == ["landscape", "landscape", "portrait", "portrait", "portrait"]
    assert [sheet.print_title_rows for sheet in book] == [None] * 4 + ["$51:$51"]


def test_heads_stay_in_sight_and_the_first_sheet_opens(book):
    assert [sheet.freeze_panes for sheet in book] == ["A4", "A4", "A4", None, "A4"]
    assert book.active.title == "Start"
    assert [bool(sheet.sheet_view.tabSelected) for sheet in book] == [True, False, False, False, False]


def test_nothing_is_hidden_or_merged(book):
    for sheet in book:
        assert sheet.sheet_state == "visible"
        assert not sheet.merged_cells.ranges
        assert not any(
            size.hidden for size in (*sheet.row_dimensions.values(), *sheet.column_dimensions.values())
        )
        assert not sheet.sheet_view.showGridLines


def test_only_the_sheets_that_ask_for_it_are_locked_and_leave_rows_and_formats_free(book):
    assert [sheet.protection.sheet for sheet in book] == [False, False, True, False, False]
    locked = book["Bid"].protection
    assert locked.password is None
    forbidden = [locked.insertRows, locked.formatCells, locked.formatColumns, locked.formatRows]
    assert forbidden == [False] * 4
    assert locked.deleteColumns


def test_colours_by_condition_are_for_checks_and_money_below_zero(book):
    rules = {
        (sheet.title, str(area.sqref), rule.formula[0])
        for sheet in book
        for area in sheet.conditional_formatting
        for rule in area.rules
    }
    assert ("Bid", "B17", 'LEFT(B17,2)="ok"') in rules
    assert ("Start", "A3", "ISERROR(A3)") in rules
    assert ("Bid", "B22:D22", "N(B22)<0") in rules
    assert not [rule for rule in rules if re.search(r"[A-Z]_[A-Z]|TRUE|FALSE", rule[-1])]


def test_a_long_list_of_words_is_pointed_at(book):
    rules = [rule for rule in book["Start"].data_validations.dataValidation if rule.promptTitle == "Wood"]
    assert [rule.formula1 for rule in rules] == ["Working!$A$34:$A$48"]
    assert [book["Working"].cell(row, 1).value for row in range(34, 49)] == list(SPECIES)


def test_a_workbook_without_values_is_built_too():
    book = openpyxl.load_workbook(BytesIO(build(SHEETS, {})))
    assert all(cell.value is None for _, cell in cells(book) if cell.style in ("Line entry", "Table entry"))


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_it_opens_and_prints_in_libreoffice(tmp_path, file):
    path = tmp_path / "sample.xlsx"
    path.write_bytes(file)
    profile = f"-env:UserInstallation=file://{tmp_path / 'profile'}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path), str(path)]
    for _ in range(2):  # a new profile may make the first start end early
        subprocess.run(command, capture_output=True, timeout=120, check=False)
        if path.with_suffix(".pdf").exists():
            break
    pages = re.findall(rb"/Type\s*/Page\b", path.with_suffix(".pdf").read_bytes())
    assert len(pages) == 5  # one for each sheet
