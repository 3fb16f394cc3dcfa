"""One function in one unit system: how its arguments are read and its answer is written."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from inspect import signature
from math import isfinite, isnan
from typing import Any

from sheetcalc.cells.entries import Read, reader
from sheetcalc.cells.registry import CellFunction, Parameter
from sheetcalc.cells.units import METRIC_WORDS, from_us, into_us
from sheetcalc.errors import InputError
from sheetcalc.kinds import TEXT, Kind, Takes

Write = Callable[[Any], Any]

NEEDED: Any = object()
"""Stands for the value of an argument that has no default."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One function in one unit system.

    Parameters
    ----------
    function : CellFunction
        The function.
    system : str
        "us" or "metric".
    python : callable
        The trade function, with whatever follows from the unit system set.
    read : tuple of callable
        Reads one given cell of each argument.
    read_alone : tuple of callable
        Reads an argument that is one given cell; for a list, a list of one.
    defaults : tuple
        Value of each argument that is not given.
    write : callable
        Turns the answer into cells.
    lists : tuple of tuple of int
        The places of each list and of those that stand beside it.
    """

    function: CellFunction
    system: str
    python: Callable[..., Any]
    read: tuple[Read, ...]
    read_alone: tuple[Read, ...]
    defaults: tuple[Any, ...]
    write: Write
    lists: tuple[tuple[int, ...], ...]


@cache
def plan_of(function: CellFunction, system: str) -> Plan:
    """Plan the calls of a function in a unit system."""
    inputs = [parameter for parameter in function.inputs if not parameter.rest]
    read = [reader(parameter, system) for parameter in inputs]
    return Plan(
        function=function,
        system=system,
        python=_python(function, system),
        read=tuple(read),
        read_alone=tuple(
            _in_list(each) if parameter.takes is Takes.LIST else each
            for each, parameter in zip(read, inputs, strict=True)
        ),
        defaults=tuple(_default(parameter, system) for parameter in inputs),
        write=_table_writer(function, system)
        if function.answer is None
        else _writer(function.answer, system),
        lists=_lists(inputs),
    )


def _python(function: CellFunction, system: str) -> Callable[..., Any]:
    python = function.python
    keywords = {parameter.name: _default(parameter, system) for parameter in function.set_by_units}
    if function.words_lengths:
        words = signature(python).parameters["shown"].default
        keywords["shown"] = METRIC_WORDS[words]
    if system == "us" or not keywords:
        return python
    return lambda *values: python(*values, **keywords)


def _in_list(read: Read) -> Read:
    return lambda cell: [read(cell)]


def _default(parameter: Parameter, system: str) -> Any:
    if not parameter.optional:
        return NEEDED
    convert = into_us(parameter.kind, system)
    stated = parameter.in_metric
    return parameter.default if convert is None or stated is None else convert(stated)


def _lists(inputs: list[Parameter]) -> tuple[tuple[int, ...], ...]:
    lists: dict[str, list[int]] = {}
    for place, parameter in enumerate(inputs):
        if parameter.takes is Takes.LIST:
            lists.setdefault(parameter.beside.list if parameter.beside else parameter.name, []).append(place)
    return tuple(map(tuple, lists.values()))


def _writer(kind: Kind, system: str) -> Write:
    convert = from_us(kind, system)

    def text(answer: Any) -> str:
        return "" if answer is None else str(answer)

    def number(answer: Any) -> float | str:
        if answer is None:
            return ""
        answer = (convert(answer) if convert else answer) + 0.0  # a float, and never minus zero
        if isfinite(answer):
            return answer
        if isnan(answer):
            raise ArithmeticError("an answer that is not a number")
        raise InputError("the answer", answer, "must be a number that a cell can hold")

    return text if kind is TEXT else number


def _table_writer(function: CellFunction, system: str) -> Write:
    writers = [_writer(column.kind, system) for column in function.columns]
    return lambda rows: [[write(cell) for write, cell in zip(writers, row, strict=True)] for row in rows]
