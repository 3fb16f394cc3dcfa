"""Calls of every function in several ways, and a workbook that makes them: for tests of what hosts cells."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
from openpyxl.worksheet.formula import ArrayFormula

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import CellFunction
from sheetcalc.cells.units import from_us
from sheetcalc.kinds import TEXT, Takes
from sheetcalc.xlsx.formulas import address


class Made(NamedTuple):
    """A call, and the cells that it fills on the sheet Calls."""

    function: CellFunction
    way: str
    arguments: list[Any]
    cells: str

    def __str__(self) -> str:
        return f"{self.function.name}, {self.way}: {self.arguments}"


def ways(function: CellFunction) -> Iterator[tuple[str, list[Any]]]:
    """Yield argument lists: the example, and what is one step from it."""
    example = _padded(function)
    given = list(zip(function.inputs, example, strict=False))
    yield "example", [*function.example]
    if function.has_units:
        metric = [_metric(parameter, cell) for parameter, cell in given]
        yield "metric", [*metric, "metric"]
        yield "blanks", [*("" if cell is None else cell for cell in example[:-1]), "us"]
    typed = [
        f"{cell:.17g} in" if parameter.kind.typed and _number(cell) else cell for parameter, cell in given
    ]
    if typed != [cell for _, cell in given]:
        yield "typed lengths", typed
    for place, (parameter, cell) in enumerate(given):
        if parameter.rest:
            continue
        if not parameter.optional:
            yield f"{parameter.name} missing", _with(example, place, "")
        for wrong in ("three", 3.0) if parameter.kind is TEXT else (-1.0, "three", 0.0):
            yield f"{parameter.name} wrong", _with(example, place, wrong)
        one = parameter.takes is Takes.ONE and not function.columns and cell is not None
        if one:
            yield f"a row of {parameter.name}", _with(example, place, [[cell, None, cell, "three"]])
            yield f"a column of {parameter.name}", _with(example, place, [[cell], [-1.0], [cell]])
        if _number(cell) and parameter.takes is Takes.READINGS:
            yield f"readings of {parameter.name}", _with(example, place, [[cell, None, cell + 0.25]])
            if not function.columns:
                block = [[cell, cell + 0.25], [None, None], [cell, None]]
                yield f"ceilings of {parameter.name}", _with(example, place, block)


def write(path: Path, functions: Sequence[CellFunction]) -> list[Made]:
    """Write a workbook that makes every call; ranges stand on the sheet Given."""
    book = openpyxl.Workbook()
    calls, given = book.active, book.create_sheet("Given")
    assert calls is not None
    calls.title = "Calls"
    made: list[Made] = []
    row = given_row = 1
    for function in functions:
        for way, arguments in ways(function):
            texts: list[str] = []
            for argument in arguments:
                if isinstance(argument, list):
                    for down, line in enumerate(argument):
                        for across, cell in enumerate(line):
                            given.cell(given_row + down, 1 + across).value = cell
                    end = address(given_row + len(argument) - 1, len(argument[0]))
                    texts.append(f"Given!A{given_row}:{end}")
                    given_row += len(argument)
                else:
                    texts.append(_typed(argument))
            answer = call(function, arguments)
            rows = answer if isinstance(answer, list) else [[answer]]
            first, last = f"A{row}", address(row + len(rows) - 1, len(rows[0]))
            text = f"={function.name}({','.join(texts)})"
            ranged = any(isinstance(argument, list) for argument in arguments)
            array = first != last or ranged
            calls[first] = ArrayFormula(f"{first}:{last}", text) if array else text
            made.append(Made(function, way, arguments, f"{first}:{last}" if first != last else first))
            row += len(rows)
    book.save(path)
    return made


def _padded(function: CellFunction) -> list[Any]:
    args = [*function.example, *[None] * (len(function.parameters) - len(function.example))]
    for place, parameter in enumerate(function.inputs):
        if parameter.takes is Takes.READINGS and isinstance(args[place], list) and len(args[place][0]) == 1:
            args[place] = [[row[0] for row in args[place]]]
    return args


def _metric(parameter: Any, argument: Any) -> Any:
    if isinstance(argument, list):
        return [[_metric(parameter, cell) for cell in row] for row in argument]
    convert = from_us(parameter.kind, "metric")
    return convert(argument) if convert and _number(argument) else argument


def _number(cell: Any) -> bool:
    return isinstance(cell, float | int) and not isinstance(cell, bool)


def _with(args: list[Any], place: int, argument: Any) -> list[Any]:
    changed = [*args[:place], argument, *args[place + 1 :]]
    while changed and changed[-1] is None:
        changed.pop()
    return changed


def _typed(argument: Any) -> str:
    if argument is None:
        return ""
    if isinstance(argument, str):
        return '"' + argument.replace('"', '""') + '"'
    return f"{argument:.17g}"
