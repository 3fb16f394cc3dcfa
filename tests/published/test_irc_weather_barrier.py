"""International Residential Code, R703.2: water-resistive barrier.

Laps of 2 in (51 mm) at horizontal seams and 6 in (152 mm) at joints: a wall rule. On a ceiling nothing sheds,
so 6 in (150 mm) is taken at every seam and every roll end.
"""

import inspect
from typing import get_type_hints

from sheetcalc.kinds import InMetric
from sheetcalc.trade.backing import barrier_rolls


def test_the_lap_is_that_of_joints():
    assert inspect.signature(barrier_rolls).parameters["lap"].default == 6
    assert InMetric(150) in get_type_hints(barrier_rolls, include_extras=True)["lap"].__metadata__


def test_the_wall_lap_would_save_a_strip():
    """104 in across from 36 in rolls: 36 + 2 x 34 in with laps of 2 in; 36 + 3 x 30 in with laps of 6 in."""
    porch = {"across": 104, "along": 280, "roll_width": 36, "roll_length": 900}
    assert barrier_rolls(**porch, lap=2) == 1  # three strips, 840 in
    assert barrier_rolls(**porch) == 2  # four strips, 1120 in
