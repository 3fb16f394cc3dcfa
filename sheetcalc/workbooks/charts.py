"""Charts as declared, made into the native charts of a workbook."""

import re
from typing import Any
from xml.sax.saxutils import quoteattr

from openpyxl.chart import BarChart, ScatterChart
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import AxDataSource, NumDataSource, NumRef, StrRef
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import Series as Drawn
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties
from openpyxl.drawing.text import Font as Letters

from sheetcalc.workbooks.declare import Chart, Line, Series
from sheetcalc.workbooks.page import Plan
from sheetcalc.workbooks.refs import Here, formula
from sheetcalc.workbooks.style import BRASS, FACE, HAIR, INK, LOOK_INK, PAPER, QUIET, SPRUCE

_INCH = 2.54  # cm, in which a chart's size is told
_POINT = 12_700  # of the units that charts are measured in
_LINES: dict[Line, tuple[str, float, Any]] = {
    "plain": (QUIET, 0.75, "solid"),
    "bold": (INK, 2.25, "solid"),
    "dash": (LOOK_INK, 1.75, "dash"),
    "dots": (SPRUCE, 1.75, "sysDot"),
    "fine": (HAIR, 0.75, "solid"),
}
"""Colour, width in points and dashes of each kind of line."""
_MARKS: dict[Line, tuple[str, Any, int]] = {
    "marks": (LOOK_INK, "diamond", 5),
    "specks": (SPRUCE, "circle", 2),
}
"""Colour, shape and size of points that no line joins."""
FILLS: tuple[tuple[str, Any], ...] = (
    (SPRUCE, ""),
    (BRASS, "wdUpDiag"),
    (LOOK_INK, "wdDnDiag"),
    (QUIET, "pct50"),
)
"""Colour and hatching of columns and bars, one series after the other."""
_MARGIN, _LEGEND = 0.08, 0.35  # inches round a drawing to scale, and for the names of its lines
_BETWEEN = 60  # percent of a column that stays free between two


def charted(block: Chart, sheet: str, plan: Plan) -> Any:
    """Make a chart.

    Parameters
    ----------
    block : Chart
        As declared.
    sheet : str
        The sheet that it stands on.
    plan : Plan
        Where the handles stand.

    Raises
    ------
    ValueError
        A reference leads nowhere, or to cells that are no column or row.
    """
    chart: Any = ScatterChart() if block.kind == "scatter" else BarChart()
    chart.width, chart.height = (side * _INCH for side in (block.wide, block.high))
    chart.roundedCorners = False
    for number, series in enumerate(block.series):
        chart.series.append(_series(block, series, number, sheet, plan))
    if len(block.series) > 1:
        chart.legend.position = "b"
        chart.legend.txPr = letters()
    else:
        chart.legend = None
    if block.frame:
        _to_scale(chart, block)
    else:
        _axes(chart, block)
    return chart


def named(drawing: str, blocks: list[Chart]) -> str:
    """Put titles and words of charts into the part that places them, in the same order."""
    for number, block in enumerate(blocks, 1):
        said = f"name={quoteattr(block.title)} descr={quoteattr(block.words)}"
        drawing = re.sub(f'name="Chart {number}"', lambda _, said=said: said, drawing, count=1)
    return drawing


def untitled(chart: bytes) -> bytes:
    """Keep programs from giving a chart of one series a title of their own: its block has one."""
    return chart.replace(b"<chart><plotArea>", b'<chart><autoTitleDeleted val="1" /><plotArea>', 1)


def _series(block: Chart, series: Series, number: int, sheet: str, plan: Plan) -> Drawn:
    values = NumDataSource(numRef=NumRef(f=_cells(series.values, sheet, plan)))
    drawn: Any = Drawn(idx=number, order=number, tx=SeriesLabel(v=series.label))
    if block.kind == "scatter":
        drawn.xVal = AxDataSource(numRef=NumRef(f=_cells(series.across, sheet, plan)))
        drawn.yVal = values
        drawn.smooth = False
        if series.line in _MARKS:
            colour, shape, size = _MARKS[series.line]
            look = GraphicalProperties(solidFill=colour, ln=LineProperties(solidFill=colour))
            drawn.marker = Marker(symbol=shape, size=size, spPr=look)
            drawn.spPr = GraphicalProperties(ln=LineProperties(noFill=True))
        else:
            colour, width, dash = _LINES[series.line]
            drawn.marker = Marker(symbol="none")
            line = LineProperties(w=round(width * _POINT), solidFill=colour, prstDash=dash)
            drawn.spPr = GraphicalProperties(ln=line)
        return drawn
    if block.names:
        drawn.cat = AxDataSource(strRef=StrRef(f=_cells(block.names, sheet, plan)))
    drawn.val = values
    drawn.invertIfNegative = False
    colour, pattern = FILLS[number % len(FILLS)]
    look = GraphicalProperties(ln=LineProperties(w=_POINT // 2, solidFill=INK))
    if pattern:
        either: tuple[Any, Any] = colour, PAPER
        ink, ground = (ColorChoice(srgbClr=each) for each in either)
        look.pattFill = PatternFillProperties(prst=pattern, fgClr=ink, bgClr=ground)
    else:
        look.solidFill = colour
    drawn.spPr = look
    drawn.dLbls = DataLabelList(
        showVal=True,
        showSerName=False,
        showCatName=False,
        showLegendKey=False,
        showPercent=False,
        txPr=letters(),
    )
    return drawn


def _cells(reference: str, sheet: str, plan: Plan) -> str:
    found = formula(f"={reference}", Here(sheet), plan.places, plan.system).references
    if len(found) != 1 or (found[0].cells.rows > 1 and found[0].cells.columns > 1):
        raise ValueError(f"{reference}: a chart reads cells in one column or row")
    return found[0].cells.address()


def _axes(chart: Any, block: Chart) -> None:
    if block.kind == "bar":
        chart.type = "bar"
        chart.x_axis.scaling.orientation = "maxMin"  # the first on top
        chart.y_axis.crosses = "max"  # and the values below all the same
    if block.kind != "scatter":
        chart.gapWidth = _BETWEEN
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.txPr = letters()
        axis.majorGridlines = None
    if block.from_zero:
        chart.y_axis.scaling.min = 0.0
    chart.y_axis.title = block.unit or None
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=HAIR)))


def _to_scale(chart: Any, block: Chart) -> None:
    # Axes cannot be tied to cells, so the cells bring what is drawn into a frame of fixed shape.
    width = min(block.wide - 2 * _MARGIN, (block.high - 2 * _MARGIN - _LEGEND) / block.frame)
    chart.layout = Layout(
        ManualLayout(
            layoutTarget="inner",
            xMode="edge",
            yMode="edge",
            x=round((block.wide - width) / 2 / block.wide, 6),
            y=round(_MARGIN / block.high, 6),
            w=round(width / block.wide, 6),
            h=round(width * block.frame / block.high, 6),
        )
    )
    for axis, most in ((chart.x_axis, 1.0), (chart.y_axis, block.frame)):
        axis.scaling.min, axis.scaling.max = 0.0, most
        axis.delete = True
        axis.majorGridlines = None


def letters() -> RichText:
    """Letters of a chart."""
    look = CharacterProperties(sz=900, solidFill=INK, latin=Letters(typeface=FACE))
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=look), endParaRPr=look)])
