"""What is told of a function: in a cell, in a terminal, in a reference.

All of it follows from the registry and the docstrings. `entry_problem`, `function_help` and
`function_version` are cell functions themselves: the registry holds them, so they import it only when called.
"""

import re
import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

from sheetcalc import __version__
from sheetcalc.cells.values import Cell, CellError, Range, cell_error
from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.kinds import ANYTHING, LENGTH, Kind, Takes, Text
from sheetcalc.trade.lengths import inch_fraction

if TYPE_CHECKING:
    from sheetcalc.cells.registry import CellFunction, Parameter

__all__ = ["entry_problem", "function_help", "function_version"]

LONGEST_TEXT = 255
"""A help text, and a text answer, may be no longer in every spreadsheet program."""

_WIDTH = 100
_ERRORS = {kind.__name__: cell_error(kind("", "", "")).value for kind in (InputError, NotReadable, NotFound)}
_ADDED = {
    "rows": "Rows to fill, blank ones below the answer.",
    "units": "Of every bare number in the call and of the answer; always the last argument given.",
}


# --- Cell functions ---


def entry_problem(function: Text, *argument: Annotated[Any, ANYTHING]) -> Text:
    """Tell which argument of a call breaks which rule; "" if the call works.

    Parameters
    ----------
    function : str
        Name of the function.
    argument
        Its arguments, as in the call.

    Returns
    -------
    str
        One sentence, or "".

    Examples
    --------
    >>> entry_problem("COURSE_COUNT", 120, 0, 0.5)
    'face is 0 in, but must be over 0'
    """
    from sheetcalc.cells.call import problem

    return problem(function, argument)


def function_help(function: Text) -> Text:
    """Give one line about a function: its arguments, optional ones in brackets, and what it answers.

    Parameters
    ----------
    function : str
        Name of the function.

    Returns
    -------
    str
        One line.

    Raises
    ------
    NotFound
        No function has that name.

    Examples
    --------
    >>> function_help("FUNCTION_HELP")[:23]
    'FUNCTION_HELP(function)'
    """
    from sheetcalc.cells.registry import find

    found = find(function)
    if found is None:
        raise NotFound("function", function, "must be the name of a cell function")
    line = f"{found.signature} {found.summary}"
    if len(line) <= LONGEST_TEXT:
        return line
    return found.signature if len(found.signature) <= LONGEST_TEXT else found.signature.replace("], [", ", ")


def function_version() -> Text:
    """Give the version of the functions, to compare with the one that a workbook was made with.

    Returns
    -------
    str
        Such as 0.1.0.

    Examples
    --------
    >>> function_version() == __version__
    True
    """
    return __version__


# --- Reference ---


def plain(function: "CellFunction") -> str:
    """Word the reference of one function for a terminal."""
    lines = [function.signature, *_wrapped(function.summary, "  "), ""]
    for argument in arguments(function):
        lines += [f"  {argument.name}: {argument.takes}", *_wrapped(argument.meaning, "      ")]
    lines += ["", *_wrapped(f"Answer: {_answer(function)}", "  ")]
    for error, reason in _raised(function):
        lines += _wrapped(f"{error} {reason}", "  ")
    lines += ["", f"  {formula(function, function.example)}"]
    lines += textwrap.indent(_example_answer(function), "  ").splitlines()
    return "\n".join(lines)


def markdown(function: "CellFunction") -> str:
    """Word the reference of one function in Markdown."""
    lines = [f"### {function.name}", "", f"`{function.signature}`", "", function.summary, ""]
    if function.parameters:
        lines += ["| argument | takes | meaning |", "|---|---|---|"]
    for argument in arguments(function):
        cells = (argument.name, argument.takes, argument.meaning)
        lines += ["| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"]
    lines += ["", f"Answer: {_answer(function)}.", ""]
    lines += [f"- {error} {reason}" for error, reason in _raised(function)]
    lines += ["", "```", formula(function, function.example), _example_answer(function), "```"]
    if sources := " ".join(" ".join(entry).strip() for entry in _section(function.doc, "References")):
        lines += ["", f"Source: {sources}"]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n"


def markdown_reference() -> str:
    """Word the reference of all functions in Markdown, by the stages of the job."""
    from sheetcalc.cells.registry import REGISTRY

    parts: list[str] = []
    stage = ""
    for function in REGISTRY.values():
        if function.stage != stage:
            stage = function.stage
            parts.append(f"## {stage.capitalize()}\n")
        parts.append(markdown(function))
    return "\n".join(parts)


def formula(function: "CellFunction", args: Sequence[Cell | Range]) -> str:
    """Write a call as typed in a cell; a range stands as an array constant, its rows after semicolons."""
    return f"={function.name}({', '.join(map(_typed, args))})"


# --- Facts for both references ---


class Argument(NamedTuple):
    """What is told of one argument; its name stands in brackets where it may be left out."""

    name: str
    takes: str
    meaning: str


def arguments(function: "CellFunction") -> Iterator[Argument]:
    """Tell of every argument, in the order of a cell."""
    for parameter in function.parameters:
        name = f"[{parameter.name}]" if parameter.optional else parameter.name
        yield Argument(name, _takes(parameter), _meaning(function, parameter.name))


def _takes(parameter: "Parameter") -> str:
    from sheetcalc.cells.entries import words

    parts = [words(parameter.choices) if parameter.choices else _kind(parameter.kind)]
    if parameter.beside:
        parts.append(f"as many as {parameter.beside.list}")
    elif parameter.takes is not Takes.ONE:
        parts.append(parameter.takes.value)
    if parameter.default is not None:
        parts.append(f"{_default(parameter)} if not given")
    return "; ".join(parts)


def _kind(kind: Kind) -> str:
    units = ", ".join(dict.fromkeys(unit for unit in (kind.us, kind.metric) if unit))
    return f"{kind.name} ({units})" if units else kind.name


def _default(parameter: "Parameter") -> str:
    kind, default = parameter.kind, parameter.default
    if isinstance(default, str):
        return f"“{default}”"
    shown = inch_fraction(default or 0, 64) if kind is LENGTH else f"{default:.6g}"
    if not default or not kind.units:
        return shown
    return f"{shown} {kind.us} ({parameter.in_metric:g} {kind.metric})"


def _answer(function: "CellFunction") -> str:
    if function.answer:
        return _kind(function.answer)
    return "a table of " + ", ".join(f"{column.name}: {_kind(column.kind)}" for column in function.columns)


def _meaning(function: "CellFunction", name: str) -> str:
    # From the docstring; an argument said to be as for another function is explained there.
    from sheetcalc.cells.registry import find

    for names, text in _section(function.doc, "Parameters"):
        if name in re.split(r",\s*", names.partition(" :")[0]):
            there = re.search(r"\b[Aa]s for ([A-Z_]+)\b", text)
            other = find(there[1]) if there else None
            return _meaning(other, name) if other else re.sub(r" \[[^\]]*\]", "", text)
    return _ADDED.get(name, "")


def _raised(function: "CellFunction") -> Iterator[tuple[str, str]]:
    for names, reason in _section(function.doc, "Raises"):
        yield ", ".join(_ERRORS[name.strip()] for name in names.split(",")), reason


def _section(doc: str, title: str) -> Iterator[tuple[str, str]]:
    # The entries of a section of a docstring: a line at the margin, and the text indented below it.
    _, _, below = doc.partition(f"\n{title}\n{'-' * len(title)}\n")
    section = re.sub(r"`(\w+)`", _in_cell, re.split(r"\n\n.+\n---+\n", below)[0])
    for head, text in re.findall(r"^(\S.*)((?:\n +.*|\n)*)", section, re.MULTILINE):
        yield head, " ".join(text.split())


def _in_cell(name: re.Match[str]) -> str:
    from sheetcalc.cells.registry import find

    function = find(name[1])
    return function.name if function else name[1]


def _wrapped(text: str, margin: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=margin, subsequent_indent=margin)


def _example_answer(function: "CellFunction") -> str:
    from sheetcalc.cells.call import call

    answer = call(function, function.example)
    rows = answer if isinstance(answer, list) else [[answer]]
    return "\n".join("  ".join(map(_shown, row)) for row in rows)


def _shown(cell: Cell) -> str:
    if isinstance(cell, CellError):
        return cell.value
    if isinstance(cell, bool):
        return str(cell).upper()
    return f"{cell:.10g}" if isinstance(cell, (float, int)) else cell or "“”"


def _typed(argument: Cell | Range) -> str:
    if isinstance(argument, list):
        return (
            "{"
            + ";".join(",".join(_typed("" if cell is None else cell) for cell in row) for row in argument)
            + "}"
        )
    if isinstance(argument, str):
        return '"' + argument.replace('"', '""') + '"'
    return "" if argument is None else _shown(argument)
