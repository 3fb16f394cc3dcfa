"""A wrong entry is named first: its name, what is typed there, the rule; what follows from it is counted."""

from pathlib import Path

import pytest
from jobs import Job
from openpyxl import Workbook as Writer
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.summary import Points, points

LENGTH = "must be a length such as 14'-3 3/8\", 171 3/8 or 4.35 m"


def told(job: Job) -> Points:
    return points(Report(Path("porch.xlsx"), job.handles, job.host))


@pytest.mark.parametrize(
    ("typed", "first", "follow"),
    [
        ({"gap": "half"}, f"gap is “half”, but {LENGTH} (Measure!E65 and 2 more: Gap)", 5),
        ({"gap.2": "-1"}, "gap.2 is -1 in, but must be 0 or more (Measure!E66: Gap)", 5),
        ({"across.1": "8'9;wide"}, f"across.1.2 is “wide”, but {LENGTH} (Measure!C35: Across)", 6),
        ({"gap_usual": "half"}, f"gap_usual is “half”, but {LENGTH} (Measure!B15: Gap at the walls)", 1),
        (
            {"profit": "abc"},
            "profit is “abc”: type a share such as 12 %, which is 0.12; not over 10 (Start!B14: Profit)",
            2,
        ),
        (
            {"labor_rate": "-4"},
            "labor_rate is -4.00: type a number (per h), 0 or more (Start!B12: Loaded rate)",
            1,
        ),
        (
            {"layout.2": "D"},
            "layout.2 is “D”: choose from auto, full, balanced (Measure!J66: Layout)",
            6,
        ),
        (
            {"task_rate.trim": "ask"},
            "task_rate.trim is “ask”: type a number (Hours!D16: Cover trim and sealant: Hours per unit)",
            3,
        ),
    ],
)
def test_the_entry_is_told_before_what_follows_from_it(
    job: Job, typed: dict[str, str], first: str, follow: int
):
    job.type(typed)
    fails = "1 check fails" if follow == 1 else f"{follow} checks fail"
    assert told(job).stops == [f"stop: {first}", f"stop: {fails} with it"]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ({"dry_humidity": "130"}, "dry_humidity is 130.0: type a number of percent, 0 to 100: 18 means 18 %"),
        ({"after_course": "2.5"}, "after_course is 2.5: type a whole number, 0 or more"),
        ({"return_credit.1.1": "1100%"}, "return_credit.1.1 is 1100.0%: type a share such as 12 %"),
    ],
)
def test_an_entry_with_which_no_check_fails_stops_nothing(job: Job, typed: dict[str, str], first: str):
    job.type(typed)
    assert isinstance(job["price"], float)
    assert told(job).stops == []
    assert told(job).looks[-1].startswith(f"look: {first}")


def test_a_number_is_told_as_its_cell_shows_it_where_that_is_the_number(job: Job):
    job.type({"profit": "1200.04%", "labor_rate": "-4.5"})
    assert [stop.partition(":")[2].partition(":")[0] for stop in told(job).stops[:2]] == [
        " labor_rate is -4.50",
        " profit is 12.0004",
    ]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ({"fixture_ceiling.1": "Nowhere"}, "fixture_ceiling.1 is “Nowhere”: there is none of that name"),
        (
            {"gap.1": "60"},
            "across.1.1 is 104.25 in, but must be over the two gaps together (Measure!B35: Across)",
        ),
        (
            {"corner_along.1": "0", "corner_across.1": "0", "corner_along.2": "99", "corner_across.2": "80"}
            | {"corner_across.2": ""},
            "corner_across.2 is not given, but is needed beside what is filled (Shapes!C12: Across)",
        ),
    ],
)
def test_the_entry_is_found_where_no_sentence_names_it(job: Job, typed: dict[str, str], first: str):
    job.type(typed)
    one, follow = told(job).stops
    assert one.startswith(f"stop: {first}")
    assert follow.endswith(" with it")


def test_a_list_on_a_sheet_that_is_gone_is_no_rule_and_a_long_one_is_read_once(tmp_path: Path):
    book = Writer()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 4):
        sheet.cell(row, 1, "fir")
    sheet["Z9"] = "pine"
    for words_at, cells in (("Old!$A$1:$A$9", "A1"), ("$Z$1:$Z$1048576", "A2:A3")):
        rule = DataValidation(type="list", formula1=words_at, showErrorMessage=True)
        rule.add(cells)
        sheet.add_data_validation(rule)
    for row, name in enumerate(("one", "two"), 1):
        book.defined_names[name] = DefinedName(name, attr_text=f"Sheet!$A${row}")
    book.save(tmp_path / "own.xlsx")
    report = compute(tmp_path / "own.xlsx")
    assert points(report).looks == ["look: two is “fir”: choose from pine (Sheet!A2)"]


def test_of_a_call_with_several_readings_the_sentence_is_told(job: Job):
    job.type({"across.1": "104;104;120"})
    first, second = told(job).stops
    assert first.startswith("stop: across is 12 by 3 cells, but must not vary by more than one face: ")
    assert second == "stop: 5 checks fail with it"


def test_several_wrong_entries_are_told_together(job: Job):
    job.type({"gap": "half", "profit": "abc"})
    assert [stop.partition(" is ")[0] for stop in told(job).stops[:2]] == ["stop: profit", "stop: gap"]
    assert told(job).stops[2] == "stop: 6 checks fail with them"


def test_what_does_not_follow_from_it_is_told_by_itself(job: Job):
    job.type({"gap": "half", "payment_share.1": "50"})
    assert told(job).stops[1:] == [
        "stop: 5 checks fail with it",
        "stop: not so: Payments add up to the price (Price)",
    ]


def test_without_a_wrong_entry_every_check_is_told(job: Job):
    job.type({"payment_share.1": "50", "stock_here.1": "10'"})
    assert told(job).stops == [
        "stop: not so: Every stock length stands once (Boards)",
        "stop: not so: Payments add up to the price (Price)",
    ]


def test_looks_that_say_nothing_meanwhile_are_counted(job: Job):
    job.type({"gap": "half"})
    assert told(job).looks[-1] == "look: 6 points cannot be told until that is mended"


def test_the_demo_breaks_no_rule_of_its_own(job: Job):
    assert told(job).stops == []
