"""Bid: the owner's page, in plain words."""

from sheetcalc.kinds import DAYS, MONEY, SHARE, TEXT
from sheetcalc.workbooks.declare import DATE, Item, Lines, Row, Sheet, Table, Text

OPTIONS = 10
WORDS = 6

HEADING = Lines(
    title="Bid",
    items=(
        Item(handle="bid_owner", label="For", formula='=IF({owner?}="","",{owner?})'),
        Item(handle="bid_place", label="At", formula='=IF({place?}="","",{place?})'),
        Item(handle="bid_job", label="Work", formula='=IF({job?}="","",{job?})'),
        Item(handle="bid_firm", label="From", formula='=IF({firm?}="","",{firm?})'),
        Item(handle="bid_date", label="Date", kind=DATE),
        Item(handle="good_until", label="Good until", kind=DATE),
        Item(handle="start_on", label="We can start on", kind=DATE),
        Item(handle="bid_days", label="Days on site", kind=DAYS, formula="={site_days}"),
    ),
)

DONE = Lines(
    title="What is done",
    items=(
        Item(
            handle="done_area",
            label="Area",
            formula='="We line "&TEXT({area_total},"#,##0")&" ft² of ceiling with tongue-and-groove boards, "&INDEX({nominal_used:?},{board_usual})&" "&INDEX({board_words:?},{board_usual})&"."',
        ),
        Item(
            handle="done_nails",
            label="Fastening",
            formula='=IF({area_total}>0,"Boards are nailed through the tongue; where nails show, the holes are filled.","")',
        ),
        Item(
            handle="done_ends",
            label="Priming",
            formula='=IF({area_total}>0,"Every cut end and ripped edge is primed before the board goes up.","")',
        ),
        Item(
            handle="done_trim",
            label="Edges",
            formula='=IF({area_total}>0,"A gap is left at the walls so that the wood can move; trim covers it.","")',
        ),
        Item(
            handle="done_fixtures",
            label="Fixtures",
            formula='=IF(COUNT({fixture_no[]})=0,"","Openings are cut for "&COUNT({fixture_no[]})&" fixtures; a licensed electrician wires and hangs them.")',
        ),
    ),
)

ALSO = Table(
    handle="also",
    title="Also included",
    rows=WORDS,
    columns=(Item(handle="included", label="Included", width=30),),
)

EXCEPT = Table(
    handle="except",
    title="Not included",
    rows=WORDS,
    columns=(Item(handle="not_included", label="Not included", width=30),),
)

SUM = Lines(
    title="Price",
    items=(
        Item(handle="bid_price", label="Price", kind=MONEY, formula="={price}"),
        Item(handle="bid_tax", label="Sales tax in it", kind=MONEY, formula="=IF({price}>0,{tax},0)"),
    ),
)

EXTRAS = Table(
    handle="options",
    title="Options, not in the price",
    rows=OPTIONS,
    columns=(
        Item(handle="option", label="Option"),
        Item(handle="option_price", label="Price", kind=MONEY, needed=True),
    ),
)

PAYMENTS = Table(
    handle="payments",
    title="Payments",
    rows=(
        Row("payment_one", "First", {"payment_usual": 0.3, "payment_when_usual": "on signing"}),
        Row(
            "payment_two", "Second", {"payment_usual": 0.4, "payment_when_usual": "when boards are delivered"}
        ),
        Row("payment_three", "Third", {"payment_usual": 0.3, "payment_when_usual": "when the work is done"}),
    ),
    columns=(
        Item(handle="payment_usual", label="Usual share", kind=SHARE, formula='=""'),
        Item(handle="payment_share", label="Share, if other", kind=SHARE),
        Item(
            handle="payment_used",
            label="Share",
            kind=SHARE,
            formula='=IF({payment_share?}="",{payment_usual},{payment_share?})',
        ),
        Item(
            handle="payment_amount",
            label="Amount",
            kind=MONEY,
            formula="=IF({price}>0,INDEX({payment[]},{n}),0)",
        ),
        Item(handle="payment_when_usual", label="Usual time", kind=TEXT, formula='=""', width=24),
        Item(handle="payment_when", label="Time, if other", width=24),
    ),
)

SHEET = Sheet(
    title="Bid",
    holds="The owner's page.",
    head=False,
    blocks=(
        HEADING,
        DONE,
        ALSO,
        EXCEPT,
        SUM,
        EXTRAS,
        PAYMENTS,
        Text(
            (
                "Hidden damage: rot, unsound framing or wiring found behind the old ceiling is shown to you and priced before we go on.",
                "Wood moves with the seasons: small gaps open in dry months and close in damp ones.",
                "Accepted by owner: ______________________________   Date: ______________",
                "For the firm:      ______________________________   Date: ______________",
            ),
            "paper",
        ),
    ),
    columns=8,
)
