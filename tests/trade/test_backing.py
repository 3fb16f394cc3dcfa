"""Framing lines, sheets, rolls and tubes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.backing import barrier_rolls, bearing_count, sealant_tubes, sheet_count

SIXTEENTHS = st.integers(16 * 24, 16 * 480).map(lambda sixteenths: sixteenths / 16)


@pytest.mark.parametrize(
    ("along", "spacing", "first", "bearings"),
    [
        (192, 16, 0, 13),
        (192.0625, 16, 0, 14),
        (183, 16, 0, 13),
        (183, 16, 7, 12),  # 176 = 11 spaces
        (183, 24, 15.25, 8),
        (10, 16, 0, 2),
        (10, 16, 10, 1),
        (3 * 19.2, 19.2, 0, 4),
        ([190, None, 193], 16, 0, 14),
    ],
)
def test_bearing_count(along, spacing: float, first: float, bearings: int):
    assert bearing_count(along=along, spacing=spacing, first=first) == bearings


@pytest.mark.parametrize(
    ("across", "along", "sheets"),
    [
        (96, 192, 4),
        (97, 192, 6),  # three rows of 16 ft
        (120, 183, 6),  # three rows, 549 in of them
        (48, 90, 1),
        (48, 97, 2),
        ([119.5, 120.5], [183, None, 193], 7),  # three rows of 193 in
    ],
)
def test_sheet_count(across, along, sheets: int):
    assert sheet_count(across=across, along=along) == sheets


def test_other_sheets():
    assert sheet_count(across=120, along=183, sheet_width=60, sheet_length=61) == 6
    assert sheet_count(across=3660, along=4880, sheet_width=1220, sheet_length=2440) == 6  # any one unit does


@given(across=SIXTEENTHS, along=SIXTEENTHS)
def test_sheets_cover_the_ceiling(across: float, along: float):
    assert sheet_count(across=across, along=along) * 48 * 96 >= across * along


def rolls_by_laying(across: float, along: float, roll_width: float, roll_length: float, lap: float) -> int:
    """Lay strip after strip, each roll to its end, and count the rolls opened."""
    strips = 1
    while roll_width + (strips - 1) * (roll_width - lap) < across - 1e-9:
        strips += 1
    rolls, left = 1, roll_length
    for _ in range(strips):
        needed = along
        while left < needed - 1e-9:
            if left > lap:  # what lies there is lapped by the next roll; a shorter end is waste
                needed += lap - left
            rolls, left = rolls + 1, roll_length
        left -= needed
    return rolls


@given(
    across=SIXTEENTHS,
    along=SIXTEENTHS,
    roll_width=st.sampled_from([36, 60, 108]),
    roll_length=st.sampled_from([240, 600, 1200]),
    lap=st.sampled_from([0, 2, 6]),
)
def test_rolls_are_enough_when_laid_one_after_the_other(
    across: float, along: float, roll_width: float, roll_length: float, lap: float
):
    rolls = barrier_rolls(across=across, along=along, roll_width=roll_width, roll_length=roll_length, lap=lap)
    opened = rolls_by_laying(across, along, roll_width, roll_length, lap)
    strips = max(1, math.ceil((across - lap) / (roll_width - lap)))
    assert opened <= rolls
    assert rolls <= opened + math.ceil(strips * lap / roll_length) + 1
    assert rolls * roll_width * roll_length >= across * along


@pytest.mark.parametrize(
    ("across", "along", "roll_width", "roll_length", "lap", "rolls"),
    [
        (30, 40, 36, 600, 6, 1),  # one piece does it
        (120, 192, 36, 600, 6, 2),  # four strips of 30 in and a lap: 768 in
        (126, 140, 36, 600, 6, 1),  # four strips exactly, 560 in
        (126.0625, 140, 36, 600, 6, 2),  # five strips, 700 in
        (96, 1194, 108, 600, 6, 2),  # two rolls lapped once
        (96, 1194.0625, 108, 600, 6, 3),
        ([118, 127], [139, None, 140], 36, 600, 6, 2),
        (72, 300, 36, 600, 0, 1),
    ],
)
def test_rolls_by_hand(across, along, roll_width: float, roll_length: float, lap: float, rolls: int):
    answer = barrier_rolls(
        across=across, along=along, roll_width=roll_width, roll_length=roll_length, lap=lap
    )
    assert answer == rolls


@pytest.mark.parametrize(
    ("length", "tube_volume", "loss", "tubes"),
    [
        (0, 10, 0, 0),
        (231, 16, 0, 1),  # 28.875 in³ are 16 fl oz
        (231.0625, 16, 0, 2),
        (231, 16, 0.01, 2),
        (231, 32, 0.5, 1),
        (231, 8, 0.5, 4),
    ],
)
def test_tubes_of_a_bead_half_by_a_quarter(length: float, tube_volume: float, loss: float, tubes: int):
    answer = sealant_tubes(length=length, width=0.5, depth=0.25, tube_volume=tube_volume, loss=loss)
    assert answer == tubes


VALID = {
    bearing_count: {"along": 183, "spacing": 16},
    sheet_count: {"across": 120, "along": 183},
    barrier_rolls: {"across": 120, "along": 183, "roll_width": 36, "roll_length": 600},
    sealant_tubes: {"length": 96, "width": 0.5, "depth": 0.25, "tube_volume": 10},
}


@pytest.mark.parametrize(
    ("function", "argument", "value", "error"),
    [
        (bearing_count, "along", [], NotReadable),
        (bearing_count, "spacing", 0, InputError),
        (bearing_count, "first", -1, InputError),
        (bearing_count, "first", 184, InputError),
        (sheet_count, "across", 0, InputError),
        (sheet_count, "along", None, NotReadable),
        (sheet_count, "sheet_width", 0, InputError),
        (sheet_count, "sheet_length", -96, InputError),
        (barrier_rolls, "across", -1, InputError),
        (barrier_rolls, "along", 0, InputError),
        (barrier_rolls, "roll_width", 0, InputError),
        (barrier_rolls, "roll_width", 6, InputError),
        (barrier_rolls, "roll_length", 5, InputError),
        (barrier_rolls, "lap", -1, InputError),
        (sealant_tubes, "length", -1, InputError),
        (sealant_tubes, "width", 0, InputError),
        (sealant_tubes, "depth", 0, InputError),
        (sealant_tubes, "tube_volume", 0, InputError),
        (sealant_tubes, "loss", 1, InputError),
    ],
)
def test_refusals(function, argument: str, value, error):
    with pytest.raises(error) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument
