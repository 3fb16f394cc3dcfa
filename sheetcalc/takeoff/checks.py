"""Checks: what is missing, what stops the price, and what deserves a look."""

from sheetcalc.kinds import COUNT
from sheetcalc.takeoff.start import ENTRIES
from sheetcalc.workbooks.declare import CHECK, Item, Lines, Row, Sheet, Table, Text

READINGS_ON_START = ("across_one", "across_two", "along_one", "along_two")


def _missing(handle: str) -> str:
    """State of one of the nine entries; the readings and the board price may stand on other sheets instead."""
    if handle in READINGS_ON_START:
        return f'=IF(AND({{{handle}?}}="",COUNT({{area[]}})=0),"missing","ok")'
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
        Item(handle="need_where", label="Where", formula='=""'),
    ),
)


def _stop(handle: str, label: str, formula: str, where: str) -> Row:
    return Row(handle, label, {"stop_state": formula, "stop_where": where})


def _look(handle: str, label: str, formula: str, where: str) -> Row:
    return Row(handle, label, {"look_state": formula, "look_where": where})


STOPS = Table(
    handle="stop_checks",
    title="Stop: the price is #N/A while one of these fails",
    rows=(
        _stop(
            "stop_readings",
            "Every reading can be read",
            '=IF(SUMPRODUCT(ISERROR({across_used[]})+ISERROR({along_used[]}))>0,"stop","ok")',
            "Measure",
        ),
        _stop(
            "stop_half",
            "Every ceiling is read both ways",
            '=IF(SUM({half_read[]})>0,"stop","ok")',
            "Measure",
        ),
        _stop(
            "stop_layout",
            "Every ceiling has a layout",
            '=IF(SUMPRODUCT(ISERROR({courses[]})*1)+SUMPRODUCT(({name_used[]}<>"")*({courses[]}=""))>0,"stop","ok")',
            "Layout",
        ),
        _stop(
            "stop_boards",
            "Every ceiling's boards are priced",
            '=IF(SUMPRODUCT(ISERROR({boards_cost[]})*1)+SUMPRODUCT(({name_used[]}<>"")*({boards_cost[]}=""))>0,"stop","ok")',
            "Boards, Order",
        ),
        _stop(
            "stop_bought",
            "Bought is at least what is needed",
            '=IF(SUMPRODUCT(({boards_buy[]}<>"")*({boards_buy[]}<{boards_exact[]}))>0,"stop","ok")',
            "Order",
        ),
        _stop(
            "stop_order",
            "Every line of the order is a number",
            '=IF(SUMPRODUCT(ISERROR({order_cost[]})*1)+SUMPRODUCT(ISERROR({free_cost[]})*1)>0,"stop","ok")',
            "Order",
        ),
        _stop(
            "stop_hours",
            "Every task's hours are a number",
            '=IF(SUMPRODUCT(ISERROR({task_hours[]})*1)+SUMPRODUCT(ISERROR({free_task_hours[]})*1)>0,"stop","ok")',
            "Hours",
        ),
        _stop(
            "stop_price",
            "Every part of the price is a number",
            '=IF({missing}>0,"ok",IF(ISERROR({price_before_tax?}+{tax?}),"stop","ok"))',
            "Price",
        ),
        _stop(
            "stop_shares",
            "Payments add up to the price",
            '=IF(ABS(SUM({payment_used[]})-1)>0.000001,"stop","ok")',
            "Price",
        ),
    ),
    columns=(
        Item(handle="stop_state", label="State", kind=CHECK, formula='=""'),
        Item(handle="stop_where", label="Where", formula='=""'),
    ),
)

LOOKS = Table(
    handle="look_checks",
    title="Look: the price stands, but see to these",
    rows=(
        _look(
            "look_sliver",
            "No edge course shows as a sliver",
            '=IF(COUNTIF({first_seen[]},"<"&{sliver?})+COUNTIF({last_seen[]},"<"&{sliver?})>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_warning",
            "No layout carries a warning",
            '=IF(COUNTIF({layout_note[]},"*warning*")>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_taper",
            "Walls are parallel within the take-up",
            '=IF(COUNTIF({parallel[]},">"&{take_up?})>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_square",
            "Ceilings are square within the take-up",
            '=IF(COUNTIF({square[]},">"&{take_up?})+COUNTIF({square[]},"<-"&{take_up?})>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_trim",
            "Trim covers every gap",
            '=IF(SUM({trim_short[]})>0,"look","ok")',
            "Measure",
        ),
        _look(
            "look_batches",
            "One cut length does for each ceiling",
            '=IF(COUNTIF({batches[]},">1")>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_damp",
            "Boards are dry enough",
            '=IF({verdict?}="","look",IF(LEFT({verdict?},5)="ready","ok","look"))',
            "Boards",
        ),
        _look(
            "look_meter",
            "Enough moisture readings",
            '=IF(N({readings_taken?})<N({readings_wanted?}),"look","ok")',
            "Boards",
        ),
        _look(
            "look_growth",
            "Gap leaves room for the growth",
            '=IF(COUNT({growth_room:?})=0,"ok",IF(MIN({growth_room:?})<0,"look","ok"))',
            "Boards",
        ),
        _look(
            "look_offer",
            "The yard has enough of each length",
            '=IF(SUM({offer_short[]})>0,"look","ok")',
            "Boards",
        ),
        _look(
            "look_framed",
            "Every fixture is framed",
            '=IF(COUNTIF({framed[]},"no")+COUNTIFS({fixture[]},"<>",{framed[]},"")>0,"look","ok")',
            "Measure",
        ),
        _look(
            "look_fixture",
            "Every fixture lies within its ceiling",
            '=IF(SUMPRODUCT(ISERROR({courses_cut[]})*1)>0,"look","ok")',
            "Measure",
        ),
        _look(
            "look_unpriced",
            "Every line of the order has a price",
            '=IF(COUNTIF({order_state[]},"look*")>0,"look","ok")',
            "Order",
        ),
        _look(
            "look_rates",
            "Every task has a rate",
            '=IF(COUNTIFS({task_quantity[]},">0",{task_rate[]},"")>0,"look","ok")',
            "Hours",
        ),
        _look(
            "look_platform", "Platform within its rating", '=IF(N({platform_share?})>1,"look","ok")', "Hours"
        ),
        _look(
            "look_lead",
            "House built in 1978 or later",
            '=IF({year_built?}="","ok",IF({year_built?}<{lead_year?},"look","ok"))',
            "Measure",
        ),
        _look(
            "look_halfway",
            "Courses need not open more than the tongue allows",
            '=IF(COUNTIF({open_state:?},"look*")>0,"look","ok")',
            "Layout",
        ),
        _look(
            "look_placeholder",
            "Owner, place, firm and dates stand on the bid",
            '=IF(OR({owner?}="",{place?}="",{firm?}="",{bid_date?}="",{good_until?}=""),"look","ok")',
            "Measure, Price",
        ),
        _look(
            "look_version",
            "Functions are those the workbook was made with",
            '=IF(EXACT(FUNCTION_VERSION(),{made_with?}),"ok","look")',
            "Notes",
        ),
    ),
    columns=(
        Item(handle="look_state", label="State", kind=CHECK, formula='=""'),
        Item(handle="look_where", label="Where", formula='=""'),
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
            formula='=IF({missing}>0,0,ROWS({look_state[]})-COUNTIF({look_state[]},"ok"))',
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
            formula='=IF({missing}>0,"no price yet: "&{missing}&" entries missing",{price_words})',
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
            note="40 CFR 745 Subpart E, from 6 ft² inside or 20 ft² outside.",
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
