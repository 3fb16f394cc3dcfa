"""The sheets that a plain edition adds: helper cells with small tables they look up, and what is stored."""

import re
from collections.abc import Iterable, Mapping, Sequence

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import Cell
from sheetcalc.trade.tables import rows as table_rows
from sheetcalc.workbooks.plain.native import HELPERS, READINGS, Row
from sheetcalc.xlsx.cells import written, xml_text
from sheetcalc.xlsx.formulas import address

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_MARKER = re.compile(r"⟦(\d+)\.([a-z_0-9]+)⟧")
_TABLE = re.compile(r"\[(\w+)\.(\w+)\]")
_TABLES = {"sizes": ("name", "thickness", "overall", "face"), "woods": ("name", "quarter", "flat")}

HELPERS_TITLE = "Helper cells"

Content = Cell | tuple[str]
"""What a new cell holds: a value, or a formula as a tuple of its text."""


class Page:
    """A sheet under way: cells by their places."""

    def __init__(self) -> None:
        self.cells: dict[tuple[int, int], Content] = {}
        self.looks: dict[tuple[int, int], int] = {}
        self.printed: tuple[int, int] = (3, 6)  # rows and columns of what is worth a printed page

    def line(self, row: int, values: Iterable[Content], look: int = 0) -> None:
        """Fill a row from its first column on."""
        for column, value in enumerate(values, start=1):
            if value not in (None, ""):
                self.cells[row, column] = value
                self.looks[row, column] = look

    def xml(self, widths: Sequence[float], frozen: int = 0) -> bytes:
        """Write the sheet's part."""
        by_row: dict[int, list[str]] = {}
        for (row, column), value in sorted(self.cells.items()):
            look = self.looks[row, column]
            styled = f' s="{look}"' if look else ""
            if isinstance(value, tuple):
                kind, inside = "", f"<f>{xml_text(value[0])}</f>"
            else:
                kind, inside = written(value, "", entry=True)
            typed = f' t="{kind}"' if kind else ""
            by_row.setdefault(row, []).append(f'<c r="{address(row, column)}"{styled}{typed}>{inside}</c>')
        columns = "".join(
            f'<col min="{at}" max="{at}" width="{width:g}" customWidth="1"/>'
            for at, width in enumerate(widths, 1)
        )
        pane = (
            f'<pane ySplit="{frozen}" topLeftCell="A{frozen + 1}" activePane="bottomLeft" state="frozen"/>'
            if frozen
            else ""
        )
        body = "".join(f'<row r="{row}">{"".join(cells)}</row>' for row, cells in by_row.items())
        return (
            '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
            f'<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
            f'<sheetViews><sheetView workbookViewId="0">{pane}</sheetView></sheetViews>'
            f"<cols>{columns}</cols><sheetData>{body}</sheetData>"
            '<pageSetup orientation="landscape" fitToHeight="0"/></worksheet>'
        ).encode()


def helpers(
    rows: Sequence[Row], formulas: Iterable[str], bold: int
) -> tuple[Page, dict[tuple[int, str], str], dict[str, str]]:
    """Lay out the helper cells.

    Returns
    -------
    tuple
        The sheet; the address of every helper cell by row and column; the ranges of the lookup tables.
    """
    page = Page()
    page.line(1, [HELPERS_TITLE], bold)
    page.line(
        2,
        [
            "Each row works out one call, step by step. Lengths are in inches here, whatever the call's "
            "units. A row whose call is not in use may show an error; no other sheet reads it then."
        ],
    )
    at = 4
    needed = {found for text in formulas for found, _ in _TABLE.findall(text)}
    ranges: dict[str, str] = {}
    for name, columns in _TABLES.items():
        if name in needed:
            at = _lookup(page, at, name, columns, ranges, bold)
    where: dict[tuple[int, str], str] = {}
    groups: dict[str, list[int]] = {}
    for number, row in enumerate(rows):
        groups.setdefault(row.table, []).append(number)
    for table, numbers in groups.items():
        titles = list(dict.fromkeys(column for number in numbers for column in rows[number].cells))
        page.line(at, [_title(table)], bold)
        page.line(at + 1, ["first used at", *(title.replace("_", " ") for title in titles)], bold)
        for high, number in enumerate(numbers):
            for column in rows[number].cells:
                where[number, column] = address(at + 2 + high, 2 + titles.index(column))
        at += len(numbers) + 3
    for numbers in groups.values():
        for number in numbers:
            row = rows[number]
            for column, text in row.cells.items():
                cell = where[number, column]
                place = int(re.sub("[A-Z]", "", cell)), _column(cell)
                resolved = resolve(text, where, ranges, own=True)
                page.cells[place] = (resolved,)
                page.looks[place] = 0
                page.line(place[0], [row.used_at])
    return page, where, ranges


def resolve(
    text: str, where: Mapping[tuple[int, str], str], ranges: Mapping[str, str], *, own: bool = False
) -> str:
    """Put addresses in the place of markers; on the sheet of the helpers itself without its name."""

    def cell(found: re.Match[str]) -> str:
        plain = where[int(found[1]), found[2]]
        if own:
            return plain
        letters = plain.rstrip("0123456789")
        return f"{HELPERS}!${letters}${plain[len(letters) :]}"

    text = _MARKER.sub(cell, text)
    return _TABLE.sub(lambda found: ("" if own else f"{HELPERS}!") + ranges[f"{found[1]}.{found[2]}"], text)


def _lookup(
    page: Page, at: int, name: str, columns: tuple[str, ...], ranges: dict[str, str], bold: int
) -> int:
    lines: list[list[Cell]]
    if name == "sizes":
        page.line(at, ["Sizes of tongue-and-groove boards, in"], bold)
        lines = [
            [row["nominal"], *(float(row[one]) for one in columns[1:])]
            for row in table_rows("tongue_and_groove")
        ]
    else:
        page.line(at, ["Woods, by their letters: change of width per 1 % moisture"], bold)
        found: dict[str, list[Cell]] = {}
        for row in table_rows("wood_movement"):
            for wood in filter(None, (row["species"], row["also"])):
                for spelled in (wood, " ".join(reversed(wood.split(",")))):
                    letters = "".join(sign for sign in spelled.casefold() if sign.isalpha())
                    found[letters] = [letters, *(float(row[one]) for one in columns[1:])]
        lines = list(found.values())
    page.line(at + 1, list(columns), bold)
    for high, line in enumerate(lines):
        page.line(at + 2 + high, line)
    for wide, column in enumerate(columns, start=1):
        letter = address(1, wide)[:-1]
        ranges[f"{name}.{column}"] = f"${letter}${at + 2}:${letter}${at + 1 + len(lines)}"
    return at + len(lines) + 3


def _title(table: str) -> str:
    if table == READINGS:
        return "Readings: how many, narrowest, widest, mean"
    function = REGISTRY.get(table)
    return f"{table}: {function.summary}" if function else table.replace("_", " ").lower()


def _column(cell: str) -> int:
    number = 0
    for letter in cell.rstrip("0123456789"):
        number = number * 26 + ord(letter) - 64
    return number
