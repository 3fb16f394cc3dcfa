"""The takeoff workbook as declared, before anything is computed."""

import re
from collections.abc import Iterator

import pytest

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.kinds import SYSTEMS
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demos import DEMOS
from sheetcalc.workbooks.declare import Answer, Item, Row, Table, Text
from sheetcalc.workbooks.lint import NATIVE, lint
from sheetcalc.workbooks.place import items_of, lay_out

# Numbers that say what they are: two ends of a board, three names and how many more, four readings, the five
# letters of “ready”, the ten boards of a run, the letter A (CHAR(64+n)), percent in words.
PLAIN = {"0", "1", "2", "3", "4", "5", "10", "64", "100"}

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


class Edition:
    """The workbook of one unit system, as declared."""

    def __init__(self, system: str) -> None:
        self.system = system
        self.sheets = sheets(system)
        self.blocks = [block for sheet in self.sheets for block in sheet.blocks]
        self.items = {item.handle: item for block in self.blocks for item in items_of(block)}
        self.formulas = [text for text in self._formulas() if text]

    def _formulas(self) -> Iterator[str]:
        for block in self.blocks:
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

    def entries(self) -> Iterator[Item]:
        for block in self.blocks:
            if not isinstance(block, Answer):
                yield from (item for item in items_of(block) if not item.formula)

    def table(self, handle: str) -> tuple[Row, ...]:
        (table,) = (block for block in self.blocks if isinstance(block, Table) and block.handle == handle)
        assert isinstance(table.rows, tuple)
        return table.rows


@pytest.fixture(scope="module", params=SYSTEMS)
def edition(request: pytest.FixtureRequest) -> Edition:
    return Edition(request.param)


def test_nothing_is_wrong_with_it(edition: Edition):
    assert lint(edition.sheets, edition.system) == []


def test_sheets_in_their_order(edition: Edition):
    shown = "Start Measure Shapes Boards Layout Plan Saw Order Yard Hours Price Bid Compare Checks Site"
    shown += " Notes Functions Ways Working"
    assert " ".join(sheet.title for sheet in edition.sheets) == shown
    assert all(sheet.holds.endswith(".") for sheet in edition.sheets)


def test_every_value_of_the_demo_has_an_entry(edition: Edition):
    assert set(DEMOS[edition.system]) <= {item.handle for item in edition.entries()}


def test_every_entry_is_read_by_some_formula(edition: Edition):
    read = {handle for text in edition.formulas for handle in re.findall(r"\{([a-z_]+)", text)}
    assert {item.handle for item in edition.entries()} - read <= REMARKS


def test_no_number_hides_in_a_formula(edition: Edition):
    hidden: dict[str, str] = {}
    for text in edition.formulas:
        plain = re.sub(r"\{[^}]*\}", "", re.sub(r'"[^"]*"', '""', text))
        constant = re.fullmatch(r"=[\d./]+", plain)  # stands in a line of its own, with its name
        for number in re.findall(r"(?<![A-Za-z_.\d])\d+(?:\.\d+)?", plain):
            if number not in PLAIN and not constant:
                hidden[number] = text
    assert hidden == {}


def test_only_functions_that_every_program_knows_and_ours(edition: Edition):
    called = {name for text in edition.formulas for name in re.findall(r"([A-Z][A-Z_0-9.]*)\(", text)}
    assert {name for name in called if name not in REGISTRY and not NATIVE.fullmatch(name)} == set()
    assert called.isdisjoint({"TODAY", "NOW", "RAND", "RANDBETWEEN", "OFFSET", "INDIRECT", "CELL", "INFO"})


def test_every_default_is_listed_as_assumed(edition: Edition):
    defaults = {f"assumed_{item.handle}" for item in edition.items.values() if item.default is not None}
    assert {row.handle for row in edition.table("assumptions")} == defaults


def test_every_function_stands_on_the_sheet_functions(edition: Edition):
    assert [row.label for row in edition.table("functions")] == list(REGISTRY)


def test_start_is_one_screen(edition: Edition):
    page = next(page for page in lay_out(edition.sheets, edition.system).pages if page.sheet.title == "Start")
    assert max(spot.cells.row for spot in page.spots) <= 32
    assert [item.handle for item in edition.items.values() if item.needed][:9] == [
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
