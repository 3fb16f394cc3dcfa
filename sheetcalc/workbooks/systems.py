"""One declaration for both unit systems: what differs stands in it twice, side by side.

Most of a declaration is the same in us units and in metric: kinds name their units, the builder tells our
functions the system. What no rule can convert (a round default, a sentence with a number in it) is written
`both(us, metric)`, and `in_system` takes one side of all of it.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar, cast

from sheetcalc.kinds import SYSTEMS
from sheetcalc.workbooks.declare import Item, Sheet, Side, Table

_CONSTANT = re.compile(r"=[\d./]*[1-9][\d./]*")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Both:
    """A value for us units and one for metric; a declaration holds it until its system is known."""

    us: Any
    metric: Any

    def __str__(self) -> str:
        raise TypeError(f"{self!r} stands alone: in the midst of a text it would be lost")


def both(us: T, metric: T) -> T:
    """State something for us units and for metric, wherever a declaration takes it whole.

    Parameters
    ----------
    us, metric : object
        A default, a formula, a sentence, choices, the cell of a row.

    Returns
    -------
    object
        What `in_system` takes one side of.
    """
    return cast("T", Both(us, metric))


def in_system(sheets: Iterable[Sheet], system: str) -> tuple[Sheet, ...]:
    """Take the side of one system throughout.

    Parameters
    ----------
    sheets : iterable of Sheet
        As declared.
    system : str
        "us" or "metric".

    Returns
    -------
    tuple of Sheet
        With nothing in it that is stated twice.

    Raises
    ------
    ValueError
        A default or a constant that has a unit is stated once: it would be inches taken for millimetres.

    Examples
    --------
    >>> from sheetcalc.workbooks.declare import Sheet
    >>> (sheet,) = in_system([Sheet(title="Saw", holds=both("In inches.", "In mm."), blocks=())], "metric")
    >>> sheet.holds
    'In mm.'
    """
    found = tuple(sheets)
    for sheet in found:
        for block in sheet.blocks:
            for part in (block.left, block.right) if isinstance(block, Side) else (block,):
                _check(part)
    return _side(found, SYSTEMS.index(system))


def _check(block: Any) -> None:
    items: tuple[Item, ...] = getattr(block, "items", None) or getattr(block, "columns", ())
    for item in items:
        stated = [item.default, item.formula]
        if isinstance(block, Table) and isinstance(block.rows, tuple):
            stated += [row.cells.get(item.handle) for row in block.rows]
        if _has_unit(item) and any(_is_number(value) for value in stated):
            raise ValueError(f"{item.handle}: a number with a unit is stated for both systems")


def _has_unit(item: Item) -> bool:
    return any(kind is not None and kind.units is not None for kind in (item.kind, item.per))


def _is_number(value: object) -> bool:
    if isinstance(value, str):
        return _CONSTANT.fullmatch(value) is not None
    return isinstance(value, (int, float)) and value != 0


def _side(declared: Any, side: int) -> Any:
    # What holds nothing that is stated twice stays the same object: kinds are told apart by identity.
    if isinstance(declared, Both):
        return _side((declared.us, declared.metric)[side], side)
    if isinstance(declared, tuple):
        parts = cast("tuple[Any, ...]", declared)
        taken: tuple[Any, ...] = tuple(_side(part, side) for part in parts)
        return taken if any(new is not old for new, old in zip(taken, parts, strict=True)) else parts
    if isinstance(declared, Mapping):
        cells = cast("Mapping[str, Any]", declared)
        return {key: _side(value, side) for key, value in cells.items()}
    if is_dataclass(declared) and not isinstance(declared, type):
        old = {field.name: getattr(declared, field.name) for field in fields(declared)}
        changed = {name: new for name, value in old.items() if (new := _side(value, side)) is not value}
        return replace(declared, **changed) if changed else declared
    return declared
