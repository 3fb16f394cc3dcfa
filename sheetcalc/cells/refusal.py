"""Why a call has no answer, in the person's own words and units."""

from dataclasses import dataclass
from itertools import chain
from typing import Any, cast

from sheetcalc.cells.entries import ErrorGiven, as_typed, blank
from sheetcalc.cells.plan import Plan
from sheetcalc.cells.registry import CellFunction, Parameter
from sheetcalc.cells.units import from_us
from sheetcalc.cells.values import CellError, Range, cell_error
from sheetcalc.errors import EntryError
from sheetcalc.kinds import Kind

Place = tuple[int, int]
"""Row and column of a cell in its range, from 0."""


class Refusal(Exception):  # noqa: N818  (no failure of ours: the answer to a wrong entry)
    """The error that a cell shows instead of an answer.

    Parameters
    ----------
    error : CellError
        What the cell shows.
    sentence : str
        Which argument, its value as typed, the rule that it breaks.
    """

    def __init__(self, error: CellError, sentence: str) -> None:
        super().__init__(error, sentence)
        self.error = error
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class Given:
    """The arguments of one call as the person gave them."""

    plan: Plan
    cells: list[Any]

    @property
    def function(self) -> CellFunction:
        """The function called."""
        return self.plan.function

    def argument(self, place: int) -> Any:
        """Return an argument, None where fewer are given."""
        return self.cells[place] if place < len(self.cells) else None

    def refuse(self, wrong: EntryError, at: Place | None = None) -> Refusal:
        """Word what is wrong with an argument, or with the one cell `at` a place in its range."""
        place = self.function.position.get(wrong.argument)
        if place is None:
            return Refusal(_error(wrong), f"{wrong.argument} {wrong.rule}")
        argument, where = self.argument(place), ""
        if at and isinstance(argument, list):
            block = cast("Range", argument)
            argument, where = block[at[0]][at[1]], _where(block, at)
        return refusal(wrong, self.function.inputs[place], argument, self.plan.system, where)


def refusal(wrong: EntryError, parameter: Parameter, argument: Any, system: str, where: str = "") -> Refusal:
    """Word what is wrong with an argument as it was given."""
    if not all(map(blank, cells_of(argument))):
        shown = f"is {worded(argument, parameter.kind, system)}"
    elif isinstance(wrong.value, (float, int, str)):  # a default, or what follows from other arguments
        value, convert = wrong.value, from_us(parameter.kind, system)
        typed = convert(value) if convert and not isinstance(value, str) else value
        shown = f"is {as_typed(typed, parameter.kind, system)} when not given"
    else:
        shown = "is not given"
    return Refusal(_error(wrong), f"{parameter.name}{where} {shown}, but {wrong.rule}")


def _error(wrong: EntryError) -> CellError:
    return wrong.value if isinstance(wrong, ErrorGiven) else cell_error(wrong)


def worded(argument: Any, kind: Kind, system: str) -> str:
    """Word a cell as typed, a range by its size."""
    if not isinstance(argument, list):
        return as_typed(argument, kind, system)
    high, wide = size(cast("Range", argument))
    return f"{high} by {wide} cells" if high > 1 < wide else f"{high * wide} cells"


def cells_of(argument: Any) -> list[Any]:
    """List the cells of an argument, a single one or those of a range row by row."""
    return [*chain.from_iterable(cast("Range", argument))] if isinstance(argument, list) else [argument]


def size(block: Range) -> Place:
    """Rows and columns of a range."""
    return len(block), len(block[0])


def _where(block: Range, at: Place) -> str:
    high, wide = size(block)
    parts = [f"row {at[0] + 1}"] * (high > 1) + [f"column {at[1] + 1}"] * (wide > 1)
    return f", {', '.join(parts)},"
