"""How an entry can be wrong, and the guards that say so.

    EntryError            any of the three; carries argument, value, rule
    ├── InputError        readable, but outside what the trade allows     #NUM!
    ├── NotReadable       no value there, or text that cannot be read     #VALUE!
    └── NotFound          nothing fits: species, nominal size, stock      #N/A

Any other exception is a bug in this package.
"""

import math
from collections.abc import Mapping
from typing import Any

from sheetcalc.compare import over, round_down, same, under

MOST = 1e12  # beyond it sums and products lose their last digits, and no job comes near


class EntryError(ValueError):
    """An argument that breaks a rule.

    Parameters
    ----------
    argument : str
        Name of the argument.
    value : object
        What it was given.
    rule : str
        The rule it breaks, as a predicate: "must be over 0". No dimensioned number stands in a rule, because
        the person may be working in the other unit system.
    """

    def __init__(self, argument: str, value: Any, rule: str) -> None:
        super().__init__(argument, value, rule)
        self.argument = argument
        self.value = value
        self.rule = rule

    def __str__(self) -> str:
        return f"{self.argument} is {self.value!r}, but {self.rule}"


class InputError(EntryError):
    """Readable, but outside what the trade allows."""


class NotReadable(EntryError):  # noqa: N818  (it says what the entry is)
    """No value given, or text that cannot be read."""


class NotFound(EntryError):  # noqa: N818
    """Nothing answers to the entry: no such species or size, no stock long enough."""


def renamed(wrong: EntryError, names: Mapping[str, str]) -> EntryError:
    """Say what is wrong with another function's argument of the one that its value came from."""
    return type(wrong)(names.get(wrong.argument, wrong.argument), wrong.value, wrong.rule)


def number(name: str, value: Any) -> float:
    """Return `value` if it is a finite number.

    Raises
    ------
    NotReadable
        It is no number.
    InputError
        It is NaN, infinite or absurdly large.
    """
    if not isinstance(value, (int, float)):
        raise NotReadable(name, value, "must be a number")
    if not -MOST <= value <= MOST:  # NaN lies nowhere
        if not math.isfinite(value):
            raise InputError(name, value, "must be a finite number")
        raise InputError(name, value, f"must be of a size met on a job: {MOST:g} at most")
    return value


def above(limit: float, /, **values: float) -> None:
    """Each named value must be over `limit`."""
    for name, value in values.items():
        if not over(number(name, value), limit):  # a float's dust over 0 is 0
            raise InputError(name, value, f"must be over {limit:g}")


def at_least(limit: float, /, **values: float) -> None:
    """Each named value must be `limit` or more."""
    for name, value in values.items():
        if under(number(name, value), limit):
            raise InputError(name, value, f"must be {limit:g} or more")


def within(low: float, high: float, rule: str = "", /, **values: float) -> None:
    """Each named value must lie in `low` to `high`; `rule` words limits that depend on other arguments."""
    for name, value in values.items():
        if under(number(name, value), low) or over(value, high):
            raise InputError(name, value, rule or f"must lie in {low:g} to {high:g}")


def share(**values: float) -> None:
    """Each named value is a share of a whole: 0 to under 1."""
    for name, value in values.items():
        if under(number(name, value), 0) or not under(value, 1):
            raise InputError(name, value, "must be a share, 0 or more and under 1: 10 % is 0.1")


def added_share(**values: float) -> None:
    """Each named value is a share added to a whole, such as a markup: 0 to under 10."""
    for name, value in values.items():
        if under(number(name, value), 0) or not under(value, 10):
            raise InputError(name, value, "must be a share, 0 or more and under 10: 10 % is 0.1")


def whole(**values: float) -> None:
    """Each named value must be a whole number, 0 or more."""
    for name, value in values.items():
        if under(number(name, value), 0) or not same(value, round_down(value)):
            raise InputError(name, value, "must be a whole number, 0 or more")
