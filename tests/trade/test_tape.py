import pytest

from sheetcalc.errors import InputError, NotReadable
from sheetcalc.trade.tape import given, mean, places


def test_a_single_reading_is_one_place():
    assert places(120.25) == [120.25]
    assert places(None) == [None]
    assert places((120.25, None)) == [120.25, None]


def test_given_leaves_out_the_places_without_a_reading_and_keeps_the_order():
    assert given("across", [None, 120.25, None, 119.75]) == [120.25, 119.75]


@pytest.mark.parametrize(
    ("readings", "error"),
    [
        ([], NotReadable),
        ([None], NotReadable),
        (None, NotReadable),
        (["x"], NotReadable),
        ([1, 0], InputError),
    ],
)
def test_given_refuses(readings, error):
    with pytest.raises(error) as refused:
        given("along", readings)
    assert refused.value.argument == "along"


def test_mean_sums_without_losing_anything():
    assert mean([0.1] * 10) == 0.1
