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
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from sheetcalc.kinds import MONEY
from sheetcalc.workbooks.charts import charted, named, untitled
from sheetcalc.workbooks.declare import CHECK, Chart, Sheet
from sheetcalc.workbooks.entries import entered, validation
from sheetcalc.workbooks.page import Page, Plan, Spot
from sheetcalc.workbooks.paper import MARGINS, breaks
from sheetcalc.workbooks.place import STATE, lay_out
from sheetcalc.workbooks.refs import Cells, formula
from sheetcalc.workbooks.style import (
    BELOW_ZERO,
    FACE,
    GOOD,
    GOOD_INK,
    LOOK,
    LOOK_INK,
    QUIET,
    ROW_HEIGHT,
    SIZE,
    SPRUCE,
    STYLES,
    alignment,
    number_format,
)

ALWAYS = datetime(2000, 1, 1)  # the same declaration gives the same bytes on every day
_LETTER, _A4 = 1, 9  # as the format numbers them

HEADLINE = (('RIGHT({0},1)=":"', SPRUCE, ""),)
CONDITIONS = {
    CHECK: (
        ("ISERROR({0})", LOOK_INK, LOOK),
        ('LEFT({0},2)="ok"', GOOD_INK, GOOD),
        ('{0}<>""', LOOK_INK, LOOK),
    ),
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
    book = new_book()
    looks: dict[tuple[str, str, str], Any] = {}
    for page in plan.pages:
        sheet = book.create_sheet(page.sheet.title)
        for spot in page.spots:
            _write(sheet, spot, plan, given, looks)
        for block, corner in page.charts:
            sheet.add_chart(charted(block, sheet.title, plan), corner.area)
        _set_up(sheet, page, plan)
    _validate(book, plan)
    _highlight(book, plan)
    _name(book, plan)
    with_charts = ([block for block, _ in page.charts] for page in plan.pages if page.charts)
    drawings = {f"xl/drawings/drawing{n}.xml": blocks for n, blocks in enumerate(with_charts, 1)}
    return packed(book, drawings)


def new_book() -> Workbook:
    """Make an empty workbook that knows our styles."""
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


def _write(
    sheet: Worksheet,
    spot: Spot,
    plan: Plan,
    given: Mapping[tuple[str, int, int], object],
    looks: dict[tuple[str, str, str], Any],
) -> None:
    row, column = spot.cells.row, spot.cells.column
    cell: Any = sheet.cell(row, column)
    _dress(cell, spot, plan.system, looks)
    if spot.here:
        written = formula(str(spot.content), spot.here, plan.places, plan.system)
        text = written.text(guarded=spot.guarded)
        cell.value = text if spot.cells.single else ArrayFormula(spot.cells.area, text)
        return
    value = cell.value = given.get((sheet.title, row, column), spot.content)
    if isinstance(value, str) and value.startswith("="):
        cell.data_type = "s"  # what a person typed as text stays text
        cell.quotePrefix = True


def _dress(cell: Any, spot: Spot, system: str, looks: dict[tuple[str, str, str], Any]) -> None:
    typed = spot.style.endswith("entry")
    code = number_format(spot.item, system, typed=typed) if spot.item else "General"
    look = (spot.style, spot.side, code)
    if look not in looks:
        cell.style = spot.style
        cell.alignment = alignment(spot.style, spot.side)
        cell.number_format = look[-1]
        looks[look] = cell._style
    cell._style = copy(looks[look])  # finding a style anew for every cell takes most of the time


def _set_up(sheet: Worksheet, page: Page, plan: Plan) -> None:
    for column in range(1, page.last_column + 1):
        sheet.column_dimensions[get_column_letter(column)].width = page.width(column)
    for row, height in page.heights.items():
        sheet.row_dimensions[row].height = height
    sheet.sheet_format.defaultRowHeight = ROW_HEIGHT
    sheet.sheet_format.customHeight = True
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.tabSelected = page is plan.pages[0]
    if page.top > 1:
        sheet.freeze_panes = f"A{page.top}"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation = "landscape" if page.sheet.landscape else "portrait"
    sheet.page_setup.paperSize = _LETTER if plan.system == "us" else _A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = int(page.sheet.one_page)
    sheet.page_margins = PageMargins(**MARGINS)
    footer: Any = sheet.oddFooter
    if page.sheet.head:  # the owner's page stands alone
        footer.left.text, footer.right.text = "&A", "page &P of &N"
    sheet.print_area = page.cells(1, 1, max(1, page.printed - 1), page.last_column).address(page.sheet.title)
    ends: Any = sheet.row_breaks
    for row in () if page.sheet.one_page else breaks(page):
        ends.append(Break(id=row))
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
            _mark(book, page.cells(3, 1), CONDITIONS[CHECK])
        for spot in page.spots:
            if spot.style == "Line needed":
                row, column = spot.cells.row, spot.cells.column
                entry, used = page.cells(row, column - 2).area, page.cells(row, column + 1).area
                # quiet once the entry is there, or what counts stands elsewhere
                _mark(book, spot.cells, ((f'OR({entry}<>"",{used}<>"")', QUIET, ""),))
            if spot.style == "Text paper" and spot.here:
                _mark(book, spot.cells, HEADLINE)  # a sentence worked out may turn out to be a headline
    for place in plan.places.values():
        if place.item and place.item.formula:
            _mark(book, place.cells, CONDITIONS.get(place.item.kind, ()))


def _mark(book: Workbook, cells: Cells, rules: Iterable[tuple[str, str, str]]) -> None:
    first = cells.part(0, 1, 0, 1).area
    marked: Any = book[cells.sheet].conditional_formatting
    for test, ink, ground in rules:
        fill = PatternFill("solid", bgColor=ground) if ground else None
        look = DifferentialStyle(font=Font(color=ink, bold=True if ink == SPRUCE else None), fill=fill)
        marked.add(cells.area, Rule("expression", dxf=look, formula=[test.format(first)], stopIfTrue=True))


def _name(book: Workbook, plan: Plan) -> None:
    for handle, place in plan.places.items():
        names = {handle: place.cells}
        if place.item:
            for row, (first, rows) in place.named.items():
                names[f"{handle}.{row}"] = place.cells.part(first, rows, 0, place.cells.columns)
        for name, cells in names.items():
            book.defined_names[name] = DefinedName(name, attr_text=cells.address())


def packed(book: Workbook, drawings: Mapping[str, list[Chart]]) -> bytes:
    """Pack a workbook, the same bytes for the same content; charts by the part that places them."""
    written, out = BytesIO(), BytesIO()
    ExcelWriter(book, ZipFile(written, "w")).save()
    with ZipFile(written) as parts, ZipFile(out, "w") as archive:
        for name in parts.namelist():
            part = ZipInfo(name, ALWAYS.timetuple()[:6])
            part.compress_type = ZIP_DEFLATED
            data = parts.read(name)
            if name in drawings:
                data = named(data.decode(), drawings[name]).encode()
            elif name.startswith("xl/charts/"):
                data = untitled(data)
            archive.writestr(part, data)
    return out.getvalue()
