"""Notes: purpose, use, key, units, rounding and cautions."""

from sheetcalc.workbooks.declare import Item, Lines, Sheet, Text
from sheetcalc.workbooks.systems import both


def sheet(version: str) -> Sheet:
    """Build the notes of a workbook made with that version of the functions.

    Parameters
    ----------
    version : str
        Version that stands in the workbook.

    Returns
    -------
    Sheet
        The notes.
    """
    return Sheet(
        title="Notes",
        holds="What this workbook is for and how to read it.",
        blocks=(
            Text(("Purpose",), "head"),
            Text(
                (
                    "Takes off a tongue-and-groove porch ceiling: from tape readings to courses, rips, cut lengths, boards, primer, nails, hours and a bid.",
                )
            ),
            Text(("Use",), "head"),
            Text(
                (
                    "1. Start: nine entries give a price.",
                    "2. Measure and Boards: replace the quick figures by what you measured, ceiling by ceiling, board by board.",
                    "3. Order, Hours and Price: your packages, prices and rates.",
                    "4. Checks: nothing missing, no stop, every look judged.",
                    "5. Print: Saw to the saw, Layout and Plan to the scaffold, Yard to the yard, Bid to the owner. Price stays with you.",
                )
            ),
            Text(("Key",), "head"),
            Text(
                (
                    "Framed, tinted cells are entries; beside a line stands what is taken while it is blank, in a table its header says entry.",
                    "Everything else is a result. Nothing is hidden; Layout and Saw are locked against slips, without a password.",
                    "A result stays blank until the entries it needs are there. #VALUE!: text that cannot be read; #NUM!: outside its range; #N/A: not found.",
                    '=ENTRY_PROBLEM("COURSE_COUNT", ...) with the same arguments says which one is wrong, and why.',
                )
            ),
            Text(("Units and rounding",), "head"),
            Text(
                (
                    both(
                        "Lengths in inches unless they carry their own marks; areas in ft², volumes in US gallons, weights in lb, temperatures in °F.",
                        "Lengths in millimetres unless they carry their own unit; areas in m², volumes in litres, weights in kg, temperatures in °C.",
                    ),
                    both(
                        "Shown to the nearest 1/16 in; nothing is rounded inside. What is bought is rounded up, with the exact figure beside it.",
                        "Shown to the nearest half millimetre; nothing is rounded inside. What is bought is rounded up, with the exact figure beside it.",
                    ),
                )
            ),
            Text(("Cautions: local codes and licensed practice decide",), "head"),
            Text(
                (
                    "Scaffold over 10 ft (3.0 m): fall protection, 29 CFR 1926.451(g)(1). Ladder base a quarter of its working length out, 29 CFR 1926.1053(b)(5)(i).",
                    "Saw: push stick, guard and riving knife, eye and hearing protection; its manual decides.",
                    "Nail guns: full-sequential trigger, NIOSH 2011-202; eye and hearing protection.",
                    "Paint from before 1978: lead-safe rules, 40 CFR 745 Subpart E, once 6 ft² (0.56 m²) inside or 20 ft² (1.9 m²) outside is disturbed.",
                    "Wood dust is a listed carcinogen: collect it and wear a respirator, above all routing overhead.",
                    "Fans and heavy lights hang from framing or a listed box, never from the boards (NEC 314.27, from memory); a licensed electrician wires them.",
                ),
                "caution",
            ),
            Text(("Sources",), "head"),
            Text(
                (
                    both(
                        "Sizes: PS 20-20; WWPA, Natural Wood Siding, Table 4. Moisture and movement: USDA Wood Handbook, FPL-GTR-282 and GTR-190.",
                        "Moisture and movement: USDA Wood Handbook, FPL-GTR-282 and GTR-190.",
                    ),
                    "Readings to take: NWFA. Nailing: WRCLA, WWPA. Panels: APA. Laps: IRC R703.2. Demo prices and rates are invented.",
                )
            ),
            Lines(
                title="Version",
                items=(
                    Item(handle="made_with", label="Made with functions", formula=f'="{version}"'),
                    Item(handle="runs_with", label="Functions here", formula="=FUNCTION_VERSION()"),
                ),
            ),
        ),
        columns=9,
        landscape=True,
    )
