"""Every check can fail, and nothing that cannot be read changes the price in silence."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from jobs import Job

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.kinds import TEXT
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.checks import LOOKS, MISSING, STOPS
from sheetcalc.takeoff.plans import SAW_LINES
from sheetcalc.workbooks.declare import Answer, Item, Row
from sheetcalc.workbooks.place import items_of

STOPPED = {  # what to type into the demo job so that the check fails
    "stop_readings": {"across.2": "about 7 feet"},
    "stop_half": {"along.2": ""},
    "stop_layout": {"across.1": "104;104;120"},  # differ by more than a face: two ceilings
    "stop_stock": {"stock_here.1": "10'"},  # stands below too
    "stop_boards": {"nominal": "1x6;1x8;1x10", "stock_price": "21;25;", "board.2": "C"},
    "stop_plan": {"joint_apart": "20'"},  # no layout keeps that
    "stop_bought": {"cull_rate": "100"},
    "stop_order": {"order_price.9": "ask"},
    "stop_hours": {"task_rate.backs": "ask"},
    "stop_numbers": {"other_cost.1": "ask"},
    "stop_corners": {"corner_along.1": "0", "corner_across.1": "0"},
    "stop_names": {"ceiling.2": "Front porch"},
    "stop_tongue": {"run_of_ten.1": "60"},
    "stop_half_fixture": {"shape.3": ""},
    "stop_fixtures": {"fixture_ceiling.1": "Back porch"},
    "stop_choice": {"board.1": "D"},
    "stop_words": {"profit_as": "margn"},
    "stop_negative": {"labor_rate": "-68"},
    "stop_price": {"profit_as": "margin", "profit": "100"},
    "stop_shares": {"payment_share.1": "50"},
}


def by_corners(points: list[tuple[float, float]]) -> dict[str, str]:
    """Entries that give the side porch these corners."""
    return {
        f"corner_{part}.{row}": str(value)
        for row, point in enumerate(points, 1)
        for part, value in zip(("ceiling", "along", "across"), ("Side porch", *point), strict=True)
    }


RAISED = {  # what to type into the demo job so that the point is raised
    "look_sliver": {"sliver": "3"},
    "look_warning": {"least": "5"},
    "look_taper": {"take_up": "1/8"},
    "look_square": {"diagonal_two.1": "18' 8\""},
    "look_read_twice": by_corners([(0, 0), (140, 87)]),
    "look_narrow": {  # a course an inch wide where that wall stands
        "across.2": ";;",
        "along.2": ";;",
        **by_corners([(0, 0), (140, 0), (140, 22), (70, 22), (70, 87), (0, 87)]),
    },
    "look_opening": {  # a chimney that stands through the right wall
        "across.2": ";;",
        "along.2": ";;",
        **by_corners([(0, 0), (140, 87), (130, 40), (150, 60)]),
        "corner_opening.3": "1",
        "corner_opening.4": "1",
    },
    "look_trim": {"trim_last.2": "1/4"},
    "look_batches": {"along.1": "183.5;183.5;184 1/2"},
    "look_damp": {"meter_limit": "10"},
    "look_meter": {"moisture_reading.2": ""},
    "look_growth": {"gap": "1/16", "gap_usual": "1/16"},
    "look_offer": {"stock_offer.5": "29;48;60"},  # those that the cuts need
    "look_proof": {},  # see below
    "look_kerf": {"along.2": "96 3/4"},  # less the gaps, half of a 16 ft board without its ends
    "look_saw": {},  # see below
    "look_tight": {"tight_least": "6"},
    "look_framing": {"first_framing.3": ""},
    "look_stock": {"stock_here.1": "8"},  # in feet, as the yard says it
    "look_joint": {"position_along.6": ""},
    "look_framed": {"framed.3": "no"},
    "look_fixture": {"position_across.4": "30'"},
    "look_edge": {"position_across.4": "24"},  # its far edge on a course joint
    "look_flange": {"flange.2": "6 1/2"},  # a sixteenth over the hole on either side
    "look_picture": {"bar_length": "40'"},  # longer than the ceiling
    "look_unpriced": {"order_price.2": ""},
    "look_rates": {"task_rate.1": ""},
    "look_days": {"task_rate.1": "99999"},
    "look_platform": {"platform_rating": "500"},
    "look_lead": {"year_built": "1977"},
    "look_halfway": {"pole_ceiling": "Front porch", "after_course": "10", "still_to_cover": "57;57;57"},
    "look_tongue": {"overall.1": "7 1/8"},
    "look_ceiling": {"fixture_ceiling.4": "", "position_across.4": "24"},
    "look_zero": {"hang_rate": "0"},
    "look_scaffold": {"day_price": "", "week_price": ""},
    "look_tax": {"tax_on": "price"},
    "look_dates": {"good_until": "2027-04-01"},
    "look_size": {"reading_most": "100"},
    "look_start": {"board_rate": "3"},
    "look_ends": {"most_gap": "1/2"},
    "look_lead_time": {"lead_days": "60;5;14"},
    "look_spares": {"cull_rate": "0;0;0"},
    "look_share": {"overhead": "120"},
    "look_free": {"free_what.1": "Vent strip"},
    "look_pole": {"pole_ceiling": "Back porch"},
    "look_placeholder": {"owner": ""},
    "look_version": {},  # see below
}

OTHERWISE = {  # what a function answers so that the point is raised
    "look_version": ("FUNCTION_VERSION", "0.0.0"),
    "look_proof": ("LOWEST_BUY_COST", 2400.0),
    "look_saw": ("STOP_LIST", [(100.0, 1.0, 1.0)] * (SAW_LINES + 1)),
}

# The tape of the demo job finds walls out of parallel; the other points start as ok.
PARALLEL = {"take_up": "1/2"}


def state(job: Job, table: str, row: Row, rows: tuple[Row, ...]) -> object:
    return job[f"{table}.{rows.index(row) + 1}"]


def named(rows: object) -> tuple[Row, ...]:
    assert isinstance(rows, tuple)
    return rows


PLAIN = {"stop_stored", "look_stored"}  # which only the plain edition fails: test_plain_takeoff.py


def by_handle(rows: object) -> list[object]:
    return [pytest.param(row, id=row.handle) for row in named(rows) if row.handle not in PLAIN]


def test_the_demo_raises_its_one_point_and_no_more(job: Job):
    raised = [
        row.handle for row, word in zip(named(LOOKS.rows), job["look_state"], strict=True) if word != "ok"
    ]
    assert raised == ["look_taper"]
    assert set(job["stop_state"]) == set(job["need_state"]) == {"ok"}
    assert job["state"] == "draft: 1 point to look at"
    assert job["looks"] == job["start_points"] == 1


@pytest.mark.parametrize("row", by_handle(STOPS.rows))
def test_every_stop_can_fail_and_voids_the_price(job: Job, row: Row):
    assert state(job, "stop_state", row, named(STOPS.rows)) == "ok"
    job.type(STOPPED[row.handle])
    assert state(job, "stop_state", row, named(STOPS.rows)) != "ok"
    assert job["price"] == job["bid_price"] == job["start_price"] == CellError.NA
    assert job["stops"] == len([word for word in job["stop_state"] if word != "ok"])
    assert job["state"] == f"stopped: {job['stops']:.0f} to mend"


@pytest.mark.parametrize(
    ("row", "other"),
    [("stop_half", "stop_readings"), ("stop_order", "stop_hours"), ("stop_shares", "stop_price")],
)
def test_a_stop_fails_for_its_own_reason(job: Job, row: str, other: str):
    handles = [known.handle for known in named(STOPS.rows)]
    job.type(STOPPED[row])
    assert job[f"stop_state.{handles.index(row) + 1}"] == "stop"
    assert job[f"stop_state.{handles.index(other) + 1}"] == "ok"


@pytest.mark.parametrize("row", by_handle(LOOKS.rows))
def test_every_look_can_be_raised_and_leaves_the_price(job: Job, row: Row, demo_file: Path):
    asked = RAISED[row.handle]
    if row.handle in OTHERWISE:
        name, answer = OTHERWISE[row.handle]
        job = Job(demo_file, {**REGISTRY, name: replace(REGISTRY[name], python=lambda *_: answer)})
    else:
        job.type(PARALLEL)
        assert state(job, "look_state", row, named(LOOKS.rows)) == "ok"
        assert job["looks"] == 0
        assert job["state"] == "ok: ready to hand out"
        job.type(asked)
    assert state(job, "look_state", row, named(LOOKS.rows)) == "look"
    assert job["looks"] >= 1
    assert job["state"].startswith("draft: ")
    assert job["price"] > 0


@pytest.mark.parametrize("row", by_handle(MISSING.rows))
def test_every_entry_that_is_missing_is_named(blank: Job, row: Row):
    assert state(blank, "need_state", row, named(MISSING.rows)) == "missing"


# --- Nothing in silence ---


def entries() -> Iterator[Item]:
    for sheet in sheets():
        for block in sheet.blocks:
            if not isinstance(block, Answer):
                yield from (item for item in items_of(block) if not item.formula)


def told(job: Job) -> tuple[object, ...]:
    return (job["price"], job["missing"], job["stops"], job["looks"])


@pytest.mark.parametrize("handle", [item.handle for item in entries()])
def test_what_cannot_be_read_changes_no_price_in_silence(either: Job, handle: str):
    cells = either.area(handle)
    before = told(either)
    either.type({handle if cells.top == cells.bottom else f"{handle}.1": "no idea"})
    price, *points = told(either)
    assert not isinstance(price, float) or price == before[0] or points != list(before[1:])


RATES = [
    "board_rate",
    "labor_rate",
    "hang_rate",
    "stock_price.5",
    "order_price.2",
    "order_holds.3",
    "task_rate.1",
    "cull_rate.1",
    "day_price",
    "overhead",
    "contingency",
    "profit",
    "trim_waste",
    "coating_loss",
    "tax_rate",
]


@pytest.mark.parametrize("handle", RATES)
def test_a_rate_under_zero_stops_the_price(either: Job, handle: str):
    either.type({"tax_on": "price", handle: "-3"})
    assert either["price"] == CellError.NA


CHOICES = {item.handle: item for item in entries() if item.choices and item.kind == TEXT}


@pytest.mark.parametrize("handle", CHOICES)
def test_a_word_that_is_no_choice_is_not_taken_for_another(job: Job, handle: str):
    cells = job.area(handle)
    job.type({**PARALLEL, "board_wanted": "1x8", "edge_clear": "0"})  # choice B, with prices of its own
    assert job["looks"] == 0
    row = handle if cells.top == cells.bottom else f"{handle}.1"
    job.type({row: ";".join(["someting else"] * CHOICES[handle].cells)})
    assert job["price"] == CellError.NA or job["looks"] > 0


def test_unreadable_readings_of_the_only_ceiling_are_not_missing(job: Job):
    job.type({"across.2": "", "along.2": "", "ceiling.2": ""})
    job.type({"across.1": "wide"})
    assert job["missing"] == 0
    assert job["price"] == CellError.NA


def test_a_stop_of_the_entries_names_the_entry(job: Job):
    at = [row.handle for row in named(STOPS.rows)].index("stop_numbers") + 1
    assert job[f"stop_where.{at}"] == "Working: entries"
    job.type({"kerf": "lots"})
    assert job[f"stop_where.{at}"] == "Order: Saw cut"


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"across.1": "20"}, "Measure: Front porch: across is 20 in: write 20' for feet"),
        ({"along.2": "8.5"}, "Measure: Side porch: along is 8.5 in: write 8.5' for feet"),
        ({"along.3": "120'"}, "Measure: Garden porch: over the most"),
    ],
)
def test_a_bare_number_that_was_meant_as_feet_says_how_it_was_read(
    job: Job, typed: dict[str, str], where: str
):
    at = [row.handle for row in named(LOOKS.rows)].index("look_size") + 1
    assert job[f"look_where.{at}"] == "Measure"
    job.type(typed)
    assert job[f"look_where.{at}"] == where


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"board_rate": "3"}, "Start: board price; those on Boards count"),
        ({"across_one": "9'"}, "Start: readings; those on Measure count"),
        ({"board_rate": "3", "stock_price": ";;"}, "Start"),
    ],
)
def test_what_has_no_effect_on_start_is_a_point(job: Job, typed: dict[str, str], where: str):
    at = [row.handle for row in named(LOOKS.rows)].index("look_start") + 1
    job.type(typed)
    assert job[f"look_where.{at}"] == where
    assert job[f"look_state.{at}"] == ("ok" if where == "Start" else "look")


def test_lines_that_lack_a_price_or_hours_are_named(job: Job):
    def where(handle: str) -> object:
        return job[f"look_where.{[row.handle for row in named(LOOKS.rows)].index(handle) + 1}"]

    assert (where("look_unpriced"), where("look_rates")) == ("Order", "Hours")
    job.type({"prime_backs": "yes", "backing": "sheathing"})
    assert where("look_unpriced") == "Order: sheathing, fasteners"
    assert where("look_rates") == "Hours: backing, priming of backs"
    job.type({"order_price.2": "", "order_price.3": "0", "task_rate.1": "", "task_rate.4": "0"})
    assert where("look_unpriced") == "Order: primer, nails, sheathing and 1 more"
    assert where("look_rates") == "Hours: set-up, backing, sorting and 1 more"


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"board.2": "1x12"}, "Measure: 1x12 is none of them"),
        ({"board_wanted": "1x10"}, "Start: 1x10 is none of them"),
    ],
)
def test_a_board_that_is_not_on_boards_is_named(job: Job, typed: dict[str, str], where: str):
    at = [row.handle for row in named(STOPS.rows)].index("stop_choice") + 1
    assert job[f"stop_where.{at}"] == "Measure, Start"
    job.type(typed)
    assert job[f"stop_where.{at}"] == where


def test_one_error_raises_no_look_that_says_nothing_of_it(job: Job):
    job.type(PARALLEL)
    for typed in ({"joint_apart": "20'"}, {"across.2": "about 7 feet"}, {"board_wanted": "1x7"}):
        job.type(typed)
        assert job["stops"] > 0
        assert "look" not in job["look_state"]
        job.take_back()
        job.type(PARALLEL)


def test_a_complete_job_says_nothing_of_missing_entries(job: Job):
    assert [job["missing"], job["missing_words"]] == [0, ""]


def test_a_free_line_without_a_price_is_a_point(job: Job):
    job.type(PARALLEL)
    job.type({"free_what.1": "Vent strip", "free_quantity.1": "3"})
    assert job["looks"] == 1
    before = job["material"]
    job.type({"free_price.1": "12.5"})
    assert job["looks"] == 0
    assert job["material"] == pytest.approx(before + 3 * 12.5)


def test_a_ceiling_without_its_readings_does_not_drop_out_of_the_price(job: Job):
    for row in (1, 2):
        job.type({f"across.{row}": "", f"along.{row}": ""})  # its name stands
        assert job["price"] == CellError.NA
        job.take_back()
    job.type({"ceiling.1": "", "across.1": "", "along.1": "", "across_one": "104"})  # begun on Start instead
    assert job["price"] == CellError.NA


@pytest.mark.parametrize("handle", ["gap_usual", "diagonal_one.1", "nail_layers", "roll_width", "lap"])
def test_a_length_that_cannot_be_read_is_named(job: Job, handle: str):
    job.type(PARALLEL)
    job.type({handle: "wide"})
    assert job["price"] == CellError.NA or job["looks"] > 0


@pytest.mark.parametrize("handle", ["nail_layers", "lap", "end_trim"])
def test_a_length_below_zero_stops_the_price(job: Job, handle: str):
    job.type({handle: "-1"})
    assert job["price"] == CellError.NA


@pytest.mark.parametrize(
    "handle", ["free_price.1", "free_task_quantity.1", "free_task_rate.1", "option_price.2"]
)
def test_a_line_begun_without_its_name_is_a_point(job: Job, handle: str):
    job.type(PARALLEL)
    job.type({handle: "50"})
    assert job["looks"] == 1


def test_a_scaffold_by_the_week_alone_is_not_dropped(job: Job):
    job.type({"day_price": ""})
    assert job["price"] == CellError.NA


def test_figures_of_a_line_without_name_do_not_stand_for_another_line(job: Job):
    job.type(PARALLEL)
    job.type({"free_what.1": "Lift", "other_what.1": ""})
    assert job["looks"] == 1


def test_a_free_task_without_a_rate_is_a_point(job: Job):
    job.type(PARALLEL)
    job.type({"free_task.1": "Second coat", "free_task_quantity.1": "4"})
    assert job["looks"] == 1
    before = job["hours_total"]
    job.type({"free_task_rate.1": "1.25"})
    assert job["looks"] == 0
    assert job["hours_total"] == pytest.approx(before + 4 * 1.25)
