"""The plan of the boards: pieces of every ceiling, what to buy for them, how to saw them; shown elsewhere.

One optimum for all ceilings of one choice of board. The answers of the three choices stand one below the
other; the lists on Order and Saw show their rows without the blank ones between.
"""

from collections.abc import Iterable

from sheetcalc.kinds import AREA, COUNT, LENGTH, MONEY, SHARE, TEXT, Kind
from sheetcalc.takeoff.boards import STOCK
from sheetcalc.takeoff.measure import CEILINGS, SHAPE_WALLS, SHAPES
from sheetcalc.workbooks.declare import FLAG, Answer, Item, Lines, Table
from sheetcalc.workbooks.systems import both

OFFERS = len(STOCK)
PIECES = 60  # different lengths of pieces of one choice
GROUPS = 60  # groups of boards of one choice that are cut alike
YARD_LINES, SAW_LINES = 16, 48  # lines of the lists on Order and Saw
TRIM_LENGTHS, TRIM_PIECES = 6, 36  # stock lengths of trim; different lengths of its pieces
TRIM_LINES = 24  # lengths of trim that are cut alike

RULES = Lines(
    title="End joints, as used",
    items=(
        Item(
            handle="joint_bearing",
            label="Joints fall on framing every",
            kind=LENGTH,
            formula='=IF({backing}="sheathing",0,{bearing_spacing})',
            note="0: anywhere, where the backing is sheathing.",
        ),
        Item(handle="joint_price_used", label="Price of a joint", kind=MONEY, formula="={joint_price}"),
        Item(handle="offer_rows_kept", label="Stock lengths kept", kind=COUNT, formula=f"={OFFERS}"),
        Item(handle="piece_rows_kept", label="Lengths of pieces kept", kind=COUNT, formula=f"={PIECES}"),
        Item(handle="trim_rows_kept", label="Lengths of trim kept", kind=COUNT, formula=f"={TRIM_LENGTHS}"),
        Item(handle="trim_cuts_kept", label="Lines of trim kept", kind=COUNT, formula=f"={TRIM_LINES}"),
        Item(handle="trim_pieces_kept", label="Pieces of trim kept", kind=COUNT, formula=f"={TRIM_PIECES}"),
        Item(handle="group_rows_kept", label="Groups of boards kept", kind=COUNT, formula=f"={GROUPS}"),
    ),
)

CUTS = Table(
    handle="cuts",
    title="Lengths to cover, one for each ceiling",
    like="ceilings",
    columns=(
        Item(handle="cuts_no", label="Ceiling", kind=COUNT, formula="={n}"),
        Item(handle="cuts_length", label="Length", kind=LENGTH, formula="={stock_for}"),
        Item(handle="cuts_courses", label="Courses", kind=COUNT, formula="={runs}"),
        Item(handle="cuts_first", label="First framing", kind=LENGTH, formula="={first_bearing}"),
    ),
)

JOINT_RULES = (
    "{joint_apart},{joint_least},{joint_price_used},{kerf},{end_trim},{joint_rest}"  # in every call of joints
)
KEEP_CLEAR = "{keep_courses[]},{keep_from[]},{keep_to[]},{fixture_no[]}"
OF_CORNERS = ",{run_length[]},{run_ceiling[]},{run_course[]},{run_start[]}"
ONE_CEILING = (
    "{stock_for},INDEX({stock_priced[]},0,{board_no}),INDEX({stock_cost[]},0,{board_no}),{joint_bearing},"
    "{first_bearing}," + JOINT_RULES
)
"""What the joint functions ask of one ceiling, up to the rows of a table."""

CUT_ROWS = Answer(
    handle="cover_rows",
    title="Lengths to cover by choice of board",
    rows=CEILINGS,
    like="plans",
    columns=(
        Item(handle="cover_ceiling", label="Ceiling", kind=COUNT),
        Item(handle="cover_length", label="Length", kind=LENGTH),
        Item(handle="cover_courses", label="Courses", kind=COUNT),
        Item(handle="cover_first", label="First framing", kind=LENGTH),
    ),
    formula='=IF({board_no[]}={n},{cuts[]},"")',
)


def _offer(handle: str, title: str, label: str, kind: Kind, column: str) -> Answer:
    """One column of what the yard offers of each choice, blank where it has no price."""
    return Answer(
        handle=f"{handle}_rows",
        title=title,
        rows=OFFERS,
        like="plans",
        columns=(Item(handle=handle, label=label, kind=kind),),
        formula=f'=IF(INDEX({{stock_cost[]}},0,{{n}})="","",{column})',
    )


OFFERED = (
    _offer("offer_length", "Stock lengths by choice", "Length", LENGTH, "{stock_used_length[]}"),
    _offer("offer_price", "Their prices", "Price", MONEY, "INDEX({stock_cost[]},0,{n})"),
    _offer("offer_number", "Boards on offer", "On offer", COUNT, "INDEX({stock_limit[]},0,{n})"),
)


def _pieces_of(length: str, price: str) -> str:
    """List what PIECE_LIST asks to lay out the ceilings of one choice from those stock lengths."""
    return (
        f"{{cover_length}},{{cover_courses}},{{{length}}},{{{price}}},{{joint_bearing}},{{cover_first?}},"
        f"{JOINT_RULES},,{KEEP_CLEAR},{{cover_ceiling}},{{piece_rows_kept}}{OF_CORNERS}"
    )


PIECES_OF = _pieces_of("offer_length", "offer_price")

PIECE_ROWS = Answer(
    handle="piece_rows",
    title="Pieces by choice",
    rows=PIECES,
    like="plans",
    columns=(
        Item(handle="piece_length", label="Length", kind=LENGTH),
        Item(handle="piece_count", label="Pieces", kind=COUNT),
    ),
    formula=f"=PIECE_LIST({PIECES_OF})",
)

THUMB_ROWS = Answer(
    handle="thumb_rows",
    title="Pieces by choice, laid out for one stock length alone",
    rows=PIECES,
    like="plans",
    columns=(
        Item(handle="thumb_piece", label="Length", kind=LENGTH),
        Item(handle="thumb_pieces", label="Pieces", kind=COUNT),
    ),
    formula=f"=PIECE_LIST({_pieces_of('thumb_stock', 'thumb_price')})",
)

BUY = "{piece_length},{piece_count},{offer_length},{offer_price},{kerf},{end_trim},{offer_number?}"
"""What the functions of one plan ask, for one choice."""

KERF_NOTE = "KERF_NOTE({piece_length},{offer_length},{kerf},{end_trim})"

BUY_ROWS = Answer(
    handle="buy_rows",
    title="Boards that the cuts need",
    rows=OFFERS,
    like="plans",
    columns=(
        Item(handle="buy_stock", label="Stock length", kind=LENGTH),
        Item(handle="buy_boards", label="Boards", kind=COUNT),
        Item(handle="buy_money", label="Cost", kind=MONEY),
    ),
    formula=f"=BUY_LIST({BUY},,{{offer_rows_kept}})",
)

UNLIMITED_ROWS = Answer(
    handle="unlimited_rows",
    title="Boards that the cuts would need, were there no end to them; only where the offer is too short",
    rows=OFFERS,
    like="plans",
    columns=(
        Item(handle="unlimited_stock", label="Stock length", kind=LENGTH),
        Item(handle="unlimited_boards", label="Boards", kind=COUNT),
        Item(handle="unlimited_money", label="Cost", kind=MONEY),
    ),
    formula=(
        "=IF(ISERROR({plan_cost?}),BUY_LIST({piece_length},{piece_count},{offer_length},{offer_price},{kerf},{end_trim}"
        ',,,{offer_rows_kept}),"")'
    ),
)

OFFERS_USED = Table(
    handle="offers_used",
    title="Boards that the cuts need of each offer",
    like="offer_length_rows",
    columns=(
        Item(
            handle="offer_read",  # whole feet without inches
            label="Read as",
            formula=both(
                '=SUBSTITUTE(FEET_INCHES({offer_length}),"-0""","")', "=FEET_INCHES({offer_length})"
            ),
        ),
        Item(
            handle="offer_needed",
            label="Boards",
            kind=COUNT,
            formula='=IF(OR({offer_length?}="",COUNTBLANK({piece_length?})={piece_rows_kept}),"",SUMIFS({buy_boards?},{buy_stock?},{offer_length?}))',
        ),
        Item(
            handle="offer_bought",
            label="Bought",
            kind=COUNT,
            formula='=IF({offer_length?}="",0,SUMIFS({spare_boards?},{spare_stock?},{offer_length?}))',
        ),
        Item(
            handle="offer_words",
            label="In words",
            formula='=IF({offer_bought}=0,"",{offer_bought}&"~of~"&SUBSTITUTE({offer_read?}," ","~"))',
        ),
        Item(
            handle="offer_short",
            label="Length, if too few are on offer",
            kind=LENGTH,
            formula='=IF(INDEX({offer_number[]},{n})="",0,{offer_length?}*(SUMIFS({unlimited_boards?},{unlimited_stock?},{offer_length?})>INDEX({offer_number[]},{n})))',
        ),
        Item(
            handle="offer_said",
            label="What to do",
            formula='=IF({offer_short}>0,SUMIFS({unlimited_boards?},{unlimited_stock?},{offer_length?})&" boards of "&{offer_read?}&" are needed, "&INDEX({offer_number[]},{n})&" on offer; blank the price of "&{offer_read?}&" on Boards to plan without them","")',
        ),
    ),
)

SPARE = "{offer_length},{offer_needed},{offer_price},{plan_cull},{confidence}"

SPARE_ROWS = Answer(
    handle="spare_rows",
    title="Boards to buy, spares included",
    rows=OFFERS,
    like="plans",
    columns=(
        Item(handle="spare_stock", label="Stock length", kind=LENGTH),
        Item(handle="spare_needed", label="Needed", kind=COUNT),
        Item(handle="spare_boards", label="Boards", kind=COUNT),
        Item(handle="spare_cost", label="Cost", kind=MONEY),
    ),
    formula=f'=SPARE_LIST({SPARE},IF({{spare_tight}}=1,"",{{offer_number?}}),{{offer_rows_kept}})',
)

SAW_ROWS = Answer(
    handle="saw_rows",
    title="How each group of boards is cut",
    rows=GROUPS,
    like="plans",
    columns=(
        Item(handle="saw_stock", label="Stock length", kind=LENGTH),
        Item(handle="saw_boards", label="Boards", kind=COUNT),
        Item(handle="saw_cut", label="Cut", kind=TEXT),
        Item(handle="saw_offcut", label="Offcut", kind=LENGTH),
    ),
    formula=f"=SAW_LIST({BUY},,{{group_rows_kept}})",
)

STOP_ROWS = Answer(
    handle="stop_rows",
    title="Settings of the stop block",
    rows=PIECES,
    like="plans",
    columns=(
        Item(handle="stop_length", label="Setting", kind=LENGTH),
        Item(handle="stop_pieces", label="Pieces", kind=COUNT),
        Item(handle="stop_boards", label="Boards", kind=COUNT),
    ),
    formula=f"=STOP_LIST({BUY},,{{piece_rows_kept}})",
)


def _lines(what: str, counted: str) -> tuple[Item, Item]:
    """How many lines of a list each choice has, and how many stand before its first."""
    before = f'SUMIFS({{{what}_lines[]}},{{plan_no[]}},"<"&{{plan_no}})'
    return (
        Item(handle=f"{what}_lines", label=f"Lines, {what}", kind=COUNT, formula=f"=COUNT({{{counted}?}})"),
        Item(handle=f"{what}_before", label=f"Before, {what}", kind=COUNT, formula=f"={before}"),
    )


SHOWN_AS = {
    "courses_apart": "Framing rests",
    "stagger": "In neighbouring courses, apart at least",
    "least_piece": "Shortest piece",
    "keep_clear": "Joints keep off a fixture's edge by",
    "available": "On offer",
}
"""How the sheets call the arguments that a problem of the plan may name."""


def as_shown(problem: str) -> str:
    """Put the labels of the sheets in the place of arguments."""
    for argument, label in SHOWN_AS.items():
        problem = f'SUBSTITUTE({problem},"{argument}","{label}")'
    return problem


def _proof(over: str, joints: str, joints_over: str) -> str:
    """Word what is proven of the cutting and, where there are end joints, of the way they are laid out."""
    return (
        f'=IF({{{joints}}}>0,"cutting ","")&IF({{{over}}}>0,"within "&TEXT({{{over}}},"0.0%")&" of the best possible","proven cheapest")'
        f'&IF({{{joints}}}>0,"; joints of each ceiling "&IF({{{joints_over}}}>0,"within "&TEXT({{{joints_over}}},"0.0%"),"proven cheapest"),"")'
    )


FIGURES = Table(
    handle="plan_figures",
    title="Figures of the plans",
    like="plans",
    columns=(
        Item(handle="plan_no", label="Choice", kind=COUNT, formula="={n}"),
        Item(handle="plan_face", label="Face", kind=LENGTH, formula="=INDEX({face:?},{n})"),
        Item(handle="plan_cull", label="Cull rate", kind=SHARE, formula="=INDEX({cull_used:?},{n})"),
        Item(
            handle="plan_area",
            label="Ceiling area",
            kind=AREA,
            formula="=SUMIFS({area[]},{board_no[]},{n})",
        ),
        Item(
            handle="plan_run",
            label="Pieces, end to end",
            kind=LENGTH,
            formula="=SUMPRODUCT({piece_length},{piece_count})",
        ),
        Item(
            handle="plan_stock_run",
            label="Boards, end to end",
            kind=LENGTH,
            formula="=SUMPRODUCT({buy_stock},{buy_boards})",
        ),
        Item(
            handle="plan_cover",
            label="Boards bought cover",
            kind=AREA,
            formula="=BOARD_COVERAGE({plan_face},SUMPRODUCT({spare_stock},{spare_boards}))",
        ),
        Item(
            handle="spare_tight",
            label="Too few on offer for the spares",
            kind=FLAG,
            formula=f"=N(AND(NOT(ISERROR(SUM({{offer_needed?}}))),ISNA(SUM(SPARE_LIST({SPARE},{{offer_number?}},{{offer_rows_kept}})))))",
        ),
        Item(
            handle="spare_money",
            label="Cost of the spares",
            kind=MONEY,
            formula="=SUM({spare_cost})-{plan_cost}",
        ),
        Item(
            handle="spare_credit",
            label="Credit for its spares",
            kind=MONEY,
            formula="={spare_money}*N(INDEX({return_credit:?},{n}))",
        ),
        Item(
            handle="plan_short",
            label="Chance of running short",
            kind=SHARE,
            formula="=SPARES_SHORT({spare_stock},{spare_boards},{spare_needed},{plan_cull})",
        ),
        Item(handle="plan_sure", label="Sure", kind=SHARE, formula="=1-{plan_short}"),
        Item(
            handle="plan_unpriced",
            label="No price",
            kind=FLAG,
            formula="=N(AND(COUNT({cover_length?})>0,COUNT({offer_length?})=0))",
        ),
        Item(
            handle="plan_kerf",
            label="Lost to the saw",
            formula=f'=IF({KERF_NOTE}="","ok",{KERF_NOTE})',
        ),
        Item(
            handle="piece_problem",
            label="Problem of the joints",
            formula=f'=IF(ISERROR({{plan_run?}}),ENTRY_PROBLEM("PIECE_LIST",{PIECES_OF}),"ok")',
        ),
        Item(
            handle="buy_problem",
            label="Problem of the plan",
            formula=f'=IF(ISERROR({{plan_cost?}}),ENTRY_PROBLEM("BUY_LIST",{BUY}),"ok")',
        ),
        Item(handle="piece_said", label="As the sheets say it", formula=f"={as_shown('{piece_problem}')}"),
        Item(
            handle="buy_said",
            label="As the sheets say it",
            formula=f'=IF(ISERROR({{plan_cost?}}),IF(SUM({{offer_short?}})=0,SUBSTITUTE({{buy_problem}},"available","{SHOWN_AS["available"]}"),INDEX({{offer_said?}},MATCH(MAX({{offer_short?}}),{{offer_short?}},0))),"ok")',
        ),
        Item(
            handle="plan_problem",
            label="Problem",
            formula='=IF({plan_unpriced}=1,"no price on Boards for this choice",IF({piece_problem?}="ok",{buy_said?},{piece_said?}))',
        ),
        Item(
            handle="over_bound",
            label="Over the bound",
            kind=SHARE,
            formula="=IF({plan_cost}>{plan_bound},{plan_cost}/{plan_bound}-1,0)",
        ),
        Item(
            handle="joints_over",
            label="Joints of a ceiling, most over their bound",
            kind=SHARE,
            formula="=MAX(INDEX({joint_over_of[]},0,{n}))",
        ),
        Item(
            handle="proof_words", label="Proof", formula=_proof("over_bound", "plan_jointed", "joints_over")
        ),
        Item(
            handle="thumb_stock",
            label="One stock length",
            kind=LENGTH,
            formula="=IF({plan_jointed}>0,MAX({offer_length}),STOCK_LENGTH(MAX({cover_length}),{offer_length},{end_trim}))",
        ),
        Item(
            handle="thumb_price",
            label="Its price",
            kind=MONEY,
            formula="=INDEX({offer_price},MATCH({thumb_stock},{offer_length},0))",
        ),
        Item(
            handle="thumb_cut",
            label="Boards of it",
            kind=COUNT,
            formula="=BUY_COST({thumb_piece},{thumb_pieces},{thumb_stock},1,{kerf},{end_trim})",
            note="At a price of 1 a board, the cost is their number.",
        ),
        Item(
            handle="thumb_joints",
            label="End joints with it",
            kind=COUNT,
            formula="=SUM({thumb_pieces})-SUM({cover_courses})",
        ),
        Item(
            handle="plan_joints",
            label="End joints of the plan",
            kind=COUNT,
            formula="=SUM({piece_count})-SUM({cover_courses})",
        ),
        Item(
            handle="plan_jointed",
            label="Jointed ceilings",
            kind=COUNT,
            formula="=COUNTIF({jointed_of[]},{n})",
        ),
        Item(
            handle="plan_apart",
            label="Jointed, or by corners",
            kind=COUNT,
            formula="=COUNTIF({apart_of[]},{n})",
        ),
        Item(
            handle="jointed_words",
            label="In words",
            formula='=IF({plan_apart}=1,INDEX({name_used[]},MATCH({n},{apart_of[]},0)),IF({plan_apart}=0,"",{plan_apart}&" ")&IF({plan_apart}={plan_jointed},"jointed ceilings","ceilings with joints or corners"))',
        ),
        *_lines("yard", "spare_stock"),
        *_lines("setting", "stop_length"),
        *_lines("group", "saw_stock"),
    ),
)


def _list(what: str, rows: int, kept: str, title: str, *more: Item) -> Table:
    """Say for each line of a list which choice it is of, and in which row of the answers it stands."""
    return Table(
        handle=f"{what}_list",
        title=title,
        rows=rows,
        filled=f'={{{what}_plan?}}<>""',
        columns=(
            Item(
                handle=f"{what}_plan",
                label="Choice",
                kind=COUNT,
                formula=f'=IF({{n}}>SUM({{{what}_lines[]}}),"",COUNTIF({{{what}_before[]}},"<"&{{n}}))',
            ),
            Item(
                handle=f"{what}_at",
                label="Row",
                kind=COUNT,
                formula=f"=({{{what}_plan}}-1)*{{{kept}}}+{{n}}-INDEX({{{what}_before[]}},{{{what}_plan}})",
            ),
            *more,
        ),
    )


IN_ALL = Lines(
    title="The plans in all",
    items=(
        Item(
            handle="over_total",
            label="Over what no plans cost less than",
            kind=SHARE,
            formula="=IF({plan_total}>{bound_total},{plan_total}/{bound_total}-1,0)",
        ),
        Item(
            handle="plans_failed",
            label="No plan",
            kind=FLAG,
            formula='=N(OR(ISERROR(SUM({plan_cost[]},{board_no[]})),COUNTIF({plan_problem[]},"?*")>COUNTIF({plan_problem[]},"ok")))',
        ),
        Item(
            handle="joints_over_most",
            label="Joints of a ceiling, most over their bound",
            kind=SHARE,
            formula='=IF({plans_failed}=1,"",MAX({joint_over[]}))',
        ),
        Item(
            handle="plans_proof",
            label="Proof, in words",
            formula=_proof("over_total", "joints_total", "joints_over_most"),
        ),
        Item(
            handle="thumb_only",
            label="One stock length, in words",
            formula=both(
                '=IF(COUNT({thumb_stock[]})=1,SUBSTITUTE(FEET_INCHES(MAX({thumb_stock[]})),"-0""","")&" only","one length each")',
                '=IF(COUNT({thumb_stock[]})=1,FEET_INCHES(MAX({thumb_stock[]}))&" only","one length each")',
            ),
        ),
    ),
)

SET = Table(
    handle="stops_set",
    title="Stop-block settings: what they are for",
    like="setting_list",
    columns=(
        Item(
            handle="setting_length",
            label="Setting",
            kind=LENGTH,
            formula="=INDEX({stop_length[]},{setting_at})",
        ),
        Item(
            handle="setting_steps",
            label="Worded in parts of",
            kind=COUNT,
            formula="=IF(ABS({setting_length}*{rule_parts}-ROUND({setting_length}*{rule_parts},0))<{whole_within},{rule_parts},{finest})",
        ),
        Item(
            handle="setting_whole",
            label="Pieces that cover a ceiling's length",
            kind=COUNT,
            formula="=SUMIFS({cuts_courses[]},{plain_length[]},{setting_length},{board_no[]},{setting_plan})",
        ),
        Item(
            handle="setting_alike",
            label="Ceilings of that length",
            kind=COUNT,
            formula="=COUNTIFS({plain_length[]},{setting_length},{board_no[]},{setting_plan})",
        ),
        Item(
            handle="setting_names",
            label="Ceilings",
            formula='=IF({setting_alike}=0,"",INDEX({name_used[]},MATCH({setting_plan}&" "&ROUND({setting_length}/{saw_step},0),{plain_of[]},0)))&IF({setting_alike}>1," and "&{setting_alike}-1&" more","")',
        ),
        Item(  # those of one length together: some may be square all the same
            handle="setting_angled",
            label="What short points take off stretches of that length",
            kind=LENGTH,
            formula="=SUMIFS({run_length[]},{run_length[]},{setting_length})-SUMIFS({run_short[]},{run_length[]},{setting_length})",
        ),
        Item(
            handle="setting_joined",
            label="Jointed ceilings",
            formula='=IF({setting_pieces}>{setting_whole},IF({setting_alike}=0,"",", ")&INDEX({jointed_words[]},{setting_plan}),"")',
        ),
    ),
)

YARD = _list(
    "yard",
    YARD_LINES,
    "offer_rows_kept",
    "Lines of the yard's list",
    Item(handle="yard_stock", label="Stock length", kind=LENGTH, formula="=INDEX({spare_stock[]},{yard_at})"),
)
SETTINGS = _list("setting", SAW_LINES, "piece_rows_kept", "Lines of the stop-block settings")
CUT_ALIKE = _list("group", SAW_LINES, "group_rows_kept", "Lines of the boards cut alike")


WALLS = Table(
    handle="trim_walls",
    title="Walls to trim: two of each",
    like="ceilings",
    columns=(
        Item(
            handle="trim_wall",
            label="Wall",
            kind=LENGTH,
            cells=2,
            heads=("across", "along"),
            formula='=IF({shaped}=1,"",CHOOSE({j},MAX({across_used:}),MAX({along_used:})))',
        ),
    ),
)

EVERY_WALL = Table(
    handle="trim_runs",
    title="Walls to trim, those of ceilings with corners too",
    rows=2 * CEILINGS + SHAPES * SHAPE_WALLS,
    filled='={trim_run_wall?}<>""',
    printed=False,
    columns=(
        Item(handle="trim_run_no", label="Row", kind=COUNT, formula="={n}"),
        Item(
            handle="trim_run_wall",
            label="Wall",
            kind=LENGTH,
            formula='=IF({n}<=2*{ceiling_rows},INDEX({trim_wall[]},INT(({n}+1)/2),1+MOD({n}+1,2)),IF(N(INDEX({rim_length[]},{n}-2*{ceiling_rows}))=0,"",INDEX({rim_length[]},{n}-2*{ceiling_rows})))',
        ),
        Item(
            handle="trim_run_walls",
            label="Of them",
            kind=COUNT,
            formula='=IF({trim_run_wall}="","",IF({n}>2*{ceiling_rows},1,2))',
        ),
    ),
)

TRIM_ROWS = Answer(
    handle="trim_rows",
    title="Pieces of trim",
    rows=TRIM_PIECES,
    columns=(
        Item(handle="trim_piece", label="Length", kind=LENGTH),
        Item(handle="trim_pieces", label="Pieces", kind=COUNT),
    ),
    formula=(  # a long wall may be spliced anywhere
        '=IF(COUNT({trim_price[]})*{ceilings_in_use}=0,"",PIECE_LIST({trim_run_wall[]},{trim_run_walls[]},{trim_length[]},'
        "{trim_price[]},0,,0,{trim_least},{joint_price_used},{kerf},{end_trim},0,,,,,,,{trim_pieces_kept}))"
    ),
)

TRIM_BUYS = Answer(
    handle="trim_buys",
    title="Trim to buy",
    rows=TRIM_LENGTHS,
    columns=(
        Item(handle="trim_at", label="Length", kind=LENGTH),
        Item(handle="trim_boards", label="To buy", kind=COUNT),
        Item(handle="trim_money", label="Cost", kind=MONEY),
    ),
    formula=(
        '=IF(COUNT({trim_price[]})*{ceilings_in_use}=0,"",BUY_LIST({trim_piece[]},{trim_pieces[]},{trim_length[]},'
        "{trim_price[]},{kerf},{end_trim},,,{trim_rows_kept}))"
    ),
)

TRIM_CUTS = Answer(
    handle="trim_cuts",
    title="How the lengths of trim are cut",
    rows=TRIM_LINES,
    columns=(
        Item(handle="trim_cut_of", label="Length", kind=LENGTH),
        Item(handle="trim_cut_boards", label="Lengths", kind=COUNT),
        Item(handle="trim_cut", label="Cut", kind=TEXT),
        Item(handle="trim_offcut", label="Offcut", kind=LENGTH),
    ),
    formula=(
        '=IF(COUNT({trim_price[]})*{ceilings_in_use}=0,"",SAW_LIST({trim_piece[]},{trim_pieces[]},{trim_length[]},'
        "{trim_price[]},{kerf},{end_trim},,,{trim_cuts_kept}))"
    ),
)

TRIM_LIST = Table(
    handle="trim_list",
    title="Lines of the trim cut alike",
    rows=TRIM_LINES,
    filled='={trim_line?}<>""',
    columns=(
        Item(
            handle="trim_line",
            label="Row",
            kind=COUNT,
            formula='=IF({n}>COUNT({trim_cut_boards[]}),"",{n})',
        ),
    ),
)


def tables() -> Iterable[Table | Lines]:
    """Blocks of the sheet Working that are printed."""
    return (RULES, CUTS, FIGURES, IN_ALL, OFFERS_USED, YARD, SETTINGS, CUT_ALIKE, SET, WALLS, TRIM_LIST)


def answers() -> Iterable[Table | Answer]:
    """Blocks of the sheet Working that stand at its end."""
    return (
        CUT_ROWS,
        *OFFERED,
        PIECE_ROWS,
        THUMB_ROWS,
        BUY_ROWS,
        UNLIMITED_ROWS,
        SPARE_ROWS,
        SAW_ROWS,
        STOP_ROWS,
        EVERY_WALL,
        TRIM_ROWS,
        TRIM_BUYS,
        TRIM_CUTS,
    )
