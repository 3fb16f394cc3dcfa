"""Plan: one ceiling to scale, as a chart that follows every change."""

from typing import NamedTuple

from sheetcalc.kinds import COUNT, LENGTH, NUMBER
from sheetcalc.takeoff.layout import POLE_ROWS
from sheetcalc.takeoff.measure import ENDS, FIXTURES, SHAPE_WALLS, WALLS
from sheetcalc.trade.drawing import FRAME, ROUND_BY
from sheetcalc.workbooks.declare import Answer, Chart, Item, Line, Lines, Series, Sheet, Table, Text

PIECES = 4 * POLE_ROWS  # kept of the ceiling that is drawn
_CEILING = (
    "{pole_along:},{pole_across:},{pole_face},{pole_gap},{pole_finish_gap},"
    "{pole_layout},{pole_least},{take_up},{pole_taper}"
)
_PIECES = ",".join(
    f"IF({{pole_shape_jointed}}=1,{{shape_{column}[]}},{{{column}[]}})"
    for column in ("piece_course", "piece_start")
)
_CORNERS = "{corner_along[]},{corner_across[]},{corner_opening[]},{corner_no[]}"
_FIXTURES = "{shape[]},{width[]},{height[]},{position_across[]},{position_along[]},{fixture_no[]}"


class _Drawn(NamedTuple):
    """One line of the picture: its word, its name, how it is drawn, its most points, what it alone asks."""

    what: str
    label: str
    line: Line
    points: int
    pieces: str = ","
    fixtures: str = ",,,,,"
    bar: str = ""

    @property
    def asked(self) -> str:
        """What DRAWING_LINES asks."""
        own = f"{self.pieces},{self.fixtures},{{pole_no}},{self.bar},{{{self.what}_points}}"
        return f'"{self.what}",{_CEILING},{own},{_CORNERS}'


_LINES = (
    _Drawn("courses", "Boards", "plain", 2 * PIECES, pieces=_PIECES),
    _Drawn("first", "First course, ripped", "dash", 30),
    _Drawn("last", "Last or other, ripped", "dots", 30),
    _Drawn("joints", "End joints", "marks", PIECES, pieces=_PIECES),
    _Drawn("fixtures", "Fixtures", "specks", FIXTURES * ROUND_BY, fixtures=_FIXTURES),
    _Drawn("walls", "Walls", "bold", SHAPE_WALLS + 1),
    _Drawn("bar", "Scale bar", "bold", 6, bar="{bar_length}"),
)

READINGS = Lines(
    title="Readings of the ceiling that is drawn",
    items=tuple(
        Item(
            handle=f"pole_{way}",
            label=way.capitalize(),
            kind=LENGTH,
            cells=3,
            heads=tuple(f"{across}, {along}" for across, along in zip(ENDS, WALLS, strict=True)),
            formula=f"=INDEX({{{way}_used[]}},{{pole_no}},{{j}})",
        )
        for way in ("along", "across")
    ),
)

KEPT = Lines(
    title="Points kept for each line of the picture",
    items=(
        *(
            Item(handle=f"{drawn.what}_points", label=drawn.label, kind=COUNT, formula=f"={drawn.points}")
            for drawn in _LINES
        ),
        Item(
            handle="picture_short",
            label="Lines that cannot be drawn",
            kind=COUNT,
            formula="=" + "+".join(f"N(ISERROR({{{drawn.what}_x.1?}}))" for drawn in _LINES),
        ),
    ),
)

POINTS = tuple(
    Answer(
        handle=f"{drawn.what}_line",
        title=f"Points of the picture: {drawn.label.lower()}",
        rows=drawn.points,
        columns=(
            Item(handle=f"{drawn.what}_x", label="Across", kind=NUMBER),
            Item(handle=f"{drawn.what}_y", label="Up", kind=NUMBER),
        ),
        # Numbers even while there is nothing to draw: a text among them would spoil the whole chart.
        formula=f"=IF(N({{pole_courses}})=0,-1,DRAWING_LINES({drawn.asked}))".replace("}", "?}").replace(
            "]?}", "]}"
        ),
    )
    for drawn in _LINES
)

PATHS = tuple(
    Table(
        handle=f"{drawn.what}_path",
        title=f"The same for the chart: {drawn.label.lower()}",
        like=f"{drawn.what}_line",
        columns=tuple(
            Item(
                handle=f"{drawn.what}_{way}",
                label=label,
                kind=NUMBER,
                formula=f"={{{drawn.what}_{axis}?}}",
            )
            for way, axis, label in (("across", "x", "Across"), ("up", "y", "Up"))
        ),
        printed=False,
    )
    for drawn in _LINES
)
"""Plain references keep their numbers, and the chart, in a program without the functions."""

SHOWN = Lines(
    title="Drawn here",
    items=(
        Item(
            handle="drawn_ceiling",
            label="Ceiling",
            formula='={pole_name}&": "&INDEX({layout_note[]},{pole_no})',
        ),
        Item(
            handle="drawn_size",
            label="Size, along and across",
            formula='=FEET_INCHES(MAX({pole_along:}))&" along the boards, "&FEET_INCHES(MAX({pole_across:}))&" across, "&{pole_courses}&" courses"',
        ),
        Item(
            handle="drawn_seen",
            label="How to look at it",
            formula='="like a floor plan: the start wall behind you, left is left; held up to the ceiling it is mirrored"',
        ),
        Item(
            handle="drawn_wall",
            label="At the bottom",
            formula='="the start wall"&IF(INDEX({start_wall[]},{pole_no})="","",": "&INDEX({start_wall[]},{pole_no}))&"; boards run "&IF(INDEX({direction[]},{pole_no})="","from side to side","from side to side, "&INDEX({direction[]},{pole_no}))',
        ),
        Item(
            handle="drawn_fixtures",
            label="Fixtures",
            formula='=COUNTIFS({fixture_no[]},{pole_no},{fixture_placed[]},1)&" drawn, "&COUNTIFS({fixture_no[]},{pole_no},{fixture_placed[]},0)&" without a place along the boards"',
        ),
        Item(
            handle="drawn_bar",
            label="Scale",
            formula='="the picture is to scale; the line below it is "&FEET_INCHES({bar_length})&" long"',
        ),
    ),
)

PICTURE = Chart(
    title="Plan: the start wall at the bottom, left is left",
    words="The ceiling drawn on Layout, to scale: walls, courses, ripped courses, end joints, openings, fixtures. "
    "The sheet Layout holds the same in figures.",
    kind="scatter",
    frame=FRAME,
    wide=9.2,
    high=5.05,
    series=tuple(
        Series(
            label=drawn.label,
            values=f"{{{drawn.what}_up[]}}",
            across=f"{{{drawn.what}_across[]}}",
            line=drawn.line,
        )
        for drawn in _LINES
    ),
)

SHEET = Sheet(
    title="Plan",
    holds="One ceiling to scale: walls, courses, ripped courses, end joints and fixtures.",
    blocks=(
        SHOWN,
        PICTURE,
        Text(("For a view of the whole: measure and mark from Layout, never from the picture.",), "caution"),
    ),
    landscape=True,
    columns=10,
    one_page=True,
    paper=True,
)
