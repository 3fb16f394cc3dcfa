"""Order: per line the exact need, whole units to buy, and what they cost."""

from sheetcalc.kinds import AREA, COUNT, DAYS, LENGTH, MONEY, NUMBER, SHARE, SPREAD, TEXT, TUBE, VOLUME
from sheetcalc.takeoff.boards import CHOICES
from sheetcalc.takeoff.plans import BUY, TRIM_LENGTHS
from sheetcalc.workbooks.declare import CHECK, DATE, WORDED, Item, Lines, Row, Sheet, Table
from sheetcalc.workbooks.systems import both

FREE = 10

DELIVERY = Lines(
    title="Delivery, for the yard's list",
    items=(
        Item(handle="deliver_on", label="Wanted on site", kind=DATE),
        Item(handle="deliver_words", label="Where to put it, access"),
    ),
)

BUYING = Table(
    handle="buying",
    title="Boards to buy, line by line; the yard's list without prices stands on Yard",
    like="yard_list",
    columns=(
        Item(
            handle="yard_words",
            label="Line",
            formula='={yard_boards}&" pcs "&TRIM(INDEX({nominal_used:?},{yard_plan})&" "&INDEX({board_words:?},{yard_plan}))&", "&FEET_INCHES({yard_stock})',
            width=both(40, 52),
        ),
        Item(handle="yard_boards", label="Pieces", kind=COUNT, formula="=INDEX({spare_boards[]},{yard_at})"),
        Item(
            handle="yard_spare",
            label="Of them spares",
            kind=COUNT,
            formula="={yard_boards}-INDEX({spare_needed[]},{yard_at})",
        ),
        Item(
            handle="yard_price",
            label="Price of a board",
            kind=MONEY,
            formula="=ROUND({yard_cost}/{yard_boards},2)",
        ),
        Item(handle="yard_cost", label="Cost", kind=MONEY, formula="=INDEX({spare_cost[]},{yard_at})"),
    ),
)

PLANS = Table(
    handle="plans",
    title="How good the plan is: all ceilings of one board cut together",
    rows=tuple(Row(f"choice_{letter.lower()}", f"Choice {letter}") for letter in CHOICES),
    columns=(
        Item(handle="plan_boards", label="Boards to cut", kind=COUNT, formula="=SUM({buy_boards})"),
        Item(handle="plan_cost", label="Cost of the plan", kind=MONEY, formula=f"=BUY_COST({BUY})"),
        Item(
            handle="plan_bound",
            label="No other way to cut these pieces costs less than",
            kind=MONEY,
            formula=f"=LOWEST_BUY_COST({BUY})",
        ),
        Item(
            handle="plan_waste",
            label="Left over in cutting",
            kind=SHARE,
            formula="=1-{plan_run}/{plan_stock_run}",
        ),
        Item(
            handle="plan_waste_money",
            label="Left over, money",
            kind=MONEY,
            formula="={plan_waste}*{plan_cost}",
        ),
        Item(
            handle="plan_spares",
            label="Spares",
            kind=COUNT,
            formula="=SUM({spare_boards})-SUM({spare_needed})",
        ),
        Item(
            handle="short_words",
            label="Chance of running short",
            formula='=IF({plan_cull}=0,"no culls counted","at least "&TEXT({plan_short},"0.0%"))',
            width=17,
        ),
        Item(
            handle="plan_words",
            label="Proven?",
            formula='=IF({plan_problem?}="ok",{proof_words?}&IF({plan_kerf?}="ok","","; "&{plan_kerf?}),{plan_problem?})',
            width=50,
        ),
    ),
)

THUMB = Table(
    handle="thumb",
    title="The rule of thumb beside it: ceiling area and a share for waste, all of one stock length, end joints laid out for it",
    like="plans",
    columns=(
        Item(
            handle="thumb_read",
            label="Stock length",
            formula="=FEET_INCHES({thumb_stock})",
        ),
        Item(
            handle="thumb_boards",
            label="Boards by the rule",
            kind=COUNT,
            formula="=WHOLE_UNITS({plan_area}*(1+{thumb_share}),BOARD_COVERAGE({plan_face},{thumb_stock}))",
        ),
        Item(handle="thumb_cost", label="Their cost", kind=MONEY, formula="={thumb_boards}*{thumb_price}"),
        Item(
            handle="thumb_needed",
            label="Boards of that length, with spares",
            kind=COUNT,
            formula="=BOARDS_TO_ORDER({thumb_cut},{plan_cull},{confidence})",
        ),
        Item(
            handle="thumb_all",
            label="They and their joints",
            kind=MONEY,
            formula="={thumb_needed}*{thumb_price}+{thumb_joints}*{joint_price}",
        ),
        Item(
            handle="plan_all",
            label="The plan, spares and joints",
            kind=MONEY,
            formula="=SUM({spare_cost})+{plan_joints}*{joint_price}",
        ),
        Item(
            handle="saving",
            label="The plan saves",
            kind=MONEY,
            formula="=ROUND({thumb_all}-{plan_all},2)",
        ),
        Item(
            handle="thumb_state",
            label="Is the rule enough?",
            formula='=IF({thumb_boards}<{thumb_needed},{thumb_needed}-{thumb_boards}&" boards short","enough")',
        ),
    ),
)


def _planned(amount: str) -> str:
    """Give an amount of the plans, blank while there is none."""
    return f'=IF({{ceilings_in_use}}*(1-{{plans_failed}})=0,"",{amount})'


def _said(words: str) -> str:
    """Say something of the plans, or that there is none."""
    return f'=IF({{plans_failed}}=1,"not planned",IF({{boards_total?}}="","",{words}))'


IN_ALL = Lines(
    title="Boards in all",
    items=(
        Item(
            handle="boards_total",
            label="Boards to buy",
            kind=COUNT,
            formula=_planned("SUM({spare_boards[]})"),
        ),
        Item(
            handle="boards_needed",
            label="Boards to cut",
            kind=COUNT,
            formula=_planned("SUM({spare_needed[]})"),
        ),
        Item(
            handle="boards_words",
            label="Boards in words",
            formula=_said('{boards_by_length?}&" ("&{boards_total?}-{boards_needed?}&" spare)"'),
        ),
        Item(
            handle="boards_cost",
            label="Cost of the boards, spares too",
            kind=MONEY,
            formula=_planned("SUM({spare_cost[]})"),
        ),
        Item(
            handle="plan_total",
            label="Cost of the plans, without spares",
            kind=MONEY,
            formula=_planned("SUM({plan_cost[]})"),
        ),
        Item(
            handle="joints_total",
            label="End joints",
            kind=COUNT,
            formula=_planned("SUM({joints[]})"),
        ),
        Item(
            handle="joints_words",
            label="End joints, their time",
            formula=_said(
                '{joints_total?}&" x "&TEXT({joint_price},"#,##0.00")&" = "&TEXT({joints_total?}*{joint_price},"#,##0.00")'
            ),
        ),
        Item(
            handle="plan_joined",
            label="Boards and joints",
            kind=MONEY,
            formula="={plan_total}+{joints_total}*{joint_price}",
            note="What the layout of the end joints keeps low, at the price of a joint below.",
        ),
        Item(
            handle="bound_total",
            label="No other way to cut them costs less than",
            kind=MONEY,
            formula=_planned("SUM({plan_bound[]})"),
        ),
        Item(
            handle="plan_total_words",
            label="The plan is",
            formula=_said("{plans_proof?}"),
            note="Cutting: of the pieces as listed. Joints: boards and joints of each ceiling by itself.",
        ),
        Item(
            handle="cut_waste",
            label="Left over in cutting: offcuts only",
            kind=SHARE,
            formula="=IF({boards_total}>0,1-SUM({plan_run[]})/SUM({plan_stock_run[]}),0)",
        ),
        Item(
            handle="waste_money",
            label="Left over, money",
            kind=MONEY,
            formula="=IF({boards_total}>0,SUM({plan_waste_money[]}),0)",
        ),
        Item(
            handle="sure_words",
            label="Chance of running short",
            formula='=IF({boards_total}>0,"at least "&TEXT(1-PRODUCT({plan_sure[]}),"0.0%"),"")',
            note="A floor: culls come in bundles.",
        ),
        Item(
            handle="saving_total",
            label="Saved against one stock length",
            kind=MONEY,
            formula="=IF({boards_total}>0,SUM({saving[]}),0)",
            note="Boards, spares and joints, against those of one length with end joints laid out for it.",
        ),
        Item(
            handle="saving_words",
            label="Saved, in words",
            formula=_said('TEXT({saving_total?},"#,##0.00")&" against "&{thumb_only?}'),
        ),
    ),
)

BOARD_ENTRIES = Lines(
    title="Buying boards",
    items=(
        Item(
            handle="end_trim",
            label="Squaring off a board's ends",
            kind=LENGTH,
            default=both(0.5, 12),
            note="Cut from each board before measuring. Common practice, no source.",
        ),
        Item(
            handle="kerf",
            label="Saw cut",
            kind=LENGTH,
            default=both(0.125, 3),
            note=both(
                "Width that the blade takes at every cut; a full 1/8 in is careful. Common practice, no source.",
                "Width that the blade takes at every cut; a full 3 mm is careful. Common practice, no source.",
            ),
        ),
        Item(
            handle="saw_step",
            label="Cut lengths come down to a whole",
            kind=LENGTH,
            default=both(0.0625, 1),
            note="What the stop block is set to; the far gap takes the rest. Common practice, no source.",
        ),
        Item(
            handle="stock_least",
            label="Stock lengths are at least",
            kind=LENGTH,
            default=both(36, 900),
            note=both(
                "Less, or more than the next line, is a point to look at: feet typed without marks?",
                "Less, or more than the next line, is a point to look at: metres typed without marks?",
            ),
        ),
        Item(handle="stock_most", label="Stock lengths are at most", kind=LENGTH, default=both(300, 7500)),
        Item(
            handle="confidence",
            label="Sure of enough good boards",
            kind=SHARE,
            default=0.95,
            note="Culls come in bundles, so this is a floor.",
        ),
        Item(
            handle="proof_share",
            label="Look at a plan that may be dearer by",
            kind=SHARE,
            default=0.01,
            note="Than the proven bound: cutting in all, or boards and joints of a ceiling. Joints are seldom proven to the cent.",
        ),
        Item(
            handle="thumb_share",
            label="Rule of thumb: added to the area",
            kind=SHARE,
            default=0.1,
            note="WWPA: 10 % for trim and waste. For comparison only.",
        ),
    ),
)

OFFCUTS = Lines(
    title="Offcuts",
    items=(
        Item(
            handle="offcut_least",
            label="Worth keeping from",
            kind=LENGTH,
            default=both(24, 600),
            note="Common practice, no source.",
        ),
        Item(
            handle="tight_least",
            label="Look at boards that leave less than",
            kind=LENGTH,
            default=both(0.25, 6),
            note="A crooked end or a stock length that is short takes that. Common practice, no source.",
        ),
        Item(
            handle="tight",
            label="Boards that leave less",
            kind=COUNT,
            formula='=IF({boards_total}>0,SUMIFS({saw_boards[]},{saw_offcut[]},"<"&{tight_least}),0)',
        ),
        Item(
            handle="offcuts",
            label="Offcuts to keep",
            kind=COUNT,
            formula='=IF({boards_total}>0,SUMIFS({saw_boards[]},{saw_offcut[]},">="&{offcut_least}),0)',
        ),
    ),
)

JOINT_ENTRIES = Lines(
    title="End joints, where a ceiling is longer than the stock",
    items=(
        Item(
            handle="joint_apart",
            label="In neighbouring courses, apart at least",
            kind=LENGTH,
            default=both(24, 600),
            note=both(
                "24 in is careful. NWFA, for floors: 6 in for strip, 8 to 10 in for boards of 3 to 5 in, 10 in for wider.",
                "600 mm is careful. NWFA, for floors: 150 mm for strip, 200 to 250 mm for boards of 75 to 125 mm, 250 mm for wider.",
            ),
        ),
        Item(
            handle="joint_least",
            label="Shortest piece",
            kind=LENGTH,
            default=both(24, 600),
            note="Common practice, no source.",
        ),
        Item(
            handle="joint_rest",
            label="Framing rests: a joint again after … courses",
            kind=COUNT,
            default=4,
            note="So many courses between two joints on the same framing. From memory. Joints fall on framing unless the backing is solid (WWPA).",
        ),
        Item(
            handle="joint_clear",
            label="Joints keep off a fixture's edge by",
            kind=LENGTH,
            default=both(6, 150),
            note="In the courses that it cuts. From memory.",
        ),
        Item(
            handle="joint_price",
            label="Price of a joint, for the plan",
            kind=MONEY,
            default=8,
            note="Minutes of two people. Common practice, no source. It steers the plan; in the price are the hours on Hours.",
        ),
    ),
)

COATING_ENTRIES = Lines(
    title="Primer",
    items=(
        Item(handle="prime_backs", label="Prime the backs too", choices=("yes", "no"), default="no"),
        Item(
            handle="end_coats",
            label="Coats on cut ends",
            kind=COUNT,
            default=2,
            note="End grain drinks; how much more is an assumption, no source.",
        ),
        Item(handle="coats", label="Coats elsewhere", kind=COUNT, default=1),
        Item(
            handle="spread",
            label="Spread rate on the label",
            kind=SPREAD,
            default=both(400, 10),
            note=both(
                "Latex primer on smooth wood, from memory: 350 to 450; about half on rough-sawn.",
                "Latex primer on smooth wood, from memory: 8.5 to 11; about half on rough-sawn.",
            ),
        ),
        Item(
            handle="coating_loss",
            label="Loss in brush and can",
            kind=SHARE,
            default=0.1,
            note="Common practice, no source.",
        ),
    ),
)

FASTENING_ENTRIES = Lines(
    title="Nails",
    items=(
        Item(
            handle="bearing_spacing",
            label="Framing or strapping every",
            kind=LENGTH,
            default=both(16, 400),
            note=both(
                "A ceiling hangs on its nails: 16 in is the careful reading of the wall rules (WWPA).",
                "A ceiling hangs on its nails: 400 mm is the careful reading of the wall rules (WWPA).",
            ),
        ),
        Item(
            handle="per_bearing",
            label="Nails per board and bearing",
            kind=COUNT,
            note="While blank 1 through the tongue, 2 face nails for boards wider than the next line (WRCLA).",
        ),
        Item(
            handle="blind_width",
            label="Blind-nailed up to an overall width of",
            kind=LENGTH,
            default=both(6, 150),
            note="Wider boards get face nails only, at every bearing (WRCLA).",
        ),
        Item(
            handle="face_courses",
            label="Face-nailed courses",
            kind=COUNT,
            default=3,
            note="First, last and the one before. Memory, no source.",
        ),
        Item(
            handle="nail_layers",
            label="What does not hold, behind",
            kind=LENGTH,
            default=0,
            note="Wrap, foam or gypsum between board and framing.",
        ),
        Item(
            handle="nail_needed",
            label="Nail length at 45°, at least",
            formula='=IF(N(INDEX({thickness_used:?},{board_usual}))=0,"",INCH_FRACTION(NAIL_LENGTH(INDEX({thickness_used:?},{board_usual}),{nail_layers})))',
            kind=WORDED,
            note=both(
                "1-1/2 in into framing, or framing and wood sheathing (WWPA). 15 or 16 gauge, corrosion-resistant, never brads.",
                "38 mm into framing, or framing and wood sheathing (WWPA). 15 or 16 gauge, corrosion-resistant, never brads.",
            ),
        ),
    ),
)

BACKING_ENTRIES = Lines(
    title="Backing, trim and sealant",
    items=(
        Item(
            handle="backing",
            label="Backing",
            choices=("none", "sheathing", "strapping"),
            default="none",
            note=both(
                "Half-inch plywood lets nails land anywhere.", "Plywood of 12 mm lets nails land anywhere."
            ),
        ),
        Item(handle="sheet_width", label="Sheet width", kind=LENGTH, default=both(48, 1220)),
        Item(handle="sheet_length", label="Sheet length", kind=LENGTH, default=both(96, 2440)),
        Item(handle="screws_each", label="Fasteners per sheet", kind=COUNT, default=40),
        Item(
            handle="screws_run",
            label=both("Fasteners per foot of strapping", "Fasteners per metre of strapping"),
            kind=NUMBER,
            default=both(1.5, 5),
            note=both(
                "Two at every crossing of framing at 16 in. Common practice, no source.",
                "Two at every crossing of framing at 400 mm. Common practice, no source.",
            ),
        ),
        Item(handle="barrier", label="Weather barrier", choices=("yes", "no"), default="no"),
        Item(handle="roll_width", label="Roll width", kind=LENGTH, default=both(36, 1000)),
        Item(handle="roll_length", label="Roll length", kind=LENGTH, default=both(1200, 30000)),
        Item(
            handle="lap",
            label="Laps",
            kind=LENGTH,
            default=both(6, 150),
            note="At every seam and roll end, from the wall rule (IRC R703.2).",
        ),
        Item(
            handle="trim_waste",
            label="Trim waste",
            kind=SHARE,
            default=0.1,
            note="WWPA: 10 % for trim and waste.",
        ),
        Item(
            handle="trim_least",
            label="Shortest piece of trim, bought by length",
            kind=LENGTH,
            default=both(48, 1200),
            note="Where a wall is longer than the trim. Common practice, no source.",
        ),
        Item(handle="bead", label="Sealant bead, width and depth", kind=LENGTH, default=both(0.25, 6)),
        Item(handle="tube", label="Sealant in a tube", kind=TUBE, default=both(10.1, 310)),
        Item(
            handle="holes_per_tub",
            label="Holes a tub of filler fills",
            kind=COUNT,
            default=500,
            note="Common practice, no source.",
        ),
    ),
)

TRIM = Table(
    handle="trim_stock",
    title="Cover trim by stock length; while no price is typed here, trim is bought by the running length as in the order",
    rows=TRIM_LENGTHS,
    columns=(
        Item(handle="trim_length", label="Length", kind=LENGTH, needed=True),
        Item(handle="trim_price", label="Price", kind=MONEY, needed=True, note="Of one length."),
        Item(handle="trim_read", label="Read as", formula="=FEET_INCHES({trim_length})"),
        Item(
            handle="trim_buy",
            label="To buy",
            kind=COUNT,
            formula="=IF({trim_stock_filled}=1,SUMIFS({trim_boards[]},{trim_at[]},READ_LENGTH({trim_length})),0)",
        ),
    ),
)

AMOUNTS = Table(
    handle="amounts",
    title="Amounts of each ceiling",
    like="ceilings",
    columns=(
        Item(handle="amounts_name", label="Ceiling", formula="={name_used}"),
        Item(handle="cut_ends", label="Cut ends", kind=COUNT, formula="=2*({runs}+{joints})"),
        Item(
            handle="ends_area",
            label="End grain",
            kind=AREA,
            formula="=END_GRAIN_AREA({thickness_of},{overall_of},{cut_ends})",
        ),
        Item(
            handle="ripped",
            label="Ripped edges",
            kind=COUNT,
            formula="=IF({face_of}-MIN({here_first:})>{dust},1,0)+IF({face_of}-MIN({here_last:})>{dust},1,0)",
        ),
        Item(
            handle="ripped_area",
            label="Ripped area",
            kind=AREA,
            formula="=CUT_EDGE_AREA({thickness_of},IF({shaped}=1,INDEX({run_ripped[]},{shape_order?}),{cut}*{ripped}))",
        ),
        Item(
            handle="back_area",
            label="Backs",
            kind=AREA,
            formula='=IF({prime_backs}="yes",BOARD_COVERAGE({overall_of},IF({shaped}=1,INDEX({run_total[]},{shape_order?}),{cut}*{courses})),0)',
        ),
        Item(
            handle="nails",
            label="Nails",
            kind=COUNT,
            formula="=NAIL_COUNT({runs},{runs_long},{bearing_spacing},{per_bearing_used},IF({wide}=1,0,{face_courses}),{joints})",
        ),
        Item(
            handle="face_nails",
            label="Holes to fill",
            kind=COUNT,
            formula="=IF({wide}=1,NAIL_COUNT({runs},{runs_long},{bearing_spacing},{per_bearing_used},0),FACE_NAIL_COUNT({runs_long},{bearing_spacing},MIN({face_courses},{runs})))",
        ),
        Item(
            handle="sheets",
            label="Sheets",
            kind=COUNT,
            formula='=IF({backing}="sheathing",SHEET_COUNT({across_used:},MAX({along_used:})*{full_share},{sheet_width},{sheet_length}),0)',
        ),
        Item(
            handle="strapping_rows",
            label="Strapping rows",
            kind=COUNT,
            formula='=IF({backing}="strapping",BEARING_COUNT({along_used:},{bearing_spacing}),0)',
        ),
        Item(
            handle="strapping",
            label="Strapping",
            kind=LENGTH,
            formula="={strapping_rows}*MAX({across_used:})*{full_share}",
        ),
        Item(
            handle="around",
            label="Around the walls",
            kind=LENGTH,
            formula="=IF({shaped}=1,INDEX({rim[]},{shape_order?}),2*(AVERAGE({across_used:})+AVERAGE({along_used:})))",
        ),
    ),
)

TOTALS = Lines(
    title="Amounts of the job",
    items=(
        Item(handle="ceilings_in_use", label="Ceilings", kind=COUNT, formula="=SUM({ceilings_filled[]})"),
        Item(
            handle="area_total",
            label="Ceiling area",
            kind=AREA,
            formula='=IF({ceilings_in_use}=0,"",SUM({area[]}))',
        ),
        Item(
            handle="openings_total",
            label="Openings in it",
            kind=AREA,
            formula="=IF({area_total}=0,0,SUM({fixture_area[]}))",
        ),
        Item(
            handle="widest_ceiling",
            label="Widest ceiling",
            kind=LENGTH,
            formula='=IF({ceilings_in_use}=0,"",MAX({across_used[]}))',
        ),
        Item(
            handle="longest_ceiling",
            label="Longest ceiling",
            kind=LENGTH,
            formula='=IF({ceilings_in_use}=0,"",MAX({along_used[]}))',
        ),
        Item(
            handle="bought_area",
            label="They cover",
            kind=AREA,
            formula="=IF({boards_total}>0,SUM({plan_cover[]}),0)",
        ),
        Item(
            handle="waste",
            label="Waste: offcuts, rips, spares",
            kind=SHARE,
            formula='=IF({bought_area}=0,"",1-{area_total}/{bought_area})',
        ),
        Item(
            handle="nails_total",
            label="Nails",
            kind=COUNT,
            formula='=IF({ceilings_in_use}=0,"",SUM({nails[]}))',
        ),
        Item(
            handle="holes_total",
            label="Nail holes to fill",
            kind=COUNT,
            formula='=IF({ceilings_in_use}=0,"",SUM({face_nails[]}))',
        ),
        Item(
            handle="coated_ends",
            label="Cut ends, all coats",
            kind=AREA,
            formula='=IF({ceilings_in_use}=0,"",SUM({ends_area[]})*{end_coats})',
        ),
        Item(
            handle="coated_rest",
            label="Ripped edges, fixture edges and backs",
            kind=AREA,
            formula='=IF({ceilings_in_use}=0,"",(SUM({ripped_area[]})+SUM({back_area[]})+SUM({fixture_edge[]}))*{coats})',
        ),
        Item(
            handle="primer_exact",
            label="Primer",
            kind=VOLUME,
            formula="=PRIMER_VOLUME({coated_ends}+{coated_rest},{spread},1,{coating_loss})",
        ),
        Item(
            handle="trim_run",
            label="Cover trim around the walls",
            kind=LENGTH,
            formula='=IF({ceilings_in_use}=0,"",SUM({around[]})/(1-{trim_waste}))',
        ),
        Item(
            handle="tubes",
            label="Sealant tubes",
            kind=COUNT,
            formula='=IF({ceilings_in_use}=0,"",SEALANT_TUBES(SUM({around[]}),{bead},{bead},{tube}))',
        ),
        Item(
            handle="rolls",
            label="Rolls of weather barrier",
            kind=COUNT,
            formula='=IF({barrier}="yes",BARRIER_ROLLS({roll_width},SUM({barrier_run[]}),{roll_width},{roll_length},{lap}),0)',
            note="All strips one after the other; a roll may end within a strip.",
        ),
    ),
)

LINES = Table(
    handle="order",
    title="Order",
    rows=(
        Row(
            "boards",
            "Boards",
            {
                "order_exact": "={boards_needed}",
                "order_unit": "board",
                "order_buy": "={boards_total}",
                "order_cost": "={boards_cost}",
                "goods_key": '=""',  # boards have a list of their own
                "order_state": '=IF({plans_failed}=1,"stop: not planned",IF(N({order_cost?})=0,"look: no price","ok"))',
                "goods_word": "boards",
            },
        ),
        Row(
            "primer",
            "Primer for cut ends, ripped edges and backs",
            {
                "order_exact": "={primer_exact}",
                "order_unit": both("gallon", "litre"),
                "goods_units": both("gallons", "litres"),
                "goods_word": "primer",
                "goods_kind": "kind as agreed",
            },
        ),
        Row(
            "nails",
            "Nails, 15 or 16 gauge, corrosion-resistant",
            {
                "order_exact": "={nails_total}",
                "order_unit": "nail",
                "goods_units": "nails",
                "goods_word": "nails",
                "goods_kind": both('="at least "&{nail_needed}&" in"', '="at least "&{nail_needed}&" mm"'),
            },
        ),
        Row(
            "filler",
            "Filler for face-nail holes",
            {
                "order_exact": "={holes_total}/{holes_per_tub}",
                "order_unit": "tub",
                "goods_units": "tubs",
                "goods_word": "filler",
                "goods_kind": "kind as agreed",
            },
        ),
        Row(
            "sheathing",
            "Sheathing",
            {
                "order_exact": "=IF({area_total}>0,SUM({sheets[]}),0)",
                "order_unit": "sheet",
                "goods_units": "sheets",
                "goods_word": "sheathing",
                "goods_kind": '=FEET_INCHES({sheet_width})&" x "&FEET_INCHES({sheet_length})&"; rest as agreed"',
            },
        ),
        Row(
            "strapping",
            "Strapping",
            {
                "order_exact": "=IF({area_total}>0,SUM({strapping[]})/{one_run},0)",
                "order_unit": both("foot", "metre"),
                "goods_units": both("feet", "metres"),
                "goods_word": "strapping",
                "goods_kind": "size, wood as agreed",
            },
        ),
        Row(
            "screws",
            "Fasteners for sheathing or strapping",
            {
                "order_exact": "=IF({area_total}>0,SUM({sheets[]})*{screws_each}+SUM({strapping[]})/{one_run}*{screws_run},0)",
                "order_unit": "piece",
                "goods_units": "pieces",
                "goods_word": "fasteners",
                "goods_kind": "kind, length as agreed",
            },
        ),
        Row(
            "barrier",
            "Weather barrier",
            {
                "order_exact": "={rolls}",
                "order_unit": "roll",
                "goods_units": "rolls",
                "goods_word": "barrier",
                "goods_kind": '=FEET_INCHES({roll_width})&" x "&FEET_INCHES({roll_length})&"; rest as agreed"',
            },
        ),
        Row(
            "trim",
            "Cover trim",
            {
                "order_exact": "=IF(COUNT({trim_price[]})=0,{trim_run},SUM({around[]}))/{one_run}",
                "order_unit": both(
                    '=IF(COUNT({trim_price[]})=0,"foot","foot of wall")',
                    '=IF(COUNT({trim_price[]})=0,"metre","metre of wall")',
                ),
                "order_buy": '=IF(COUNT({trim_price[]})=0,WHOLE_UNITS({order_exact},IF({order_holds?}="",1,{order_holds?})),SUM({trim_boards[]}))',
                "order_cost": '=IF(COUNT({trim_price[]})=0,{order_buy}*IF({order_price?}="",0,{order_price?}),SUM({trim_money[]}))',
                "goods_units": both("feet", "metres"),
                "goods_key": '=IF(AND(COUNT({trim_price[]})=0,N({order_buy?})>0),{n},"")',
                "order_state": '=IF({order_cost}=0,"look: no price",IF(COUNT({trim_price[]})=0,"ok","ok: see lengths"))',
                "goods_word": "trim",
                "goods_kind": "profile, wood as agreed",
            },
        ),
        Row(
            "sealant",
            "Sealant",
            {
                "order_exact": "={tubes}",
                "order_unit": "tube",
                "goods_units": "tubes",
                "goods_word": "sealant",
                "goods_kind": "kind as agreed",
            },
        ),
        Row(
            "consumables",
            "Consumables (lump)",
            {
                "order_exact": "=IF({area_total}>0,1,0)",
                "order_unit": "lump",
                "goods_key": '=""',
                "goods_word": "consumables",
            },
        ),
        Row(
            "delivery",
            "Delivery (lump)",
            {
                "order_exact": "=IF({area_total}>0,1,0)",
                "order_unit": "lump",
                "goods_key": '=""',
                "goods_word": "delivery",
            },
        ),
    ),
    columns=(
        Item(handle="order_exact", label="Exact", kind=NUMBER, formula='=""'),
        Item(handle="order_unit", label="Unit", kind=TEXT, formula='=""'),
        Item(
            handle="order_holds",
            label="One package holds",
            kind=NUMBER,
            note="Units in a box, can, bundle or length; one while blank.",
        ),
        Item(
            handle="order_buy",
            label="To buy",
            kind=COUNT,
            formula='=WHOLE_UNITS({order_exact},IF({order_holds?}="",1,{order_holds?}))',
        ),
        Item(handle="order_price", label="Price of a package", kind=MONEY),
        Item(
            handle="order_cost",
            label="Cost",
            kind=MONEY,
            formula='={order_buy}*IF({order_price?}="",0,{order_price?})',
        ),
        Item(
            handle="order_state",
            label="Priced?",
            width=17,
            kind=CHECK,
            formula='=IF({order_buy}=0,"ok: none needed",IF({order_cost}=0,"look: no price","ok"))',
        ),
    ),
)

OTHERS = Table(
    handle="order_free",
    title="Other lines of the order",
    rows=FREE,
    columns=(
        Item(handle="free_what", label="What"),
        Item(handle="free_quantity", label="Quantity", kind=NUMBER, needed=True),
        Item(handle="free_unit", label="Unit"),
        Item(handle="free_holds", label="One package holds", kind=NUMBER),
        Item(
            handle="free_buy",
            label="To buy",
            kind=COUNT,
            formula='=WHOLE_UNITS({free_quantity},IF({free_holds?}="",1,{free_holds?}))',
        ),
        Item(handle="free_price", label="Price of a package", kind=MONEY),
        Item(handle="free_cost", label="Cost", kind=MONEY, formula="={free_buy}*{free_price}"),
    ),
)

SUM = Lines(
    title="Material",
    items=(
        Item(
            handle="primer_words",
            label="Primer in words",
            formula=both(
                '={order_buy.primer}&" x "&IF({order_holds.primer?}="",1,{order_holds.primer?})&" gal (exact "&TEXT({primer_exact},"0.00")&")"',
                '={order_buy.primer}&" x "&IF({order_holds.primer?}="",1,{order_holds.primer?})&" L (exact "&TEXT({primer_exact},"0.00")&")"',
            ),
        ),
        Item(
            handle="lead_time",
            label="Lead time of the job's board",
            kind=DAYS,
            formula='=IF(N(INDEX({lead_days:?},{board_usual}))=0,"",INDEX({lead_days:?},{board_usual}))',
        ),
        Item(
            handle="returns_worth",
            label="Credit if every spare goes back",
            kind=MONEY,
            formula="=SUM({spare_credit[]})",
            note="For your judgement; not in the price.",
        ),
        Item(
            handle="material",
            label="Material in all",
            kind=MONEY,
            formula="=IF({boards_total}>0,SUM({order_cost[]})+SUM({free_cost[]}),0)",
        ),
    ),
)

SHEET = Sheet(
    title="Order",
    holds="What to buy: whole units beside the exact need, and what they cost. The entries behind them stand below.",
    blocks=(
        BUYING,
        PLANS,
        THUMB,
        IN_ALL,
        LINES,
        OTHERS,
        SUM,
        DELIVERY,
        BOARD_ENTRIES,
        OFFCUTS,
        JOINT_ENTRIES,
        COATING_ENTRIES,
        FASTENING_ENTRIES,
        BACKING_ENTRIES,
        TRIM,
        TOTALS,
        AMOUNTS,
    ),
    landscape=True,
    columns=12,
)
