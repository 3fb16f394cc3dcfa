"""Cells of a person's sheet that more hangs on than their value: merged ones, headings of tables."""

from sheetcalc.xlsx.formulas import Area, area
from sheetcalc.xlsx.package import local
from sheetcalc.xlsx.sheet import Place, Sheet
from sheetcalc.xlsx.workbook import Workbook


class Kept:
    """What a sheet says of its cells behind their values.

    Parameters
    ----------
    book : Workbook
        The file.
    sheet : Sheet
        One of its sheets.

    Attributes
    ----------
    merged : list of Area
        Its merged cells.
    headings : set of Place
        Cells in the heading or the total row of a table: the table names them too, so a change there counts
        as damage.
    """

    def __init__(self, book: Workbook, sheet: Sheet) -> None:
        self.merged: list[Area] = []
        self.headings: set[Place] = set()

        def start(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "mergeCell" and (cells := area(sheet.title, attributes.get("ref", ""))):
                self.merged.append(cells)

        def start_table(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "table" and (cells := area(sheet.title, attributes.get("ref", ""))):
                heads, totals = (
                    attributes.get(name, usual) != "0"
                    for name, usual in (("headerRowCount", "1"), ("totalsRowCount", "0"))
                )
                rows = [cells.top] * heads + [cells.bottom] * totals
                across = range(cells.left, cells.right + 1)
                self.headings.update((row, column) for row in rows for column in across)

        book.package.walk(sheet.part, start)
        for found in book.package.relationships(sheet.part).values():
            if found.kind == "table" and found.part in book.package:
                book.package.walk(found.part, start_table)
