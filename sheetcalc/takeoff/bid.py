"""Bid: the owner's page, in plain words; what it says is typed on Price or comes from the other sheets."""

from collections.abc import Iterator

from sheetcalc.kinds import COUNT, DAYS, MONEY
from sheetcalc.takeoff.measure import CEILINGS
from sheetcalc.takeoff.price import OPTIONS, WORDS
from sheetcalc.workbooks.declare import DATE, Item, Lines, Row, Sheet, Table, Text

HEADING = Lines(
    title="Bid",
    items=(
        Item(handle="bid_owner", label="For", formula="={owner}"),
        Item(handle="bid_place", label="At", formula="={place}"),
        Item(handle="bid_job", label="Work", formula="={job}"),
        Item(handle="bid_firm", label="From", formula="={firm}"),
        Item(handle="bid_date_shown", label="Date", kind=DATE, formula="={bid_date}"),
    ),
)

PRICE = Lines(
    title="Price and time",
    items=(
        Item(handle="bid_price", label="Price", kind=MONEY, formula="={price}"),
        Item(handle="bid_tax", label="Sales tax in it", kind=MONEY, formula="=IF({price}>0,{tax},0)"),
        Item(handle="bid_until", label="Good until", kind=DATE, formula="={good_until}"),
        Item(handle="bid_start", label="We can start on", kind=DATE, formula="={start_on}"),
        Item(handle="bid_days", label="Days on site", kind=DAYS, formula="={site_days}"),
    ),
)


def _said() -> Iterator[str]:
    """Sentences of the page, each a constant or a formula; one that has nothing to say is blank."""
    yield "What is done:"
    for row in range(1, CEILINGS + 1):
        yield (
            f'=IF(N({{ceilings_filled.{row}}})=1,{{name_used.{row}?}}&": "&{{area_said.{row}?}}&" of tongue-and-groove boards, "'
            f'&{{board_of.{row}?}}&" "&INDEX({{board_words:?}},{{board_no.{row}?}}),"")'
        )
    yield "Boards are nailed to framing or backing; where nails show, the holes are filled."
    yield "Every cut end and ripped edge is primed before the board goes up."
    yield '=IF({prime_backs}="yes","The backs are primed too.","")'
    yield "A gap is left at the walls so that the wood can move; trim covers it."
    yield '=IF(COUNT({fixture_no[]})=0,"","Openings are cut for "&COUNT({fixture_no[]})&" fixtures; a licensed electrician wires and hangs them.")'
    yield from _typed("included")
    yield '=IF(COUNTA({not_included[]})=0,""," ")'
    yield '=IF(COUNTA({not_included[]})=0,"","Not included:")'
    yield from _typed("not_included")
    yield " "
    yield "Payments:"
    yield from (
        f'=IF(ISNUMBER({{price?}}),ROUND(100*{{payment_used.{row}?}},2)&" % "&{{payment_time.{row}?}}&": "&TEXT({{payment_amount.{row}?}},"#,##0.00"),"")'
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
    yield "Wood moves with the seasons: small gaps open in dry months and close in damp ones."
    yield " "
    yield "Acceptance:"
    yield "Owner  ______________________________   Date  ______________"
    yield "Firm     ______________________________   Date  ______________"


def _typed(handle: str) -> Iterator[str]:
    return (f'=IF({{{handle}.{row}?}}="","",{{{handle}.{row}?}})' for row in range(1, WORDS + 1))


def _once_laid_out(text: str) -> str:
    """Keep a sentence back until there is a ceiling to speak of."""
    return text if text.startswith("=") else f'=IF(N({{ceilings_in_use}})=0,"","{text}")'


SENTENCES = Table(
    handle="bid_sentences",
    title="Sentences of the bid, and the same without blank ones",
    rows=tuple(
        Row(f"sentence_{n}", f"Line {n}", {"bid_said": _once_laid_out(text)})
        for n, text in enumerate(_said(), 1)
    ),
    columns=(
        Item(handle="bid_said", label="Says", formula='=""', width=24),
        Item(handle="bid_key", label="Line", kind=COUNT, formula='=IF({bid_said?}="","",{n})'),
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
    blocks=(
        HEADING,
        PRICE,
        Text(tuple(f"={{bid_line.{n}?}}" for n, _ in enumerate(_said(), 1)), "paper"),
    ),
    columns=9,
    one_page=True,
)
