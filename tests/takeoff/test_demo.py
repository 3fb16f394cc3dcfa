"""The demo job, computed: its figures against direct calls and against a reckoning by hand."""

import math
import re
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from jobs import Job

import sheetcalc
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.takeoff.demos import DEMOS
from sheetcalc.workbooks.build import build
from sheetcalc.workbooks.compute import compute

FACE = 51.25 / 10  # as the run of ten measures
PORCHES = {  # as the demo job reads them, in inches
    "Front porch": ([104.25, 104.5, 104.75], [183.5, 183.5, 183.625], (222, 222.125)),
    "Side porch": ([87, 87.125, 87.125], [140, 140, 140.125], (164.5, 164.5)),
    "Garden porch": ([94, 94, 94.125], [320.5, 320.5, 320.625], (334, 334.125)),
}
STOCK = (96, 120, 144, 168, 192)
PRICES = (16.9, 21.4, 26.2, 32.5, 39.9)  # of the first choice
PARAMETERS = [
    pytest.param(row, *readings, id=name) for row, (name, readings) in enumerate(PORCHES.items(), 1)
]
BLOCK = {"face": FACE, "gap": 0.5, "finish_gap": 0.5, "layout": "auto", "take_up": 0.25, "taper": "last"}


def test_it_holds_no_error_and_every_formula_is_computed(either: Job):
    assert either.errors() == []
    assert either.host.bugs == []
    assert either.host.unevaluated == []


def test_what_is_stored_is_what_is_computed(job: Job, demo_file: Path):
    stored = openpyxl.load_workbook(demo_file, data_only=True)
    for handle in ("price", "courses.1", "boards_total", "state", "pole_mark.1", "layout_note.1"):
        cells = job.area(handle)
        value = stored[cells.sheet].cell(cells.top, cells.left).value
        assert value == job[handle], handle
    assert stored["Start"]["A3"].value == job["state"]


def flat(value: object) -> list[object]:
    pieces = value.values() if isinstance(value, dict) else value
    if isinstance(value, (list, dict)):
        return [one for piece in pieces for one in flat(piece)]  # type: ignore[attr-defined]
    return [] if value is None else [value]


@pytest.mark.parametrize(
    ("system", "handle"), [(system, handle) for system, values in DEMOS.items() for handle in values]
)
def test_every_value_of_the_job_stands_in_its_entry(system: str, handle: str, request: Any):
    job: Job = request.getfixturevalue({"us": "job", "metric": "metric"}[system])
    cells = job.area(handle)
    sheet = job.book.sheets[cells.sheet]
    held = [sheet.value(*at) for row in cells.rows() for at in row if not sheet.computed(*at)]
    given = [
        float((value - date(1899, 12, 30)).days) if isinstance(value, date) else value
        for value in flat(DEMOS[system][handle])
    ]
    assert [value for value in held if value is not None] == given


# --- Layout ---


def test_readings_are_used_as_the_tape_reads_them(job: Job):
    for row, (name, (across, along, diagonals)) in enumerate(PORCHES.items(), 1):
        assert job[f"name_used.{row}"] == name
        assert job[f"across_used.{row}"] == pytest.approx(across)
        assert job[f"along_used.{row}"] == pytest.approx(along)
        typed = [job[f"diagonal_one.{row}"], job[f"diagonal_two.{row}"]]
        assert [sheetcalc.read_length(text) for text in typed] == pytest.approx(list(diagonals))
    assert job.used("face_of") == pytest.approx([FACE] * 3)


@pytest.mark.parametrize(("row", "across", "along", "diagonals"), PARAMETERS)
def test_layout_is_what_the_functions_answer(job: Job, row: int, across, along, diagonals):
    edges = [sheetcalc.rip_width(edge=edge, across=across, **BLOCK) for edge in ("first", "last")]
    ends = sheetcalc.course_ends(across=across, **BLOCK)
    exact = sheetcalc.cut_length(along=along, gap=0.5)
    cut = math.floor(exact * 16) / 16  # what the stop block is set to
    assert job[f"courses.{row}"] == sheetcalc.course_count(across=across, **BLOCK)
    assert [job[f"first.{row}"], job[f"last.{row}"]] == pytest.approx(edges)
    assert job[f"cut_exact.{row}"] == pytest.approx(exact)
    assert job[f"cut.{row}"] == cut
    assert job[f"layout_note.{row}"] == sheetcalc.course_note(across=across, **BLOCK)
    assert job[f"here_first.{row}"] == pytest.approx([end[0] for end in ends])
    assert job[f"here_last.{row}"] == pytest.approx([end[1] for end in ends])
    assert job[f"here_gap.{row}"] == pytest.approx([end[2] for end in ends])
    assert job[f"edge_last.{row}"] == [sheetcalc.inch_fraction(end[1]) for end in ends]
    assert job[f"parallel.{row}"] == pytest.approx(max(across) - min(across))
    one, two = diagonals
    assert job[f"square.{row}"] == pytest.approx((one**2 - two**2) / (4 * sum(along) / len(along)))
    assert job[f"smallest.{row}"] == sheetcalc.inch_fraction(min(along) - cut - 0.5)
    assert job[f"widest.{row}"] == sheetcalc.inch_fraction(max(along) - cut - 0.5)
    assert job[f"layout_cut.{row}"] == sheetcalc.feet_inches(cut)


@pytest.mark.parametrize(("row", "across", "along", "diagonals"), PARAMETERS)
def test_gaps_and_courses_fill_every_reading(job: Job, row: int, across, along, diagonals):
    courses = job[f"courses.{row}"]
    for reading, first, last, gap in zip(
        across, job[f"here_first.{row}"], job[f"here_last.{row}"], job[f"here_gap.{row}"], strict=True
    ):
        assert 0.5 + first + (courses - 2) * FACE + last + gap == pytest.approx(reading)


def words_on(job: Job, sheet: str) -> list[str]:
    """Texts in the first column of a sheet."""
    found = (job.cell(sheet, at) for at in job.book.sheets[sheet].places() if at[1] == 1)
    return [text for text in found if isinstance(text, str)]


def test_fence_settings_leave_the_tongue_on_the_first_board(job: Job):
    tongue = job["overall_of.1"] - FACE
    assert tongue > 0
    # the side porch starts with a full board
    assert job.used("first_edge") == ["groove edge", "nothing", "groove edge"]
    fences = [sheetcalc.inch_fraction(job[f"first.{row}"] + tongue) for row in (1, 3)]
    assert job.used("first_fence") == fences
    tapers = [job[f"here_last.{row}"] for row in (1, 2, 3)]
    words = [f"taper {' / '.join(map(sheetcalc.inch_fraction, widths))}" for widths in tapers]
    assert job.used("last_edge") == ["tongue edge"] * 3
    assert job.used("last_fence") == words  # the last course takes the taper, so one setting will not do
    job.type({"across.1": "95;;97.5", "taper.1": "split"})
    assert (job["first_fence.1"], job["last_fence.1"]) == ("taper 3 7/8 / 5 1/8", "taper 3 / 4 1/4")


def test_where_boards_are_cut_in_batches_layout_saw_and_stop_say_one_length(job: Job):
    said = "longest: the walls at the board ends run apart"
    assert not any(text.startswith(said) for sheet in ("Layout", "Saw") for text in words_on(job, sheet))
    job.type({"along.1": "183.5;183.5;184 1/2"})
    assert job["layout_cut.1"] == "longest 15'-3 1/2\""
    assert job["sawing_cut.1"] == "longest 183 1/2"
    stops = dict(zip(job["setting_for"], job["setting_at_stop"], strict=True))
    assert stops["Front porch"] == "183 1/2"
    assert all(any(text.startswith(said) for text in words_on(job, sheet)) for sheet in ("Layout", "Saw"))


def test_story_pole_of_the_first_ceiling(job: Job):
    across = PORCHES["Front porch"][0]
    marks = sheetcalc.course_marks(across=across, **BLOCK)
    assert job["pole_name"] == "Garden porch"  # the first with end joints
    job.type({"pole_ceiling": "Front porch"})
    assert job["pole_name"] == "Front porch"
    assert job.used("mark_course") == [mark[0] for mark in marks]
    assert job.used("pole_mark") == pytest.approx([mark[2] for mark in marks])
    assert job.used("mark_read") == [sheetcalc.feet_inches(mark[2]) for mark in marks]
    job.type({"pole_ceiling": "Side porch"})
    assert job["start_courses"] == job["courses.2"] == len(job.used("mark_course"))


@pytest.mark.parametrize("row", range(1, 8))
def test_fixtures_cut_the_courses_that_the_function_names(job: Job, row: int):
    ceiling = str(DEMO["fixture_ceiling"][row - 1])  # type: ignore[index]
    position, size = (
        sheetcalc.read_length(job[f"{handle}.{row}"]) for handle in ("position_across", "width")
    )
    assert job[f"courses_cut.{row}"] == sheetcalc.courses_crossed(
        position=position, size=size, across=PORCHES[ceiling][0], **BLOCK
    )


# --- Order, hours, price ---


def test_the_price_by_hand(job: Job):
    bought = dict(zip(job.used("spare_stock"), job.used("spare_boards"), strict=True))
    lumber = sum(dict(zip(STOCK, PRICES, strict=True))[stock] * count for stock, count in bought.items())
    courses, joints = (21, 17, 19), job["joints.3"]
    assert joints >= 19  # each course of the garden porch is longer than any board

    means = [(sum(across) / 3, sum(along) / 3) for across, along, _ in PORCHES.values()]
    area = sum(across * along for across, along in means) / 144
    around = sum(2 * (across + along) for across, along in means)
    trim = around / 0.9 / 12
    bearings = [math.ceil(max(along) / 16) + 1 for _, along, _ in PORCHES.values()]
    nails = sum(lines * (count + 3) for lines, count in zip(bearings, courses, strict=True)) + 2 * joints
    holes = 3 * sum(bearings)
    tubes = math.ceil(around * 0.25**2 / (10.1 * 231 / 128))
    material = (
        lumber
        + 44  # one gallon of primer
        + math.ceil(nails / 1000) * 19.5
        + math.ceil(holes / 500) * 12
        + math.ceil(trim / 8) * 11.4
        + tubes * 7.8
        + 45
        + 85
    )
    assert job["nails_total"] == nails
    assert job["material"] == pytest.approx(material)

    hours = 2 + 0.02 * sum(bought.values()) + 0.06 * sum(courses) + 0.1 * joints + 0.085 * area
    hours += 0.35 * 7 + 0.05 * around / 12 + 0.006 * holes + 1.5
    assert job["hours_total"] == pytest.approx(hours)
    days = math.ceil(math.ceil(hours / 2 / 8 * 2) / 2)
    scaffold = min(190 * (days // 7) + 55 * (days % 7), 190 * math.ceil(days / 7))
    assert job["scaffold"] == scaffold

    cost = (material + hours * 68 + scaffold + 60) * (1 + 0.1 + 0.05)
    assert job["cost"] == pytest.approx(cost)
    assert job["price"] == math.ceil(cost * 1.25 / 5) * 5
    assert job["margin"] == pytest.approx(1 - cost / job["price"])
    assert job["price_per_area"] == pytest.approx(job["price"] / area)


def test_primer_by_hand(job: Job):
    thick, wide = 0.75, 5.375  # 1x6, tongue included
    ends = 2 * (21 + 17 + 19 + job["joints.3"]) * thick * wide * 2  # two coats
    # both edge courses, of the side porch the last alone
    rips = thick * (2 * job["cut.1"] + job["cut.2"] + 2 * job["cut.3"])
    fixtures = thick * (math.pi * (5 * 6.375 + 4) + 2 * (4.25 + 12.25))
    assert job["primer_exact"] == pytest.approx((ends + rips + fixtures) / 144 / 400 / (1 - 0.1))


def test_every_line_buys_at_least_what_is_needed(job: Job):
    holds = [1 if held in (None, "") else held for held in job["order_holds"]]
    boards, *others = zip(job["order_exact"], holds, job["order_buy"], strict=True)
    assert boards == (job["boards_needed"], 1, job["boards_total"])
    assert job["boards_total"] > job["boards_needed"] > 21 + 17 + 19
    assert len(others) == 11
    for exact, held, bought in others:
        assert bought == int(bought)
        assert bought * held >= exact - 1e-9
        assert bought == 0 or (bought - 1) * held < exact
    bought = zip(job.used("spare_boards"), job.used("spare_needed"), strict=True)
    assert all(count >= needed for count, needed in bought)


def test_payments_add_up_to_the_price(job: Job):
    for step in ("5", "0.07"):
        job.type({"price_step": step, "payment_share.1": "33.3", "payment_share.2": "36.7"})
        payments = job["payment_amount"]
        assert sum(round(100 * payment) for payment in payments) == round(100 * job["price"])
        assert all(round(100 * payment) == pytest.approx(100 * payment) for payment in payments)


def test_tax_stands_on_what_it_falls_on(job: Job):
    before = job["price"]
    job.type({"tax_on": "price", "tax_rate": "8.25"})
    assert job["price"] == pytest.approx(before + round(before * 0.0825, 2))
    job.type({"tax_on": "material"})
    assert job["tax"] == pytest.approx(round(job["material"] * 0.0825, 2))
    assert job["bid_tax"] == job["tax"] > 0
    assert job["price_counts"] == "boards, goods, work, scaffold, costs, overhead, profit, tax"


def test_another_board_changes_everything_that_depends_on_it(job: Job):
    handles = ("courses.1", "first.1", "last.1", "boards_total", "material", "labor", "price", "nails_total")
    before = {handle: job[handle] for handle in handles}
    job.type({"board_wanted": "1x8"})
    assert [handle for handle in handles if job[handle] == before[handle]] == []
    face = sheetcalc.face_width("1x8")
    assert job.used("face_of") == [face] * 3
    across = PORCHES["Front porch"][0]
    assert job["courses.1"] == sheetcalc.course_count(across=across, **{**BLOCK, "face": face})
    assert set(job.used("yard_price")) <= {21.6, 27.4, 33.2, 39.9, 46.4}  # choice B, as typed


def test_a_ceiling_can_have_its_own_board(job: Job):
    job.type({"board.2": "C"})
    assert job.used("face_of") == [FACE, sheetcalc.face_width("1x4"), FACE]
    assert job["courses.1"] == 21
    assert job.used("yard_price")[-1] == 20.2  # choice C, 12 ft, as typed
    assert "pcs 1x4 clear fir, primed, 12'-0\"" in job.used("yard_words")[-1]


# --- The file ---


def test_it_is_us_throughout(demo_file: Path):
    book = openpyxl.load_workbook(demo_file)
    calls = [cell.value for sheet in book for row in sheet.iter_rows() for cell in row]
    texts = [getattr(value, "text", value) for value in calls]
    assert [
        text for text in texts if isinstance(text, str) and text.startswith("=") and "metric" in text
    ] == []


@pytest.mark.parametrize("system", DEMOS)
def test_built_twice_it_is_the_same(system: str):
    built = [build(sheets(system), DEMOS[system], system) for _ in range(2)]
    assert built[0] == built[1]


@pytest.mark.parametrize("edition", ["demo_file", "metric_file"])
def test_computed_again_it_is_the_same(edition: str, tmp_path: Path, request: Any):
    made: Path = request.getfixturevalue(edition)
    file = tmp_path / "porch.xlsx"
    file.write_bytes(made.read_bytes())
    compute(file)
    assert file.read_bytes() == made.read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["porch.xlsx"]


def test_names_are_handles_and_none_looks_like_a_cell(job: Job):
    names = list(job.handles)
    assert {"gap", "across", "board_wanted", "price", "answers", "stop_checks"} <= set(names)
    assert [name for name in names if re.fullmatch(r"[a-z]{1,3}\d+|r\d*c\d*", name)] == []
