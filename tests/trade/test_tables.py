"""Each table has the shape and the sums it was typed with, so that a slip in an edit shows."""

import math
from importlib.resources import files

import pytest

from sheetcalc.trade.tables import rows

SHAPES = {
    "tongue_and_groove": (5, {"thickness": 3.75, "overall": 36.125, "face": 34.875}),
    "wood_movement": (29, {"quarter": 0.03953, "flat": 0.07498}),
}


def test_every_table_is_guarded():
    found = {file.name.removesuffix(".csv") for file in files("sheetcalc.trade.tables").iterdir()}
    assert found - {"__init__.py", "__pycache__"} == set(SHAPES)


@pytest.mark.parametrize("table", SHAPES)
def test_shape_and_column_sums(table):
    count, sums = SHAPES[table]
    assert len(rows(table)) == count
    assert all(None not in row and None not in row.values() for row in rows(table))
    for column, total in sums.items():
        assert math.fsum(float(row[column]) for row in rows(table)) == pytest.approx(total, abs=1e-12)


@pytest.mark.parametrize("table", SHAPES)
def test_the_head_names_the_source_and_what_is_from_memory(table):
    text = files("sheetcalc.trade.tables").joinpath(f"{table}.csv").read_text("utf-8")
    head = [line for line in text.splitlines() if line.startswith("#")]
    assert text.startswith("#")
    assert any("Western Wood Products Association" in line or "Wood Handbook" in line for line in head)
    assert any("memory" in line for line in head)


def test_a_table_is_read_once():
    assert rows("tongue_and_groove") is rows("tongue_and_groove")
