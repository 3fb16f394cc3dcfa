"""A call as it arrives from a cell: its arguments put in order, the function called, the answer written.

An argument is one cell or a range of them, as the host had it. What cannot be answered is a `Refusal`: the
error that the cell shows, and the sentence that tells the person why.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, cast

from sheetcalc.cells.entries import as_typed, blank, reader, words
from sheetcalc.cells.plan import NEEDED, Plan, plan_of
from sheetcalc.cells.ranges import MOST_CELLS, answers
from sheetcalc.cells.refusal import Given, Refusal, refusal, worded
from sheetcalc.cells.registry import ROWS, CellFunction, find
from sheetcalc.cells.values import Cell, CellError, Range
from sheetcalc.errors import EntryError, InputError, NotReadable
from sheetcalc.kinds import SYSTEMS, TEXT

Argument = Cell | Range


def call(name: str | CellFunction, args: Sequence[Argument]) -> Argument:
    r"""Answer a call as a cell does.

    Parameters
    ----------
    name : str or CellFunction
        The function.
    args : sequence
        Its arguments in order, as the host had them: cells and ranges; None and "" are not given.

    Returns
    -------
    Cell or Range
        A number, a text or a cell error; rows of them for a table or where a range asks for several answers.

    Examples
    --------
    >>> call("inch_fraction", [182.375])
    '182 3/8'
    >>> call("FEET_INCHES", ["4.35 m"]), call("FEET_INCHES", [4350, "metric"])
    ('14\'-3 1/4"', '14\'-3 1/4"')
    >>> call("INCH_FRACTION", [[[0.5], ["1 1/4"], ["some"]]])
    [['1/2'], ['1 1/4'], [<CellError.VALUE: '#VALUE!'>]]
    """
    function = name if isinstance(name, CellFunction) else find(name)
    if function is None:
        return CellError.NAME
    answer = _answer(function, args)
    if not isinstance(answer, list):
        return answer.error if isinstance(answer, Refusal) else answer
    rows = cast("list[list[Any]]", answer)
    for row in rows:
        for column, cell in enumerate(row):
            if isinstance(cell, Refusal):
                row[column] = cell.error
    return rows


def problem(name: str | CellFunction, args: Sequence[Argument]) -> str:
    """Say why a call gives an error; "" exactly when it gives none.

    Examples
    --------
    >>> problem("INCH_FRACTION", ["5 1/8 in", 7])
    'denominator is 7, but must be 1, 2, 4, 8, 16, 32 or 64'
    """
    function = name if isinstance(name, CellFunction) else find(name)
    if function is None:
        return f"function is {as_typed(name, TEXT, 'us')}, but must be the name of a cell function"
    answer = _answer(function, args)
    rows = cast("list[list[Cell | Refusal]]", answer) if isinstance(answer, list) else [[answer]]
    return next((cell.sentence for row in rows for cell in row if isinstance(cell, Refusal)), "")


# --- Arguments put in order ---


def _answer(function: CellFunction, args: Sequence[Argument]) -> Any:
    cells: list[Any] = [*args]
    rest: list[Any] = []
    if function.takes_rest:
        fixed = len(function.inputs) - 1
        cells, rest = cells[:fixed], cells[fixed:]
    ranges = False
    for place, cell in enumerate(cells):
        if type(cell) in _RANGES:
            cells[place] = _unboxed(cell)
            ranges = ranges or isinstance(cells[place], list)
    try:
        ends_in_number = cells and type(cells[-1]) is float and len(cells) <= len(function.inputs)
        system = "us" if ends_in_number else _units(function, cells)
        plan = plan_of(function, system)
        if rest:
            plan = replace(plan, python=_followed(function.python, rest))
        rows = _rows(plan, cells)
        answer = answers(Given(plan, cells)) if ranges else _one(plan, cells)
        return _padded(function, answer, rows) if function.columns else answer
    except Refusal as refusal:
        return refusal


_RANGES = (list, tuple)


def _followed(python: Callable[..., Any], rest: list[Any]) -> Callable[..., Any]:
    return lambda *values: python(*values, *rest)


def _unboxed(argument: Any) -> Any:
    # Rows all as long as the longest; a range of one cell is that cell, one without cells is not given.
    rows = cast("Sequence[Sequence[Cell]]", argument)
    width = max(map(len, rows), default=0)
    if width * len(rows) <= 1:
        return rows[0][0] if width else None
    if min(map(len, rows)) == width:
        return [*rows]
    return [[*row, *[None] * (width - len(row))] for row in rows]


def _units(function: CellFunction, cells: list[Any]) -> str:
    # Takes what is left blank and the units off the end of the arguments, and refuses what is too many.
    _drop_blanks(cells)
    system, takes = "us", len(function.parameters)
    if function.has_units:
        takes -= 1
        if cells and isinstance(cells[-1], str) and (word := cells[-1].strip().lower()) in SYSTEMS:
            system = word
            cells.pop()
            _drop_blanks(cells)
        elif len(cells) == takes + 1:
            wrong = cells[-1]
            sentence = f"units is {worded(wrong, TEXT, system)}, but must be {words(SYSTEMS)}"
            raise Refusal(wrong if isinstance(wrong, CellError) else CellError.VALUE, sentence)
    if len(cells) > takes and not function.takes_rest:
        surplus = f"argument {len(cells)} is {worded(cells[-1], TEXT, system)}"
        most = f"{takes} and units" if function.has_units else takes
        raise Refusal(CellError.VALUE, f"{surplus}, but must not be there: {function.name} takes {most}")
    return system


def _drop_blanks(cells: list[Any]) -> None:
    while cells and blank(cells[-1]):
        cells.pop()


def _rows(plan: Plan, cells: list[Any]) -> int | None:
    # Takes the number of rows to fill out of the arguments.
    place = plan.function.rows_at
    if place is None or place >= len(cells):
        return None
    cell = cells.pop(place)
    try:
        if isinstance(cell, list):
            raise NotReadable(ROWS.name, cell, "must be one number")
        if blank(cell):
            return None
        rows = reader(ROWS, plan.system)(cell)
        if rows != int(rows) or not 1 <= rows <= MOST_CELLS:
            raise InputError(ROWS.name, cell, f"must be a whole number from 1 to {MOST_CELLS}")
    except EntryError as wrong:
        raise refusal(wrong, ROWS, cell, plan.system) from None
    return int(rows)


def _padded(function: CellFunction, answer: list[list[Any]], rows: int | None) -> list[list[Any]]:
    empty = [""] * len(function.columns)
    if rows is None:
        return answer or [empty]
    if len(answer) > rows:
        raise Refusal(CellError.NUM, f"rows is {rows}, but must be {len(answer)} or more to hold the answer")
    return [*answer, *([*empty] for _ in range(rows - len(answer)))]


def _one(plan: Plan, cells: list[Any]) -> Any:
    # The usual call, without a range among its arguments.
    values = [*plan.defaults]
    try:
        for place, cell in enumerate(cells):
            if type(cell) is float or not blank(cell):
                values[place] = plan.read_alone[place](cell)
            elif values[place] is NEEDED:
                break
        if NEEDED in values:
            raise NotReadable(plan.function.inputs[values.index(NEEDED)].name, None, "is needed")
        return plan.write(plan.python(*values))
    except EntryError as wrong:
        raise Given(plan, cells).refuse(wrong) from None
