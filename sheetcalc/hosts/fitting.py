"""Formulas made to fit the engine: what it cannot work out is named, what it reads otherwise is rewritten.

Two things are rewritten. An argument left out in a call of ours becomes ``""``: the engine would hand on a
zero. A range where one value is meant, and an ordinary formula that may answer several cells, gets the ``@``
that a spreadsheet program means there.
"""

import re
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

import formualizer

from sheetcalc.xlsx.formulas import Area, Token, bare_calls, tokens
from sheetcalc.xlsx.sheet import Formula

_ONE_VALUE = frozenset(
    """
    AND AVERAGE AVERAGEA CONCAT CONCATENATE COUNT COUNTA COUNTBLANK MAX MAXA MEDIAN MIN MINA OR PRODUCT ROWS
    COLUMNS STDEV STDEV.P STDEV.S SUM SUMPRODUCT SUMSQ TEXTJOIN VAR VAR.P VAR.S XOR
    """.split()  # noqa: SIM905
)
"""Functions that answer one value, whatever range they are given."""

_FROM_NOTHING = frozenset(["INDIRECT", "LET", "MAKEARRAY", "OFFSET", "RANDARRAY", "SEQUENCE", "TEXTSPLIT"])
"""Functions that answer several values though no range stands in the call."""

_TAKES_ARRAYS = frozenset(
    """
    AGGREGATE FILTER FREQUENCY GROWTH INDEX LINEST LOGEST LOOKUP MATCH MDETERM MINVERSE MMULT SORT SORTBY
    SUMPRODUCT SUMX2MY2 SUMX2PY2 SUMXMY2 TRANSPOSE TREND UNIQUE XLOOKUP XMATCH
    """.split()  # noqa: SIM905
)
"""Functions in which a range stays a range, also beside an operator (from memory)."""

_ONE_BY_ONE = frozenset(
    """
    ABS ATAN CEILING CHAR CODE DATE DAY DEGREES EVEN EXACT EXP FACT FIND FLOOR INT ISEVEN ISODD LEFT LEN LN
    LOG10 LOWER MID MOD MONTH MROUND NOT ODD POWER QUOTIENT RADIANS REPT RIGHT ROUND ROUNDDOWN ROUNDUP SEARCH
    SIGN SQRT SUBSTITUTE TEXT TRIM TRUNC UPPER VALUE YEAR
    """.split()  # noqa: SIM905
)
"""Functions of one value that spreadsheet programs work through a range with; the engine does not."""

_HANDS_ON = frozenset(["", "IF", "IFERROR", "IFNA"])
"""What answers several values where it is given several; "" is a bare bracket."""

# What can differ between two formulas of one shape: cells and numbers, the sheets that they stand on, words.
_CELL_OR_NUMBER = re.compile(
    r"(?<![\w.$])\$?[A-Z]{1,3}\$?[1-9]\d{0,6}(?![\w.(!])|(?<![\w.$:])(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?(?![\w.(!:])"
)
_SHEET = re.compile(r"(?<![\w.:\]'#!])(?:[A-Za-z_]\w*|'[^'\[\]:]*')!(?=A1(?![\w.(!]))")
_WORDS = re.compile(r'"[^"]*"')
_OPERATORS = frozenset(["+", "-", "*", "/", "^", "&", "=", "<", ">", "<=", ">=", "<>", "%"])
_REFERENCES = frozenset(["cell", "rows", "columns", "name", "quoted"])
_CONSTANTS = frozenset(["TRUE", "FALSE"])
_ANYWHERE = frozenset(["INDIRECT", "OFFSET"])  # they use cells that the formula does not name
_OWN_NAMES = frozenset(["LET", "LAMBDA", "_XLFN.LET", "_XLFN.LAMBDA"])
_MOST_CELLS = 100_000
_LONGEST = 8_192  # characters of a formula in a spreadsheet program


class Fitted(NamedTuple):
    """A formula for the engine, without its equals sign, or the reason why there is none.

    `anywhere`: it may use cells that it does not name. `unknown`: functions in it that nobody knows.
    """

    text: str
    problem: str = ""
    anywhere: bool = False
    unknown: tuple[str, ...] = ()


class _Shape(NamedTuple):
    # What can be told of a formula whatever its cells, numbers and words are: most of a workbook is alike.
    problem: str  # why the engine cannot work it out, as far as the formula alone tells
    unknown: tuple[str, ...]  # functions that nobody knows
    names: frozenset[str]  # defined names that it uses
    anywhere: bool  # it may use cells that it does not name
    one_by_one: bool  # functions of one value stand in it
    as_it_stands: bool  # nothing in it is to be rewritten
    one_value: bool  # it answers one cell, whatever its names mean
    own_place: bool  # it asks where it stands


class Fitter:
    """Makes formulas fit.

    Parameters
    ----------
    functions : collection of str
        Names of our functions, in upper case.
    tables : collection of str
        Those of them that answer several cells.
    """

    def __init__(self, functions: Collection[str], tables: Collection[str]) -> None:
        self._functions = functions
        self._tables = tables
        self._shapes: dict[str, _Shape] = {}

    def fit(self, formula: Formula, names: Mapping[str, Area | None]) -> Fitted:
        """Fit one formula.

        Parameters
        ----------
        formula : Formula
            As it stands in the file.
        names : mapping
            Defined names that the engine knows on this sheet, in upper case, and the cells that they mean.
        """
        if len(formula.text) > _LONGEST:
            return Fitted("", "it is longer than a formula may be")
        shape = self._known_shape(formula.text)
        problem = shape.problem or _unknown(shape.names, names)
        if shape.unknown and not problem:
            problem = f"it uses {shape.unknown[0]}, which is not known here"
        wide = {name for name in shape.names if (cells := names.get(name)) is None or cells.size > 1}
        array = formula.cells is not None
        several = bool(wide) or ":" in formula.text or "{" in formula.text
        if shape.one_by_one and several and not problem:
            problem = _worked_through(self._pieces(formula.text)[0], wide, array=array)
        if not problem and formula.cells and formula.cells.size > _MOST_CELLS:
            problem = "it fills more cells than is believed"
        if not problem and formula.cells and shape.own_place:  # the engine computes it elsewhere
            problem = "it is an array formula that asks where it stands"
        if problem:
            return Fitted("", problem)
        text = formula.text
        if wide or not shape.as_it_stands:
            text = self._rewritten(self._pieces(text)[0], wide, array=array)
        if not array and (wide or not shape.one_value):
            text = f"@({text})"
        return Fitted(text, anywhere=shape.anywhere)

    def free(self, text: str) -> Fitted:
        """Fit a formula that stands in no cell and refers to none; it may answer any number of cells."""
        shape = self._known_shape(text)
        pieces, _ = self._pieces(text)
        problem = shape.problem or _unknown(shape.names, {}) or _worked_through(pieces, (), array=True)
        if not problem and not {"cell", "rows", "columns"}.isdisjoint(piece.kind for piece in pieces):
            problem = "it refers to cells, and there are none here"
        if problem:
            return Fitted("", problem)
        return Fitted(self._rewritten(pieces, (), array=True), unknown=shape.unknown)

    def _known_shape(self, text: str) -> _Shape:
        key = text if "{" in text else _CELL_OR_NUMBER.sub("A1", text)  # no cell may stand in an array
        if "'" not in text or '"' not in text:  # else one might hold the other
            key = _SHEET.sub("", key) if "!" in key else key
            key = _WORDS.sub('""', key) if '"' in key else key
        if key not in self._shapes:
            self._shapes[key] = self._shape(key)
        return self._shapes[key]

    def _shape(self, key: str) -> _Shape:
        pieces, problem = self._pieces(key)
        functions: set[str] = set()
        names: set[str] = set()
        one_value, own_place, anywhere = True, False, False
        for at, (piece, inside) in enumerate(zip(pieces, _calls(pieces), strict=True)):
            problem = problem or _problem(pieces, at, inside)
            name, following = piece.text.upper(), _text(pieces, at + 1)
            several = piece.text in (":", "{") or piece.kind in ("rows", "columns")
            if piece.kind == "name" and following == "(":
                several = name in self._tables or name in _FROM_NOTHING
                if name not in self._functions:
                    functions.add(name)
                    anywhere = anywhere or name in _ANYWHERE
                if name in ("ROW", "COLUMN") and _text(pieces, at + 2) == ")":
                    own_place = True
            elif piece.kind == "name" and following != "!" and name not in _CONSTANTS:
                names.add(name)
            if piece.text == ":" and not _kind(pieces, at - 1) == _kind(pieces, at + 1) == "cell":
                anywhere = True
            if several and _ONE_VALUE.isdisjoint(inside):
                one_value = False
        if not functions.isdisjoint(_OWN_NAMES):
            names.clear()  # names of its own, which nobody defines
        plain = "".join(piece.text for piece in tokens(key) if piece.kind != "space")
        as_it_stands = self._rewritten(pieces, set(), array=False) == plain
        unknown = tuple(name.removeprefix("_XLFN.") for name in sorted(functions) if not known(name))
        problem = problem or unreadable(key)
        one_by_one = not _ONE_BY_ONE.isdisjoint(functions)
        return _Shape(
            problem, unknown, frozenset(names), anywhere, one_by_one, as_it_stands, one_value, own_place
        )

    def _pieces(self, formula: str) -> tuple[list[Token], str]:
        """Tokens without blanks, calls of ours by their bare names; and a problem with a blank."""
        pieces: list[Token] = []
        problem = ""
        blank = False
        for token in tokens(formula):
            if token.kind == "space":
                blank = True
                continue
            if blank and pieces and _ends_operand(pieces[-1]) and token.kind in _REFERENCES:
                problem = "it uses the cells that two ranges share"
            blank = False
            pieces.append(token)
        return bare_calls(pieces, self._functions), problem

    def _rewritten(self, pieces: list[Token], wide: Collection[str], *, array: bool) -> str:
        """Fill the gaps and, in an ordinary formula, ask for one value where that is meant."""
        calls = _calls(pieces)
        before = [""] * len(pieces)
        for at, (piece, inside) in enumerate(zip(pieces, calls, strict=True)):
            if piece.text in (",", ")") and inside and inside[-1] in self._functions:
                previous = pieces[at - 1].text
                if previous == "," or (previous == "(" and piece.text == ","):
                    before[at] = '""'
        for start, end in () if array else _ranges(pieces, wide):
            if _one_is_meant(pieces, start, end, calls[start]) and _text(pieces, start - 1) != "@":
                before[start] = "@"
        return "".join(filled + piece.text for filled, piece in zip(before, pieces, strict=True))


def _one_is_meant(pieces: list[Token], start: int, end: int, inside: tuple[str, ...]) -> bool:
    """Tell whether an ordinary formula means one cell of a range."""
    beside = not any(inside) or _text(pieces, start - 1) in _OPERATORS or _text(pieces, end) in _OPERATORS
    return beside and _TAKES_ARRAYS.isdisjoint(inside)


def _worked_through(pieces: list[Token], wide: Collection[str], *, array: bool) -> str:
    """Why the engine cannot work out functions of one value that are given several."""
    calls = _calls(pieces)
    several = [
        start
        for start, end in _ranges(pieces, wide)
        if array or not _one_is_meant(pieces, start, end, calls[start])
    ]
    several += [at for at, piece in enumerate(pieces) if piece.text == "{"]
    for at in several:
        for function in reversed(calls[at]):
            if function in _ONE_BY_ONE:
                return f"it works through several values with {function}, which cannot be done here"
            if function not in _HANDS_ON and function != "{":
                break
    return ""


def _calls(pieces: list[Token]) -> list[tuple[str, ...]]:
    """List the functions each token stands in, outermost first; "" is a bare bracket, "{" an array."""
    inside: tuple[str, ...] = ()
    found: list[tuple[str, ...]] = []
    for at, piece in enumerate(pieces):
        if piece.text == "(":
            called = at and pieces[at - 1].kind == "name"
            inside = (*inside, pieces[at - 1].text.upper() if called else "")
        elif piece.text == "{":
            inside = (*inside, "{")
        found.append(inside)
        if piece.text in (")", "}"):
            inside = inside[:-1]
    return found


def _ranges(pieces: list[Token], wide: Collection[str]) -> Iterator[tuple[int, int]]:
    """Where ranges, and names that mean one, stand: the first token and the one after the last."""
    for at, piece in enumerate(pieces):
        if piece.text == ":":
            if at and pieces[at - 1].kind == "cell" and _text(pieces, at + 2) != "(":
                end = at + 4 if _text(pieces, at + 2) == "!" else at + 2
                yield _with_sheet(pieces, at - 1), end
        elif piece.kind in ("rows", "columns"):
            yield _with_sheet(pieces, at), at + 1
        elif piece.kind == "name" and piece.text.upper() in wide and _text(pieces, at + 1) not in ("(", "!"):
            yield at, at + 1


def _with_sheet(pieces: list[Token], at: int) -> int:
    return at - 2 if _text(pieces, at - 1) == "!" else at


def _text(pieces: list[Token], at: int) -> str:
    return pieces[at].text if 0 <= at < len(pieces) else ""


def _kind(pieces: list[Token], at: int) -> str:
    return pieces[at].kind if 0 <= at < len(pieces) else ""


def _ends_operand(piece: Token) -> bool:
    return piece.kind in _REFERENCES or piece.text == ")"


def _problem(pieces: list[Token], at: int, inside: tuple[str, ...]) -> str:
    """Why the engine cannot work out a formula with this token."""
    piece, previous, following = pieces[at], pieces[at - 1] if at else None, _text(pieces, at + 1)
    if piece.kind == "quoted" and "[" in piece.text:
        return "it refers to another workbook"
    if piece.kind == "brackets":
        of_table = (previous is not None and previous.kind == "name") or not (
            following and at + 1 < len(pieces)
        )
        return "it names a column of a table" if of_table else "it refers to another workbook"
    if piece.text == "#":
        return "it uses whatever another formula fills"
    if piece.text == "," and (not inside or inside[-1] == ""):
        return "it joins several ranges"
    if piece.text == "!" and _text(pieces, at - 2) == ":" and at > 2 and pieces[at - 3].kind == "name":
        return "it uses a range across several sheets"
    if piece.kind == "name" and _text(pieces, at - 1) == "!":
        return "it uses a name of one sheet"
    return ""


def _unknown(used: Collection[str], names: Mapping[str, Area | None]) -> str:
    for name in sorted(used):
        if name not in names:
            return f"it uses the name {name.lower()}, which stands for nothing that is known here"
    return ""


@cache
def _probe() -> Any:
    workbook = formualizer.Workbook()
    workbook.add_sheet("Probe")
    return workbook


@cache
def known(function: str) -> bool:
    """Tell whether the engine has a function of this name."""
    probe = _probe()
    probe.set_formula("Probe", 1, 1, f"={function}()")
    answer = probe.evaluate_cell("Probe", 1, 1)
    return not (isinstance(answer, dict) and answer["kind"] == "Name")


def unreadable(formula: str) -> str:
    """Say why the engine cannot read a formula, "" if it can."""
    try:
        formualizer.parse(f"={formula}")
    except (formualizer.ParserError, formualizer.TokenizerError) as problem:
        found = re.match(r"ParserError at position \d+: ([A-Z][^:\[({]*)$", str(problem))
        return "it cannot be read" + (f": {found[1].lower()}" if found else "")
    return ""
