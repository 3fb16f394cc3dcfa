"""How a workbook looks: palette, cell styles and number formats, all of them here."""

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Protection, Side

from sheetcalc.kinds import (
    ANGLE,
    AREA,
    BOARD_FEET,
    COUNT,
    DAYS,
    DENSITY,
    FILM,
    HOURS,
    LENGTH,
    MONEY,
    NUMBER,
    PERCENT,
    RUN,
    SHARE,
    SPREAD,
    SYSTEMS,
    TEMPERATURE,
    TEXT,
    TUBE,
    VOLUME,
    WEIGHT,
    Kind,
)
from sheetcalc.workbooks.declare import AS_TYPED, CHECK, DATE, FLAG, Item

PAPER = "FFFFFF"
INK = "1F2A30"  # slate
QUIET = "55636B"  # grey slate: units, notes, words beside an entry
SPRUCE = "24474D"  # sheet titles
MIST = "E1EBEA"  # block titles and table heads
STRAW = "FFF6DC"  # entries
BRASS = "A98B3C"  # their frames
HAIR = "CFD8D8"  # lines between rows
GOOD, GOOD_INK = "E1F1E3", "1D5630"
LOOK, LOOK_INK = "FCE8DC", "8A3208"
BELOW_ZERO = "A3201C"

FACE = "Arial"
SIZE = 10
ROW_HEIGHT = 15.0  # points


def _edges(colour: str, **edges: str) -> Border:
    return Border(**{edge: Side(style=weight, color=colour) for edge, weight in edges.items()})  # type: ignore[arg-type]


_ABOVE = _edges(HAIR, top="thin")
_AROUND = _edges(HAIR, left="thin", right="thin", top="thin", bottom="thin")
_FRAME = _edges(BRASS, left="thin", right="thin", top="thin", bottom="thin")


def alignment(style: str, side: str = "left") -> Alignment:
    """Align a cell of some style: words a little off the left edge."""
    return Alignment(
        horizontal=side,
        vertical="center",
        indent=int(side == "left"),
        wrap_text=style in ("Table head", "Table words"),
    )


def _style(
    name: str,
    *,
    ink: str = INK,
    ground: str = "",
    size: float = SIZE,
    bold: bool = False,
    italic: bool = False,
    border: Border | None = None,
    locked: bool = True,
) -> NamedStyle:
    return NamedStyle(
        name=name,
        font=Font(name=FACE, size=size, bold=bold, italic=italic, color=ink),
        fill=PatternFill("solid", fgColor=ground) if ground else PatternFill(),
        border=border or Border(),
        alignment=alignment(name),
        protection=Protection(locked=locked),
    )


STYLES = {
    style.name: style
    for style in (
        _style("Sheet title", size=16, bold=True, ink=PAPER, ground=SPRUCE),
        _style("Sheet sentence", ink=QUIET),
        _style("Sheet state", bold=True),
        _style("Block title", size=11, bold=True, ground=MIST),
        _style("Block head", size=9, ink=QUIET, ground=MIST),
        _style("Table head", size=9, bold=True, ground=MIST, border=_AROUND),
        _style("Line item", border=_ABOVE),
        _style("Line entry", ground=STRAW, border=_FRAME, locked=False),
        _style("Line result", border=_ABOVE),
        _style("Line words", size=9, ink=QUIET, border=_ABOVE),
        _style("Line more", size=9, ink=QUIET),
        _style("Line needed", size=9, bold=True, ink=LOOK_INK, border=_ABOVE),
        _style("Table item", border=_AROUND),
        _style("Table entry", ground=STRAW, border=_FRAME, locked=False),
        _style("Table result", border=_AROUND),
        _style("Table words", border=_AROUND),
        _style("Text plain"),
        _style("Text head", size=12, bold=True, ink=SPRUCE),
        _style("Text caution", bold=True, ink=LOOK_INK),
        _style("Text paper", size=13),
    )
}
"""Cell styles by name, as they stand in the file's own list of styles."""

TEXT_SCALE = {
    "Line words": 1.2,
    "Table head": 1.1,
    "Table words": 1.08,
    "Text plain": 1.08,
    "Text caution": 1.0,
    "Text head": 0.8,
    "Text paper": 0.8,
}
"""Characters in a column one character wide, for the styles whose words may run on or break."""

HEIGHTS = {"Sheet title": 26.0, "Block title": 19.0, "Text head": 20.0, "Text paper": 20.0}
"""Heights of rows in points, for the styles whose letters need more than a usual row."""

_NUMBER = "[=0]0;[<0.1]0.00000;#,##0.00"  # coefficients are small, quantities are not

STATED = Kind("stated length")  # a default, or what is used: 1/2, where a result is 8/16

FORMATS: dict[Kind, tuple[str, str]] = {
    LENGTH: ("# ??/16", "0.0"),
    STATED: ("# ??/??", "General"),
    AS_TYPED: ("@", "@"),
    RUN: ("#,##0.0", "#,##0.00"),
    AREA: ("#,##0.0", "#,##0.00"),
    VOLUME: ("0.00", "0.00"),
    TUBE: ("0.0", "0"),
    FILM: ("0.0", "0"),
    SPREAD: ("0", "0.0"),
    TEMPERATURE: ("0.0", "0.0"),
    DENSITY: ("0.0", "0"),
    WEIGHT: ("#,##0.0", "#,##0.0"),
    BOARD_FEET: ("#,##0.0", "#,##0.0"),
    PERCENT: ("0.0", "0.0"),
    SHARE: ("0.0%", "0.0%"),
    COUNT: ("0", "0"),
    NUMBER: (_NUMBER, _NUMBER),
    MONEY: ("#,##0.00", "#,##0.00"),
    HOURS: ("#,##0.00", "#,##0.00"),
    DAYS: ("0.0", "0.0"),
    ANGLE: ("0.0", "0.0"),
    DATE: ("mmmm d, yyyy", "d mmmm yyyy"),
    FLAG: ('"yes";"yes";', '"yes";"yes";'),
}
"""Number format of each kind in us and metric units; General for words."""


def number_format(item: Item, system: str, *, typed: bool = False) -> str:
    """Give the number format of an item's cells; millimetres and dates that are typed stay as typed."""
    if item.per and item.kind is HOURS:
        return "0.0000"  # hours for one square foot are a small part of an hour
    if typed and item.kind is LENGTH and system == "metric":
        return "General"
    if typed and item.kind is DATE:
        return "yyyy-mm-dd"
    return FORMATS.get(item.kind, ("General", "General"))[SYSTEMS.index(system)]


def unit_words(item: Item, system: str) -> str:
    """Word the unit of an item: "in", "per ft²", "h per ft²"."""
    own, below = (getattr(kind, system) if kind else "" for kind in (item.kind, item.per))
    return item.unit or " ".join(part for part in (own, f"per {below}" if below else "") if part)


def side(item: Item) -> str:
    """Tell where an item's values stand in their cells: measures to the right, words to the left.

    Results side by side stand below their heads, words too.
    """
    if item.kind is FLAG:
        return "center"
    words = item.kind in (TEXT, CHECK) and not item.unit
    return "left" if words and not (item.formula and item.cells > 1) else "right"
