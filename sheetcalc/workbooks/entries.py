"""What a person may type into an entry, and the values that a job brings."""

import math
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import cast

from openpyxl.worksheet.datavalidation import DataValidation

from sheetcalc.kinds import COUNT, NUMBER, PERCENT, SHARE, SYSTEMS, TEMPERATURE, TEXT
from sheetcalc.workbooks.declare import AS_TYPED, DATE, FLAG, Item
from sheetcalc.workbooks.page import Plan
from sheetcalc.workbooks.place import fits_validation
from sheetcalc.workbooks.refs import Place
from sheetcalc.workbooks.style import unit_words

LONGEST_TEXT = 255
_LONGEST_PROMPT = 255
_LONGEST_TITLE = 32
_LENGTHS = (
    "Type a length: inches such as 3 3/8, or text such as 14' 3-3/8\".",
    "Type a length: mm such as 95, or text such as 4.35 m.",
)
_BOUNDS = {
    SHARE: ("10", "Type a share such as 12 %, which is 0.12; not over 10."),
    PERCENT: ("100", "Type a number of percent, 0 to 100: 18 means 18 %."),
}
_ANY_SIGN = (NUMBER, TEMPERATURE)
_MOST = "1000000000"

Entered = float | str | bool | date


def validation(item: Item, system: str, words_at: str = "") -> DataValidation:
    """Make the rule of an entry, with its sentences.

    Parameters
    ----------
    item : Item
        The entry.
    system : str
        "us" or "metric".
    words_at : str
        Where the words to choose from stand, if they are too many for the rule itself.
    """
    rule, sentence = _rule(item, system, words_at)
    blank = "Blank takes the value beside it." if item.default is not None else ""
    prompt = (item.note, sentence, "Needed for the price." if item.needed else blank)
    rule.allowBlank = rule.showInputMessage = rule.showErrorMessage = True
    rule.promptTitle = textwrap.shorten(item.label, _LONGEST_TITLE, placeholder=" …")
    rule.prompt = textwrap.shorten(" ".join(filter(None, prompt)), _LONGEST_PROMPT, placeholder=" …")
    rule.errorTitle = "Not a value for this cell"
    rule.error = sentence
    return rule


def _rule(item: Item, system: str, words_at: str) -> tuple[DataValidation, str]:
    unit = unit_words(item, system)
    number = f"Type a number ({unit})" if unit else "Type a number"
    if item.choices:
        words = f'"{",".join(item.choices)}"' if fits_validation(item.choices) else words_at
        return DataValidation(type="list", formula1=words), "Choose one of the words in the list."
    if item.kind == FLAG:
        return DataValidation(type="list", formula1='"TRUE,FALSE"'), "Type TRUE or FALSE."
    if item.kind.typed:  # text with its own marks is as good as a number, so nothing can be refused here
        return DataValidation(), _LENGTHS[SYSTEMS.index(system)]
    if item.kind in (TEXT, AS_TYPED):
        rule = DataValidation(type="textLength", operator="lessThanOrEqual", formula1=str(LONGEST_TEXT))
        return rule, f"Type words, at most {LONGEST_TEXT} characters."
    if item.kind == DATE:
        rule = DataValidation(type="date", operator="greaterThan", formula1="0")
        return rule, "Type a date such as 2025-04-30."
    if item.kind == COUNT:
        rule = DataValidation(type="whole", operator="greaterThanOrEqual", formula1="0")
        return rule, "Type a whole number, 0 or more."
    if item.kind in _BOUNDS:
        most, sentence = _BOUNDS[item.kind]
        rule = DataValidation(type="decimal", operator="between", formula1="0", formula2=most)
        return rule, sentence
    if item.kind in _ANY_SIGN:
        rule = DataValidation(type="decimal", operator="between", formula1=f"-{_MOST}", formula2=_MOST)
        return rule, f"{number}."
    rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0")
    return rule, f"{number}, 0 or more."


def entered(plan: Plan, values: Mapping[str, object]) -> dict[tuple[str, int, int], Entered]:
    """Give each value its entry cell.

    Parameters
    ----------
    plan : Plan
        Where the handles stand.
    values : mapping of str to object
        By handle: a value for one cell; a sequence for a column, or for a line of several cells; a sequence
        of sequences for a column of several cells; for a table with named rows, a mapping of row name to
        value. None leaves a cell blank.

    Raises
    ------
    ValueError
        No such entry, more values than cells, or a value that the entry cannot hold.
    """
    found: dict[tuple[str, int, int], Entered] = {}
    for handle, given in values.items():
        place = plan.places.get(handle)
        if not place or not place.item:
            raise ValueError(f"there is no entry {handle}")
        cells = place.cells
        for row, column, value in _spread(handle, place, given):
            if row >= cells.rows or column >= cells.columns:
                raise ValueError(f"{handle}: more values than its {cells.rows} x {cells.columns} cells")
            spot = (cells.sheet, cells.row + row, cells.column + column)
            if value is None:
                continue
            if spot not in plan.entries:
                raise ValueError(f"{handle} is a result, not an entry")
            found[spot] = _value(place.item, value)
    return found


def _spread(handle: str, place: Place, given: object) -> Iterator[tuple[int, int, object]]:
    # Row and column, from 0, of each value.
    for row, values in _rows(handle, place, given):
        if values is None:
            continue
        if place.cells.columns > 1:
            yield from ((row, column, value) for column, value in enumerate(_several(handle, values)))
        else:
            yield row, 0, values


def _rows(handle: str, place: Place, given: object) -> Iterable[tuple[int, object]]:
    if not place.lineage:
        return [(0, given)]
    if isinstance(given, Mapping):
        by_name = cast("Mapping[str, object]", given)
        if unknown := sorted(set(by_name) - set(place.named)):
            raise ValueError(f"{handle} has no rows {unknown}")
        return [(place.named[name][0], values) for name, values in by_name.items()]
    return enumerate(_several(handle, given))


def _several(handle: str, values: object) -> Sequence[object]:
    if isinstance(values, Sequence) and not isinstance(values, str):
        return cast("Sequence[object]", values)
    raise ValueError(f"{handle} takes several values, not {values!r}")


def _value(item: Item, value: object) -> Entered:
    def refuse(what: str) -> ValueError:
        return ValueError(f"{item.handle} is {value!r}, but {what}")

    if item.choices and value not in item.choices:
        raise refuse(f"must be one of {', '.join(item.choices)}")
    if item.kind == DATE:
        try:
            return value if isinstance(value, date) else date.fromisoformat(str(value))
        except ValueError:
            raise refuse("must be a date such as 2025-04-30") from None
    if isinstance(value, bool):
        if item.kind != FLAG:
            raise refuse("is no yes or no")
        return value
    if isinstance(value, str):
        if not (item.kind.typed or item.kind == TEXT):
            raise refuse("must be a number")
        if len(value) > LONGEST_TEXT:
            raise refuse("is too long")
        return value
    if isinstance(value, (int, float)) and math.isfinite(value) and item.kind != FLAG:
        return value
    raise refuse("is nothing that a cell can hold")
