"""A comparison as a file: a workbook with a native chart, or plain comma-separated values."""

import csv
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from typing import Any

from openpyxl.chart import BarChart, LineChart, Reference
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.workbooks.build import new_book, packed
from sheetcalc.workbooks.charts import FILLS, letters
from sheetcalc.workbooks.declare import Chart
from sheetcalc.workbooks.paper import MARGINS
from sheetcalc.workbooks.style import HAIR, ROW_HEIGHT
from sheetcalc.xlsx.cells import in_xml, number_text
from sheetcalc.xlsx.package import FileProblem, check_free, check_unlocked, write_file

KINDS = (".xlsx", ".csv")
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet program may take for a formula
_INCH = 2.54  # cm, in which a chart's size is told
_MOST_BARS, _MOST_FLAT = 40, 20
_ONE_PAGE = 12  # rows beside which a chart still fits
_WIDEST, _FIGURES = 24, 8  # characters of a column of words, of figures
_DIGIT = 1.15  # room that a figure takes, and the frame of its cell


@dataclass(frozen=True)
class Graph:
    """A chart: the column that names its points, those that hold their values, and its words."""

    title: str
    words: str
    names: int
    values: Sequence[int]
    flat: bool = False  # bars lie, the first on top


@dataclass(frozen=True)
class Page:
    """What is written.

    Parameters
    ----------
    title : str
        What stands over it.
    says : sequence of str
        Sentences below the table.
    handles, heads : sequence of str
        One for each column: its handle, and in words.
    looks : sequence of str
        Number format of each column.
    rows : sequence of sequence of Cell
        The table.
    graph : Graph, optional
        Its chart.
    """

    title: str
    handles: Sequence[str]
    heads: Sequence[str]
    looks: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    says: Sequence[str] = field(default=())
    graph: Graph | None = None


def check_output(output: Path, source: Path, *, force: bool) -> None:
    """Raise FileProblem, before any work, if the file cannot be written."""
    if output.suffix.lower() not in KINDS:
        raise FileProblem(f"A comparison is written as .xlsx or .csv, but “{output}” is neither.")
    if output.exists() and source.exists() and output.samefile(source):
        raise FileProblem(f"{output.name} is the workbook itself: a comparison goes into a file of its own.")
    check_free(output, force=force)
    check_unlocked(output)


def write(page: Page, output: Path, source: Path) -> None:
    """Write a page as the kind of file that the name asks for, with the rights of the workbook."""
    write_file(output, _workbook(page) if output.suffix.lower() == ".xlsx" else _values(page), source)


def _values(page: Page) -> bytes:
    """Write comma-separated values (RFC 4180): plain numbers, an apostrophe before what looks a formula."""
    out = StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(page.handles)
    lines.writerows([_plain(value) for value in row] for row in page.rows)
    return out.getvalue().encode()


def _plain(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, CellError):
        return value.value
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, str):
        return f"'{value}" if value.startswith(_FORMULA_SIGNS) else value
    return number_text(value)


def _workbook(page: Page) -> bytes:
    book = new_book()
    sheet: Any = book.create_sheet("Compare")
    wide = len(page.heads)
    _say(sheet["A1"], page.title)
    for column in range(1, wide + 1):
        sheet.cell(1, column).style = "Sheet title"
    sheet.row_dimensions[1].height = 26
    widths = [_width(page, column) for column in range(wide)]
    for column, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = width
    head = 3
    for column, words in enumerate(page.heads, start=1):
        cell = sheet.cell(head, column)
        cell.style = "Table head"
        _say(cell, words)
        cell.alignment = Alignment(
            horizontal="left" if column == 1 else "center", vertical="top", wrap_text=True
        )
    sheet.row_dimensions[head].height = _height(page.heads, widths)
    for number, row in enumerate(page.rows, start=head + 1):
        for column, value in enumerate(row, start=1):
            _put(sheet.cell(number, column), value, page.looks[column - 1])
        sheet.row_dimensions[number].height = _height(row, widths)
    last = head + len(page.rows)
    for number, sentence in enumerate(page.says, start=last + 2):
        cell = sheet.cell(number, 1)
        cell.style = "Text plain"
        _say(cell, sentence)
    below = last + 3 + len(page.says)
    if page.graph and page.rows:
        if len(page.rows) > _ONE_PAGE:
            sheet.row_breaks.append(Break(id=below - 1))
        sheet.add_chart(_chart(page, page.graph, sheet, head, last), f"A{below}")
    sheet.freeze_panes = sheet.cell(head + 1, 2)
    sheet.auto_filter.ref = f"A{head}:{get_column_letter(wide)}{last}"
    _set_up(sheet, head)
    drawings: dict[str, list[Chart]] = {}
    if page.graph:
        chart = Chart(title=in_xml(page.graph.title), series=(), words=in_xml(page.graph.words))
        drawings["xl/drawings/drawing1.xml"] = [chart]
    return packed(book, drawings)


def _put(cell: Any, value: Cell, looks: str) -> None:
    cell.style = "Table words" if isinstance(value, str) else "Table result"
    if isinstance(value, CellError):
        cell.value, cell.data_type = value.value, "e"
    elif isinstance(value, str):
        _say(cell, value)
    elif value is not None:
        cell.value = value
        cell.number_format = looks
        cell.alignment = Alignment(horizontal="right", vertical="center")


def _say(cell: Any, words: str) -> None:
    """Put words into a cell; what begins with = stays words."""
    cell.value = in_xml(words)
    cell.data_type = "s"
    cell.quotePrefix = cell.value.startswith("=")


def _width(page: Page, column: int) -> float:
    """Room for what stands in a column; long words break."""
    texts = (row[column] for row in page.rows)
    longest = max((len(text) if isinstance(text, str) else _FIGURES for text in texts), default=_FIGURES)
    longest_word = max(map(len, page.heads[column].split() or [""]))
    return max(min(longest, _WIDEST), longest_word, _FIGURES) * _DIGIT + 2


def _height(row: Sequence[Cell], widths: Sequence[float]) -> float:
    """Room for the lines that the words of a row break into."""
    lines = [
        len(textwrap.wrap(text, int((width - 2) / _DIGIT)))
        for text, width in zip(row, widths, strict=True)
        if isinstance(text, str)
    ]
    return ROW_HEIGHT * max(lines, default=1) or ROW_HEIGHT


def _set_up(sheet: Any, head: int) -> None:
    sheet.sheet_view.showGridLines = False
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.page_margins = PageMargins(**MARGINS)
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "page &P of &N"
    sheet.print_title_rows = f"{head}:{head}"


def _chart(page: Page, graph: Graph, sheet: Any, head: int, last: int) -> Any:
    bars = graph.flat or len(page.rows) <= _MOST_BARS
    last = min(last, head + _MOST_FLAT) if graph.flat else last
    chart: Any = BarChart() if bars else LineChart()
    chart.title, chart.roundedCorners = in_xml(graph.title), False
    chart.width, chart.height = (
        10 * _INCH,
        (max(3.5, 1.2 + 0.3 * (last - head)) if graph.flat else 4) * _INCH,
    )
    for column in graph.values:
        chart.add_data(Reference(sheet, column + 1, head, max_row=last), titles_from_data=True)
    chart.set_categories(Reference(sheet, graph.names + 1, head + 1, max_row=last))
    for (colour, _), series in zip(FILLS, chart.series, strict=False):
        look = LineProperties(solidFill=colour, w=19_050)
        series.graphicalProperties = (
            GraphicalProperties(solidFill=colour) if bars else GraphicalProperties(ln=look)
        )
        if bars:
            series.invertIfNegative = False
            series.dLbls = DataLabelList(
                showVal=True,
                showSerName=False,
                showCatName=False,
                showLegendKey=False,
                showPercent=False,
                txPr=letters(),
            )
        else:
            series.smooth = False
    if bars:
        chart.type, chart.gapWidth = "bar" if graph.flat else "col", 60
        chart.y_axis.scaling.min = None if graph.flat else 0  # the bars' lengths are to be compared
    if graph.flat:
        chart.x_axis.scaling.orientation, chart.y_axis.crosses = "maxMin", "max"
        chart.overlap = 100  # the step less and the step more on one line
        chart.x_axis.tickLblPos = "low"  # names stand left of the bars that reach below zero
    if len(graph.values) == 1:
        chart.legend = None
    else:
        chart.legend.position = "b"
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete, axis.txPr, axis.majorGridlines = False, letters(), None
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=HAIR)))
    return chart
