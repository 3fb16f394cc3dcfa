"""A whole workbook: its sheets, the names it defines, its number formats; opened, changed in place, saved."""

import os
import posixpath
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cached_property
from html import escape
from typing import NamedTuple

from sheetcalc.xlsx.cells import index, plain_text
from sheetcalc.xlsx.charts import CHART, Values, refreshed
from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area, letters, named_area
from sheetcalc.xlsx.package import FileProblem, Package, Relationship, local, new_parser, read_xml
from sheetcalc.xlsx.sheet import Sheet

CALCULATED_BY = 191029  # stored values of an older calculation are thrown away on opening

_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_CALCULATION_ORDER = re.compile(rb"<(?:\w+:)?(?:Override|Relationship)\b[^>]*[cC]alcChain[^>]*/>")
_LINKED = re.compile(rb"<(?:\w+:)?(?:Override|Relationship)\b[^>]*/externalLink[^>]*/>")
_LINKS = re.compile(rb"<((?:\w+:)?externalReferences)\b[^>]*?(?:/>|>.*?</\1\s*>)", re.DOTALL)
_LINK_USED = re.compile(rb"\[\d+\]")
_NO_FORMULAS = re.compile(r"/(?:externalLinks/|sharedStrings|styles|comments|theme/)", re.IGNORECASE)
_ASKS = re.compile(rb"\s+(?:fullCalcOnLoad|calcCompleted)\s*=\s*[\"'][^\"']*[\"']")
_CALCULATION_ID = re.compile(rb"(\scalcId\s*=\s*[\"'])(\d+)")
_PRINTED = re.compile(
    rb"<(\w+:)?definedName\b[^>]*\bname=\"_xlnm\.Print_(?:Area|Titles)\"[^>]*>[^<]*</(\w+:)?definedName>"
)
_SCOPE = re.compile(rb"\blocalSheetId=\"(\d+)\"")
_BEFORE_CALCULATION = ("definedNames", "externalReferences", "functionGroups", "sheets")

# Formats that files name by number alone: ISO/IEC 29500-1, 18.8.30 (from memory); 27 to 36 and 50 to 58 are
# dates in the languages that have them.
_BUILT_IN = {
    **{1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 12: "# ?/?", 13: "# ??/??"},
    **dict.fromkeys((14, 15, 16, 17, 22, *range(27, 37), *range(50, 59)), "yyyy-mm-dd"),
    **dict.fromkeys((18, 19, 20, 21, 45, 46, 47), "h:mm:ss"),
    49: "@",
}
_LITERAL = re.compile(r"\"[^\"]*\"|\\.|_.|\*.|\[(?!h+\]|m+\]|s+\])[^\]]*\]", re.IGNORECASE)


class NumberFormat(str):
    """A number format as its code, such as ``0.0%``."""

    @property
    def _signs(self) -> str:
        return _LITERAL.sub("", self).partition(";")[0].lower()

    @property
    def percent(self) -> bool:
        """Shows 0.1 as 10 %."""
        return "%" in self._signs

    @property
    def fraction(self) -> bool:
        """Shows 0.5 as 1/2."""
        return bool(re.search(r"[?#0]/\s*[?#\d]", self._signs))

    @property
    def date(self) -> bool:
        """Shows a number as a date or a time of day."""
        return bool(re.search(r"[dmyhs]", self._signs.replace("general", "")))

    @property
    def text(self) -> bool:
        """Takes whatever is typed as text."""
        return self.strip() == "@"


class Name(NamedTuple):
    """A name that the workbook defines; `sheet` is "" for one that holds on every sheet."""

    name: str
    sheet: str
    definition: str
    area: Area | None


class Sheets(Mapping[str, Sheet]):
    """The sheets of a workbook, each read when it is first asked for.

    Parameters
    ----------
    parts : mapping
        The part of each, by its title.
    read : callable
        Reads one, by its title and its part.
    """

    def __init__(self, parts: Mapping[str, str], read: Callable[[str, str], Sheet]) -> None:
        self._parts = dict(parts)
        self._read = read
        self._known: dict[str, Sheet] = {}

    def __getitem__(self, title: str) -> Sheet:
        if title not in self._known:
            self._known[title] = self._read(title, self._parts[title])
        return self._known[title]

    def __contains__(self, title: object) -> bool:
        return title in self._parts

    def __iter__(self) -> Iterator[str]:
        return iter(self._parts)

    def __len__(self) -> int:
        return len(self._parts)

    @property
    def known(self) -> list[Sheet]:
        """Those that were read; the others are as the file has them."""
        return [*self._known.values()]


class Workbook:
    """A spreadsheet file (.xlsx or .xlsm).

    Parameters
    ----------
    path : path-like
        The file.

    Raises
    ------
    FileProblem
        It cannot be read as one.

    Attributes
    ----------
    names : list of Name
        The names it defines, in the order of the file.
    date_1904 : bool
        Its dates count from 1904.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.package = Package(path)
        self.names: list[Name] = []
        self.date_1904 = False
        self._main = self._main_part()
        self._prefix = ""
        self._calculation: int | None = None
        self._before_calculation = 0
        self._titles: list[tuple[str, str]] = []  # title and relationship
        self._read()

    @property
    def file(self) -> str:
        """Name of the file."""
        return self.package.path.name

    @cached_property
    def sheets(self) -> "Sheets":
        """Sheets with cells by their titles, in the order of the workbook; each is read when asked for."""
        found: dict[str, str] = {}
        for title, relationship in self._titles:
            target = self._relationships.get(relationship)
            if target is None:
                raise FileProblem(f"{self.file} is damaged: its sheet {title} is missing.")
            if target.kind == "worksheet":
                found[title] = target.part
        return Sheets(found, self._read_sheet)

    def _read_sheet(self, title: str, part: str) -> Sheet:
        where = f"{self.file} is damaged: its sheet {title}"
        return Sheet(title, part, self.package.read(part), self._strings, self.date_1904, where)

    def area(self, name: str, sheet: str = "") -> Area | None:
        """Cells that a defined name means, seen from a sheet; case does not matter."""
        for scope in (sheet, ""):
            for known in self.names:
                if known.name.lower() == name.lower() and known.sheet == scope:
                    return known.area
        return None

    def number_format(self, sheet: str, row: int, column: int) -> NumberFormat:
        """Return the number format of a cell."""
        formats = self._formats
        style = self.sheets[sheet].style(row, column)
        return formats[style] if style < len(formats) else NumberFormat("General")

    def calculated(self) -> None:
        """Say in the file that its stored values are up to date: programs then show them on opening."""
        data = self.package.read(self._main)
        if self._calculation is None:
            at = self._before_calculation
            element = f'<{self._prefix}calcPr calcId="{CALCULATED_BY}"/>'.encode()
            self.package.change(self._main, data[:at] + element + data[at:])
            return
        end = data.index(b">", self._calculation)
        element = _ASKS.sub(b"", data[self._calculation : end])
        stated = _CALCULATION_ID.search(element)
        if stated is None:
            element = element.replace(b"calcPr", f'calcPr calcId="{CALCULATED_BY}"'.encode(), 1)
        elif int(stated[2]) < CALCULATED_BY:
            element = element.replace(stated[0], stated[1] + str(CALCULATED_BY).encode())
        self.package.change(self._main, data[: self._calculation] + element + data[end:])

    def calculate_on_opening(self) -> None:
        """Say in the file that a program is to work out all formulas when it opens it."""
        data = self.package.read(self._main)
        at, asks = self._calculation, b' fullCalcOnLoad="1"'
        if at is None:
            at = self._before_calculation
            element = f"<{self._prefix}calcPr".encode() + asks + b"/>"
            self.package.change(self._main, data[:at] + element + data[at:])
            return
        end = data.index(b">", at)
        name = f"<{self._prefix}calcPr".encode()
        element = name + asks + _ASKS.sub(b"", data[at + len(name) : end])
        self.package.change(self._main, data[:at] + element + data[end:])

    def refresh_charts(self, values: Values) -> None:
        """Bring the copies of cells' values that charts keep up to date."""
        for part in self.package.parts:
            if CHART.search(part):
                self.package.change(part, refreshed(self.package.read(part), values))

    def print_only(self, titles: Collection[str]) -> None:
        """Let only these sheets print: of all others one empty cell, which no program wastes a page on."""
        others = [place for place, (title, _) in enumerate(self._titles) if title not in titles]

        def kept(found: re.Match[bytes]) -> bytes:
            scope = _SCOPE.search(found[0])
            return b"" if scope and int(scope[1]) in others else found[0]

        names = "".join(
            f'<{self._prefix}definedName name="_xlnm.Print_Area" localSheetId="{place}">'
            + escape("'" + self._titles[place][0].replace("'", "''") + "'!", quote=False)
            + f"${letters(LAST_COLUMN)}${LAST_ROW}</{self._prefix}definedName>"
            for place in others
        )
        data = _PRINTED.sub(kept, self.package.read(self._main))
        end = f"</{self._prefix}definedNames>".encode()
        if end in data:
            data = data.replace(end, names.encode() + end)
        else:
            after = f"</{self._prefix}sheets>".encode()
            start = f"<{self._prefix}definedNames>".encode()
            data = data.replace(after, after + start + names.encode() + end)
        self.package.change(self._main, data)

    @property
    def styles(self) -> str | None:
        """Name of the part that holds the cell styles, if there is one."""
        return self._part("styles")

    @property
    def parts_with_words(self) -> list[str]:
        """Names of the parts that hold words of cells: the shared strings and the worksheets."""
        kinds = ("sharedStrings", "worksheet")
        return [found.part for found in self._relationships.values() if found.kind in kinds]

    def print_area(self, cells: Area) -> None:
        """Let a sheet print only these cells.

        Parameters
        ----------
        cells : Area
            Cells of one sheet, which may have been added.
        """
        titles = [title for title, _ in self._titles]
        at = titles.index(cells.sheet)
        first, last = (f"${letters(column)}${row}" for row, column in ((cells.top, cells.left), cells[3:]))
        sheet = "'" + cells.sheet.replace("'", "''") + "'"
        own = f"{escape(sheet, quote=False)}!{first}:{last}"
        data = self.package.read(self._main).decode()
        tag = f"{self._prefix}definedName"
        present = re.compile(
            rf'(<{tag}\b(?=[^>]*\sname="_xlnm\.Print_Area")(?=[^>]*\slocalSheetId="{at}")[^>]*>)[^<]*'
        )
        element = f'<{tag} name="_xlnm.Print_Area" localSheetId="{at}">{own}</{tag}>'
        if found := present.search(data):
            data = data[: found.end(1)] + own + data[found.end() :]
        elif f"</{tag}s>" in data:
            data = data.replace(f"</{tag}s>", f"{element}</{tag}s>", 1)
        elif bare := re.search(rf"<{tag}s\s*/>", data):
            data = data.replace(bare[0], f"<{tag}s>{element}</{tag}s>", 1)
        else:
            place = len(data.encode()[: self._before_calculation].decode())
            data = f"{data[:place]}<{tag}s>{element}</{tag}s>{data[place:]}"
        self.package.change(self._main, data.encode())
        self.names, self._titles, self._calculation = [], [], None
        self._read()

    def add_sheet(self, title: str, data: bytes) -> None:
        """Add a sheet behind the others.

        Parameters
        ----------
        title : str
            A name that no sheet has.
        data : bytes
            Its XML, whole.

        Raises
        ------
        FileProblem
            There is a sheet of that name.
        """
        titles = {known.lower() for known, _ in self._titles}
        if title.lower() in titles:
            raise FileProblem(f"{self.file} already has a sheet {title}.")
        number = len(self._titles) + 1
        while (part := f"{posixpath.dirname(self._main)}/worksheets/sheet{number}.xml") in self.package:
            number += 1
        identity = f"rIdPlain{number}"
        self.package.add(part, data)
        override = (
            f'<Override xmlns="{_PACKAGE}/content-types" PartName="/{part}" ContentType="{_SHEET_TYPE}"/>'
        )
        self._insert("[Content_Types].xml", "</", override)
        folder, name = posixpath.split(self._main)
        relation = (
            f'<Relationship xmlns="{_PACKAGE}/relationships" Id="{identity}" '
            f'Type="{_OFFICE}/worksheet" Target="/{part}"/>'
        )
        self._insert(posixpath.join(folder, "_rels", f"{name}.rels"), "</", relation)
        main = self.package.read(self._main)
        numbers = [int(found) for found in re.findall(rb"\bsheetId\s*=\s*[\"'](\d+)", main)]
        own = (
            f'<{self._prefix}sheet xmlns:r="{_OFFICE}" name="{escape(title)}" '
            f'sheetId="{max(numbers, default=0) + 1}" r:id="{identity}"/>'
        )
        self._insert(self._main, f"</{self._prefix}sheets>", own)
        self._titles.append((title, identity))
        shift = len(own.encode())  # what is read from here on stands so much further
        self._before_calculation += shift
        if self._calculation is not None:
            self._calculation += shift

    def forget_calculation_order(self) -> None:
        """Drop the list of formulas that some programs keep: once one is gone it counts as damage."""
        self._forget(_CALCULATION_ORDER)

    def drop_links(self) -> bool:
        """Drop the links to other workbooks if no formula in the file, as changed, uses one any more.

        A program asks about links on opening, also where the add-in that one led to is needed no more.

        Returns
        -------
        bool
            Whether there were any, and they are gone.
        """
        main = self.package.read(self._main)
        links = _LINKS.search(main)
        if links is None:
            return False
        changed = {sheet.part: sheet.render() for sheet in self.sheets.known}
        for part in self.package.parts:
            if part.endswith(".xml") and not _NO_FORMULAS.search(part):
                text = changed.get(part) or self.package.read(part)
                if _LINK_USED.search(text):
                    return False
        self.package.change(self._main, main[: links.start()] + main[links.end() :])
        self._forget(_LINKED)
        gone = links.end() - links.start()  # what is read from here on stands so much nearer
        self._before_calculation -= gone if self._before_calculation >= links.end() else 0
        if self._calculation is not None and self._calculation >= links.end():
            self._calculation -= gone
        return True

    def _forget(self, named: re.Pattern[bytes]) -> None:
        """Take parts out of the lists that name them."""
        folder, name = posixpath.split(self._main)
        for part in ("[Content_Types].xml", posixpath.join(folder, "_rels", f"{name}.rels")):
            self.package.change(part, named.sub(b"", self.package.read(part)))

    def _insert(self, part: str, end: str, element: str) -> None:
        """Put an element last in a part's outermost element, or before another end tag."""
        data = self.package.read(part)
        at = data.rfind(end.encode())
        if at < 0:
            raise FileProblem(f"{self.file} is damaged: its part {part} is not closed.")
        self.package.change(part, data[:at] + element.encode() + data[at:])

    def save(self, path: str | os.PathLike[str] | None = None, *, force: bool = False) -> None:
        """Write the file with what was put into its sheets: see `Package.save`."""
        for sheet in self.sheets.known:
            self.package.change(sheet.part, sheet.render())
        self.package.save(path, force=force)

    def _main_part(self) -> str:
        """Find the part that lists the sheets."""
        parts = self.package.relationships("").values()
        main = next((found.part for found in parts if found.kind == "officeDocument"), "")
        if main.endswith(".bin"):
            raise FileProblem(f"{self.file} is a binary workbook: save it as .xlsx first.")
        if main not in self.package:
            raise FileProblem(f"{self.file} is not an .xlsx file: it holds no workbook.")
        return main

    def _read(self) -> None:
        """Read the part that lists the sheets and the names."""
        data = self.package.read(self._main)
        parser = new_parser()
        definitions: list[tuple[dict[str, str], str]] = []
        name: dict[str, str] = {}
        buffer: list[str] = []

        def start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal name
            element = local(tag)
            if element == "workbook":
                self._prefix = tag.removesuffix(element)
            elif element == "sheet":
                relation = next((value for key, value in attributes.items() if key.endswith(":id")), "")
                self._titles.append((attributes.get("name", ""), relation))
            elif element == "definedName":
                name = attributes
                buffer.clear()
                parser.CharacterDataHandler = buffer.append
            elif element == "workbookPr":
                self.date_1904 = attributes.get("date1904") in ("1", "true")
            elif element == "calcPr":
                self._calculation = parser.CurrentByteIndex

        def end(tag: str) -> None:
            element = local(tag)
            if element == "definedName":
                parser.CharacterDataHandler = None
                definitions.append((name, "".join(buffer)))
            elif element in _BEFORE_CALCULATION:
                at = parser.CurrentByteIndex
                closed = data.startswith(f"</{tag}".encode(), at)
                self._before_calculation = data.index(b">", at) + 1 if closed else at

        read_xml(data, f"{self.file} is damaged: its part {self._main}", start, end, None, parser)
        if not self._titles:
            raise FileProblem(f"{self.file} is not an .xlsx file: it holds no sheets.")
        for attributes, definition in definitions:
            try:
                scope = attributes.get("localSheetId")
                sheet = "" if scope is None else self._titles[index(scope, len(self._titles))][0]
            except ValueError:
                continue  # of a sheet that is gone
            self.names.append(Name(attributes.get("name", ""), sheet, definition, named_area(definition)))

    def _part(self, kind: str) -> str | None:
        """Name of the part of this kind that the workbook names, if any."""
        return next((found.part for found in self._relationships.values() if found.kind == kind), None)

    @cached_property
    def _relationships(self) -> dict[str, Relationship]:
        return self.package.relationships(self._main)

    @cached_property
    def _strings(self) -> list[str]:
        """Shared strings: text of all runs, without phonetic guides."""
        strings: list[str] = []
        part = self._part("sharedStrings")
        if part is None:
            return strings
        pieces: list[str] = []
        inside = phonetic = False

        def start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal inside, phonetic
            element = local(tag)
            inside = element == "t" and not phonetic
            if element == "si":
                pieces.clear()
            elif element == "rPh":
                phonetic = True

        def end(tag: str) -> None:
            nonlocal inside, phonetic
            inside = False
            element = local(tag)
            if element == "si":
                strings.append(plain_text("".join(pieces)))
            elif element == "rPh":
                phonetic = False

        def text(piece: str) -> None:
            if inside:
                pieces.append(piece)

        self.package.walk(part, start, end, text)
        return strings

    @cached_property
    def _formats(self) -> list[NumberFormat]:
        """Number format of every cell style."""
        codes = dict(_BUILT_IN)
        numbers: list[int] = []
        part = self._part("styles")
        if part is None:
            return []
        inside = ""

        def start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal inside
            element = local(tag)
            if element in ("numFmts", "cellXfs"):
                inside = element
            elif element == "numFmt" and inside == "numFmts":
                codes[int(attributes["numFmtId"])] = attributes["formatCode"]
            elif element == "xf" and inside == "cellXfs":
                numbers.append(int(attributes.get("numFmtId", 0)))

        def end(tag: str) -> None:
            nonlocal inside
            if local(tag) == inside:
                inside = ""

        try:
            self.package.walk(part, start, end)
        except (KeyError, ValueError) as problem:
            raise FileProblem(
                f"{self.file} is damaged: its part {part} holds no proper formats."
            ) from problem
        return [NumberFormat(codes.get(number, "General")) for number in numbers]
