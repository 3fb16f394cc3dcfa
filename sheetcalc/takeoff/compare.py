"""Compare: the three choices of board, along and out from the house, side by side from the same measurements."""

from collections.abc import Callable

from sheetcalc.kinds import AREA, COUNT, HOURS, LENGTH, MONEY, SHARE, TEXT, VOLUME, Kind
from sheetcalc.takeoff.ways import BY_WAY, WAYS, Way, by_way, of_each
from sheetcalc.workbooks.declare import (
    AS_TYPED,
    CHECK,
    FLAG,
    WORDED,
    Chart,
    Item,
    Lines,
    Series,
    Sheet,
    Table,
    Text,
)
from sheetcalc.workbooks.systems import both

WIDE = 17  # characters of a cell

OF_THE_BOARDS = ("layout", "choice", "boards", "plan", "bought", "order", "hours", "price")
"""Stop checks that may fail for the job's boards and not for others."""


def _each(formula: Callable[[Way], str]) -> str:
    return f"=CHOOSE({{j}},{','.join(formula(way) for way in WAYS)})"


PRICES = Lines(
    title="Prices of all ways",
    items=(
        Item(
            handle="other_stops",
            label="Stop checks that fail for every board",
            kind=COUNT,
            formula="={stops}"
            + "".join(f'+COUNTIF({{stop_state.stop_{one}}},"ok")-1' for one in OF_THE_BOARDS),
        ),
        Item(
            handle="run_out",
            label="Ceilings whose boards run out from the house",
            kind=COUNT,
            formula='=COUNTIFS({direction[]},"out from the house",{ceilings_filled[]},1)',
        ),
        Item(
            handle="run_measured",
            label="As measured, boards run",
            formula='=IF({run_out}=0,"along the house",IF({run_out}={ceilings_in_use},"out from the house","as measured"))',
        ),
        Item(
            handle="run_turned",
            label="Turned, boards run",
            formula='=IF({run_out}=0,"out from the house",IF({run_out}={ceilings_in_use},"along the house","the other way"))',
        ),
        by_way(
            f"name{BY_WAY}",
            "Name",
            of_each(
                f'{{nominal_used.{way.board}?}}&", "&{{run_{"turned" if way.turned else "measured"}?}}'
                for way in WAYS
            ),
        ),
        by_way(
            f"price{BY_WAY}",
            "Price",
            f'=IF(OR({{missing}}>0,{{on{BY_WAY}}}=0),"",IF({{other_stops}}>0,NA(),{{price_before_tax{BY_WAY}?}}+{{tax{BY_WAY}?}}))',
            kind=MONEY,
        ),
        by_way(
            f"good_price{BY_WAY}",
            "Price, if there is one",
            f'=IF(ISNUMBER({{price{BY_WAY}?}}),{{price{BY_WAY}?}},"")',
            kind=MONEY,
        ),
        by_way(
            f"seen{BY_WAY}",
            "Smallest strip that shows",
            of_each(
                f"MIN({{first_seen{way.end}[]}},{{last_seen{way.end}[]}},{{run_narrowest{way.end}[]}})"
                for way in WAYS
            ),
            kind=LENGTH,
        ),
        by_way(
            f"job{BY_WAY}",
            "The job as entered",
            of_each(
                "0"
                if way.turned
                else f"N(COUNTIF({{board_no[]}},{{plan_no.{way.choice}}})={{ceilings_in_use}})"
                for way in WAYS
            ),
            kind=FLAG,
        ),
        Item(
            handle="job_apart",
            label="The job's price is not that of its column",
            kind=FLAG,
            formula=f"=IF(COUNTIF({{job{BY_WAY}[]}},1)=1,N(ABS({{price}}-INDEX({{price{BY_WAY}[]}},MATCH(1,{{job{BY_WAY}[]}},0)))>{{whole_within}}),0)",
        ),
    ),
)


def _shown(handle: str, label: str, kind: Kind = TEXT, formula: str = "", **more: object) -> Item:
    """Show a figure of every way that is worked out."""
    given = formula or f"={{{handle}{BY_WAY}?}}"
    return by_way(
        f"compare_{handle}", label, f'=IF({{on{BY_WAY}}}=0,"",{given[1:]})', kind=kind, width=WIDE, **more
    )


def _edge(edge: str) -> Item:
    cells = ",".join(f"INDEX({{{edge}{way.end}[]}},{{pole_no?}})" for way in WAYS)
    return _shown(
        f"{edge}_course",
        f"{edge.capitalize()} course, as laid",
        WORDED,
        f"=INCH_FRACTION(CHOOSE({{j}},{cells}))",
    )


ANSWER = Lines(
    title="In words",
    items=(
        Item(
            handle="cheapest_words",
            label="Cheapest",
            formula=f'=IF(COUNT({{good_price{BY_WAY}[]}})=0,"no prices yet",INDEX({{name{BY_WAY}[]}},MATCH(MIN({{good_price{BY_WAY}[]}}),{{good_price{BY_WAY}[]}},0))&": "&TEXT(MIN({{good_price{BY_WAY}[]}}),"#,##0.00"))',
        ),
        Item(
            handle="job_words",
            label="The job as entered",
            formula=f'=IF({{ceilings_in_use}}=0,"",IF(COUNTIF({{job{BY_WAY}[]}},1)=0,"in no column: its ceilings have different boards, or one without a price",INDEX({{name{BY_WAY}[]}},MATCH(1,{{job{BY_WAY}[]}},0))))',
        ),
        Item(
            handle="job_agrees",
            label="Its price is the job's own",
            kind=CHECK,
            formula='=IF({job_apart}=1,"look: it is not","ok")',
        ),
        Item(handle="compare_ceiling", label="First and last course: of", formula="={pole_name}"),
    ),
)

FIGURES = Lines(
    title="All ceilings with one board",
    items=(
        by_way("compare_board", "Board", _each(lambda way: f"{{nominal_used.{way.board}}}"), width=WIDE),
        by_way(
            "compare_run",
            "Boards run",
            _each(lambda way: f"{{run_{'turned' if way.turned else 'measured'}}}"),
            width=WIDE,
        ),
        _shown("job", "The job as entered", formula=f'=IF({{job{BY_WAY}}}=1,"this job","")'),
        _shown("sum_courses", "Courses, all ceilings", COUNT),
        _edge("first"),
        _edge("last"),
        _shown("seen", "Smallest strip that shows", WORDED, f"=INCH_FRACTION({{seen{BY_WAY}?}})"),
        _shown("sliver", "No sliver?", CHECK, f'=IF({{seen{BY_WAY}}}<{{sliver}},"look: sliver","ok")'),
        _shown("boards_total", "Boards to buy", COUNT),
        _shown("joints_total", "End joints", COUNT),
        _shown("waste", "Waste: offcuts, rips, spares", SHARE),
        _shown("primer_exact", "Primer", VOLUME),
        _shown("order_buy_primer", "Primer, packages to buy", COUNT),
        _shown("hours_total", "Hours", HOURS),
        _shown("boards_cost", "Boards, spares too", MONEY),
        _shown("cost", "Cost", MONEY),
        _shown("price", "Price", MONEY),
        _shown("price_area", "Price per area", MONEY, f"={{price{BY_WAY}}}/{{area_total}}", per=AREA),
        _shown(
            "cheapest",
            "Against the cheapest",
            formula=f'=IF({{good_price{BY_WAY}}}=MIN({{good_price{BY_WAY}[]}}),"cheapest",TEXT({{good_price{BY_WAY}}}-MIN({{good_price{BY_WAY}[]}}),"#,##0.00")&" more")',
        ),
    ),
)

WRONG = Lines(
    title="Why a column has no price",
    items=tuple(
        Item(
            handle=f"why{way.end}",
            label=way.name,
            formula=f'=IF({{on{BY_WAY}.{way.number}}}=1,IF(AND({{said{way.end}?}}="ok",ISERROR({{price{BY_WAY}.{way.number}?}})),"stopped: see Checks",{{said{way.end}?}}),{{off{BY_WAY}.{way.number}?}})',
        )
        for way in WAYS
    ),
)

LENGTHS = Table(
    handle="compare_lengths",
    title="Boards to buy of each length",
    like="stock",
    columns=(
        Item(handle="compare_length", label="Length", formula="={stock_read}"),
        by_way(
            "compare_bought",
            "Boards",
            _each(lambda way: f"{{offer_bought{way.end}?}}"),
            kind=COUNT,
            width=WIDE,
        ),
    ),
)

CHART = Chart(
    title="Prices side by side",
    words="Columns: the price of the job in each way, in the order of the table.",
    series=(Series(label="Price", values=f"{{good_price{BY_WAY}}}"),),
    names=f"{{name{BY_WAY}}}",
    unit="Price",
    wide=10.0,
    from_zero=True,
)

STEPS = Table(
    handle="steps",
    title="Steps of sheetcalc compare --sensitivity, where they are not the usual ones",
    rows=6,
    printed=False,
    columns=(
        Item(handle="step_entry", label="Entry", note="Its label or its name, such as Profit or gap."),
        Item(
            handle="step_size",
            label="Step",
            kind=AS_TYPED,
            note=both(
                "Such as 1/4 for a length, 5% of its value, 2 percent points.",
                "Such as 5 for a length, 5% of its value, 2 percent points.",
            ),
        ),
        Item(
            handle="step_state",
            label="Whole?",
            kind=CHECK,
            formula='=IF(({step_entry?}="")=({step_size?}=""),"ok","look: half a line")',
        ),
    ),
)

SHEET = Sheet(
    title="Compare",
    holds="The three choices of board, as measured and turned, from the same measurements and at the same rates.",
    blocks=(
        ANSWER,
        FIGURES,
        LENGTHS,
        CHART,
        WRONG,
        Text(
            (
                "Every column puts all ceilings on one board. To take one, choose it on Start; to turn a ceiling, read it with across and along exchanged.",
                "Turned: across and along change places, and with them corners and fixtures; gaps, trim and layout stay, framing counts from the boards' start.",
                "Boards cross the framing: turned, they may want strapping first (Order: backing), in every column alike.",
            )
        ),
        STEPS,
    ),
    columns=8,
    one_page=True,
)
