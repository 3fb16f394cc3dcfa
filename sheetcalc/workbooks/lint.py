"""What a declared workbook must not hold, found before anybody opens it."""

import re
from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.workbooks.charts import charted
from sheetcalc.workbooks.declare import Item, Sheet
from sheetcalc.workbooks.page import Plan, Spot
from sheetcalc.workbooks.place import items_of, lay_out
from sheetcalc.workbooks.refs import Formula, Reference, formula

LONGEST_FORMULA = 450  # characters, before its guard: a call may name two dozen ranges of another sheet
DEEPEST_IF = 2

NATIVE = re.compile(
    """
    ABS|AND|AVERAGE|CEILING|CHAR|CHOOSE|COLUMNS|CONCATENATE|COUNT|COUNTA|COUNTBLANK|COUNTIFS?|DATE|DAY|EXACT|
    FIND|FLOOR|HLOOKUP|IF|INDEX|INT|ISBLANK|ISERROR|ISNA|ISNUMBER|ISTEXT|LARGE|LEFT|LEN|LOOKUP|LOWER|MATCH|MAX|
    MEDIAN|MID|MIN|MOD|MONTH|N|NA|NOT|OR|PI|POWER|PRODUCT|PROPER|RANK|REPT|RIGHT|ROUND|ROUNDDOWN|ROUNDUP|ROWS|
    SEARCH|SIGN|SMALL|SQRT|SUBSTITUTE|SUM|SUMIFS?|SUMPRODUCT|T|TEXT|TRIM|UPPER|VALUE|VLOOKUP|YEAR
    """,
    re.VERBOSE,
)
"""Functions that every spreadsheet program has known for long, none of them volatile."""

REFUSED = {
    "IFERROR": "hides errors",
    "OFFSET": "is recalculated without end and hides what it reads",
    "INDIRECT": "is recalculated without end and hides what it reads",
    "TODAY": "changes by itself",
    "NOW": "changes by itself",
    "RAND": "changes by itself",
    "RANDBETWEEN": "changes by itself",
}

_TAKE_TEXT = {
    "IF",
    "CHOOSE",
    "COUNTA",
    "COUNTBLANK",
    "INDEX",
    "ISBLANK",
    "ISNUMBER",
    "ISTEXT",
    "ROWS",
    "COLUMNS",
    "T",
}
"""Native functions that hand a value on, or look only at whether there is one."""

Spotted = tuple[str, int, int]


def lint(sheets: Sequence[Sheet], system: str = "us") -> list[str]:
    """Find what is wrong with a declared workbook.

    Parameters
    ----------
    sheets : sequence of Sheet
        As declared.
    system : str
        "us" or "metric".

    Returns
    -------
    list of str
        One sentence for each finding; empty for a sound workbook.
    """
    try:
        plan = lay_out(sheets, system)
    except ValueError as problem:
        return [str(problem)]
    found = list(_titles(sheets))
    for sheet in sheets:
        for block in sheet.blocks:
            for item in items_of(block):
                found += _units(item, system)
    precedents: dict[Spotted, set[Spotted]] = {}
    for page in plan.pages:
        for block, corner in page.charts:
            try:
                charted(block, corner.sheet, plan)
            except ValueError as problem:
                found.append(str(problem))
        for spot in page.spots:
            if not spot.here:
                continue
            try:
                written = formula(str(spot.content), spot.here, plan.places, system)
            except ValueError as problem:
                found.append(str(problem))
                continue
            found += _formula(spot, written, plan)
            reads = {cell for reference in written.references for cell in reference.cells}
            precedents |= dict.fromkeys(spot.cells, reads)
    found += _circles(plan, precedents)
    return list(dict.fromkeys(found))


def _titles(sheets: Sequence[Sheet]) -> Iterator[str]:
    titles = [sheet.title for sheet in sheets]
    for title in titles:
        if not title.isalpha() or len(title) > 31:
            yield f"{title}: a sheet's title is one word"
        if titles.count(title) > 1:
            yield f"{title}: two sheets have this title"


def _units(item: Item, system: str) -> Iterator[str]:
    unit = getattr(item.kind, system)
    if item.unit and (unit or item.per):
        yield f"{item.handle}: its kind already says its unit"
    if item.per and not getattr(item.per, system):
        yield f"{item.handle}: {item.per.name} has no unit to stand below the line"


def _formula(spot: Spot, written: Formula, plan: Plan) -> Iterator[str]:
    declared = f"{spot.cells.sheet}: {spot.content}"
    for name in written.calls:
        if name in REFUSED:
            yield f"{declared}: {name} {REFUSED[name]}"
        elif name not in REGISTRY and not NATIVE.fullmatch(name):
            yield f"{declared}: {name} is no function that every program knows"
    for word in written.words:
        if word.upper() not in ("TRUE", "FALSE"):
            yield f"{declared}: {word} is neither a reference in braces nor a function"
    if len(written.body) > LONGEST_FORMULA:
        yield f"{declared}: {len(written.body)} characters long"
    if written.ifs > DEEPEST_IF:
        yield f"{declared}: IF within IF within IF"
    for reference in written.references:
        if _reads_typed_length(reference, plan):
            yield f"{declared}: a typed length in {reference.address} is read by none of our functions"


def _reads_typed_length(reference: Reference, plan: Plan) -> bool:
    if not any(cell in plan.entries and plan.entries[cell].kind.typed for cell in reference.cells):
        return False
    taken = not reference.inside or reference.inside in REGISTRY or reference.inside in _TAKE_TEXT
    return not (reference.compared or (reference.alone and taken))


def _circles(plan: Plan, precedents: dict[Spotted, set[Spotted]]) -> Iterator[str]:
    try:
        TopologicalSorter(precedents).prepare()
    except CycleError as problem:
        handles = {
            cell: handle for handle, place in plan.places.items() if place.item for cell in place.cells
        }
        circle = " → ".join(handles.get(cell, f"{cell[0]} row {cell[1]}") for cell in problem.args[1])
        yield f"a circle: {circle}"
