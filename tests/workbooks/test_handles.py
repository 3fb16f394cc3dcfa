from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from small_files import small_book

from sheetcalc.workbooks.handles import HandleProblem, Handles, typed
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import NumberFormat, Workbook

NAMES = {
    "gap": "Job!$B$2:$B$4",
    "across": "Job!$C$2:$D$4",
    "courses": "Job!$E$2:$E$4",
    "ceilings_filled": "Job!$F$2:$F$4",
    "rate": "Job!$B$8",
    "readings": "Job!$B$9:$D$9",
    "spare": "Job!$H$6:$H$8",
    "job.1": "Job!$B$10",
    "half": "0.5",
    "elsewhere": "Gone!$A$1",
    "everything": "Job!$A$1:$XFD$1048576",
}


def cell(address: str, value: float | str | None = None, formula: str = "") -> str:
    inside = f"<f>{formula}</f>" if formula else ""
    inside += "" if value is None else f"<v>{value}</v>"
    return f'<c r="{address}">{inside}</c>'


@pytest.fixture
def book(tmp_path: Path) -> Workbook:
    rows = "".join(
        f'<row r="{row}">{cell(f"E{row}", 1, "1")}{cell(f"F{row}", used, "B1")}</row>'
        for row, used in ((2, 1), (3, 0), (4, 1))
    )
    rows += f'<row r="7">{cell("H7", 3)}</row>'
    names = "".join(f'<definedName name="{name}">{cells}</definedName>' for name, cells in NAMES.items())
    return small_book(tmp_path, rows, names=names)


def entries(book: Workbook, handle: str, text: str) -> dict[Place, Any]:
    found = Handles(book).entries(handle, text, lambda sheet, at: book.sheets[sheet].value(*at))
    assert {sheet for sheet, _ in found} == {"Job"}
    return {at: value for (_, at), value in found.items()}


def test_a_handle_is_a_cell(book: Workbook):
    assert entries(book, "rate", "55") == {(8, 2): 55}
    assert entries(book, " Rate ", "") == {(8, 2): None}
    assert entries(book, "rate.1", "55") == {(8, 2): 55}
    assert entries(book, "job.1", "55") == {(10, 2): 55}


def test_a_column_is_its_rows_in_use(book: Workbook):
    assert entries(book, "gap", "1") == {(2, 2): 1, (4, 2): 1}
    assert entries(book, "gap.2", "1") == {(3, 2): 1}


def test_a_column_without_marks_is_in_use_where_it_holds_something(book: Workbook):
    assert entries(book, "spare", "1") == {(7, 8): 1}


def test_several_cells_in_a_row(book: Workbook):
    assert entries(book, "across", "1;2") == {(2, 3): 1, (2, 4): 2, (4, 3): 1, (4, 4): 2}
    assert entries(book, "across.3", "1") == {(4, 3): 1, (4, 4): None}
    assert entries(book, "across.3.2", "1;2") == {(4, 4): "1;2"}
    assert entries(book, "readings", "120; 121") == {(9, 2): 120, (9, 3): 121, (9, 4): None}


def test_no_row_in_use(book: Workbook):
    book.sheets["Job"].put(7, 8, None)
    with pytest.raises(HandleProblem) as caught:
        entries(book, "spare", "1")
    assert str(caught.value) == "No row of spare is in use yet: name one, such as spare.1."


@pytest.mark.parametrize(
    ("handle", "text", "sentence"),
    [
        ("gpa", "1", "There is no handle “gpa” in job.xlsx. Close to it: gap. sheetcalc names lists them."),
        ("zzz.1", "1", "There is no handle “zzz.1” in job.xlsx. sheetcalc names lists them."),
        ("half", "1", "There is no handle “half” in job.xlsx. sheetcalc names lists them."),
        ("elsewhere", "1", "There is no handle “elsewhere” in job.xlsx. sheetcalc names lists them."),
        ("gap.0", "1", "gap has no row 0: it has 3 rows."),
        ("gap.4", "1", "gap has no row 4: it has 3 rows."),
        ("rate.2", "1", "rate has no row 2: it has 1 row."),
        ("across.1.3", "1", "across has no cell 3 in a row: it has 2 cells."),
        ("readings", "1;2;3;4", "readings is given 4 values: it has 3 cells."),
        ("courses", "1", "courses is a result, not an entry: see Job!E2."),
        ("courses.3", "1", "courses is a result, not an entry: see Job!E4."),
        ("rate", "x" * 32_768, "rate is longer than 32767 characters."),
    ],
)
def test_what_cannot_be_typed(book: Workbook, handle: str, text: str, sentence: str):
    with pytest.raises(HandleProblem) as caught:
        entries(book, handle, text)
    assert str(caught.value) in (sentence, sentence.replace("courses is", "courses.3 is"))


def test_areas_of_handles(book: Workbook):
    handles = Handles(book)
    assert handles.area("ACROSS") == Area("Job", 2, 3, 4, 4)
    assert handles.area("across.2") == Area("Job", 3, 3, 3, 4)
    assert handles.area("across.2.1") == Area("Job", 3, 3, 3, 3)
    assert list(handles) == [name for name in NAMES if name not in ("half", "elsewhere", "everything")]


GENERAL, PERCENT, DATE, FRACTION, WORDS = map(NumberFormat, ("General", "0.0%", "yyyy-mm-dd", "# ??/16", "@"))


@pytest.mark.parametrize(
    ("text", "looks", "value"),
    [
        ("12", GENERAL, 12),
        (" -1.5 ", GENERAL, -1.5),
        (".5", GENERAL, 0.5),
        ("1.", GENERAL, 1),
        ("1e3", GENERAL, 1000),
        ("1,234.5", GENERAL, 1234.5),
        ("1,23", GENERAL, "1,23"),
        ("$12.50", GENERAL, 12.5),
        ("1_000", GENERAL, "1_000"),
        ("nan", GENERAL, "nan"),
        ("1e999", GENERAL, "1e999"),
        ("true", GENERAL, True),
        ("FALSE", PERCENT, False),
        ("10%", GENERAL, 0.1),
        ("=1+1", GENERAL, "=1+1"),
        ("'12", GENERAL, "12"),
        ("clear cedar ", GENERAL, "clear cedar "),
        ("1/2", GENERAL, "1/2"),
        ("2026-01-02", GENERAL, "2026-01-02"),
        ("", GENERAL, None),
        ("  ", WORDS, None),
        ("12", WORDS, "12"),
        ("TRUE", WORDS, "TRUE"),
        ("10", PERCENT, 0.1),
        ("10%", PERCENT, 0.1),
        ("8.1", PERCENT, 0.081),
        ("0.5 %", PERCENT, 0.005),
        ("0", PERCENT, 0),
        ("1", PERCENT, 0.01),
        ("-5", PERCENT, -0.05),
        ("some", PERCENT, "some"),
        ("2026-01-02", DATE, 46024),
        ("2026-01-02 12:00", DATE, 46024.5),
        ("46024", DATE, 46024),
        ("1/13/2026", DATE, 46035),
        ("on delivery", DATE, "on delivery"),
        ("1/13/2026", GENERAL, "1/13/2026"),
        ("1/2", FRACTION, 0.5),
        ("5 1/8", FRACTION, 5.125),
        ("5-1/8", FRACTION, 5.125),
        ("½", FRACTION, 0.5),
        ("5 1/8 in", FRACTION, "5 1/8 in"),
        ("14' 3-3/8\"", FRACTION, "14' 3-3/8\""),
        ("4.35 m", FRACTION, "4.35 m"),
        ("171.375", FRACTION, 171.375),
        ("half", FRACTION, "half"),
    ],
)
def test_what_a_cell_holds_once_it_is_typed(text: str, looks: NumberFormat, value: Any):
    found = typed(text, looks)
    assert found == value
    assert type(found) is type(value) or type(value) is int


def test_dates_from_1904():
    assert typed("2026-01-02", DATE, date_1904=True) == 44562


@pytest.mark.parametrize(("text", "hint"), [("0.1", "10% or 0.1%"), ("-.5", "-50% or -.5%")])
def test_a_share_under_one_is_not_guessed(text: str, hint: str):
    """Microsoft knowledge base, Q138821: .32 typed into a percent cell is 32 %, 0.32 is 0.32 %."""
    with pytest.raises(ValueError, match=f"^is a percentage: write {hint}$"):
        typed(text, PERCENT)


@given(text=st.text(max_size=20), looks=st.sampled_from([GENERAL, FRACTION, WORDS]))
def test_any_text_can_be_typed(text: str, looks: NumberFormat):
    found = typed(text, looks)
    assert found is None or isinstance(found, (str, float, bool))


_NO_DATE = (
    "can be read as ",
    "needs its year",
    "is no day of",
    "is before the first day",
    "is a number, not",
)


@given(text=st.text(max_size=20) | st.from_regex(r"\d{1,4}([-/.])\d{1,2}(\1\d{1,4})?", fullmatch=True))
@example("0/0")
def test_a_cell_of_dates_takes_a_day_of_a_job_or_words_or_says_why_not(text: str):
    refused, found = "", None
    try:
        found = typed(text, DATE)
    except ValueError as problem:
        refused = str(problem)
    assert not refused or refused.startswith(_NO_DATE)
    assert found is None or isinstance(found, (str, bool)) or found >= 0


@pytest.mark.parametrize("text", ["14.3", "0", "5", "1e999", "2027", "80001", "50%", "-46024"])
def test_a_number_that_counts_the_days_to_no_job_is_no_date(text: str):
    problem = "needs its year in full" if text == "14.3" else "is a number, not a date: write a date as"
    with pytest.raises(ValueError, match=f"^{problem}"):
        typed(text, DATE)


def test_numbers_that_are_days_and_times_of_day():
    assert typed("20270314", DATE) == typed("2027-03-14", DATE) == typed("46460", DATE) == 46460
    assert typed("0.5", NumberFormat("h:mm")) == 0.5
    with pytest.raises(ValueError, match="is before the first day that a cell can hold"):
        typed("1800-01-01", DATE)


@given(value=st.floats(-1e12, 1e12).map(lambda value: round(value, 6)))
def test_numbers_are_taken_as_written(value: float):
    assert typed(f"{value:f}", GENERAL) == pytest.approx(value, abs=5e-7)
