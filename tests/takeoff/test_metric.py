"""The metric edition: nothing of inches in it, and the same answers for the same job."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from jobs import Job

from sheetcalc.workbooks.plain import plain

INCHES = re.compile(
    r"""
    \d\s*["']                                                   # 3" or 4'
  | \d/\d                                                       # 3/8
  | \b(?:ft|feet|foot|inch|inches|gal|gallons?|lbs?|mils?|fl\ oz|bd\ ft)\b
  | ft²|°F
  | \d\s*in\b | ^in$ | \(in\) | \bin,                           # 24 in, the unit of a column
    """,
    re.VERBOSE | re.IGNORECASE,
)
LAW = re.compile(r"[\d,]+ (?:ft²?|lb)(?= \([\d.]+)")  # a rule's own number, the metric one beside it
TEXT_IN_FORMULA = re.compile(r'"((?:[^"]|"")*)"')


def inches_in(text: str) -> bool:
    return INCHES.search(LAW.sub("", text)) is not None


@pytest.mark.parametrize(
    "text",
    ['8"', "14'", "3/8", "16 in", "in", "8 ft", "ft²", "Value (in)", "Width\nin, entry", "per foot", "2 gal"],
)
def test_inches_are_found(text: str):
    assert inches_in(text)


@pytest.mark.parametrize("text", ["over 10 ft (3.0 m)", "in the wall", "1,000 ft² (93 m²)", "rise in 100"])
def test_other_words_are_none(text: str):
    assert not inches_in(text)


def texts(file: Path) -> Iterator[tuple[str, str]]:
    """Every text of the workbook that a person may see, and where."""
    live, stored = openpyxl.load_workbook(file), openpyxl.load_workbook(file, data_only=True)
    for sheet in live:
        if sheet.title == "Functions":  # the reference of functions that answer in both systems
            continue
        for row in sheet.iter_rows():
            for cell in row:
                where = f"{sheet.title}!{cell.coordinate}"
                content: Any = getattr(cell.value, "text", cell.value)
                if cell.data_type == "f":
                    yield from ((where, found) for found in TEXT_IN_FORMULA.findall(content))
                for value in (content, stored[sheet.title][cell.coordinate].value):
                    if isinstance(value, str) and not value.startswith("="):
                        yield where, value
        for rule in sheet.data_validations.dataValidation:
            for words in (rule.promptTitle, rule.prompt, rule.error, rule.formula1):
                if words:
                    yield f"{sheet.title}: entry {rule.sqref}", words


def test_no_text_speaks_of_inches(metric_file: Path):
    found = [(where, text) for where, text in texts(metric_file)]
    assert len(found) > 2000
    assert [pair for pair in found if inches_in(pair[1])] == []


def test_no_number_is_shown_as_a_fraction(metric_file: Path):
    book = openpyxl.load_workbook(metric_file)
    formats = {cell.number_format for sheet in book for row in sheet.iter_rows() for cell in row}
    assert [code for code in formats if "/" in code] == []


def test_no_number_is_a_converted_one(metric_file: Path):
    """No half inch, foot or two feet among what is typed, assumed or computed."""
    found: dict[str, float] = {}
    for sheet in openpyxl.load_workbook(metric_file, data_only=True):
        for row in sheet.iter_rows():
            for cell in row:
                value = cell.value
                if not isinstance(value, float | int) or cell.style == "Table item":  # a row's number
                    continue
                if value and abs(value / 12.7 - round(value / 12.7)) < 1e-9:
                    found[f"{sheet.title}!{cell.coordinate}"] = value
    assert found == {}


def test_every_call_of_ours_is_metric(metric_file: Path):
    from sheetcalc.cells.registry import REGISTRY

    for sheet in openpyxl.load_workbook(metric_file):
        for row in sheet.iter_rows():
            for cell in row:
                text: Any = getattr(cell.value, "text", cell.value)
                if cell.data_type != "f" or sheet.title == "Functions":
                    continue
                bare = TEXT_IN_FORMULA.sub(lambda m: m[0] if m[1] == "metric" else '""', text)
                called = [name for name in re.findall(r"([A-Z][A-Z_0-9]*)\(", bare) if name in REGISTRY]
                unitless = [
                    name for name in called if not (REGISTRY[name].has_units or REGISTRY[name].takes_rest)
                ]
                assert bare.count('"metric"') == len(called) - len(unitless), (
                    sheet.title,
                    cell.coordinate,
                    text,
                )
                assert not {"FEET_INCHES", "INCH_FRACTION"} & set(called)


def test_it_holds_no_error_and_every_check_is_ok(metric: Job):
    assert metric.errors() == []
    assert metric.host.bugs == []
    assert metric.host.unevaluated == []
    assert metric["state"] == "ok: ready to hand out"


NINE = {
    "across_one": "3050",
    "across_two": "3.055 m",
    "along_one": "4200",
    "along_two": "4200",
    "board_wanted": "19x135x121 mm",
    "board_rate": "7",
    "labor_rate": "60",
    "hang_rate": "0.9",
    "profit": "20%",
}


def test_nine_entries_give_a_price(blank_metric: Job):
    blank_metric.type(NINE)
    assert blank_metric["missing"] == blank_metric["stops"] == 0
    assert blank_metric["price"] > 0
    assert blank_metric["across_used.1"][:2] == [3050, 3055]
    assert blank_metric["face_of.1"] == pytest.approx(121)
    assert blank_metric["courses.1"] == 25
    assert blank_metric["boards_words"] == "25 of 4.2 m (0 spare)"
    assert blank_metric["plan_cost.1"] == pytest.approx(25 * 4.2 * 7)


@pytest.mark.parametrize("size", ["19x135", "19x121x135 mm", "135", "spruce"])
def test_a_size_that_says_too_little_stops_the_price(blank_metric: Job, size: str):
    blank_metric.type({**NINE, "board_wanted": size})
    assert blank_metric["stops"] > 0
    assert blank_metric["price"].value == "#N/A"


def test_a_fraction_without_its_unit_is_refused(metric: Job):
    """It is in inches for sure, but the workbook is in millimetres."""
    metric.type({"across.1.1": "97 1/4"})
    assert metric["stops"] > 0
    metric.type({"across.1.1": "97 1/4 in"})
    assert metric["stops"] == 0
    assert metric["across_used.1"][0] == pytest.approx(2470.15)


def test_a_run_of_ten_beats_the_size(metric: Job):
    assert metric["face"][:2] == pytest.approx([121.2, 96])
    assert metric["overall_used"] == pytest.approx([135, 110, 160])
    assert metric["thickness_used"] == pytest.approx([19, 19, 19])


def test_a_price_per_metre(metric: Job):
    assert metric["stock_cost.1"] == pytest.approx([2.4 * 6.6, 2.4 * 5.4, 19.4])


def test_the_bid_speaks_of_square_metres(metric: Job):
    said = [line for line in metric["bid_said"] if line]
    board = "tongue-and-groove boards, 19 x 135 mm showing 121 mm, clear spruce, primed"
    assert f"Verandah: {metric['area.3']:.1f} m² of {board}" in said


def test_the_plain_edition_shows_the_same(metric_file: Path, tmp_path: Path):
    made = plain(metric_file, tmp_path / "plain.xlsx")
    assert list(made.differs) == []
    assert made.report.unevaluated == []
