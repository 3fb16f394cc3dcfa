"""Importing the package must not import what only some of it needs."""

import subprocess
import sys

import pytest

HEAVY = ("pint", "openpyxl", "formualizer")
BLOCKED = f"import sys; sys.modules.update(dict.fromkeys({HEAVY!r})); "


def run(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("module", ["sheetcalc", "sheetcalc.cells.registry", "sheetcalc.cells.call"])
def test_import_without_what_is_heavy(module: str):
    run(f"{BLOCKED} import {module}")


def test_a_us_call_needs_none_of_it():
    code = "from sheetcalc.cells.call import call; print(call('FEET_INCHES', ['4.35 m']))"
    assert run(BLOCKED + code) == "14'-3 1/4\"\n"


def test_functions_without_what_is_heavy():
    code = "from sheetcalc import *; print(course_count(across=120, face=5.125, gap=0.5))"
    assert run(BLOCKED + code) == "24\n"


def test_the_package_alone_imports_nothing_of_its_own():
    code = "import sys, sheetcalc; print([name for name in sys.modules if name.startswith('sheetcalc.')])"
    assert run(code) == "[]\n"


def test_the_first_metric_call_imports_the_units_library():
    code = "import sys; from sheetcalc.cells.call import call; print('pint' in sys.modules); "
    code += "print(call('SLOPE_LENGTH', [3000, 40, 30, 'metric']), 'pint' in sys.modules)"
    assert run(code) == "False\n5000.0 True\n"
