"""Bid: the owner's page, in plain words; what it says is typed on Price or comes from the other sheets."""

from collections.abc import Iterable, Iterator

from sheetcalc.kinds import COUNT, MONEY
from sheetcalc.takeoff.measure import CEILINGS
from sheetcalc.takeoff.papers import LEAD_OWNER
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


def _priced(line: str) -> str:
    return f"=N(N({{{line}?}})>0)"


def _promise(handle: str, words: str, due: str, *, goods: str = "", task: str) -> Row:
    """Name something that the bid may promise, when the job needs it, and which lines pay for it."""
    return Row(
        handle,
        words,
        {
            "promise_due": f"=N({due})",
            "promise_goods": _priced(f"order_cost.{goods}") if goods else "=1",
            "promise_hours": _priced(f"task_hours.{task}"),
            "promise_left_out": f'=IF({{promise_due?}}>{{promise_kept?}},"{words}","")',
        },
    )


_PROMISES = (
    _promise("fill", "Filling of nail holes", "N({holes_total?})>0", goods="filler", task="fill"),
    _promise(
        "prime",
        "Priming of cut ends and ripped edges",
        "N({primer_exact?})>0",
        goods="primer",
        task="prime",
    ),
    _promise("backs", "Priming of the backs", '{prime_backs?}="yes"', goods="primer", task="backs"),
    _promise(
        "trim", "Trim at the walls; the gap there stays open", "N({trim_run?})>0", goods="trim", task="trim"
    ),
    _promise("sealant", "Sealant at the walls", "N({tubes?})>0", goods="sealant", task="trim"),
    _promise("openings", "Openings for fixtures", "COUNT({fixture_no[]})>0", task="fixtures"),
    _promise(
        "sheathing",
        "Sheathing behind the boards",
        '{backing?}="sheathing"',
        goods="sheathing",
        task="backing",
    ),
    _promise(
        "strapping",
        "Strapping behind the boards",
        '{backing?}="strapping"',
        goods="strapping",
        task="backing",
    ),
    _promise(
        "barrier",
        "Weather barrier behind the boards",
        '{barrier?}="yes"',
        goods="barrier",
        task="barrier",
    ),
)

PROMISES = Table(
    handle="promises",
    title="What the bid promises: only what has a price, its goods and its hours",
    rows=_PROMISES,
    columns=(
        Item(handle="promise_due", label="Needed", kind=FLAG, formula='=""'),
        Item(handle="promise_goods", label="Goods priced, or none needed", kind=FLAG, formula='=""'),
        Item(handle="promise_hours", label="Hours counted", kind=FLAG, formula='=""'),
        Item(
            handle="promise_kept",
            label="In the price",
            kind=FLAG,
            formula="={promise_due}*{promise_goods}*{promise_hours}",
        ),
        Item(handle="promise_left_out", label="Not included", formula='=""', width=24),
    ),
)


def _promised(row: str, sentence: str) -> str:
    return f'=IF({{promise_kept.{row}?}}=1,"{sentence}","")'


def _typed(handle: str) -> Iterator[str]:
    return (f'=IF({{{handle}.{row}?}}="","",{{{handle}.{row}?}})' for row in range(1, WORDS + 1))


def _done() -> Iterator[str]:
    """Say what the price is for; a sentence that has nothing to say is blank."""
    for row in range(1, CEILINGS + 1):
        yield (
            f'=IF(N({{ceilings_filled.{row}}})=1,{{name_used.{row}?}}&": "&{{area_said.{row}?}}&" of tongue-and-groove boards, "'
            f'&{{board_said.{row}?}},"")'
        )
    yield (
        '="Boards are nailed to "&IF({promise_kept.sheathing?}+{promise_kept.strapping?}>0,{backing},"framing")'
        '&IF({promise_kept.fill?}=1,"; where nails show, the holes are filled.",".")'
    )
    yield _promised("barrier", "A weather barrier goes up behind them.")
    yield _promised("prime", "Every cut end and ripped edge is primed before the board goes up.")
    yield _promised("backs", "The backs are primed too.")
    yield '="A gap is left at the walls so that the wood can move"&IF({promise_kept.trim?}=1,"; trim covers it.",".")'
    yield _promised("sealant", "A bead of sealant runs along the walls.")
    yield '=IF({promise_kept.openings?}=1,"Openings are cut for "&COUNT({fixture_no[]})&" fixtures.","")'
    yield from _typed("included")


def _left_out() -> Iterator[str]:
    """Say what the price is not for."""
    yield from _typed("not_included")
    yield from (f'={{promise_left_out.{row.handle}?}}&""' for row in _PROMISES)


_GOOD_TO_KNOW = (
    "Rot, unsound framing or wiring that comes to light is shown to you and priced before we go on.",
    '=IF({promise_due.openings?}=1,"Wiring and hanging of fixtures is the work of a licensed electrician.","")',
    "Wood moves with the seasons: small gaps open in dry months and close in damp ones.",
    *LEAD_OWNER,
)


def _gathered(handle: str, title: str, sentences: Iterable[str]) -> tuple[Table, Table]:
    """Keep sentences, and list those that say something one below the other, once there is a price."""
    rows = tuple(
        Row(f"{handle}_{n}", f"Line {n}", {f"{handle}_said": text}) for n, text in enumerate(sentences, 1)
    )
    said, key = f"{{{handle}_said[]}}", f"{{{handle}_key[]}}"
    return (
        Table(
            handle=f"{handle}_sentences",
            title=title,
            rows=rows,
            columns=(
                Item(handle=f"{handle}_said", label="Says", formula='=""', width=24),
                Item(
                    handle=f"{handle}_key",
                    label="Line, once there is a price",
                    kind=COUNT,
                    formula=f'=IF(ISNUMBER({{price?}}),IF({{{handle}_said?}}="","",{{n}}),"")',
                ),
            ),
        ),
        Table(
            handle=f"{handle}_lines",
            title="The same without blank ones",
            rows=len(rows),
            filled=f"=COUNT({key})>={{n}}",
            columns=(
                Item(
                    handle=f"{handle}_line",
                    label="As on the bid",
                    formula=f'=IF({{n}}>COUNT({key}),"",INDEX({said},SMALL({key},{{n}})))',
                    width=24,
                ),
            ),
        ),
    )


DONE = _gathered("done", "Sentences of the bid: what is done", _done())
LEFT_OUT = _gathered("left_out", "Sentences of the bid: what is not included", _left_out())
KNOWN = _gathered("known", "Sentences of the bid: good to know", _GOOD_TO_KNOW)


def _listed(handle: str, lines: Table) -> Iterator[str]:
    assert isinstance(lines.rows, int)
    return (f'={{{handle}_line.{row}?}}&""' for row in range(1, lines.rows + 1))


def _said() -> Iterator[str]:
    """Sentences of the page, each a constant or a formula; one that has nothing to say is blank."""
    yield "What is done:"
    yield from _listed("done", DONE[1])
    yield '=IF(COUNT({left_out_key[]})=0,""," ")'
    yield '=IF(COUNT({left_out_key[]})=0,"","Not included:")'
    yield from _listed("left_out", LEFT_OUT[1])
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
    yield from _listed("known", KNOWN[1])
    yield " "
    yield "Acceptance:"
    yield "Owner  ______________________________   Date  ______________"
    yield "Firm     ______________________________   Date  ______________"


PAGE = _gathered("bid", "Sentences of the bid: the page", _said())
SENTENCES = (*DONE, *LEFT_OUT, *KNOWN, *PAGE)
"""Tables for the sheet Working."""

SHEET = Sheet(
    title="Bid",
    holds="The owner's page.",
    head=False,
    paper=True,
    blocks=(
        HEAD,
        HEADING,
        PRICE,
        Text(tuple(line.removesuffix('&""') for line in _listed("bid", PAGE[1])), "paper"),
    ),
    columns=9,
    one_page=True,
)
