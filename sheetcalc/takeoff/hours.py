"""Hours: tasks at the estimator's own rates, crew days, scaffold and the load on its platform."""

from sheetcalc.kinds import COUNT, DAYS, HOURS, MONEY, NUMBER, SHARE, WEIGHT
from sheetcalc.takeoff.papers import OVERHEAD
from sheetcalc.workbooks.declare import CHECK, Item, Lines, Row, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

FREE = 10

TASKS = Table(
    handle="tasks",
    title="Tasks",
    rows=(
        Row(
            "protect",
            "Protect floor and plants, set up",
            {
                "task_quantity": "=IF({area_total}>0,1,0)",
                "task_unit": "job",
                "task_word": "set-up",
            },
        ),
        Row(
            "backing",
            "Hang sheathing or strapping",
            {
                "task_quantity": "=IF({area_total}>0,SUM({sheets[]})+SUM({strapping_rows[]}),0)",
                "task_unit": "sheet or row",
                "task_word": "backing",
            },
        ),
        Row(
            "barrier",
            "Hang the weather barrier",
            {
                "task_quantity": '=IF(AND({area_total}>0,{barrier}="yes"),{area_total},0)',
                "task_unit": "area",
                "task_word": "barrier",
            },
        ),
        Row(
            "sort",
            "Sort boards, read moisture, set culls aside",
            {
                "task_quantity": "={boards_total}",
                "task_unit": "board",
                "task_word": "sorting",
            },
        ),
        Row(
            "prime",
            "Cut, rip and prime ends",
            {
                "task_quantity": "=IF({boards_total}>0,SUM({courses[]}),0)",
                "task_unit": "course",
                "task_word": "cutting and priming",
            },
        ),
        Row(
            "joints",
            "End joints",
            {
                "task_quantity": "=IF({area_total}>0,{joints_total},0)",
                "task_unit": "joint",
                "task_word": "end joints",
            },
        ),
        Row(
            "hang",
            "Hang the boards (rate from Start)",
            {
                "task_quantity": "={area_total}",
                "task_unit": "area",
                "task_rate": '=IF({hang_rate?}="","",{hang_rate?})',
                "task_word": "hanging",
            },
        ),
        Row(
            "backs",
            "Prime the backs",
            {
                "task_quantity": "=IF({area_total}>0,SUM({back_area[]}),0)",
                "task_unit": "area",
                "task_word": "priming of backs",
            },
        ),
        Row(
            "fixtures",
            "Cut around fixtures",
            {
                "task_quantity": "=IF({area_total}>0,COUNT({fixture_no[]}),0)",
                "task_unit": "fixture",
                "task_word": "fixtures",
            },
        ),
        Row(
            "trim",
            "Cover trim and sealant",
            {
                "task_quantity": "=IF({area_total}>0,SUM({around[]})/{one_run},0)",
                "task_unit": both("foot", "metre"),
                "task_word": "trim",
            },
        ),
        Row(
            "fill",
            "Fill nail holes, touch up",
            {
                "task_quantity": "={holes_total}",
                "task_unit": "hole",
                "task_word": "filling",
            },
        ),
        Row(
            "clean",
            "Clean up, load out",
            {
                "task_quantity": "=IF({area_total}>0,1,0)",
                "task_unit": "job",
                "task_word": "clean-up",
            },
        ),
    ),
    columns=(
        Item(handle="task_quantity", label="Quantity", kind=NUMBER, formula='=""'),
        Item(handle="task_unit", label="Unit", formula='=""'),
        Item(handle="task_rate", label="Hours per unit", kind=NUMBER, note="Your own rate, from past jobs."),
        Item(
            handle="task_hours",
            label="Hours",
            kind=HOURS,
            formula='={task_quantity}*IF({task_rate?}="",0,{task_rate?})',
        ),
    ),
)

KEYS = Table(
    handle="task_keys",
    title="Tasks that lack hours",
    like="tasks",
    columns=(
        Item(handle="task_word", label="In a word", formula='=""'),
        Item(
            handle="task_lacking",
            label="Line, if it has no hours",
            kind=COUNT,
            formula='=IF(AND(N({task_quantity?})>0,N({task_hours?})=0),{n},"")',
        ),
    ),
)
"""For the sheet Working."""

OTHER_TASKS = Table(
    handle="task_free",
    title="Other tasks",
    rows=FREE,
    columns=(
        Item(handle="free_task", label="Task"),
        Item(handle="free_task_quantity", label="Quantity", kind=NUMBER, needed=True),
        Item(handle="free_task_unit", label="Unit"),
        Item(handle="free_task_rate", label="Hours per unit", kind=NUMBER, needed=True),
        Item(
            handle="free_task_hours",
            label="Hours",
            kind=HOURS,
            formula="={free_task_quantity}*{free_task_rate}",
        ),
    ),
)

CREW = Lines(
    title="Crew",
    items=(
        Item(
            handle="hours_total",
            label="Hours in all",
            kind=HOURS,
            formula="=IF({area_total}>0,SUM({task_hours[]})+SUM({free_task_hours[]}),0)",
        ),
        Item(handle="crew", label="People in the crew", kind=COUNT, default=2),
        Item(handle="day_hours", label="Hours in a day", kind=HOURS, default=8),
        Item(
            handle="site_days",
            label="Days on site",
            kind=DAYS,
            formula="=CREW_DAYS({hours_total},{crew},{day_hours})",
        ),
        Item(
            handle="days_most",
            label="Days on site are at most",
            kind=DAYS,
            default=250,
            note="More is a point to look at: units per hour typed as hours per unit?",
        ),
        Item(handle="labor", label="Labor", kind=MONEY, formula="={hours_total}*{labor_rate}"),
    ),
)

RATE = Lines(
    title="What a loaded rate would be",
    items=(
        Item(handle="wage", label="Wage", kind=MONEY, per=HOURS),
        Item(
            handle="burden",
            label="Burden",
            kind=SHARE,
            note="Taxes, insurance and benefits as a share of the wage.",
        ),
        Item(handle="billable", label="Billable share of paid hours", kind=SHARE),
        Item(
            handle="rate_suggested",
            label="Loaded rate",
            kind=MONEY,
            per=HOURS,
            formula="=LOADED_RATE({wage},{burden},{billable})",
            note="For comparison; the rate on Start is the one used.",
        ),
    ),
)

SCAFFOLD = Lines(
    title="Scaffold",
    items=(
        Item(
            handle="rental_days",
            label="Days rented",
            kind=DAYS,
            note="Days on site while blank; part days count as whole.",
        ),
        Item(handle="day_price", label="Price of a day", kind=MONEY),
        Item(handle="week_price", label="Price of a week", kind=MONEY, note="Blank: not offered."),
        Item(handle="month_price", label="Price of four weeks", kind=MONEY, note="Blank: not offered."),
        Item(
            handle="rental_used",
            label="Days used",
            kind=DAYS,
            formula='=IF({rental_days?}="",{site_days},{rental_days?})',
        ),
        Item(
            handle="scaffold",
            label="Scaffold",
            kind=MONEY,
            formula='=IF({day_price?}="",IF(COUNT({week_price?},{month_price?})=0,0*{rental_used},NA()),RENTAL_COST({rental_used},{day_price?},{week_price?},{month_price?}))',
        ),
    ),
)

PLATFORM = Lines(
    title="Load on the platform",
    items=(
        Item(
            handle="platform_rating",
            label="Rated load of the platform",
            kind=WEIGHT,
            note="As its plate says; the plate and the maker's instructions decide.",
        ),
        Item(handle="platform_people", label="People on it", kind=COUNT, default=2),
        Item(
            handle="person_weight",
            label="Weight of a person with tools",
            kind=WEIGHT,
            default=both(250, 115),
            note="29 CFR 1926 Subpart L, Appendix A, counts 250 lb (113 kg) a person (from memory).",
        ),
        Item(handle="platform_boards", label="Boards on it at a time", kind=COUNT, default=6),
        Item(
            handle="run_weight_used",
            label=both("Weight of a board per foot", "Weight of a board per metre"),
            kind=WEIGHT,
            formula="=INDEX({run_weight:?},{board_usual})",
            note="From its density on Boards.",
        ),
        Item(
            handle="each_weight",
            label="Weight of a board",
            kind=WEIGHT,
            formula="={run_weight_used}*MAX({spare_stock[]})/{one_run}",
        ),
        Item(
            handle="platform_load",
            label="Load",
            kind=WEIGHT,
            formula="={platform_people}*{person_weight}+{platform_boards}*{each_weight}",
        ),
        Item(
            handle="platform_share",
            label="Share of the rating",
            kind=SHARE,
            formula="={platform_load}/{platform_rating}",
        ),
        Item(
            handle="platform_state",
            label="Within the rating?",
            kind=CHECK,
            formula='=IF({platform_load}>{platform_rating},"look: over the rating","ok")',
        ),
    ),
)

SHEET = Sheet(
    title="Hours",
    holds="Hours by task at your own rates, days, scaffold and what its platform carries.",
    blocks=(
        TASKS,
        OTHER_TASKS,
        CREW,
        RATE,
        SCAFFOLD,
        PLATFORM,
        Text(OVERHEAD, "caution"),
    ),
    columns=9,
    landscape=True,
)
