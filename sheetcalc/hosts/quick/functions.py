"""What formulas do, on values as the engine holds them; blank is None, an error a dictionary.

Each function follows the engine, or gives up: a test computes a whole takeoff both ways.
"""

import math
import operator
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, reduce
from itertools import chain
from typing import Any

from sheetcalc.cells.values import CellError
from sheetcalc.hosts.engine import ERRORS, alone

Value = Any
"""A cell, or a list of rows of cells."""
Rows = list[list[Value]]

_CRITERION = re.compile(r"(<>|<=|>=|<|>|=|)(.*)", re.DOTALL)
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_JOKERS = {"*": ".*", "?": "."}
_DOUBTFUL = 1e-9
_BEYOND = 1e50  # what is made of numbers within stays finite
_MAY_BE_READ = frozenset("~/:%-$.,")  # escapes; dates, times and other numbers
_MAYBE_NUMBER = re.compile(r"[\s\d.,:/%$+\-()eE]*\d[\s\d.,:/%$+\-()eE]*")


class NotQuick(Exception):  # noqa: N818  nothing is wrong
    """What only the engine does."""


class Wrong(Exception):  # noqa: N818  of a cell
    """A cell error, as the engine holds it."""

    def __init__(self, error: Any) -> None:
        super().__init__(error)
        self.error = error


DIV, NA, NUM, REF, VALUE = (
    ERRORS[error] for error in (CellError.DIV, CellError.NA, CellError.NUM, CellError.REF, CellError.VALUE)
)


def several(value: Value) -> bool:
    """Tell rows from a single value."""
    return type(value) is list


# --- One value for another ---


def num(value: Value) -> float:
    """Value in arithmetic."""
    if type(value) is float:
        if -_BEYOND < value < _BEYOND:
            return value
        raise NotQuick
    if value is None:
        return 0.0
    if type(value) is bool:
        return float(value)
    if type(value) is dict:
        raise Wrong(value)
    if several(value) or any(map(str.isdigit, value)):
        raise NotQuick
    raise Wrong(VALUE)


def text(value: Value) -> str:
    """Value beside &."""
    if type(value) is str:
        return value
    if value is None:
        return ""
    if type(value) is float and 0 < abs(value) < 1e15 and value == int(value):
        return str(int(value))
    if type(value) is dict:
        raise Wrong(value)
    return native("CONCATENATE", value)


def truth(value: Value) -> bool:
    """Value as a condition."""
    if type(value) is bool:
        return value
    if type(value) is float:
        return value != 0
    if value is None:
        return False
    if type(value) is dict:
        raise Wrong(value)
    raise NotQuick


def truth_or(value: Value, blank: bool) -> bool:
    """Cell that AND or OR is given; a blank one is passed over."""
    return blank if value is None else truth(value)


def plain(value: Value) -> Value:
    """Value that is handed on; an error is one."""
    if type(value) is dict:
        raise Wrong(value)
    return value


def rows(value: Value) -> Rows:
    """Value where only a range will do."""
    if not several(value):
        raise NotQuick
    return value


def number_or_rows(value: Value) -> Value:
    """Value among those that are added up; what else a cell may hold counts there only if it is typed."""
    if type(value) is float or several(value):
        return value
    plain(value)
    raise NotQuick


# --- Comparison ---


def _rank(value: Value) -> int:
    if type(value) is dict:
        raise Wrong(value)
    if several(value):
        raise NotQuick
    return 2 if type(value) is bool else 1 if type(value) is str else 0


def compare(one: Value, other: Value) -> int:
    """Return -1, 0 or 1: numbers before texts before yes or no; a blank is the least of the other's kind."""
    if type(one) is float and type(other) is float:
        return (one > other) - (one < other)
    if one is None and other is None:
        return 0
    first, second = _rank(one), _rank(other)
    if one is None or other is None:
        least = {0: 0.0, 1: "", 2: False}[max(first, second)]
        one, other = (least if one is None else one), (least if other is None else other)
        first = second = max(first, second)
    if first != second:
        return first - second
    if first == 1:
        one, other = _folded(one), _folded(other)
    return (one > other) - (one < other)


@cache
def _folded(word: str) -> str:
    """Make capital and small letters alike; those with accents the engine tells apart."""
    if not word.isascii() and any(not sign.isascii() and sign.upper() != sign.lower() for sign in word):
        raise NotQuick
    return word.lower()  # as between Z and a there are other signs


def empty(value: Value) -> bool:
    """Tell whether a value equals the empty text."""
    if type(value) is str:
        return not value
    if type(value) is dict:
        raise Wrong(value)
    if several(value):
        raise NotQuick
    return value is None


TESTS: dict[str, Callable[[Value, Value], bool]] = {
    "=": lambda one, other: compare(one, other) == 0,
    "<>": lambda one, other: compare(one, other) != 0,
    "<": lambda one, other: compare(one, other) < 0,
    ">": lambda one, other: compare(one, other) > 0,
    "<=": lambda one, other: compare(one, other) <= 0,
    ">=": lambda one, other: compare(one, other) >= 0,
}


def each_test(sign: str, one: Value, other: Value) -> Value:
    """Compare values or ranges in an array formula."""
    test = TESTS[sign]
    if not several(one) and not several(other):
        return test(one, other)

    def answer(first: Value, second: Value) -> Value:
        return value_of(lambda: test(first, second))

    return _each(answer, one, other)


def each_choice(condition: Value, one: Callable[[], Value], other: Callable[[], Value]) -> Value:
    """IF in an array formula."""
    if not several(condition):
        return one() if truth(condition) else other()

    def answer(met: Value, first: Value, second: Value) -> Value:
        return value_of(lambda: first if truth(met) else second)

    return _each(answer, condition, value_of(one), value_of(other))


def _each(do: Callable[..., Value], *values: Value) -> Rows:
    blocks = [value if several(value) else [[value]] for value in values]
    high, wide = max(map(len, blocks)), max(len(block[0]) for block in blocks)
    if any(len(block) not in (1, high) or len(block[0]) not in (1, wide) for block in blocks):
        raise NotQuick
    return [
        [do(*(block[row % len(block)][column % len(block[0])] for block in blocks)) for column in range(wide)]
        for row in range(high)
    ]


# --- Arithmetic ---


def divided(one: float, other: float) -> float:
    """Quotient."""
    if other == 0:
        raise Wrong(DIV)
    return one / other


def power(base: float, exponent: float) -> float:
    """Power."""
    if base <= 0 or abs(exponent) > 64:
        raise NotQuick
    return base**exponent


def whole(number: float) -> float:
    """INT."""
    return float(math.floor(number))


def half_turn() -> float:
    """PI."""
    return math.pi


def opposite(condition: bool) -> bool:
    """NOT."""
    return not condition


def remainder(number: float, by: float) -> float:
    """MOD."""
    if not (number.is_integer() and by.is_integer() and by > 0):
        raise NotQuick
    return number % by


def plain_number(value: Value) -> float:
    """N."""
    if type(value) is dict:
        raise Wrong(value)
    if several(value):
        raise NotQuick
    return float(value) if isinstance(value, (float, bool)) else 0.0


# --- Ranges ---


def _numbers(parts: Iterable[Value]) -> Iterator[float]:
    for part in parts:
        if type(part) is float:
            yield part
            continue
        for value in chain.from_iterable(part):
            if type(value) is float:
                yield value
            elif type(value) is dict:
                raise Wrong(value)


def _sum(numbers: Iterable[float]) -> float:
    """Add one after the other: Python's own sum is more exact than the engine's from 3.12 on."""
    return _finite(reduce(operator.add, numbers, 0.0))


def _finite(number: float) -> float:
    if not math.isfinite(number):
        raise NotQuick
    return number


def total(*parts: Value) -> float:
    """SUM."""
    return _sum(_numbers(parts))


def product(*parts: Value) -> float:
    """PRODUCT."""
    numbers = list(_numbers(parts))
    return _finite(math.prod(numbers)) if numbers else 0.0


def least(*parts: Value) -> float:
    """MIN."""
    return min(_numbers(parts), default=0.0)


def most(*parts: Value) -> float:
    """MAX."""
    return max(_numbers(parts), default=0.0)


def average(*parts: Value) -> float:
    """AVERAGE."""
    numbers = list(_numbers(parts))
    if not numbers:
        raise Wrong(DIV)
    return _sum(numbers) / len(numbers)


def median(*parts: Value) -> float:
    """MEDIAN."""
    numbers = sorted(_numbers(parts))
    if len(numbers) % 2 == 0:
        raise NotQuick
    return numbers[len(numbers) // 2]


def nth_least(of: Rows, place: Value) -> float:
    """SMALL."""
    numbers = sorted(_numbers([of]))
    if type(place) is not float or not place.is_integer():
        raise NotQuick
    if not 1 <= place <= len(numbers):
        raise Wrong(NUM)
    return numbers[int(place) - 1]


def numbers_in(*parts: Rows) -> float:
    """COUNT."""
    return float(sum(type(value) is float for part in parts for value in chain.from_iterable(part)))


def filled_in(*parts: Rows) -> float:
    """COUNTA."""
    return float(sum(value is not None for part in parts for value in chain.from_iterable(part)))


def blank_in(part: Rows) -> float:
    """COUNTBLANK."""
    return float(sum(value is None or value == "" for value in chain.from_iterable(part)))


def _reads_as_number(value: Value) -> bool:
    """Tell whether a value is a text that might be read as a number."""
    return type(value) is str and _MAYBE_NUMBER.fullmatch(value) is not None


def _alike(parts: Sequence[Rows]) -> None:
    """Give up on ranges of different shapes."""
    if len({(len(part), len(part[0])) for part in parts}) > 1:
        raise NotQuick


def sum_of_products(*parts: Rows) -> float:
    """SUMPRODUCT."""
    _alike(parts)
    found = 0.0
    for values in zip(*(chain.from_iterable(part) for part in parts), strict=True):
        for value in values:
            if type(plain(value)) is bool or _reads_as_number(value):
                raise NotQuick
        found += math.prod(value if type(value) is float else 0.0 for value in values)
    return _finite(found)


def at_place(
    values: Sequence[Value], part: Sequence[Sequence[int]], row: float, column: float | None = None
) -> Value:
    """INDEX; the range is given by where its cells are among the values."""
    high, wide = len(part), len(part[0])
    if column is None:
        row, column = (1.0, row) if high == 1 and wide > 1 else (row, 1.0 if wide == 1 else 0.0)
    if row < 0 or column < 0:
        raise NotQuick
    if row >= high + 1 or column >= wide + 1:
        raise Wrong(REF)
    if row >= 1 and column >= 1:
        return values[part[int(row) - 1][int(column) - 1]]
    chosen = [part[int(row) - 1]] if row >= 1 else part
    return [[values[at] for at in ([line[int(column) - 1]] if column >= 1 else line)] for line in chosen]


def _close(one: Value, other: Value) -> bool:
    """Give up on numbers that some functions take for equal and others do not."""
    if type(one) is float and 0 < abs(one - other) < _DOUBTFUL:
        raise NotQuick
    return False


def place_in(value: Value, part: Rows, kind: float) -> float:
    """MATCH, for an exact match."""
    if type(value) is dict:
        raise Wrong(value)
    if kind != 0 or value is None or several(value):
        raise NotQuick
    if len(part) > 1 and len(part[0]) > 1:
        raise Wrong(NA)
    values = list(chain.from_iterable(part))
    if type(value) is str:
        if not _JOKERS.keys().isdisjoint(value) or "~" in value:
            raise NotQuick
        value = _folded(value)
        values = [_folded(one) if type(one) is str else None for one in values]
    for at, one in enumerate(values, start=1):
        if type(one) is type(value) and (one == value or _close(one, value)):
            return float(at)
    raise Wrong(NA)


def _equals(value: Value, wanted: float) -> bool:
    """Tell whether a cell holds a number, or a text that reads as one."""
    if _reads_as_number(value):
        raise NotQuick
    return type(value) is float and (value == wanted or _close(value, wanted))


def _criterion(wanted: Value) -> Callable[[Value], bool]:
    if type(wanted) is dict:
        raise Wrong(wanted)
    if type(wanted) is float:
        return lambda value: _equals(value, wanted)
    if type(wanted) is not str:
        raise NotQuick
    return _written(wanted)


@cache
def _written(wanted: str) -> Callable[[Value], bool]:
    """Criterion in a text: a number or a word, with a sign before it or alone."""
    found = _CRITERION.fullmatch(wanted)
    assert found is not None  # it takes anything
    sign, operand = found.groups()
    if wanted == "":
        return lambda value: value is None or value == ""
    if wanted == "<>":
        return lambda value: value is not None
    if _NUMBER.fullmatch(operand) and sign != "<>":
        number = float(operand)
        if sign in ("", "="):
            return lambda value: _equals(value, number)
        test = TESTS[sign]
        return lambda value: type(value) is float and (_close(value, number) or test(value, number))
    if (
        sign
        or operand != operand.strip()
        or not _MAY_BE_READ.isdisjoint(operand)
        or operand.upper() in ("TRUE", "FALSE")
    ):
        raise NotQuick
    pattern = "".join(_JOKERS.get(sign, re.escape(sign)) for sign in operand)
    word = re.compile(pattern, re.IGNORECASE | re.DOTALL)
    return lambda value: type(value) is str and bool(word.fullmatch(value))


def _meeting(pairs: Sequence[Value]) -> Iterator[bool]:
    """Tell of each place whether all criteria are met there."""
    tests = [_criterion(wanted) for wanted in pairs[1::2]]
    _alike(pairs[::2])
    ranges = [chain.from_iterable(part) for part in pairs[::2]]
    for values in zip(*ranges, strict=True):
        yield all(test(value) for test, value in zip(tests, values, strict=True))


def count_if(*pairs: Value) -> float:
    """COUNTIF and COUNTIFS."""
    return float(sum(_meeting(pairs)))


def sum_if(of: Rows, *pairs: Value) -> float:
    """SUMIFS."""
    _alike([of, pairs[0]])
    found = 0.0
    for value, met in zip(chain.from_iterable(of), _meeting(pairs), strict=True):
        if met and type(value) is float:
            found += value
        elif met and type(value) is dict:
            raise NotQuick
    return found


# --- Conditions ---


def chosen(number: Value, *values: Callable[[], Value]) -> Value:
    """CHOOSE."""
    if type(plain(number)) is not float:
        raise NotQuick
    at = int(number)
    if not 1 <= at <= len(values):
        raise Wrong(VALUE)
    return values[at - 1]()


def value_of(value: Callable[[], Value]) -> Value:
    """Value or error."""
    try:
        return value()
    except Wrong as wrong:
        return wrong.error


def unless_wrong(value: Callable[[], Value], other: Callable[[], Value]) -> Value:
    """IFERROR."""
    found = value_of(value)
    if several(found):
        raise NotQuick
    return other() if type(found) is dict else found


ASKED: dict[str, Callable[[Value], bool]] = {
    "ISERROR": lambda value: type(value) is dict,
    "ISNA": lambda value: value == NA,
    "ISNUMBER": lambda value: type(value) is float,
    "ISTEXT": lambda value: type(value) is str,
    "ISBLANK": lambda value: value is None,
}


def asks(what: str, value: Value) -> bool:
    """Answer what a value is; an error is one."""
    if several(value):
        raise NotQuick
    return ASKED[what](value)


def fails(error: Any) -> Any:
    """Stand for a cell error."""
    raise Wrong(error)


# --- The rest, by the engine itself ---


def native(name: str, *values: Value) -> Value:
    """Answer a function of single values that is seldom called."""
    for value in values:
        if several(plain(value)) or (value == 0 and math.copysign(1, value) < 0):  # -0 is kept apart from 0
            raise NotQuick
    return alone(name, *values)
