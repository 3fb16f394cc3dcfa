"""What is coated and how much it takes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.errors import InputError
from sheetcalc.trade.coating import board_surface, cut_edge_area, end_grain_area, primer_volume, spread_rate

SIZES = st.integers(1, 16 * 24).map(lambda sixteenths: sixteenths / 16)
LENGTHS = st.integers(1, 16 * 240).map(lambda sixteenths: sixteenths / 16)


def test_end_grain_of_a_1x6():
    """100 ends of 0.75 x 5.375 in: 4.03 in² each, 2.8 ft² in all."""
    assert end_grain_area(thickness=0.75, width=5.375, ends=1) * 144 == pytest.approx(4.03, abs=0.005)
    assert end_grain_area(thickness=0.75, width=5.375, ends=100) == pytest.approx(2.8, abs=0.005)


def test_a_ripped_edge():
    assert cut_edge_area(thickness=0.75, length=183, count=3) == pytest.approx(0.75 * 183 * 3 / 144)


@given(thickness=SIZES, width=SIZES, length=LENGTHS, count=st.integers(0, 90))
def test_a_board_is_two_faces_two_edges_and_two_ends(
    thickness: float, width: float, length: float, count: int
):
    faces = 2 * count * width * length / 144
    edges = cut_edge_area(thickness, length, 2 * count)
    ends = end_grain_area(thickness, width, 2 * count)
    surface = board_surface(thickness=thickness, width=width, length=length, count=count)
    assert surface == pytest.approx(faces + edges + ends)


def test_more_solids_cover_more_and_a_thicker_film_less():
    assert spread_rate(volume_solids=0.4, dry_film=1.5) == pytest.approx(427.7778, abs=5e-5)


def test_primer_for_two_coats_with_a_tenth_left_in_the_tray():
    assert primer_volume(area=351, spread_rate=390, coats=2, loss=0.1) == pytest.approx(2)


def test_nothing_takes_nothing():
    assert end_grain_area(0.75, 5.375, 0) == 0
    assert cut_edge_area(0.75, 0) == 0
    assert cut_edge_area(0.75, 96, 0) == 0
    assert board_surface(0.75, 5.375, 96, 0) == 0
    assert primer_volume(0, 400) == 0
    assert primer_volume(160, 400, 0) == 0


VALID = {
    end_grain_area: {"thickness": 0.75, "width": 5.375, "ends": 8},
    cut_edge_area: {"thickness": 0.75, "length": 96, "count": 2},
    board_surface: {"thickness": 0.75, "width": 5.375, "length": 96, "count": 2},
    spread_rate: {"volume_solids": 0.35, "dry_film": 2},
    primer_volume: {"area": 160, "spread_rate": 400, "coats": 2, "loss": 0.1},
}


@pytest.mark.parametrize(
    ("function", "argument", "value"),
    [
        (end_grain_area, "thickness", 0),
        (end_grain_area, "width", 0),
        (end_grain_area, "ends", 8.5),
        (end_grain_area, "ends", -8),
        (cut_edge_area, "thickness", 0),
        (cut_edge_area, "length", -96),
        (cut_edge_area, "count", 1.5),
        (board_surface, "length", 0),
        (board_surface, "count", 1.5),
        (spread_rate, "volume_solids", 0),
        (spread_rate, "volume_solids", 35),
        (spread_rate, "dry_film", 0),
        (primer_volume, "area", -1),
        (primer_volume, "spread_rate", 0),
        (primer_volume, "coats", 1.5),
        (primer_volume, "loss", 1),
        (primer_volume, "loss", 10),
    ],
)
def test_refusals(function, argument: str, value):
    with pytest.raises(InputError) as refused:
        function(**VALID[function] | {argument: value})
    assert refused.value.argument == argument
