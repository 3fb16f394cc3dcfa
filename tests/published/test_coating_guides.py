"""Spreading-rate tables of coating makers' estimating guides: 1604 x volume solids / dry film in mils.

Printed to the whole ft²/gal and computed from 1604, not 1604.17: agreement within one. In metric, 1000 x
volume solids / dry film in µm, in m²/L.
"""

import pytest

from sheetcalc.trade.coating import primer_volume, spread_rate

TABLE = [
    # volume solids, dry film in mils, ft²/gal
    (0.35, 1, 561),
    (0.50, 1, 802),
    (1.00, 1, 1604),
    (0.35, 2, 281),
    (0.30, 1, 481),
    (0.45, 3, 241),
    (0.60, 4, 241),
    (0.50, 5, 160),
    (0.65, 5, 209),
    (0.80, 8, 160),
    (0.98, 10, 157),
]


@pytest.mark.parametrize(("volume_solids", "dry_film", "printed"), TABLE)
def test_spreading_rates(volume_solids: float, dry_film: float, printed: int):
    assert spread_rate(volume_solids=volume_solids, dry_film=dry_film) == pytest.approx(printed, abs=1)


def test_the_metric_rule_is_the_same_rule():
    """Example of a guide: 65 % solids at 125 µm is 5.2 m²/L. A gallon is 3.785411784 L, a foot 0.3048 m."""
    per_gallon = spread_rate(volume_solids=0.65, dry_film=125 / 25.4)
    assert per_gallon * 0.3048**2 / 3.785411784 == pytest.approx(5.2, rel=1e-12)


def test_the_wood_handbook_film_on_a_porch_ceiling():
    """GTR-190, page 16-23: 4 to 5 mils dry in primer and two coats. 320 ft², 1.5 mils a coat, 40 % solids."""
    volume = primer_volume(area=320, spread_rate=spread_rate(volume_solids=0.4, dry_film=1.5), coats=3)
    assert volume * 1604 * 0.4 / 320 == pytest.approx(4.5, rel=2e-4)
