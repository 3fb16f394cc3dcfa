"""Bid: the owner's page, in plain words; what it says is typed on Price or comes from the other sheets."""

from collections.abc import Iterator

from sheetcalc.kinds import COUNT, MONEY, NUMBER
from sheetcalc.takeoff.measure import CEILINGS
from sheetcalc.takeoff.price import OPTIONS, WORDS
from sheetcalc.workbooks.declare import DATE, FLAG, Item, Lines, Row, Sheet, Table, Text

HEAD = Text(('=IF(ISNUMBER({price?}),"Bid","Not a bid: "&{state?})',), "head")
"""Where there is no price the page says so, however it is printed."""

HEADING = Lines(
    title="Job",
    items=(
        Item(handle="bid_owner", label="For", formula="={owner}"),
        Item(handle="bid_place", label="At", formula="={place}"),
        Item(handle="bid_job", label="Work", formula="={job}"),
        Item(handle="bid_firm", label="From", formula="={firm}"),
        Item(handle="bid_date_shown", label="Date", kind=DATE, formula="={bid_date}", width=20),
    ),
)

PRICE = Lines(
    title="Price and time",
    items=(
        Item(handle="bid_price", label="Price", kind=MONEY, formula="={price}"),
        Item(
            handle="bid_tax",
            label="Sales tax in it",
            kind=MONEY,
            formula='=IF(ISNUMBER({price?}),IF({tax}>0,{tax},""),"")',
        ),
        Item(handle="bid_until", label="Good until", kind=DATE, formula="={good_until}"),
        Item(handle="bid_start", label="We can start on", kind=DATE, formula="={start_on}"),
        Item(
            handle="bid_days",
            label="Time on site",
            formula='=IF(ISNUMBER({price?}),{site_days}&IF({site_days}=1," day"," days"),"")',
        ),
    ),
)


def _promise(handle: str, words: str, due: str, *priced: str) -> Row:
    """Name something that the bid may promise, when the job needs it, and which figures pay for it."""
    return Row(
        handle,
        words,
        {
            "promise_due": f"=N({due})",
            "promise_money": "=" + "+".join(f"N({{{figure}?}})" for figure in priced),
            "promise_left_out": f'=IF({{promise_due?}}>{{promise_kept?}},"{words}","")',
        },
    )


_PROMISES = (
    _promise("fill", "Filling of nail holes", "N({holes_total?})>0", "order_cost.filler", "task_hours.fill"),
    _promise(
        "prime",
        "Priming of cut ends and ripped edges",
        "N({primer_exact?})>0",
        "order_cost.primer",
        "task_hours.prime",
    ),
    _promise(
        "backs", "Priming of the backs", '{prime_backs?}="yes"', "order_cost.primer", "task_hours.backs"
    ),
    _promise(
        "trim",
        "Trim at the walls; the gap there stays open",
        "N({trim_run?})>0",
        "order_cost.trim",
        "task_hours.trim",
    ),
    _promise("openings", "Openings for fixtures", "COUNT({fixture_no[]})>0", "task_hours.fixtures"),
    _promise(
        "backing",
        "Sheathing or strapping behind the boards",
        '{backing?}<>"none"',
        "order_cost.sheathing",
        "order_cost.strapping",
        "task_hours.backing",
    ),
)

PROMISES = Table(
    handle="promises",
    title="What the bid promises: only what has a price, as goods or as hours",
    rows=_PROMISES,
    columns=(
        Item(handle="promise_due", label="Needed", kind=FLAG, formula='=""'),
        Item(handle="promise_money", label="Cost and hours", kind=NUMBER, formula='=""'),
        Item(
            handle="promise_kept",
            label="In the price",
            kind=FLAG,
            formula="=N(AND({promise_due?}=1,{promise_money?}>0))",
        ),
        Item(handle="promise_left_out", label="Not included", formula='=""', width=24),
    ),
)


def _said() -> Iterator[str]:
    """Sentences of the page, each a constant or a formula; one that has nothing to say is blank."""
    yield "What is done:"
    for row in range(1, CEILINGS + 1):
        yield (
            f'=IF(N({{ceilings_filled.{row}}})=1,{{name_used.{row}?}}&": "&{{area_said.{row}?}}&" of tongue-and-groove boards, "'
            f'&{{board_said.{row}?}},"")'
        )
    yield (
        '="Boards are nailed to "&IF({promise_kept.backing?}=1,{backing},"framing")'
        '&IF({promise_kept.fill?}=1,"; where nails show, the holes are filled.",".")'
    )
    yield _promised("prime", "Every cut end and ripped edge is primed before the board goes up.")
    yield _promised("backs", "The backs are primed too.")
    yield '="A gap is left at the walls so that the wood can move"&IF({promise_kept.trim?}=1,"; trim covers it.",".")'
    yield '=IF({promise_kept.openings?}=1,"Openings are cut for "&COUNT({fixture_no[]})&" fixtures.","")'
    yield from _typed("included")
    left_out = 'COUNTA({not_included[]})+COUNTIF({promise_left_out[]},"?*")'
    yield f'=IF({left_out}=0,""," ")'
    yield f'=IF({left_out}=0,"","Not included:")'
    yield from _typed("not_included")
    yield from (f'={{promise_left_out.{row.handle}?}}&""' for row in _PROMISES)
    yield " "
    yield "Payments:"
    yield from (
        f'=ROUND(100*{{payment_used.{row}?}},2)&" % "&{{payment_time.{row}?}}&": "&TEXT({{payment_amount.{row}?}},"#,##0.00")'
        for row in ("payment_one", "payment_two", "payment_three")
    )
    yield '=IF(COUNTA({option[]})=0,""," ")'
    yield '=IF(COUNTA({option[]})=0,"","Options, not in the price:")'
    for row in range(1, OPTIONS + 1):
        option, price = f"{{option.{row}?}}", f"{{option_price.{row}?}}"
        yield f'=IF({option}="","",{option}&": "&IF({price}="","on request",TEXT({price},"#,##0.00")))'
    yield " "
    yield "Good to know:"
    yield "Rot, unsound framing or wiring that comes to light is shown to you and priced before we go on."
    yield '=IF({promise_due.openings?}=1,"Wiring and hanging of fixtures is the work of a licensed electrician.","")'
    yield "Wood moves with the seasons: small gaps open in dry months and close in damp ones."
    yield " "
    yield "Acceptance:"
    yield "Owner  ______________________________   Date  ______________"
    yield "Firm     ______________________________   Date  ______________"


def _promised(row: str, sentence: str) -> str:
    return f'=IF({{promise_kept.{row}?}}=1,"{sentence}","")'


def _typed(handle: str) -> Iterator[str]:
    return (f'=IF({{{handle}.{row}?}}="","",{{{handle}.{row}?}})' for row in range(1, WORDS + 1))


SENTENCES = Table(
    handle="bid_sentences",
    title="Sentences of the bid, and the same without blank ones",
    rows=tuple(Row(f"sentence_{n}", f"Line {n}", {"bid_said": text}) for n, text in enumerate(_said(), 1)),
    columns=(
        Item(handle="bid_said", label="Says", formula='=""', width=24),
        Item(
            handle="bid_key",
            label="Line, once there is a price",
            kind=COUNT,
            formula='=IF(ISNUMBER({price?}),IF({bid_said?}="","",{n}),"")',
        ),
        Item(
            handle="bid_line",
            label="As on the bid",
            formula='=IF({n}>COUNT({bid_key[]}),"",INDEX({bid_said[]},SMALL({bid_key[]},{n})))',
            width=24,
        ),
    ),
)

SHEET = Sheet(
    title="Bid",
    holds="The owner's page.",
    head=False,
    paper=True,
    blocks=(
        HEAD,
        HEADING,
        PRICE,
        Text(tuple(f"={{bid_line.{n}?}}" for n, _ in enumerate(_said(), 1)), "paper"),
    ),
    columns=9,
    one_page=True,
)
