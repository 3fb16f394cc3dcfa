"""Every cell function as xlwings calls it: explicit arguments, ranges as rows, errors as text.

The wrappers follow from the registry. They have no annotations, which xlwings would read as converters, and
no keyword-only arguments, which it refuses.
"""

import datetime as dt
import inspect
import sys
from collections.abc import Callable
from typing import Any, cast

from sheetcalc.cells.call import Argument, call
from sheetcalc.cells.help import arguments
from sheetcalc.cells.registry import CellFunction
from sheetcalc.cells.values import CellError, Range
from sheetcalc.hosts.excel.names import argument_name

LONGEST_TEXT = 255
"""No help text of a function or an argument may be longer."""

CATEGORY = "Porch ceilings"
"""Where the dialog Insert Function lists them."""

_ERRORS: dict[Any, CellError] = {error.value: error for error in CellError}
_DAY_0 = dt.datetime(1899, 12, 30)


def argument_texts(function: CellFunction) -> list[str]:
    """Word the help of every argument, in the order of a cell."""
    texts = (f"{each.meaning} ({each.takes})" if each.meaning else each.takes for each in arguments(function))
    return [text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1].rstrip()}…" for text in texts]


def serial(
    year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0, **_: Any
) -> float:
    """Return the number that a cell holds for a date, which is what the other hosts hand over.

    Examples
    --------
    >>> serial(2024, 3, 8, hour=12)
    45359.5
    """
    return (dt.datetime(year, month, day, hour, minute, second) - _DAY_0) / dt.timedelta(days=1)


def wrapper(function: CellFunction) -> Callable[..., list[list[Any]]]:
    """Build what xlwings calls: it takes rows of cells and returns rows of cells, errors as text in both.

    Whatever goes wrong with us, not with the entries, is #VALUE! and is told on standard error, which xlwings
    shows in its console.
    """

    def answer(*given: Any) -> list[list[Any]]:
        try:
            found = call(function, [_argument(each) for each in given])
        except Exception as error:
            print(f"{function.name}: {type(error).__name__}: {error}", file=sys.stderr)
            found = CellError.VALUE
        rows = cast("list[list[Any]]", found) if isinstance(found, list) else [[found]]
        return [[_plain(cell) for cell in row] for row in rows]

    answer.__name__ = answer.__qualname__ = function.name
    answer.__doc__ = function.summary
    answer.__signature__ = _signature(function)  # type: ignore[attr-defined]
    return answer


def published(function: CellFunction) -> Callable[..., list[list[Any]]]:
    """Build the wrapper of a function and tell xlwings of it; off Windows its decorators do nothing."""
    from xlwings import arg, func

    wrapped = wrapper(function)
    for parameter, text in zip(function.parameters, argument_texts(function), strict=True):
        name = argument_name(parameter.name)
        wrapped = arg(name, doc=text, ndim=2, err_to_str=True, dates=serial)(wrapped)
    return func(category=CATEGORY)(wrapped)  # last, or it would be forgotten


def _signature(function: CellFunction) -> inspect.Signature:
    # xlwings takes no defaults beside any number of arguments.
    rest = function.takes_rest
    return inspect.Signature(
        [
            inspect.Parameter(
                argument_name(each.name),
                inspect.Parameter.VAR_POSITIONAL if each.rest else inspect.Parameter.POSITIONAL_OR_KEYWORD,
                default=None if each.optional and not rest else inspect.Parameter.empty,
            )
            for each in function.parameters
        ]
    )


def _argument(given: Any) -> Argument:
    # Rows of cells; None where nothing was given.
    if not isinstance(given, list):
        return cast("Argument", given)
    rows = cast("Range", given)
    return [[_ERRORS.get(cell, cell) for cell in row] for row in rows]


def _plain(cell: Any) -> Any:
    if isinstance(cell, CellError):
        return cell.value
    return "" if cell is None else cell
