"""A formula as a Python function of the values of all cells.

Formulas that differ only in their cells and numbers are compiled once: these are its operands.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, NamedTuple

from sheetcalc.cells.registry import CellFunction
from sheetcalc.hosts.quick import functions
from sheetcalc.hosts.quick.functions import NotQuick, Value
from sheetcalc.hosts.references import PIECE, meant
from sheetcalc.xlsx.formulas import Area

CELL, RANGE, NUMBER = "\x01", "\x02", "\x03"

_TOKEN = re.compile(rf'"(?:[^"]|"")*"|\#[A-Z/0!?]+|[{CELL}{RANGE}{NUMBER}]|[^\W\d][\w.]*|<=|>=|<>|\S')
_ERRORS = {"#DIV/0!": "DIV", "#N/A": "NA", "#NUM!": "NUM", "#REF!": "REF", "#VALUE!": "VALUE"}
_SIGNS = {"=": "==", "<>": "!="}
_DEEPEST = 60  # brackets in brackets


class Operand(NamedTuple):
    """A cell, a range or a number in a formula."""

    mark: str
    meant: Area | float


def split(text: str, sheet: str, names: Mapping[str, Sequence[Area] | None]) -> tuple[str, list[Operand]]:
    """Take the operands out of a formula, and leave marks in their places.

    Raises
    ------
    NotQuick
        A name in it means no plain cells.
    """
    operands: list[Operand] = []

    def put(mark: str, operand: Area | float) -> str:
        operands.append(Operand(mark, operand))
        return mark

    def mark(piece: re.Match[str]) -> str:
        written = piece[0]
        if piece["name"]:
            if piece["called"] or written.upper() in ("TRUE", "FALSE"):
                return written
            cells = names.get(written.upper())
            if cells is None or len(cells) != 1:
                raise NotQuick
            return put(CELL if cells[0].size == 1 else RANGE, cells[0])
        found = meant(piece, sheet)
        if found is not None:
            return put(RANGE if ":" in written else CELL, found)
        if written[0] in '"#':
            return written
        try:
            return put(NUMBER, functions.num(float(written)))
        except ValueError:  # no number either
            raise NotQuick from None

    return PIECE.sub(mark, text), operands


class _Code(NamedTuple):
    # A piece of Python, and what it comes to.
    text: str
    kind: str  # number, text, truth; rows: surely a range; any: what only its value tells
    operand: str = ""  # if it is nothing but a cell or a range
    simple: bool = False  # it is what it is, and never fails


class Compiler:
    """Makes Python functions of formulas.

    Parameters
    ----------
    ours : mapping
        Our functions by their names.
    answer : callable
        Answers a call of one of them.
    """

    def __init__(self, ours: Mapping[str, CellFunction], answer: Callable[..., Value]) -> None:
        self._ours = ours
        self._globals: dict[str, Any] = {name: getattr(functions, name) for name in dir(functions)}
        self._globals |= {f"our_{name}": partial(answer, function) for name, function in ours.items()}
        self._compiled: dict[tuple[str, bool], Callable[..., Value] | None] = {}

    def compiled(self, shape: str, *, array: bool) -> Callable[..., Value]:
        """Return the function of a shape: it takes the values of all cells and the operands.

        Raises
        ------
        NotQuick
            There is something in it that is not known here.
        """
        key = shape, array
        if key not in self._compiled:
            try:
                code = _Reading(shape, array, self._ours).function()
                # its names are those of this module; of the file it holds texts alone, as repr writes them
                self._compiled[key] = eval(code, self._globals)
            except (NotQuick, SyntaxError, RecursionError, MemoryError):  # or brackets too deep for Python
                self._compiled[key] = None
        found = self._compiled[key]
        if found is None:
            raise NotQuick
        return found


class _Reading:
    # One formula, read from left to right.

    def __init__(self, shape: str, array: bool, ours: Mapping[str, CellFunction]) -> None:
        self._tokens = _TOKEN.findall(shape)
        self._array = array
        self._ours = ours
        self._at = 0
        self._operands = 0
        self._deep = 0

    def function(self) -> str:
        """Return the whole formula as a Python function."""
        found = self._comparison()
        if self._at < len(self._tokens):
            raise NotQuick
        names = "".join(f", a{number}" for number in range(self._operands))
        return f"lambda V{names}: {found.text}"

    # --- Operators, the loosest first (ISO/IEC 29500-1, 18.17.2.2) ---

    def _next(self) -> str:
        return self._tokens[self._at] if self._at < len(self._tokens) else ""

    def _take(self, wanted: str = "") -> str:
        found = self._next()
        if not found or (wanted and found != wanted):
            raise NotQuick
        self._at += 1
        return found

    def _comparison(self) -> _Code:
        left = self._joined()
        while self._next() in functions.TESTS:
            sign = self._take()
            left = self._compared(left, sign, self._joined())
        return left

    def _compared(self, left: _Code, sign: str, right: _Code) -> _Code:
        if self._array and (_may_be_rows(left) or _may_be_rows(right)):
            return _Code(f'each_test("{sign}", {left.text}, {right.text})', "any")
        if "rows" in (left.kind, right.kind):
            raise NotQuick
        if right.text == repr("") and sign in ("=", "<>"):
            return _Code(f"empty({left.text})" if sign == "=" else f"(not empty({left.text}))", "truth")
        if left.kind == right.kind == "number":
            return _Code(f"({left.text} {_SIGNS.get(sign, sign)} {right.text})", "truth")
        return _Code(f'TESTS["{sign}"]({left.text}, {right.text})', "truth")

    def _joined(self) -> _Code:
        left = self._sum()
        while self._next() == "&":
            self._take()
            left = _Code(f"({_text(left)} + {_text(self._sum())})", "text")
        return left

    def _sum(self) -> _Code:
        left = self._product()
        while self._next() in ("+", "-"):
            sign = self._take()
            left = _Code(f"({_number(left)} {sign} {_number(self._product())})", "number")
        return left

    def _product(self) -> _Code:
        left = self._power()
        while self._next() in ("*", "/"):
            if self._take() == "*":
                left = _Code(f"({_number(left)} * {_number(self._power())})", "number")
            else:
                left = _Code(f"divided({_number(left)}, {_number(self._power())})", "number")
        return left

    def _power(self) -> _Code:
        left = self._signed()
        while self._next() == "^":
            self._take()
            left = _Code(f"power({_number(left)}, {_number(self._signed())})", "number")
        return left

    def _signed(self) -> _Code:
        if self._next() == "-":
            self._take()
            return _Code(f"(-{_number(self._signed())})", "number")
        if self._next() == "+":
            self._take()
            return self._signed()
        if self._next() == "@":  # one value is meant; where a range comes instead, its user gives up
            self._take()
            found = self._signed()
            if found.kind == "rows":
                raise NotQuick
            return found
        found = self._operand()
        while self._next() == "%":
            self._take()
            found = _Code(f"({_number(found)} / 100.0)", "number")
        return found

    # --- Operands ---

    def _operand(self) -> _Code:
        token = self._take()
        if token in (CELL, RANGE, NUMBER):
            name = f"a{self._operands}"
            self._operands += 1
            if token == NUMBER:
                return _Code(name, "number", simple=True)
            if token == CELL:
                return _Code(f"V[{name}]", "any", name, simple=True)
            return _Code(f"[[V[at] for at in row] for row in {name}]", "rows", name, simple=True)
        if token[0] == '"':
            return _Code(repr(token[1:-1].replace('""', '"')), "text", simple=True)
        if token in _ERRORS:
            return _Code(f"fails({_ERRORS[token]})", "any")
        if token == "(":
            found = self._inside(self._comparison)
            self._take(")")
            return _Code(f"({found.text})", found.kind)
        if token.upper() in ("TRUE", "FALSE") and self._next() != "(":
            return _Code(token.title(), "truth", simple=True)
        if self._next() != "(":
            raise NotQuick
        return self._inside(lambda: self._called(token.upper()))

    def _inside(self, read: Callable[[], _Code]) -> _Code:
        self._deep += 1
        if self._deep > _DEEPEST:
            raise NotQuick
        found = read()
        self._deep -= 1
        return found

    def _arguments(self) -> list[_Code]:
        self._take("(")
        found: list[_Code] = []
        while self._next() != ")":
            if found:
                self._take(",")
            if self._next() in (",", ")"):  # left out
                raise NotQuick
            found.append(self._comparison())
        self._take(")")
        return found

    def _called(self, name: str) -> _Code:
        given = self._arguments()
        if name in self._ours:
            return _Code(f"our_{name}({', '.join(map(_handed_on, given))})", "any")
        if name in ("IF", "AND", "OR"):
            return self._condition(name, given)
        if name in ("COLUMNS", "ROWS"):
            (one,) = _exactly(given, 1)
            if not one.operand:
                raise NotQuick
            if one.kind != "rows":
                return _Code("1.0", "number")
            return _Code(f"float(len({one.operand}{'[0]' if name == 'COLUMNS' else ''}))", "number")
        if name == "INDEX" and len(given) in (2, 3) and given[0].kind == "rows" and given[0].operand:
            places = ", ".join(map(_number, given[1:]))
            return _Code(f"at_place(V, {given[0].operand}, {places})", "any")
        if name == "CHOOSE" and len(given) > 1:
            kind = given[1].kind if len({one.kind for one in given[1:]}) == 1 else "any"
            values = ", ".join(map(_later, given[1:]))
            return _Code(f"chosen({given[0].text}, {values})", kind)
        if name == "NA" and not given:
            return _Code("fails(NA)", "any")
        if name in ("TRUE", "FALSE") and not given:
            return _Code(name.title(), "truth")
        if name == "IFERROR":
            one, other = _exactly(given, 2)
            return _Code(f"unless_wrong({_later(one)}, {_later(other)})", "any")
        if name in functions.ASKED:
            (one,) = _exactly(given, 1)
            return _Code(f"asks({name!r}, {_handed_on(one)})", "truth")
        if name in _NATIVE and len(given) <= 4:
            if any(one.kind == "rows" for one in given):
                raise NotQuick
            return _Code(f"native({', '.join([repr(name), *(one.text for one in given)])})", "any")
        return _taken(name, given)

    def _condition(self, name: str, given: list[_Code]) -> _Code:
        if name != "IF":
            if all(one.operand for one in given):  # if these are all blank, there is no answer
                raise NotQuick
            sign = " & " if name == "AND" else " | "  # all are looked at: an error in the last one counts
            tests = [
                f"truth_or({one.text}, {name == 'AND'})" if one.operand else _truth(one) for one in given
            ]
            return _Code(f"({sign.join(tests)})", "truth")
        if len(given) == 2:
            given = [*given, _Code("False", "truth")]
        condition, one, other = _exactly(given, 3)
        if self._array and _may_be_rows(condition):
            return _Code(f"each_choice({condition.text}, {_later(one)}, {_later(other)})", "any")
        kind = one.kind if one.kind == other.kind and one.kind != "rows" else "any"
        return _Code(f"({one.text} if {_truth(condition)} else {other.text})", kind)


def _may_be_rows(code: _Code) -> bool:
    return code.kind == "rows" or (code.kind == "any" and not code.operand)


def _exactly(given: list[_Code], count: int) -> list[_Code]:
    if len(given) != count:
        raise NotQuick
    return given


def _number(code: _Code) -> str:
    return code.text if code.kind == "number" else f"num({code.text})"


def _text(code: _Code) -> str:
    return code.text if code.kind == "text" else f"text({code.text})"


def _truth(code: _Code) -> str:
    return code.text if code.kind == "truth" else f"truth({code.text})"


def _later(code: _Code) -> str:
    return f"lambda: {code.text}"


def _handed_on(code: _Code) -> str:
    """Hand on a value; a cell error is one too."""
    return code.text if code.simple else f"value_of({_later(code)})"


def _ranges(code: _Code) -> str:
    """Take a cell or a range that is named, as rows; only there does text count as nothing."""
    if not code.operand:
        return f"rows({code.text})"
    return code.text if code.kind == "rows" else f"[[{code.text}]]"


def _added(code: _Code) -> str:
    if code.operand or code.kind == "rows":
        return _ranges(code)
    return f"number_or_rows({code.text})" if code.kind == "any" else _number(code)


def _value(code: _Code) -> str:
    if code.kind == "rows":
        raise NotQuick
    return code.text


class _Known(NamedTuple):
    # A function: how it is called here, how it takes its arguments, and how many of the last may be repeated.
    called: str
    takes: tuple[Callable[[_Code], str], ...]
    result: str = "number"
    repeats: int = 0


def _taken(name: str, given: list[_Code]) -> _Code:
    known = _KNOWN.get(name)
    if known is None:
        raise NotQuick
    takes = list(known.takes)
    while known.repeats and len(takes) < len(given):
        takes += takes[-known.repeats :]
    values = ", ".join(take(one) for take, one in zip(takes, _exactly(given, len(takes)), strict=True))
    return _Code(f"{known.called}({values})", known.result)


_NATIVE = frozenset({"CHAR", "EXACT", "LEFT", "LEN", "LOWER", "MID", "RIGHT", "ROUND", "ROUNDUP"}).union(
    ["SUBSTITUTE", "TEXT", "TRIM", "UPPER"]
)
_KNOWN = {
    "ABS": _Known("abs", (_number,)),
    "AVERAGE": _Known("average", (_added,), repeats=1),
    "COUNT": _Known("numbers_in", (_ranges,), repeats=1),
    "COUNTA": _Known("filled_in", (_ranges,), repeats=1),
    "COUNTBLANK": _Known("blank_in", (_ranges,)),
    "COUNTIF": _Known("count_if", (_ranges, _value)),
    "COUNTIFS": _Known("count_if", (_ranges, _value), repeats=2),
    "INT": _Known("whole", (_number,)),
    "MATCH": _Known("place_in", (_value, _ranges, _number)),
    "MAX": _Known("most", (_added,), repeats=1),
    "MEDIAN": _Known("median", (_added,), repeats=1),
    "MIN": _Known("least", (_added,), repeats=1),
    "MOD": _Known("remainder", (_number, _number)),
    "N": _Known("plain_number", (_value,)),
    "NOT": _Known("opposite", (_truth,), result="truth"),
    "PI": _Known("half_turn", ()),
    "PRODUCT": _Known("product", (_added,), repeats=1),
    "SMALL": _Known("nth_least", (_ranges, _value)),
    "SUM": _Known("total", (_added,), repeats=1),
    "SUMIFS": _Known("sum_if", (_ranges, _ranges, _value), repeats=2),
    "SUMPRODUCT": _Known("sum_of_products", (_ranges,), repeats=1),
}
