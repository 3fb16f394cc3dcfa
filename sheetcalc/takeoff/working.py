"""Working: what is used of the entries, and the answers of several rows that other sheets show."""

from collections.abc import Iterable
from dataclasses import replace

from sheetcalc.kinds import AREA, COUNT, LENGTH, MONEY, NUMBER, SHARE
from sheetcalc.takeoff import plan, plans, price, shapes, yard
from sheetcalc.takeoff.bid import PROMISES, SENTENCES
from sheetcalc.takeoff.boards import CHOICES
from sheetcalc.takeoff.entries import assumed, entries_checked
from sheetcalc.takeoff.layout import BLOCK, MAYBE, POLE_ROWS
from sheetcalc.takeoff.measure import CEILINGS, ENDS, WALLS
from sheetcalc.takeoff.plans import JOINT_RULES, KEEP_CLEAR, ONE_CEILING
from sheetcalc.workbooks.declare import FLAG, Answer, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

CONSTANTS = Lines(
    title="Constants",
    items=(
        Item(
            handle="one_run",
            label=both("One foot", "One metre"),
            kind=LENGTH,
            formula=both("=12", "=1000"),
        ),
        Item(
            handle="rule_parts",
            label=both("Parts of an inch on a rule", "Parts of a millimetre on a rule"),
            kind=COUNT,
            formula=both("=16", "=2"),
        ),
        Item(handle="finest", label="Finest parts shown", kind=COUNT, formula=both("=64", "=10")),
        Item(
            handle="dust", label="Less than the saw can rip off", kind=LENGTH, formula=both("=1/64", "=0.5")
        ),
        Item(handle="whole_within", label="A whole number within", kind=NUMBER, formula="=0.000001"),
        Item(
            handle="end_rows",
            label="Readings kept for each ceiling",
            kind=COUNT,
            formula="=COLUMNS({across[]})",
        ),
        Item(handle="ceiling_rows", label="Ceilings kept", kind=COUNT, formula="=ROWS({name_used[]})"),
        Item(handle="payment_rows", label="Payments", kind=COUNT, formula="=ROWS({payment_used[]})"),
        Item(
            handle="pole_rows",
            label="Marks in one stretch of the story pole",
            kind=COUNT,
            formula=f"={POLE_ROWS}",
        ),
        Item(handle="pieces_kept", label="Pieces kept", kind=COUNT, formula=f"={plan.PIECES}"),
    ),
)


def _odd_size(unit: str, mark: str, meant: str) -> str:
    read = "ROUND({size_read},2)"
    short = f'{{size_side}}&" is "&{read}&" {unit}: write "&{read}&"{mark} for {meant}"'
    return f'=IF({{size_odd}}=1,{{name_used}}&": "&IF({{size_read}}<{{reading_least}},{short},"over the most"),"")'


READINGS = Table(
    handle="used",
    title="Readings used: those on Measure, or the four on Start for the first ceiling",
    like="ceilings",
    columns=(
        Item(
            handle="shaped",
            label="By corners",
            kind=FLAG,
            formula="=N(COUNTIF({corner_no[]},{n})>0)",
        ),
        Item(
            handle="shape_order",
            label="Which of them",
            kind=COUNT,
            formula='=IF({shaped}=1,SUMIFS({shaped[]},{cuts_no[]},"<="&{n}),"")',
        ),
        *(
            Item(
                handle=f"shape_{side}",
                label=f"Corners {side}",
                kind=LENGTH,
                formula=f'=IF({{shaped}}=1,SHAPE_SIZE("{side}",{shapes.ALL_CORNERS},{{n}}),"")',
            )
            for side in ("across", "along")
        ),
        Item(
            handle="from_start",
            label="From Start",
            kind=FLAG,
            formula="=N(AND({n}=1,{shaped}=0,COUNTA({across:?},{along:?})=0))",
        ),
        Item(
            handle="reads_from",
            label="Read on Measure, Start, Shapes",
            kind=COUNT,
            formula="=1+{from_start}+2*{shaped}",
        ),
        Item(
            handle="read_twice",
            label="Readings and corners",
            kind=FLAG,
            formula="=N(AND({shaped}=1,COUNTA({across:?},{along:?})+N({n}=1)*{start_typed?}>0))",
        ),
        Item(
            handle="name_twice",
            label="Name twice",
            kind=FLAG,
            formula='=IF({ceiling?}="",0,N(COUNTIF({ceiling[]},{ceiling?})>1))',
        ),
        Item(
            handle="size_odd",
            label="Odd size",
            kind=FLAG,
            formula='=N(OR(COUNTIF({across_used:?},"<"&{reading_least?})+COUNTIF({along_used:?},"<"&{reading_least?})>0,MAX({across_used:?},{along_used:?})>{reading_most?}))',
        ),
        Item(
            handle="size_side",
            label="Which side",
            formula='=IF(COUNTIF({across_used:?},"<"&{reading_least?})>0,"across","along")',
        ),
        Item(
            handle="size_read",
            label="Its shortest reading",
            kind=LENGTH,
            formula='=IF({size_side}="across",MIN({across_used:?}),MIN({along_used:?}))',
        ),
        Item(  # a bare number is inches or millimetres, though a person may have meant feet or metres
            handle="size_words",
            label="Odd size in words",
            formula=both(_odd_size("in", "'", "feet"), _odd_size("mm", " m", "metres")),
        ),
        Item(
            handle="name_used",
            label="Ceiling",
            formula='=IF({ceilings_filled},IF({ceiling?}="","Ceiling "&{n},{ceiling?}),"")',
        ),
        Item(
            handle="slope_used",
            label=both("Rise in 12", "Rise in 100"),
            kind=LENGTH,
            formula='=IF({slope?}="",0,READ_LENGTH({slope?}))',
        ),
        Item(
            handle="rise_across",
            label="Rise across",
            kind=LENGTH,
            formula='=IF({direction?}="out from the house",0,{slope_used})',
        ),
        Item(handle="rise_along", label="Rise along", kind=LENGTH, formula="={slope_used}-{rise_across}"),
        Item(
            handle="across_used",
            label="Across",
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula='=CHOOSE({reads_from},IF({across?}="","",SLOPE_LENGTH({across?},{rise_across})),CHOOSE({j},{across_one_used?},{across_two_used?},""),CHOOSE({j},{shape_across?},"",""))',
        ),
        Item(
            handle="along_used",
            label="Along",
            kind=LENGTH,
            cells=3,
            heads=WALLS,
            formula='=CHOOSE({reads_from},IF({along?}="","",SLOPE_LENGTH({along?},{rise_along})),CHOOSE({j},{along_one_used?},{along_two_used?},""),CHOOSE({j},{shape_along?},"",""))',
        ),
    ),
)

START_READINGS = Lines(
    title="Readings on Start",
    items=(
        *(
            Item(
                handle=f"{side}_{which}_used",
                label=f"{side.capitalize()}, {which}",
                kind=LENGTH,
                formula=f"=READ_LENGTH({{{side}_{which}}})",
            )
            for side in ("across", "along")
            for which in ("one", "two")
        ),
        Item(
            handle="start_typed",
            label="Typed of them",
            kind=COUNT,
            formula="=COUNTA({across_one?},{across_two?},{along_one?},{along_two?})",
        ),
        Item(
            handle="readings_idle",
            label="Typed there without effect",
            kind=FLAG,
            formula="=N(AND({start_typed}>0,{reads_from.1?}=1))",
        ),
    ),
)

BOARD = Lines(
    title="The job's board",
    items=(
        Item(
            handle="board_usual",
            label="Choice on Boards",
            kind=COUNT,
            formula='=IF({board_wanted?}="",1,MATCH({board_wanted?},{nominal_used:?},0))',
        ),
        Item(
            handle="rate_idle",
            label="Its price on Start has no effect",
            kind=FLAG,
            formula='=N(AND({board_rate?}<>"",N(INDEX({board_priced:?},{board_usual}))>0))',
        ),
    ),
)

CHOICES_USED = Table(
    handle="choices_used",
    title="Choices used",
    like="ceilings",
    columns=(
        Item(handle="choices_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="board_typed",
            label="Board typed",
            kind=COUNT,
            formula='=IF({board?}="","",IF(COUNTIF({board_letters:?},{board?})>0,MATCH({board?},{board_letters:?},0),MATCH({board?},{nominal_used:?},0)))',
        ),
        Item(
            handle="board_unknown",
            label="Not on Boards",
            kind=FLAG,
            formula="=N(ISERROR({board_typed?}))",
        ),
        Item(
            handle="board_no",
            label="Board",
            kind=COUNT,
            formula='=IF({ceilings_filled},IF({board?}="",{board_usual},{board_typed?}),"")',
        ),
        Item(handle="board_of", label="Nominal", formula="=INDEX({nominal_used:?},{board_no})"),
        Item(handle="face_of", label="Face", kind=LENGTH, formula="=INDEX({face:?},{board_no})"),
        Item(
            handle="overall_of", label="Overall", kind=LENGTH, formula="=INDEX({overall_used:?},{board_no})"
        ),
        Item(
            handle="thickness_of",
            label="Thickness",
            kind=LENGTH,
            formula="=INDEX({thickness_used:?},{board_no})",
        ),
        Item(
            handle="gap_used",
            label="Gap",
            kind=LENGTH,
            formula='=IF({ceilings_filled},IF({gap?}="",{gap_usual},READ_LENGTH({gap?})),"")',
        ),
        Item(
            handle="finish_gap_used",
            label="Finish gap",
            kind=LENGTH,
            formula='=IF({finish_gap?}="",{gap_used},READ_LENGTH({finish_gap?}))',
        ),
        Item(
            handle="layout_used",
            label="Layout",
            formula='=IF({ceilings_filled},IF({layout?}="",{layout_usual},{layout?}),"")',
        ),
        Item(
            handle="taper_used",
            label="Taper",
            formula='=IF({ceilings_filled},IF({taper?}="",{taper_usual},{taper?}),"")',
        ),
        Item(
            handle="least_used",
            label="Least",
            kind=LENGTH,
            formula='=IF({least?}="",{face_of}/2,READ_LENGTH({least?}))',
        ),
    ),
)

LETTERS = Lines(
    title="Letters of the choices",
    items=(
        Item(handle="board_letters", label="Choice", formula="=CHAR(64+{j})", cells=3, heads=("A", "B", "C")),
    ),
)

LAYOUT = Answer(
    handle="layout_rows",
    title="Courses of every ceiling",
    rows=CEILINGS,
    columns=(
        Item(handle="row_courses", label="Courses", kind=COUNT),
        Item(handle="row_first", label="First", kind=LENGTH),
        Item(handle="row_last", label="Last", kind=LENGTH),
        Item(handle="row_cut", label="Cut length", kind=LENGTH),
    ),
    formula=(
        '=IF(COUNT({face_of[]})=0,"",LAYOUT_TABLE({across_used[]},{along_used[]},{face_of[]},{gap_used[]},'
        "{finish_gap_used[]},{layout_used[]},{least_used[]},{take_up},{taper_used[]},{ceiling_rows}))"
    ),
)


def _or_shape(column: str, rectangle: str) -> str:
    """Take a figure of the shape where the ceiling has corners, or else that of a rectangle."""
    return f"IF({{shaped}}=1,INDEX({{{column}[]}},{{shape_order?}}),{rectangle})"


def _joints(name: str, column: str) -> str:
    """Ask one of the joint functions of each ceiling that has end joints; all share one solve."""
    asked = f"{name}({ONE_CEILING},,{{courses}},,,{KEEP_CLEAR},{{n}})"
    return f"=IF({{jointed}}=1,{_or_shape(column, asked)},0)"


def _each_reading(edge: str) -> str:
    """Word the widths of an edge course, left to right, at the readings that were taken."""
    words = '&" "&'.join(
        f'SUBSTITUTE(INDEX({{edge_{edge}:}},{at})," ","~")' for at in ("1", "2", "{end_rows}")
    )
    return f'SUBSTITUTE(SUBSTITUTE(TRIM({words})," "," / "),"~"," ")'


FIGURES = Table(
    handle="figures",
    title="Figures of every ceiling",
    like="ceilings",
    columns=(
        Item(handle="figures_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="courses",
            label="Courses",
            kind=COUNT,
            formula='=IF({ceilings_filled},INDEX({row_courses[]},{n}),"")',
        ),
        Item(
            handle="first",
            label="First",
            kind=LENGTH,
            formula='=IF({ceilings_filled},INDEX({row_first[]},{n}),"")',
        ),
        Item(
            handle="last",
            label="Last",
            kind=LENGTH,
            formula='=IF({ceilings_filled},INDEX({row_last[]},{n}),"")',
        ),
        Item(
            handle="cut_exact",
            label="Cut length, exact",
            kind=LENGTH,
            formula='=IF({ceilings_filled},INDEX({row_cut[]},{n}),"")',
        ),
        Item(
            handle="cut",
            label="Cut length",
            kind=LENGTH,
            formula="=INT({cut_exact}/{saw_step}+{whole_within})*{saw_step}",
        ),
        Item(
            handle="parallel",
            label="Out of parallel",
            kind=LENGTH,
            formula="=OUT_OF_PARALLEL({across_used:})",
        ),
        Item(
            handle="square",
            label="Out of square",
            kind=LENGTH,
            formula="=OUT_OF_SQUARE({along_used:},{diagonal_one},{diagonal_two})",
        ),
        Item(
            handle="area",
            label="Area",
            kind=AREA,
            formula=f'=IF({{ceilings_filled}}=1,{_or_shape("ground", "{full_area}")},"")',
        ),
        Item(
            handle="full_area",
            label="Area, with what its corners leave out",
            kind=AREA,
            formula='=IF({ceilings_filled}=1,CEILING_AREA({across_used:},{along_used:}),"")',
        ),
        Item(
            handle="area_said",
            label="Area, in words",
            formula=both('=TEXT({area},"#,##0")&" ft²"', '=TEXT({area},"#,##0.0")&" m²"'),
        ),
        Item(
            handle="board_said",
            label="Board, in words",
            formula=both(
                '={board_of}&" showing "&INCH_FRACTION({face_of})&" in"&IF(INDEX({board_words:?},{board_no})="","",", "&INDEX({board_words:?},{board_no}))',
                '=INCH_FRACTION({thickness_of})&" x "&INCH_FRACTION({overall_of})&" mm showing "&INCH_FRACTION({face_of})&" mm"&IF(INDEX({board_words:?},{board_no})="","",", "&INDEX({board_words:?},{board_no}))',
            ),
            width=24,
        ),
        Item(
            handle="full_share",
            label="Share of it",
            kind=SHARE,
            formula="={area}/{full_area}",
        ),
        Item(
            handle="runs",
            label="Stretches of courses",
            kind=COUNT,
            formula=f"={_or_shape('run_count', '{courses}')}",
        ),
        Item(
            handle="runs_long",
            label="Their mean length, wall to wall",
            kind=LENGTH,
            formula=f"={_or_shape('run_total', '{runs}*MAX({along_used:})')}/{{runs}}",
        ),
        Item(
            handle="start_gap",
            label="Gap left, start",
            kind=LENGTH,
            formula="=AVERAGE({across_used:})-AVERAGE({here_gap:})-IF({courses}=1,{first},{first}+{last}+({courses}-2)*{face_of})",
        ),
        Item(
            handle="trim_first_used",
            label="Trim, start",
            kind=LENGTH,
            formula='=IF({trim_first?}="",{start_gap},READ_LENGTH({trim_first?}))',
        ),
        Item(
            handle="trim_last_used",
            label="Trim, finish",
            kind=LENGTH,
            formula='=IF({trim_last?}="",MIN({here_gap:}),READ_LENGTH({trim_last?}))',
        ),
        Item(
            handle="end_gap_widest",
            label="Widest end gap",
            kind=LENGTH,
            formula="=WIDEST_GAP({along_used:},{cut},{gap_used})",
        ),
        Item(
            handle="growth_short",
            label="Gap short of growth",
            kind=FLAG,
            formula="=N(GAP_NEEDED({across_used:},INDEX({coefficient:?},{board_no}),{moisture_now},{wettest})>MIN({gap_used},{finish_gap_used}))",
        ),
        Item(
            handle="wide",
            label="Wide board",
            kind=FLAG,
            formula="=N({overall_of}>{blind_width})",
        ),
        Item(
            handle="per_bearing_used",
            label="Nails a bearing",
            kind=COUNT,
            formula='=IF({per_bearing?}="",1+{wide},{per_bearing?})',
        ),
        Item(
            handle="stock_for",
            label="Longest board",
            kind=LENGTH,
            formula=f"=INT({_or_shape('run_longest', 'IF({batches}>1,MAX({along_used:})-{gap_used}-{finish_gap_used},{cut})')}/{{saw_step}}+{{whole_within}})*{{saw_step}}",
        ),
        Item(
            handle="boards_from",
            label="Boards start from the wall",
            kind=LENGTH,
            formula="={gap_used}*(1-{shaped})",
            note="By corners, all is measured from the line of the left-most one.",
        ),
        Item(
            handle="first_bearing",
            label="First framing",
            kind=LENGTH,
            formula='=IF({first_framing?}="",0,READ_LENGTH({first_framing?})-{boards_from}+N(READ_LENGTH({first_framing?})<{boards_from})*{joint_bearing})',
        ),
        Item(
            handle="jointed",
            label="Jointed",
            kind=FLAG,
            formula="=N(ISNA(STOCK_LENGTH({stock_for},INDEX({stock_priced[]},0,{board_no}),{end_trim})))",
        ),
        Item(
            handle="framing_unknown",
            label="First framing not measured",
            kind=FLAG,
            formula='=N(AND({jointed}=1,{first_framing?}="",{joint_bearing}>0))',
        ),
        Item(
            handle="jointed_of",
            label="Jointed, choice",
            kind=COUNT,
            formula='=IF({jointed}=1,{board_no},"")',
        ),
        Item(
            handle="apart_of",
            label="Jointed or by corners, choice",
            kind=COUNT,
            formula='=IF({jointed}+{shaped}>0,{board_no},"")',
        ),
        Item(
            handle="plain_length",
            label="One length for all courses",
            kind=LENGTH,
            formula='=IF({shaped}=1,"",{stock_for})',
        ),
        Item(
            handle="plain_of",
            label="Choice, and length in steps of the saw",
            formula='=IF({plain_length?}="","",{board_no}&" "&ROUND({plain_length}/{saw_step},0))',
            note="Two ceilings of one length may be of two boards.",
        ),
        Item(
            handle="joints",
            label="End joints",
            kind=COUNT,
            formula=_joints("JOINT_COUNT", "shape_joints"),
        ),
        Item(
            handle="joint_money",
            label="Boards and joints",
            kind=MONEY,
            formula=_joints("JOINT_COST", "shape_money"),
        ),
        Item(
            handle="joint_bound",
            label="No layout costs less than",
            kind=MONEY,
            formula=_joints("LOWEST_JOINT_COST", "shape_bound"),
        ),
        Item(
            handle="joint_over",
            label="Over that",
            kind=SHARE,
            formula="=IF({joint_money}>{joint_bound},{joint_money}/{joint_bound}-1,0)",
        ),
        Item(
            handle="joint_over_of",
            label="Of choice",
            kind=SHARE,
            cells=3,
            heads=CHOICES,
            formula="=IF({board_no}={j},{joint_over},0)",
        ),
        Item(
            handle="barrier_run",
            label="Run of barrier",
            kind=LENGTH,
            formula="=MAX(1,WHOLE_UNITS(MAX(0,MAX({across_used:})-{lap}),{roll_width}-{lap}))*MAX({along_used:})*{full_share}",
        ),
        Item(
            handle="first_seen",
            label="First shows",
            kind=LENGTH,
            formula="=VISIBLE_WIDTH(MIN({here_first:}),{start_gap},{trim_first_used})",
        ),
        Item(
            handle="last_seen",
            label="Last shows",
            kind=LENGTH,
            formula="=VISIBLE_WIDTH(MIN({here_last:}),MIN({here_gap:}),{trim_last_used})",
        ),
        Item(
            handle="half_read",
            label="Read one way only",
            kind=FLAG,
            formula="=N(AND({ceilings_filled}=0,OR(COUNTA({ceiling?},{across:?},{along:?})>0,AND({from_start}=1,{start_typed}>0,{ceilings_in_use}>0))))",
        ),
        Item(
            handle="trim_short",
            label="Trim short of gap",
            kind=FLAG,
            formula='=N(OR(AND({trim_first?}<>"",{trim_first_used}<={start_gap}),AND({trim_last?}<>"",{trim_last_used}<=MAX({here_gap:}))))',
        ),
        Item(handle="tongue_of", label="Tongue", kind=LENGTH, formula="={overall_of}-{face_of}"),
        Item(
            handle="fence_first",
            label="Fence, first",
            kind=LENGTH,
            formula='=IF({courses}=1,{first},FENCE_SETTING({first},{tongue_of},"first"))',
        ),
        Item(
            handle="fence_last",
            label="Fence, last",
            kind=LENGTH,
            formula='=FENCE_SETTING({last},{tongue_of},"last")',
        ),
        *(
            Item(
                handle=f"{edge}_taper",
                label=f"Widths of a tapered rip, {edge}",
                formula=f'=IF(MAX({{here_{edge}:}})-MIN({{here_{edge}:}})>{{dust}},{_each_reading(edge)},"")',
            )
            for edge in ("first", "last")
        ),
        Item(
            handle="layout_problem",
            label="Problem",
            formula=f'=IF(N(COUNT({{courses?}}))+N({{ceilings_filled}})=1,ENTRY_PROBLEM("COURSE_NOTE",{MAYBE}),"")',
        ),
        Item(
            handle="layout_words",
            label="In words",
            formula=f'=IF(COUNT({{courses?}})=1,COURSE_NOTE({MAYBE}),"")',
        ),
        Item(
            handle="batches",
            label="Batches",
            kind=COUNT,
            formula="=CUT_BATCHES({along_used:},{finish_gap_used}/2,{most_gap})",
        ),
    ),
)

ENDS_ANSWER = Answer(
    handle="ends_rows",
    title="Edge courses at each reading",
    rows=3,
    like="ceilings",
    columns=(
        Item(handle="end_first", label="First", kind=LENGTH),
        Item(handle="end_last", label="Last", kind=LENGTH),
        Item(handle="end_gap", label="Gap, finish", kind=LENGTH),
    ),
    formula=f"=COURSE_ENDS({BLOCK})",
)

ENDS_HERE = Table(
    handle="ends_here",
    title="Edge courses in the row of their ceiling",
    like="ceilings",
    columns=tuple(
        Item(
            handle=f"here_{part}",
            label=label,
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula=f'=IF({{across_used}}="","",INDEX({{end_{part}[]}},{{end_rows}}*({{n}}-1)+{{j}}))',
        )
        for part, label in (("first", "First"), ("last", "Last"), ("gap", "Gap, finish"))
    ),
)

POLE_LIST = Table(
    handle="pole_list",
    title="Courses of the story pole, in two stretches",
    rows=POLE_ROWS,
    filled="=N({pole_courses})>={n}",
    columns=(Item(handle="pole_row", label="Course", kind=COUNT, formula="={n}"),),
)

POLE = Lines(
    title="The ceiling of the story pole",
    items=(
        Item(
            handle="pole_no",
            label="Ceiling",
            kind=COUNT,
            formula='=IF({pole_ceiling?}="",IF(COUNTIF({jointed[]},1)=0,1,MATCH(1,{jointed[]},0)),MATCH({pole_ceiling?},{name_used[]},0))',
        ),
        Item(handle="pole_name", label="Name", formula="=INDEX({name_used[]},{pole_no})"),
        Item(handle="pole_courses", label="Courses", kind=COUNT, formula="=INDEX({courses[]},{pole_no})"),
        Item(handle="pole_cut", label="Length to cover", formula="=INDEX({layout_cut[]},{pole_no})"),
        Item(handle="pole_first_shows", label="First shows", formula="=INDEX({first_shows[]},{pole_no})"),
        Item(handle="pole_last_shows", label="Last shows", formula="=INDEX({last_shows[]},{pole_no})"),
        Item(
            handle="smallest_shows",
            label="Narrowest strip that shows, any ceiling",
            kind=LENGTH,
            formula='=IF(COUNT({first_seen[]},{last_seen[]})=0,"",MIN({first_seen[]},{last_seen[]},{run_narrowest[]}))',
        ),
        Item(handle="pole_face", label="Face", kind=LENGTH, formula="=INDEX({face_of[]},{pole_no})"),
        Item(handle="pole_gap", label="Gap", kind=LENGTH, formula="=INDEX({gap_used[]},{pole_no})"),
        Item(
            handle="pole_finish_gap",
            label="Finish gap",
            kind=LENGTH,
            formula="=INDEX({finish_gap_used[]},{pole_no})",
        ),
        Item(handle="pole_layout", label="Layout", formula="=INDEX({layout_used[]},{pole_no})"),
        Item(handle="pole_least", label="Least", kind=LENGTH, formula="=INDEX({least_used[]},{pole_no})"),
        Item(handle="pole_taper", label="Taper", formula="=INDEX({taper_used[]},{pole_no})"),
        Item(handle="marks_kept", label="Marks kept", kind=COUNT, formula="=2*{pole_rows}"),
        Item(handle="pole_board", label="Choice", kind=COUNT, formula="=INDEX({board_no[]},{pole_no})"),
        Item(
            handle="pole_stock_for",
            label="Length to cover",
            kind=LENGTH,
            formula="=INDEX({stock_for[]},{pole_no})",
        ),
        Item(
            handle="pole_bearing",
            label="First framing",
            kind=LENGTH,
            formula="=INDEX({first_bearing[]},{pole_no})",
        ),
        Item(handle="pole_shaped", label="By corners", kind=FLAG, formula="=INDEX({shaped[]},{pole_no})"),
        Item(
            handle="pole_jointed",
            label="Jointed",
            kind=FLAG,
            formula='=IF(INDEX({jointed[]},{pole_no})="","",INDEX({jointed[]},{pole_no})*(1-{pole_shaped}))',
        ),
        Item(
            handle="pole_shape_jointed",
            label="By corners and jointed",
            kind=FLAG,
            formula='=IF(INDEX({jointed[]},{pole_no})="","",INDEX({jointed[]},{pole_no})*{pole_shaped})',
        ),
        Item(handle="pole_joints", label="End joints", kind=COUNT, formula="=INDEX({joints[]},{pole_no})"),
        Item(
            handle="joints_said",
            label="End joints in words",
            formula='=IF({pole_jointed}=1,{pole_joints}&" end joints, below the marks, from the start of the boards: add the gap of "&INCH_FRACTION({pole_gap})&" for the distance from the wall; boards and joints of this ceiling "&{joint_proof},"no end joints: one board a course")',
        ),
        Item(
            handle="pole_over", label="Over the bound", kind=SHARE, formula="=INDEX({joint_over[]},{pole_no})"
        ),
        Item(
            handle="joint_proof",
            label="End joints of that ceiling by itself",
            formula='=IF({pole_over}>0,"within "&TEXT({pole_over},"0.0%")&" of the best possible","proven cheapest")',
        ),
    ),
)

POLE_CEILING = (
    "{pole_stock_for},INDEX({stock_priced[]},0,{pole_board}),INDEX({stock_cost[]},0,{pole_board}),"
    "{joint_bearing},{pole_bearing}," + JOINT_RULES
)
"""What the joint functions ask of that ceiling, up to the rows of a table."""

OPEN = Lines(
    title="Half-way check, exact",
    items=(
        Item(
            handle="last_planned",
            label="Last as planned; its mean where no reading was taken",
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula='=IF({pole_across?}="",INDEX({last[]},{pole_no}),INDEX({here_last[]},{pole_no},{j}))',
        ),
        Item(
            handle="last_wanted_used",
            label="Last wanted",
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula='=IF({last_wanted?}="",{last_planned},READ_LENGTH({last_wanted?}))',
        ),
        Item(
            handle="finish_planned",
            label="Gap to leave there",
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula='=IF(OR({last_planned}="",{pole_across?}<>""),INDEX({here_gap[]},{pole_no},{j}),AVERAGE(INDEX({here_gap[]},{pole_no},0)))',
        ),
        Item(
            handle="open_exact",
            label="Open each course",
            kind=LENGTH,
            cells=3,
            heads=ENDS,
            formula="=OPEN_PER_COURSE({still_to_cover},{courses_left},{pole_face},{last_wanted_used},{finish_planned})",
        ),
    ),
)

PAYMENT = Answer(
    handle="payment_cents",
    title="Payments in whole cents",
    rows=3,
    columns=(Item(handle="payment", label="Amount", kind=MONEY),),
    formula="=PAYMENT_SPLIT({price},{payment_used[]},{payment_rows})",
)

MARKS = Answer(
    handle="pole_marks",
    title="Marks of the story pole",
    rows=2 * POLE_ROWS,
    columns=(
        Item(handle="pole_course", label="Course", kind=COUNT),
        Item(handle="pole_width", label="Width", kind=LENGTH),
        Item(handle="pole_mark", label="Mark", kind=LENGTH),
    ),
    formula=(
        "=COURSE_MARKS(INDEX({across_used[]},{pole_no},0),{pole_face},{pole_gap},{pole_finish_gap},"
        "{pole_layout},{pole_least},{take_up},{pole_taper},{marks_kept})"
    ),
)

JOINT_MARKS = Answer(
    handle="joint_rows",
    title="Pieces and end joints of that ceiling",
    rows=2 * POLE_ROWS,
    columns=(
        Item(handle="joint_course", label="Course", kind=COUNT),
        Item(handle="joint_course_pieces", label="Pieces"),
        Item(handle="joint_places", label="End joints"),
    ),
    formula=f'=IF({{pole_jointed}}=1,JOINT_MARKS({POLE_CEILING},,{{marks_kept}},{{pole_courses}},,,{KEEP_CLEAR},{{pole_no}}),"")',
)

JOINT_PIECES = Answer(
    handle="piece_places",
    title="Pieces of that ceiling and where they start",
    rows=plan.PIECES,
    columns=(
        Item(handle="piece_course", label="Course", kind=COUNT),
        Item(handle="piece_in_course", label="Piece", kind=COUNT),
        Item(handle="piece_start", label="Start", kind=LENGTH),
        Item(handle="piece_laid", label="Length", kind=LENGTH),
    ),
    formula=f'=IF({{pole_jointed}}=1,JOINT_PLAN({POLE_CEILING},,{{pieces_kept}},{{pole_courses}},,,{KEEP_CLEAR},{{pole_no}}),"")',
)

SHAPE_JOINT_PIECES = replace(
    JOINT_PIECES,
    handle="shape_piece_places",
    title="The same, if it is one by its corners",
    columns=tuple(replace(item, handle=f"shape_{item.handle}") for item in JOINT_PIECES.columns),
    formula=f'=IF({{pole_shape_jointed}}=1,{shapes.joints_of_pole("{pieces_kept}")},"")',
)

FIXTURES = Table(
    handle="fixtures_used",
    title="Fixtures in their ceilings",
    like="fixtures",
    columns=(
        Item(handle="fixture_name", label="Fixture", formula="={fixture}"),
        Item(
            handle="fixture_no",
            label="Ceiling",
            kind=COUNT,
            formula='=IF({fixtures_filled},IF({fixture_ceiling?}="",1,MATCH({fixture_ceiling?},{name_used[]},0)),"")',
        ),
        Item(handle="fixture_face", label="Face", kind=LENGTH, formula="=INDEX({face_of[]},{fixture_no})"),
        Item(handle="fixture_gap", label="Gap", kind=LENGTH, formula="=INDEX({gap_used[]},{fixture_no})"),
        Item(
            handle="fixture_from",
            label="Boards start from the wall",
            kind=LENGTH,
            formula="=INDEX({boards_from[]},{fixture_no})",
        ),
        Item(
            handle="fixture_finish",
            label="Finish gap",
            kind=LENGTH,
            formula="=INDEX({finish_gap_used[]},{fixture_no})",
        ),
        Item(handle="fixture_layout", label="Layout", formula="=INDEX({layout_used[]},{fixture_no})"),
        Item(
            handle="fixture_least", label="Least", kind=LENGTH, formula="=INDEX({least_used[]},{fixture_no})"
        ),
        Item(handle="fixture_taper", label="Taper", formula="=INDEX({taper_used[]},{fixture_no})"),
        Item(
            handle="fixture_half",
            label="Half typed",
            kind=FLAG,
            formula="=N(AND({fixtures_filled}=0,COUNTA({fixture?},{shape?},{width?},{height?},{position_across?},{position_along?})>0))",
        ),
        Item(
            handle="hole_width",
            label="Width across",
            kind=LENGTH,
            formula="=READ_LENGTH({width})",
        ),
        Item(
            handle="hole_across",
            label="Centre from start wall",
            kind=LENGTH,
            formula="=READ_LENGTH({position_across})",
        ),
        Item(
            handle="hole_along",
            label="Centre from left end",
            kind=LENGTH,
            formula="=READ_LENGTH({position_along})",
        ),
        Item(
            handle="half_along",
            label="Half its length",
            kind=LENGTH,
            formula='=IF({shape}="round",READ_LENGTH({width}),READ_LENGTH({height?}))/2',
        ),
        Item(
            handle="fixture_out",
            label="Outside along",
            kind=FLAG,
            formula='=IF({position_along?}="",0,N(OR(READ_LENGTH({position_along?})<{half_along},READ_LENGTH({position_along?})+{half_along}>MAX(INDEX({along_used[]},{fixture_no},0)))))',
        ),
        Item(
            handle="fixture_placed",
            label="Placed along",
            kind=FLAG,
            formula='=IF({fixture_no}>0,N({position_along?}<>""),0)',
        ),
        Item(
            handle="courses_cut",
            label="Courses cut",
            formula=(
                "=COURSES_CROSSED({position_across},{width},INDEX({across_used[]},{fixture_no},0),{fixture_face},"
                "{fixture_gap},{fixture_finish},{fixture_layout},{fixture_least},{take_up},{fixture_taper})"
            ),
        ),
        Item(
            handle="crossing",
            label="Crossed?",
            kind=COUNT,
            formula="=LEN({courses_cut})",
        ),
        Item(
            handle="fixture_outside",
            label="Outside",
            kind=FLAG,
            formula="=IF({fixture_no}>0,IF(OR(ISERROR({courses_cut?}),ISERROR({fixture_out?})),1,{fixture_out?}),0)",
        ),
        Item(
            handle="hole_low",
            label="Near edge, from the first course joint",
            kind=LENGTH,
            formula="={hole_across}-{hole_width}/2-INDEX({start_gap[]},{fixture_no})-INDEX({first[]},{fixture_no})",
        ),
        Item(
            handle="hole_high",
            label="Far edge, from it",
            kind=LENGTH,
            formula="={hole_low}+{hole_width}",
        ),
        Item(
            handle="joint_last",
            label="Course joints after it",
            kind=COUNT,
            formula="=MAX(0,INDEX({courses[]},{fixture_no})-2)",
        ),
        Item(
            handle="hole_clear",
            label="Edge to course joint",
            kind=LENGTH,
            formula="=IF(INDEX({courses[]},{fixture_no})=1,{fixture_face},MIN(ABS({hole_low}-{fixture_face}*MEDIAN(0,ROUND({hole_low}/{fixture_face},0),{joint_last})),ABS({hole_high}-{fixture_face}*MEDIAN(0,ROUND({hole_high}/{fixture_face},0),{joint_last}))))",
        ),
        Item(
            handle="hole_near",
            label="Near a course joint",
            kind=FLAG,
            formula="=N({hole_clear}<{edge_clear}-{whole_within})",
        ),
        Item(
            handle="hole_bare",
            label="Flange too small",
            kind=FLAG,
            formula='=IF({fixture_no}>0,IF({flange?}="",0,N(READ_LENGTH({flange?})-READ_LENGTH({width})<2*{flange_least}-{whole_within})),0)',
        ),
        Item(
            handle="fixture_unframed",
            label="Not framed",
            kind=FLAG,
            formula='=IF({fixture_no}>0,N({framed?}<>"yes"),0)',
        ),
        Item(
            handle="keep_half",
            label="Keep off by",
            kind=LENGTH,
            formula="={half_along}+{joint_clear}",
        ),
        Item(
            handle="keep_from",
            label="No joint from",
            kind=LENGTH,
            formula="=READ_LENGTH({position_along})-{fixture_from}-{keep_half}",
        ),
        Item(
            handle="keep_to",
            label="No joint to",
            kind=LENGTH,
            formula="=READ_LENGTH({position_along})-{fixture_from}+{keep_half}",
        ),
        Item(
            handle="keep_courses",
            label="In courses",
            formula='=IF({fixture_no}>0,IF(OR(ISERROR({courses_cut?}),{keep_from?}=""),"none",{courses_cut?}),"")',
        ),
        Item(
            handle="keep_unknown",
            label="Place unknown",
            kind=FLAG,
            formula='=IF({fixture_no}>0,N(AND({position_along?}="",INDEX({jointed[]},{fixture_no})=1)),0)',
        ),
        Item(
            handle="fixture_area",
            label="Opening",
            kind=AREA,
            formula="=OPENING_AREA({shape},{width},{height?})",
        ),
        Item(
            handle="fixture_rim",
            label="Cut edge",
            kind=LENGTH,
            formula='=IF({shape}="round",PI()*READ_LENGTH({width}),2*(READ_LENGTH({width})+READ_LENGTH({height?})))',
        ),
        Item(
            handle="fixture_edge",
            label="Cut edge",
            kind=AREA,
            formula="=CUT_EDGE_AREA(INDEX({thickness_of[]},{fixture_no}),{fixture_rim})",
        ),
    ),
)

STOCK = Table(
    handle="stock_used",
    title="Price of one board at each stock length",
    like="stock",
    columns=(
        Item(
            handle="stock_used_length",
            label="Length",
            kind=LENGTH,
            formula='=IF({stock_here?}="",{stock_usual?},READ_LENGTH({stock_here?}))',
        ),
        Item(
            handle="stock_odd",
            label="Twice, or none",
            kind=FLAG,
            formula='=IF({stock_used_length?}="",N(COUNT({stock_price:?})>0),N(COUNTIF({stock_used_length[]},{stock_used_length?})>1))',
        ),
        Item(
            handle="stock_size_odd",
            label="Odd size",
            kind=FLAG,
            formula='=IF({stock_used_length?}="",0,N(OR({stock_used_length?}<{stock_least?},{stock_used_length?}>{stock_most?})))',
        ),
        Item(
            handle="stock_cost",
            label="Price of a board",
            kind=MONEY,
            cells=3,
            heads=("A", "B", "C"),
            formula='=IF({stock_price?}="",IF({stock_start?}="","",{stock_start?}),BOARD_PRICE({stock_price?},{per_used},{nominal_used},{stock_used_length}))',
        ),
        Item(
            handle="stock_start",
            label="At the price on Start",
            kind=MONEY,
            cells=3,
            heads=("A", "B", "C"),
            formula='=IF(AND({j}={board_usual},{board_priced?}=0),{board_rate}*{stock_used_length}/{one_run},"")',
        ),
        Item(
            handle="stock_priced",
            label="Length, if priced",
            kind=LENGTH,
            cells=3,
            heads=("A", "B", "C"),
            formula='=IF({stock_cost?}="","",{stock_used_length})',
        ),
        Item(
            handle="stock_limit",
            label="On offer, if priced",
            kind=COUNT,
            cells=3,
            heads=("A", "B", "C"),
            formula='=IF(OR({stock_cost?}="",{stock_offer?}=""),"",{stock_offer?})',
        ),
    ),
)


def _by_length(choice: int) -> str:
    """Say how many boards of each length of one choice are bought."""
    first = choice * plans.OFFERS
    words = '&" "&'.join(f"{{offer_words.{first + row}?}}" for row in range(1, plans.OFFERS + 1))
    return f'=SUBSTITUTE(SUBSTITUTE(TRIM({words})," ",", "),"~"," ")'


COUNTS = Lines(
    title="Counts for the checks",
    items=(
        Item(handle="cent_share", label="Shares add up within", kind=NUMBER, formula="=0.000001"),
        Item(
            handle="lead_due",
            label="House from before the lead rules",
            kind=FLAG,
            formula='=N(AND({year_built?}<>"",N({year_built?})<{lead_year?}))',
        ),
        Item(
            handle="dates_early",
            label="Dates before the bid's",
            kind=COUNT,
            formula='=COUNTIF({good_until[]},"<"&N({bid_date?}))+COUNTIF({start_on[]},"<"&N({bid_date?}))',
        ),
        *(
            Item(
                handle=f"boards_of_{letter.lower()}",
                label=f"Boards of choice {letter}",
                formula=_by_length(choice),
            )
            for choice, letter in enumerate(CHOICES)
        ),
        *(
            Item(
                handle=f"named_{letter.lower()}",
                label=f"Their name, choice {letter}",
                formula=f'=IF({{boards_of_{letter.lower()}?}}="","",SUBSTITUTE({{nominal_used.{choice}?}}&": "&{{boards_of_{letter.lower()}?}}," ","~"))',
            )
            for choice, letter in enumerate(CHOICES, 1)
        ),
        Item(
            handle="boards_by_length",
            label="Boards by length",
            formula='=IF(COUNT({thumb_stock[]})>1,SUBSTITUTE(SUBSTITUTE(TRIM({named_a?}&" "&{named_b?}&" "&{named_c?})," ","; "),"~"," "),{boards_of_a?}&{boards_of_b?}&{boards_of_c?})',
        ),
        Item(
            handle="order_unfinished",
            label="Lines of the order without their figures",
            kind=COUNT,
            formula='=COUNTBLANK({free_cost[]})-COUNTIFS({free_what[]},"",{free_quantity[]},"",{free_price[]},"")',
        ),
        Item(
            handle="tasks_unfinished",
            label="Tasks without their figures",
            kind=COUNT,
            formula='=COUNTBLANK({free_task_hours[]})-COUNTIFS({free_task[]},"",{free_task_quantity[]},"",{free_task_rate[]},"")',
        ),
        Item(
            handle="costs_unfinished",
            label="Other costs without a figure",
            kind=COUNT,
            # LibreOffice counts none where the first of two criteria is the blank one
            formula='=COUNTIFS({other_what[]},"<>",{other_cost[]},"")+COUNTIFS({option_price[]},"<>",{option[]},"")',
        ),
    ),
)


def sheet(others: Iterable[Sheet]) -> Sheet:
    """Build the working sheet for the other sheets of the workbook."""
    shown = [*others]
    blocks = [block for other in shown for block in other.blocks]
    return Sheet(
        title="Working",
        holds="What is used of the entries, and answers of several rows. Nothing is typed here.",
        blocks=(
            Text(
                (
                    "The other sheets show these figures; look here when one of them surprises. The tables at the end are not printed.",
                )
            ),
            CONSTANTS,
            START_READINGS,
            READINGS,
            BOARD,
            LETTERS,
            CHOICES_USED,
            FIGURES,
            POLE,
            POLE_LIST,
            plan.READINGS,
            plan.KEPT,
            OPEN,
            FIXTURES,
            STOCK,
            *plans.tables(),
            *shapes.tables(),
            COUNTS,
            PROMISES,
            *SENTENCES,
            *yard.WORKING,
            *price.WORKING,
            assumed(blocks),
            entries_checked(shown),
            ENDS_HERE,
            LAYOUT,
            PAYMENT,
            ENDS_ANSWER,
            *plans.answers(),
            *shapes.answers(),
            MARKS,
            JOINT_MARKS,
            JOINT_PIECES,
            SHAPE_JOINT_PIECES,
            *plan.POINTS,
            *plan.PATHS,
        ),
        landscape=True,
        columns=13,
    )
