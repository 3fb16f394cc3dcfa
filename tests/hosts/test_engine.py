"""What the engine does as spreadsheet programs do, and where it is known not to.

Compared with LibreOffice Calc 7.4.7 computing the same formulas. The differences stand here so that sheets
avoid them, and so that a newer engine without them is noticed.
"""

from datetime import date
from typing import Any

import pytest

from sheetcalc.cells.values import CellError
from sheetcalc.hosts.headless import evaluate_formula
from sheetcalc.xlsx.cells import serial


@pytest.mark.parametrize(
    ("formula", "answer"),
    [
        ("ROUNDUP(0.1*3*10,0)", 3),
        ("ROUNDUP(0.07*100,0)", 7),
        ("ROUNDUP(100*1.1,0)", 110),
        ("ROUNDUP(8.4/1.2,0)", 7),
        ("ROUNDUP(1.1*3,1)", 3.3),
        ("ROUNDDOWN(1.15*100,0)", 115),
        ("ROUNDDOWN(4.35*100,0)", 435),
        ("ROUND(2.675,2)", 2.68),
        ("ROUND(1.005,2)", 1.01),
        ("ROUND(-2.5,0)", -3),
        ("ROUND(1234.5,-2)", 1200),
        ("MROUND(6.05,0.1)", 6),
        ("TRUNC(0.29*100)", 29),
        ("-2^2", 4),
        ("2^-1", 0.5),
        ("COUNT(1,,2)", 3),
        ("IF(1,)", 0),
        ('""+1', CellError.VALUE),
        ('"a"="A"', True),
        ('"x"<1', False),
        ("DATE(1900,2,29)", 61),
        ("INDEX({1,2;3,4},2,1)", 3),
        ("MATCH(2,{1;2;3},0)", 2),
        ('TEXT(0.125,"0.0%")', "12.5%"),
    ],
)
def test_as_in_a_spreadsheet(formula: str, answer: Any):
    assert evaluate_formula(formula) == (answer, "")


@pytest.mark.parametrize(
    ("formula", "here", "in_calc"),
    [
        # rounding without the tolerance that ROUNDUP and ROUNDDOWN have
        ("CEILING(0.1*3*10,1)", 4, 3),
        ("CEILING(0.07*100,1)", 8, 7),
        ("CEILING(8.4/1.2,1)", 8, 7),
        ("FLOOR(0.7+0.1,0.1)", 0.7000000000000001, 0.8),
        ("INT(1.15*100)", 114, 115),
        ("INT(2.9999999999999996)", 2, 3),
        ("MOD(1,0.1)", 0.09999999999999995, 0),
        # comparing and subtracting to the last digit
        ("0.1+0.2=0.3", False, True),
        ("0.07*100=7", False, True),
        ("0.1+0.2-0.3", 5.551115123125783e-17, 0),
        # numbers as text with all their digits
        ('1/3&""', "0.3333333333333333", "0.333333333333333"),
        ('0.1+0.2&""', "0.30000000000000004", "0.3"),
        # fractions
        ('TEXT(5.125,"# ??/16")', "5.125", "5  2/16"),
        # text that looks like a number
        ('"1,000"+0', CellError.VALUE, 1000),
        ('VALUE("$5")', CellError.VALUE, 5),
    ],
)
def test_known_differences(formula: str, here: Any, in_calc: Any):
    assert here != in_calc
    assert evaluate_formula(formula) == (here, "")


def test_today_is_a_serial():
    before = serial(date.today())
    answer, _ = evaluate_formula("TODAY()")
    assert before <= answer <= serial(date.today())
    random, _ = evaluate_formula("RAND()")
    assert 0 <= random < 1
