"""What to buy and how to saw it: the lists are read back as a person at the saw would."""

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import lengths

from sheetcalc.cells.call import call, problem
from sheetcalc.cells.values import CellError
from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.solver.cutting import TooLong
from sheetcalc.trade import buying
from sheetcalc.trade.buying import buy_cost, buy_list, kerf_note, lowest_buy_cost, saw_list, stop_list
from sheetcalc.trade.lengths import parse_length

PORCH = {
    "pieces": [182, 137.625, 62],
    "counts": [20, 17, 9],
    "stock": [96, 120, 144, 168, 192],
    "prices": [13.2, 16.6, 20.4, 24.9, 29.7],
    "kerf": 0.125,
    "end_trim": 0.5,
}


def pieces_of(words: str) -> dict[float, int]:
    """Read "2 x 182 3/8 + 62" back."""
    found: dict[float, int] = {}
    for part in words.split(" + "):
        count, _, length = part.rpartition(" x ")
        found[float(parse_length(length).number)] = int(count or 1)
    return found


@st.composite
def jobs(draw: st.DrawFn):
    stock = draw(st.lists(lengths(48, 240), min_size=1, max_size=5, unique=True))
    longest = max(stock) - 1
    pieces = draw(st.lists(lengths(12, longest), min_size=1, max_size=5, unique=True))
    cents = st.integers(0, 6000)
    return {
        "pieces": pieces,
        "counts": [draw(st.integers(0, 12)) for _ in pieces],
        "stock": stock,
        "prices": [draw(cents) / 100 for _ in stock],
        "kerf": draw(st.sampled_from([0, 0.125, 3 / 32])),
        "end_trim": draw(st.sampled_from([0, 0.5, 1])),
    }


@settings(max_examples=60, deadline=None)
@given(job=jobs())
def test_the_lists_say_the_same_and_the_boards_yield_the_pieces(job):
    sawn, bought = saw_list(**job), buy_list(**job)
    made = dict.fromkeys(job["pieces"], 0)
    boards = dict.fromkeys(job["stock"], 0)
    for row in sawn:
        used = Fraction(0)
        for length, count in pieces_of(row.cut).items():
            made[length] += row.boards * count
            used += count * (Fraction(length) + Fraction(job["kerf"]))
        room = Fraction(row.stock) - Fraction(job["end_trim"])
        assert used - Fraction(job["kerf"]) <= room
        assert row.offcut == pytest.approx(max(0, float(room - used)), abs=1e-9)
        boards[row.stock] += row.boards
    assert made == {
        length: sum(
            count for piece, count in zip(job["pieces"], job["counts"], strict=True) if piece == length
        )
        for length in made
    }
    assert {row.stock: row.boards for row in bought} == {length: n for length, n in boards.items() if n}
    price = dict(zip(job["stock"], job["prices"], strict=True))
    assert all(row.cost == pytest.approx(row.boards * price[row.stock], abs=1e-9) for row in bought)
    assert buy_cost(**job) == pytest.approx(sum(row.cost for row in bought), abs=1e-6)
    assert lowest_buy_cost(**job) <= buy_cost(**job)
    assert [row.stock for row in bought] == sorted(row.stock for row in bought)
    assert [row.stock for row in sawn] == sorted(row.stock for row in sawn)
    stops = stop_list(**job)
    assert {row.length: row.pieces for row in stops} == {length: n for length, n in made.items() if n}
    assert [row.length for row in stops] == sorted((row.length for row in stops), reverse=True)
    assert all(1 <= row.boards <= row.pieces for row in stops)


def test_a_porch_is_bought_at_the_proven_lowest_cost():
    assert buy_cost(**PORCH) == lowest_buy_cost(**PORCH)
    # by hand: 182 needs 192; 137 5/8 goes into 144; 62 into the three ways left: 120 yields one, 192 three
    assert buy_cost(**PORCH) == pytest.approx(20 * 29.7 + 17 * 20.4 + 3 * 29.7)


def test_decimal_feet_and_tenths_of_millimetres_fit_exactly():
    assert buy_cost([4.35 / 0.0254], [3], [13.05 / 0.0254], [10], step=0.1 / 25.4) == 10
    assert call("BUY_COST", [1200.1, 2, 2400.2, 10, "metric"]) == 10
    assert call("BUY_COST", [1200.2, 2, 2400.3, 10, "metric"]) == 20
    assert call("BUY_COST", ["4' 1 1/64\"", 2, "8' 2 1/32\"", 10]) == 10


def test_a_piece_is_counted_up_and_a_board_down_to_the_step():
    assert buy_cost([48.001], [2], [96.002], [10]) == 20  # 48 1/64 twice from 96
    assert buy_cost([48], [2], [96.001], [10]) == 10


def test_one_saw_cut_between_two_pieces_and_the_trim_off_every_board():
    assert buy_cost([96], [2], [192], [10], kerf=0.125) == 20
    assert buy_cost([95.9375], [2], [192], [10], kerf=0.125) == 10
    assert buy_cost([95.9375], [2], [192], [10], kerf=0.125, end_trim=0.5) == 20
    assert saw_list([95.9375], [2], [192], [10], kerf=0.125)[0].offcut == 0


@pytest.mark.parametrize(
    ("counts", "available", "cost"),
    [([4], [None], 40), ([4], [4], 40), ([4], [3], CellError.NA), ([4], [0], CellError.NA), ([0], [0], 0)],
)
def test_boards_on_offer(counts, available, cost):
    assert call("BUY_COST", [[[90]], [counts], 96, 10, 0, 0, [available]]) == cost


def test_the_offer_is_used_up_before_the_dearer_boards():
    job = {"pieces": [90], "counts": [5], "stock": [96, 192], "prices": [10, 25]}
    assert [row.boards for row in buy_list(**job, available=[3, None])] == [3, 1]
    with pytest.raises(NotFound, match="available"):
        buy_list(**job, available=[1, 1])


def test_prices_in_whole_cents():
    assert buy_cost([90], [3], [96], [0.1]) == 0.3
    assert buy_cost([90], [3], [96], [1.005]) == 3.03  # half a cent up


def test_pieces_given_twice_are_cut_as_one():
    assert saw_list([60, 60], [1, 1], [144], [10])[0].cut == "2 x 60"
    assert stop_list([60, 60], [1, 1], [144], [10]) == [(60, 2, 1)]


def test_nothing_to_cut_is_nothing_to_buy():
    assert buy_list([60], [0], [144], [10]) == []
    assert buy_cost([60], [0], [144], [10]) == 0
    assert call("BUY_LIST", [60, 0, 144, 10, None, None, None, None, 2]) == [["", "", ""]] * 2


def test_a_piece_that_no_board_yields_is_named():
    args = [[["12' 1\""], [60]], [[2], [3]], [[96], [144]], [[10], [15]]]
    assert call("BUY_LIST", args) is CellError.NA
    assert problem("BUY_LIST", args) == (
        "pieces, row 1, is “12' 1\"”, but must fit the longest stock length, its end trimmed"
    )
    assert not isinstance(call("BUY_LIST", [args[0], [[0], [3]], *args[2:]]), CellError)


@pytest.mark.parametrize(
    ("changed", "error", "named"),
    [
        ({"pieces": []}, NotReadable, "pieces"),
        ({"pieces": [0, 1, 2]}, InputError, "pieces"),
        ({"counts": [1, 2]}, NotReadable, "counts"),
        ({"counts": [1, 2, 0.5]}, InputError, "counts"),
        ({"counts": [1, 2, -1]}, InputError, "counts"),
        ({"counts": [50_000, 50_001, 0]}, InputError, "counts"),
        ({"pieces": [60 + at / 64 for at in range(1001)], "counts": [1] * 1001}, InputError, "pieces"),
        ({"stock": [], "prices": []}, NotReadable, "stock"),
        ({"stock": [192, 1e6, 144, 168, 96]}, InputError, "stock"),
        ({"stock": [192, 0, 144, 168, 96]}, InputError, "stock"),
        ({"prices": [1]}, NotReadable, "prices"),
        ({"prices": [-1, 1, 1, 1, 1]}, InputError, "prices"),
        ({"kerf": -0.1}, InputError, "kerf"),
        ({"end_trim": -1}, InputError, "end_trim"),
        ({"end_trim": 192}, NotFound, "pieces"),
        ({"available": [1]}, NotReadable, "available"),
        ({"available": [1.5, None, None, None, None]}, InputError, "available"),
        ({"effort": 0}, InputError, "effort"),
        ({"effort": 1e9}, InputError, "effort"),
        ({"pieces": [math.nan, 1, 2]}, InputError, "pieces"),
    ],
)
def test_bad_entries_are_named(changed, error, named):
    for answer in (buy_list, saw_list, stop_list, buy_cost, lowest_buy_cost):
        with pytest.raises(error) as refused:
            answer(**{**PORCH, **changed})
        assert refused.value.argument == named


def test_one_solve_answers_all():
    buying._cheapest.cache_clear()
    job = {**PORCH, "counts": [19, 16, 8]}
    for answer in (buy_list, saw_list, stop_list, buy_cost, lowest_buy_cost):
        answer(**job)
    assert buying._cheapest.cache_info().misses == 1


def test_a_plan_that_takes_too_long_is_refused(monkeypatch: pytest.MonkeyPatch):
    def slow(*_: object) -> None:
        raise TooLong

    monkeypatch.setattr(buying, "_cheapest", slow)
    with pytest.raises(InputError, match="pieces"):
        buy_cost(**PORCH)


def test_in_metric_the_words_are_millimetres():
    answer = call("SAW_LIST", [[[1200], [590]], [[4], [2]], 3000, 12, 3, "metric"])
    assert answer == [[3000, 2, "2 x 1200 + 590", 1]]


@pytest.mark.parametrize(
    ("pieces", "stock", "kerf", "end_trim", "note"),
    [
        ([96], [192], 0.125, 0, "2 x 96 do not come from 192: the saw takes 1/8"),
        ([96], [192], 0, 0, ""),
        ([95.9375], [192], 0.125, 0, ""),
        (
            [64, 96],
            [192],
            0.125,
            0,
            "3 x 64 do not come from 192: the saw takes 1/4; 2 x 96 do not come from 192: the saw takes 1/8",
        ),
        ([96], [192.5], 0.125, 0.5, "2 x 96 do not come from 192 1/2: the saw takes 1/8"),
        ([96], [192.625], 0.125, 0.5, ""),
        ([100], [192], 0.125, 0, ""),
        ([200], [192], 0.125, 0, ""),
    ],
)
def test_kerf_note(pieces, stock, kerf, end_trim, note):
    assert kerf_note(pieces, stock, kerf, end_trim) == note


def test_kerf_note_refuses():
    for changed, error in [
        ({"pieces": []}, NotReadable),
        ({"stock": []}, NotReadable),
        ({"kerf": -1}, InputError),
        ({"stock": [-1]}, InputError),
    ]:
        with pytest.raises(error):
            kerf_note(**{"pieces": [96], "stock": [192], "kerf": 0.125, **changed})


def test_words_of_a_cut_read_back_as_long_as_the_piece():
    (row,) = saw_list([100 + 3 / 64, 50.0625], [1, 1], [192], [20])
    assert row.cut == "100 3/64 + 50 1/16"
    assert kerf_note([63 + 63 / 64], [128], 1 / 8).startswith("2 x 63 63/64 do not come from 128")
    args = [[[1234.3], [800.5], [700.0]], [[1], [1], [1]], [[3000.0]], [[20.0]], "metric"]
    (sawn,) = call("SAW_LIST", args)
    assert sawn[2] == "1234.3 + 800.5 + 700"
