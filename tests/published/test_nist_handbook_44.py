"""NIST Handbook 44, Appendix C, General Tables of Units of Measurement.

1 US gallon is 231 cubic inches exactly; 1 cubic inch is 0.554 fluid ounce (three places printed).
"""

import pytest

from sheetcalc.trade.backing import sealant_tubes
from sheetcalc.trade.coating import primer_volume, spread_rate


def test_a_gallon_spread_one_mil_thick_covers_231_cubic_inches():
    area = spread_rate(volume_solids=1, dry_film=1)
    assert area == pytest.approx(1604.1667, abs=5e-5)
    assert area * 144 * 0.001 == pytest.approx(231, rel=1e-12)
    assert primer_volume(area=area, spread_rate=area) == 1


def test_a_cubic_inch_in_fluid_ounces():
    """A thousand cubic inches are 554 tubes of one fluid ounce and a part of one."""
    assert sealant_tubes(length=1000, width=1, depth=1, tube_volume=1) == 555
    assert sealant_tubes(length=231, width=1, depth=1, tube_volume=1) == 128
