"""The text of a formula: its tokens, its references, and copies of it moved to another cell.

A formula is read as it stands in the file (ISO/IEC 29500-1, 18.17), without the leading equals sign.
"""

import re
from collections.abc import Collection, Iterable, Iterator
from functools import cache, lru_cache
from typing import NamedTuple

LAST_ROW = 2**20
LAST_COLUMN = 2**14  # XFD

_TOKEN = re.compile(
    r"""
    (?P<text>"(?:[^"]|"")*")
  | (?P<quoted>'(?:[^']|'')*')
  | (?P<error>\#(?:NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A|GETTING_DATA|SPILL!|CALC!))
  | (?P<rows>\$?\d{1,7}:\$?\d{1,7}(?![\w.(!]))
  | (?P<columns>\$?[A-Za-z]{1,3}:\$?[A-Za-z]{1,3}(?![\w.(!$]))
  | (?P<cell>\$?[A-Za-z]{1,3}\$?\d{1,7}(?![\w.(!]))
  | (?P<number>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)
  | (?P<name>[^\W\d][\w.?\\]*|\\[\w.?\\]*)
  | (?P<space>\s+)
  | (?P<sign><=|>=|<>|.)
    """,
    re.VERBOSE | re.DOTALL,
)
_CELL = re.compile(r"(\$?)([A-Za-z]{1,3})(\$?)(\d{1,7})")
_END = re.compile(r"(\$?)([A-Za-z]+|\d+)")
_AREA = re.compile(r"\$?([A-Za-z]{1,3})\$?(\d{1,7})(?::\$?([A-Za-z]{1,3})\$?(\d{1,7}))?")
_ON_SHEET = re.compile(r"(?:'((?:[^']|'')+)'|([^\W\d][\w.]*))!([^!]+)")
_ABSOLUTE = re.compile(r"\$[A-Z]{1,3}\$\d{1,7}(?::\$[A-Z]{1,3}\$\d{1,7})?")


class Token(NamedTuple):
    """A piece of a formula.

    `kind` is one of text, quoted (a sheet name), error, rows, columns, cell, number, name (a function's too),
    brackets (of a table or another workbook), space, sign.
    """

    kind: str
    text: str


class Area(NamedTuple):
    """Cells of one sheet, rows and columns counted from 1, both ends included."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    def __str__(self) -> str:
        bare = re.fullmatch(r"[^\W\d]\w*", self.sheet) and not _CELL.fullmatch(self.sheet)
        sheet = self.sheet if bare else "'" + self.sheet.replace("'", "''") + "'"
        last = "" if self.size == 1 else f":{address(self.bottom, self.right)}"
        return f"{sheet}!{address(self.top, self.left)}{last}"

    @property
    def size(self) -> int:
        """Number of cells."""
        return (self.bottom - self.top + 1) * (self.right - self.left + 1)

    def rows(self) -> Iterator[list[tuple[int, int]]]:
        """Row and column of every cell, row by row."""
        for row in range(self.top, self.bottom + 1):
            yield [(row, column) for column in range(self.left, self.right + 1)]


@cache
def letters(column: int) -> str:
    """Letters of a column: 28 is AB."""
    before, last = divmod(column - 1, 26)
    return (letters(before) if before else "") + chr(65 + last)


@cache
def column_number(name: str) -> int:
    """Count a column from its letters: AB is 28; ValueError if they are none."""
    number = 0
    for letter in name.upper():
        if not "A" <= letter <= "Z":
            raise ValueError(name)
        number = number * 26 + ord(letter) - 64
    return number


def address(row: int, column: int) -> str:
    """Address of a cell: row 4 and column 2 is B4."""
    return f"{letters(column)}{row}"


def area(sheet: str, reference: str) -> Area | None:
    """Cells that a reference such as ``B4`` or ``$B$4:$C$9`` means; None if it is not one."""
    found = _AREA.fullmatch(reference)
    if not found:
        return None
    left, top = column_number(found[1]), int(found[2])
    right, bottom = (column_number(found[3]), int(found[4])) if found[3] else (left, top)
    top, bottom = sorted((top, bottom))
    left, right = sorted((left, right))
    return (
        Area(sheet, top, left, bottom, right) if top and bottom <= LAST_ROW and right <= LAST_COLUMN else None
    )


def on_sheet(reference: str) -> Area | None:
    """Cells that a reference with its sheet means, such as ``Boards!B4``; None if it is not one.

    Examples
    --------
    >>> str(on_sheet("'Order form'!$B$4:$C$9"))
    "'Order form'!B4:C9"
    """
    found = _ON_SHEET.fullmatch(reference)
    return area(found[1].replace("''", "'") if found[1] else found[2], found[3]) if found else None


def named_area(definition: str) -> Area | None:
    """Cells that a defined name means if it is a plain one: a sheet and absolute references."""
    definition = definition.strip()
    plain = _ABSOLUTE.fullmatch(definition.rpartition("!")[2])
    return on_sheet(definition) if plain else None


def tokens(formula: str) -> list[Token]:
    """Cut a formula into its tokens; joined, they are the formula again."""
    return [*_tokens(formula)]


@lru_cache(maxsize=20_000)  # of a workbook each formula is read several times
def _tokens(formula: str) -> tuple[Token, ...]:
    found: list[Token] = []
    at = 0
    while at < len(formula):
        if formula[at] == "[":
            piece = Token("brackets", formula[at : _closing(formula, at)])
        else:
            match = _TOKEN.match(formula, at)
            assert match is not None  # its last choice takes anything
            assert match.lastgroup is not None
            piece = Token(match.lastgroup, match[0])
            if piece.kind == "cell" and not _on_a_sheet(piece.text):  # beyond the last row or column
                piece = Token("name", piece.text)
        found.append(piece)
        at += len(piece.text)
    return tuple(found)


@cache
def _on_a_sheet(cell: str) -> bool:
    return area("", cell) is not None


def _closing(formula: str, at: int) -> int:
    """Place after the bracket that closes the one at `at`; an apostrophe takes the next sign literally."""
    depth = 0
    while at < len(formula):
        sign = formula[at]
        at += 2 if sign == "'" else 1
        depth += (sign == "[") - (sign == "]")
        if depth == 0:
            return at
    return len(formula)


def bare_calls(found: Iterable[Token], names: Collection[str]) -> list[Token]:
    r"""Call functions by their bare names in upper case: what programs put before one on saving comes off.

    That is the add-in that a function came from, as a path or as the number of a link, and a prefix that
    ends in a dot.

    Parameters
    ----------
    found : iterable of Token
        A formula.
    names : collection of str
        Functions, in upper case; all others stay as they are.

    Examples
    --------
    >>> formula = r"2*[1]!Ours(A1)+'C:\my\more.xlam'!_xll.OURS(2)+[2]Job!A1"
    >>> "".join(token.text for token in bare_calls(tokens(formula), {"OURS"}))
    '2*OURS(A1)+OURS(2)+[2]Job!A1'
    """
    out: list[Token] = []
    for token in found:
        if token.text == "(" and out and out[-1].kind == "name":
            name = out[-1].text.rpartition(".")[2].upper()
            if name in names:
                del out[_start_of_call(out) :]
                out.append(Token("name", name))
        out.append(token)
    return out


def _start_of_call(found: list[Token]) -> int:
    """Place of the last name together with the workbook and the sheet that it is said to be in."""
    at = len(found) - 1
    if at and found[at - 1].text == "!":
        at -= 2
        if at > 0 and found[at].kind != "brackets" and found[at - 1].kind == "brackets":
            at -= 1
    return max(at, 0)


def moved(formula: str, rows: int, columns: int) -> str:
    """Copy a formula for a cell so many rows and columns further: relative references move along."""
    return "".join(_moved(token, rows, columns) for token in tokens(formula))


def _moved(token: Token, rows: int, columns: int) -> str:
    if token.kind == "cell":
        pieces = _CELL.fullmatch(token.text)
        assert pieces is not None
        column = pieces[2] if pieces[1] else _moved_column(pieces[2], columns)
        row = pieces[4] if pieces[3] else _moved_row(pieces[4], rows)
        return f"{pieces[1]}{column}{pieces[3]}{row}" if row and column else "#REF!"
    if token.kind in ("rows", "columns"):
        ends = [(found[1], found[2]) for found in _END.finditer(token.text)]
        shift = _moved_row if token.kind == "rows" else _moved_column
        by = rows if token.kind == "rows" else columns
        kept = [(dollar, end if dollar else shift(end, by)) for dollar, end in ends]
        return ":".join(dollar + end for dollar, end in kept) if all(end for _, end in kept) else "#REF!"
    return token.text


def _moved_row(row: str, by: int) -> str:
    """Row moved, "" beyond the sheet."""
    moved_to = int(row) + by
    return str(moved_to) if 1 <= moved_to <= LAST_ROW else ""


def _moved_column(column: str, by: int) -> str:
    """Column moved, "" beyond the sheet."""
    moved_to = column_number(column) + by
    return letters(moved_to) if 1 <= moved_to <= LAST_COLUMN else ""
