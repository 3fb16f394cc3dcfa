"""Ceiling layout of US Navy NAVEDTRA 14044, page 5-16, "Pattern Layout" (tpub.com copy of the page).

A ceiling of 13 ft 7 in by 10 ft 4 in, in panels of 2 ft, counts as 14 by 12 ft; the border panels at opposite
edges are to be equal and as large as possible. Agreement: exact.
"""

import pytest

from sheetcalc.trade.courses import course_count, course_ends

PANEL = {"face": 24, "gap": 0, "layout": "balanced"}


@pytest.mark.parametrize(("across", "counts_as"), [(13 * 12 + 7, 14 * 12), (10 * 12 + 4, 12 * 12)])
def test_sides_count_as_the_next_whole_panel(across, counts_as):
    assert course_count(across=across, **PANEL) * 24 == counts_as


@pytest.mark.parametrize("across", [13 * 12 + 7, 10 * 12 + 4])
def test_borders_are_equal_and_as_large_as_possible(across):
    # with every possible number of whole panels between two equal borders, none wider than a panel
    borders = [(across - whole * 24) / 2 for whole in range(across // 24 + 1)]
    largest = max(border for border in borders if border <= 24)
    assert course_ends(across=across, **PANEL) == [(largest, largest, 0)]
