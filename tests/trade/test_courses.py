from fractions import Fraction
from itertools import pairwise
from math import ceil, floor

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from strategies import ceilings, faces, gaps, lengths

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.courses import (
    course_count,
    course_ends,
    course_marks,
    course_note,
    courses_crossed,
    fence_setting,
    layout_table,
    open_per_course,
    rip_width,
    visible_width,
)
from sheetcalc.trade.cutting import cut_length

# Worked by hand: face 5, so that every remainder shows.
# name: (ceiling, courses, gap at the start, [(first, last, finish gap) at each reading])
WORKED = {
    # --- whole faces fit: the gaps take the difference
    "whole faces": ({"across": 51, "gap": 0.5}, 10, 0.5, [(5, 5, 0.5)]),
    "whole faces, balanced asked for": (
        {"across": 51, "gap": 0.5, "layout": "balanced"},
        10,
        0.5,
        [(5, 5, 0.5)],
    ),
    "one whole face": ({"across": 6, "gap": 0.5}, 1, 0.5, [(5, 5, 0.5)]),
    "gaps grow by halves": (
        {"across": 51.375, "gap": 0.5, "finish_gap": 0.75, "take_up": 0.25},
        10,
        0.5625,
        [(5, 5, 0.8125)],
    ),
    "gaps shrink by halves": (
        {"across": 51, "gap": 0.5, "finish_gap": 0.75, "take_up": 0.25},
        10,
        0.375,
        [(5, 5, 0.625)],
    ),
    "take-up just reached": ({"across": 51.25, "gap": 0.5, "take_up": 0.25}, 10, 0.625, [(5, 5, 0.625)]),
    "take-up just missed": (
        {"across": 51.3125, "gap": 0.5, "take_up": 0.25, "least": 0},
        11,
        0.5,
        [(5, 0.3125, 0.5)],
    ),
    "short of whole faces by more than take-up": (
        {"across": 50.6875, "gap": 0.5, "take_up": 0.25},
        10,
        0.5,
        [(5, 4.6875, 0.5)],
    ),
    "half of each gap left": ({"across": 50.5, "gap": 0.5, "take_up": 0.5}, 10, 0.25, [(5, 5, 0.25)]),
    "start gap would lose more than half": (
        {"across": 50.75, "gap": 0.25, "finish_gap": 1, "take_up": 0.5},
        10,
        0.25,
        [(5, 4.5, 1)],
    ),
    "finish gap would lose more than half": (
        {"across": 50.75, "gap": 1, "finish_gap": 0.25, "take_up": 0.5},
        10,
        1,
        [(5, 4.5, 0.25)],
    ),
    "start takes half the mean difference, finish the rest": (
        {"across": [51.25, 51.5, 51], "gap": 0.5, "take_up": 0.5},
        10,
        0.625,
        [(5, 5, 0.625), (5, 5, 0.875), (5, 5, 0.375)],
    ),
    "mean difference nothing": (
        {"across": [51.125, 50.875], "gap": 0.5, "take_up": 0.125},
        10,
        0.5,
        [(5, 5, 0.625), (5, 5, 0.375)],
    ),
    "finish gap would lose more than half at one reading": (
        {"across": [51.5, 50.75], "gap": 0.5, "take_up": 0.5},
        10,
        0.5,
        [(5, 5, 1), (5, 4.75, 0.5)],
    ),
    "one reading beyond take-up": (
        {"across": [51, 51.5], "gap": 0.5, "take_up": 0.25, "layout": "full", "least": 0},
        11,
        0.5,
        [(5, 0, 0.5), (5, 0.5, 0.5)],
    ),
    "take-up of half a face, halfway: fewer courses": (
        {"across": 17.5, "gap": 2.5, "take_up": 2.5},
        2,
        3.75,
        [(5, 5, 3.75)],
    ),
    "take-up of half a face, never no course": (
        {"across": 7.5, "gap": 2.5, "take_up": 2.5},
        1,
        1.25,
        [(5, 5, 1.25)],
    ),
    "taper gap: whole faces at the narrowest": (
        {"across": [51.125, 52], "gap": 0.5, "take_up": 0.125, "taper": "gap"},
        10,
        0.5625,
        [(5, 5, 0.5625), (5, 5, 1.4375)],
    ),
    # --- as many courses as the widest reading needs
    "default take-up is 1/64": ({"across": 51.015625, "gap": 0.5}, 10, 0.5078125, [(5, 5, 0.5078125)]),
    "over 1/64 takes a course more": (
        {"across": 51.03125, "gap": 0.5, "layout": "full"},
        11,
        0.5,
        [(5, 0.03125, 0.5)],
    ),
    "the finishing gap takes what is over the courses": (
        {"across": [20.25, 19], "gap": 0, "take_up": 0.25},
        4,
        0,
        [(5, 5, 0.25), (5, 4, 0)],
    ),
    "one course, ripped": ({"across": 4, "gap": 0.5}, 1, 0.5, [(3, 3, 0.5)]),
    "one course, tapered": ({"across": [4, 4.5], "gap": 0.5}, 1, 0.5, [(3, 3, 0.5), (3.5, 3.5, 0.5)]),
    "one course, taper split": (
        {"across": [4, 4.5], "gap": 0.5, "taper": "split"},
        1,
        0.5,
        [(3, 3, 0.5), (3.5, 3.5, 0.5)],
    ),
    "one course, taper gap": (
        {"across": [4, 4.5], "gap": 0.5, "taper": "gap"},
        1,
        0.5,
        [(3, 3, 0.5), (3, 3, 1)],
    ),
    "one course, no wider than a face": (
        {"across": [5.125, 4.5], "gap": 0, "take_up": 0.25},
        1,
        0,
        [(5, 5, 0.125), (4.5, 4.5, 0)],
    ),
    "one course, far under take-up": (
        {"across": 1.25, "gap": 0.5, "take_up": 2.5},
        1,
        0.5,
        [(0.25, 0.25, 0.5)],
    ),
    # --- two courses and more, taper in the last
    "auto starts full": ({"across": 54, "gap": 0.5}, 11, 0.5, [(5, 3, 0.5)]),
    "auto starts full where the last is just wide enough": (
        {"across": 53.5, "gap": 0.5},
        11,
        0.5,
        [(5, 2.5, 0.5)],
    ),
    "auto balances": ({"across": 53.375, "gap": 0.5}, 11, 0.5, [(3.6875, 3.6875, 0.5)]),
    "auto balances for one narrow reading": (
        {"across": [54, 53.375], "gap": 0.5},
        11,
        0.5,
        [(3.84375, 4.15625, 0.5), (3.84375, 3.53125, 0.5)],
    ),
    "least decides": ({"across": 53.375, "gap": 0.5, "least": 2.375}, 11, 0.5, [(5, 2.375, 0.5)]),
    "full, though narrow": ({"across": 52, "gap": 0.5, "layout": "full"}, 11, 0.5, [(5, 1, 0.5)]),
    "balanced, though wide": ({"across": 54, "gap": 0.5, "layout": "balanced"}, 11, 0.5, [(4, 4, 0.5)]),
    "full, last runs to a point": (
        {"across": [21, 20], "gap": 0, "layout": "full"},
        5,
        0,
        [(5, 1, 0), (5, 0, 0)],
    ),
    "auto, least 0, last runs to a point": (
        {"across": [21, 20], "gap": 0, "least": 0},
        5,
        0,
        [(5, 1, 0), (5, 0, 0)],
    ),
    "auto, least 0, full would run out": (
        {"across": [21, 19], "gap": 0, "least": 0},
        5,
        0,
        [(2.5, 3.5, 0), (2.5, 1.5, 0)],
    ),
    "balanced, moved down to keep the last wide enough": (
        {"across": [21, 20], "gap": 0},
        5,
        0,
        [(2.5, 3.5, 0), (2.5, 2.5, 0)],
    ),
    "balanced, no need to move": (
        {"across": [21, 20], "gap": 0, "least": 2},
        5,
        0,
        [(2.75, 3.25, 0), (2.75, 2.25, 0)],
    ),
    "balanced, moved up because the last cannot be wider than a face": (
        {"across": [24, 23, 20], "gap": 0, "least": 1},
        5,
        0,
        [(4, 5, 0), (4, 4, 0), (4, 1, 0)],
    ),
    "balanced, narrowest edge as wide as possible": (
        {"across": [21, 19], "gap": 0},
        5,
        0,
        [(2, 4, 0), (2, 2, 0)],
    ),
    "balanced, as wide as possible with no last over a face": (
        {"across": [24, 23, 20], "gap": 0, "least": 1.5},
        5,
        0,
        [(4, 5, 0), (4, 4, 0), (4, 1, 0)],
    ),
    "balanced, a whole face between the walls": (
        {"across": [24, 19], "gap": 0, "least": 0},
        5,
        0,
        [(4, 5, 0), (4, 0, 0)],
    ),
    "balanced, least wider than can be": (
        {"across": 21, "gap": 0, "least": 5},
        5,
        0,
        [(3, 3, 0)],
    ),
    "two courses": ({"across": 7.5, "gap": 0.25}, 2, 0.25, [(3.5, 3.5, 0.25)]),
    # --- taper gap
    "taper gap": ({"across": [19, 21], "gap": 0, "taper": "gap"}, 4, 0, [(5, 4, 0), (5, 4, 2)]),
    "taper gap, balanced": (
        {"across": [19, 19.5], "gap": 0.25, "taper": "gap", "layout": "balanced"},
        4,
        0.25,
        [(4.25, 4.25, 0.25), (4.25, 4.25, 0.75)],
    ),
    # --- taper split
    "taper split, full": (
        {"across": [24, 22], "gap": 0, "taper": "split", "layout": "full"},
        5,
        0,
        [(5, 4, 0), (4, 3, 0)],
    ),
    "taper split, auto full": (
        {"across": [24, 21], "gap": 0, "taper": "split"},
        5,
        0,
        [(5, 4, 0), (3.5, 2.5, 0)],
    ),
    "taper split, auto balanced": (
        {"across": [24, 20.5], "gap": 0, "taper": "split"},
        5,
        0,
        [(4.5, 4.5, 0), (2.75, 2.75, 0)],
    ),
    "taper split, half of each gap kept": (
        {"across": [22, 24, 23], "gap": 0.5, "finish_gap": 0.25, "taper": "split", "layout": "balanced"},
        5,
        0.5,
        [(3.125, 3.125, 0.25), (4.125, 4.125, 0.25), (3.625, 3.625, 0.25)],
    ),
    "taper split, full to a point": (
        {"across": [21, 19], "gap": 0, "taper": "split", "layout": "full"},
        5,
        0,
        [(5, 1, 0), (4, 0, 0)],
    ),
    "taper split, one reading": ({"across": 52, "gap": 0.5, "taper": "split"}, 11, 0.5, [(3, 3, 0.5)]),
}


@pytest.mark.parametrize(("ceiling", "courses", "gap", "ends"), WORKED.values(), ids=WORKED.keys())
def test_worked_by_hand(ceiling, courses, gap, ends):
    ceiling = {"face": 5, **ceiling}
    assert course_count(**ceiling) == courses
    assert course_ends(**ceiling) == ends
    firsts, lasts, _ = zip(*ends, strict=True)
    assert rip_width(edge="first", **ceiling) == pytest.approx(sum(firsts) / len(ends))
    assert rip_width(edge="last", **ceiling) == pytest.approx(sum(lasts) / len(ends))
    marks = course_marks(**ceiling)
    assert marks[0].far_edge == pytest.approx(gap + sum(firsts) / len(ends))


def test_positions_and_choices_mean_what_their_names_say():
    asked = {
        "across": [24, 22],
        "face": 5,
        "gap": 0.5,
        "finish_gap": 0.25,
        "layout": "balanced",
        "least": 1,
        "take_up": 0,
        "taper": "split",
    }
    assert (
        course_ends(*asked.values()) == course_ends(**asked) == [(4.125, 4.125, 0.25), (3.125, 3.125, 0.25)]
    )


def test_a_reading_left_out_keeps_its_place():
    ends = course_ends(across=[None, 54, None, 54.5], face=5, gap=0.5)
    assert ends == [(None, None, None), (5, 3, 0.5), (None, None, None), (5, 3.5, 0.5)]


def test_comparisons_forgive_the_dust_of_floats():
    assert course_count(across=0.1 * 3, face=0.1, gap=0) == 3
    assert course_ends(across=0.1 * 3, face=0.1, gap=0) == [(pytest.approx(0.1), pytest.approx(0.1), 0)]
    assert course_ends(across=53.5 - 1e-11, face=5, gap=0.5) == [(5, pytest.approx(2.5), 0.5)]
    assert course_ends(across=[0.7, 0.6], face=0.1, gap=0, layout="full", least=0)[1].last == 0


FINE = {"across": 54, "face": 5, "gap": 0.5}


@pytest.mark.parametrize(
    ("wrong", "error", "argument"),
    [
        ({"across": []}, NotReadable, "across"),
        ({"across": [None, None]}, NotReadable, "across"),
        ({"across": ["wide"]}, NotReadable, "across"),
        ({"across": [54, 0]}, InputError, "across"),
        ({"across": float("nan")}, InputError, "across"),
        ({"across": 1}, InputError, "across"),  # the gaps take all of it
        ({"across": [6, 1]}, InputError, "across"),
        ({"across": [54, 59.0625]}, InputError, "across"),  # over one face apart
        ({"across": [54, 59.0625], "taper": "gap"}, InputError, "across"),
        ({"across": 54, "face": 0}, InputError, "face"),
        ({"across": 54, "face": None}, NotReadable, "face"),
        ({"across": 60000, "face": 5}, InputError, "face"),  # over 10,000 courses
        ({"gap": -0.0625}, InputError, "gap"),
        ({"finish_gap": -0.0625}, InputError, "finish_gap"),
        ({"layout": "even"}, NotReadable, "layout"),
        ({"layout": "full", "across": [21, 19], "gap": 0}, InputError, "layout"),
        ({"layout": "full", "across": [21, 18.875], "gap": 0, "taper": "split"}, InputError, "layout"),
        ({"least": -0.0625}, InputError, "least"),
        ({"least": 5.0625}, InputError, "least"),
        ({"take_up": -0.0625}, InputError, "take_up"),
        ({"take_up": 2.5625}, InputError, "take_up"),
        ({"taper": "both"}, NotReadable, "taper"),
    ],
)
def test_a_layout_refuses(wrong, error, argument):
    with pytest.raises(error) as refused:
        course_count(**FINE | wrong)
    assert refused.value.argument == argument


def test_readings_may_be_one_face_apart():
    assert course_count(across=[54, 59], face=5, gap=0.5) == 12


def exact_layout(across, face, gap, finish_gap, layout, least, take_up, taper):
    """The rules in exact fractions; a balanced start is searched for, not solved for. None: runs out."""
    across, face, gap, finish_gap = (
        [Fraction(a) for a in across],
        Fraction(face),
        Fraction(gap),
        Fraction(finish_gap),
    )
    least, take_up = Fraction(least), Fraction(take_up)

    def mean(values):
        return sum(values, Fraction(0)) / len(values)

    usable = [a - gap - finish_gap for a in across]
    u = [min(usable)] * len(usable) if taper == "gap" else list(usable)
    for k in range(1, floor(max(u) / face) + 2):
        half = mean([x - k * face for x in u]) / 2
        finishes = [finish_gap + x - k * face - half for x in u]
        if (
            all(abs(x - k * face) <= take_up for x in u)
            and gap + half >= gap / 2
            and all(left >= finish_gap / 2 for left in finishes)
        ):
            start = gap + half
            return k, [(face, face, a - start - k * face) for a in across]
    n = max(1, ceil((max(u) - take_up) / face))
    u = [min(x, n * face) for x in u]
    if n == 1:
        return 1, [(x, x, a - gap - x) for x, a in zip(u, across, strict=True)]

    def edges(first):
        if taper == "split":
            lasts = [max(u) - (n - 2) * face - first - (max(u) - x) / 2 for x in u]
            return [(first - (max(u) - x) / 2, last) for x, last in zip(u, lasts, strict=True)]
        return [(first, x - (n - 2) * face - first) for x in u]

    def narrowest(first):
        return min(min(pair) for pair in edges(first))

    full_last = min(last for _, last in edges(face))
    if layout == "full" and full_last < 0:
        return None
    if layout == "full" or (layout == "auto" and full_last >= least):
        chosen = edges(face)
    else:
        both = [x - (n - 2) * face for x in u]
        half = max(both) / 2 if taper == "split" else mean(both) / 2
        turning = [half, face, least, max(both) - face, min(both) / 2, min(both) - least, max(both) / 2]
        turning += [max(both) - least - (max(both) - min(both)) / 2]  # split: last at its narrowest
        fair = [x for x in turning if 0 <= x <= face and all(0 <= last <= face for _, last in edges(x))]
        kept = [x for x in fair if narrowest(x) >= least]
        first = min(kept, key=lambda x: abs(x - half)) if kept else max(fair, key=narrowest)
        chosen = edges(first)
    finish = [a - gap - (n - 2) * face - sum(pair) for a, pair in zip(across, chosen, strict=True)]
    return n, [(*pair, left) for pair, left in zip(chosen, finish, strict=True)]


@given(ceilings())
@example(
    {
        "across": [24, 23, 20],
        "face": 5,
        "gap": 0,
        "finish_gap": 0,
        "layout": "balanced",
        "least": 1,
        "take_up": 0,
        "taper": "last",
    }
)
def test_agrees_with_exact_fractions(ceiling):
    expected = exact_layout(**ceiling)
    if expected is None:
        with pytest.raises(InputError) as refused:
            course_count(**ceiling)
        assert refused.value.argument == "layout"
        return
    courses, ends = expected
    assert course_count(**ceiling) == courses
    for found, exact in zip(course_ends(**ceiling), ends, strict=True):
        assert found == pytest.approx([float(length) for length in exact], abs=1e-9)


buildable = ceilings(layouts=["auto", "balanced"])


@given(buildable)
def test_gap_courses_and_finish_gap_add_up_at_every_reading(ceiling):
    start = course_marks(**ceiling)[0].far_edge - rip_width(edge="first", **ceiling)
    courses, face = course_count(**ceiling), ceiling["face"]
    took_up = []
    for reading, (first, last, finish_gap) in zip(ceiling["across"], course_ends(**ceiling), strict=True):
        boards = first if courses == 1 else first + (courses - 2) * face + last
        assert start + boards + finish_gap == pytest.approx(reading)
        took_up.append(start + finish_gap - ceiling["gap"] - ceiling["finish_gap"])
    if ceiling["taper"] == "gap":
        took_up = [min(took_up)]  # beyond that, the finishing gap took the taper
    assert max(map(abs, took_up)) <= ceiling["take_up"] + 1e-9
    assert start >= ceiling["gap"] / 2 - 1e-9
    assert all(end.finish_gap >= ceiling["finish_gap"] / 2 - 1e-9 for end in course_ends(**ceiling))


@given(buildable)
def test_edge_courses_are_boards(ceiling):
    for first, last, _ in course_ends(**ceiling):
        assert 0 < first <= ceiling["face"] + 1e-9
        assert 0 <= last <= ceiling["face"] + 1e-9


@given(buildable)
def test_an_edge_is_under_least_only_where_even_the_middle_is(ceiling):
    narrowest = min(min(first, last) for first, last, _ in course_ends(**ceiling))
    if (
        course_count(**ceiling) > 1
        and narrowest < ceiling["least"] - 1e-9
        and len(set(ceiling["across"])) == 1
    ):
        first, last, _ = course_ends(**ceiling)[0]
        assert first == pytest.approx(last)


@given(faces, lengths(24, 300), gaps)
def test_parallel_walls_always_leave_at_least_half_a_face(face, across, gap):
    ceiling = {"across": across, "face": face, "gap": gap}
    if course_count(**ceiling) > 1:
        assert min(course_ends(**ceiling)[0][:2]) >= face / 2 - 1e-9


@given(buildable, st.just(25.4) | st.just(2.54))
def test_a_second_unit_system_changes_nothing(ceiling, scale):
    scaled = {
        name: value * scale if isinstance(value, float | int) else value for name, value in ceiling.items()
    }
    scaled["across"] = [reading * scale for reading in ceiling["across"]]
    assert course_count(**scaled) == course_count(**ceiling)
    for found, plain in zip(course_ends(**scaled), course_ends(**ceiling), strict=True):
        assert found == pytest.approx([length * scale for length in plain], abs=1e-6)


@given(buildable)
def test_the_story_pole_climbs_from_the_starting_gap_to_the_finishing_gap(ceiling):
    marks = course_marks(**ceiling)
    assert [mark.course for mark in marks] == list(range(1, course_count(**ceiling) + 1))
    assert marks[0].width == rip_width(edge="first", **ceiling)
    assert marks[-1].width == rip_width(edge="last", **ceiling)
    assert all(mark.width == ceiling["face"] for mark in marks[1:-1])
    for below, mark in pairwise(marks):
        assert mark.far_edge == pytest.approx(below.far_edge + mark.width)
    ends, across = course_ends(**ceiling), ceiling["across"]
    finish_gap = sum(end.finish_gap for end in ends) / len(ends)
    assert marks[-1].far_edge + finish_gap == pytest.approx(sum(across) / len(across))


def test_rip_width_knows_two_edges():
    with pytest.raises(NotReadable) as refused:
        rip_width(edge="middle", **FINE)
    assert refused.value.argument == "edge"


@pytest.mark.parametrize(
    ("ceiling", "note"),
    [
        ({"across": 51, "gap": 0.5}, "full boards"),
        ({"across": 51.375, "gap": 0.5, "take_up": 0.5}, "full boards, gaps 11/16"),
        ({"across": 51.5, "gap": 0.5, "finish_gap": 0.75, "take_up": 0.5}, "full boards, gaps 5/8 and 7/8"),
        ({"across": 51.015625, "gap": 0.5}, "full boards"),  # taken up, but less than shows
        ({"across": [51.125, 50.875], "gap": 0.5, "take_up": 0.125}, "full boards"),
        (
            {"across": [51.125, 52], "gap": 0.5, "take_up": 0.125, "taper": "gap"},
            "full boards, gaps 9/16, finish gap 9/16 to 1 7/16",
        ),
        ({"across": 6, "gap": 0.5}, "full boards"),
        ({"across": 4, "gap": 0.5}, "one course 3"),
        ({"across": [4, 4.5], "gap": 0.5}, "one course 3 to 3 1/2"),
        ({"across": 2.25, "gap": 0.5}, "one course 1 1/4; warning: narrower than 2 1/2"),
        ({"across": 54.125, "gap": 0.5}, "first full, last 3 1/8"),
        ({"across": [54, 54.5], "gap": 0.5}, "first full, last 3 to 3 1/2"),
        ({"across": [54, 54.5], "gap": 0.5, "taper": "gap"}, "first full, last 3, finish gap 1/2 to 1"),
        ({"across": 54, "gap": 0.5, "taper": "gap"}, "first full, last 3"),
        (
            {"across": 52.125, "gap": 0.5, "layout": "full"},
            "first full, last 1 1/8; warning: narrower than 2 1/2",
        ),
        (
            {"across": [52.125, 53], "gap": 0.5, "layout": "full", "taper": "gap", "least": 2},
            "first full, last 1 1/8, finish gap 1/2 to 1 3/8; warning: narrower than 2",
        ),
        ({"across": 52.25, "gap": 0.5}, "balanced 3 1/8"),
        ({"across": [21, 20], "gap": 0, "least": 2}, "balanced 2 3/4, last 2 1/4 to 3 1/4"),
        ({"across": [21, 20], "gap": 0}, "first 2 1/2, last 2 1/2 to 3 1/2"),  # moved
        ({"across": [21, 19], "gap": 0}, "first 2, last 2 to 4; warning: narrower than 2 1/2"),
        ({"across": [24, 20.5], "gap": 0, "taper": "split"}, "balanced 2 3/4 to 4 1/2"),
        (
            {"across": [24, 22], "gap": 0, "taper": "split", "layout": "full"},
            "first 4 to 5, last 3 to 4",
        ),
    ],
)
def test_course_note(ceiling, note):
    assert course_note(face=5, **ceiling) == note


def test_course_note_words_lengths_as_told():
    note = course_note(
        across=[52.125, 53], face=5, gap=0.5, layout="full", shown=lambda length: f"<{length:.3f}>"
    )
    assert note == "first full, last <1.125> to <2.000>; warning: narrower than <2.500>"


def test_layout_table_takes_one_row_for_each_ceiling():
    table = layout_table(
        across=[[52.25, None], [None, None], [54, 54.5]],
        along=[[183.5, 184], [None, None], [96, None]],
        face=5,
        gap=0.5,
        finish_gap=0.75,
    )
    assert table == [
        (11, 3, 3, 182.5),
        (None, None, None, None),
        (11, 5, 3, 94.75),
    ]


def test_layout_table_takes_single_readings_and_a_single_ceiling():
    assert layout_table(across=[52.25, None, 54], along=[183.5, None, 96], face=5, gap=0.5) == [
        (11, 3.125, 3.125, 182.5),
        (None, None, None, None),
        (11, 5, 3, 95),
    ]
    assert layout_table(across=52.25, along=183.5, face=5, gap=0.5) == [(11, 3.125, 3.125, 182.5)]


def test_layout_table_takes_one_value_for_each_ceiling_and_defaults_where_there_is_none():
    columns = {
        "face": [5, 3, None, 5],
        "gap": [0.5, 0.25, None, 0],
        "finish_gap": [None, 0.5, None, None],
        "layout": [None, "balanced", None, "full"],
        "least": [1, None, None, None],
        "take_up": [0, None, None, None],
        "taper": [None, "gap", None, "split"],
    }
    across, along = [51.5, [52.25, 53], None, [24, 22]], [120, 96, None, 60]
    table = layout_table(across=across, along=along, **columns)
    for i in (0, 1, 3):
        given_ = {name: column[i] for name, column in columns.items() if column[i] is not None}
        ceiling = {"across": across[i], **given_}
        gaps_ = {name: given_[name] for name in ("gap", "finish_gap") if name in given_}
        assert table[i] == (
            course_count(**ceiling),
            rip_width(edge="first", **ceiling),
            rip_width(edge="last", **ceiling),
            cut_length(along=along[i], **gaps_),
        )
    assert table[2] == (None, None, None, None)
    assert [row.courses for row in table] == [11, 18, None, 5]


@pytest.mark.parametrize(
    ("wrong", "error", "argument"),
    [
        ({"along": [96]}, NotReadable, "along"),
        ({"face": [5]}, NotReadable, "face"),
        ({"face": [5, None]}, NotReadable, "face"),
        ({"gap": [None, 0.5]}, NotReadable, "gap"),
        ({"taper": ["last", "gap", "last"]}, NotReadable, "taper"),
        ({"across": [54, None]}, NotReadable, "across"),
        ({"along": [96, None]}, NotReadable, "along"),
        ({"across": [54, [54, 60]]}, InputError, "across"),
        ({"along": [96, 0.75]}, InputError, "along"),
    ],
)
def test_layout_table_refuses(wrong, error, argument):
    with pytest.raises(error) as refused:
        layout_table(**{"across": [54, 54], "along": [96, 96], "face": 5, "gap": 0.5} | wrong)
    assert refused.value.argument == argument


def test_visible_width_stays_within_the_course():
    assert visible_width(width=3.125, gap=0.5, trim_cover=1.25) == 2.375
    assert visible_width(width=3.125, gap=0.5, trim_cover=0.25) == 3.125  # the joint stays open to view
    assert visible_width(width=0.5, gap=0.5, trim_cover=2) == 0
    assert visible_width(width=0.2, gap=0.1, trim_cover=0.3) == 0  # no dust
    assert visible_width(width=0, gap=0.5, trim_cover=0.25) == 0


@pytest.mark.parametrize("wrong", [{"width": -1}, {"gap": -1}, {"trim_cover": -1}])
def test_visible_width_refuses(wrong):
    with pytest.raises(InputError) as refused:
        visible_width(**{"width": 3, "gap": 0.5, "trim_cover": 1} | wrong)
    assert refused.value.argument == next(iter(wrong))


def test_fence_setting_keeps_the_tongue_of_the_first_course_only():
    assert fence_setting(width=3.125, tongue=0.25, edge="first") == 3.375
    assert fence_setting(width=3.125, tongue=0.25, edge="last") == 3.125


@pytest.mark.parametrize(
    ("wrong", "error"),
    [({"width": -1}, InputError), ({"tongue": -1}, InputError), ({"edge": "left"}, NotReadable)],
)
def test_fence_setting_refuses(wrong, error):
    with pytest.raises(error) as refused:
        fence_setting(**{"width": 3, "tongue": 0.25, "edge": "first"} | wrong)
    assert refused.value.argument == next(iter(wrong))


def test_open_per_course():
    plan = {"face": 5, "last_wanted": 3, "finish_gap": 0.5}
    assert open_per_course(remaining=29, courses_left=6, **plan) == pytest.approx(0.5 / 6)
    assert open_per_course(remaining=28.5, courses_left=6, **plan) == 0
    assert open_per_course(remaining=28.125, courses_left=6, **plan) == -0.0625
    assert open_per_course(remaining=3.25, courses_left=1, **plan) == -0.25
    assert open_per_course(remaining=0.3, courses_left=1, face=0.5, last_wanted=0.2, finish_gap=0.1) == 0


@given(lengths(1, 240), st.integers(1, 40), faces, lengths(0, 2), gaps)
def test_opening_each_course_ends_on_the_last_one_wanted(
    remaining, courses_left, face, last_wanted, finish_gap
):
    opened = open_per_course(
        remaining=remaining,
        courses_left=courses_left,
        face=face,
        last_wanted=last_wanted,
        finish_gap=finish_gap,
    )
    laid = (courses_left - 1) * (face + opened) + opened + last_wanted
    assert laid + finish_gap == pytest.approx(remaining)


@pytest.mark.parametrize(
    "wrong",
    [
        {"remaining": 0},
        {"courses_left": 0},
        {"courses_left": 2.5},
        {"face": 0},
        {"last_wanted": -0.5},
        {"last_wanted": 5.5},
        {"finish_gap": -0.5},
    ],
)
def test_open_per_course_refuses(wrong):
    fine = {"remaining": 28.5, "courses_left": 6, "face": 5, "last_wanted": 3, "finish_gap": 0.5}
    with pytest.raises(InputError) as refused:
        open_per_course(**fine | wrong)
    assert refused.value.argument == next(iter(wrong))


# Courses of 5 from a gap of 1 on: 1-6, 6-11, … 46-51, then the last, 51-54, and a gap of 1 to the wall at 55.
CROSSED = {"across": 55, "face": 5, "gap": 1}


@pytest.mark.parametrize(
    ("position", "size", "courses"),
    [
        (8, 3, "2"),
        (8.5, 5, "2"),  # from edge to edge of one course: touches both neighbours
        (8.5, 5.0625, "1-3"),
        (11, 0.125, "2-3"),
        (33.5, 12, "6-8"),
        (0.5, 1, "none"),  # in the starting gap, touching the wall and course 1
        (54.5, 1, "none"),
        (54.5, 0.5, "none"),
        (52, 6, "10-11"),
        (27.5, 55, "1-11"),
    ],
)
def test_courses_crossed(position, size, courses):
    assert courses_crossed(position=position, size=size, **CROSSED) == courses


def test_courses_crossed_forgives_the_dust_of_floats():
    assert courses_crossed(position=0.3, size=0.2, across=1, face=0.2, gap=0) == "2"
    assert courses_crossed(position=0.1 * 3, size=0.2, across=1, face=0.1, gap=0) == "3-4"


def test_courses_crossed_stands_on_the_story_pole_of_the_mean_reading():
    ceiling = {"across": [53, 57], "face": 5, "gap": 1, "layout": "full"}
    assert course_marks(**ceiling)[-1].far_edge == 54
    assert courses_crossed(position=54.25, size=0.5, **ceiling) == "none"
    assert courses_crossed(position=53.75, size=0.5, **ceiling) == "11"
    with pytest.raises(InputError):
        courses_crossed(position=55.5, size=1, **ceiling)


@pytest.mark.parametrize(
    ("wrong", "argument"),
    [
        ({"size": 0}, "size"),
        ({"position": 1, "size": 2.0625}, "position"),
        ({"position": 54, "size": 2.0625}, "position"),
        ({"position": -3, "size": 1}, "position"),
        ({"position": 60, "size": 1}, "position"),
        ({"face": 0}, "face"),
    ],
)
def test_courses_crossed_refuses(wrong, argument):
    with pytest.raises(InputError) as refused:
        courses_crossed(**{"position": 20, "size": 4} | CROSSED | wrong)
    assert refused.value.argument == argument


@given(buildable, st.floats(0.01, 0.99), st.floats(0.01, 1))
def test_courses_crossed_are_those_whose_boards_reach_into_the_opening(ceiling, where, part):
    wide = sum(ceiling["across"]) / len(ceiling["across"])
    position = where * wide
    size = 2 * part * min(position, wide - position)
    marks = course_marks(**ceiling)
    cut = [
        mark.course
        for mark in marks
        if min(mark.far_edge, position + size / 2) - max(mark.far_edge - mark.width, position - size / 2)
        > 1e-6
    ]
    found = courses_crossed(position=position, size=size, **ceiling)
    if found == "none":
        assert not cut
    else:
        low, _, high = found.partition("-")
        span = range(int(low), int(high or low) + 1)
        assert set(cut) <= set(span)
        assert len(span) <= len(cut) + 2  # floats may find a hair's breadth more at either side


def test_full_boards_name_a_finishing_gap_that_every_reading_widens():
    # Every reading is over 15 faces, but half the mean difference would close the gap at the narrowest.
    across = [reading / 25.4 for reading in (1960, 1965, 1970, 1978)]
    note = course_note(across=across, face=130 / 25.4, gap=3 / 25.4, take_up=65 / 25.4)
    assert note == "full boards, gaps 1/8 and 5/8"
