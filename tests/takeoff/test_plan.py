"""The plan of the boards: against direct calls, and against what must hold for every plan."""

import math
import re
from collections import Counter
from itertools import pairwise

import pytest
from jobs import Job

import sheetcalc
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.takeoff import order, plans
from sheetcalc.takeoff.boards import PRICES as STOCK_PRICES
from sheetcalc.trade.lengths import cut_inches

GARDEN = (
    320.5 - 1
)  # length to cover: mean of three readings, 320.54, less two gaps of half an inch, down to 1/16
COURSES = {"Front porch": 21, "Side porch": 17, "Garden porch": 19}
STOCK = [96, 120, 144, 168, 192]
PRICES = [16.9, 21.4, 26.2, 32.5, 39.9]
OFFER = [40, None, 60, 60, 48]
CUTTING = {"stock": STOCK, "prices": PRICES, "kerf": 0.125, "end_trim": 0.5, "available": OFFER}
RULES = {"stagger": 24, "least_piece": 24, "joint_price": 8, "kerf": 0.125, "end_trim": 0.5}
LIGHTS = {  # six inches off the edge of each light, from the boards' start
    "keep_clear": ["9-11", "9-11"],
    "clear_from": [106 - 0.5 - 6.375 / 2 - 6, 214 - 0.5 - 6.375 / 2 - 6],
    "clear_to": [106 - 0.5 + 6.375 / 2 + 6, 214 - 0.5 + 6.375 / 2 + 6],
}


def choice(job: Job, handle: str, row: int = 1) -> list[object]:
    """Values of an answer's column that belong to one choice of board."""
    rows = len(job[handle]) // 3
    return [value for value in job[handle][rows * (row - 1) : rows * row] if value != ""]


def pieces(job: Job, row: int = 1) -> tuple[list[float], list[float]]:
    return choice(job, "piece_length", row), choice(job, "piece_count", row)  # type: ignore[return-value]


def garden(job: Job) -> list[list[float]]:
    """Pieces of each course of the garden porch, as the Layout sheet words them."""
    job.type({"pole_ceiling": "Garden porch"})
    found = []
    for number, words in enumerate(job.used("joint_pieces_shown"), 1):
        course, run = words.split(":  ")
        assert int(course) == number
        found.append([sheetcalc.read_length(part) for part in run.split(" + ")])
    return found


# --- Pieces and end joints ---


def test_pieces_are_those_of_the_ceilings(job: Job):
    joints = sheetcalc.joint_pieces(
        lengths=[GARDEN],
        stock=STOCK,
        prices=PRICES,
        bearing=16,
        first_bearing=10,
        counts=[19],
        **RULES,
        **LIGHTS,
    )
    whole = [(job["cut.1"], 21), (job["cut.2"], 17)]
    wanted = sorted([*joints, *whole], reverse=True)
    lengths, counts = pieces(job)
    assert lengths == pytest.approx([length for length, _ in wanted])
    assert counts == [count for _, count in wanted]


def test_every_course_is_covered(job: Job):
    covered = sum(map(math.prod, zip(*pieces(job), strict=True)))
    assert covered == pytest.approx(sum(job[f"cut.{row}"] * job[f"courses.{row}"] for row in (1, 2, 3)))
    assert job["cut.3"] == pytest.approx(GARDEN)
    runs = garden(job)
    assert len(runs) == COURSES["Garden porch"]
    for run in runs:
        assert sum(run) == pytest.approx(GARDEN, abs=1 / 16)  # shown to a sixteenth each


def test_end_joints_keep_the_rules(job: Job):
    runs = garden(job)
    joints = [[sum(run[: at + 1]) for at in range(len(run) - 1)] for run in runs]
    shown = [
        [sheetcalc.read_length(text) for text in words.split(", ")] for words in job.used("joints_shown")
    ]
    assert shown == joints
    assert sum(map(len, joints)) == job["joints.3"] == job["joints_total"] == job["task_quantity.joints"]
    for course, here in enumerate(joints, 1):
        assert min(runs[course - 1]) >= 24
        for place in here:
            assert (place - 10) % 16 == 0  # framing: 10 1/2 in from the wall, half an inch of it gap
            assert all(abs(place - other) >= 24 for other in (joints[course : course + 1] or [[]])[0])
            assert all(place not in other for other in joints[course : course + 4])
            if course in (9, 10, 11):
                for low, high in zip(LIGHTS["clear_from"], LIGHTS["clear_to"], strict=True):
                    assert not low < place < high


def test_rules_typed_are_rules_kept(job: Job):
    job.type({"joint_apart": "5'", "joint_least": "40", "first_framing.3": "8 1/2"})
    runs = garden(job)
    joints = [[sum(run[: at + 1]) for at in range(len(run) - 1)] for run in runs]
    assert min(min(run) for run in runs) >= 40
    assert {place % 16 for here in joints for place in here} == {8}
    assert all(abs(one - other) >= 60 for here, after in pairwise(joints) for one in here for other in after)


def test_over_sheathing_joints_fall_anywhere(job: Job):
    assert job["joint_bearing"] == 16
    job.type({"backing": "sheathing"})
    assert job["joint_bearing"] == 0
    assert job["stops"] == 0


def test_first_framing_within_the_gap_counts_from_the_next(job: Job):
    job.type({"first_framing.3": "1/4"})
    assert job["first_bearing.3"] == 15.75


def test_a_ceiling_that_a_board_covers_has_no_joints(job: Job):
    assert job.used("jointed") == [0, 0, 1]
    assert job["joint_words"].startswith(f"{job['joints.3']:.0f} end joints, ")
    job.type({"pole_ceiling": "Front porch"})
    assert job["joint_words"] == "no end joints: one board a course"
    assert job.used("joint_pieces_shown") == []
    job.type({"along.3": "16'"})
    assert job["joints_total"] == 0
    assert job["cut_ends.3"] == 2 * 19
    assert choice(job, "plan_words") == ["proven cheapest"]


# --- Buying ---


def test_the_plan_is_that_of_the_functions(job: Job):
    lengths, counts = pieces(job)
    asked = {"pieces": lengths, "counts": counts, **CUTTING}
    rows = sheetcalc.buy_list(**asked)
    assert choice(job, "buy_stock") == [row.stock for row in rows]
    assert choice(job, "buy_boards") == [row.boards for row in rows]
    assert job["plan_cost.1"] == pytest.approx(sheetcalc.buy_cost(**asked))
    assert job["plan_bound.1"] == pytest.approx(sheetcalc.lowest_buy_cost(**asked))
    boards = {row.stock: row.boards for row in rows}
    order = sheetcalc.spare_list(
        stock=STOCK,
        boards=[boards.get(stock, 0) for stock in STOCK],
        prices=PRICES,
        cull_rate=0.05,
        confidence=0.95,
        available=OFFER,
    )
    for column, part in (("spare_stock", 0), ("spare_needed", 1), ("spare_boards", 2), ("spare_cost", 3)):
        assert choice(job, column) == pytest.approx([row[part] for row in order])
    short = sheetcalc.spares_short(
        stock=[row[0] for row in order],
        ordered=[row[2] for row in order],
        boards=[row[1] for row in order],
        cull_rate=0.05,
    )
    assert job["plan_short.1"] == pytest.approx(short)
    assert job["short_words.1"] == job["sure_words"] == f"at least {short:.1%}"


def test_what_is_left_over_in_cutting(job: Job):
    run = sum(map(math.prod, zip(*pieces(job), strict=True)))
    boards = sum(map(math.prod, zip(choice(job, "buy_stock"), choice(job, "buy_boards"), strict=True)))
    assert job["plan_waste.1"] == job["cut_waste"] == pytest.approx(1 - run / boards)
    assert job["waste_money"] == pytest.approx(job["cut_waste"] * job["plan_cost.1"])
    assert 0 < job["cut_waste"] < job["waste"]  # spares and what is ripped off come on top


def test_the_yard_reads_every_board_once(job: Job):
    job.type({"board.2": "C", "nominal": "1x6;1x8;1x4"})
    lines = Counter[str]()
    for words, spare in zip(job.used("yard_words"), job.used("yard_spare"), strict=True):
        count, board, stock = re.fullmatch(r"(\d+) pcs (.+), (.+)", words).groups()  # type: ignore[union-attr]
        lines[f"{board} {sheetcalc.read_length(stock):g}"] += int(count)
        assert spare >= 0
    names = {1: "1x6 clear fir, primed", 3: "1x4 clear fir, primed"}
    wanted = {
        f"{name} {stock:g}": count
        for row, name in names.items()
        for stock, count in zip(
            choice(job, "spare_stock", row), choice(job, "spare_boards", row), strict=True
        )
    }
    assert lines == wanted
    assert sum(lines.values()) == job["boards_total"]
    assert sum(job.used("yard_cost")) == pytest.approx(job["boards_cost"]) == job["order_cost.1"]
    prices = zip(job.used("yard_price"), job.used("yard_boards"), strict=True)
    assert sum(map(math.prod, prices)) == pytest.approx(job["boards_cost"])


def test_no_plan_takes_more_than_the_yard_has(job: Job):
    before = dict(zip(choice(job, "buy_stock"), choice(job, "buy_boards"), strict=True))
    job.type({"stock_offer.4": f"{before[168] - 4};48;60"})
    bought = dict(zip(choice(job, "buy_stock"), choice(job, "buy_boards"), strict=True))
    assert bought[168] == before[168] - 4
    assert bought[192] > before[192]
    assert job["stops"] == 0
    job.type({"stock_offer.5": "20;48;60"})  # the front porch alone has 21 courses that long
    assert job["plan_words.1"].startswith("29 boards of 16' are needed, 20 on offer; blank")
    assert job["stops"] >= 1


def test_what_stops_the_plan_stands_on_the_order(job: Job):
    job.type({"joint_apart": "20'"})
    assert job["plan_words.1"].startswith("In neighbouring courses, apart at least is 240 in, but ")
    job.take_back()
    job.type({"nominal": "1x6;1x8;1x10", "stock_price": "21;25;", "board.2": "C"})
    assert job["plan_words.3"] == "no price on Boards for this choice"


def test_every_choice_has_a_plan_of_its_own(job: Job):
    both = job["plan_cost.1"]
    job.type({"board.2": "C"})
    lengths, counts = pieces(job, 3)
    assert (lengths, counts) == (pytest.approx([job["cut.2"]]), [job["courses.2"]])
    assert choice(job, "buy_stock", 3) == [144]
    assert job["plan_cost.3"] == pytest.approx(20.2 * job["courses.2"])
    assert job["plan_cost.1"] < both
    assert job["plan_total"] == pytest.approx(job["plan_cost.1"] + job["plan_cost.3"])
    assert job["plan_area.3"] == pytest.approx(job["area.2"])


def test_the_rule_of_thumb_by_hand(job: Job):
    area = job["area_total"]
    by_rule = math.ceil(area * 1.1 / (5.125 * 192 / 144))
    assert job["thumb_boards.1"] == by_rule
    laid = sheetcalc.joint_pieces(  # as a crew places the joints that has nothing but 16 ft boards
        lengths=[GARDEN],
        stock=[192],
        prices=[39.9],
        bearing=16,
        first_bearing=10,
        counts=[19],
        **RULES,
        **LIGHTS,
    )
    found = [*laid, (job["cut.1"], 21), (job["cut.2"], 17)]
    cut = sheetcalc.buy_cost(  # 16 ft boards at 1 each: their number
        pieces=[length for length, _ in found],
        counts=[count for _, count in found],
        stock=[192],
        prices=[1],
        kerf=0.125,
        end_trim=0.5,
    )
    needed = sheetcalc.boards_to_order(good_boards=cut, cull_rate=0.05)
    joints = sum(count for _, count in laid) - 19
    assert job["thumb_needed.1"] == needed
    assert job["thumb_state.1"] == f"{needed - by_rule} boards short"
    alone = needed * 39.9 + 8 * joints
    assert job["saving_total"] == pytest.approx(alone - job["boards_cost"] - 8 * job["joints_total"])
    assert job["start_saving"] == f"{job['saving_total']:.2f} against 16' only"
    job.type({"thumb_share": "50"})
    assert job["thumb_state.1"] == "enough"


def test_the_saving_is_that_of_a_job_with_one_length(job: Job):
    saved = job["saving_total"]
    planned = job["boards_cost"] + job["plan_joined"] - job["plan_total"]
    job.type({"stock_price": ";40;60", "stock_price.5": "39.9;46;28", "stock_offer.5": ";;"})
    alone = job["boards_cost"] + job["plan_joined"] - job["plan_total"]
    assert alone - planned == pytest.approx(saved)
    assert job["saving_total"] == 0


def test_the_time_of_the_joints_stands_beside_the_boards(job: Job):
    assert job["joints_words"] == f"{job['joints_total']:.0f} x 8.00 = {8 * job['joints_total']:.2f}"
    assert job["plan_joined"] == pytest.approx(job["plan_cost.1"] + 8 * job["joints_total"])
    before = job["joints_total"], job["plan_cost.1"]
    job.type({"labor_rate": "97"})  # the plan is none of its business
    assert (job["joints_total"], job["plan_cost.1"]) == before


def test_what_is_proven_of_cutting_and_of_joints(job: Job):
    asked = {
        "lengths": [GARDEN],
        "stock": STOCK,
        "prices": PRICES,
        "bearing": 16,
        "first_bearing": 10,
        "counts": [19],
        **RULES,
        **LIGHTS,
    }
    cost, bound = sheetcalc.joint_cost(**asked), sheetcalc.lowest_joint_cost(**asked)
    assert job["joint_over.3"] == job["joints_over.1"] == pytest.approx(cost / bound - 1)
    words = f"cutting proven cheapest; joints of each ceiling within {cost / bound - 1:.1%}"
    assert job["start_plan"] == job["plan_words.1"] == words
    job.type({"joint_apart": "60"})
    assert job["joints_over_most"] > 0.01
    assert "look" in job["look_state"]


@pytest.mark.parametrize("typed", [{"joint_apart": "20'"}, {"stock_offer.5": "6;;"}, {"board_wanted": "1x7"}])
def test_without_a_plan_nothing_is_said_of_one(job: Job, typed: dict[str, str]):
    job.type(typed)
    for handle in ("start_plan", "start_boards", "start_saving", "joints_words"):
        assert job[handle] == "not planned"
    assert job["order_state.1"] == "stop: not planned"
    assert job["order_buy.1"] == job["order_cost.1"] == ""
    assert job["price"] == CellError.NA


def test_trim_by_length(job: Job):
    by_foot = job["order_cost.trim"]
    job.type({"trim_length.1": "10'", "trim_price.1": "13.5", "trim_length.2": "16'", "trim_price.2": "23"})
    walls = [104.75, 183.625, 87.125, 140.125, 94.125, 320.625]  # the widest reading of each
    cutting = {"stock": [120, 192], "prices": [13.5, 23], "kerf": 0.125, "end_trim": 0.5}
    found = sheetcalc.piece_list(
        lengths=walls, counts=[2] * 6, stagger=0, courses_apart=0, least_piece=48, joint_price=8, **cutting
    )
    assert min(piece[0] for piece in found) >= 48
    assert job.used("trim_piece") == pytest.approx([piece[0] for piece in found])
    rows = sheetcalc.buy_list(
        pieces=[piece[0] for piece in found], counts=[piece[1] for piece in found], **cutting
    )
    assert [job["trim_buy.1"], job["trim_buy.2"]] == [row.boards for row in rows]
    assert job["order_exact.trim"] == pytest.approx(2 * sum(job[f"around.{row}"] for row in (1, 2, 3)) / 24)
    assert [job["order_unit.trim"], job["order_state.trim"]] == ["foot of wall", "ok: see lengths"]
    groups = sheetcalc.saw_list(
        pieces=[piece[0] for piece in found], counts=[piece[1] for piece in found], **cutting
    )
    assert job.used("trim_cut_shown") == [group.cut for group in groups]
    assert job.used("trim_number_shown") == [group.boards for group in groups]
    assert job["order_buy.trim"] == sum(row.boards for row in rows)
    assert job["order_cost.trim"] == pytest.approx(sum(row.cost for row in rows))
    assert job["order_cost.trim"] != by_foot
    job.type({"trim_price.2": ""})  # a length without its price is no offer, and not passed over in silence
    assert job["stops"] >= 1


# --- Saw ---


def test_every_piece_is_cut_once(job: Job):
    job.type({"board.2": "C"})
    wanted = Counter[str]()
    for row in (1, 3):
        for length, count in zip(*pieces(job, row), strict=True):
            wanted[cut_inches(length)] += int(count)
    cut = Counter[str]()
    for words, number in zip(job.used("group_cut"), job.used("group_boards"), strict=True):
        for part in words.split(" + "):
            count, _, length = part.rpartition(" x ")
            cut[length] += int(count or 1) * int(number)
    assert cut == wanted
    settings = Counter[str]()
    for length, count in zip(job.used("setting_at_stop"), job.used("setting_pieces"), strict=True):
        settings[length] += int(count)
    assert settings == wanted
    assert sum(job.used("group_boards")) == job["boards_needed"]


def test_settings_say_what_they_are_for(job: Job):
    told = dict(zip(job.used("setting_at_stop"), job.used("setting_for"), strict=True))
    assert told[cut_inches(job["cut.1"])] == "Front porch"
    assert told[cut_inches(job["cut.2"])] == "Side porch"
    assert set(told.values()) == {"Front porch", "Side porch", "Garden porch"}
    job.type({"along.2": "15' 3-1/2\";15' 3-1/2\";15' 3-5/8\""})
    told = dict(zip(job.used("setting_at_stop"), job.used("setting_for"), strict=True))
    assert told[cut_inches(job["cut.1"])] == "Front porch and 1 more"


def test_offcuts_worth_keeping(job: Job):
    offcuts = zip(choice(job, "saw_offcut"), choice(job, "saw_boards"), strict=True)
    longest = max(choice(job, "saw_offcut"))  # type: ignore[type-var]
    job.type({"offcut_least": f"{longest / 2}"})
    assert job["offcuts"] == sum(boards for offcut, boards in offcuts if offcut >= longest / 2) > 0  # type: ignore[operator]
    assert set(job["group_keep"]) == {"", "keep", "scrap"}


def test_boards_that_leave_nothing_are_told(job: Job):
    assert job["tight"] == 0
    job.type({"along.1": "16' 0-1/2\""})  # less the gaps, the whole of a 16 ft board without its ends
    assert job["tight"] >= 21
    assert dict(zip(job.used("group_cut"), job.used("group_keep"), strict=True))["191 1/2"] == "none"


def test_problems_are_told_in_the_words_of_the_sheets():
    labels = " ".join(item.label for item in order.JOINT_ENTRIES.items)
    labels += " ".join(item.label for item in STOCK_PRICES.columns)
    assert [label for label in plans.SHOWN_AS.values() if label not in labels] == []
    asked = [known.name for name in ("PIECE_LIST", "BUY_LIST") for known in REGISTRY[name].inputs]
    assert set(plans.SHOWN_AS) <= set(asked)


def test_the_kerf_note_stands_beside_the_proof(job: Job):
    job.type({"along.2": "96 3/4"})
    assert job["plan_kerf.1"] in job["plan_words.1"]


def test_the_board_is_named_where_there_are_several(job: Job):
    assert ":" not in job["start_boards"]
    job.type({"board.2": "C"})
    assert re.fullmatch(r"1x6: \d.*; 1x4: \d+ of 12' \(\d+ spare\)", job["start_boards"])


def test_ceilings_of_one_length_and_two_boards_each_name_their_own_stop_block_setting(job: Job):
    job.type({"along.2": "15' 3-1/2\";15' 3-1/2\";15' 3-5/8\"", "board.2": "B"})
    named = zip(job["setting_plan"], job["setting_length"], job["setting_names"], strict=True)
    assert [(plan, name) for plan, length, name in named if length == 182.5] == [
        (1, "Front porch"),
        (2, "Side porch"),
    ]
