"""Dates as typed: read where they mean one day, refused with the form to use where they may mean two."""

import re
from datetime import datetime

import pytest

from sheetcalc.workbooks.dates import read_date


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-14",
        "2027/3/14",
        "2027.03.14",
        "3/14/2027",
        "14/3/2027",
        "14.3.2027",
        "03-14-2027",
        "14 March 2027",
        "14-Mar-2027",
        "14th march, 2027",
        "March 14, 2027",
        "Mar. 14 2027",
        "MARCH 14th 2027",
    ],
)
def test_one_day(text: str):
    assert read_date(text) == datetime(2027, 3, 14)


def test_day_and_month_alike_and_a_time():
    assert read_date("9/9/2027") == datetime(2027, 9, 9)
    assert read_date("2027-03-14 12:30") == datetime(2027, 3, 14, 12, 30)
    assert read_date("1 sept 2027") == datetime(2027, 9, 1)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("3/4/2027", "can be read as 2027-03-04 or 2027-04-03: write the one that is meant"),
        ("12.11.2027", "can be read as 2027-12-11 or 2027-11-12: write the one that is meant"),
        ("14 March", "needs its year in full, such as 2027-03-14"),
        ("March 14", "needs its year in full, such as 2027-03-14"),
        ("3/14", "needs its year in full, such as 2027-03-14"),
        ("10.5.27", "needs its year in full, such as 2027-03-14"),  # either might be the month
        ("0/0", "needs its year in full, such as 2027-03-14"),
        ("3/14/27", "needs its year in full, such as 2027-03-14"),
        ("14-Mar-27", "needs its year in full, such as 2027-03-14"),
        ("2/30/2027", "is no day of the calendar: write a date as 2027-03-14"),
        ("2027-13-14", "is no day of the calendar: write a date as 2027-03-14"),
        ("31 April 2027", "is no day of the calendar: write a date as 2027-03-14"),
        ("13/14/2027", "is no day of the calendar: write a date as 2027-03-14"),
    ],
)
def test_not_one_day(text: str, sentence: str):
    with pytest.raises(ValueError, match=f"^{re.escape(sentence)}$"):
        read_date(text)


@pytest.mark.parametrize(
    "text", ["next spring", "14 boards 2027", "marching 3", "call 555 0142", "3/14/2027/1", ""]
)
def test_no_date(text: str):
    assert read_date(text) is None
