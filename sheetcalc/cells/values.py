"""What a cell can hold."""

from enum import Enum

from sheetcalc.errors import EntryError, InputError, NotFound, NotReadable


class CellError(Enum):
    """A cell error; its value is the text that a spreadsheet shows."""

    NULL = "#NULL!"
    DIV = "#DIV/0!"
    VALUE = "#VALUE!"
    REF = "#REF!"
    NAME = "#NAME?"
    NUM = "#NUM!"
    NA = "#N/A"


Cell = float | str | bool | None | CellError
"""One cell; None is an empty one. Errors stay `CellError` until they are written."""

Range = list[list[Cell]]
"""Rows of cells."""


def cell_error(problem: EntryError) -> CellError:
    """Cell error that an entry problem shows as."""
    for kind, shown in (
        (InputError, CellError.NUM),
        (NotReadable, CellError.VALUE),
        (NotFound, CellError.NA),
    ):
        if isinstance(problem, kind):
            return shown
    raise TypeError(f"no cell error for {type(problem).__name__}")
