"""Yard: the list that goes to the yard, without our prices."""

from sheetcalc.kinds import COUNT
from sheetcalc.takeoff.order import LINES
from sheetcalc.workbooks.declare import DATE, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

HEADING = Lines(
    title="List for the yard",
    items=(
        Item(handle="yard_firm", label="From", formula="={firm}"),
        Item(handle="yard_job", label="Job", formula="={job}"),
        Item(handle="yard_place", label="Deliver to", formula="={place}"),
        Item(handle="yard_date", label="Wanted on site", kind=DATE, formula="={deliver_on}"),
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
        Item(handle="goods_holds", label="Each holds", formula="=INDEX({goods_hold[]},{goods_at})", width=16),
        Item(handle="goods_number", label="Number", kind=COUNT, formula="=INDEX({order_buy[]},{goods_at})"),
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
            handle="yard_other_holds",
            label="Each holds",
            formula='=IF(N({free_buy?})>0,IF({free_holds?}="",1,{free_holds?})&" "&{free_unit?},"")',
        ),
        Item(
            handle="yard_other_number",
            label="Number",
            kind=COUNT,
            formula='=IF(N({free_buy?})>0,{free_buy},"")',
        ),
    ),
)

KEYS = Table(
    handle="goods_keys",
    title="Lines of the order that go to the yard",
    like="order",
    columns=(
        Item(handle="goods_key", label="Line", kind=COUNT, formula='=IF(N({order_buy?})>0,{n},"")'),
        Item(
            handle="goods_hold",
            label="Each holds",
            formula='=IF({order_holds?}="",1,{order_holds?})&" "&{order_unit?}',
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
    blocks=(
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
