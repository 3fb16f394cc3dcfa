"""Site: an empty sheet to carry to the measuring; it holds no entries and no formulas."""

from sheetcalc.takeoff.measure import ENDS, WALLS
from sheetcalc.workbooks.declare import Ruled, Sheet, Text
from sheetcalc.workbooks.systems import both

SHEET = Sheet(
    title="Site",
    holds="Carry this to the measuring, write on it, and type it into Measure and Boards.",
    head=False,
    blocks=(
        Text(("Site sheet: what to measure and to ask",), "head"),
        Ruled(
            title="The job",
            rows=(
                "Owner, place, telephone",
                "Measured by, date, weather",
                "House built in; work wanted by",
                "Way in for boards and truck",
            ),
        ),
        Ruled(
            title="Ceilings: across is the way courses stack, along the way boards run; diagonals corner to corner",
            rows=6,
            heads=(
                "Ceiling",
                *(f"Across, {end}" for end in ENDS),
                *(f"Along, {wall}" for wall in WALLS),
                "Diagonal one",
                "Diagonal two",
                both("Rise in 12", "Rise in 100"),
                "Boards run",
                "Start wall",
            ),
        ),
        Ruled(
            title="Framing and what hangs there now",
            rows=6,
            heads=(
                "Ceiling",
                "Framing runs",
                "Every",
                "First from left wall",
                "Sound?",
                "Damp, rot, insects?",
                "Lining now",
                "Comes off?",
                "Vents to keep",
                "Gap at walls",
                "Trim covers",
                "Backing",
            ),
        ),
        Ruled(
            title="Fixtures: to their centres",
            rows=10,
            heads=(
                "Fixture",
                "Ceiling",
                "Round or rectangle",
                "Width across",
                "Length along",
                "From start wall",
                "From left end",
                "Framing or listed box?",
            ),
        ),
        Ruled(
            title="Moisture in percent, meter set to the species; air",
            rows=("Framing", "Boards, bundle 1", "Boards, bundle 2", "Boards, bundle 3"),
            heads=("Metered", *map(str, range(1, 7)), "Species", "Air, degrees", "Air, humidity"),
        ),
        Ruled(
            title="Access and safety",
            rows=(
                "Height to the ceiling, from floor and ground",
                "Ground: slope, soft, steps, planting",
                "Scaffold or ladder: stands where, tied to what",
                "Power: outlet, protected (GFCI), cord length",
                "Wiring in the ceiling: who switches it off",
                "Power lines near by",
                "Lead paint, asbestos, mould, nests",
                "Dry place for boards, place for the saw",
                "Hours, neighbours, animals",
            ),
        ),
        Text(
            (
                "Ladder on firm level ground, a quarter of its working length out (29 CFR 1926.1053(b)(5)(i)); do not lean out.",
                "Fall protection on a scaffold (29 CFR 1926.451(g)(1)); its plate says what it carries.",
                "Paint from before 1978 may hold lead: no scraping or drilling before it is tested (40 CFR 745 Subpart E). Test that wiring is dead; a licensed electrician opens boxes.",
                "Local codes and licensed practice decide.",
            ),
            "caution",
        ),
    ),
    landscape=True,
    columns=12,
)
