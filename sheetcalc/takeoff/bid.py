"""Bid: the owner's page, in plain words; what it says is typed on Price or comes from the other sheets."""

from sheetcalc.kinds import DAYS, MONEY
from sheetcalc.takeoff.price import OPTIONS, WORDS
from sheetcalc.workbooks.declare import DATE, Item, Lines, Sheet, Text

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

DONE = (
    '=IF(N({area_total?})>0,"We line "&TEXT({area_total?},"#,##0")&" ft² of ceiling with tongue-and-groove boards, "&INDEX({nominal_used:?},{board_usual})&" "&INDEX({board_words:?},{board_usual})&".","")',
    '=IF(N({area_total?})>0,"Boards are nailed through the tongue; where nails show, the holes are filled.","")',
    '=IF(N({area_total?})>0,"Every cut end and ripped edge is primed before the board goes up.","")',
    '=IF(N({area_total?})>0,"A gap is left at the walls so that the wood can move; trim covers it.","")',
    '=IF(COUNT({fixture_no[]})=0,"","Openings are cut for "&COUNT({fixture_no[]})&" fixtures; a licensed electrician wires and hangs them.")',
)


def _listed(handle: str) -> tuple[str, ...]:
    return tuple(f'=IF({{{handle}.{row}?}}="","",{{{handle}.{row}?}})' for row in range(1, WORDS + 1))


def _option(row: int) -> str:
    option, price = f"{{option.{row}?}}", f"{{option_price.{row}?}}"
    return f'=IF({option}="","",{option}&": "&IF({price}="","on request",TEXT({price},"#,##0.00")))'


def _payment(name: str, row: str) -> str:
    return (
        f'=IF(N({{price?}})>0,"{name}, "&ROUND(100*{{payment_used.{row}?}},2)&" % "&{{payment_time.{row}?}}&": "'
        f'&TEXT({{payment_amount.{row}?}},"#,##0.00"),"")'
    )


SHEET = Sheet(
    title="Bid",
    holds="The owner's page.",
    head=False,
    blocks=(
        HEADING,
        Text(("What is done",), "head"),
        Text((*DONE, *_listed("included")), "paper"),
        Text(("Not included",), "head"),
        Text(_listed("not_included"), "paper"),
        Lines(
            title="Price and time",
            items=(
                Item(handle="bid_price", label="Price", kind=MONEY, formula="={price}"),
                Item(handle="bid_tax", label="Sales tax in it", kind=MONEY, formula="=IF({price}>0,{tax},0)"),
                Item(handle="bid_until", label="Good until", kind=DATE, formula="={good_until}"),
                Item(handle="bid_start", label="We can start on", kind=DATE, formula="={start_on}"),
                Item(handle="bid_days", label="Days on site", kind=DAYS, formula="={site_days}"),
            ),
        ),
        Text(("Payments",), "head"),
        Text(
            (
                _payment("First payment", "payment_one"),
                _payment("Second payment", "payment_two"),
                _payment("Third payment", "payment_three"),
            ),
            "paper",
        ),
        Text(("Options, not in the price",), "head"),
        Text(tuple(_option(row) for row in range(1, OPTIONS + 1)), "paper"),
        Text(("Good to know",), "head"),
        Text(
            (
                "Hidden damage: rot, unsound framing or wiring found behind the old ceiling is shown to you and priced before we go on.",
                "Wood moves with the seasons: small gaps open in dry months and close in damp ones.",
            ),
            "paper",
        ),
        Text(("Acceptance",), "head"),
        Text(
            (
                "Accepted by owner: ______________________________   Date: ______________",
                "For the firm:          ______________________________   Date: ______________",
            ),
            "paper",
        ),
    ),
    columns=9,
    one_page=True,
)
