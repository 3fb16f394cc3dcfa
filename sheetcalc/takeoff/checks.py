"""Checks: what is missing, what stops the price, and what deserves a look."""

from sheetcalc.kinds import COUNT
from sheetcalc.takeoff.measure import SHAPES
from sheetcalc.takeoff.start import ENTRIES
from sheetcalc.workbooks.declare import CHECK, FLAG, Item, Lines, Row, Sheet, Table, Text

READINGS_ON_START = ("across_one", "across_two", "along_one", "along_two")


def _missing(handle: str) -> str:
    """State of one of the nine entries; the readings and the board price may stand on other sheets instead."""
    if handle in READINGS_ON_START:
        return f'=IF(AND({{{handle}?}}="",{{ceilings_in_use}}=0),"missing","ok")'
    if handle == "board_rate":
        return f'=IF(AND({{{handle}?}}="",COUNT({{stock_price[]}})=0),"missing","ok")'
    if handle == "board_wanted":
        return f'=IF(AND({{{handle}?}}="",{{nominal.1?}}=""),"missing","ok")'
    return f'=IF({{{handle}?}}="","missing","ok")'


MISSING = Table(
    handle="entries_needed",
    title="Missing: nine entries that give a price",
    rows=tuple(
        Row(f"need_{item.handle}", item.label, {"need_state": _missing(item.handle), "need_where": "Start"})
        for item in ENTRIES.items
    ),
    columns=(
        Item(handle="need_state", label="State", kind=CHECK, formula='=""'),
        Item(handle="need_where", label="Where", width=20, formula='=""'),
    ),
)


def _entry(bad: str) -> str:
    """Name the first entry that is not as it should be."""
    at = f"MATCH(1,{{{bad}[]}},0)"
    return f'=IF(SUM({{{bad}[]}})=0,"Working: entries",INDEX({{checked_where[]}},{at})&": "&INDEX({{entries_checked[]}},{at},1))'


def _stop(handle: str, label: str, fails: str, where: str) -> Row:
    return Row(handle, label, {"stop_state": f'=IF({fails},"stop","ok")', "stop_where": where})


def _look(handle: str, label: str, raised: str, where: str) -> Row:
    return Row(handle, label, {"look_raised": f"=N({raised})", "look_where": where})


def _named(flag: str) -> str:
    """Name the first fixture that a look is about, and say how many more there are."""
    count = f"COUNTIF({{{flag}[]}},1)"
    first = f"INDEX({{fixture_name[]}},MATCH(1,{{{flag}[]}},0))"
    return f'=IF({count}=0,"Measure","Measure: "&{first}&IF({count}>1," and "&{count}-1&" more",""))'


def _of_corners(flag: str) -> str:
    """Name the first ceiling by its corners that a check is about."""
    return f'="Shapes"&IF(COUNTIF({{{flag}[]}},1)=0,"",": "&INDEX({{shape_name[]}},MATCH(1,{{{flag}[]}},0)))'


def _named_line(where: str, names: str) -> str:
    """Say which lines a look is about."""
    return f'="{where}"&IF({{{names}?}}="","",": "&{{{names}?}})'


def _short(column: str) -> str:
    """Test whether a column lacks a number in a row that is in use, or holds an error."""
    return f"OR(ISERROR(SUM({{{column}[]}})),COUNT({{{column}[]}})<{{ceilings_in_use}})"


NO_BOARD = (
    '=IF(ISERROR({board_usual?}),"Start: "&{board_wanted?}&" is none of them",'
    'IF(SUM({board_unknown[]})=0,"Measure, Start",'
    '"Measure: "&INDEX({board[]},MATCH(1,{board_unknown[]},0))&" is none of them"))'
)
ODD_SIZE = (
    '=IF(COUNTIF({size_odd[]},1)=0,"Measure","Measure: "&INDEX({size_words[]},MATCH(1,{size_odd[]},0)))'
)
IDLE = (
    '="Start"&IF({readings_idle?}=1,": readings; those on Measure count","")'
    '&IF(COUNTIF({rate_idle?},1)=1,": board price; those on Boards count","")'
)

STOPS = Table(
    handle="stop_checks",
    title="Stop: the price is #N/A while one of these fails",
    rows=(
        _stop("stop_numbers", "Every figure is a number", "SUM({bad_number[]})>0", _entry("bad_number")),
        _stop("stop_words", "Every choice is one of its words", "SUM({bad_word[]})>0", _entry("bad_word")),
        _stop("stop_negative", "No figure is below zero", "SUM({bad_sign[]})>0", _entry("bad_sign")),
        _stop(
            "stop_readings",
            "Every reading can be read",
            "ISERROR(SUM({across_used[]},{along_used[]}))",
            "Measure",
        ),
        _stop("stop_half", "Every ceiling is read both ways", "SUM({half_read[]})>0", "Measure"),
        _stop(
            "stop_corners",
            f"Corners make ceilings, {SHAPES} at most",
            "OR(SUM({corner_half[]})>0,ISERROR(SUM({corner_no[]})),N({shapes_used?})>ROWS({shape_no[]}),SUM({no_ceiling[]})>0)",
            _of_corners("no_ceiling"),
        ),
        _stop("stop_names", "No two ceilings have one name", "SUM({name_twice[]})>0", "Measure"),
        _stop("stop_fixtures", "Every fixture's ceiling is known", "ISERROR(SUM({fixture_no[]}))", "Measure"),
        _stop(
            "stop_half_fixture",
            "Every fixture has name, shape, width and place",
            "SUM({fixture_half[]})>0",
            '=IF(SUM({fixture_half[]})=0,"Measure","Measure: fixture "&MATCH(1,{fixture_half[]},0))',
        ),
        _stop("stop_tongue", "Every board is wider than its face", 'COUNTIF({tongue:?},"<=0")>0', "Boards"),
        _stop(
            "stop_choice",
            "Every choice of board is on Boards",
            "ISERROR(SUM({board_no[]}))",
            NO_BOARD,
        ),
        _stop("stop_layout", "Every ceiling has a layout", _short("courses"), "Layout: note"),
        _stop("stop_stock", "Every stock length stands once", "SUM({stock_odd[]})>0", "Boards"),
        _stop(
            "stop_boards",
            "Every choice's boards are priced",
            "SUM({plan_unpriced[]})>0",
            "Boards: prices",
        ),
        _stop(
            "stop_plan",
            "Every choice's boards can be planned",
            "{plans_failed?}=1",
            "Order: proven?",
        ),
        _stop(
            "stop_bought",
            "Bought is at least what is needed",
            "N({boards_total?})<N({boards_needed?})",
            "Order",
        ),
        _stop(
            "stop_order",
            "Every line of the order is a number",
            "ISERROR(SUM({order_cost[]},{free_cost[]}))",
            "Order",
        ),
        _stop(
            "stop_hours",
            "Every task's hours are a number",
            "ISERROR(SUM({task_hours[]},{free_task_hours[]}))",
            "Hours",
        ),
        _stop(
            "stop_price",
            "Every part of the price is a number",
            "AND({missing}=0,ISERROR({price_before_tax?}+{tax?}))",
            "Price",
        ),
        # always so where the functions are; an edition that stores these lines compares
        _stop("stop_stored", "Boards, cuts, joints are as new as the entries", "FALSE", "Order"),
        _stop(
            "stop_shares",
            "Payments add up to the price",
            "ABS(SUM({payment_used[]})-1)>{cent_share}",
            "Price",
        ),
    ),
    columns=(
        Item(handle="stop_state", label="State", kind=CHECK, formula='=""'),
        Item(handle="stop_where", label="Where", width=20, formula='=""'),
    ),
)

LOOKS = Table(
    handle="look_checks",
    title="Look: the price stands, but see to these",
    rows=(
        _look(
            "look_sliver",
            "No edge course shows as a sliver",
            'COUNTIF({first_seen[]},"<"&{sliver?})+COUNTIF({last_seen[]},"<"&{sliver?})>0',
            "Layout",
        ),
        _look(
            "look_warning", "No layout carries a warning", 'COUNTIF({layout_note[]},"*warning*")>0', "Layout"
        ),
        _look(
            "look_taper",
            "Walls are parallel within the take-up",
            'COUNTIF({parallel[]},">"&{take_up?})>0',
            "Layout",
        ),
        _look(
            "look_square",
            "Ceilings are square within the take-up",
            'OR(AND(ISERROR(SUM({square[]})),NOT(ISERROR(SUM({along_used[]})))),COUNTIF({square[]},">"&{take_up?})+COUNTIF({square[]},"<"&-{take_up?})>0)',
            "Layout",
        ),
        _look(
            "look_tongue",
            "Every tongue is of a likely length",
            'COUNTIF({tongue:?},">"&{tongue_most?})>0',
            "Boards",
        ),
        _look(
            "look_ceiling",
            "Every fixture names its ceiling",
            'AND({ceilings_in_use}>1,COUNTIFS({fixture[]},"<>",{fixture_ceiling[]},"")>0)',
            "Measure",
        ),
        _look(
            "look_zero",
            "No rate is zero",
            "COUNTIF({labor_rate[]},0)+COUNTIF({hang_rate[]},0)+COUNTIF({task_rate[]},0)>0",
            "Start, Hours",
        ),
        _look("look_scaffold", "The scaffold has a price", "N({scaffold?})=0", "Hours"),
        _look(
            "look_tax",
            "Tax has both a rate and a base",
            '(N({tax_rate?})>0)<>({tax_on?}<>"nothing")',
            "Price",
        ),
        _look(
            "look_dates",
            "Dates of the bid are in order",
            "{dates_early?}>0",
            "Price",
        ),
        _look(
            "look_read_twice",
            "No ceiling has readings besides its corners (the corners count)",
            "SUM({read_twice[]})>0",
            "Measure, Start",
        ),
        _look(
            "look_narrow",
            "No course is narrowed to a sliver by a wall inside",
            'COUNTIF({run_narrowest[]},"<"&{sliver?})>0',
            "Shapes",
        ),
        _look(
            "look_opening",
            "Openings lie within the walls, apart from each other",
            "SUM({opening_odd[]})>0",
            _of_corners("opening_odd"),
        ),
        _look("look_size", "Every reading is of a likely size", "SUM({size_odd[]})>0", ODD_SIZE),
        _look("look_start", "Whatever is typed on Start counts", "{readings_idle?}+{rate_idle?}>0", IDLE),
        _look("look_trim", "Trim covers the gaps at the walls", "SUM({trim_short[]})>0", "Measure"),
        _look(
            "look_ends",
            "Trim hides the gaps at board ends",
            'COUNTIF({end_gap_widest[]},">"&{most_gap?})>0',
            "Layout",
        ),
        _look(
            "look_batches", "One cut length does for each ceiling", 'COUNTIF({batches[]},">1")>0', "Layout"
        ),
        _look("look_damp", "Boards are dry enough", 'LEFT({verdict?},5)<>"ready"', "Boards"),
        _look(
            "look_meter", "Enough moisture readings", "N({readings_taken?})<N({readings_wanted?})", "Boards"
        ),
        _look("look_growth", "Gaps leave room for the growth", "SUM({growth_short[]})>0", "Boards"),
        _look("look_offer", "The yard has enough for the spares", "SUM({spare_tight[]})>0", "Boards, Order"),
        _look(
            "look_proof",
            "Cutting and joints are proven near best",
            "MAX({over_total?},{joints_over_most?})>{proof_share?}",
            "Order",
        ),
        _look("look_tight", "Boards to cut leave a little over", "N({tight?})>0", "Order: offcuts"),
        _look(
            "look_framing",
            "Where joints fall, the first framing is measured",
            "SUM({framing_unknown[]})>0",
            "Measure",
        ),
        _look("look_stock", "Every stock length is of a likely size", "SUM({stock_size_odd[]})>0", "Boards"),
        _look(
            "look_kerf",
            "No piece fails by the saw cut alone",
            'COUNTIF({plan_kerf[]},"?*")>COUNTIF({plan_kerf[]},"ok")',
            "Order",
        ),
        _look(
            "look_saw",
            "Order and Saw show every line",
            "OR(AND({plans_failed?}=0,ISERROR(SUM({saw_boards[]},{stop_pieces[]},{trim_cut_boards[]}))),SUM({yard_lines[]})>ROWS({yard_at[]}),SUM({setting_lines[]})>ROWS({setting_at[]}),SUM({group_lines[]})>ROWS({group_at[]}))",
            "Order, Saw",
        ),
        _look(
            "look_joint",
            "Fixtures among end joints say how far along",
            "SUM({keep_unknown[]})>0",
            "Measure",
        ),
        _look(
            "look_lead_time",
            "Boards can be there before the start",
            "AND(N({start_on?})*N({bid_date?})>0,N({start_on?})-N({bid_date?})<N({lead_time?}))",
            "Boards, Price",
        ),
        _look(
            "look_spares",
            "Spares are bought for culls",
            "AND({plans_failed?}=0,SUM({plan_spares[]})=0)",
            "Boards: cull rate",
        ),
        _look("look_share", "No share is over 100 %", "SUM({bad_share[]})>0", _entry("bad_share")),
        _look(
            "look_framed",
            "Every fixture is framed",
            "COUNTIF({fixture_unframed[]},1)>0",
            _named("fixture_unframed"),
        ),
        _look(
            "look_fixture",
            "Every fixture lies within its ceiling",
            f"OR(AND(ISERROR(SUM({{crossing[]}},{{fixture_out[]}})),NOT(OR(ISERROR(SUM({{fixture_no[]}})),{_short('courses')}))),COUNTIF({{fixture_out[]}},1)>0)",
            _named("fixture_outside"),
        ),
        _look(
            "look_edge",
            "Holes keep clear of the course joints",
            "COUNTIF({hole_near[]},1)>0",
            _named("hole_near"),
        ),
        _look(
            "look_flange",
            "Flanges hide the edges of the holes",
            "COUNTIF({hole_bare[]},1)>0",
            _named("hole_bare"),
        ),
        _look(
            "look_picture",
            "The plan shows every line",
            "AND({stops?}=0,ISNUMBER({pole_courses?}),{picture_short?}>0)",
            "Plan",
        ),
        _look(
            "look_unpriced",
            "Every line of the order has a price",
            "COUNT({goods_lacking[]})>0",
            _named_line("Order", "goods_lacked"),
        ),
        _look(
            "look_free",
            "Every free line has its figures",
            "{order_unfinished?}+{tasks_unfinished?}+{costs_unfinished?}>0",
            "Order, Hours, Price",
        ),
        _look(
            "look_rates",
            "Every task has a rate",
            "COUNT({task_lacking[]})>0",
            _named_line("Hours", "tasks_lacked"),
        ),
        _look("look_days", "Days on site are of a likely number", "N({site_days?})>{days_most?}", "Hours"),
        _look("look_platform", "Platform within its rating", "N({platform_share?})>1", "Hours"),
        _look(
            "look_lead",
            "House built in 1978 or later",
            "{lead_due?}",
            "Measure",
        ),
        _look(
            "look_halfway",
            "Courses open no more than the tongue allows",
            'COUNTIF({open_state:?},"look*")>0',
            "Measure",
        ),
        _look("look_pole", "The story pole's ceiling is known", "ISERROR({pole_no?})", "Measure"),
        _look(
            "look_placeholder",
            "Owner, place, firm and dates are on the bid",
            'OR({owner?}="",{place?}="",{firm?}="",{bid_date?}="",{good_until?}="")',
            "Measure, Price",
        ),
        _look("look_stored", "None of them is kept past a change", "0", "Order"),
        _look(
            "look_version",
            "Functions are those it was made with",
            "NOT(EXACT(FUNCTION_VERSION(),{made_with?}))",
            "Notes",
        ),
    ),
    columns=(
        Item(
            handle="look_state",
            label="State",
            kind=CHECK,
            formula='=IF(ISERROR({look_raised?}),IF({stops}>0,"not known","look"),IF({look_raised?}=1,"look","ok"))',
        ),
        Item(handle="look_where", label="Where", width=32, formula='=""'),
        Item(handle="look_raised", label="Raised", kind=FLAG, formula='=""'),
    ),
)

STATE = Lines(
    title="State",
    items=(
        Item(
            handle="missing",
            label="Entries missing",
            kind=COUNT,
            formula='=COUNTIF({need_state[]},"missing")',
        ),
        Item(
            handle="stops",
            label="Stop checks that fail",
            kind=COUNT,
            formula='=ROWS({stop_state[]})-COUNTIF({stop_state[]},"ok")',
        ),
        Item(
            handle="looks",
            label="Points to look at",
            kind=COUNT,
            formula='=IF({missing}>0,0,COUNTIF({look_state[]},"look"))',
        ),
        Item(
            handle="missing_words",
            label="Missing in words",
            formula='=IF({missing}=0,"",IF({missing}=1,"no price yet: 1 entry missing","no price yet: "&{missing}&" entries missing"))',
        ),
        Item(
            handle="looks_words",
            label="Points in words",
            formula='=IF({looks}=1,"1 point to look at",{looks}&" points to look at")',
        ),
        Item(
            handle="price_words",
            label="In words",
            formula='=IF({stops}>0,"stopped: "&{stops}&" to mend",IF({looks}>0,"draft: "&{looks_words},"ok: ready to hand out"))',
        ),
        Item(
            handle="state",
            label="State",
            formula='=IF(ISERROR({runs_with?}),"not computed: run sheetcalc compute",IF({missing}>0,{missing_words?},{price_words}))',
        ),
        Item(
            handle="assumed_count",
            label="Values assumed",
            kind=COUNT,
            formula='=COUNTIF({assumed_state[]},"assumed")',
            note="Listed on Working.",
        ),
        Item(
            handle="lead_year",
            label="Lead-safe rules for houses before",
            kind=COUNT,
            default=1978,
            unit="year",
            note="40 CFR 745 Subpart E, from 6 ft² (0.56 m²) inside or 20 ft² (1.9 m²) outside.",
        ),
    ),
)

SHEET = Sheet(
    title="Checks",
    holds="What is missing, what stops the price, and what deserves a look before the bid goes out.",
    blocks=(
        STATE,
        MISSING,
        STOPS,
        LOOKS,
        Text(
            (
                "A stop empties or voids the price. A look does not: judge it, then hand the bid out or mend it.",
            )
        ),
    ),
    columns=8,
)
