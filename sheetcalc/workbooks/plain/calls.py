"""The calls of our functions in a formula, found and taken apart."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sheetcalc.xlsx.formulas import Token, bare_calls, tokens

AGGREGATES = frozenset(
    [
        "AND",
        "AVERAGE",
        "COLUMNS",
        "COUNT",
        "COUNTA",
        "COUNTBLANK",
        "COUNTIF",
        "COUNTIFS",
        "HLOOKUP",
        "INDEX",
        "LARGE",
        "LOOKUP",
        "MATCH",
        "MAX",
        "MEDIAN",
        "MIN",
        "OR",
        "PRODUCT",
        "RANK",
        "ROWS",
        "SMALL",
        "SUM",
        "SUMIF",
        "SUMIFS",
        "SUMPRODUCT",
        "VLOOKUP",
    ]
)
"""Native functions that make one value of a range."""


_CALLED = re.compile(r"([^\W\d][\w.]*)\(")


@dataclass(frozen=True, slots=True)
class Call:
    """A call: the function's name, and its arguments as pieces of text and calls."""

    name: str
    arguments: tuple[tuple["str | Call", ...], ...]
    text: str


Piece = str | Call


def pieces(formula: str, names: Mapping[str, Any]) -> list[Piece]:
    """Cut a formula into text and calls of the functions named; nested calls stand in the arguments.

    Examples
    --------
    >>> [piece if isinstance(piece, str) else piece.name for piece in pieces("1+F(G(2),3)", {"F": 0, "G": 0})]
    ['1+', 'F']
    """
    if not any(name.rpartition(".")[2].upper() in names for name in _CALLED.findall(formula)):
        return [formula]  # as most are; to find that out so is much quicker
    return _pieces(bare_calls(tokens(formula), names), names)


def calls_in(formula: str, names: Mapping[str, Any]) -> list[Call]:
    """Find every call of the functions named, those in arguments of others too."""
    todo = [piece for piece in pieces(formula, names) if isinstance(piece, Call)]
    found: list[Call] = []
    while todo:
        call = todo.pop()
        found.append(call)
        todo += [piece for argument in call.arguments for piece in argument if isinstance(piece, Call)]
    return found


def _pieces(found: Sequence[Token], names: Mapping[str, Any]) -> list[Piece]:
    out: list[Piece] = []
    at = 0
    while at < len(found):
        token = found[at]
        name = token.text.rpartition(".")[2].upper() if token.kind == "name" else ""
        if name in names and at + 1 < len(found) and found[at + 1].text == "(":
            end = _closing(found, at + 1)
            arguments = tuple(tuple(_pieces(one, names)) for one in _split(found[at + 2 : end]))
            out.append(Call(name, arguments, "".join(one.text for one in found[at : end + 1])))
            at = end + 1
            continue
        if out and isinstance(out[-1], str):
            out[-1] += token.text
        else:
            out.append(token.text)
        at += 1
    return out


def _closing(found: Sequence[Token], at: int) -> int:
    depth = 0
    for place in range(at, len(found)):
        depth += (found[place].text in ("(", "{")) - (found[place].text in (")", "}"))
        if depth == 0:
            return place
    return len(found)


def _split(found: Sequence[Token]) -> Iterator[list[Token]]:
    # Arguments, without the blanks around them; none at all where nothing stands between the brackets.
    argument: list[Token] = []
    depth = 0
    for token in found:
        depth += (token.text in ("(", "{")) - (token.text in (")", "}"))
        if token.text == "," and depth == 0:
            yield _stripped(argument)
            argument = []
        else:
            argument.append(token)
    if argument or found:
        yield _stripped(argument)


def _stripped(argument: list[Token]) -> list[Token]:
    while argument and argument[0].kind == "space":
        argument = argument[1:]
    while argument and argument[-1].kind == "space":
        argument = argument[:-1]
    return argument


def on_own_sheet(text: str, sheet: str) -> str:
    """Name the sheet before every reference that has none.

    Examples
    --------
    >>> on_own_sheet("MAX($B4:C4,Order!B2,gap)", "Job sheet")
    "MAX('Job sheet'!$B4:C4,Order!B2,gap)"
    """
    out: list[str] = []
    found = tokens(text)
    for at, token in enumerate(found):
        before = found[at - 1].text if at else ""
        if token.kind in ("cell", "rows", "columns") and before not in ("!", ":"):
            out.append(f"{sheet_name(sheet)}!")
        out.append(token.text)
    return "".join(out)


def sheet_name(title: str) -> str:
    """Write a sheet's name as a formula does."""
    plain = title.isascii() and title.replace("_", "").isalpha()
    return title if plain else "'" + title.replace("'", "''") + "'"


def several_values(text: str) -> bool:
    """Tell whether an expression holds a range outside functions that make one value of it."""
    inside: list[str] = []
    found = tokens(text)
    for at, token in enumerate(found):
        if token.text == "(":
            called = at and found[at - 1].kind == "name"
            inside.append(found[at - 1].text.upper() if called else "")
        elif token.text == ")" and inside:
            inside.pop()
        elif (token.text == ":" or token.kind in ("rows", "columns")) and AGGREGATES.isdisjoint(inside):
            return True
    return False
