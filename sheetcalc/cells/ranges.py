"""What a range in an argument means: several answers, the readings of a ceiling, or a list.

Every argument becomes a source of values, laid out in rows and columns. A source of more than one value asks
for as many answers; one of a single row or column repeats. A cell that cannot be read is a `Refusal` among
the values and spoils no answers but its own.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any, cast

from sheetcalc.cells.entries import blank
from sheetcalc.cells.plan import NEEDED
from sheetcalc.cells.refusal import Given, Place, Refusal, cells_of, size
from sheetcalc.cells.registry import Parameter
from sheetcalc.cells.values import CellError, Range
from sheetcalc.errors import EntryError, NotReadable
from sheetcalc.kinds import Takes

MOST_CELLS = 1_048_576
"""No answer has more cells than a sheet has rows."""


@dataclass(frozen=True, slots=True)
class _Source:
    """The values of one argument, row by row: as many as the answers it asks for."""

    parameter: Parameter
    block: Range  # the cells they come from; empty where the argument is no range
    values: list[Any]
    high: int = 1
    wide: int = 1

    def spread(self, rows: int, columns: int) -> list[Any]:
        if len(self.values) == 1:
            return self.values * (rows * columns)
        if (self.high, self.wide) == (rows, columns):
            return self.values
        across = range(columns)
        return [
            self.values[row % self.high * self.wide + at % self.wide] for row in range(rows) for at in across
        ]

    @property
    def one_ceiling_a_row(self) -> bool:
        takes = self.parameter.takes
        return bool(self.block) and (takes is Takes.CEILINGS or (takes is Takes.READINGS and self.high > 1))


def answers(given: Given) -> Any:
    """Answer a call that has ranges among its arguments.

    Returns
    -------
    Cell or list of list
        One answer, or rows of them, with a `Refusal` in the place of each that cannot be given.

    Raises
    ------
    Refusal
        The ranges fit neither each other nor the function, or there is but one answer and it cannot be given.
    """
    sources = _sources(given)
    if given.function.columns:
        _check_table(given, sources)
    _check_columns(given, sources)
    rows, columns = _shape(given, sources)
    found = _each(given, sources, rows, columns)
    if len(found) == 1:
        if isinstance(found[0], Refusal):
            raise found[0]
        return found[0]
    if width := len(given.function.columns):
        return [answer[0] if isinstance(answer, list) else [answer] * width for answer in found]
    return [found[start : start + columns] for start in range(0, rows * columns, columns)]


# --- Arguments as sources of values ---


def _sources(given: Given) -> list[_Source]:
    listed = dict(pair for group in given.plan.lists for pair in _lists(given, group))
    return [_source(given, place, listed) for place in range(len(given.plan.read))]


def _source(given: Given, place: int, listed: dict[int, Any]) -> _Source:
    parameter, argument = given.function.inputs[place], given.argument(place)
    block = cast("Range", argument) if isinstance(argument, list) else []
    if place in listed:
        return _Source(parameter, block, [listed[place]])
    if not block:
        return _Source(parameter, block, [_value(given, place, argument)])
    high, wide = size(block)
    if parameter.takes is Takes.CEILINGS:  # the function takes a list of ceilings: each row is a list of one
        rows = (_readings(given, place, range(row, row + 1)) for row in range(high))
        return _Source(parameter, block, [row if isinstance(row, Refusal) else [row] for row in rows], high)
    if parameter.takes is Takes.READINGS:
        if high > 1 < wide:
            return _Source(
                parameter, block, [_readings(given, place, range(row, row + 1)) for row in range(high)], high
            )
        return _Source(parameter, block, [_readings(given, place, range(high))])
    return _Source(parameter, block, _values(given, place, block), high, wide)


def _values(given: Given, place: int, block: Range) -> list[Any]:
    try:  # as a rule nothing is blank or wrong
        return [*map(given.plan.read[place], chain.from_iterable(block))]
    except EntryError:
        return [
            _value(given, place, cell, (row, column))
            for row, line in enumerate(block)
            for column, cell in enumerate(line)
        ]


def _value(given: Given, place: int, cell: Any, at: Place | None = None) -> Any:
    try:
        if type(cell) is float or not blank(cell):
            return given.plan.read[place](cell)
        if given.plan.defaults[place] is not NEEDED:
            return given.plan.defaults[place]
        raise NotReadable(given.function.inputs[place].name, None, "is needed")
    except EntryError as wrong:
        return given.refuse(wrong, at)


def _readings(given: Given, place: int, rows: range) -> Any:
    # The readings of one ceiling, None where a cell is blank.
    block: Range = given.cells[place]
    found: list[float | None] = []
    for row in rows:
        for column, cell in enumerate(block[row]):
            try:
                found.append(None if blank(cell) else given.plan.read[place](cell))
            except EntryError as wrong:
                return given.refuse(wrong, (row, column))
    if any(reading is not None for reading in found):
        return found
    return _value(given, place, None, (rows[0], 0) if len(rows) < len(block) else None)


def _lists(given: Given, group: tuple[int, ...]) -> Iterator[tuple[int, Any]]:
    # A list and those beside it, without the cells that are blank in all of them.
    inputs = given.function.inputs
    lists = {place: cells_of(given.argument(place)) for place in group}
    filled = {place: cells for place, cells in lists.items() if not all(map(blank, cells))}
    together = [at for at, row in enumerate(zip(*filled.values(), strict=False)) if not all(map(blank, row))]
    leader = next(iter(filled), group[0])
    for place, cells in lists.items():
        if place not in filled:
            yield place, _value(given, place, None)
        elif len(cells) == len(filled[leader]):
            yield place, _list(given, place, cells, together)
        else:
            found = _list(given, place, cells, [at for at, cell in enumerate(cells) if not blank(cell)])
            uneven = NotReadable(
                inputs[place].name, None, f"must have as many cells as {inputs[leader].name}"
            )
            yield place, found if isinstance(found, Refusal) else given.refuse(uneven)


def _list(given: Given, place: int, cells: list[Any], kept: list[int]) -> list[Any] | Refusal:
    parameter, argument = given.function.inputs[place], given.cells[place]
    width = size(cast("Range", argument))[1] if isinstance(argument, list) else 1
    found: list[Any] = []
    for at in kept:
        try:
            if not blank(cells[at]):
                found.append(given.plan.read[place](cells[at]))
            elif parameter.beside and parameter.beside.blank:
                found.append(None)
            else:
                raise NotReadable(parameter.name, None, "is needed beside what is filled")
        except EntryError as wrong:
            return given.refuse(wrong, divmod(at, width))
    return found


# --- Do they fit the function, and each other? ---


def _check_table(given: Given, sources: list[_Source]) -> None:
    # A table is one answer; only where every row is a ceiling of its own do rows ask for several.
    ceilings = max((source.high for source in sources if source.parameter.takes is Takes.CEILINGS), default=1)
    for source in sources:
        takes = source.parameter.takes
        if takes is Takes.CEILINGS:
            fits, rule = source.high == ceilings, "must have one row for each ceiling"
        elif takes is Takes.PER_CEILING:
            fits = source.wide == 1 and source.high in (1, ceilings)
            rule = "must be one value, or a column with one for each ceiling"
        elif takes is Takes.READINGS:
            fits, rule = (
                source.high == 1,
                "must be one row or one column: the answer is a table of one ceiling",
            )
        else:
            fits, rule = len(source.values) == 1, "must be one value: the answer is a table"
        if not fits:
            raise given.refuse(NotReadable(source.parameter.name, None, rule))


def _check_columns(given: Given, sources: list[_Source]) -> None:
    # A column of readings is one ceiling; beside anything else that has rows, nobody can tell.
    tall = next((source.parameter.name for source in sources if source.high > 1), "")
    for source in sources:
        count = len(source.block)
        if tall and source.high == 1 < count and source.parameter.takes is Takes.READINGS:
            rule = f"must stand in a row when {tall} has rows: {count} readings or {count} ceilings?"
            raise given.refuse(NotReadable(source.parameter.name, None, rule))


def _shape(given: Given, sources: list[_Source]) -> Place:
    rows = max(source.high for source in sources)
    columns = max(source.wide for source in sources)
    for source in sources:
        if source.high not in (1, rows) or source.wide not in (1, columns):
            rule = f"must fit {rows} by {columns} cells: as many, or one row or column of them"
            raise given.refuse(NotReadable(source.parameter.name, None, rule))
    if rows * columns > MOST_CELLS:
        raise Refusal(CellError.NUM, f"the answer must have {MOST_CELLS} cells or fewer")
    return rows, columns


# --- Answers ---


def _each(given: Given, sources: list[_Source], rows: int, columns: int) -> list[Any]:
    # Row by row. What is known without a call comes first: ceilings left blank, then refused entries.
    spread = [source.spread(rows, columns) for source in sources]
    known: dict[int, Any] = {at: "" for at in _left_out(sources, rows, columns)}
    for source, values in zip(sources, spread, strict=True):
        if Refusal in map(type, source.values):
            known = {at: value for at, value in enumerate(values) if isinstance(value, Refusal)} | known

    python, write = given.plan.python, given.plan.write
    found: list[Any] = []
    for at, values in enumerate(zip(*spread, strict=True)):
        if at in known:
            found.append(known[at])
            continue
        try:
            found.append(write(python(*values)))
        except EntryError as wrong:
            source = next((source for source in sources if source.parameter.name == wrong.argument), None)
            found.append(given.refuse(wrong, source and _culprit(given, source, wrong, *divmod(at, columns))))
    return found


def _left_out(sources: list[_Source], rows: int, columns: int) -> list[int]:
    # Answers for rows in which no ceiling has a reading; where no row has one, they are refused instead.
    blocks = [source.block for source in sources if source.one_ceiling_a_row]
    if not blocks:
        return []
    empty = [row for row in range(rows) if all(all(map(blank, block[row % len(block)])) for block in blocks)]
    if len(empty) == rows:
        return []
    return [row * columns + column for row in empty for column in range(columns)]


def _culprit(given: Given, source: _Source, wrong: EntryError, row: int, column: int) -> Place | None:
    # The cell that a trade function means: by its place, or by its value among readings and in lists.
    if source.parameter.takes in (Takes.ONE, Takes.PER_CEILING):
        return row % source.high, column % source.wide
    read = given.plan.read[given.function.position[wrong.argument]]
    for at, cells in enumerate(source.block):
        for across, cell in enumerate(cells):
            here = source.high == 1 or at == row % source.high
            if here and not blank(cell) and read(cell) == wrong.value:
                return at, across
    return None
