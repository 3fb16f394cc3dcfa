"""Papers: only the sheets asked for, only the rows that hold something, and never the person's own file."""

import re
import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from small_files import sheet_xml, small_book, workbook_parts, write_parts

from sheetcalc.hosts.calc.offices import Office, OfficeProblem, find_office
from sheetcalc.workbooks.printing import blank_rows, print_sheets
from sheetcalc.xlsx.package import Problem
from sheetcalc.xlsx.workbook import Workbook


class Printer(Office):
    """Keeps what it is given to print."""

    def printed(self, workbook: Path, folder: Path) -> Path:
        shutil.copyfile(workbook, self.profile / "given.xlsx")
        (folder / "out.pdf").write_bytes(b"%PDF of " + workbook.name.encode())
        return folder / "out.pdf"


@pytest.fixture
def printer(tmp_path: Path) -> Printer:
    return Printer(tmp_path, tmp_path)


def test_rows_that_hold_nothing_are_left_out(demo_file: Path):
    book = Workbook(demo_file)
    cells = book.area("stock_read")
    assert cells is not None
    saw, settings = book.sheets["Saw"], book.area("saw_settings")
    assert settings is not None
    blank = blank_rows(book, "Saw")
    for row in range(settings.top, settings.bottom + 1):
        shown = any(saw.value(row, column) not in (None, "") for column in range(2, settings.right + 1))
        assert (row not in blank) == shown
    trim = book.area("saw_trim")
    assert trim is not None
    assert set(range(trim.top - 2, trim.bottom + 1)) <= blank  # nothing is in use, so its heads go too
    assert settings.top - 1 not in blank
    assert blank.isdisjoint({1, 2, 3})


def test_entries_in_use_stay_and_blank_ones_go(demo_file: Path):
    book = Workbook(demo_file)
    costs = book.area("other_costs")
    assert costs is not None
    blank = blank_rows(book, "Price")
    rows = range(costs.top, costs.bottom + 1)
    assert [row for row in rows if row not in blank] == [costs.top]
    payments = book.area("payments")
    assert payments is not None
    assert blank.isdisjoint(range(payments.top, payments.bottom + 1))
    assert blank_rows(book, "Site") == set()


def test_a_sheet_of_somebodys_own(tmp_path: Path):
    def text(at: str, words: str) -> str:
        return f'<c r="{at}" t="inlineStr"><is><t>{words}</t></is></c>'

    def result(at: str, words: str) -> str:
        return f'<c r="{at}" t="str"><f>1</f><v>{words}</v></c>'

    rows = {
        1: text("A1", "Title"),
        3: text("A3", "Heads of an empty table"),
        4: '<c r="A4"><v>1</v></c>' + result("B4", ""),
        5: '<c r="A5"><v>2</v></c>' + result("B5", ""),
        7: text("A7", "Heads of another"),
        8: '<c r="A8"><v>1</v></c>' + result("B8", "here"),
        9: '<c r="A9"><v>2</v></c>' + result("B9", ""),
        11: result("A11", "a sentence"),
        12: result("A12", ""),
        14: text("A14", "Lines"),
        15: text("A15", "Date") + result("B15", ""),
        16: text("A16", "Price") + result("B16", "12"),
        17: text("A17", "Tax") + result("B17", ""),
        19: text("A19", "Lines of which none shows"),
        20: text("A20", "Joints") + result("B20", ""),
        21: text("A21", "Noted") + result("B21", "") + text("C21", "ask"),
        22: result("A22", "a sentence that heads what follows"),
        23: text("A23", "Lines of which none shows"),
        24: text("A24", "Joints") + result("B24", ""),
    }
    cells = "".join(f'<row r="{row}">{inside}</row>' for row, inside in rows.items())
    assert blank_rows(small_book(tmp_path, cells), "Job") == {2, 3, 4, 5, 9, 12, 15, 17, 20, 23, 24}


def test_a_row_that_says_it_is_not_hidden_is_hidden_once(tmp_path: Path, printer: Printer):
    def row(number: int, before: str, after: str, words: str = "") -> str:
        cells = f'<c r="B{number}" t="str"><f>"{words}"</f><v>{words}</v></c>'
        return f'<row{before} r="{number}"{after}>{cells}</row>'

    cells = (
        row(3, ' hidden="false"', ' ht="12"') + row(4, "", ' hidden="false" ht="12"') + row(5, "", "", "x")
    )
    book = small_book(tmp_path, cells + '<row r="6" hidden="false"/>')
    book.package.save(tmp_path / "job.xlsx")
    print_sheets(tmp_path / "job.xlsx", tmp_path / "papers.pdf", ["Job"], printer)
    given = Workbook(printer.profile / "given.xlsx")
    rows = ET.fromstring(given.package.read(given.sheets["Job"].part)).findall(".//{*}row")
    assert {row.get("r"): row.get("hidden") for row in rows} == {"3": "1", "4": "1", "5": None, "6": "false"}


def test_the_office_is_given_values_alone_so_that_errors_of_our_functions_stay(
    tmp_path: Path, printer: Printer
):
    cells = (
        '<row r="3"><c r="A3" t="e"><f>FACE_WIDTH("1x5")</f><v>#N/A</v></c>'
        '<c r="B3" t="e"><f t="array" ref="B3:C3">READ_LENGTH(Z9)</f><v>#VALUE!</v></c>'
        '<c r="C3" t="e"><v>#VALUE!</v></c></row>'
    )
    book = small_book(tmp_path, cells)
    book.package.save(tmp_path / "job.xlsx")
    print_sheets(tmp_path / "job.xlsx", tmp_path / "papers.pdf", ["Job"], printer)
    given = Workbook(printer.profile / "given.xlsx")
    sheet = given.sheets["Job"]
    assert sheet.formulas == {}
    assert [sheet.value(3, column).value for column in (1, 2, 3)] == ["#N/A", "#VALUE!", "#VALUE!"]


def test_a_note_beside_a_row_that_is_not_in_use_is_printed(demo_file: Path, tmp_path: Path):
    book = Workbook(demo_file)
    costs = book.area("other_costs")
    assert costs is not None
    noted = costs.top + 2
    assert noted in blank_rows(book, "Price")
    book.sheets["Price"].replace(noted, 30, "ask for a price", style=0)
    book.save(tmp_path / "noted.xlsx")
    blank = blank_rows(Workbook(tmp_path / "noted.xlsx"), "Price")
    assert {noted - 1, noted, noted + 1} - blank == {noted}


def test_only_the_sheets_asked_for_print(demo_file: Path, printer: Printer, tmp_path: Path):
    before = demo_file.read_bytes()
    report = print_sheets(demo_file, tmp_path / "papers.pdf", ["Yard", "Site"], printer)
    assert demo_file.read_bytes() == before
    assert report.value("price") == Workbook(demo_file).sheets["Price"].value(*_at(demo_file, "price"))
    assert (tmp_path / "papers.pdf").read_bytes() == b"%PDF of papers.xlsx"
    given = Workbook(printer.profile / "given.xlsx")
    areas = {name.sheet: name.area for name in given.names if name.name == "_xlnm.Print_Area"}
    assert set(areas) == set(given.sheets)
    for title, cells in areas.items():
        assert cells is not None
        assert (cells.size > 1) == (title in ("Yard", "Site"))
    titles = {name.sheet for name in given.names if name.name == "_xlnm.Print_Titles"}
    assert titles <= {"Yard", "Site"}
    yard = given.package.read(given.sheets["Yard"].part)
    hidden = {int(row) for row in re.findall(rb'<row hidden="1"[^>]* r="(\d+)"', yard)}
    there = {row for row, _ in given.sheets["Yard"].places()}
    assert hidden == blank_rows(Workbook(demo_file), "Yard") & there
    assert b"<rowBreaks" not in yard
    site = Workbook(demo_file).sheets["Site"].part
    assert given.package.read(site) == Workbook(demo_file).package.read(site)  # with its page ends


def _at(file: Path, handle: str) -> tuple[int, int]:
    cells = Workbook(file).area(handle)
    assert cells is not None
    return cells.top, cells.left


def test_what_cannot_be_printed(demo_file: Path, printer: Printer, tmp_path: Path):
    with pytest.raises(Problem, match=r"ends in \.pdf"):
        print_sheets(demo_file, tmp_path / "papers.doc", ["Yard"], printer)
    with pytest.raises(Problem, match="has no sheet Yards"):
        print_sheets(demo_file, tmp_path / "papers.pdf", ["Yards"], printer)
    (tmp_path / "papers.pdf").write_bytes(b"")
    with pytest.raises(Problem, match="already exists"):
        print_sheets(demo_file, tmp_path / "papers.pdf", ["Yard"], printer)
    with pytest.raises(Problem, match="cannot be written"):
        print_sheets(demo_file, tmp_path / "no folder" / "papers.pdf", ["Yard"], printer)


def test_a_workbook_without_names_gets_print_areas_too(tmp_path: Path):
    book = small_book(tmp_path, '<row r="1"/>')
    book.print_only([])
    book.package.save(tmp_path / "printed.xlsx")
    assert [str(name.area) for name in Workbook(tmp_path / "printed.xlsx").names] == ["Job!XFD1048576"]


def test_it_prints_in_the_office(demo_file: Path, tmp_path: Path):
    try:
        office = find_office()
    except OfficeProblem as problem:
        pytest.skip(str(problem))
    print_sheets(demo_file, tmp_path / "papers.pdf", ["Yard", "Bid", "Site"], office)
    pages = re.findall(rb"/Type\s*/Page\b(?!s)", (tmp_path / "papers.pdf").read_bytes())
    assert 3 <= len(pages) <= 5


def test_pages_end_where_blocks_end(tmp_path: Path, printer: Printer):
    def block(first: int, rows: int, height: int, gone: int = 0) -> str:
        value = '<c r="B{0}" t="str"><f>{1}</f><v>{1}</v></c>'.format
        return "".join(
            f'<row r="{row}" ht="{height}">{value(row, 7 if row < first + rows - gone else "")}</row>'
            for row in range(first, first + rows)
        )

    # 11 in less margins of 0.6 and 0.75 in is 695 points: 250, 15, 300, 15 and 104 go in, 117 do not
    before, after = '<cols><col min="1" max="2" width="20"/></cols>', '<rowBreaks><brk id="3"/></rowBreaks>'
    area = '<definedName name="_xlnm.Print_Area" localSheetId="0">Job!$A$1:$B$90</definedName>'
    for third, names, ends in ((8, area, []), (9, area, [46]), (10, "", [3])):  # without one they stay
        cells = block(3, 10, 25) + block(14, 32, 10, gone=2) + block(47, third, 13)
        path = tmp_path / f"{third}.xlsx"
        write_parts(path, workbook_parts({"Job": sheet_xml(cells, before, after)}, names=names))
        print_sheets(path, tmp_path / f"{third}.pdf", ["Job"], printer)
        given = Workbook(printer.profile / "given.xlsx")
        sheet = ET.fromstring(given.package.read(given.sheets["Job"].part))
        assert [int(mark.get("id", 0)) for mark in sheet.iter() if mark.tag.endswith("}brk")] == ends
