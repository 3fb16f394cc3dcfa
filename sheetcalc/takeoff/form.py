"""An example of an estimator's own bid form: a letterhead of an invented firm with names of the takeoff.

It shows what `sheetcalc fill` needs: cells that have names, and nothing else of ours. Drawn by hand, as a
person would, and not in the words of our workbook.
"""

from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from sheetcalc.workbooks.build import ALWAYS, packed

BID, ORDER = "Bid", "Order"
DONE, LEFT_OUT, KNOWN, OPTIONS, PAYMENTS, BOARDS, GOODS = 16, 10, 5, 4, 3, 16, 12  # rows

_FACE, _INK, _QUIET, _LINE = "Georgia", "2B2B2B", "6B6B6B", "8C6A3F"
_DATE, _MONEY = "d mmmm yyyy", "#,##0.00"
_RULE = Border(bottom=Side(style="thin", color=_LINE))
_TOP = Border(top=Side(style="medium", color=_LINE))


def form() -> bytes:
    """Build the form.

    Returns
    -------
    bytes
        An .xlsx file, the same every time. Nothing in it depends on the unit system.
    """
    book = Workbook()
    book.properties.creator = "sheetcalc"
    book.properties.created = book.properties.modified = ALWAYS
    sheet = book.worksheets[0]
    sheet.title = BID
    _bid(_Form(book, sheet))
    _order(_Form(book, book.create_sheet(ORDER)))
    return packed(book, {})


class _Form:
    # One sheet, filled from top to bottom.

    def __init__(self, book: Workbook, sheet: Worksheet) -> None:
        self._book = book
        self.sheet = sheet
        self.row: int = 1
        sheet.sheet_view.showGridLines = False
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = 1
        sheet.page_margins = PageMargins(left=0.7, right=0.7, top=0.6, bottom=0.6)
        sheet.print_options.horizontalCentered = True
        for column, width in zip("ABCDEFG", (12, 36, 18, 3, 19, 26, 16), strict=True):
            sheet.column_dimensions[column].width = width

    def put(self, column: int, value: object, code: str = "General", *, side: str = "", **looks: Any) -> None:
        """Put words or a formula into the present row."""
        cell: Any = self.sheet.cell(self.row, column)
        cell.value = value
        font: dict[str, Any] = {"size": 10.5, "color": _INK} | looks
        cell.font = Font(name=_FACE, **font)
        cell.number_format = code
        cell.alignment = Alignment(
            horizontal=side or (None if code == "General" else "right"), vertical="center"
        )

    def name(self, handle: str, column: int, code: str = "General", *, rows: int = 1, **looks: Any) -> None:
        """Name cells from the present row down, to be filled."""
        start = self.row
        for row in range(start, start + rows):
            self.row = row
            self.put(column, None, code, **looks)
        first, last = (self.sheet.cell(row, column).coordinate for row in (start, start + rows - 1))
        self.row = start
        cells = ":".join(f"${at[0]}${at[1:]}" for at in ([first, last] if rows > 1 else [first]))
        self._book.defined_names[handle] = DefinedName(handle, attr_text=f"{self.sheet.title}!{cells}")

    def heads(self, *words: str) -> None:
        """Put a line of small heads, and go on below it."""
        for column, word in enumerate(words, 1):
            self.put(column, word or None, bold=True, size=9.5, color=_LINE)
            cell: Any = self.sheet.cell(self.row, column)
            cell.border = _RULE
        self.row += 1

    def rule(self, height: float = 8) -> None:
        """Draw a line across the page."""
        for column in range(1, 8):
            cell: Any = self.sheet.cell(self.row, column)
            cell.border = _TOP
        self.sheet.row_dimensions[self.row].height = height
        self.row += 1

    def letterhead(self, what: str) -> None:
        """Put the firm's own head."""
        self.put(1, "Saltbox Finish Carpentry", size=20, bold=True, color=_LINE)
        self.put(7, what, side="right", size=16, color=_QUIET)
        self.sheet.row_dimensions[self.row].height = 28
        self.row += 1
        self.put(1, "3 Boatyard Row, Eastmere   ·   555 0142   ·   porches, stairs, built-ins", color=_QUIET)
        self.row += 1
        self.rule()


def _bid(form: _Form) -> None:
    form.letterhead("BID")
    lines = (
        (("For", "owner", "General"), ("Date", "bid_date", _DATE)),
        (("At", "place", "General"), ("Good until", "good_until", _DATE)),
        (("Work", "job", "General"), ("We can start on", "start_on", _DATE)),
    )
    for left, right in lines:
        for column, (label, handle, code) in ((1, left), (5, right)):
            form.put(column, label, color=_QUIET)
            form.name(handle, column + 1, code, side="left", bold=column == 1)
        form.row += 1
    form.row += 1
    for title, handle, rows in (
        ("What is done", "done_line", DONE),
        ("Not included", "left_out_line", LEFT_OUT),
    ):
        form.heads(title, "", "", "", "", "", "")
        form.name(handle, 1, rows=rows)
        form.row += rows + 1
    form.rule()
    form.put(1, "Price", size=14, bold=True)
    form.name("price", 3, _MONEY, size=14, bold=True)
    price = form.row
    form.put(5, "Days on site", color=_QUIET)
    form.name("site_days", 6, "0.0", side="left")
    form.sheet.row_dimensions[form.row].height = 24
    form.row += 2
    form.heads("Payments", "", "", "", "Options, not in the price", "", "")
    form.name("payment_time", 1, rows=PAYMENTS)
    form.name("payment_amount", 3, _MONEY, rows=PAYMENTS)
    form.name("option", 5, rows=OPTIONS)
    form.name("option_price", 7, _MONEY, rows=OPTIONS)
    first = form.row
    form.row += OPTIONS
    form.put(5, "With all options", bold=True)
    form.put(7, f'=IF(C{price}="","",C{price}+SUM(G{first}:G{form.row - 1}))', _MONEY, bold=True)
    form.row += 2
    form.heads("Good to know", "", "", "", "", "", "")
    form.name("known_line", 1, rows=KNOWN, size=9.5, color=_QUIET)
    form.row += KNOWN + 1
    for party in ("Owner", "Saltbox Finish Carpentry"):
        form.put(1, f"{party}   " + "_" * (46 - len(party)))
        form.put(5, "Date   ________________________")
        form.sheet.row_dimensions[form.row].height = 26
        form.row += 1


def _order(form: _Form) -> None:
    form.letterhead("ORDER")
    for label, handle, code in (
        ("Job", "yard_job", "General"),
        ("Deliver to", "yard_place", "General"),
        ("Wanted", "yard_date", _DATE),
        ("Where", "yard_access", "General"),
    ):
        form.put(1, label, color=_QUIET)
        form.name(handle, 2, code, side="left")
        form.row += 1
    form.row += 1
    form.heads("Pieces", "Boards", "Size", "", "Length", "", "")
    form.name("yard_pieces", 1, "0", side="left", rows=BOARDS)
    form.name("yard_grade", 2, rows=BOARDS)
    form.name("yard_nominal", 3, rows=BOARDS)
    form.name("yard_length", 5, rows=BOARDS)
    form.row += BOARDS
    form.put(1, f"=SUM(A{form.row - BOARDS}:A{form.row - 1})", "0", side="left", bold=True)
    form.put(2, "in all", bold=True)
    form.row += 2
    form.heads("Goods", "", "To buy", "", "Needed", "Size and kind", "")
    form.name("goods_what", 1, rows=GOODS)
    form.name("goods_buy", 3, rows=GOODS)
    form.name("goods_need", 5, rows=GOODS)
    form.name("goods_sort", 6, rows=GOODS)
    form.row += GOODS + 1
    form.put(1, "Lengths and grade as listed: please call before you change one.", color=_QUIET)
    form.row += 1
