"""Layout: courses, rips and marks of every ceiling, for the saw and the scaffold."""

from sheetcalc.kinds import COUNT, TEXT
from sheetcalc.takeoff.measure import ENDS
from sheetcalc.takeoff.papers import LEAD, OVERHEAD
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

BLOCK = (
    "{across_used:},{face_of},{gap_used},{finish_gap_used},{layout_used},{least_used},{take_up},{taper_used}"
)
"""The arguments that all functions of the courses share, for one row of the ceilings."""

MAYBE = BLOCK.replace("}", "?}")
"""The same without guards, for a note that says what is wrong."""

LONGEST = '=IF(COUNTIF({batches[]},">1")=0,"","longest: the walls at the board ends run apart. Pieces add up to the longest course; trim the last of each course to the wall less the gap")'
"""What to do where the courses of a ceiling are not of one length."""

POLE_ROWS = 60  # marks in each of the two stretches of the story pole

WALLS = Table(
    handle="walls",
    title="Walls, boards and gaps",
    like="ceilings",
    columns=(
        Item(handle="walls_name", label="Ceiling", formula="={name_used}"),
        Item(handle="walls_board", label="Board", formula="={board_of}"),
        Item(handle="walls_start", label="Start wall", formula="={start_wall}"),
        Item(handle="walls_gap", label="Gap, start", formula="=INCH_FRACTION({start_gap})", kind=WORDED),
        Item(
            handle="walls_finish",
            label="Gap, finish",
            formula="=INCH_FRACTION(AVERAGE({here_gap:}))",
            kind=WORDED,
        ),
        Item(
            handle="walls_trim",
            label="Trim, start",
            formula="=INCH_FRACTION(READ_LENGTH({trim_first}))",
            kind=WORDED,
        ),
        Item(
            handle="walls_trim_last",
            label="Trim, finish",
            formula="=INCH_FRACTION(READ_LENGTH({trim_last}))",
            kind=WORDED,
        ),
        Item(
            handle="smallest",
            label="Gap at ends, least",
            formula="=INCH_FRACTION(SMALLEST_GAP({along_used:},{cut},{gap_used}))",
            kind=WORDED,
        ),
        Item(
            handle="widest",
            label="Gap at ends, most",
            formula="=INCH_FRACTION(WIDEST_GAP({along_used:},{cut},{gap_used}))",
            kind=WORDED,
        ),
        Item(handle="walls_run", label="Boards run", formula="={direction}", width=17),
    ),
)

JOB = Lines(
    title="For the scaffold",
    items=(
        Item(handle="layout_job", label="Job", formula="={job}"),
        Item(handle="layout_place", label="Place", formula="={place}"),
    ),
)

COURSES = Table(
    handle="layout_ceilings",
    title="Courses",
    like="ceilings",
    columns=(
        Item(handle="layout_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="layout_parallel",
            label="Out of parallel",
            formula="=INCH_FRACTION({parallel})",
            kind=WORDED,
        ),
        Item(
            handle="layout_square",
            label="Out of square",
            formula="=INCH_FRACTION({square})",
            kind=WORDED,
            note="Slip of the far side from the diagonals.",
        ),
        Item(handle="layout_courses", label="Courses", kind=COUNT, formula="={courses}"),
        Item(handle="layout_first", label="First course", formula="=INCH_FRACTION({first})", kind=WORDED),
        Item(handle="layout_last", label="Last course", formula="=INCH_FRACTION({last})", kind=WORDED),
        Item(
            handle="first_shows",
            label="First shows, narrowest",
            formula="=INCH_FRACTION({first_seen})",
            kind=WORDED,
        ),
        Item(
            handle="last_shows",
            label="Last shows, narrowest",
            formula="=INCH_FRACTION({last_seen})",
            kind=WORDED,
        ),
        Item(
            handle="layout_cut",
            label="Length to cover",
            formula='=IF({shaped}=1,"see stretches",IF({batches}>1,"longest "&FEET_INCHES({stock_for}),FEET_INCHES({cut})))',
            width=14,
        ),
        Item(
            handle="layout_note",
            label="Note",
            formula='=IF({ceilings_filled}=1,IF({layout_problem?}="",{layout_words?},{layout_problem?}),"")',
            width=52,
        ),
    ),
)

EDGES = Table(
    handle="edges",
    title="Width of the edge courses at each reading",
    like="ceilings",
    columns=(
        Item(handle="edges_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="edge_first",
            label="First",
            formula="=INCH_FRACTION({here_first})",
            cells=3,
            heads=ENDS,
            kind=WORDED,
        ),
        Item(
            handle="edge_last",
            label="Last",
            formula="=INCH_FRACTION({here_last})",
            cells=3,
            heads=ENDS,
            kind=WORDED,
        ),
        Item(
            handle="edge_gap",
            label="Gap, finish",
            formula="=INCH_FRACTION({here_gap})",
            cells=3,
            heads=ENDS,
            kind=WORDED,
        ),
    ),
)

CROSSED = Table(
    handle="crossed",
    title="Courses that each fixture cuts, counted from the start wall",
    like="fixtures",
    columns=(
        Item(handle="crossed_name", label="Fixture", formula="={fixture}"),
        Item(handle="crossed_ceiling", label="Ceiling", formula="=INDEX({name_used[]},{fixture_no})"),
        Item(handle="crossed_at", label="Centre from wall", formula="=FEET_INCHES({position_across})"),
        Item(
            handle="crossed_along",
            label="From left end",
            formula='=IF({position_along?}="","",FEET_INCHES({position_along?}))',
        ),
        Item(handle="crossed_courses", label="Courses cut", formula="={courses_cut}"),
        Item(
            handle="crossed_framed",
            label="To hang it from",
            formula='=IF({fixture_no}>0,CHOOSE(1+N({framed?}="yes")+2*N({framed?}="no"),"blocking not known","framing or box","blocking is missing"),"")',
            width=20,
        ),
    ),
)

CHOSEN = Lines(
    title="Story pole of one ceiling",
    items=(
        Item(
            handle="pole_words", label="Ceiling", formula='={pole_name}&": "&INDEX({layout_note[]},{pole_no})'
        ),
        Item(
            handle="joint_words",
            label="End joints",
            formula='=IF({pole_shaped}=1,"see its stretches, below",{joints_said})',
        ),
        Item(
            handle="pole_others",
            label="Other ceilings",
            formula='=IF({ceilings_in_use}>1,"not here: sheetcalc draw gives the poles and joints of all; or name another on Measure and print again","")',
        ),
    ),
)

POLE = Table(
    handle="pole",
    title="Marks from the starting wall to the far edge of each course (tongue shoulder)",
    like="pole_list",
    columns=(
        Item(
            handle="mark_course",
            label="Course",
            kind=COUNT,
            formula='=IF({n}>{pole_courses},"",INDEX({pole_course[]},{n}))',
        ),
        Item(
            handle="mark_width",
            label="Width",
            formula="=INCH_FRACTION(INDEX({pole_width[]},{mark_course}))",
            kind=WORDED,
        ),
        Item(
            handle="mark_at",
            label="Mark",
            formula="=INCH_FRACTION(INDEX({pole_mark[]},{mark_course}))",
            kind=WORDED,
        ),
        Item(
            handle="mark_read",
            label=both("The same in feet", "The same in metres"),
            formula="=FEET_INCHES(INDEX({pole_mark[]},{mark_course}))",
        ),
        Item(
            handle="mark_course_more",
            label="Course",
            kind=COUNT,
            formula='=IF({n}+{pole_rows}>{pole_courses},"",INDEX({pole_course[]},{n}+{pole_rows}))',
        ),
        Item(
            handle="mark_width_more",
            label="Width",
            formula="=INCH_FRACTION(INDEX({pole_width[]},{mark_course_more}))",
            kind=WORDED,
        ),
        Item(
            handle="mark_at_more",
            label="Mark",
            formula="=INCH_FRACTION(INDEX({pole_mark[]},{mark_course_more}))",
            kind=WORDED,
        ),
        Item(
            handle="mark_read_more",
            label=both("The same in feet", "The same in metres"),
            formula="=FEET_INCHES(INDEX({pole_mark[]},{mark_course_more}))",
        ),
    ),
)

JOINTS = Table(
    handle="joint_list",
    title="Courses with end joints: pieces in order, and each joint from the boards' start (left)",
    like="pole_list",
    columns=(
        Item(
            handle="joint_pieces_shown",
            label="Course and its pieces",
            formula='=IF({n}>{pole_courses}*{pole_jointed},"",{n}&":  "&INDEX({joint_course_pieces[]},{n}))',
            width=40,
        ),
        Item(
            handle="joints_shown",
            label="End joints at",
            width=26,
            formula='=IF({n}>{pole_courses}*{pole_jointed},"",INDEX({joint_places[]},{n}))',
        ),
    ),
)

STRETCHES = Table(
    handle="stretches",
    title="Stretches from the left, between long points and between short points",
    like="shape_courses",
    columns=(
        Item(
            handle="stretch_course",
            label="Course, and its boards where joined",
            formula='={run_course_shown}&IF({run_boards_shown?}="","",":  "&{run_boards_shown?})',
            width=40,
        ),
        Item(handle="stretch", label="Stretch", kind=COUNT, formula="={run_piece_shown}"),
        *(
            Item(handle=f"stretch_{what}", label=label, kind=kind, formula=f"={{run_{what}_shown?}}")
            for what, label, kind in (
                ("start", "Starts at", TEXT),
                ("length", "Length", TEXT),
                ("short", "Short points", TEXT),
                ("width", "Width", WORDED),
                ("narrow", "Narrowest", WORDED),
            )
        ),
    ),
)

SHEET = Sheet(
    title="Layout",
    holds="Courses, rips and marks, wall by wall.",
    blocks=(
        JOB,
        COURSES,
        Text((LONGEST,)),
        WALLS,
        EDGES,
        CROSSED,
        Text(
            (
                *LEAD,
                "Set out by the marks: each is rounded by itself, from the wall, so widths added up drift away from them.",
                "Prime every cut end and ripped edge before it goes up. Collect the dust; wear a respirator, above all routing overhead.",
                *OVERHEAD,
            ),
            "caution",
        ),
        CHOSEN,
        Text(('={pole_name}&": story pole"',), "head"),
        POLE,
        Text(('=IF({pole_jointed}=1,{pole_name}&": end joints","")',), "head"),
        JOINTS,
        Text(('={shape_shown}&": every stretch of its courses"',), "head"),
        STRETCHES,
    ),
    landscape=True,
    columns=11,
    locked=True,
    paper=True,
)
