"""Where end joints fall: every plan is walked along the ceiling as the carpenter would."""

import math
from collections import Counter, defaultdict
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import lengths

from sheetcalc.cells.call import call, problem
from sheetcalc.cells.values import CellError
from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.solver.cutting import TooLong
from sheetcalc.trade import joints
from sheetcalc.trade.buying import buy_cost, lowest_buy_cost
from sheetcalc.trade.joints import (
    joint_cost,
    joint_count,
    joint_marks,
    joint_pieces,
    joint_plan,
    lowest_joint_cost,
    piece_list,
)
from sheetcalc.trade.lengths import parse_length

YARD: dict[str, Any] = {"stock": [96, 120, 144, 168, 192], "prices": [13.2, 16.6, 20.4, 24.9, 29.7]}
PORCH: dict[str, Any] = {
    **YARD,
    "lengths": [382.625],
    "counts": [12],
    "bearing": 16,
    "first_bearing": 10.5,
    "joint_price": 4.25,
    "kerf": 0.125,
    "end_trim": 0.5,
}


def laid(**job: Any) -> dict[int, list[tuple[float, float]]]:
    """Start and end of each piece, course by course."""
    found: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for course, piece, start, length in joint_plan(**job):
        found[course].append((start, start + length))
        assert piece == len(found[course])
    assert list(found) == sorted(found)
    return dict(found)


def joints_of(pieces: list[tuple[float, float]]) -> list[float]:
    return [end for (_, end), (start, _) in pairwise(pieces) if end == start]


def check(courses: dict[int, list[tuple[float, float]]], job: dict[str, Any]) -> None:
    """Joints on bearings, apart from those beside them, on bearings that have rested; no piece too short."""
    stagger, least = job.get("stagger", 24), job.get("least_piece", 24)
    apart, first = job.get("courses_apart", 4), job.get("first_bearing", 0)
    for course, pieces in courses.items():
        here = joints_of(pieces)
        assert max(end - start for start, end in pieces) <= max(job["stock"]) - job.get("end_trim", 0) + 1e-9
        if here:
            assert min(end - start for start, end in pieces) >= least - 1e-9
        for joint in here:
            if job.get("bearing"):
                assert math.isclose((joint - first) / job["bearing"], round((joint - first) / job["bearing"]))
            for other in range(1, apart + 1):
                assert joint not in joints_of(courses.get(course + other, []))
            for beside in joints_of(courses.get(course + 1, [])):
                assert abs(joint - beside) >= stagger


# --- The plan ---


def test_a_porch():
    courses = laid(**PORCH)
    assert list(courses) == [*range(1, 13)]
    assert all((pieces[0][0], pieces[-1][1]) == (0, 382.625) for pieces in courses.values())
    assert all(len(joints_of(pieces)) == len(pieces) - 1 for pieces in courses.values())
    check(courses, PORCH)


def test_pieces_are_those_of_the_plan_longest_first():
    counted = Counter(piece.length for piece in joint_plan(**PORCH))
    assert joint_pieces(**PORCH) == sorted(counted.items(), reverse=True)


def test_the_cost_is_that_of_the_boards_and_the_joints():
    pieces, counts = zip(*joint_pieces(**PORCH), strict=True)
    yard = {name: PORCH[name] for name in ("stock", "prices", "kerf", "end_trim")}
    number = sum(len(joints_of(course)) for course in laid(**PORCH).values())
    assert joint_count(**PORCH) == number
    assert joint_cost(**PORCH) == pytest.approx(buy_cost(pieces, counts, **yard) + 4.25 * number)
    assert lowest_buy_cost(pieces, counts, **yard) + 4.25 * number <= joint_cost(**PORCH) + 1e-9
    assert 0.97 * joint_cost(**PORCH) <= lowest_joint_cost(**PORCH) <= joint_cost(**PORCH)


def test_marks_say_the_same_in_words():
    for mark, pieces in zip(joint_marks(**PORCH), laid(**PORCH).values(), strict=True):
        read = [float(parse_length(words).number) for words in mark.pieces.split(" + ")]
        assert read == [end - start for start, end in pieces]
        assert [float(parse_length(words).number) for words in mark.joints.split(", ")] == joints_of(pieces)


def test_a_course_in_one_piece_has_no_joints():
    (mark,) = joint_marks(lengths=[110.25], joint_price=5, bearing=16, **YARD)
    assert mark == (1, "9'-2 1/4\"", "")


def test_an_opening_splits_its_courses():
    job = {
        **YARD,
        "bearing": 16,
        "lengths": [384, 130, 200, 384],
        "counts": [3, 2, 2, 3],
        "courses": [1, 4, 4, 6],
        "starts": [0, 0, 184, 0],
    }
    courses = laid(**job)
    assert list(courses) == [*range(1, 9)]
    for course in (4, 5):
        assert (courses[course][0][0], courses[course][-1][1]) == (0, 384)
        assert 130 in [end for _, end in courses[course]]
        assert 184 in [start for start, _ in courses[course]]
        assert joint_marks(**job)[course - 1].pieces.count(";") == 1
    check(courses, job)


def test_nothing_falls_where_it_is_to_be_kept_clear():
    clear = {
        "keep_clear": ["2-4", "7", "none", " "],
        "clear_from": [170, 160, None, None],
        "clear_to": [260, 250, 1, 2],
    }
    inside = {2: (170, 260), 3: (170, 260), 4: (170, 260), 7: (160, 250)}
    job = {**YARD, "lengths": [384], "counts": [9], "bearing": 16}
    courses = laid(**job, **clear)
    check(courses, job)
    for course, (low, high) in inside.items():
        assert not [joint for joint in joints_of(courses[course]) if low < joint < high]
    assert any(low < joint < high for c, (low, high) in inside.items() for joint in joints_of(laid(**job)[c]))


def test_stretches_of_other_ceilings_are_left_out():
    job = {**YARD, "lengths": [384], "counts": [9], "bearing": 16}
    clear = {
        "keep_clear": ["1-9", 5],
        "clear_from": [0, 180],
        "clear_to": [384, 200],
        "clear_ceilings": [2, None],
    }
    courses = laid(**job, **clear, ceiling=1)
    assert not [joint for joint in joints_of(courses[5]) if 180 < joint < 200]
    with pytest.raises(NotFound) as wrong:
        joint_plan(**job, **clear, ceiling=2)
    assert wrong.value.argument == "keep_clear"


def test_measured_bearings():
    bearings = [14.5, 62, 110.25, 130, 158.5, 171, 206.75, 230, 254.5, 300]
    job = {**YARD, "lengths": [330], "counts": [3], "stagger": 18}
    found = [joint for pieces in laid(**job, bearing=bearings).values() for joint in joints_of(pieces)]
    assert found
    assert set(found) <= set(bearings)


@pytest.mark.parametrize("bearing", [0, 16])
def test_a_board_that_its_trim_leaves_nothing_of_changes_nothing(bearing: float):
    job = {"lengths": [384], "counts": [9], "bearing": bearing, "end_trim": 12}
    useful = {"stock": [96, 144, 192], "prices": [12, 20, 27]}
    scrap = {"stock": [10, 96, 144, 192], "prices": [1, 12, 20, 27]}
    assert joint_plan(**job, **scrap) == joint_plan(**job, **useful)
    assert lowest_joint_cost(**job, **scrap) == lowest_joint_cost(**job, **useful)


def test_joints_anywhere():
    job = {**YARD, "lengths": [381.375], "counts": [7], "kerf": 0.125}
    check(laid(**job), job)
    assert lowest_joint_cost(**job) <= joint_cost(**job)


def test_no_rules():
    job = {**YARD, "lengths": [384], "counts": [6], "bearing": 16, "stagger": 0, "least_piece": 0}
    check(laid(**job, courses_apart=0), {**job, "courses_apart": 0})
    assert joint_cost(**job, courses_apart=0) == lowest_joint_cost(**job, courses_apart=0)


def test_bearings_off_the_steps_of_the_tape():
    job = {**YARD, "lengths": [384], "counts": [5], "bearing": 19.2}  # 8 ft in five
    check(laid(**job), job)
    pieces, counts = zip(*joint_pieces(**job), strict=True)
    assert joint_cost(**job) == buy_cost(pieces, counts, **YARD)  # each piece rounded up by itself
    odd = {**job, "bearing": 19.2137}
    check(laid(**odd), odd)


def test_courses_counted_none():
    job = {**YARD, "lengths": [384, 200], "counts": [0, 0], "bearing": 16}
    assert joint_plan(**job) == joint_pieces(**job) == joint_marks(**job) == []
    assert joint_cost(**job) == lowest_joint_cost(**job) == joint_count(**job) == 0


@settings(max_examples=25, deadline=None)
@given(
    length=lengths(100, 480),
    count=st.integers(1, 7),
    bearing=st.sampled_from([0, 12, 16, 19.2, 24]),
    first=lengths(0, 16),
    kerf=st.sampled_from([0, 0.125]),
    joint_price=st.sampled_from([0, 3.5]),
)
def test_any_rectangle(
    length: float, count: int, bearing: float, first: float, kerf: float, joint_price: float
):
    job = {
        **YARD,
        "lengths": [length],
        "counts": [count],
        "bearing": bearing,
        "first_bearing": first,
        "kerf": kerf,
        "joint_price": joint_price,
        "stagger": 20,
        "courses_apart": 2,
    }
    try:
        courses = laid(**job)
    except NotFound as none:
        argument = none.argument
    else:
        check(courses, job)
        assert all((pieces[0][0], pieces[-1][1]) == (0, length) for pieces in courses.values())
        assert 0 < lowest_joint_cost(**job) <= joint_cost(**job)
        return
    assert bearing == 24
    assert argument in ("stagger", "courses_apart", "least_piece")


# --- Several ceilings ---


def test_pieces_of_several_ceilings_are_those_of_each():
    clear = {"keep_clear": ["1-3"], "clear_from": [100], "clear_to": [200], "clear_ceilings": [7]}
    rules = {"stagger": 30, "least_piece": 20, "joint_price": 2, "kerf": 0.125, "courses_apart": 3}
    found = piece_list(
        lengths=[382, 182.5, 300],
        counts=[9, 20, 8],
        bearing=16,
        first_bearings=[4, None, 12],
        ceilings=[7, 3, 5],
        **YARD,
        **rules,
        **clear,
    )
    alone = Counter({182.5: 20})
    for length, count, first, ceiling in ((382, 9, 4, 7), (300, 8, 12, 5)):
        job = {
            "lengths": [length],
            "counts": [count],
            "first_bearing": first,
            "ceiling": ceiling,
            "bearing": 16,
        }
        alone.update(dict(joint_pieces(**job, **YARD, **rules, **clear)))
    assert found == sorted(alone.items(), reverse=True)


def test_a_ceiling_that_a_board_reaches_over_is_never_joined():
    assert piece_list(
        lengths=[191.5, 192], counts=[4, 4], end_trim=0.5, bearing=16, joint_price=99, **YARD
    ) == [
        (191.5, 4),
        *joint_pieces(lengths=[192], counts=[4], end_trim=0.5, bearing=16, joint_price=99, **YARD),
    ]


def test_lengths_alike_but_for_dust_are_one():
    found = piece_list(lengths=[100.1, 0.1 + 100.0, 100], counts=[2, 3, 1], **YARD)
    assert [pieces for _, pieces in found] == [5, 1]


def test_ceilings_whose_courses_differ():
    # Ceiling 3 fits its boards stretch by stretch; of ceiling 5 one does not, so all of it is laid out.
    runs = {
        "runs": [180.5, 90, 60.25, 300, 250, 40],
        "runs_of": [3, 3, 3, 5, 5, 5],
        "courses": [1, 2, 2, 1, 2, 2],
        "starts": [0, 0, 100, 0, 12, 270],
    }
    rules = {"stagger": 30, "least_piece": 20, "joint_price": 2, "kerf": 0.125, "courses_apart": 3}
    found = piece_list(
        lengths=[181, 300, 100],
        counts=[9, 8, 2],
        bearing=16,
        first_bearings=[4, 12, None],
        ceilings=[3, 5, 7],
        **runs,
        **YARD,
        **rules,
    )
    alone = Counter([180.5, 90, 60.25, 100, 100])
    job = {"lengths": [300, 250, 40], "courses": [1, 2, 2], "starts": [0, 12, 270], "first_bearing": 12}
    alone.update(dict(joint_pieces(**job, bearing=16, **YARD, **rules)))
    assert found == sorted(alone.items(), reverse=True)


# --- What is refused ---

GOOD: dict[str, Any] = {**YARD, "lengths": [384, 200], "counts": [3, 2], "bearing": 16}


@pytest.mark.parametrize(
    ("error", "argument", "changes"),
    [
        (NotReadable, "lengths", {"lengths": [], "counts": None}),
        (InputError, "lengths", {"lengths": [384, 0]}),
        (NotReadable, "counts", {"counts": [3]}),
        (InputError, "counts", {"counts": [3, 1.5]}),
        (InputError, "counts", {"counts": [3, 9000]}),
        (NotReadable, "courses", {"courses": [1, 2, 3]}),
        (InputError, "courses", {"courses": [1, 2.5]}),
        (NotReadable, "starts", {"starts": [0]}),
        (InputError, "starts", {"starts": [0, -1]}),
        (InputError, "starts", {"courses": [1, 3], "starts": [0, 383]}),
        (NotReadable, "stock", {"stock": [], "prices": []}),
        (NotReadable, "prices", {"prices": [1]}),
        (NotFound, "stock", {"end_trim": 200}),
        (NotFound, "stock", {"bearing": [200]}),
        (NotFound, "stock", {"bearing": [5, 380]}),
        (NotFound, "stagger", {"stagger": 500}),
        (NotFound, "courses_apart", {"counts": [30, 2], "courses_apart": 40}),
        (NotFound, "least_piece", {"least_piece": 193}),
        (InputError, "bearing", {"bearing": -16}),
        (InputError, "bearing", {"bearing": 0.5}),
        (InputError, "bearing", {"bearing": [at / 2 for at in range(1, 600)]}),
        (InputError, "lengths", {"lengths": [384, 1e6], "bearing": 0}),
        (InputError, "bearing", {"bearing": [16, -3]}),
        (InputError, "first_bearing", {"first_bearing": -1}),
        (NotReadable, "first_bearing", {"bearing": [150, 190, 230], "first_bearing": 3}),
        (InputError, "stagger", {"stagger": -1}),
        (InputError, "least_piece", {"least_piece": -1}),
        (InputError, "joint_price", {"joint_price": -1}),
        (InputError, "kerf", {"kerf": -1}),
        (InputError, "courses_apart", {"courses_apart": 1.5}),
        (InputError, "effort", {"effort": 0}),
        (NotReadable, "clear_from", {"keep_clear": ["1-2"], "clear_to": [9]}),
        (NotReadable, "clear_to", {"keep_clear": ["1-2"], "clear_from": [9]}),
        (InputError, "clear_to", {"keep_clear": ["1-2"], "clear_from": [9], "clear_to": [9]}),
        (NotReadable, "clear_to", {"keep_clear": ["1-2"], "clear_from": [9], "clear_to": [10, 11]}),
        (NotReadable, "keep_clear", {"keep_clear": ["all"], "clear_from": [9], "clear_to": [10]}),
        (NotReadable, "keep_clear", {"keep_clear": ["3-2"], "clear_from": [9], "clear_to": [10]}),
        (InputError, "keep_clear", {"keep_clear": [2.5], "clear_from": [9], "clear_to": [10]}),
        (InputError, "ceiling", {"ceiling": 0.5}),
        (InputError, "clear_ceilings", {"keep_clear": ["none"], "clear_ceilings": [0.5]}),
    ],
)
def test_refused(error: type[Exception], argument: str, changes: dict[str, Any]):
    with pytest.raises(error) as wrong:
        joint_plan(**{**GOOD, **changes})
    assert wrong.value.argument == argument


@pytest.mark.parametrize(
    ("error", "argument", "changes"),
    [
        (NotReadable, "lengths", {"lengths": []}),
        (InputError, "lengths", {"lengths": [-1, 200]}),
        (NotReadable, "counts", {"counts": [3]}),
        (InputError, "counts", {"counts": [3, 0.5]}),
        (NotReadable, "first_bearings", {"first_bearings": [3]}),
        (NotReadable, "ceilings", {"ceilings": [3]}),
        (NotReadable, "runs_of", {"runs": [90], "courses": [1], "starts": [0]}),
        (NotReadable, "starts", {"runs": [90], "runs_of": [1], "courses": [1], "starts": []}),
        (InputError, "runs", {"runs": [0], "runs_of": [1], "courses": [1], "starts": [0]}),
        (InputError, "runs_of", {"runs": [90], "runs_of": [1.5], "courses": [1], "starts": [0]}),
        (InputError, "courses", {"runs": [900], "runs_of": [1], "courses": [1.5], "starts": [0]}),
        (NotReadable, "stock", {"stock": [], "prices": []}),
        (NotFound, "stagger", {"stagger": 500}),
    ],
)
def test_refused_for_several(error: type[Exception], argument: str, changes: dict[str, Any]):
    with pytest.raises(error) as wrong:
        piece_list(**{**GOOD, **changes})
    assert wrong.value.argument == argument


def test_too_long(monkeypatch: pytest.MonkeyPatch):
    def never(*_: object) -> None:
        raise TooLong

    monkeypatch.setattr(joints, "_layout", never)
    with pytest.raises(InputError) as wrong:
        joint_plan(**GOOD)
    assert wrong.value.argument == "lengths"


# --- From a cell ---

STOCK = [[96.0], [120.0], [144.0], [168.0], [192.0]]
PRICES = [[13.2], [16.6], [20.4], [24.9], [29.7]]


def test_from_a_cell():
    args = [384.0, STOCK, PRICES, 16.0, None, None, None, 5.0, *[None] * 4]
    job = {**YARD, "lengths": [384], "bearing": 16, "joint_price": 5}
    assert call("JOINT_COUNT", args) == joint_count(**job)
    assert call("JOINT_COUNT", [*args, 3.0]) == joint_count(**job, counts=[3])
    plan = call("JOINT_PLAN", [*args, 12.0, 3.0])
    assert isinstance(plan, list)
    assert len(plan) == 12  # rows stand before counts
    assert plan[0][:3] == [1, 1, 0]
    assert plan[-1] == ["", "", "", ""]


def test_metric_words_and_defaults():
    stock = [[2400.0], [3000.0], [4800.0]]
    args = [9600.0, stock, [[12.0], [16.0], [26.0]], 400.0, None, None, None, 5.0, *[None] * 5, 2.0, "metric"]
    marks = call("JOINT_MARKS", args)
    assert isinstance(marks, list)
    assert marks[0][1].count(" + ") == marks[0][2].count(", ") + 1
    assert "'" not in marks[0][1]
    assert call("JOINT_MARKS", [*args[:5], 600.0, 600.0, *args[7:]]) == marks


def test_the_sentence_names_the_rule_to_relax():
    args = [384.0, STOCK, PRICES, 16.0, None, 500.0, *[None] * 7, 3.0]
    assert call("JOINT_PLAN", args) is CellError.NA
    assert problem("JOINT_PLAN", args).startswith("stagger is 500 in, but leaves no place for the end joints")


# --- Good plans are not lost ---


@pytest.mark.parametrize(
    ("args", "cost", "joints"),
    [
        (([100, 100, 79], [144, 120], [15.22, 16.89], [31, 34, 74, 90, 100, 122], 0, 24, 24, 5), 40.44, 2),
        (([264] * 4, [144], [15], 0, 0, 24, 24, 1, 0, 0, 0), 124, 4),
        (([250, 250, 77.5], [168, 96], [24.74, 15.1], 32, 0, 16, 24, 2.5, 0, 0.5), 96.82, 3),
        (([180, 180], [144, 192], [15, 20], 16, 0, 24, 24, 0.01), 40, 0),
        (([180, 180], [144, 192], [15, 20], 16), 40, 0),
        (([264] * 4, [144], [15]), 120, 5),
        (([240, 240], [96], [10]), 50, 4),
    ],
)
def test_few_courses_at_least_cost_and_then_with_few_joints(args: tuple[Any, ...], cost: float, joints: int):
    assert joint_cost(*args) == pytest.approx(cost)
    assert joint_count(*args) == joints


SOLID: dict[str, Any] = {"joint_price": 2, "kerf": 0.125, "end_trim": 0.5}


@pytest.mark.parametrize(
    ("job", "tighter"),
    [
        ({"stock": [120, 168], "prices": [13.83, 18.91]}, {"stock": [168], "prices": [18.91]}),
        ({"stock": [120, 168], "prices": [13.83, 18.91], "least_piece": 12}, {"least_piece": 24}),
        ({"stock": [144, 168], "prices": [16.51, 17.56], "courses_apart": 0}, {"courses_apart": 4}),
        ({"stock": [144, 168], "prices": [16.51, 17.56], "stagger": 12}, {"stagger": 24}),
        ({"stock": [144, 168], "prices": [16.51, 17.56], "effort": 3}, {"effort": 1}),
    ],
)
def test_more_to_choose_from_is_no_dearer(job: dict[str, Any], tighter: dict[str, Any]):
    job = {**SOLID, "lengths": [288], "counts": [16], **job}
    assert joint_cost(**job) <= joint_cost(**{**job, **tighter}) + 1e-9


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (
            [260, [[30], [20]], [[30], [20]], 16, 7, 0, 60, *[None] * 3, 4, None, 4],
            "least_piece is 60 in, but must be no longer than the longest stock",
        ),
        (
            [[[240], [240]], 20, 1, 16, 7, 0],
            "least_piece is 24 in when not given, but must be no longer than the longest stock",
        ),
        (
            [264, 144, 15, None, None, 24, 120, 1, *[None] * 4, 4],
            "courses_apart is 4 when not given, but leaves no",
        ),
        ([20000, 192, 27, 16], "lengths is 20000 in, but must be 40 of the longest boards at most"),
        ([1000, 144, 15, [[60], [120]]], "lengths is 1000 in, but must end within one board of the last"),
        (
            [200, 120, 15, [[90], [100]], None, 24, 24, None, None, None, 2, None, 3],
            "stagger is 24 in, but leaves no place for the end joints together with the other rules",
        ),
    ],
)
def test_the_sentence_gives_advice_that_can_be_followed(args: list[Any], sentence: str):
    assert call("JOINT_COST", args) in (CellError.NA, CellError.NUM)
    assert problem("JOINT_COST", args).startswith(sentence)


def test_marks_off_the_sixteenths_are_worded_finer():
    (mark,) = joint_marks([240 + 3 / 64], [144, 192], [12, 17], [96 + 1 / 64, 120])
    assert mark.joints in ("8'-0 1/64\"", "10'-0\"")
    assert "/64" in mark.pieces
    metric = call("JOINT_MARKS", [6000.3, [[3600], [4800]], [[12], [17]], [[2400.2], [2400.2]], "metric"])
    assert metric == [[1, "2400.2 + 3600.1", "2400.2"]]
