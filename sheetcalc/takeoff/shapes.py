"""Shapes: ceilings that are no rectangles, by their corners, and the courses that they get."""

from collections.abc import Iterable

from sheetcalc.kinds import ANGLE, AREA, COUNT, LENGTH, MONEY, TEXT, Kind
from sheetcalc.takeoff.measure import SHAPE_WALLS, SHAPES
from sheetcalc.takeoff.plans import JOINT_RULES, KEEP_CLEAR
from sheetcalc.workbooks.declare import FLAG, WORDED, Answer, Item, Lines, Sheet, Table, Text

CORNERS = 48

RUNS = 120  # stretches of courses of one of them

ENTRIES = Table(
    handle="corners",
    title="Corners of ceilings that are no rectangles, in the order in which you meet them",
    rows=CORNERS,
    columns=(
        Item(
            handle="corner_ceiling",
            label="Ceiling",
            note="Its name as in the first table of Measure; the first ceiling while blank.",
            width=24,
        ),
        Item(
            handle="corner_along",
            label="Along",
            kind=LENGTH,
            needed=True,
            note="Along the boards, from the line of the left-most corner.",
        ),
        Item(
            handle="corner_across",
            label="Across",
            kind=LENGTH,
            needed=True,
            note="From the start wall; 0 for the corners at it.",
        ),
        Item(
            handle="corner_opening",
            label="Opening",
            kind=COUNT,
            note="Blank for the walls. 1, 2 and on for a skylight, a chimney or a stair: two opposite corners will do.",
        ),
        Item(
            handle="corner_read",
            label="Read as",
            formula='=FEET_INCHES({corner_along})&" / "&FEET_INCHES({corner_across})',
            width=24,
        ),
    ),
)

RESULTS = Table(
    handle="shapes",
    title=f"What the corners make: {SHAPES} ceilings at most",
    rows=SHAPES,
    filled='={shape_no?}<>""',
    columns=(
        Item(handle="shape_name", label="Ceiling", formula="=INDEX({name_used[]},{shape_no})", width=24),
        Item(handle="shape_ground", label="Area, openings off", kind=AREA, formula="={ground}"),
        Item(handle="shape_rim", label="Around the walls", formula="=FEET_INCHES({rim})"),
        Item(handle="shape_runs", label="Stretches of courses", kind=COUNT, formula="={run_count}"),
        Item(handle="shape_count", label="Courses", kind=COUNT, formula="=INDEX({courses[]},{shape_no})"),
        Item(handle="shape_longest", label="Longest", formula="=FEET_INCHES({run_longest})"),
        Item(
            handle="shape_narrowest", label="Narrowest", formula="=INCH_FRACTION({run_slimmest})", kind=WORDED
        ),
        Item(handle="shape_state", label="Is it a ceiling?", formula="={shape_problem?}", width=56),
    ),
)

SHOWN = Lines(
    title="Courses of one of them",
    items=(
        Item(
            handle="shape_wanted",
            label="Ceiling",
            note="Its name, for Layout too. While blank that of the story pole (Measure) if it has corners, or the first; sheetcalc draw gives all.",
        ),
        Item(
            handle="shape_shown",
            label="Shown",
            formula='=INDEX({shape_name[]},{shape_row})&": "&INDEX({layout_note[]},INDEX({shape_no[]},{shape_row}))',
        ),
    ),
)


def _shown(column: str) -> str:
    """Read a column of the stretches of that ceiling."""
    return f"=INDEX({{{column}[]}},{{run_at}})"


COURSES = Table(
    handle="shape_courses",
    title="Every stretch of every course: from the left, between long points, between short points",
    rows=RUNS,
    filled='={run_at?}<>""',
    columns=(
        Item(handle="run_course_shown", label="Course", kind=COUNT, formula=_shown("run_course")),
        Item(handle="run_piece_shown", label="Stretch", kind=COUNT, formula=_shown("run_piece")),
        Item(handle="run_start_shown", label="Starts at", formula="=FEET_INCHES({run_start_exact})"),
        Item(handle="run_length_shown", label="Length", formula="=FEET_INCHES({run_length_exact})"),
        Item(
            handle="run_short_shown",
            label="Short points",
            formula='=IF({run_length_exact}-{run_short_exact}<{saw_step},"",FEET_INCHES({run_short_exact}))',
            note="Only where an end is cut at an angle, or notched.",
        ),
        Item(
            handle="run_width_shown",
            label="Width",
            formula="=INCH_FRACTION({run_width_exact})",
            kind=WORDED,
        ),
        Item(
            handle="run_narrow_shown",
            label="Narrowest",
            formula='=IF({run_width_exact}-{run_narrow_exact}<{dust},"",INCH_FRACTION({run_narrow_exact}))',
            kind=WORDED,
        ),
        Item(
            handle="run_boards_shown",
            label="Boards of this course, where joined",
            formula='=IF({shown_jointed}*{run_piece_shown}=1,INDEX({shape_marks_pieces[]},MATCH({run_course_shown},{shape_marks_course[]},0)),"")',
            width=56,
        ),
    ),
)

SHEET = Sheet(
    title="Shapes",
    holds="Ceilings that are no rectangles: L shapes, angled walls, chimneys and skylights.",
    blocks=(
        Text(
            (
                "Name the ceiling in the first table of Measure and leave its readings blank. Type its corners here, one after the other, either way round.",
                "Each corner: how far along the boards, from the line of the left-most corner; how far across, from the start wall. Two opposite corners are enough for a rectangle.",
                "Under a slope measure up the slope. Gaps are taken off at every wall and around openings, square to them. Opening: blank for walls; 1, 2 and on for a skylight or a chimney.",
            )
        ),
        ENTRIES,
        RESULTS,
        SHOWN,
        COURSES,
    ),
    landscape=True,
    columns=10,
)


# --- On the sheet Working ---

ALL_CORNERS = "{corner_along[]},{corner_across[]},{corner_opening[]},{corner_no[]}"

PIECES = (
    "{corner_along[]},{corner_across[]},{shape_face},{shape_gap},{shape_finish},{shape_layout},{shape_least},"
    "{take_up},{corner_opening[]},{corner_no[]},{shape_no},{saw_step}"
)
"""What COURSE_PIECES asks of one ceiling, up to the rows."""

RULES = Lines(
    title="Ceilings by their corners",
    items=(
        Item(handle="run_rows_kept", label="Stretches kept of each", kind=COUNT, formula=f"={RUNS}"),
        Item(handle="rim_rows_kept", label="Walls kept of each", kind=COUNT, formula=f"={SHAPE_WALLS}"),
        Item(handle="shapes_used", label="Ceilings with corners", kind=COUNT, formula="=SUM({shaped[]})"),
        Item(
            handle="shape_usual",
            label="Shown on Shapes and Layout, unless another is wanted",
            formula='=IF({shapes_used}=0,"",IF(COUNTIF({pole_shaped?},1)=1,{pole_name?},{shape_name.1?}))',
        ),
        Item(
            handle="shape_row",
            label="Shown there",
            kind=COUNT,
            formula='=IF({shapes_used}=0,"",MATCH(IF({shape_wanted?}="",{shape_usual},{shape_wanted?}),{shape_name[]},0))',
        ),
        *(
            Item(
                handle=f"shown_{what}",
                label=label,
                kind=kind,
                formula=f"=INDEX({{shape_{what}[]}},{{shape_row}})",
            )
            for what, label, kind in (
                ("no", "Ceiling", COUNT),
                ("board", "Choice", COUNT),
                ("bearing", "First framing", LENGTH),
                ("jointed", "Jointed", FLAG),
            )
        ),
    ),
)

CORNERS_USED = Table(
    handle="corners_used",
    title="Corners in their ceilings",
    like="corners",
    printed=False,
    columns=(
        Item(
            handle="corner_no",
            label="Ceiling",
            kind=COUNT,
            formula='=IF({corners_filled},IF({corner_ceiling?}="",1,MATCH({corner_ceiling?},{ceiling[]},0)),"")',
        ),
        Item(
            handle="corner_half",
            label="Half typed",
            kind=FLAG,
            formula="=N(AND({corners_filled}=0,COUNTA({corner_ceiling?},{corner_along?},{corner_across?},{corner_opening?})>0))",
        ),
    ),
)


def _of_ceiling(handle: str, label: str, column: str, kind: Kind = LENGTH) -> Item:
    return Item(handle=handle, label=label, kind=kind, formula=f"=INDEX({{{column}[]}},{{shape_no}})")


def _joints(name: str, which: str, length: str, course: str, start: str, rows: str = "") -> str:
    """Ask one of the joint functions of a ceiling with corners."""
    stock = f"INDEX({{stock_priced[]}},0,{{{which}_board}}),INDEX({{stock_cost[]}},0,{{{which}_board}})"
    return (
        f"{name}({length},{stock},{{joint_bearing}},{{{which}_bearing}},{JOINT_RULES},,{rows},"
        f"{course},{start},{KEEP_CLEAR},{{{which}_no}})"
    )


def joints_of_pole(rows: str) -> str:
    """Ask JOINT_PLAN of the ceiling of the story pole, if it has corners."""
    length, course, start = (
        f'IF({{run_ceiling[]}}={{pole_no}},{{{column}[]}},"")'
        for column in ("run_length", "run_course", "run_start")
    )
    return _joints("JOINT_PLAN", "pole", length, course, start, f"{rows},")


def _joined(name: str) -> str:
    """Ask it of a ceiling that is longer than the boards."""
    return (
        f"=IF({{shape_jointed}}=1,{_joints(name, 'shape', '{run_length}', '{run_course}', '{run_start}')},0)"
    )


FIGURES = Table(
    handle="shape_figures",
    title="Figures of the ceilings with corners",
    like="shapes",
    columns=(
        Item(
            handle="shape_no",
            label="Ceiling",
            kind=COUNT,
            formula='=IF({n}>{shapes_used},"",MATCH({n},{shape_order[]},0))',
        ),
        _of_ceiling("shape_face", "Face", "face_of"),
        _of_ceiling("shape_gap", "Gap", "gap_used"),
        _of_ceiling("shape_finish", "Finish gap", "finish_gap_used"),
        _of_ceiling("shape_layout", "Layout", "layout_used", TEXT),
        _of_ceiling("shape_least", "Least", "least_used"),
        _of_ceiling("shape_board", "Choice", "board_no", COUNT),
        _of_ceiling("shape_bearing", "First framing", "first_bearing"),
        _of_ceiling("shape_jointed", "Jointed", "jointed", FLAG),
        Item(handle="ground", label="Area", kind=AREA, formula=f"=SHAPE_AREA({ALL_CORNERS},{{shape_no}})"),
        Item(
            handle="opening_odd",
            label="Openings overlap, or reach beyond the walls",
            kind=FLAG,
            formula=f'=N({{ground}}>SHAPE_AREA({ALL_CORNERS},{{shape_no}},"walls")-SHAPE_AREA({ALL_CORNERS},{{shape_no}},"openings")+{{whole_within}})',
        ),
        Item(
            handle="rim", label="Around", kind=LENGTH, formula=f"=SHAPE_PERIMETER({ALL_CORNERS},{{shape_no}})"
        ),
        Item(handle="run_count", label="Stretches", kind=COUNT, formula="=COUNT({run_length})"),
        Item(handle="run_total", label="Their length", kind=LENGTH, formula="=SUM({run_length})"),
        Item(
            handle="shape_angled",
            label="Ends cut at an angle, or notched",
            kind=FLAG,
            formula="=N({run_total}-SUM({run_short})>{saw_step})",
        ),
        Item(handle="run_longest", label="Longest", kind=LENGTH, formula="=MAX({run_length})"),
        Item(handle="run_slimmest", label="Narrowest", kind=LENGTH, formula="=MIN({run_narrowest})"),
        Item(
            handle="run_ripped",
            label="Length of those ripped",
            kind=LENGTH,
            formula='=SUMIFS({run_length},{run_width},"<"&({shape_face}-{dust}))',
        ),
        Item(
            handle="shape_problem",
            label="Problem",
            formula=f'=IF({{shape_no}}>0,IF(ISERROR({{run_longest?}}),ENTRY_PROBLEM("COURSE_PIECES",{PIECES.replace("}", "?}").replace("[]?", "[]")}),"ok"),"")',
        ),
        Item(handle="no_ceiling", label="Is none", kind=FLAG, formula='=N({shape_problem}<>"ok")'),
        Item(
            handle="shape_joints",
            label="End joints",
            kind=COUNT,
            formula=_joined("JOINT_COUNT"),
        ),
        Item(
            handle="shape_money",
            label="Boards and joints",
            kind=MONEY,
            formula=_joined("JOINT_COST"),
        ),
        Item(
            handle="shape_bound",
            label="No layout costs less than",
            kind=MONEY,
            formula=_joined("LOWEST_JOINT_COST"),
        ),
    ),
)

ROWS = Answer(
    handle="run_rows",
    title="Stretches of the courses of ceilings with corners",
    rows=RUNS,
    like="shapes",
    columns=(
        Item(handle="run_ceiling", label="Ceiling", kind=COUNT),
        Item(handle="run_course", label="Course", kind=COUNT),
        Item(handle="run_piece", label="Stretch", kind=COUNT),
        Item(handle="run_start", label="Start", kind=LENGTH),
        Item(handle="run_length", label="Length", kind=LENGTH),
        Item(handle="run_short", label="Short points", kind=LENGTH),
        Item(handle="run_width", label="Width", kind=LENGTH),
        Item(handle="run_narrowest", label="Narrowest", kind=LENGTH),
    ),
    formula=f"=COURSE_PIECES({PIECES},{{run_rows_kept}})",
)

RIM = Answer(
    handle="rim_rows",
    title="Walls of ceilings with corners",
    rows=SHAPE_WALLS,
    like="shapes",
    columns=(
        Item(handle="rim_wall", label="Wall", kind=COUNT),
        Item(handle="rim_length", label="Length", kind=LENGTH),
        Item(handle="rim_angle", label="To the boards", kind=ANGLE),
    ),
    formula=f"=SHAPE_WALLS({ALL_CORNERS},{{shape_no}},{{rim_rows_kept}})",
)

_MARKS = _joints(
    "JOINT_MARKS",
    "shown",
    "{run_length_exact[]}",
    "{run_course_shown[]}",
    "{run_start_exact[]}",
    "{run_rows_kept},",
)
MARKS = Answer(
    handle="shape_marks",
    title="Boards of the courses shown on Shapes, where joined",
    rows=RUNS,
    columns=(
        Item(handle="shape_marks_course", label="Course", kind=COUNT),
        Item(handle="shape_marks_pieces", label="Pieces"),
        Item(handle="shape_marks_joints", label="End joints"),
    ),
    formula=f'=IF({{shown_jointed}}=1,{_MARKS},"")',
)

SHOWN_ROWS = Table(
    handle="shape_courses_used",
    title="Stretches shown on Shapes",
    like="shape_courses",
    printed=False,
    columns=(
        Item(
            handle="run_at",
            label="Row",
            kind=COUNT,
            formula='=IF({n}>INDEX({run_count[]},{shape_row}),"",({shape_row}-1)*{run_rows_kept}+{n})',
        ),
        *(
            Item(handle=handle, label=label, kind=LENGTH, formula=_shown(column))
            for handle, label, column in (
                ("run_start_exact", "Start", "run_start"),
                ("run_length_exact", "Length", "run_length"),
                ("run_short_exact", "Short points", "run_short"),
                ("run_width_exact", "Width", "run_width"),
                ("run_narrow_exact", "Narrowest", "run_narrowest"),
            )
        ),
    ),
)


def tables() -> Iterable[Table | Lines]:
    """Blocks of the sheet Working that are printed."""
    return (RULES, FIGURES)


def answers() -> Iterable[Table | Answer]:
    """Blocks of the sheet Working that stand at its end."""
    return (CORNERS_USED, SHOWN_ROWS, ROWS, RIM, MARKS)
