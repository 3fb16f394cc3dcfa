"""National Wood Flooring Association (NWFA), moisture checklist: at least 40 readings per 1,000 ft².

The rule is for floors; no rule of this kind for ceilings was found. The least of ten readings is from memory.
"""

import pytest

from sheetcalc.trade.moisture import readings_needed


@pytest.mark.parametrize(("area", "readings"), [(1000, 40), (2500, 100), (160, 7)])
def test_forty_readings_per_thousand_square_feet(area, readings):
    assert readings_needed(area=area, at_least=0) == readings


def test_a_porch_takes_the_least_of_ten():
    assert readings_needed(area=160) == 10
