"""Start: nine entries that give a price, and the answers, on one screen."""

from sheetcalc.kinds import AREA, COUNT, DAYS, HOURS, LENGTH, MONEY, SHARE, TEXT
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Sheet, Side, Text
from sheetcalc.workbooks.systems import both


def _reading(handle: str, label: str) -> Item:
    used = f'=IF({{from_start.1?}}=1,IF({{{handle}?}}="","",FEET_INCHES({{{handle}?}})),"as on Measure")'
    return Item(handle=handle, label=label, kind=LENGTH, needed=True, used=used)


ENTRIES = Lines(
    title="Nine entries that give a price",
    items=(
        _reading("across_one", "Across the boards, one end"),
        _reading("across_two", "Across the boards, other end"),
        _reading("along_one", "Along the boards, one side"),
        _reading("along_two", "Along the boards, other side"),
        Item(
            handle="board_wanted",
            label="Board",
            note=both(
                "Nominal size: 1x4, 1x6, 1x8, 1x10, 1x12, or one that stands on Boards.",
                "Thickness x overall width x face, such as 19x135x121 mm.",
            ),
            width=both(0, 15),
            needed=True,
        ),
        Item(
            handle="board_rate",
            label="Board price",
            kind=MONEY,
            unit=both("per foot", "per metre"),
            needed=True,
            used='=IF(N(INDEX({board_priced:?},{board_usual}))=0,"",IF({board_rate?}="","as on Boards","no effect"))',
            note="Has no effect once Boards has a price for this board.",
        ),
        Item(handle="labor_rate", label="Loaded rate", kind=MONEY, per=HOURS, needed=True),
        Item(handle="hang_rate", label="Hours to hang, per area", kind=HOURS, per=AREA, needed=True),
        Item(handle="profit", label="Profit", kind=SHARE, needed=True),
    ),
)

ANSWERS = Lines(
    title="Answers",
    handle="answers",
    items=(
        Item(handle="start_price", label="Price", kind=MONEY, formula="={price}"),
        Item(
            handle="start_price_area",
            label="Price per area",
            kind=MONEY,
            per=AREA,
            formula="={price_per_area}",
        ),
        Item(handle="start_margin", label="Margin", kind=SHARE, formula="={margin}"),
        Item(
            handle="start_counts",
            label="The price counts",
            kind=TEXT,
            formula='={price_counts}&IF({lacked_short?}="","","; not "&{lacked_short?})',
        ),
        Item(handle="start_area", label="Ceiling area", kind=AREA, formula="={area_total}"),
        Item(handle="start_days", label="Days on site", kind=DAYS, formula="={site_days}"),
        Item(handle="start_crew", label="Crew", kind=COUNT, formula="={crew}", unit="people"),
        Item(handle="start_ceiling", label="Ceiling shown below", kind=TEXT, formula="={pole_name}"),
        Item(handle="start_courses", label="Courses", kind=COUNT, formula="={pole_courses}"),
        Item(
            handle="start_first",
            label="First course, as it shows",
            formula="={pole_first_shows}",
            kind=WORDED,
        ),
        Item(
            handle="start_last",
            label="Last course, as it shows",
            formula="={pole_last_shows}",
            kind=WORDED,
        ),
        Item(handle="start_cut", label="Length to cover", kind=TEXT, formula="={pole_cut}"),
        Item(handle="start_boards", label="Boards to buy", kind=TEXT, formula="={boards_words}"),
        Item(handle="start_plan", label="The plan is", kind=TEXT, formula="={plan_total_words}"),
        Item(
            handle="start_saving",
            label="Saved",
            kind=TEXT,
            formula="={saving_words}",
        ),
        Item(handle="start_joints", label="End joints", kind=COUNT, formula="={joints_total}"),
        Item(handle="start_waste", label="Waste with rips, spares", kind=SHARE, formula="={waste}"),
        Item(handle="start_primer", label="Primer to buy", kind=TEXT, formula="={primer_words}"),
        Item(handle="start_nails", label="Nails", kind=COUNT, formula="={nails_total}"),
        Item(handle="start_moisture", label="Boards dry enough?", kind=TEXT, formula="={verdict_words}"),
        Item(handle="start_points", label="Points to look at", kind=COUNT, formula="={looks}"),
        Item(handle="start_missing", label="Entries missing", kind=COUNT, formula="={missing}"),
        Item(handle="start_assumed", label="Values assumed", kind=COUNT, formula="={assumed_count}"),
    ),
)

SHEET = Sheet(
    title="Start",
    holds="Type the nine entries and read the price. The other sheets refine each of them.",
    blocks=(
        Side(left=ENTRIES, right=ANSWERS),
        Text(
            (
                "Readings on Measure replace the four above, prices on Boards the board price. Checks: what is missing or deserves a look. Working: what is assumed.",
                both(
                    "A length is inches, or text with its own marks: 171 3/8, 14'-3 3/8\", 4.35 m. Framed cells are entries.",
                    "A length is millimetres, or text with its own unit: 4350, 435 cm, 4.35 m. Framed cells are entries.",
                ),
                "After typing, run: sheetcalc compute porch.xlsx (a program that has the functions follows by itself).",
            )
        ),
    ),
    landscape=True,
    columns=11,
)
