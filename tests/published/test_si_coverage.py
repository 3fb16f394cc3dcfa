"""Coverage, spread rate and volumes in SI form: the metric calls of the cells against rules read in metric.

- Spread rate in m²/L is 1000 x volume solids / dry film in µm (coating makers' estimating guides).
- A board covers face x length: running metres per m² are 1000 / face in mm. The guide's own factor, 12 / face
  in inches (WWPA, Natural Wood Siding, Table 4), is the same rule: 2.34 ft per ft² is 7.69 m per m².
- A board foot is 2.359737 L (144 in³, NIST Handbook 44, Appendix C).
- A US gallon is 3.785411784 L (231 in³; the same, from memory).
"""

import pytest

from sheetcalc.cells.call import call

SPREAD = [
    # volume solids, dry film in µm, m²/L
    (0.65, 125, 5.2),  # the guide's worked example
    (0.40, 40, 10.0),
    (1.00, 25, 40.0),
    (0.35, 50, 7.0),
]


@pytest.mark.parametrize(("volume_solids", "dry_film", "wanted"), SPREAD)
def test_spread_rates_in_square_metres_per_litre(volume_solids: float, dry_film: float, wanted: float):
    assert call("SPREAD_RATE", [volume_solids, dry_film, "metric"]) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("face", [96, 121, 146, 130.175])
def test_running_metres_per_square_metre(face: float):
    assert call("RUNNING_LENGTH", [1, face, "metric"]) == pytest.approx(1000 / face, rel=1e-12)
    assert call("BOARD_COVERAGE", [face, 4800, 10, "metric"]) == pytest.approx(10 * 4.8 * face / 1000)


def test_the_published_factor_of_a_1x6_in_metres():
    """Printed to two decimals of a foot per ft²: within 0.005 / 0.3048 of a metre per m²."""
    face = call("FACE_WIDTH", ["1x6", "metric"])
    assert face == pytest.approx(130.175)
    assert call("RUNNING_LENGTH", [1, face, "metric"]) == pytest.approx(2.34 / 0.3048, abs=0.005 / 0.3048)


def test_a_board_foot_in_litres():
    """A metre of 1x12, nominally 25.4 mm x 304.8 mm, is 7.74192 L."""
    assert call("BOARD_FEET", ["1x12", 1000, "metric"]) * 2.359737 == pytest.approx(7.74192, rel=1e-6)


def test_primer_for_a_ceiling_in_litres():
    """40 m² in two coats at 10 m²/L, a tenth of what is bought lost: 40 · 2 / 10 / 0.9 L."""
    assert call("PRIMER_VOLUME", [40, 10, 2, 0.1, "metric"]) == pytest.approx(8 / 0.9, rel=1e-12)


def test_a_bead_of_sealant_in_millilitres():
    """10 m of 6 mm x 6 mm are 360 ml: two tubes of 310 ml."""
    assert call("SEALANT_TUBES", [10_000, 6, 6, 310, "metric"]) == 2
    assert call("SEALANT_TUBES", [10_000, 6, 6, 360, "metric"]) == 1


def test_weight_of_a_board_in_kilograms():
    """Volume times density: 0.019 x 0.135 x 4.8 m at 500 kg/m³ is 6.156 kg."""
    assert call("BOARD_WEIGHT", [19, 135, 4800, 500, "metric"]) == pytest.approx(6.156, rel=1e-12)
