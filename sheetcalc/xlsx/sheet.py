"""One sheet: its cells as they stand in the XML, and new values put there as edits of the text."""

import re
from bisect import bisect_right
from functools import cached_property
from typing import Any, NamedTuple

from sheetcalc.cells.values import Cell
from sheetcalc.xlsx.cells import read, written, xml_text
from sheetcalc.xlsx.formulas import Area, address, area, column_number, moved
from sheetcalc.xlsx.package import FileProblem, new_parser, read_xml
from sheetcalc.xlsx.rules import Rule, read_rules

Place = tuple[int, int]
"""Row and column, from 1."""

_TAG = re.compile(rb"<([^\s/>]+)((?:\s+[^\s=>]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*)\s*(/?)>")
_TYPE = re.compile(rb"\s+(?:t|vm)\s*=\s*(?:\"[^\"]*\"|'[^']*')")
_DYNAMIC = re.compile(rb"\s+cm\s*=\s*(?:\"[^\"]*\"|'[^']*')")
_STYLE = re.compile(rb"\s+s\s*=\s*(?:\"[^\"]*\"|'[^']*')")
_SPANS = re.compile(rb"\s+spans\s*=\s*(?:\"[^\"]*\"|'[^']*')")
_EXTENT = re.compile(rb"<[^\s/>]+\s+ref\s*=\s*[\"']([A-Z0-9:]+)")
_KNOWN = ("c", "v", "f", "t", "row", "rPh", "sheetData", "col", "dimension")


MOST_MEMBERS = 200_000


class Formula(NamedTuple):
    """A formula of a cell.

    `text` has no equals sign; copies of a shared formula are written out. `cells` is what an array formula
    fills, None for an ordinary one.
    """

    text: str
    cells: Area | None = None


class Stored(NamedTuple):
    """One cell element; `start` and `end` are where its first tag and its end tag stand in the part."""

    start: int
    end: int
    style: int
    kind: str
    text: str | None
    formula_at: tuple[int, int] | None


class _Row(NamedTuple):
    start: int
    end: int
    style: int


class Sheet:
    """Cells of one sheet.

    Parameters
    ----------
    title : str
        Its name.
    part : str
        The part that holds it.
    data : bytes
        That part's bytes.
    strings : list of str
        The workbook's shared strings.
    date_1904 : bool
        Dates count from 1904.
    where : str
        Beginning of a sentence about damage.
    """

    def __init__(
        self, title: str, part: str, data: bytes, strings: list[str], date_1904: bool, where: str
    ) -> None:
        self.title = title
        self.part = part
        self.formulas: dict[Place, Formula] = {}
        self.members: dict[Place, Place] = {}  # of array formulas and data tables: where the formula stands
        self._data = data
        self._strings = strings
        self._date_1904 = date_1904
        self._where = where
        self._cells: dict[Place, Stored] = {}
        self._rows: dict[int, _Row] = {}
        self._column_styles: list[tuple[int, int, int]] = []
        self._sheet_data = (0, 0)
        self._dimension: int | None = None
        self._prefix = ""
        self._new: dict[Place, tuple[Cell, bool]] = {}
        self._replaced: dict[Place, tuple[str, int | None]] = {}  # formula and style
        self._read()

    def places(self) -> list[Place]:
        """Places of all cells, in the order of the file."""
        return list(self._cells)

    def value(self, row: int, column: int) -> Cell:
        """Value of a cell as stored, or as put there since."""
        if (row, column) in self._new:
            return self._new[row, column][0]
        stored = self._cells.get((row, column))
        return None if stored is None else self._stored_value(row, column, stored)

    def style(self, row: int, column: int) -> int:
        """Index of a cell's style, which for an absent cell is its row's or its column's."""
        if stored := self._cells.get((row, column)):
            return stored.style
        if (found := self._rows.get(row)) and found.style:
            return found.style
        return next((style for first, last, style in self._column_styles if first <= column <= last), 0)

    def computed(self, row: int, column: int) -> bool:
        """Tell whether a cell is a result."""
        return (row, column) in self.formulas or (row, column) in self.members

    @cached_property
    def rules(self) -> list[Rule]:
        """What its entries may hold."""
        return read_rules(self.title, self._data, self._where)

    def put(self, row: int, column: int, value: Cell) -> None:
        """Enter a value as if typed: text stays text, also if it begins with =; None empties the cell.

        Raises
        ------
        FileProblem
            The cell holds a formula or belongs to one.
        """
        if self.computed(row, column):
            raise FileProblem(f"{self.title}!{address(row, column)} is a result, not an entry.")
        self._change(row, column, value, entry=True)

    def show(self, row: int, column: int, value: Cell) -> None:
        """Store what the formula of a cell comes to."""
        self._change(row, column, value, entry=False)

    def replace(
        self, row: int, column: int, value: Cell, *, formula: str = "", style: int | None = None
    ) -> None:
        """Put another formula, or a value alone, in the place of whatever a cell holds.

        Parameters
        ----------
        row, column : int
            The cell.
        value : Cell
            What it shows.
        formula : str, optional
            Without its equals sign.
        style : int, optional
            Index of its style; as before if not given.
        """
        self._replaced[row, column] = formula, style
        self._new[row, column] = value, not formula

    def _change(self, row: int, column: int, value: Cell, *, entry: bool) -> None:
        self._new.pop((row, column), None)
        now = self.value(row, column)
        if type(now) is not type(value) or now != value:
            self._new[row, column] = (value, entry)

    def _stored_value(self, row: int, column: int, stored: Stored) -> Cell:
        try:
            return read(stored.kind, stored.text, self._strings, self._date_1904)
        except ValueError as problem:
            raise FileProblem(f"{self._where} holds no proper value in {address(row, column)}.") from problem

    def _read(self) -> None:
        """Read the part: one pass, places counted in bytes."""
        parser = new_parser()
        names: dict[str, str] = {}  # element names with the prefix of this part
        buffer: list[str] = []
        row = column = 0
        row_start = row_style = start = style = data_start = formula_start = phonetic = 0
        kind = ""
        content: str | None = None
        formula: str | None = None
        formula_at: tuple[int, int] | None = None
        formula_is: dict[str, str] = {}
        shared: dict[str, tuple[int, int, str]] = {}

        def begin(tag: str, attributes: dict[str, str]) -> None:
            nonlocal row, column, row_start, row_style, start, style, kind, content, formula, formula_at
            nonlocal formula_is, formula_start, data_start, phonetic
            name = names.get(tag)
            if name == "c":
                start = parser.CurrentByteIndex
                letters = attributes.get("r", "").rstrip("0123456789")
                column = column_number(letters) if letters else column + 1
                style = int(attributes.get("s", 0))
                kind = attributes.get("t", "n")
                content = formula = formula_at = None
            elif name == "v":
                buffer.clear()
                parser.CharacterDataHandler = buffer.append
            elif name == "f":
                buffer.clear()
                parser.CharacterDataHandler = buffer.append
                formula_is = attributes
                formula_start = parser.CurrentByteIndex
            elif name == "t":
                if not phonetic:
                    buffer.clear()
                    parser.CharacterDataHandler = buffer.append
            elif name == "row":
                row = int(attributes.get("r", row + 1))
                column = 0
                row_start = parser.CurrentByteIndex
                row_style = int(attributes.get("s", 0))
            elif name == "rPh":
                phonetic += 1
            elif name == "sheetData":
                data_start = parser.CurrentByteIndex
            elif name == "col":
                first, last, look = (int(attributes.get(key, 0)) for key in ("min", "max", "style"))
                self._column_styles.append((first, last, look))
            elif name == "dimension":
                self._dimension = parser.CurrentByteIndex
            elif not names:
                self._prefix = tag.removesuffix("worksheet")
                names.update({self._prefix + known: known for known in _KNOWN})

        def finish(tag: str) -> None:
            nonlocal content, formula, formula_at, phonetic
            name = names.get(tag)
            if name == "v":
                parser.CharacterDataHandler = None
                content = "".join(buffer)
            elif name == "c":
                place = (row, column)
                self._cells[place] = Stored(start, parser.CurrentByteIndex, style, kind, content, formula_at)
                if formula is not None:
                    self._add_formula(row, column, formula, formula_is, shared)
            elif name == "f":
                parser.CharacterDataHandler = None
                formula = "".join(buffer)
                formula_at = (formula_start, parser.CurrentByteIndex)
            elif name == "t":
                if not phonetic:
                    parser.CharacterDataHandler = None
                    content = (content or "") + "".join(buffer)
            elif name == "row":
                self._rows[row] = _Row(row_start, parser.CurrentByteIndex, row_style)
            elif name == "rPh":
                phonetic -= 1
            elif name == "sheetData":
                self._sheet_data = (data_start, parser.CurrentByteIndex)
                parser.StartElementHandler = parser.EndElementHandler = (
                    None  # nothing after it is of interest
                )

        try:
            read_xml(self._data, self._where, begin, finish, None, parser)
        except ValueError as problem:
            raise FileProblem(f"{self._where} holds no proper number where one must stand.") from problem
        if self._sheet_data == (0, 0):
            raise FileProblem(f"{self._where} holds no cells at all.")

    def render(self) -> bytes:
        r"""Return the part with what was put there; all else stays byte for byte.

        Examples
        --------
        >>> part = b'<worksheet><sheetData><row r="2"><c r="B2" s="4"/></row></sheetData></worksheet>'
        >>> sheet = Sheet("Job", "sheet1.xml", part, [], False, "The sheet")
        >>> sheet.put(2, 2, 120.0)
        >>> sheet.put(2, 3, "=3")
        >>> print(sheet.render().decode().replace("<c", "\n<c"))
        <worksheet><sheetData><row r="2">
        <c r="B2" s="4"><v>120</v></c>
        <c r="C2" t="inlineStr"><is><t>=3</t></is></c></row></sheetData></worksheet>
        """
        edits: list[tuple[int, int, bytes]] = []
        absent: dict[int, list[int]] = {}
        for (row, column), (value, entry) in self._new.items():
            if (row, column) in self._cells:
                edits.append(self._changed((row, column), value, entry))
            else:
                absent.setdefault(row, []).append(column)
        if absent:
            edits += self._inserted({row: sorted(absent[row]) for row in sorted(absent)})
            edits += self._widened(absent)
        return self._edited(edits)

    def values_alone(self) -> bytes:
        r"""Return the part as it was read, without its formulas: their stored values alone.

        Examples
        --------
        >>> part = b'<worksheet><sheetData><c><f>1+2</f><v>3</v></c></sheetData></worksheet>'
        >>> Sheet("Job", "sheet1.xml", part, [], False, "The sheet").values_alone()
        b'<worksheet><sheetData><c><v>3</v></c></sheetData></worksheet>'
        """
        formulas = (stored.formula_at for stored in self._cells.values() if stored.formula_at)
        return self._edited([(start, self._end(start, end), b"") for start, end in formulas])

    def _edited(self, edits: list[tuple[int, int, bytes]]) -> bytes:
        out: list[bytes] = []
        at = 0
        for start, end, text in sorted(edits, key=lambda edit: edit[:2]):
            out += (self._data[at:start], text)
            at = end
        return b"".join((*out, self._data[at:]))

    def _changed(self, place: Place, value: Cell, entry: bool) -> tuple[int, int, bytes]:
        """Edit that gives an existing cell a value; its formula stays byte for byte unless replaced."""
        stored = self._cells[place]
        attributes, _ = self._tag(stored.start)
        formula = b""
        if place in self._replaced:
            formula = self._formula(place)
            attributes = _DYNAMIC.sub(b"", attributes)
            style = self._replaced[place][1]
            if style is not None:
                attributes = _STYLE.sub(b"", attributes) + f' s="{style}"'.encode()
        elif stored.formula_at is not None:
            formula = self._data[stored.formula_at[0] : self._end(*stored.formula_at)]
        extra_at = self._data.find(f"<{self._prefix}extLst".encode(), stored.start, stored.end)
        extra = self._data[extra_at : stored.end] if extra_at >= 0 else b""
        kind, content = written(value, self._prefix, entry=entry)
        text = self._element("c", _TYPE.sub(b"", attributes), kind, formula + content.encode() + extra)
        return stored.start, self._end(stored.start, stored.end), text

    def _inserted(self, absent: dict[int, list[int]]) -> list[tuple[int, int, bytes]]:
        """Edits that add cells, and rows where those are not there either; both in their order."""
        there: dict[int, list[int]] = {row: [] for row in sorted(self._rows)}
        for row, column in sorted(self._cells):
            there[row].append(column)
        rows = list(there)
        edits: list[tuple[int, int, bytes]] = []
        last_rows = b""
        for row, columns in absent.items():
            if row in there:
                edits += self._inserted_into(row, columns, there[row])
                continue
            cells = b"".join(self._new_cell(row, column) for column in columns)
            text = self._element("row", f' r="{row}"'.encode(), "", cells)
            place = bisect_right(rows, row)
            if place == len(rows):
                last_rows += text
            else:
                at = self._rows[rows[place]].start
                edits.append((at, at, text))
        return edits + self._appended("sheetData", *self._sheet_data, last_rows)

    def _inserted_into(self, row: int, columns: list[int], there: list[int]) -> list[tuple[int, int, bytes]]:
        edits: list[tuple[int, int, bytes]] = []
        last = b""
        for column in columns:
            place = bisect_right(there, column)
            if place == len(there):
                last += self._new_cell(row, column)
            else:
                at = self._cells[row, there[place]].start
                edits.append((at, at, self._new_cell(row, column)))
        return edits + self._appended("row", self._rows[row].start, self._rows[row].end, last)

    def _new_cell(self, row: int, column: int) -> bytes:
        value, entry = self._new[row, column]
        kind, content = written(value, self._prefix, entry=entry)
        style = self._replaced.get((row, column), ("", None))[1]
        style = self.style(row, column) if style is None else style
        attributes = f' r="{address(row, column)}"' + (f' s="{style}"' if style else "")
        inside = self._formula((row, column)) + content.encode()
        return self._element("c", attributes.encode(), kind, inside)

    def _formula(self, place: Place) -> bytes:
        """Element of a formula that was put there."""
        text, _ = self._replaced.get(place, ("", None))
        return self._element("f", b"", "", xml_text(text).encode()) if text else b""

    def _appended(self, name: str, start: int, end: int, text: bytes) -> list[tuple[int, int, bytes]]:
        """Edits that add text at the end of an element and take off the columns that a row says it spans."""
        attributes, bare = self._tag(start)
        kept = _SPANS.sub(b"", attributes)
        if bare:
            return [(start, end, self._element(name, kept, "", text))]
        at = self._data.index(attributes, start)
        return [(at, at + len(attributes), kept), (end, end, text)]

    def _widened(self, absent: dict[int, list[int]]) -> list[tuple[int, int, bytes]]:
        """Edit that lets the sheet's stated extent hold the new cells."""
        found = _EXTENT.match(self._data, self._dimension) if self._dimension is not None else None
        extent = area("", found[1].decode()) if found else None
        if found is None or extent is None:
            return []
        top, bottom = min(extent.top, *absent), max(extent.bottom, *absent)
        columns = [column for row in absent.values() for column in row]
        left, right = min(extent.left, *columns), max(extent.right, *columns)
        reference = f"{address(top, left)}:{address(bottom, right)}"
        return [(found.start(1), found.end(1), reference.encode())]

    def _tag(self, start: int) -> tuple[bytes, bool]:
        """Attributes of an element, and whether it is a bare ``<c/>``."""
        tag = _TAG.match(self._data, start)
        assert tag is not None  # the parser has read it
        return tag[2], bool(tag[3])

    def _end(self, start: int, end: int) -> int:
        """Where an element ends; its end tag stands at `end`, or the element is bare and ends there."""
        bare = self._data[end - 2 : end] == b"/>" and self._tag(start)[1]
        return end if bare else self._data.index(b">", end) + 1

    def _element(self, name: str, attributes: bytes, kind: str, inside: bytes) -> bytes:
        tag = (self._prefix + name).encode()
        start = b"<" + tag + attributes + (f' t="{kind}"'.encode() if kind else b"")
        return start + b">" + inside + b"</" + tag + b">" if inside else start + b"/>"

    def _add_formula(
        self, row: int, column: int, text: str, attributes: dict[str, str], shared: dict[str, Any]
    ) -> None:
        kind = attributes.get("t", "normal")
        cells: Area | None = None
        if kind == "shared":
            name = attributes.get("si", "")
            if text:
                shared[name] = (row, column, text)
            elif name in shared:
                first_row, first_column, first = shared[name]
                text = moved(first, row - first_row, column - first_column)
        elif kind in ("array", "dataTable"):
            cells = area(self.title, attributes.get("ref", "")) or Area(self.title, row, column, row, column)
            if len(self.members) + cells.size > MOST_MEMBERS:
                raise FileProblem(f"{self._where} holds array formulas larger than is believed.")
            self.members.update((place, (row, column)) for line in cells.rows() for place in line)
        if kind != "dataTable":  # which no formula can be told of
            self.formulas[row, column] = Formula(text, cells)
