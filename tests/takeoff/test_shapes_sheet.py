"""Ceilings by their corners in the takeoff: against direct calls, and nothing changed for the others."""

import math

import pytest
from jobs import Job

import sheetcalc
from sheetcalc.cells.values import CellError
from sheetcalc.takeoff.measure import SHAPES
from sheetcalc.takeoff.ways import WAYS

STOCK, PRICES = [96, 120, 144, 168, 192], [16.9, 21.4, 26.2, 32.5, 39.9]
RULES = {"bearing": 16, "stagger": 24, "least_piece": 24, "joint_price": 8, "kerf": 0.125, "end_trim": 0.5}
LAID = {"face": 5.125, "gap": 0.5, "take_up": 0.25, "cut_step": 1 / 16}

L_SHAPE = [(0, 0), (192, 0), (192, 96), (96, 96), (96, 180), (0, 180)]
LONG = [(0, 0), (320, 0), (280, 94), (0, 94)]  # longer than any board, the right wall at an angle
CHIMNEY = [(120, 40), (150, 60)]


def corners(*rings: list[tuple[float, float]], ceiling: str = "Back porch") -> dict[str, str]:
    """Entries of a fourth ceiling: its walls, and openings after them."""
    rows = [(x, y, opening or "") for opening, ring in enumerate(rings) for x, y in ring]
    typed = {"ceiling.4": ceiling} if ceiling == "Back porch" else {}
    for row, (x, y, opening) in enumerate(rows, 1):
        typed |= {
            f"corner_ceiling.{row}": ceiling,
            f"corner_along.{row}": str(x),
            f"corner_across.{row}": str(y),
        }
        if opening:
            typed[f"corner_opening.{row}"] = str(opening)
    return typed


def listed(*rings: list[tuple[float, float]]) -> dict[str, list[float | None]]:
    rows = [(x, y, opening or None) for opening, ring in enumerate(rings) for x, y in ring]
    return dict(zip(("along", "across", "openings"), map(list, zip(*rows, strict=True)), strict=True))


def test_an_l_shape_through_the_takeoff(job: Job):
    before = {handle: job[handle] for handle in ("area_total", "nails_total", "boards_needed")}
    rectangles = {
        f"{h}.{row}": job[f"{h}.{row}"] for h in ("courses", "cut", "nails", "area") for row in (1, 2, 3)
    }
    cut_before = dict(zip(job.used("piece_length"), job.used("piece_count"), strict=True))
    job.type(corners(L_SHAPE))
    found = sheetcalc.course_pieces(**listed(L_SHAPE), **LAID)

    assert job["state"].startswith("draft")
    assert job["area.4"] == pytest.approx(184)
    assert job["area_total"] == pytest.approx(before["area_total"] + 184)
    assert job["courses.4"] == 35
    assert job["runs.4"] == len(found)
    assert job["around.4"] == pytest.approx(744)
    assert job["shape_state.1"] == "ok"
    assert (job["shape_name.1"], job["shape_rim.1"]) == ("Back porch", "62'-0\"")
    assert job.used("run_course_shown") == [piece.course for piece in found]
    assert job.used("run_length_shown") == [sheetcalc.feet_inches(piece.length) for piece in found]
    assert (job["layout_cut.4"], job["sawing_cut.4"]) == (
        "see stretches",
        "see Layout: angled ends",  # one course is notched at its end
    )
    assert job.used("stretch_course") == [str(piece.course) for piece in found]  # the scaffold's list
    assert job.used("stretch_length") == job.used("run_length_shown")

    pieces = dict(zip(job.used("piece_length"), job.used("piece_count"), strict=True))
    for piece in found:
        cut_before[piece.length] = cut_before.get(piece.length, 0) + 1
    assert pieces == cut_before  # all cut together with those of the other ceilings
    assert job["boards_needed"] > before["boards_needed"]
    assert job["joints.4"] == 0
    assert job["cut_ends.4"] == 2 * len(found)
    mean = math.fsum(piece.length for piece in found) / len(found)
    assert job["nails.4"] == sheetcalc.nail_count(courses=35, along=mean, spacing=16)
    assert {handle: job[handle] for handle in rectangles} == rectangles
    named = dict(zip(job.used("setting_at_stop"), job["setting_for"], strict=False))
    assert named["95"] == "2 ceilings with joints or corners"
    assert named["191"] == "2 ceilings with joints or corners, angled"  # that course is among them


def test_a_ceiling_longer_than_the_boards_is_jointed(job: Job):
    job.type(corners(LONG, CHIMNEY) | {"first_framing.4": "12"})
    found = sheetcalc.course_pieces(**listed(LONG, CHIMNEY), **LAID)
    asked = {
        "lengths": [piece.length for piece in found],
        "courses": [piece.course for piece in found],
        "starts": [piece.start for piece in found],
        "stock": STOCK,
        "prices": PRICES,
        "first_bearing": 12,  # from the line of the left-most corner, as the pieces
        **RULES,
    }
    assert job["area.4"] == pytest.approx((320 + 280) / 2 * 94 / 144 - 30 * 20 / 144)
    assert job["jointed.4"] == 1
    assert job["joints.4"] == sheetcalc.joint_count(**asked)
    assert job["joint_money.4"] == pytest.approx(sheetcalc.joint_cost(**asked))
    assert job["plan_joints.1"] == job["joints_total"] == job["joints.3"] + job["joints.4"]
    marks = {mark.course: mark.pieces for mark in sheetcalc.joint_marks(**asked)}
    shown = zip(job.used("run_course_shown"), job["run_boards_shown"], strict=False)
    assert {course: words for course, words in shown if words} == marks
    pieces = dict(zip(job.used("piece_length"), job.used("piece_count"), strict=True))
    for length, count in sheetcalc.joint_pieces(**asked):
        assert sum(many for piece, many in pieces.items() if piece == pytest.approx(length)) >= count
    assert "Back porch" not in job["joint_words"]
    job.type({"pole_ceiling": "Back porch"})
    assert job["joint_words"] == "see its stretches, below"
    assert len(job.used("mark_course")) == job["courses.4"]


def test_a_light_keeps_joints_off_in_a_shape(job: Job):
    job.type(corners(LONG))
    place = job["shape_marks_joints"][9].split(", ")[0]  # the first joint of course 10
    at = sheetcalc.read_length(place)
    light = {"fixture.8": "Light 6", "fixture_ceiling.8": "Back porch", "shape.8": "round", "width.8": "6"}
    job.type(light | {"position_across.8": "47", "position_along.8": str(at), "framed.8": "yes"})
    assert job["keep_from.8"] == pytest.approx(at - 9)
    first, last = map(int, job["courses_cut.8"].split("-"))
    for course in range(first, last + 1):
        for joint in job["shape_marks_joints"][course - 1].split(", "):
            assert not at - 9 < sheetcalc.read_length(joint) < at + 9


def test_backing_trim_and_primer_follow_the_shape(job: Job):
    job.type(
        corners(L_SHAPE)
        | {"backing": "sheathing", "barrier": "yes", "prime_backs": "yes"}
        | {"trim_length.1": "10'", "trim_price.1": "13.5", "trim_length.2": "16'", "trim_price.2": "23"}
    )
    found = sheetcalc.course_pieces(**listed(L_SHAPE), **LAID)
    run = math.fsum(piece.length for piece in found)
    share = 184 / (192 * 180 / 144)
    assert job["sheets.4"] == sheetcalc.sheet_count(across=180, along=192 * share)
    assert job["barrier_run.4"] == pytest.approx(6 * 192 * share)  # strips of 36 in that lap 6
    assert job["back_area.4"] == pytest.approx(sheetcalc.board_coverage(face=job["overall_of.4"], length=run))
    ripped = math.fsum(piece.length for piece in found if piece.width < 5.125 - 1 / 64)
    assert job["ripped_area.4"] == pytest.approx(0.75 * ripped / 144)
    walls = [wall.length for wall in sheetcalc.shape_walls(**listed(L_SHAPE))]
    assert job.used("trim_run_wall")[6:] == walls
    assert job.used("trim_run_walls") == [2] * 6 + [1] * 6
    job.type({"backing": "strapping"})
    assert job["strapping.4"] == pytest.approx(13 * 180 * share)


def test_one_ceiling_alone_by_corners_needs_no_name(blank: Job):
    prices = {
        "board_wanted": "1x6",
        "board_rate": "2",
        "labor_rate": "60",
        "hang_rate": "0.1",
        "profit": "20",
    }
    rows = {
        f"corner_{side}.{row}": str(place)
        for row, point in enumerate(L_SHAPE, 1)
        for side, place in zip(("along", "across"), point, strict=True)
    }
    blank.type(prices | rows)
    assert blank["missing"] == 0
    assert blank["stops"] == 0
    assert blank["area_total"] == pytest.approx(184)
    assert blank["price"] > 0
    assert blank.errors() == []
    blank.type({"across_one": "100"})  # Start would count no longer; better to say so than to pass it over
    assert blank["look_state"][blank_row(blank, "No ceiling has readings besides")] == "look"


def blank_row(job: Job, words: str) -> int:
    return next(row for row, line in enumerate(job["look_checks"]) if line[0].startswith(words))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            corners([(0, 0), (100, 100), (100, 0), (0, 100)]),
            "along, row 2, is 100 in, but must go round the walls",
        ),
        (
            corners([(0, 5), (100, 90)]),
            "across, row 1, is 5 in, but must be 0 at the starting wall: take this off all",
        ),
        (corners([(0, 0)]), "along, row 1, is 0 in, but must hold two corners"),
        (corners([(0, 0), (100, 90)]) | {"corner_across.2": "wide"}, "across, row 2, is “wide”, but must be"),
    ],
)
def test_a_shape_that_is_none_stops_the_price_and_says_why(job: Job, typed: dict[str, str], said: str):
    job.type(typed)
    assert job["shape_state.1"].startswith(said)
    assert job["price"] == CellError.NA


@pytest.mark.parametrize(
    "typed",
    [
        corners([(0, 0), (100, 90)]) | {"corner_across.2": ""},
        corners([(0, 0), (100, 90)], ceiling="Bach porch"),
        {f"ceiling.{row}": f"Room {row}" for row in range(4, 5 + SHAPES)}
        | {f"corner_ceiling.{row}": f"Room {3 + (row + 1) // 2}" for row in range(1, 3 + 2 * SHAPES)}
        | {f"corner_along.{row}": str(100 * (row % 2)) for row in range(1, 3 + 2 * SHAPES)}
        | {f"corner_across.{row}": str(80 * (row % 2)) for row in range(1, 3 + 2 * SHAPES)},
    ],
    ids=["half a corner", "unknown ceiling", "too many"],
)
def test_corners_that_belong_nowhere_stop_the_price(job: Job, typed: dict[str, str]):
    job.type(typed)
    assert job["price"] == CellError.NA
    assert any(line[2].startswith("Shapes") for line in job["stop_checks"] if line[1] == "stop")


NARROWED = [(0, 0), (192, 0), (192, 94), (96, 94), (96, 180), (0, 180)]  # its inner wall leaves a strip


def test_the_smallest_strip_is_also_one_that_a_wall_inside_leaves(job: Job):
    job.type(corners(NARROWED))
    own = min(job.used("run_narrowest"))
    assert own < min(job.used("first_seen") + job.used("last_seen"))
    assert job["smallest_shows"] == own
    ways = job["seen_by_way"]
    for way in (WAYS[0], WAYS[3]):  # as measured and turned
        strips = [min(job.used(what + way.end)) for what in ("first_seen", "last_seen", "run_narrowest")]
        assert ways[way.number - 1] == min(strips)
    assert ways[job["job_by_way"].index(1)] == own


def test_openings_outside_or_upon_each_other_are_named(job: Job):
    job.type(corners(L_SHAPE, [(120, 120), (150, 150)]))  # where the L has no ceiling
    assert job["shape_state.1"].endswith("must lie within the walls: none of it does")
    assert (job["stop_state.stop_corners"], job["stop_where.stop_corners"]) == ("stop", "Shapes: Back porch")
    job.take_back()
    job.type(corners(L_SHAPE, [(20, 40), (50, 60)], [(40, 50), (60, 70)]))
    assert (job["look_state.look_opening"], job["look_where.look_opening"]) == ("look", "Shapes: Back porch")


def test_the_saw_is_told_of_ends_at_an_angle(job: Job):
    job.type(corners([(0, 0), (150, 0), (130, 94), (0, 94)]))
    assert job["sawing_cut.4"] == "see Layout: angled ends"
    marked = {
        at
        for at, what in zip(job["setting_at_stop"], job["setting_for"], strict=True)
        if str(what).endswith(", angled")
    }
    assert marked == {
        sheetcalc.inch_fraction(length)
        for length, short in zip(job.used("run_length"), job.used("run_short"), strict=True)
        if length - short > 1 / 16
    }
    assert len(marked) > 10
