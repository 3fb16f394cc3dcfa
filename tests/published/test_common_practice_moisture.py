"""When a stack of boards is hung and when it waits: common practice, no source."""

import pytest

from sheetcalc.trade.moisture import ready_to_hang


def test_a_stack_at_11_to_12_per_cent_is_hung():
    """Common practice, no source."""
    stack = [11, 11.5, 12, 11, 12, 11.5, 12, 11, 11.5, 12]
    assert ready_to_hang(readings=stack, limit=18, target=12) == "ready"


@pytest.mark.parametrize("reading", [18, 18.5, 22, 30])
def test_a_board_at_18_per_cent_or_more_is_not_hung(reading):
    """Common practice, no source."""
    assert ready_to_hang(readings=[reading] * 10, limit=18).startswith("wait")
    assert ready_to_hang(readings=[12] * 9 + [reading], limit=18) == "ready, set aside 1"


def test_a_stack_fresh_from_the_yard_waits_on_the_porch():
    """Common practice, no source: dry enough to pass the limit, but far from what it will settle at."""
    assert (
        ready_to_hang(readings=[16, 15.5, 16.5], limit=18, target=12) == "wait: mean 16, target 12 within 2"
    )
