"""Dates as a person types them: read where they can mean one day only."""

import re
from datetime import datetime

_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)

_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d\d?)\2(\d\d?)")
_YEAR_LAST = re.compile(r"(\d\d?)([-/.])(\d\d?)(?:\2(\d{4}|\d\d))?")
_DAY_MONTH = re.compile(r"(\d\d?)(?:st|nd|rd|th)?[\s-]*([a-z]{3,9})\b\.?[\s,-]*(\d{4}|\d\d)?", re.IGNORECASE)
_MONTH_DAY = re.compile(
    r"([a-z]{3,9})\.?[\s-]*(\d\d?)(?:st|nd|rd|th)?(?:[\s,-]+(\d{4}|\d\d))?", re.IGNORECASE
)


def read_date(text: str) -> datetime | None:
    """Read a date; None for what is none.

    Parameters
    ----------
    text : str
        Such as 2027-03-14, 3/14/2027 or 14 March 2027.

    Raises
    ------
    ValueError
        It may mean several days, or none; the rest of a sentence about it.

    Examples
    --------
    >>> read_date("3/14/2027") == read_date("March 14, 2027") == read_date("2027-03-14")
    True
    >>> read_date("3/4/2027")
    Traceback (most recent call last):
    ValueError: can be read as 2027-03-04 or 2027-04-03: write the one that is meant
    """
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    if found := _YEAR_FIRST.fullmatch(text):
        return _day(found[1], int(found[3]), int(found[4]))
    if found := _YEAR_LAST.fullmatch(text):
        return _either(int(found[1]), int(found[3]), found[4])
    if (found := _DAY_MONTH.fullmatch(text)) and (month := _month(found[2])):
        return _day(found[3], month, int(found[1]))
    if (found := _MONTH_DAY.fullmatch(text)) and (month := _month(found[1])):
        return _day(found[3], month, int(found[2]))
    return None


def _month(word: str) -> int:
    """Give the number of a month by the first letters of its name; 0 for another word."""
    return next((n for n, name in enumerate(_MONTHS, 1) if name.startswith(word.lower())), 0)


def _either(first: int, second: int, year: str | None) -> datetime:
    """Tell day from month where one of them is over 12, or both are alike."""
    if first > 12:
        return _day(year, second, first)
    found = _day(year, first, second)
    if second <= 12 and first != second:
        other = _day(year, second, first)
        raise ValueError(f"can be read as {found:%Y-%m-%d} or {other:%Y-%m-%d}: write the one that is meant")
    return found


def _day(year: str | None, month: int, day: int) -> datetime:
    if year is None or len(year) < 4:
        raise ValueError("needs its year in full, such as 2027-03-14")
    try:
        return datetime(int(year), month, day)
    except ValueError:
        raise ValueError("is no day of the calendar: write a date as 2027-03-14") from None
