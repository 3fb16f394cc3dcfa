"""Compare: every choice of board, as measured and turned, beside the job as it is."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from jobs import Job

from sheetcalc.cells.values import CellError
from sheetcalc.takeoff import checks, sheets
from sheetcalc.takeoff.compare import OF_THE_BOARDS
from sheetcalc.takeoff.ways import BY_RUN, JOB, LAID, WAYS, _handles, _touched  # pyright: ignore[reportPrivateUsage]
from sheetcalc.workbooks.compute import compute
from sheetcalc.workbooks.declare import Answer, Item, Table
from sheetcalc.workbooks.place import items_of

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"

SAME = {  # what a column shows, and what the job says of it
    "compare_price": "price",
    "compare_price_area": "price_per_area",
    "compare_cost": "cost",
    "compare_hours_total": "hours_total",
    "compare_boards_total": "boards_total",
    "compare_boards_cost": "boards_cost",
    "compare_joints_total": "joints_total",
    "compare_waste": "waste",
    "compare_primer_exact": "primer_exact",
}

JOBS: Mapping[str, Mapping[str, str]] = {
    "as it is": {},
    "another board": {"board_wanted": "1x8"},
    "the third board, profit as margin, tax on material": {
        "board_wanted": "1x4",
        "profit_as": "margin",
        "tax_on": "material",
        "tax_rate": "7%",
        "price_step": "0.01",
    },
    "strapping, barrier, backs primed": {
        "backing": "strapping",
        "barrier": "yes",
        "prime_backs": "yes",
        "order_price.strapping": "4.4",
        "order_price.barrier": "31",
        "order_price.screws": "9",
        "task_rate.backing": "0.3",
        "task_rate.backs": "0.02",
    },
    "sheathing, taper split, a gap of its own": {
        "backing": "sheathing",
        "order_price.sheathing": "24",
        "taper.1": "split",
        "layout.2": "balanced",
        "gap.3": "3/4",
        "finish_gap.3": "1",
        "least": "2",
    },
    "many culls, few on offer": {"cull_rate.1": "30%", "stock_offer.5.1": "33"},
    "a sloped ceiling out from the house": {"slope.1": "2", "direction": "out from the house"},
}


def same(found: float, job: float) -> bool:
    return found == pytest.approx(job, rel=1e-12)


@pytest.mark.parametrize("entries", JOBS.values(), ids=JOBS)
def test_the_job_is_one_of_the_columns(job: Job, entries: Mapping[str, str]):
    job.type(entries)
    column = job["job_by_way"].index(1)
    assert job["job_by_way"].count(1) == 1
    assert job["compare_job"][column] == "this job"
    for shown, said in SAME.items():
        assert same(job[shown][column], job[said]), said
    assert job["job_agrees"] == "ok"
    assert job["price_by_way"][column] == job["price"]
    assert job["compare_sum_courses"][column] == sum(job.used("courses"))
    assert job["seen_by_way"][column] == min(job.used("first_seen") + job.used("last_seen"))
    at = job.used("name_used").index(job["pole_name"])
    assert job["compare_first_course"][column] == job["layout_first"][at]
    assert job["compare_last_course"][column] == job["layout_last"][at]
    bought = {
        (row[0], row[1]) for row in zip(job["yard_stock"], job["yard_boards"], strict=True) if row[0] != ""
    }
    lengths = zip(job["stock_used_length"], [row[column] for row in job["compare_bought"]], strict=True)
    assert {(length, count) for length, count in lengths if count} == bought


def test_another_board_is_what_the_job_would_be(job: Job):
    columns: dict[str, list[Any]] = {shown: job[shown] for shown in SAME}
    for column, board in enumerate(job["nominal"]):
        job.type({"board_wanted": board})
        for shown, said in SAME.items():
            assert same(columns[shown][column], job[said]), (board, said)


def swapped(job: Job) -> dict[str, str]:
    """What a person would type who reads every ceiling the other way."""
    found: dict[str, str] = {}
    pairs = [("across", "along"), ("position_across", "position_along"), ("corner_across", "corner_along")]
    for to, source in (*pairs, *(pair[::-1] for pair in pairs)):
        several = source in ("across", "along")
        for row, values in enumerate(job[source], 1):
            for place, value in enumerate(values if several else [values], 1):
                if value not in (None, ""):
                    found[f"{to}.{row}.{place}" if several else f"{to}.{row}"] = str(value)
    found |= {"width.4": "12 1/4", "height.4": "4 1/4"}  # the one fixture that is not round
    return found | {f"diagonal_{which}.{row}": "" for which in ("one", "two") for row in (1, 2, 3)}


def test_turned_is_what_the_job_would_be_read_the_other_way(job: Job):
    # The long ceiling's framing is not known for boards that run the other way.
    job.type({"first_framing.3": "", "gap.1": "3/8", "trim_first.2": "1"})
    columns: dict[str, list[Any]] = {shown: job[shown] for shown in SAME}
    seen = job["seen_by_way"]
    job.type(swapped(job))
    for column, board in enumerate(job["nominal"]):
        job.type({"board_wanted": board})
        for shown, said in SAME.items():
            assert same(columns[shown][column + 3], job[said]), (board, said)
        assert seen[column + 3] == pytest.approx(min(job.used("first_seen") + job.used("last_seen")))


def test_which_way_boards_run_is_said(job: Job):
    assert job["compare_run"] == ["along the house"] * 3 + ["out from the house"] * 3
    job.type({"direction": "out from the house"})
    assert job["compare_run"] == ["out from the house"] * 3 + ["along the house"] * 3
    job.type({"direction.2": "along the house"})
    assert job["compare_run"] == ["as measured"] * 3 + ["the other way"] * 3


def test_the_cheapest_is_named(job: Job):
    job.type({"price_step": "0.01"})
    prices = job["price_by_way"]
    best = prices.index(min(prices))
    assert job["cheapest_words"] == f"{job['name_by_way'][best]}: {prices[best]:,.2f}"
    assert job["compare_cheapest"][best] == "cheapest"
    for price, words in zip(prices, job["compare_cheapest"], strict=True):
        assert words == "cheapest" or words == f"{price - prices[best]:,.2f} more"


def test_ceilings_with_different_boards_are_no_column(job: Job):
    prices = job["compare_price"]
    job.type({"board.2": "B"})
    assert job["job_by_way"] == [0] * 6
    assert job["job_words"].startswith("in no column")
    assert job["compare_price"] == prices
    assert job["job_agrees"] == "ok"


def test_a_choice_without_a_price_leaves_the_others(job: Job):
    before, price = job["compare_price"], job["price"]
    job.type({f"stock_price.{row}.2": "" for row in range(1, 6)})
    after = job["compare_price"]
    assert [after[0], after[2], after[3], after[5]] == [before[0], before[2], before[3], before[5]]
    assert (after[1], after[4]) == ("", "")
    assert job["why_way_b"] == job["why_turned_b"] == "no price on Boards"
    assert (job["price"], job["stops"], job.errors()) == (price, 0, [])
    job.type({"nominal.1.3": "", "stock_price.1.3": ""})
    job.type({f"stock_price.{row}.3": "" for row in range(2, 6)})
    assert job["why_way_c"] == "not on Boards"


def test_a_board_that_cannot_be_planned_leaves_the_others(job: Job):
    before = job["compare_price"]
    job.type({f"stock_offer.{row}.1": "2" for row in range(1, 6)})
    assert job["price"] is CellError.NA
    after = job["compare_price"]
    assert isinstance(after[0], CellError)
    assert after[1:3] == before[1:3]
    assert after[4:6] == before[4:6]
    assert "On offer" in job["why_way_a"]
    assert job["cheapest_words"].startswith("1x8")


def test_another_choice_that_cannot_be_planned_leaves_the_job(job: Job):
    price, before = job["price"], job["compare_price"]
    job.type({f"stock_price.{row}.2": "" for row in range(2, 6)})  # only boards of 8 ft
    job.type({"joint_least": "10'"})
    assert isinstance(job["compare_price"][1], CellError)
    assert job["why_way_b"] not in ("", "ok")
    job.type({"joint_least": ""})
    assert job["price"] == price
    assert job["compare_price"][0] == before[0]
    assert job["compare_bought"][0][1] is CellError.NA


def test_a_board_too_narrow_for_the_walls_leaves_a_wider_one(job: Job):
    before = job["compare_price"]
    job.type({"across.1.1": "8' 2-3/4\""})  # six inches out of parallel
    assert job["price"] is CellError.NA
    after = job["compare_price"]
    assert [isinstance(price, CellError) for price in after[:3]] == [True, False, True]
    assert after[1] == pytest.approx(before[1], rel=0.05)
    assert job["why_way_a"].startswith("no layout")
    assert job["why_way_b"] == "ok"
    assert job["cheapest_words"].startswith("1x")


CORNERS = {  # an L; longer than the boards, a wall at an angle, a chimney
    "Nook": [(0, 0, ""), (120, 0, ""), (120, 60, ""), (60, 60, ""), (60, 96, ""), (0, 96, "")],
    "Back porch": [(0, 0, ""), (260, 0, ""), (230, 94, ""), (0, 94, ""), (120, 40, 1), (150, 60, 1)],
}


@pytest.fixture(scope="module")
def with_corners(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with two ceilings by their corners, and boards enough for all of it."""
    rows = [(name, *corner) for name, corners in CORNERS.items() for corner in corners]
    columns = ("corner_ceiling", "corner_along", "corner_across", "corner_opening")
    typed = {"ceiling.4": "Nook", "ceiling.5": "Back porch", "first_framing.3": ""}
    typed |= {f"stock_offer.{row}": ";;" for row in range(1, 6)}
    for row, values in enumerate(rows, 1):
        typed |= {f"{column}.{row}": str(value) for column, value in zip(columns, values, strict=True)}
    file = tmp_path_factory.mktemp("corners") / "porch.xlsx"
    compute(TEMPLATES / "porch_ceiling_us.xlsx", file, typed)
    return file


def test_ceilings_by_their_corners_are_compared(with_corners: Path, tmp_path: Path):
    job = Job(with_corners)
    assert job.errors() == []
    assert job["job_by_way"] == [1, 0, 0, 0, 0, 0]
    columns: dict[str, list[Any]] = {shown: job[shown] for shown in SAME}
    assert columns["compare_joints_total"][1] > job["joints.3"] > 0
    for shown, said in SAME.items():
        assert same(columns[shown][0], job[said]), said
    job.type({"board_wanted": job["nominal"][1]})
    for shown, said in SAME.items():
        assert same(columns[shown][1], job[said]), said

    turned = compute(with_corners, tmp_path / "turned.xlsx", swapped(job) | {"board_wanted": "1x4"})
    assert turned.value("joints.5") == 0  # no longer than the boards, that way
    for shown, said in SAME.items():
        assert same(columns[shown][5], turned.value(said)), said  # type: ignore[arg-type]


def test_corners_that_no_board_can_be_laid_from_say_so(with_corners: Path):
    job = Job(with_corners)
    job.type({"corner_along.1": "5", "corner_along.6": "5"})  # turned, nothing lies at the start wall
    assert [isinstance(price, CellError) for price in job["compare_price"]] == [False] * 3 + [True] * 3
    assert job["why_turned_a"] == "no layout: see its notes on Layout and Shapes with this board"
    assert job["why_way_a"] == "ok"


def test_what_stops_every_board_stops_all_columns(job: Job):
    job.type({"payment_share.payment_one": "90%"})
    assert job["compare_price"] == [CellError.NA] * 6
    assert job["why_way_b"] == "stopped: see Checks"


def test_while_an_entry_is_missing_there_is_no_price(job: Job):
    job.type({"hang_rate": ""})
    assert job["compare_price"] == [""] * 6
    assert job["compare_boards_total"][0] == 88


def test_blank_it_shows_nothing(blank: Job):
    assert blank.errors() == []
    assert blank["compare_price"] == blank["compare_sum_courses"] == [""] * 6
    assert blank["cheapest_words"] == "no prices yet"


def test_nine_entries_fill_the_columns_of_the_one_board(blank: Job):
    blank.type(
        {
            "across_one": "8'",
            "across_two": "8' 1/4\"",
            "along_one": "14'",
            "along_two": "14'",
            "board_wanted": "1x6",
            "board_rate": "2.1",
            "labor_rate": "60",
            "hang_rate": "0.08",
            "profit": "20%",
        }
    )
    shown = blank["compare_price"]
    assert shown[0] == blank["price"] > 0
    assert shown[3] > 0
    assert shown[1:3] + shown[4:6] == [""] * 4
    assert blank["why_way_b"] == "not on Boards"
    assert blank.errors() == []


# --- Nothing is told that still speaks of the job's own boards ---

_REFERENCES = re.compile(r"\{([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?)")
BLOCKS = {sheet.title: sheet.blocks for sheet in sheets()}
TOLD_OF_THE_JOB = {"pole_no", "pole_name", "stops", "missing", "price", "board_no"}
"""Which ceiling is shown, what stops the job, and the job's own price and boards, to find its column."""


def _items(title: str) -> dict[str, Item]:
    found: dict[str, Item] = {}
    for block in BLOCKS[title]:
        for item in items_of(block):
            formula = block.formula if isinstance(block, Answer) else item.formula
            found[item.handle] = Item(handle=item.handle, label="", formula=formula)
        for row in block.rows if isinstance(block, Table) and isinstance(block.rows, tuple) else ():
            for handle, cell in row.cells.items():
                if str(cell).startswith("=") and handle in found:
                    both = found[handle].formula + str(cell)
                    found[handle] = Item(handle=handle, label="", formula=both)
    return found


def test_nothing_that_depends_on_the_jobs_boards_is_read():
    others = {h: i for t in BLOCKS if t not in ("Ways", "Compare") for h, i in _items(t).items()}
    touched = _touched(others, {"board_no"}) | {"board_no", *LAID}
    rows = {name for name in JOB if "." in name} - _touched(
        JOB, touched - {name.partition(".")[0] for name in JOB if "." in name}
    )
    allowed = rows | TOLD_OF_THE_JOB | {f"stop_state.stop_{one}" for one in OF_THE_BOARDS}
    for handle, item in (_items("Ways") | _items("Compare")).items():
        whole = {one for one in _REFERENCES.findall(item.formula)} - allowed
        assert not {one.partition(".")[0] for one in whole} & touched, handle


def test_nothing_turned_reads_what_was_measured_for_the_boards_as_they_run():
    run = _touched(_items("Working") | _items("Order"), BY_RUN) & {
        "batches",
        "sheets",
        "strapping_rows",
        "keep_half",
    }
    turned = {handle: item for handle, item in _items("Ways").items() if "_turned" in handle}
    assert len(turned) > 100
    for handle, item in turned.items():
        assert not _handles(item.formula) & run, handle


def test_stop_checks_of_the_boards_are_known():
    rows = checks.STOPS.rows
    assert isinstance(rows, tuple)
    others = {h: i for t in BLOCKS if t not in ("Ways", "Compare", "Checks") for h, i in _items(t).items()}
    touched = _touched(others, {"board_no"}) | {"board_no"}
    stops = {
        row.handle for row in rows if _handles(str(row.cells["stop_state"])) & (touched - {"payment_used"})
    }
    assert stops - {"stop_corners"} == {f"stop_{one}" for one in OF_THE_BOARDS}


def test_every_way_is_there_once():
    assert [way.number for way in WAYS] == [1, 2, 3, 4, 5, 6]
    assert len({way.end for way in WAYS}) == 6
