"""Builds a workbook file from sheets as declared."""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from datetime import datetime
from io import BytesIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Font, PatternFill
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from sheetcalc.kinds import MONEY
from sheetcalc.workbooks.declare import CHECK, Sheet
from sheetcalc.workbooks.entries import entered, validation
from sheetcalc.workbooks.page import USUAL_WIDTH, Page, Plan, Spot
from sheetcalc.workbooks.place import STATE, lay_out
from sheetcalc.workbooks.refs import Cells, formula
from sheetcalc.workbooks.style import (
    BELOW_ZERO,
    FACE,
    GOOD,
    GOOD_INK,
    LOOK,
    LOOK_INK,
    ROW_HEIGHT,
    SIZE,
    STYLES,
    alignment,
    number_format,
)

ALWAYS = datetime(2000, 1, 1)  # the same declaration gives the same bytes on every day
_LETTER, _A4 = 1, 9
_MARGINS = {"left": 0.6, "right": 0.6, "top": 0.6, "bottom": 0.75, "header": 0.3, "footer": 0.35}  # fit both

_CHECK_RULES = (("ISERROR({0})", LOOK_INK, LOOK), ('{0}="ok"', GOOD_INK, GOOD), ('{0}<>""', LOOK_INK, LOOK))
_RULES = {
    CHECK: _CHECK_RULES,
    MONEY: (("N({0})<0", BELOW_ZERO, ""),),
}
"""Colours by condition, beside a word or a sign that says the same."""


def build(sheets: Sequence[Sheet], values: Mapping[str, object], system: str = "us") -> bytes:
    """Build a workbook file.

    Parameters
    ----------
    sheets : sequence of Sheet
        As declared.
    values : mapping of str to object
        What stands in the entries, by handle; `entries.entered` says how.
    system : str
        "us" or "metric".

    Returns
    -------
    bytes
        An .xlsx file without stored answers, the same for the same arguments.

    Raises
    ------
    ValueError
        The declaration contradicts itself, or a value has no entry.
    """
    plan = lay_out(sheets, system)
    given = entered(plan, values)
    book = _book()
    for page in plan.pages:
        sheet = book.create_sheet(page.sheet.title)
        for spot in page.spots:
            _write(sheet, spot, plan, given)
        _set_up(sheet, page, system)
    _validate(book, plan)
    _highlight(book, plan)
    _name(book, plan)
    return _packed(book)


def _book() -> Workbook:
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "sheetcalc"
    book.properties.created = book.properties.modified = ALWAYS
    parts: Any = book
    normal = parts._named_styles["Normal"]  # the widths of columns are counted in its digits
    normal.font = Font(name=FACE, size=SIZE)
    normal.bind(book)
    for style in STYLES.values():
        book.add_named_style(copy(style))
    return book


def _write(sheet: Worksheet, spot: Spot, plan: Plan, given: Mapping[tuple[str, int, int], object]) -> None:
    row, column = spot.cells.row, spot.cells.column
    cell: Any = sheet.cell(row, column)
    cell.style = spot.style
    cell.alignment = alignment(spot.style, spot.side)
    if spot.item:
        cell.number_format = number_format(spot.item, plan.system)
    if spot.here:
        written = formula(str(spot.content), spot.here, plan.places, plan.system)
        text = written.text(guarded=spot.guarded)
        cell.value = text if spot.cells.single else ArrayFormula(spot.cells.area, text)
        return
    value = cell.value = given.get((sheet.title, row, column), spot.content)
    if isinstance(value, str) and value.startswith("="):
        cell.data_type = "s"  # what a person typed as text stays text
        cell.quotePrefix = True


def _set_up(sheet: Worksheet, page: Page, system: str) -> None:
    for column in range(1, page.last_column + 1):
        sheet.column_dimensions[get_column_letter(column)].width = page.room.get(column, USUAL_WIDTH)
    for row, height in page.heights.items():
        sheet.row_dimensions[row].height = height
    sheet.sheet_format.defaultRowHeight = ROW_HEIGHT
    sheet.sheet_format.customHeight = True
    sheet.sheet_view.showGridLines = False
    if page.top > 1:
        sheet.freeze_panes = f"A{page.top}"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation = "landscape" if page.sheet.landscape else "portrait"
    sheet.page_setup.paperSize = _LETTER if system == "us" else _A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.page_margins = PageMargins(**_MARGINS)
    footer: Any = sheet.oddFooter
    footer.left.text, footer.right.text = "&A", "page &P of &N"
    sheet.print_area = page.cells(1, 1, max(1, page.row - 2), page.last_column).address(page.sheet.title)
    if page.repeated:
        sheet.print_title_rows = f"{page.repeated}:{page.repeated}"
    if page.sheet.locked:
        sheet.protection.sheet = True
        for allowed in ("insertRows", "formatCells", "formatColumns", "formatRows"):
            setattr(sheet.protection, allowed, False)  # False: not forbidden


def _validate(book: Workbook, plan: Plan) -> None:
    rules: dict[str, Any] = {}
    for (title, row, column), item in plan.entries.items():
        if item.handle not in rules:
            words = plan.lists.get(item.choices)
            rules[item.handle] = validation(item, plan.system, words.address() if words else "")
            book[title].add_data_validation(rules[item.handle])
        rules[item.handle].add(f"{get_column_letter(column)}{row}")


def _highlight(book: Workbook, plan: Plan) -> None:
    for page in plan.pages:
        if page.sheet.head and STATE in plan.places:
            _mark(book, page.cells(3, 1), _CHECK_RULES)
    for place in plan.places.values():
        if place.item and place.item.formula:
            _mark(book, place.cells, _RULES.get(place.item.kind, ()))


def _mark(book: Workbook, cells: Cells, rules: Iterable[tuple[str, str, str]]) -> None:
    first = cells.part(0, 1, 0, 1).area
    marked: Any = book[cells.sheet].conditional_formatting
    for test, ink, ground in rules:
        fill = PatternFill("solid", bgColor=ground) if ground else None
        look = DifferentialStyle(font=Font(color=ink), fill=fill)
        marked.add(cells.area, Rule("expression", dxf=look, formula=[test.format(first)], stopIfTrue=True))


def _name(book: Workbook, plan: Plan) -> None:
    for handle, place in plan.places.items():
        names = {handle: place.cells}
        if place.item:
            for row, (first, rows) in place.named.items():
                names[f"{handle}.{row}"] = place.cells.part(first, rows, 0, place.cells.columns)
        for name, cells in names.items():
            book.defined_names[name] = DefinedName(name, attr_text=cells.address())


def _packed(book: Workbook) -> bytes:
    written, packed = BytesIO(), BytesIO()
    ExcelWriter(book, ZipFile(written, "w")).save()
    with ZipFile(written) as parts, ZipFile(packed, "w") as archive:
        for name in parts.namelist():
            part = ZipInfo(name, ALWAYS.timetuple()[:6])
            part.compress_type = ZIP_DEFLATED
            archive.writestr(part, parts.read(name))
    return packed.getvalue()
