"""The takeoff alive in a real office, files saved from it, and what Calc does unlike the headless host."""

import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from calc_office import LiveOffice
from jobs import Job

from sheetcalc.cells.values import CellError
from sheetcalc.hosts.headless import Headless
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

NINE = {
    "across_one": "10'",
    "across_two": "10' 1/4\"",
    "along_one": "14' 3-3/8\"",
    "along_two": "171 1/2",
    "board_wanted": "1x6",
    "board_rate": "2.35",
    "labor_rate": "68",
    "hang_rate": "0.085",
    "profit": "22",
}
XLSX, ODS = "Calc MS Excel 2007 XML", "calc8"
CLOSE = 1e-12  # native functions: Calc adds up with a carry, the headless engine without


def differences(live: LiveOffice, job: Job) -> list[str]:
    """Cells of a workbook that differ between the office and the headless host."""
    found: list[str] = []
    for title, sheet in job.book.sheets.items():
        rows = live.cells(title)
        for row, column in sheet.places():
            wanted = job.cell(title, (row, column))
            inside = row <= len(rows) and column <= len(rows[0])
            got = rows[row - 1][column - 1] if inside else ""
            if not alike(got, wanted):
                found.append(f"{title}!{address(row, column)}: Calc {got!r}, headless {wanted!r}")
    return found


ERROR_IN_A_RANGE = ["Err:504"]  # what Calc makes of an answer when a range among its arguments holds an error


def alike(got: Any, wanted: Any) -> bool:
    told = isinstance(wanted, str) and wanted.endswith("must not be an error")  # by ENTRY_PROBLEM
    if got == ERROR_IN_A_RANGE and (told or isinstance(wanted, CellError)):
        return True
    if isinstance(wanted, bool):
        return got == float(wanted)
    if isinstance(wanted, float | int) and isinstance(got, float):
        return got == pytest.approx(wanted, rel=CLOSE, abs=CLOSE)
    return ("" if got is None else got) == ("" if wanted is None else wanted)


def type_in(live: LiveOffice, job: Job, entries: dict[str, str]) -> None:
    """Type the same into both."""
    for handle, text in entries.items():
        for (sheet, at), value in job.handles.entries(handle, text, job.cell).items():
            live.put(sheet, address(*at), value)
    job.type(entries)


@pytest.fixture
def porch(live: LiveOffice, demo_file: Path) -> Iterator[LiveOffice]:
    assert live.open(demo_file.as_uri()), "the office asks to save what nobody changed"
    yield live
    live.close()


@pytest.fixture
def blank_sheet(live: LiveOffice) -> Iterator[LiveOffice]:
    live.open("private:factory/scalc")
    yield live
    live.close()


def answer(live: LiveOffice, formula: str, cells: str = "J1") -> Any:
    live.formula("Sheet1", cells, formula)
    rows = live.cells("Sheet1", cells)
    return rows if ":" in cells else rows[0][0]


# --- The takeoff ---


def test_the_takeoff_is_alive(porch: LiveOffice, job: Job):
    assert differences(porch, job) == []
    before = {handle: job[handle] for handle in ("price", "pole_courses", "boards_total")}
    type_in(porch, job, {"board_wanted": "1x8"})
    assert differences(porch, job) == []
    for handle, was in before.items():
        assert job[handle] != was
    type_in(porch, job, {"across.1.1": "9' 1/2\"", "gap.1": "3/4", "cull_rate.1": "8%"})
    assert differences(porch, job) == []


def test_the_metric_takeoff_is_alive(live: LiveOffice, metric_file: Path, metric: Job):
    live.open(metric_file.as_uri())
    try:
        assert differences(live, metric) == []
        type_in(live, metric, {"board_wanted": "19x160x146 mm"})
        assert metric["face_of.1"] == pytest.approx(146)
        assert differences(live, metric) == []
    finally:
        live.close()


def test_a_ceiling_by_its_corners(porch: LiveOffice, job: Job):
    corners = [(0, 0, ""), ("26' 8\"", 0, ""), (280, "7' 10\"", ""), (0, 94, ""), (120, 40, 1), (150, 60, 1)]
    typed = {"ceiling.4": "Back porch"}
    for row, (along, across, opening) in enumerate(corners, 1):
        typed |= {f"corner_ceiling.{row}": "Back porch", f"corner_along.{row}": str(along)}
        typed |= {f"corner_across.{row}": str(across)} | ({f"corner_opening.{row}": "1"} if opening else {})
    type_in(porch, job, typed)
    assert job["joints.4"] > 0
    assert differences(porch, job) == []


def test_a_new_job_grows_in_the_blank_takeoff(live: LiveOffice, blank: Job, blank_file: Path):
    live.open(blank_file.as_uri())
    try:
        assert differences(live, blank) == []
        type_in(live, blank, NINE)
        assert differences(live, blank) == []
    finally:
        live.close()


@pytest.mark.parametrize(("ending", "format"), [("xlsx", XLSX), ("ods", ODS)])
def test_saved_from_calc_and_opened_again(
    porch: LiveOffice, job: Job, tmp_path: Path, ending: str, format: str
):
    type_in(porch, job, {"board_wanted": "1x8"})
    saved = tmp_path / f"saved.{ending}"
    porch.save(saved.as_uri(), format)
    porch.close()
    porch.open(saved.as_uri())
    assert differences(porch, job) == []
    if ending == "ods":  # Calc's .xlsx may lose how far an array formula reaches that is blank just then
        type_in(porch, job, {"board_wanted": "1x4"})
        assert differences(porch, job) == []


def test_what_calc_saves_is_computed_headless(porch: LiveOffice, job: Job, tmp_path: Path):
    saved = tmp_path / "saved.xlsx"
    porch.save(saved.as_uri(), XLSX)
    again = Job(saved)
    assert again.host.unevaluated == []
    for title, sheet in job.book.sheets.items():
        for at in sheet.places():
            assert alike(again.cell(title, at), job.cell(title, at)), f"{title}!{address(*at)}"


# --- What Calc does otherwise ---


def test_a_blank_cell_alone_is_zero_and_a_range_of_one_is_not_given(blank_sheet: LiveOffice):
    with_zero = answer(blank_sheet, "=COURSE_COUNT(120;5.125;0.5;B7;;0)")
    assert (
        answer(blank_sheet, '=ENTRY_PROBLEM("COURSE_COUNT";120;B7;0.5)') == "face is 0 in, but must be over 0"
    )
    not_given = '=ENTRY_PROBLEM("COURSE_COUNT";120;B7:B7;0.5)'
    assert answer(blank_sheet, not_given) == "face is not given, but is needed"
    assert with_zero == answer(blank_sheet, "=COURSE_COUNT(120;5.125;0.5;0;;0)")
    assert answer(blank_sheet, "=COURSE_COUNT(120;5.125;0.5;B7:B7)") == 24


def test_an_error_given_is_passed_on_without_a_call(blank_sheet: LiveOffice):
    blank_sheet.formula("Sheet1", "B7", "=1/0")
    assert answer(blank_sheet, "=COURSE_COUNT(120;B7;0.5)") is CellError.DIV
    assert answer(blank_sheet, '=ENTRY_PROBLEM("COURSE_COUNT";120;B7;0.5)') is CellError.DIV


def test_an_error_inside_a_range_spoils_all_answers(blank_sheet: LiveOffice):
    blank_sheet.put("Sheet1", "B7", 5.125)
    blank_sheet.formula("Sheet1", "B8", "=1/0")
    answers = answer(blank_sheet, "=COURSE_COUNT(120;B7:B8;0.5)", "J1:J2")
    assert answers == [[["Err:504"]], [["Err:504"]]]


def test_answers_serve_native_functions(blank_sheet: LiveOffice):
    blank_sheet.formula("Sheet1", "A1:C30", "=COURSE_MARKS(120;5.125;0.5;;;;;;30)")
    marks = blank_sheet.cells("Sheet1", "A1:C30")
    widths = [row[1] for row in marks if row[1] != ""]
    assert len(widths) == 24
    assert sum(widths) == 119
    assert answer(blank_sheet, "=SUM(B1:B30)") == 119
    assert answer(blank_sheet, "=VLOOKUP(24;A1:C30;3;0)") == marks[23][2]
    assert answer(blank_sheet, '=IF(COURSE_COUNT(120;5.125;0.5)>20;INCH_FRACTION(1.5);"")') == "1 1/2"
    assert answer(blank_sheet, "=SUM(COURSE_COUNT(120;{5.125;7.25};0.5))") == 24 + 17


def test_texts_are_equal_to_the_same_texts(blank_sheet: LiveOffice):
    blank_sheet.put("Sheet1", "B1", "1 1/2")
    blank_sheet.formula("Sheet1", "A1", "=INCH_FRACTION(1.5)")
    assert answer(blank_sheet, "=A1=B1") == 1
    assert answer(blank_sheet, "=INCH_FRACTION(1.5)=B1") == 1
    assert answer(blank_sheet, "=EXACT(INCH_FRACTION(1.5);B1)") == 1
    assert answer(blank_sheet, '=COUNTIF(A1:B1;"1 1/2")') == 2
    assert answer(blank_sheet, '=IF(ENTRY_PROBLEM("INCH_FRACTION";1)="";"works";"does not")') == "works"


def test_texts_of_an_array_are_equal_once_joined(blank_sheet: LiveOffice):
    blank_sheet.formula("Sheet1", "A1:A2", "=INCH_FRACTION({1.5|2})")
    assert answer(blank_sheet, '=A1="1 1/2"') == 0, "Calc mends it: README.md, DEVELOPERS.md"
    assert answer(blank_sheet, '=A1&""="1 1/2"') == 1
    blank_sheet.formula("Sheet1", "B1:B2", '=INCH_FRACTION({1.5|2})&""')
    assert answer(blank_sheet, '=MATCH("2";B1:B2;0)') == 2


def test_truth_and_names_in_any_case(blank_sheet: LiveOffice):
    assert answer(blank_sheet, "=course_count(120;5.125;0.5)") == 24
    assert answer(blank_sheet, "=INCH_FRACTION(TRUE())") == "1"


# --- The helper ---


@pytest.mark.skipif(os.name == "nt", reason="ps tells of processes on Linux and macOS")
def test_a_dead_helper_is_started_again_and_one_is_enough(blank_sheet: LiveOffice):
    assert answer(blank_sheet, '=COURSE_COUNT("121 5/16";5.125;0.4375)') == 24  # asked nowhere else: not kept
    (first,) = blank_sheet.helpers()
    os.kill(first, signal.SIGKILL)
    assert answer(blank_sheet, '=COURSE_COUNT("160 3/16";5.125;0.4375)') == 32
    (second,) = blank_sheet.helpers()
    assert second != first


def test_many_cells_are_made_alive(live: LiveOffice, tmp_path: Path):
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 2001):
        sheet.cell(row, 1).value = 96 + row / 8
        sheet.cell(row, 2).value = f"=COURSE_COUNT(A{row},5.125,0.5)"
    book.save(tmp_path / "many.xlsx")
    live.open((tmp_path / "many.xlsx").as_uri())
    found = live.cells("Sheet")
    live.close()
    host = Headless(Workbook(tmp_path / "many.xlsx"))
    assert [row[1] for row in found] == [row[0] for row in host.get("Sheet", "B1:B2000")]  # type: ignore[index,union-attr]
