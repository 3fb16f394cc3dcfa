"""Measure: the job, its ceilings as the tape reads them, and the fixtures in them."""

from sheetcalc.kinds import COUNT, LENGTH
from sheetcalc.workbooks.declare import CHECK, DATE, WORDED, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

CEILINGS = 12
FIXTURES = 24
SHAPES, SHAPE_WALLS = 3, 24  # ceilings by their corners; walls of one of them
ENDS = ("left", "middle", "right")  # where readings across the boards are taken
WALLS = ("start wall", "middle", "far wall")  # and those along them

JOB = Lines(
    title="The job",
    items=(
        Item(handle="job", label="Job"),
        Item(handle="place", label="Place"),
        Item(handle="owner", label="Owner"),
        Item(handle="firm", label="Made by"),
        Item(handle="measured_on", label="Measured on", kind=DATE),
        Item(
            handle="year_built",
            label="House built in",
            kind=COUNT,
            unit="year",
            note="Paint from before 1978 may hold lead: lead-safe rules apply (40 CFR 745 Subpart E).",
        ),
    ),
)

USUAL = Lines(
    title="For every ceiling, unless its own line says otherwise",
    items=(
        Item(
            handle="gap_usual",
            label="Gap at the walls",
            kind=LENGTH,
            default=both(0.5, 12),
            note="Open joint for movement; the trim covers it. Common practice, no source.",
        ),
        Item(
            handle="layout_usual",
            label="Layout",
            choices=("auto", "full", "balanced"),
            default="auto",
            note="auto: start with a full board unless the last course would be narrower than the least.",
        ),
        Item(
            handle="taper_usual",
            label="Taper",
            choices=("last", "split", "gap"),
            default="last",
            note="Where walls are not parallel: into the last course, half into each, or into the gap.",
        ),
        Item(
            handle="least",
            label="Least first or last course",
            kind=LENGTH,
            note="Narrowest edge course you accept; half a face while blank.",
        ),
        Item(
            handle="take_up",
            label="Take-up",
            kind=LENGTH,
            default=both(0.25, 6),
            note="How far the two gaps together may grow or shrink to save a rip.",
        ),
        Item(
            handle="most_gap",
            label="Widest gap at board ends",
            kind=LENGTH,
            default=both(0.75, 20),
            note="What the end trim hides; more taper than that is cut in batches. Common practice, no source.",
        ),
        Item(
            handle="reading_least",
            label="Readings are at least",
            kind=LENGTH,
            default=both(36, 900),
            note=both(
                "Less, or more than the next line, is a point to look at: feet or millimetres typed without marks?",
                "Less, or more than the next line, is a point to look at: metres or centimetres typed without marks?",
            ),
        ),
        Item(handle="reading_most", label="Readings are at most", kind=LENGTH, default=both(1200, 30000)),
        Item(
            handle="tongue_most",
            label="Longest likely tongue",
            kind=LENGTH,
            default=both(0.5, 15),
            note="A board wider than its face by more is a point to look at: is the run of ten that of this board?",
        ),
        Item(
            handle="sliver",
            label="Sliver",
            kind=LENGTH,
            default=both(1.5, 40),
            note="An edge course that shows less than this is a point to look at. Common practice, no source.",
        ),
        Item(
            handle="edge_clear",
            label="Holes stay clear of course joints",
            kind=LENGTH,
            default=both(0.5, 12),
            note="An edge that lies nearer leaves a weak sliver of board: a point to look at. Common practice, no source.",
        ),
        Item(
            handle="flange_least",
            label="Flanges cover the hole's edge",
            kind=LENGTH,
            default=both(0.125, 3),
            note="At least so far on either side; less is a point to look at. Common practice, no source.",
        ),
    ),
)

ACROSS = Table(
    handle="ceilings",
    title="Ceilings: across the boards (the way courses stack)",
    rows=CEILINGS,
    filled="=OR({shaped}=1,AND(COUNTA({across:})>0,COUNTA({along:})>0),AND({from_start},COUNTA({across_one},{across_two},{along_one},{along_two})=4))",
    columns=(
        Item(handle="ceiling", label="Ceiling", width=24),
        Item(handle="across", label="Across", kind=LENGTH, cells=3, heads=ENDS, needed=True),
        Item(
            handle="across_read",
            label="Read as",
            formula="=FEET_INCHES({across})",
            cells=3,
            heads=ENDS,
        ),
        Item(
            handle="across_spread",
            label="Out of parallel",
            formula="=INCH_FRACTION(OUT_OF_PARALLEL({across_used:}))",
            kind=WORDED,
        ),
    ),
)

ALONG = Table(
    handle="along_readings",
    title="Ceilings: along the boards",
    like="ceilings",
    columns=(
        Item(handle="along_name", label="Ceiling", formula="={name_used}"),
        Item(handle="along", label="Along", kind=LENGTH, cells=3, heads=WALLS, needed=True),
        Item(handle="along_read", label="Read as", formula="=FEET_INCHES({along})", cells=3, heads=WALLS),
        Item(
            handle="first_framing",
            label="First framing, left wall to its centre",
            kind=LENGTH,
            note="From the left wall to the centre of the first framing or strapping; at the boards' start while blank. Only for boards with end joints.",
        ),
        Item(handle="diagonal_one", label="Diagonal one", kind=LENGTH),
        Item(handle="diagonal_two", label="Diagonal two", kind=LENGTH),
        Item(
            handle="diagonals_read",
            label="Diagonals read as",
            formula='=FEET_INCHES({diagonal_one})&" / "&FEET_INCHES({diagonal_two})',
            width=24,
        ),
    ),
)

LAYING = Table(
    handle="laying",
    title="How each ceiling is laid (blank: as usual above)",
    like="ceilings",
    columns=(
        Item(handle="laying_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="direction",
            label="Boards run",
            choices=("along the house", "out from the house"),
            width=17,
        ),
        Item(handle="start_wall", label="Start wall"),
        Item(
            handle="slope",
            label=both("Rise in 12", "Rise in 100"),
            kind=LENGTH,
            note="Only where the depth was measured level under a sloped ceiling.",
        ),
        Item(handle="gap", label="Gap", kind=LENGTH),
        Item(
            handle="finish_gap",
            label="Finish gap",
            kind=LENGTH,
            note="Gap at the last wall; as the first while blank.",
        ),
        Item(
            handle="trim_first",
            label="Trim, start",
            kind=LENGTH,
            note="How far from the start wall the trim covers.",
        ),
        Item(
            handle="trim_last",
            label="Trim, finish",
            kind=LENGTH,
            note="How far from the last wall the trim covers.",
        ),
        Item(
            handle="board",
            label="Choice",
            note="A, B or C, or the size, as on Boards; the job's board while blank.",
        ),
        Item(handle="layout", label="Layout", choices=("auto", "full", "balanced")),
        Item(handle="taper", label="Taper", choices=("last", "split", "gap")),
    ),
)

OPENINGS = Table(
    handle="fixtures",
    title="Fixtures: lights, fans, boxes and vents that cut the courses",
    rows=FIXTURES,
    columns=(
        Item(handle="fixture", label="Fixture", needed=True),
        Item(
            handle="fixture_ceiling",
            label="Ceiling",
            note="Its name as in the first table; the first ceiling while blank.",
        ),
        Item(handle="shape", label="Shape", choices=("round", "rectangle"), needed=True),
        Item(
            handle="width",
            label="Width across",
            kind=LENGTH,
            needed=True,
            note="The diameter of a round one.",
        ),
        Item(handle="height", label="Length along", kind=LENGTH, note="Of a rectangle."),
        Item(
            handle="position_across",
            label="From start wall",
            kind=LENGTH,
            needed=True,
            note="To its centre, across the boards.",
        ),
        Item(
            handle="position_along",
            label="From left end",
            kind=LENGTH,
            note="To its centre, along the boards; end joints keep off it.",
        ),
        Item(
            handle="framed",
            label="Framed",
            choices=("yes", "no"),
            note="Is there framing or a listed box to hang it from?",
        ),
        Item(
            handle="flange",
            label="Flange across",
            kind=LENGTH,
            note="Outer width of its flange or trim across the boards, which hides the cut edge.",
        ),
        Item(handle="fixture_read", label="Centre read as", formula="=FEET_INCHES({position_across})"),
    ),
)

ONE_CEILING = Lines(
    title="While hanging: one ceiling's story pole, plan and half-way check",
    items=(
        Item(
            handle="pole_ceiling",
            label="Ceiling",
            note="Its name as above; while blank the first with end joints, or else the first.",
        ),
        Item(
            handle="bar_length",
            label="Scale bar on its plan",
            kind=LENGTH,
            default=both(48, 1000),
            note="The picture is to scale on screen and on paper, whatever its size.",
        ),
        Item(handle="after_course", label="After course", kind=COUNT),
        Item(
            handle="last_wanted",
            label="Last course wanted",
            kind=LENGTH,
            note="Its width as laid; as planned at each reading while blank.",
        ),
        Item(
            handle="tongue_allows",
            label="Tongue allows",
            kind=LENGTH,
            default=both(0.0625, 1.5),
            note="Most a course can be opened or closed. Common practice, no source.",
        ),
        Item(
            handle="courses_left", label="Courses left", kind=COUNT, formula="={pole_courses}-{after_course}"
        ),
    ),
)

REMAINING = Lines(
    title="Half-way check: still to cover, from the last laid board to the finishing wall",
    items=(
        Item(handle="still_to_cover", label="Measured", kind=LENGTH, cells=3, heads=ENDS),
        Item(
            handle="open_each",
            label="Open (+) or close (−) each course",
            formula="=INCH_FRACTION({open_exact},{finest})",
            cells=3,
            heads=ENDS,
            kind=WORDED,
        ),
        Item(
            handle="open_state",
            label="Can it be done?",
            kind=CHECK,
            formula='=IF(ABS({open_exact})>{tongue_allows},"look: too much","ok")',
            cells=3,
            heads=ENDS,
        ),
    ),
)

SHEET = Sheet(
    title="Measure",
    holds="What the tape reads, as typed. Across is at right angles to the boards, along is with them.",
    blocks=(
        JOB,
        USUAL,
        Text(
            (
                "Read each ceiling at three places both ways; one or two will do. Stand at the start wall: left is left, in every table.",
                "A ceiling that is no rectangle: name it here, leave its readings blank, and type its corners on Shapes.",
                "Square: two diagonals from corner to corner. Where fixtures hang: from framing or a listed box, never from the boards.",
            )
        ),
        ACROSS,
        ALONG,
        LAYING,
        OPENINGS,
        ONE_CEILING,
        REMAINING,
    ),
    landscape=True,
    columns=11,
)
