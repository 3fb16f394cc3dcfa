"""Boards: three choices side by side, what they cost, and whether they are dry enough to hang."""

from sheetcalc.kinds import (
    COUNT,
    DAYS,
    DENSITY,
    LENGTH,
    MONEY,
    NUMBER,
    PERCENT,
    SHARE,
    TEMPERATURE,
    TEXT,
    WEIGHT,
)
from sheetcalc.trade.tables import rows as published
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Row, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

CHOICES = ("A", "B", "C")
STOCK = (
    both(96, 2400),
    both(120, 3000),
    both(144, 3600),
    both(168, 4200),
    both(192, 4800),
    None,
    None,
    None,
)


def _three(handle: str, label: str, **more: object) -> Item:
    return Item(handle=handle, label=label, cells=3, heads=CHOICES, **more)  # type: ignore[arg-type]


OFFERED = Lines(
    title="Three choices of board",
    items=(
        _three(
            "nominal",
            both("Nominal size", "Size"),
            note=both(
                "Choice A is the board on Start while blank.",
                "Thickness x overall width x face, such as 19x135x121 mm; A: the board on Start while blank.",
            ),
            width=both(0, 16),
        ),
        _three("board_words", "What it is"),
        _three(
            "run_of_ten",
            "Run of ten, knocked together",
            kind=LENGTH,
            note=both(
                "Measured shoulder to shoulder; the table's face while blank.",
                "Measured shoulder to shoulder; the face in the size while blank.",
            ),
        ),
        _three(
            "overall",
            "Overall width",
            kind=LENGTH,
            note=both(
                "Tongue included; the table's while blank.", "Tongue included; that in the size while blank."
            ),
        ),
        _three(
            "thickness",
            "Thickness",
            kind=LENGTH,
            note=both("The table's while blank.", "That in the size while blank."),
        ),
        _three(
            "species",
            "Species",
            choices=tuple(row["species"] for row in published("wood_movement")),
            width=18,
        ),
        _three("grain", "Grain", choices=("flat", "quarter"), note="Flat while blank: the wider movement."),
        _three("density", "Density", kind=DENSITY, note="For the load on the platform."),
        _three(
            "price_per",
            "Prices below are per",
            choices=both(("board", "foot", "board foot", "1000 board feet"), ("board", "metre")),
            note="Board while blank.",
        ),
        _three(
            "cull_rate",
            "Cull rate",
            kind=SHARE,
            note="Share of boards rejected; none while blank. Rough stock has been culled at half of the pile.",
        ),
        _three("lead_days", "Lead time", kind=DAYS),
        _three("return_credit", "Credit for returns", kind=SHARE),
    ),
)

USED = Lines(
    title="What is used of them",
    items=(
        _three(
            "nominal_used",
            both("Nominal size", "Size"),
            formula='=IF({nominal?}="",IF({j}=1,{board_wanted?}&"",""),{nominal?})',
        ),
        _three(
            "face",
            "Face as laid",
            kind=LENGTH,
            formula='=IF({run_of_ten?}="",FACE_WIDTH({nominal_used}),COURSE_PITCH({run_of_ten?},10))',
        ),
        _three(
            "overall_used",
            "Overall width",
            kind=LENGTH,
            formula='=IF({overall?}="",OVERALL_WIDTH({nominal_used}),READ_LENGTH({overall?}))',
        ),
        _three(
            "thickness_used",
            "Thickness",
            kind=LENGTH,
            formula='=IF({thickness?}="",BOARD_THICKNESS({nominal_used}),READ_LENGTH({thickness?}))',
        ),
        _three(
            "per_used",
            "Prices are per",
            formula='=IF({nominal_used}="","",IF({price_per?}="","board",{price_per?}))',
        ),
        _three(
            "board_priced", "Prices typed below", kind=COUNT, formula="=COUNT(INDEX({stock_price[]},0,{j}))"
        ),
        _three(
            "cull_used",
            "Cull rate",
            kind=SHARE,
            formula='=IF({nominal_used}="","",IF({cull_rate?}="",0,{cull_rate?}))',
        ),
        _three("tongue", "Tongue", kind=LENGTH, formula="={overall_used}-{face}"),
        _three(
            "coefficient",
            "Movement per 1 % moisture",
            kind=NUMBER,
            formula='=MOVEMENT_COEFFICIENT({species},IF({grain?}="","flat",{grain?}))',
            unit="share",
        ),
        _three(
            "run_weight",
            both("Weight per foot", "Weight per metre"),
            kind=WEIGHT,
            formula="=BOARD_WEIGHT({thickness_used},{overall_used},{one_run},{density})",
        ),
    ),
)

PRICES = Table(
    handle="stock",
    title="Stock lengths, and the price of each choice",
    rows=tuple(
        Row(f"length_{number}", f"Length {number}", {"stock_usual": usual} if usual else {})
        for number, usual in enumerate(STOCK, 1)
    ),
    columns=(
        Item(handle="stock_usual", label="Usual", kind=LENGTH, formula='=""'),
        Item(handle="stock_here", label="Here, if other", kind=LENGTH),
        Item(handle="stock_price", label="Price", kind=MONEY, cells=3, heads=CHOICES),
        Item(
            handle="stock_offer",
            label="On offer",
            kind=COUNT,
            cells=3,
            heads=CHOICES,
            note="Boards the yard has; no limit while blank. No plan takes more.",
        ),
        Item(handle="stock_read", label="Read as", kind=TEXT, formula="=FEET_INCHES({stock_used_length})"),
    ),
)

METER = Table(
    handle="moisture",
    title="Moisture readings, in percent (18 means 18 %)",
    rows=5,
    columns=(
        Item(handle="moisture_row", label="Boards", kind=TEXT, note="Which bundle or stack."),
        Item(
            handle="moisture_reading",
            label="Reading",
            kind=PERCENT,
            cells=8,
            heads=tuple("12345678"),
            needed=True,
        ),
    ),
)

SERVICE = Lines(
    title="Moisture: limits and the air the boards will live in",
    items=(
        Item(
            handle="meter_limit",
            label="Do not hang at or over",
            kind=PERCENT,
            default=18,
            note="Boards at 18 % or more are not hung. Common practice, no source.",
        ),
        Item(
            handle="moisture_target",
            label="Target",
            kind=PERCENT,
            note="Midway between driest and wettest while blank.",
        ),
        Item(handle="moisture_within", label="Within", kind=PERCENT, default=2),
        Item(handle="dry_temperature", label="Driest season, temperature", kind=TEMPERATURE),
        Item(handle="dry_humidity", label="Driest season, humidity", kind=PERCENT),
        Item(
            handle="dry_typed",
            label="Driest moisture, if known",
            kind=PERCENT,
            note="Takes the place of the two lines above.",
        ),
        Item(handle="wet_temperature", label="Wettest season, temperature", kind=TEMPERATURE),
        Item(handle="wet_humidity", label="Wettest season, humidity", kind=PERCENT),
        Item(
            handle="wet_typed",
            label="Wettest moisture, if known",
            kind=PERCENT,
            note="Takes the place of the two lines above.",
        ),
    ),
)

VERDICT = Lines(
    title="Moisture: the verdict",
    items=(
        Item(
            handle="readings_taken",
            label="Readings taken",
            kind=COUNT,
            formula="=COUNT({moisture_reading[]})",
        ),
        Item(
            handle="readings_wanted",
            label="Readings to take",
            kind=COUNT,
            formula="=READINGS_NEEDED({area_total})",
            note="40 per 1,000 ft² (93 m²) (NWFA), at least 10 (from memory).",
        ),
        Item(
            handle="moisture_low",
            label="Lowest",
            kind=PERCENT,
            formula='=IF({readings_taken}=0,"",MIN({moisture_reading[]}))',
        ),
        Item(
            handle="moisture_now",
            label="Mean",
            kind=PERCENT,
            formula='=IF({readings_taken}=0,"",AVERAGE({moisture_reading[]}))',
        ),
        Item(
            handle="moisture_high",
            label="Highest",
            kind=PERCENT,
            formula='=IF({readings_taken}=0,"",MAX({moisture_reading[]}))',
        ),
        Item(
            handle="driest",
            label="Driest in service",
            kind=PERCENT,
            formula='=IF({dry_typed?}="",IF(COUNT({dry_temperature?},{dry_humidity?})=2,EQUILIBRIUM_MOISTURE({dry_temperature?},{dry_humidity?}),""),{dry_typed?})',
            note="Equilibrium moisture, Wood Handbook Eq. 4-5.",
        ),
        Item(
            handle="wettest",
            label="Wettest in service",
            kind=PERCENT,
            formula='=IF({wet_typed?}="",IF(COUNT({wet_temperature?},{wet_humidity?})=2,EQUILIBRIUM_MOISTURE({wet_temperature?},{wet_humidity?}),""),{wet_typed?})',
        ),
        Item(
            handle="target_used",
            label="Target used",
            kind=PERCENT,
            formula='=IF({moisture_target?}="",IF(COUNT({driest?},{wettest?})=2,AVERAGE({driest?},{wettest?}),""),{moisture_target?})',
        ),
        Item(
            handle="verdict",
            label="Verdict",
            kind=TEXT,
            formula='=IF({readings_taken}=0,"",READY_TO_HANG({moisture_reading[]},{meter_limit},{target_used?},{moisture_within}))',
        ),
        Item(
            handle="verdict_words",
            label="In words",
            kind=TEXT,
            formula='=IF({readings_taken}=0,"not measured",{verdict?})',
        ),
    ),
)

MOVEMENT = Lines(
    title="Movement of each choice, from the mean reading",
    items=(
        _three(
            "board_grows",
            "Board grows, to the wettest",
            formula="=INCH_FRACTION(BOARD_MOVEMENT({face},{coefficient},{moisture_now},{wettest}),{finest})",
            kind=WORDED,
        ),
        _three(
            "board_shrinks",
            "Board moves, to the driest",
            formula="=INCH_FRACTION(BOARD_MOVEMENT({face},{coefficient},{moisture_now},{driest}),{finest})",
            kind=WORDED,
        ),
        _three(
            "course_space",
            "Space at each course",
            formula="=INCH_FRACTION(JOINT_SPACE({face},{coefficient},{moisture_now},{wettest}),{finest})",
            kind=WORDED,
        ),
        _three(
            "ceiling_gap",
            "Gap each wall needs",
            formula="=INCH_FRACTION(ROUNDUP(ROUND(GAP_NEEDED({widest_ceiling},{coefficient},{moisture_now},{wettest})*{rule_parts},4),0)/{rule_parts})",
            kind=WORDED,
            note="Boards tight across the widest ceiling: the worst case. Rounded up.",
        ),
        _three(
            "ceiling_grows",
            "Growth across the ceiling",
            formula="=INCH_FRACTION(BOARD_MOVEMENT({widest_ceiling},{coefficient},{moisture_now},{wettest}))",
            kind=WORDED,
            note="If nothing restrains it; real boards are rarely purely flat grain, so it is over-estimated.",
        ),
    ),
)

SHEET = Sheet(
    title="Boards",
    holds="The boards on offer, what they cost at each length, and whether they are dry enough to hang.",
    blocks=(
        OFFERED,
        USED,
        PRICES,
        SERVICE,
        METER,
        VERDICT,
        MOVEMENT,
        Text(
            (
                both(
                    "Sizes: WWPA coverage table and PS 20-20; a run of ten that you measure beats the table. Coefficients: Wood Handbook, Table 13-5.",
                    "Sizes as the boards were sold; a run of ten that you measure beats them. Coefficients: Wood Handbook, Table 13-5.",
                ),
                "Hand meters are reliable to 30 %; hang boards at the moisture they will have in service (Wood Handbook, ch. 13).",
            )
        ),
    ),
    landscape=True,
    columns=11,
)
