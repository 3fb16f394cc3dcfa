"""Formulas as declared, written as the file holds them: references, guards, units of our calls."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from openpyxl.utils import get_column_letter

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.workbooks.declare import Item

_TOKEN = re.compile(
    r"""
    (?P<text>"(?:[^"]|"")*")
  | (?P<reference>\{[^{}]*\})
  | (?P<call>[A-Za-z_][\w.]*)\(
  | (?P<number>\d+(?:\.\d*)?)
  | (?P<word>[A-Za-z_$'][\w.$!:\[\]']*)
  | (?P<mark><>|<=|>=|\S)
  | (?P<space>\s+)
    """,
    re.VERBOSE,
)
_REFERENCE = re.compile(
    r"\{(?P<handle>[a-z][a-z0-9_]*)(?:\.(?P<part>[a-z0-9_]+))?(?P<reach>:|\[\])?(?P<mark>[?!@])?\}"
)
WORDS_IN_METRIC = {"FEET_INCHES": "METRE_WORDS", "INCH_FRACTION": "MILLIMETRE_WORDS"}
"""What words a length in a metric workbook, where the declaration asks for feet and inches."""

_COUNT_CELLS = {"ROWS", "COLUMNS"}  # these look at no value, so what they count needs no guard


@dataclass(frozen=True, slots=True)
class Cells:
    """A rectangle of cells on one sheet; rows and columns count from 1."""

    sheet: str
    row: int
    column: int
    rows: int = 1
    columns: int = 1

    @property
    def single(self) -> bool:
        """One cell."""
        return self.rows == self.columns == 1

    def part(self, row: int, rows: int, column: int, columns: int) -> "Cells":
        """Give a rectangle within this one, from its place within."""
        return Cells(self.sheet, self.row + row, self.column + column, rows, columns)

    def __iter__(self) -> Iterator[tuple[str, int, int]]:
        for row in range(self.row, self.row + self.rows):
            for column in range(self.column, self.column + self.columns):
                yield self.sheet, row, column

    def address(
        self, sheet: str = "", *, row_fixed: bool = True, column_fixed: bool = True, span: bool = False
    ) -> str:
        """Write the address, as seen from `sheet`; `span` writes a single cell as a range too."""
        across, down = "$" * column_fixed, "$" * row_fixed
        last = self.row + self.rows - 1, self.column + self.columns - 1
        corners = [
            f"{across}{get_column_letter(column)}{down}{row}"
            for row, column in ((self.row, self.column), last)
        ]
        where = "" if sheet == self.sheet else f"{quoted(self.sheet)}!"
        return where + (corners[0] if self.single and not span else ":".join(corners))

    @property
    def area(self) -> str:
        """The address on its own sheet, without the signs that fix it."""
        return self.address(self.sheet, row_fixed=False, column_fixed=False)


def quoted(sheet: str) -> str:
    """Write a sheet's name as formulas hold it."""
    if re.fullmatch(r"(?!(?:r|c|rc|true|false)$)[A-Za-z]+", sheet, re.IGNORECASE):
        return sheet
    return "'" + sheet.replace("'", "''") + "'"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a handle stands.

    Parameters
    ----------
    cells : Cells
        All its cells: what the defined name covers.
    item : Item, optional
        None for a whole block.
    used : Cells, optional
        The "used" cell of an entry with a default.
    given : Cells, optional
        The cell of the default.
    lineage : mapping of str to int
        Handles of the tables whose rows these are, with the rows taken here for each of theirs; empty for a
        line.
    named : mapping of str to (int, int)
        First row and number of rows of each named row, counted within the cells from 0.
    never_blank : bool
        Needs no guard.
    """

    cells: Cells
    item: Item | None = None
    used: Cells | None = None
    given: Cells | None = None
    lineage: Mapping[str, int] = field(default_factory=dict[str, int])
    named: Mapping[str, tuple[int, int]] = field(default_factory=dict[str, tuple[int, int]])
    never_blank: bool = False


@dataclass(frozen=True, slots=True)
class Here:
    """Where a formula stands: sheet, row of each table that it is aligned with, and place within its item."""

    sheet: str
    rows: Mapping[str, int] = field(default_factory=dict[str, int])
    n: int = 0
    j: int = 0
    cells: int = 1


@dataclass(frozen=True, slots=True)
class Reference:
    """One reference of a formula, found: which cells, written how, and how the formula reads it."""

    place: Place
    cells: Cells
    address: str
    whole: bool
    mark: str
    inside: str  # the function whose argument it is; "" outside of any
    alone: bool  # it is that whole argument, or the whole formula
    compared: bool  # it is compared with ""

    @property
    def guard(self) -> str:
        """What tells that there is nothing to work with; "" where blank is an answer."""
        if self.whole or self.mark or self.place.never_blank or self.inside in _COUNT_CELLS:
            return ""
        if self.cells.single:
            return f'{self.address}=""'
        sizes = {"ROWS": self.cells.rows, "COLUMNS": self.cells.columns}
        size = "*".join(f"{name}({self.address})" for name, count in sizes.items() if count > 1)
        return f"COUNTBLANK({self.address})={size}"  # an error among them is not blank, so it comes through


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula as the file holds it, before its guard, and what was found in it."""

    body: str
    references: tuple[Reference, ...]
    calls: tuple[str, ...]
    ifs: int  # deepest nesting of IF
    words: tuple[str, ...]  # bare words and signs of names, addresses, unions: what a reference stands in for

    def text(self, *, guarded: bool = True) -> str:
        """Write it out; a guarded one is blank while a cell that it needs is blank."""
        guards = list(dict.fromkeys(found.guard for found in self.references if found.guard))
        if not guarded or not guards:
            return f"={self.body}"
        test = guards[0] if len(guards) == 1 else f"OR({','.join(guards)})"
        return f'=IF({test},"",{self.body})'


def formula(template: str, here: Here, places: Mapping[str, Place], system: str) -> Formula:
    """Write a declared formula for one cell.

    Parameters
    ----------
    template : str
        As declared, beginning with "=".
    here : Here
        Where it stands.
    places : mapping of str to Place
        Where all handles stand.
    system : str
        "us" or "metric": what our calls are told of their units.

    Raises
    ------
    ValueError
        A reference leads nowhere, or a bracket is open.
    """
    writer = _Writer(template, here, places, system)
    for token in _tokens(template):
        writer.take(*token)
    if writer.open_calls:
        raise ValueError(f"{template}: a bracket stays open")
    return Formula(
        "".join(writer.written),
        tuple(writer.references),
        tuple(writer.calls),
        writer.ifs,
        tuple(writer.words),
    )


class _Token(NamedTuple):
    kind: str | None
    text: str
    before: str
    after: tuple[str, str]


@cache  # most formulas are those of a column, declared once and written for every row
def _tokens(template: str) -> tuple[_Token, ...]:
    found = [one for one in _TOKEN.finditer(template.removeprefix("=")) if one.lastgroup != "space"]
    shown = ["", *(one[0] for one in found), "", ""]
    return tuple(
        _Token(one.lastgroup, one[0], shown[at], (shown[at + 2], shown[at + 3]))
        for at, one in enumerate(found)
    )


@dataclass(slots=True)
class _Writer:
    """Writes one formula, token by token."""

    template: str
    here: Here
    places: Mapping[str, Place]
    system: str
    written: list[str] = field(default_factory=list[str])
    references: list[Reference] = field(default_factory=list[Reference])
    calls: list[str] = field(default_factory=list[str])
    words: list[str] = field(default_factory=list[str])
    open_calls: list[str] = field(default_factory=list[str])  # "" for a bracket that is no call
    ifs: int = 0

    def take(self, kind: str | None, token: str, before: str, after: tuple[str, str]) -> None:
        """Write one token, from what stands before and after it."""
        inside = self.open_calls[-1] if self.open_calls else ""
        match kind, token:
            case "call", _:
                name = token.removesuffix("(").upper()
                if self.system == "metric":
                    name = WORDS_IN_METRIC.get(name, name)
                self.open_calls.append(name)
                self.calls.append(name)
                self.ifs = max(self.ifs, self.open_calls.count("IF"))
                token = f"{name}("
            case _, "(":
                self.open_calls.append("")
            case _, "," | ")":
                no_arguments = token == ")" and before.endswith("(")
                if before[-1:] in ("(", ",") and inside in REGISTRY and not no_arguments:
                    self.written.append('""')  # left out in the middle: not every host can tell that from 0
                if token == "," and not inside:
                    self.words.append(token)
                if token == ")":
                    if not self.open_calls:
                        raise ValueError(f"{self.template}: a bracket closes that was never opened")
                    self.open_calls.pop()
                    self.written.append(self._units(inside, no_arguments))
            case "reference", "{n}" | "{j}":
                token = str(self.here.n if token == "{n}" else self.here.j)
            case "reference", _:
                alone = before[-1:] in ("(", ",", "") and after[0] in (",", ")", "")
                reference = self._refer(token, inside, alone, after in (("=", '""'), ("<>", '""')))
                self.references.append(reference)
                token = reference.address
            case ("word", _) | ("mark", "[" | "]" | "@" | "#"):
                self.words.append(token)
            case _:
                pass
        self.written.append(token)

    def _units(self, name: str, no_arguments: bool) -> str:
        # What a call of ours says of its units; a function that hands its arguments on hands them on too.
        function = REGISTRY.get(name)
        if self.system == "us" or not function or not (function.has_units or function.takes_rest):
            return ""
        return f'{"" if no_arguments else ","}"{self.system}"'

    def _refer(self, token: str, inside: str, alone: bool, compared: bool) -> Reference:
        found = _REFERENCE.fullmatch(token)
        if not found:
            raise self._refusal(token, "is no reference")
        part, reach, mark = (found[name] or "" for name in ("part", "reach", "mark"))
        place = self.places.get(found["handle"])
        if not place:
            raise self._refusal(token, "leads nowhere")
        cells = place.used if place.used and mark != "!" else place.cells
        if mark == "@":
            if not place.given:
                raise self._refusal(token, "has no default")
            cells = place.given
        whole = reach == "[]"
        row, rows, row_fixed = (0, cells.rows, True) if whole else self._rows(token, place, part)
        column, columns, column_fixed = 0, cells.columns, True
        if part and not place.lineage:
            if not part.isdecimal() or not 1 <= int(part) <= columns:
                raise self._refusal(token, "is no cell of its line")
            column, columns = int(part) - 1, 1
        elif not reach and place.item and columns == self.here.cells > 1:
            column, columns, column_fixed = self.here.j - 1, 1, False
        target = cells.part(row, rows, column, columns)
        address = target.address(
            self.here.sheet,
            row_fixed=row_fixed,
            column_fixed=column_fixed,
            # an empty cell by itself arrives as 0 in some hosts; in a range it stays empty
            span=bool(mark) and alone and inside in REGISTRY,
        )
        return Reference(place, target, address, whole, mark, inside, alone, compared)

    def _rows(self, token: str, place: Place, part: str) -> tuple[int, int, bool]:
        # First row within the place, number of rows, and whether the row is fixed.
        if not place.lineage:
            return 0, place.cells.rows, True
        if part in place.named:
            return *place.named[part], True
        if part:
            if not part.isdecimal() or not 1 <= int(part) <= place.cells.rows:
                raise self._refusal(token, "is no row of its table")
            return int(part) - 1, 1, True
        shared = [table for table in place.lineage if table in self.here.rows]
        if not shared:
            raise self._refusal(token, "has other rows: say which, or [] for the whole column")
        table = min(shared, key=place.lineage.__getitem__)
        rows = place.lineage[table]
        return (self.here.rows[table] - 1) * rows, rows, rows > 1

    def _refusal(self, token: str, why: str) -> ValueError:
        return ValueError(f"{self.template}: {token} {why}")
