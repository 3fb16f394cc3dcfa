"""Price: the inside page, from cost to price."""

from sheetcalc.kinds import AREA, MONEY, SHARE, TEXT
from sheetcalc.takeoff import hours
from sheetcalc.workbooks.declare import DATE, Item, Lines, Row, Sheet, Table, Text

FREE = 10
OPTIONS = 6
WORDS = 6


def _words(parts: dict[str, str]) -> str:
    """Join words, each with its test; spaces between them become commas, "_" a space."""
    joined = "&".join(f'IF({test}," {word}","")' for word, test in parts.items())
    return f'SUBSTITUTE(SUBSTITUTE(TRIM({joined})," ",", "),"_"," ")'


_COUNTED = _words(
    {
        "boards": "N({boards_cost?})>0",
        "goods": "{material}>{boards_cost}",
        "hanging": "AND({labor}>0,{task_hours.hang}={hours_total})",
        "work": "AND({labor}>0,{task_hours.hang}<{hours_total})",
        "scaffold": "{scaffold}>0",
        "costs": "{cost_other}>0",
        "overhead": "{cost}>{cost_direct}",
        "profit": "{profit_money}>0",
        "tax": "{tax}>0",
    }
)


def _lacked(goods: str, tasks: str) -> str:
    """Say what counts nothing; lines by what `goods` and `tasks` give."""
    lacked = _words(
        {
            "labor": "N({labor?})=0",
            f'goods_("&{goods}&")': '{goods_lacked?}<>""',
            f'tasks_("&{tasks}&")': '{tasks_lacked?}<>""',
            "scaffold": "N({scaffold?})=0",
        }
    )
    return f'=IF(ISNUMBER({{price?}}),{lacked},"")'


def _named(word: str, key: str) -> str:
    """Name up to three of the lines that have a number, and say how many more there are."""
    count = f"COUNT({{{key}[]}})"
    more = "".join(
        f'&IF({count}>{at - 1},", "&INDEX({{{word}[]}},SMALL({{{key}[]}},{at})),"")' for at in (2, 3)
    )
    first = f"INDEX({{{word}[]}},SMALL({{{key}[]}},1))"
    return f'=IF({count}=0,"",{first}{more}&IF({count}>3," and "&{count}-3&" more",""))'


LACKS = Lines(
    title="Lines that count nothing",
    items=(
        Item(
            handle="goods_lacked",
            label="Goods without a price",
            formula=_named("goods_word", "goods_lacking"),
        ),
        Item(handle="tasks_lacked", label="Tasks without hours", formula=_named("task_word", "task_lacking")),
        Item(
            handle="lacked_short",
            label="What counts nothing, by number",
            formula=_lacked("COUNT({goods_lacking[]})", "COUNT({task_lacking[]})"),
        ),
    ),
)
WORKING = (hours.KEYS, LACKS)
"""Tables for the sheet Working."""

COST = Lines(
    title="Cost",
    items=(
        Item(handle="cost_material", label="Material", kind=MONEY, formula="={material}"),
        Item(handle="cost_labor", label="Labor", kind=MONEY, formula="={labor}"),
        Item(handle="cost_scaffold", label="Scaffold", kind=MONEY, formula="={scaffold}"),
        Item(
            handle="cost_other",
            label="Other costs, below",
            kind=MONEY,
            formula="=IF({area_total}>0,SUM({other_cost[]}),0)",
        ),
        Item(
            handle="cost_direct",
            label="Direct cost",
            kind=MONEY,
            formula="={cost_material}+{cost_labor}+{cost_scaffold}+{cost_other}",
        ),
        Item(handle="overhead", label="Overhead", kind=SHARE, default=0, note="Share added to direct cost."),
        Item(
            handle="contingency",
            label="Contingency",
            kind=SHARE,
            default=0,
            note="Share added to direct cost.",
        ),
        Item(handle="cost_overhead", label="Overhead", kind=MONEY, formula="={cost_direct}*{overhead}"),
        Item(
            handle="cost_contingency", label="Contingency", kind=MONEY, formula="={cost_direct}*{contingency}"
        ),
        Item(
            handle="cost",
            label="Cost",
            kind=MONEY,
            formula="={cost_direct}+{cost_overhead}+{cost_contingency}",
        ),
    ),
)

OTHER = Table(
    handle="other_costs",
    title="Other costs: permits, disposal, subcontractors",
    rows=FREE,
    columns=(
        Item(handle="other_what", label="What"),
        Item(handle="other_cost", label="Cost", kind=MONEY, needed=True),
    ),
)

PROFIT = Lines(
    title="Price",
    items=(
        Item(
            handle="profit_as",
            label="Profit is a",
            choices=("markup", "margin"),
            default="markup",
            note="Markup is a share of cost, margin a share of price.",
        ),
        Item(
            handle="price_exact",
            label="Cost and profit",
            kind=MONEY,
            formula='=IF({profit_as}="margin",PRICE_FROM_MARGIN({cost},{profit}),PRICE_FROM_MARKUP({cost},{profit}))',
        ),
        Item(handle="minimum_charge", label="Minimum charge", kind=MONEY, default=0),
        Item(handle="price_step", label="Round the price up to", kind=MONEY, default=1),
        Item(
            handle="price_before_tax",
            label="Price before tax",
            kind=MONEY,
            formula="=ROUND_PRICE(MAX({price_exact},{minimum_charge}),{price_step})",
        ),
        Item(
            handle="tax_on",
            label="Sales tax falls on",
            choices=("nothing", "material", "price"),
            default="nothing",
            note="Local law decides.",
        ),
        Item(handle="tax_rate", label="Tax rate", kind=SHARE, default=0),
        Item(
            handle="tax",
            label="Tax",
            kind=MONEY,
            formula='=ROUND(IF({tax_on}="nothing",0,IF({tax_on}="material",{material},{price_before_tax}))*{tax_rate},2)',
        ),
        Item(
            handle="price",
            label="Price",
            kind=MONEY,
            formula='=IF({missing}>0,"",IF({stops}>0,NA(),{price_before_tax?}+{tax?}))',
            note="Blank while an entry is missing, #N/A while a stop check fails.",
        ),
        Item(
            handle="price_per_area",
            label="Price per area",
            kind=MONEY,
            per=AREA,
            formula="={price}/{area_total}",
        ),
        Item(handle="profit_money", label="Profit", kind=MONEY, formula="={price}-{tax}-{cost}"),
        Item(handle="margin", label="Margin", kind=SHARE, formula="={profit_money}/({price}-{tax})"),
        Item(handle="markup", label="Markup", kind=SHARE, formula="=MARKUP_FROM_MARGIN({margin})"),
        Item(handle="price_counts", label="It counts", formula=f"={_COUNTED}"),
        Item(
            handle="price_lacks",
            label="No price yet for",
            formula=_lacked(*(f'SUBSTITUTE({{{kind}_lacked?}}," ","_")' for kind in ("goods", "tasks"))),
        ),
    ),
)

DATES = Lines(
    title="For the bid",
    items=(
        Item(handle="bid_date", label="Date of the bid", kind=DATE),
        Item(handle="good_until", label="Good until", kind=DATE),
        Item(handle="start_on", label="We can start on", kind=DATE),
    ),
)

ALSO = Table(
    handle="also",
    title="For the bid: also included",
    rows=WORDS,
    columns=(Item(handle="included", label="Included", width=48),),
)

EXCEPT = Table(
    handle="except",
    title="For the bid: not included",
    rows=WORDS,
    columns=(Item(handle="not_included", label="Not included", width=48),),
)

EXTRAS = Table(
    handle="options",
    title="For the bid: options, not in the price",
    rows=OPTIONS,
    columns=(
        Item(handle="option", label="Option", width=48),
        Item(handle="option_price", label="Price", kind=MONEY),
    ),
)

PAYMENTS = Table(
    handle="payments",
    title="For the bid: payments",
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
        Item(
            handle="payment_time",
            label="Time",
            formula='=IF({payment_when?}="",{payment_when_usual},{payment_when?})',
            width=24,
        ),
    ),
)

SHEET = Sheet(
    title="Price",
    holds="The inside page: from cost to price. Not for the owner.",
    blocks=(
        COST,
        PROFIT,
        OTHER,
        DATES,
        PAYMENTS,
        ALSO,
        EXCEPT,
        EXTRAS,
        Text(
            (
                "Overhead and contingency are added to direct cost, profit to their sum. Exact figures stand beside rounded ones.",
            )
        ),
    ),
    columns=9,
    landscape=True,
)
