"""Yard: the list that goes to the yard, without our prices."""

from sheetcalc.kinds import COUNT
from sheetcalc.takeoff.order import LINES
from sheetcalc.workbooks.declare import DATE, WORDED, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both


def _exact(need: str) -> str:
    """Give what is needed to the hundredth; up, so that a trace is not nothing."""
    return f"ROUNDUP(ROUND({{{need}}},4),2)"


HEAD = Text(('=IF({stops?}>0,"Not an order: "&{state?},"List for the yard")',), "head")

HEADING = Lines(
    title="Delivery",
    items=(
        Item(handle="yard_firm", label="From", formula="={firm}"),
        Item(handle="yard_job", label="Job", formula="={job}"),
        Item(handle="yard_place", label="Deliver to", formula="={place}"),
        Item(handle="yard_date", label="Wanted on site", kind=DATE, formula="={deliver_on}", width=20),
        Item(handle="yard_access", label="Where to put it", formula="={deliver_words}"),
    ),
)

BOARDS = Table(
    handle="yard_boards_list",
    title="Tongue-and-groove boards",
    like="yard_list",
    columns=(
        Item(
            handle="yard_grade",
            label="Board",
            formula='=TRIM(INDEX({board_words:?},{yard_plan})&"")',
            width=40,
        ),
        Item(
            handle="yard_nominal",
            label=both("Nominal", "Size"),
            formula="=INDEX({nominal_used:?},{yard_plan})",
        ),
        Item(
            handle="yard_thickness",
            label="Thickness",
            kind=WORDED,
            formula="=INCH_FRACTION(INDEX({thickness_used:?},{yard_plan}))",
        ),
        Item(
            handle="yard_face",
            label="Face that shows",
            kind=WORDED,
            formula="=INCH_FRACTION(INDEX({face:?},{yard_plan}))",
        ),
        Item(handle="yard_length", label="Length", formula="=FEET_INCHES({yard_stock})"),
        Item(handle="yard_pieces", label="Pieces", kind=COUNT, formula="={yard_boards}"),
    ),
)

TOTAL = Lines(
    title="Boards in all",
    items=(Item(handle="yard_total", label="Pieces", kind=COUNT, formula="={boards_total}"),),
)

GOODS = Table(
    handle="goods",
    title="Goods",
    like="goods_list",
    columns=(
        Item(handle="goods_what", label="Goods", formula="=INDEX({order_filled[]},{goods_at})"),
        Item(handle="goods_buy", label="To buy", formula="=INDEX({goods_bought[]},{goods_at})", width=16),
        Item(
            handle="goods_need",
            label="Needed",
            formula="=INDEX({goods_exact[]},{goods_at})",
            width=16,
        ),
        Item(
            handle="goods_sort", label="Size and kind", formula="=INDEX({goods_kind[]},{goods_at})", width=28
        ),
    ),
)

TRIM = Table(
    handle="yard_trim",
    title="Cover trim by length",
    like="trim_stock",
    columns=(
        Item(handle="yard_trim_length", label="Length", formula='=IF(N({trim_buy?})>0,{trim_read},"")'),
        Item(
            handle="yard_trim_number",
            label="Number",
            kind=COUNT,
            formula='=IF(N({trim_buy?})>0,{trim_buy},"")',
        ),
    ),
)

OTHERS = Table(
    handle="yard_others",
    title="Other goods",
    like="order_free",
    columns=(
        Item(handle="yard_other", label="Goods", formula='=IF(N({free_buy?})>0,{free_what},"")'),
        Item(
            handle="yard_other_buy",
            label="To buy",
            formula='=IF(N({free_buy?})>0,{free_buy}&IF({free_holds?}="",""," x "&{free_holds?})&" "&{free_unit?},"")',
        ),
        Item(
            handle="yard_other_need",
            label="Needed",
            formula=f'=IF(N({{free_buy?}})>0,{_exact("free_quantity")}&" "&{{free_unit?}},"")',
        ),
    ),
)

KEYS = Table(
    handle="goods_keys",
    title="Lines of the order that go to the yard",
    like="order",
    columns=(
        Item(handle="goods_key", label="Line", kind=COUNT, formula='=IF(N({order_buy?})>0,{n},"")'),
        Item(handle="goods_units", label="Units", formula='=""'),
        Item(
            handle="goods_bought",
            label="To buy",
            formula='={order_buy}&IF({order_holds?}="",""," x "&{order_holds?})&" "&IF(IF({order_holds?}="",{order_buy},{order_holds?})=1,{order_unit},{goods_units})',
            width=16,
        ),
        Item(
            handle="goods_exact",
            label="Needed",
            formula=f'={_exact("order_exact")}&" "&IF({_exact("order_exact")}=1,{{order_unit}},{{goods_units}})',
            width=16,
        ),
        Item(handle="goods_kind", label="Size and kind", formula='=""', width=16),
        Item(handle="goods_word", label="In a word", formula='=""'),
        Item(
            handle="goods_lacking",
            label="Line, if it has no price",
            kind=COUNT,
            formula='=IF(LEFT({order_state?},4)="look",{n},"")',
        ),
    ),
)

LIST = Table(
    handle="goods_list",
    title="The same, one below the other",
    rows=len(LINES.rows) if isinstance(LINES.rows, tuple) else LINES.rows,
    filled="=COUNT({goods_key[]})>={n}",
    columns=(
        Item(
            handle="goods_at",
            label="Line",
            kind=COUNT,
            formula='=IF({n}>COUNT({goods_key[]}),"",SMALL({goods_key[]},{n}))',
        ),
    ),
)

WORKING = (KEYS, LIST)
"""Tables for the sheet Working."""

SHEET = Sheet(
    title="Yard",
    holds="What to order, as it goes to the yard: no prices of ours. Typed on Order.",
    head=False,
    paper=True,
    blocks=(
        HEAD,
        HEADING,
        BOARDS,
        TOTAL,
        GOODS,
        TRIM,
        OTHERS,
        Text(
            (
                "Lengths, pattern and grade as listed: please ask before you change one.",
                "Boards dry, in closed bundles, under cover; wet or cupped bundles go back.",
                " ",
                "Ordered by  ____________________   Date  ____________   Received by  ____________________   Date  ____________",
            )
        ),
    ),
    columns=6,
)
