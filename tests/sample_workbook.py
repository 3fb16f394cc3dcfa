"""A small workbook that uses every word of the declaration once: a shed with two ceilings."""

from sheetcalc.kinds import AREA, COUNT, HOURS, LENGTH, MONEY, SHARE, TEXT
from sheetcalc.workbooks.declare import CHECK, DATE, Answer, Item, Lines, Row, Sheet, Side, Table, Text

ENDS = ("left", "middle", "right")
SPECIES = tuple(f"kind of wood number {number}" for number in range(1, 16))

START = Sheet(
    title="Start",
    holds="Type the entries on the left and read the answers on the right.",
    landscape=True,
    columns=11,
    blocks=(
        Side(
            left=Lines(
                title="Entries",
                items=(
                    Item(handle="board_face", label="Face of a board", kind=LENGTH, needed=True),
                    Item(
                        handle="wall_gap",
                        label="Gap at the walls",
                        kind=LENGTH,
                        default=0.5,
                        note="Open joint.",
                    ),
                    Item(
                        handle="start_side",
                        label="Layout",
                        choices=("auto", "full", "balanced"),
                        default="auto",
                    ),
                    Item(handle="least_edge", label="Least edge course", kind=LENGTH),
                    Item(
                        handle="board_money", label="Board price", kind=MONEY, unit="per board", needed=True
                    ),
                    Item(handle="crew_rate", label="Loaded rate", kind=MONEY, per=HOURS, default=62),
                    Item(handle="hang_rate", label="Hours to hang", kind=HOURS, per=AREA, default=0.065),
                    Item(handle="profit", label="Profit", kind=SHARE, default=0.15),
                    Item(handle="wood", label="Wood", choices=SPECIES),
                ),
            ),
            right=Lines(
                title="Answers",
                handle="answers",
                items=(
                    Item(handle="price", label="Price", kind=MONEY, formula="={cost}*(1+{profit})"),
                    Item(
                        handle="price_area",
                        label="Price per area",
                        kind=MONEY,
                        per=AREA,
                        formula='=IF({area_total}>0,{price}/{area_total},"")',
                        note="Ceilings alone.",
                    ),
                    Item(handle="area_total", label="Area", kind=AREA, formula="=SUM({area[]})"),
                    Item(
                        handle="first_words",
                        label="First course",
                        formula="=INCH_FRACTION({first_one})",
                        unit="in",
                    ),
                    Item(handle="wood_words", label="Wood", formula='=IF({wood?}="","not chosen",{wood?})'),
                ),
            ),
        ),
        Text(
            (
                "The sheets behind this one refine each entry.",
                "A length is inches or text with its own marks.",
            )
        ),
        Text(("Keep ladders on firm ground, wear eye and hearing protection.",), "caution"),
    ),
)

MEASURE = Sheet(
    title="Measure",
    holds="What the tape reads, as typed.",
    landscape=True,
    blocks=(
        Lines(
            title="The job",
            items=(
                Item(handle="job", label="Job"),
                Item(handle="measured_on", label="Measured on", kind=DATE),
                Item(
                    handle="crew",
                    label="Crew",
                    kind=COUNT,
                    unit="people",
                    default=2,
                    note=(
                        "How many carpenters work on the ceiling at one time, helpers who only carry and cut "
                        "included, without the one who sits in the office."
                    ),
                ),
                Item(handle="days", label="Days", kind=COUNT, formula="=ROUNDUP({hours}/{crew}/8,0)"),
            ),
        ),
        Table(
            handle="ceilings",
            title="Ceilings",
            rows=3,
            columns=(
                Item(handle="ceiling", label="Ceiling"),
                Item(handle="across", label="Across", kind=LENGTH, cells=3, heads=ENDS, needed=True),
                Item(handle="along", label="Along", kind=LENGTH, needed=True),
                Item(
                    handle="across_words",
                    label="Read as",
                    formula="=FEET_INCHES({across})",
                    cells=3,
                    heads=ENDS,
                ),
            ),
        ),
        Table(
            handle="sizes",
            title="Sizes",
            like="ceilings",
            columns=(
                Item(handle="sizes_name", label="Ceiling", formula="={ceiling}"),
                Item(handle="area", label="Area", kind=AREA, formula="=CEILING_AREA({across:},{along})"),
                Item(
                    handle="courses_here",
                    label="Courses",
                    kind=COUNT,
                    formula="=COURSE_COUNT({across},{board_face},{wall_gap},,{start_side},{least_edge?})",
                ),
                Item(handle="widest", label="Widest edge", kind=LENGTH, formula="=MAX({end_first})"),
                Item(
                    handle="edge_here",
                    label="First course",
                    formula='=IF(INDEX({end_first},{j})="","",INCH_FRACTION(INDEX({end_first},{j})))',
                    cells=3,
                    heads=ENDS,
                    unit="in",
                ),
            ),
        ),
    ),
)

BID = Sheet(
    title="Bid",
    holds="What it costs.",
    locked=True,
    blocks=(
        Table(
            handle="costs",
            title="Costs",
            rows=(
                Row("boards", "Boards", {"amount": "={boards_needed}", "rate": "={board_money}"}),
                Row("hours", "Hours", {"amount": "={hours}", "rate": "={crew_rate}"}),
                Row("delivery", "Delivery", {"amount": 1}),
                Row("other", "Other"),
            ),
            columns=(
                Item(handle="amount", label="Amount", kind=COUNT),
                Item(handle="rate", label="Price of one", kind=MONEY),
                Item(handle="cost_line", label="Cost", kind=MONEY, formula="={amount}*{rate}"),
            ),
        ),
        Lines(
            title="Sum",
            items=(
                Item(handle="boards_needed", label="Boards", kind=COUNT, formula="=SUM({courses_here[]})"),
                Item(handle="hours", label="Hours", kind=HOURS, formula="={area_total}*{hang_rate}"),
                Item(handle="cost", label="Cost", kind=MONEY, formula="=SUM({cost_line[]})"),
                Item(
                    handle="share_boards",
                    label="Boards in it",
                    kind=SHARE,
                    formula="={cost_line.boards}/{cost}",
                ),
                Item(
                    handle="state",
                    label="State",
                    kind=CHECK,
                    formula='=IF({missing?}>0,"draft: "&{missing?}&" entries are missing","ok")',
                ),
                Item(
                    handle="missing",
                    label="Entries missing",
                    kind=COUNT,
                    formula='=({board_face?}="")+({board_money?}="")',
                ),
            ),
        ),
        Lines(
            title="Three offers",
            items=(
                Item(handle="offer", label="Price", kind=MONEY, cells=3, heads=("A", "B", "C")),
                Item(
                    handle="offer_more",
                    label="More than ours",
                    kind=MONEY,
                    cells=3,
                    heads=("A", "B", "C"),
                    formula="={offer}-{price}",
                    note="Below zero: theirs is cheaper.",
                ),
                Item(handle="offer_mean", label="Mean", kind=MONEY, formula="=AVERAGE({offer:})"),
            ),
        ),
    ),
)

OWNER = Sheet(
    title="Owner",
    one_page=True,
    holds="",
    head=False,
    columns=6,
    blocks=(
        Text(("A new ceiling for your porch",), "head"),
        Text(('="We line it for "&TEXT({price},"#,##0.00")&"."', "Boards are primed on all faces."), "paper"),
    ),
)

WORKING = Sheet(
    title="Working",
    holds="Answers of several rows.",
    blocks=(
        Lines(
            title="Single",
            items=(Item(handle="first_one", label="First", kind=LENGTH, formula="={end_first.1}"),),
        ),
        Answer(
            handle="course_edges",
            title="Edge courses at each reading",
            rows=3,
            like="ceilings",
            columns=(
                Item(handle="end_first", label="First", kind=LENGTH),
                Item(handle="end_last", label="Last", kind=LENGTH),
                Item(handle="end_gap", label="Gap", kind=LENGTH),
            ),
            formula="=COURSE_ENDS({across},{board_face},{wall_gap},,{start_side},{least_edge?})",
        ),
        Table(
            handle="edges",
            title="Edges",
            like="course_edges",
            columns=(
                Item(handle="edge_ceiling", label="Ceiling", kind=TEXT, formula="={ceiling}"),
                Item(handle="edge_last", label="Last", formula="=INCH_FRACTION({end_last})", unit="in"),
            ),
        ),
        Answer(
            handle="pole",
            title="Marks of the first ceiling",
            rows=40,
            columns=(
                Item(handle="pole_course", label="Course", kind=COUNT),
                Item(handle="pole_width", label="Width", kind=LENGTH),
                Item(handle="pole_mark", label="Mark", kind=LENGTH),
            ),
            formula="=COURSE_MARKS({across.1:},{board_face},{wall_gap},,{start_side},,,,40)",
        ),
    ),
)

SHEETS = (START, MEASURE, BID, OWNER, WORKING)
VALUES = {
    "board_face": 5.125,
    "board_money": 14.5,
    "job": "=Heron's porch",
    "measured_on": "2025-04-30",
    "ceiling": ["Front", "Side"],
    "across": [[120, "10' 0-1/4\"", 119.75], [96, None, 96.5]],
    "along": ["14' 3-3/8\"", 240],
    "rate": {"delivery": 85},
    "amount": {"other": 1},
    "offer": [980, 1500],
}
