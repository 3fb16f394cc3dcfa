"""The takeoff workbook as declared, before anything is computed."""

import re
from collections.abc import Iterator

import pytest

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.declare import Answer, Item, Table, Text
from sheetcalc.workbooks.lint import NATIVE, lint
from sheetcalc.workbooks.place import items_of, lay_out

SHEETS = sheets()
BLOCKS = [block for sheet in SHEETS for block in sheet.blocks]
ITEMS = {item.handle: item for block in BLOCKS for item in items_of(block)}

# Numbers that say what they are: two ends of a board, four readings, the five letters of “ready”, the ten
# boards of a run, denominators of a rule, the letter A (CHAR(64+n)), percent in words, next to nothing.
PLAIN = {"0", "1", "2", "4", "5", "10", "16", "64", "100", "0.000001"}

# Entries that are words for people alone.
REMARKS = {
    "measured_on",
    "start_wall",
    "lead_days",
    "return_credit",
    "moisture_row",
    "free_what",
    "free_unit",
    "free_task",
    "free_task_unit",
    "other_what",
}


def formulas() -> Iterator[str]:
    for block in BLOCKS:
        match block:
            case Text():
                yield from (line for line in block.lines if line.startswith("=") and "{" in line)
            case Answer():
                yield block.formula
            case _:
                for item in items_of(block):
                    yield from filter(None, (item.formula, item.used))
        if isinstance(block, Table):
            yield block.filled
            for row in block.rows if isinstance(block.rows, tuple) else ():
                yield from (str(cell) for cell in row.cells.values() if str(cell).startswith("="))


FORMULAS = [text for text in formulas() if text]


def entries() -> Iterator[Item]:
    for block in BLOCKS:
        if not isinstance(block, Answer):
            yield from (item for item in items_of(block) if not item.formula)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_nothing_is_wrong_with_it(system: str):
    assert lint(SHEETS, system) == []


def test_sheets_in_their_order():
    shown = "Start Measure Boards Layout Saw Order Hours Price Bid Checks Notes Functions Working"
    assert " ".join(sheet.title for sheet in SHEETS) == shown
    assert all(sheet.holds.endswith(".") for sheet in SHEETS)


def test_every_value_of_the_demo_has_an_entry():
    assert set(DEMO) <= {item.handle for item in entries()}


def test_every_entry_is_read_by_some_formula():
    read = {handle for text in FORMULAS for handle in re.findall(r"\{([a-z_]+)", text)}
    assert {item.handle for item in entries()} - read <= REMARKS


def test_no_number_hides_in_a_formula():
    hidden: dict[str, str] = {}
    for text in FORMULAS:
        plain = re.sub(r"\{[^}]*\}", "", re.sub(r'"[^"]*"', '""', text))
        constant = re.fullmatch(r"=[\d./]+", plain)  # stands in a line of its own, with its name
        for number in re.findall(r"(?<![A-Za-z_.\d])\d+(?:\.\d+)?", plain):
            if number not in PLAIN and not constant:
                hidden[number] = text
    assert hidden == {}


def test_only_functions_that_every_program_knows_and_ours():
    called = {name for text in FORMULAS for name in re.findall(r"([A-Z][A-Z_0-9.]*)\(", text)}
    assert {name for name in called if name not in REGISTRY and not NATIVE.fullmatch(name)} == set()
    assert called.isdisjoint({"TODAY", "NOW", "RAND", "RANDBETWEEN", "OFFSET", "INDIRECT", "CELL", "INFO"})


def test_every_default_is_listed_as_assumed():
    defaults = {f"assumed_{item.handle}" for item in ITEMS.values() if item.default is not None}
    (table,) = (block for block in BLOCKS if isinstance(block, Table) and block.handle == "assumptions")
    assert isinstance(table.rows, tuple)
    assert {row.handle for row in table.rows} == defaults


def test_every_function_stands_on_the_sheet_functions():
    (table,) = (block for block in BLOCKS if isinstance(block, Table) and block.handle == "functions")
    assert isinstance(table.rows, tuple)
    assert [row.label for row in table.rows] == list(REGISTRY)


def test_start_is_one_screen():
    page = next(page for page in lay_out(SHEETS).pages if page.sheet.title == "Start")
    assert max(spot.cells.row for spot in page.spots) <= 32
    assert [item.handle for item in ITEMS.values() if item.needed][:9] == [
        "across_one",
        "across_two",
        "along_one",
        "along_two",
        "board_wanted",
        "board_rate",
        "labor_rate",
        "hang_rate",
        "profit",
    ]
