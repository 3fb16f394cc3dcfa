"""Every cell function, as its trade function declares it.

A function stands in its module's `__all__`; its signature and docstring say everything else. Nothing is typed
here a second time, and a declaration that leaves something open stops the import.
"""

import ast
import inspect
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from importlib.util import find_spec
from types import MappingProxyType
from typing import Annotated, Any, Literal, NamedTuple, TypeVar, cast, get_args, get_origin

from sheetcalc.cells.values import Cell, Range
from sheetcalc.kinds import (
    ANYTHING,
    COUNT,
    SYSTEMS,
    TEXT,
    Beside,
    InMetric,
    Kind,
    RowsBefore,
    Shown,
    Takes,
    Whole,
)

STAGES = (
    "lengths",
    "readings",
    "boards",
    "moisture",
    "courses",
    "shapes",
    "cutting",
    "joints",
    "buying",
    "ordering",
    "spares",
    "openings",
    "drawing",
    "coating",
    "fastening",
    "backing",
    "time",
    "price",
)
"""The stages of the job, one module of `sheetcalc.trade` each, in their order."""

Mark = TypeVar("Mark")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One argument of a cell function.

    Parameters
    ----------
    name : str
        As in the Python signature.
    kind : Kind
        What its numbers mean.
    takes : Takes
        What a range means.
    beside : Beside or None
        The list that this list stands beside.
    optional : bool
        May be left out.
    default : object
        What counts when it is left out, in us units; None: derived from other arguments.
    in_metric : float or None
        That default in the metric system, in the metric unit, where it is not the same.
    choices : tuple of str
        The words it may be; empty for anything but a choice.
    """

    name: str
    kind: Kind
    takes: Takes = Takes.ONE
    beside: Beside | None = None
    optional: bool = False
    default: float | str | None = None
    in_metric: float | None = None
    choices: tuple[str, ...] = ()

    @property
    def rest(self) -> bool:
        """Stands for any number of further arguments."""
        return self.kind is ANYTHING


class Column(NamedTuple):
    """One column of a table."""

    name: str
    kind: Kind


ROWS = Parameter("rows", COUNT, optional=True)
"""How many rows a table fills, blank ones below the answer."""

UNITS = Parameter("units", TEXT, optional=True, default="us", choices=SYSTEMS)
"""The unit system of the call; it stands wherever the last argument given stands."""


@dataclass(frozen=True, eq=False)
class CellFunction:
    """What a host, a sheet or a reference needs to know of one function.

    Parameters
    ----------
    name : str
        As typed in a cell: COURSE_COUNT.
    stage : str
        Module that it stands in.
    python : callable
        The trade function.
    inputs : tuple of Parameter
        The arguments that the trade function takes, in their order.
    set_by_units : tuple of Parameter
        Keyword-only arguments, which no cell gives: they follow from the unit system.
    words_lengths : bool
        Has a keyword-only `shown` that words a length for a text answer.
    answer : Kind or None
        Kind of its answer; None for a table.
    columns : tuple of Column
        The columns of a table.
    rows_at : int or None
        Where `rows` stands among the arguments of a cell; None where a call takes none.
    """

    name: str
    stage: str
    python: Callable[..., Any]
    inputs: tuple[Parameter, ...]
    set_by_units: tuple[Parameter, ...]
    words_lengths: bool
    answer: Kind | None
    columns: tuple[Column, ...]
    rows_at: int | None

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """All arguments in the order of a cell, `rows` and `units` included."""
        arguments = [*self.inputs]
        if self.rows_at is not None:
            arguments.insert(self.rows_at, ROWS)
        return (*arguments, UNITS) if self.has_units else self.inputs

    @cached_property
    def has_units(self) -> bool:
        """Takes the unit system as its last argument: every function but those that tell of functions."""
        return self.stage != "help"

    @cached_property
    def takes_rest(self) -> bool:
        """Takes any number of arguments after its own."""
        return bool(self.inputs) and self.inputs[-1].rest

    @cached_property
    def takes_lists(self) -> bool:
        """Whether an argument is a whole list, or the last one whatever follows."""
        return self.takes_rest or any(parameter.takes is Takes.LIST for parameter in self.inputs)

    @cached_property
    def position(self) -> Mapping[str, int]:
        """Where each argument stands among those that the trade function takes, by its name."""
        return {parameter.name: place for place, parameter in enumerate(self.inputs)}

    @cached_property
    def signature(self) -> str:
        """Such as ``INCH_FRACTION(length, [denominator], [units])``."""
        shown = ", ".join(
            f"{parameter.name}, …"
            if parameter.rest
            else f"[{parameter.name}]"
            if parameter.optional
            else parameter.name
            for parameter in self.parameters
        )
        return f"{self.name}({shown})"

    @property
    def doc(self) -> str:
        """The whole docstring."""
        return inspect.getdoc(self.python) or ""

    @cached_property
    def summary(self) -> str:
        """The docstring's first sentence: the help text of a host."""
        opening = " ".join(self.doc.partition("\n\n")[0].split())
        found = re.match(r".+?\.(?=\s|$)", opening)
        return found[0] if found else opening

    @cached_property
    def example(self) -> tuple[Cell | Range, ...]:
        """The first doctest's arguments as cells hold them: a sequence stands in a column."""
        for source in _doctests(self.doc):
            for node in ast.walk(ast.parse(source)):
                if isinstance(node, ast.Call) and ast.unparse(node.func) == self.python.__name__:
                    return self._placed(node)
        raise TypeError(f"{self.name}: no doctest calls it")

    def _placed(self, call: ast.Call) -> tuple[Cell | Range, ...]:
        cells = [_as_cells(ast.literal_eval(value)) for value in call.args]
        named = {word.arg: _as_cells(ast.literal_eval(word.value)) for word in call.keywords}
        names = [parameter.name for parameter in self.parameters]
        last = max((names.index(name) for name in named if name), default=-1)
        return (*cells, *(named.get(name) for name in names[len(cells) : last + 1]))


def describe(python: Callable[..., Any], stage: str) -> CellFunction:
    """Read a cell function off the signature of a trade function.

    Raises
    ------
    TypeError
        The signature leaves something open: a kind, a unit of a default, what a table's columns hold.
    """
    inputs: list[Parameter] = []
    set_by_units: list[Parameter] = []
    words_lengths = False
    signature = inspect.signature(python)
    for given in signature.parameters.values():
        where = f"{python.__module__}.{python.__name__}: {given.name}"
        if given.kind is given.KEYWORD_ONLY and given.annotation == Shown:
            words_lengths = True
            continue
        parameter = _parameter(where, given)
        if parameter.name in (ROWS.name, UNITS.name):
            raise TypeError(f"{where} is added to a cell function, never declared")
        if given.kind is given.KEYWORD_ONLY:
            if parameter.in_metric is None:
                raise TypeError(f"{where} is keyword-only, but does not follow from the unit system")
            set_by_units.append(parameter)
        else:
            inputs.append(parameter)
    _check_lists(python.__name__, inputs)
    where = f"{python.__module__}.{python.__name__}: answer"
    columns = _columns(where, signature.return_annotation)
    marks = _marks(signature.return_annotation)
    return CellFunction(
        name=python.__name__.upper(),
        stage=stage,
        python=python,
        inputs=tuple(inputs),
        set_by_units=tuple(set_by_units),
        words_lengths=words_lengths,
        answer=None if columns else _kind(where, marks),
        columns=columns,
        rows_at=_rows_at(inputs, marks) if columns else None,
    )


def _rows_at(inputs: list[Parameter], marks: list[Any]) -> int | None:
    if _first(Whole, marks):
        return None
    names = [parameter.name for parameter in inputs]
    before = _first(RowsBefore, marks)
    return names.index(before.argument) if before else len(names)


def _check_lists(where: str, inputs: list[Parameter]) -> None:
    lists = {each.name: each for each in inputs if each.takes is Takes.LIST and not each.beside}
    for parameter in inputs:
        if parameter.beside:
            leader = lists.get(parameter.beside.list)
            if leader is None:
                raise TypeError(f"{where}: {parameter.name} stands beside no list")
            if leader.optional and not parameter.optional:
                raise TypeError(
                    f"{where}: {leader.name} must be needed, as {parameter.name} stands beside it"
                )


def _parameter(where: str, given: inspect.Parameter) -> Parameter:
    marks = _marks(given.annotation)
    choices = tuple(mark for mark in marks if isinstance(mark, str))
    beside, metric = _first(Beside, marks), _first(InMetric, marks)
    optional = given.default is not given.empty
    parameter = Parameter(
        name=given.name,
        kind=TEXT if choices else _kind(where, marks),
        takes=Takes.LIST if beside else _first(Takes, marks) or Takes.ONE,
        beside=beside,
        optional=optional,
        default=given.default if optional else None,
        in_metric=metric.default if metric else None,
        choices=choices,
    )
    if optional and parameter.kind.units and given.default and not metric:
        raise TypeError(f"{where} has a default that is not stated for both unit systems")
    return parameter


def _columns(where: str, answer: Any) -> tuple[Column, ...]:
    bare = get_args(answer)[0] if get_origin(answer) is Annotated else answer
    if get_origin(bare) is not list:
        return ()
    hints: dict[str, Any] = inspect.get_annotations(get_args(bare)[0])
    return tuple(Column(name, _kind(f"{where}, column {name}", _marks(hint))) for name, hint in hints.items())


def _kind(where: str, marks: list[Any]) -> Kind:
    kind = _first(Kind, marks)
    if kind is None:
        raise TypeError(f"{where} has no kind")
    return kind


def _first(sort: type[Mark], marks: list[Any]) -> Mark | None:
    return next((mark for mark in marks if isinstance(mark, sort)), None)


def _marks(annotation: Any) -> list[Any]:
    # All that an annotation says beside its types, outermost first: marks of `Annotated`, words of `Literal`.
    if get_origin(annotation) is Annotated:
        bare, *marks = get_args(annotation)
        return [*marks, *_marks(bare)]
    if get_origin(annotation) is Literal:
        return [*get_args(annotation)]
    return [mark for part in get_args(annotation) for mark in _marks(part)]


def _doctests(doc: str) -> Iterator[str]:
    for found in re.finditer(r"^>>> (.*(?:\n\.\.\. .*)*)", doc, re.MULTILINE):
        yield found[1].replace("\n... ", "\n")


def _as_cells(value: Any) -> Cell | Range:
    if not isinstance(value, (list, tuple)):
        return value
    rows: list[list[Cell]] = [
        list(cast("list[Cell]", row)) if isinstance(row, (list, tuple)) else [row]
        for row in cast("list[Any]", value)
    ]
    width = max(map(len, rows))
    return [row + [None] * (width - len(row)) for row in rows]


def _registry() -> Iterator[CellFunction]:
    modules = {stage: f"sheetcalc.trade.{stage}" for stage in STAGES}
    for stage, module in {**modules, "help": "sheetcalc.cells.help"}.items():
        if find_spec(module) is None:
            continue
        found = import_module(module)
        functions = [getattr(found, name) for name in found.__all__]
        for python in sorted(functions, key=_line):
            yield describe(python, stage)


def _line(python: Callable[..., Any]) -> int:
    return inspect.unwrap(python).__code__.co_firstlineno


REGISTRY: Mapping[str, CellFunction] = MappingProxyType({function.name: function for function in _registry()})
"""Every cell function by its name, in the order of the job."""


def find(name: object) -> CellFunction | None:
    """Find a cell function by its name, typed in any case."""
    return REGISTRY.get(name.strip().upper()) if isinstance(name, str) else None
