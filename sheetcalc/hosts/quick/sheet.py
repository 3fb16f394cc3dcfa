"""The cells of a workbook that some answers need, kept computed."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from heapq import heappop, heappush
from typing import Any, NamedTuple, cast

from sheetcalc.cells.values import Cell
from sheetcalc.hosts.engine import Calls, fit_to, from_engine, to_engine
from sheetcalc.hosts.formulas import Formulas, Spot
from sheetcalc.hosts.quick.compiled import CELL, Compiler, Operand, split
from sheetcalc.hosts.quick.functions import NUM, NotQuick, Value, Wrong, several
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.workbook import Workbook

_MOST_CELLS = 20_000  # of one range
_MOST_READ = (
    1_000_000  # cells of all ranges, as often as formulas read them: the engine keeps sums of its own
)


class _Step(NamedTuple):
    # A formula: its function, its operands, its cells; which of an array formula's whole area these are.
    function: Callable[..., Value]
    operands: Sequence[Any]
    cells: Sequence[int]
    of_area: Sequence[Sequence[bool]]


class _Part(NamedTuple):
    # A range: its cells, and the formulas that use it.
    cells: tuple[tuple[int, ...], ...]
    users: list[int]


class Quick:
    """Cells of a workbook and whatever they need, computed step by step.

    Parameters
    ----------
    book : Workbook
        The file.
    formulas : Formulas
        Its formulas.
    calls : Calls
        Our functions.

    Notes
    -----
    Formulas are numbered in the order in which they can be computed. A changed cell makes those wait that use
    it; the one with the least number comes first, and where it comes out as before, nobody waits for it.
    """

    def __init__(self, book: Workbook, formulas: Formulas, calls: Calls) -> None:
        self._book = book
        self._formulas = formulas
        self._compiler = Compiler(calls.functions, calls.answer)
        self._entered: dict[Spot, Value] = {}
        self._values: list[Value] = []
        self._numbers: dict[Spot, int] = {}  # where the value of a cell is
        self._users: list[list[int]] = []  # of each value: the formulas that use its cell by itself
        self._within: list[list[_Part]] = []  # and the ranges that it is in
        self._parts: dict[Area, _Part] = {}
        self._steps: list[_Step] = []
        self._waiting: list[int] = []  # a heap
        self._waits: set[int] = set()
        self._split: dict[Spot, tuple[str, list[Operand]]] = {}  # formulas while what they use is numbered
        self._impossible: set[Spot] = set()  # cells that have been found to be none of ours
        self._read = 0  # cells of ranges, by all formulas

    def enter(self, spot: Spot, value: Cell) -> None:
        """Enter a value; nothing is computed yet."""
        held = to_engine(value, blank=None)
        self._entered[spot] = held
        if spot in self._numbers:
            self._hold(self._numbers[spot], held, set())

    def values(self, spots: Sequence[Spot]) -> list[Cell]:
        """Values of cells, computed as far as these and those asked for earlier need it.

        Raises
        ------
        NotQuick
            It takes more than is known here.
        """
        if self._book.date_1904 or not self._impossible.isdisjoint(spots):
            raise NotQuick
        for spot in spots:
            try:
                self._need(spot)
            except NotQuick:
                self._impossible.add(spot)
                raise
        left = self._compute()
        if not left.isdisjoint(self._numbers[spot] for spot in spots):
            raise NotQuick
        return [cast("Cell", from_engine(self._values[self._numbers[spot]])) for spot in spots]

    def weight(self, spots: Iterable[Spot]) -> int:
        """Count the formulas that depend on some cells, among those that were needed so far."""
        return len(self._users_of(self._numbers[spot] for spot in spots if spot in self._numbers))

    def _users_of(self, cells: Iterable[int]) -> set[int]:
        """Formulas that depend on some cells."""
        reached: set[int] = set()
        open_ends = list(cells)
        while open_ends:
            at = open_ends.pop()
            for users in (self._users[at], *(part.users for part in self._within[at])):
                for user in {*users} - reached:
                    reached.add(user)
                    open_ends += self._steps[user].cells
        return reached

    # --- What is needed ---

    def _need(self, spot: Spot) -> None:
        """Give a number to a cell and, before it, to whatever it needs."""
        open_ends: list[tuple[Spot, Iterator[Spot]]] = []
        begun: set[Spot] = set()

        def begin(cell: Spot) -> None:
            if cell in self._numbers:
                return
            anchor = self._formulas.anchor(cell)
            if anchor is None:
                self._number(cell, self._stored(cell))
                return
            if anchor in begun:  # it depends on its own answer
                raise NotQuick
            begun.add(anchor)
            open_ends.append((anchor, iter(self._cells_of(anchor))))

        begin(spot)
        while open_ends:
            anchor, cells = open_ends[-1]
            cell = next(cells, None)
            if cell is None:
                self._add(anchor)
                open_ends.pop()
            else:
                begin(cell)

    def _cells_of(self, anchor: Spot) -> list[Spot]:
        """Cells that a formula uses."""
        fitted = self._formulas.fitted(anchor)
        if fitted.problem or fitted.anywhere:
            raise NotQuick
        self._split[anchor] = split(fitted.text, anchor[0], self._formulas.names(anchor[0]))
        used = [operand.meant for operand in self._split[anchor][1] if isinstance(operand.meant, Area)]
        self._read += sum(cells.size for cells in used if cells.size > 1)
        if self._read > _MOST_READ or any(cells.size > _MOST_CELLS for cells in used):
            raise NotQuick
        return [
            (cells.sheet, at)
            for cells in used
            if cells not in self._parts
            for row in cells.rows()
            for at in row
            if (cells.sheet, at) not in self._numbers
        ]

    def _stored(self, spot: Spot) -> Value:
        title, at = spot
        if spot in self._entered:
            return self._entered[spot]
        sheet = self._book.sheets.get(title)
        if sheet is None:
            raise NotQuick
        return to_engine(sheet.value(*at), blank=None)

    def _number(self, spot: Spot, value: Value) -> int:
        number = self._numbers[spot] = len(self._values)
        self._values.append(value)
        self._users.append([])
        self._within.append([])
        return number

    def _add(self, anchor: Spot) -> None:
        """Take in a formula whose cells are numbered."""
        title, at = anchor
        sheet = self._book.sheets[title]
        filled = sheet.formulas[at].cells
        shape, operands = self._split.pop(anchor)
        function = self._compiler.compiled(shape, array=filled is not None)
        number = len(self._steps)
        taken = [self._taken(operand, number) for operand in operands]
        if filled is None:
            self._steps.append(_Step(function, taken, (self._number(anchor, None),), ()))
        else:
            of_area = [[place == at or place not in sheet.formulas for place in row] for row in filled.rows()]
            cells = [
                self._number((title, place), None)
                for row, line in zip(filled.rows(), of_area, strict=True)
                for place, own in zip(row, line, strict=True)
                if own
            ]
            self._steps.append(_Step(function, taken, cells, of_area))
        self._waiting.append(number)  # the greatest, so that it is a heap still
        self._waits.add(number)

    def _taken(self, operand: Operand, user: int) -> Any:
        """Operand as the function of a formula takes it."""
        mark, meant = operand
        if not isinstance(meant, Area):
            return meant
        if mark == CELL:
            number = self._numbers[meant.sheet, (meant.top, meant.left)]
            self._users[number].append(user)
            return number
        part = self._parts.get(meant)
        if part is None:
            cells = tuple(tuple(self._numbers[meant.sheet, at] for at in row) for row in meant.rows())
            part = self._parts[meant] = _Part(cells, [])
            for row in cells:
                for number in row:
                    self._within[number].append(part)
        part.users.append(user)
        return part.cells

    # --- What is computed ---

    def _compute(self) -> set[int]:
        """Compute what waits, and return the cells for which that takes more than is known here."""
        told: set[int] = set()
        left: set[int] = set()
        while self._waiting:
            number = self._waiting[0]  # it waits until it is done, whatever interrupts it
            if number not in left:
                step = self._steps[number]
                try:
                    answers = _answers(step, self._values)
                except NotQuick:
                    left |= {number} | self._users_of(step.cells)
                else:
                    for cell, answer in zip(step.cells, answers, strict=True):
                        self._hold(cell, answer, told)
            heappop(self._waiting)
            self._waits.discard(number)
        self._wait(left)
        return {cell for number in left for cell in self._steps[number].cells}

    def _hold(self, cell: int, value: Value, told: set[int]) -> None:
        """Give a cell its value; if it is another one, those wait that use it and have not been told."""
        before = self._values[cell]
        if type(before) is type(value) and before == value:
            return
        self._values[cell] = value
        self._wait(self._users[cell])
        for part in self._within[cell]:
            if id(part) not in told:
                told.add(id(part))
                self._wait(part.users)

    def _wait(self, users: Iterable[int]) -> None:
        for user in users:
            if user not in self._waits:
                self._waits.add(user)
                heappush(self._waiting, user)


def _answers(step: _Step, values: Sequence[Value]) -> Sequence[Value]:
    """Compute the cells of a formula."""
    try:
        value = step.function(values, *step.operands)
    except Wrong as wrong:
        value = wrong.error
    except (ArithmeticError, ValueError):  # beyond what floats hold; ranges of different sizes
        raise NotQuick from None
    if step.of_area:
        block = fit_to(value, len(step.of_area), len(step.of_area[0]))
        return [
            block[row][column]
            for row, line in enumerate(step.of_area)
            for column, own in enumerate(line)
            if own
        ]
    if value is None:
        return (0.0,)
    if several(value):
        raise NotQuick
    return (NUM if type(value) is float and not math.isfinite(value) else value,)
