"""The package as a Python user meets it."""

import tomllib
from pathlib import Path

import pytest

import sheetcalc
from sheetcalc.cells.registry import REGISTRY


def test_every_trade_function_is_a_name_of_the_package():
    trade = [name.lower() for name, function in REGISTRY.items() if function.has_units]
    assert sheetcalc.__all__ == [*trade, "__version__"]
    assert all(callable(getattr(sheetcalc, name)) for name in trade)
    assert set(sheetcalc.__all__) <= set(dir(sheetcalc))


def test_functions_take_plain_floats():
    from sheetcalc import course_count, feet_inches

    assert course_count(across=120, face=5.125, gap=0.5) == 24
    assert feet_inches(171.375) == "14'-3 3/8\""


@pytest.mark.parametrize("name", ["no_such", "entry_problem", "nothing", "COURSE_COUNT", "__wrapped__"])
def test_other_names_are_none(name: str):
    with pytest.raises(AttributeError, match=name):
        getattr(sheetcalc, name)


def test_one_version():
    project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text())
    assert project["project"]["dynamic"] == ["version"]
    assert project["tool"]["hatch"]["version"]["path"] == "sheetcalc/__init__.py"
    assert sheetcalc.__version__.count(".") == 2
