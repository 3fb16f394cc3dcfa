"""The blank workbook, and the nine entries that give a price."""

import math

import pytest
from jobs import Job

import sheetcalc
from sheetcalc.cells.values import CellError
from sheetcalc.takeoff.start import ENTRIES

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
ACROSS, ALONG = [120, 120.25], [171.375, 171.5]
AREA = 120.125 * 171.4375 / 144


def test_blank_it_holds_no_error(blank: Job):
    assert blank.errors() == []
    assert blank.host.bugs == blank.host.unevaluated == []


def test_blank_it_shows_no_answers_and_says_what_is_missing(blank: Job):
    answers = {label: value for label, value, _ in blank["answers"]}
    shown = {label: value for label, value in answers.items() if value not in (None, "")}
    assert shown == {
        "Crew": 2,
        "Boards dry enough?": "not measured",
        "Points to look at": 0,
        "Entries missing": 9,
        "Values assumed": shown["Values assumed"],
    }
    assert shown["Values assumed"] > 40
    assert blank["need_state"] == ["missing"] * 9
    assert [row[0] for row in blank["entries_needed"]] == [item.label for item in ENTRIES.items]
    assert set(blank["stop_state"]) == {"ok"}
    assert blank["state"] == "no price yet: 9 entries missing"
    assert blank["price"] == ""


@pytest.mark.parametrize("left_out", NINE)
def test_without_one_of_the_nine_there_is_no_price(blank: Job, left_out: str):
    blank.type({handle: text for handle, text in NINE.items() if handle != left_out})
    assert blank["price"] == ""
    if left_out in ("across_one", "across_two", "along_one", "along_two"):
        assert blank["missing"] == 1
    assert blank.errors() == []
    missing = [label for label, state, _ in blank["entries_needed"] if state == "missing"]
    assert missing == [item.label for item in ENTRIES.items if item.handle == left_out]


def test_nine_entries_give_a_price(blank: Job):
    blank.type(NINE)
    courses = 24  # 119 1/4 in less the take-up holds 23 1/5 faces of 5 1/8 in
    assert blank["courses.1"] == courses
    lumber = courses * 16 * 2.35  # cut 170 7/16 in and trim 1/2 in: out of 16 ft
    labor = AREA * 0.085 * 68
    assert blank["boards_total"] == courses
    assert blank["material"] == pytest.approx(lumber)
    assert blank["hours_total"] == pytest.approx(AREA * 0.085)
    assert blank["labor"] == pytest.approx(labor)
    assert blank["price_exact"] == pytest.approx((lumber + labor) * 1.22)
    assert blank["price"] == sheetcalc.round_price(price=(lumber + labor) * 1.22, step=1)
    assert blank["state"].startswith("draft: ")
    assert blank["stops"] == 0


def test_the_price_says_what_it_counts_and_the_bid_promises_no_more(blank: Job):
    blank.type(NINE)
    assert blank["start_counts"] == "boards, hanging, profit; not goods (7), tasks (6), scaffold"
    lines = blank["bid_line"]
    assert not any(word in "\n".join(lines) for word in ("primed", "filled", "trim covers", "fixtures"))
    at = lines.index("Not included:")
    assert lines[at + 1 : at + 5] == [
        "Filling of nail holes",
        "Priming of cut ends and ripped edges",
        "Trim at the walls; the gap there stays open",
        "Sealant at the walls",
    ]
    blank.type({"order_price.2": "44", "task_rate.1": "1", "other_cost.1": "60", "day_price": "55"})
    assert blank["price_counts"] == "boards, goods, work, scaffold, costs, profit"
    assert blank["price_lacks"] == (
        "goods (nails, filler, trim and 3 more), tasks (sorting, cutting and priming, trim and 2 more)"
    )


@pytest.mark.parametrize(
    ("entry", "counted", "lacked"),
    [
        ("labor_rate", "boards, profit", "labor, goods"),
        ("hang_rate", "boards, profit", "labor, goods"),
        ("board_rate", "hanging, profit", "goods (boards, primer, nails and 5 more)"),
    ],
)
def test_what_counts_nothing_is_not_named_as_counted(blank: Job, entry: str, counted: str, lacked: str):
    blank.type({**NINE, entry: "0"})
    assert blank["price_counts"] == counted
    assert blank["price_lacks"].startswith(lacked)


def test_overhead_and_contingency_are_added_to_direct_cost(blank: Job):
    blank.type({**NINE, "overhead": "12", "contingency": "7", "other_cost.1": "145"})
    direct = 24 * 16 * 2.35 + AREA * 0.085 * 68 + 145
    assert blank["cost_direct"] == pytest.approx(direct)
    assert blank["cost"] == pytest.approx(direct * (1 + 0.12 + 0.07))
    assert blank["price_exact"] == pytest.approx(direct * 1.19 * 1.22)


def test_profit_as_margin(blank: Job):
    blank.type({**NINE, "profit_as": "margin"})
    cost = 24 * 16 * 2.35 + AREA * 0.085 * 68
    assert blank["price_exact"] == pytest.approx(cost / (1 - 0.22))


def test_a_minimum_charge(blank: Job):
    blank.type({**NINE, "minimum_charge": "5012.5", "price_step": "50"})
    assert blank["price"] == 5050


def test_answers_on_start_are_those_of_the_sheets(blank: Job):
    blank.type(NINE)
    cut = sheetcalc.cut_length(along=ALONG, gap=0.5)
    assert blank["start_courses"] == blank["courses.1"]
    assert blank["start_cut"] == sheetcalc.feet_inches(cut)
    assert blank["start_price_area"] == pytest.approx(blank["price"] / AREA)
    assert blank["start_area"] == pytest.approx(AREA)
    assert blank["start_ceiling"] == "Ceiling 1"
    edges = [
        sheetcalc.rip_width(edge=edge, across=ACROSS, face=5.125, gap=0.5, take_up=0.25)
        for edge in ("first", "last")
    ]
    assert [blank["first.1"], blank["last.1"]] == pytest.approx(edges)
    assert blank["start_boards"] == "24 of 16' (0 spare)"
    assert blank["start_plan"] == "proven cheapest"
    assert [blank["start_joints"], blank["saving_total"]] == [0, 0]  # one length is all that this job needs


def test_a_porch_longer_than_any_board_just_works(blank: Job):
    blank.type({**NINE, "along_one": "27'", "along_two": "27'"})
    assert blank["stops"] == 0
    assert blank.errors() == []
    assert (
        24 <= blank["start_joints"] < 48
    )  # one in each course at least; the rules ask for more here and there
    covered = sum(map(math.prod, zip(blank.used("piece_length"), blank.used("piece_count"), strict=True)))
    assert covered == pytest.approx(24 * (27 * 12 - 1))
    boards = zip(blank.used("spare_stock"), blank.used("spare_boards"), strict=True)
    assert blank["material"] == pytest.approx(sum(2.35 * length / 12 * count for length, count in boards))


def test_readings_on_measure_take_the_place_of_those_on_start(blank: Job):
    blank.type({**NINE, "across.1": "130;130", "along.1": "150"})
    assert blank["area_total"] == pytest.approx(130 * 150 / 144)
    blank.type({"across.1": "", "along.1": ""})
    assert blank["area_total"] == pytest.approx(AREA)


def test_prices_on_boards_take_the_place_of_the_price_on_start(blank: Job):
    blank.type({**NINE, "stock_price.5": "41.3"})
    assert blank.used("yard_price") == pytest.approx([41.3])
    blank.type({"price_per.1": "foot", "stock_price.5": "2.15"})
    assert blank.used("yard_price") == pytest.approx([16 * 2.15])


def test_a_second_ceiling_adds_to_the_first(blank: Job):
    blank.type({**NINE, "ceiling.1": "One", "across.1": "120", "along.1": "171", "across.2": "96"})
    assert blank["stops"] > 0  # read one way only
    assert blank["price"] == CellError.NA
    blank.type({"along.2": "100;100 1/8"})
    assert blank.used("name_used") == ["One", "Ceiling 2"]
    assert blank["area_total"] == pytest.approx((120 * 171 + 96 * 100.0625) / 144)
    assert blank["stops"] == 0
