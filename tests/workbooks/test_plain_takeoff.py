"""The takeoff's plain edition follows its entries as the live one does, and says what it cannot follow."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import update_wrapper
from pathlib import Path

import pytest
from calc_office import LiveOffice
from calc_office import plain as from_office
from plain_cases import same

from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.errors import NotFound
from sheetcalc.hosts.headless import Headless
from sheetcalc.workbooks.plain import FORMS, STORED, Plain, plain
from sheetcalc.workbooks.plain.labels import label
from sheetcalc.xlsx.formulas import Area, address, area, tokens
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

CellAt = tuple[str, Place]
OTHER = {
    "auto": "balanced",
    "last": "split",
    "1x6": "1x8",
    "flat": "quarter",
    "round": "rectangle",
    "yes": "no",
    "no": "yes",
    "margin": "markup",
    "markup": "margin",
}
PROBLEM = "is missing or outside its range"  # what stands for the sentence of ENTRY_PROBLEM


@dataclass
class Both:
    """The demo job in both editions."""

    made: Plain
    live: Workbook
    plain: Workbook
    kept: list[CellAt]  # cells that are stored
    readers: Mapping[CellAt, list[CellAt]]

    def resting(self, cells: list[CellAt]) -> set[CellAt]:
        """Find the cells that read these, or read what reads them; with these."""
        found: set[CellAt] = set()
        todo = list(cells)
        while todo:
            cell = todo.pop()
            if cell not in found:
                found.add(cell)
                todo += self.readers.get(cell, ())
        return found

    def results(self) -> list[CellAt]:
        return [
            (title, place)
            for title, sheet in self.live.sheets.items()
            for place in sheet.places()
            if sheet.computed(*place)
        ]

    def entries(self) -> list[CellAt]:
        """Find the cells that formulas read and that a person fills; of those left blank every tenth."""
        read = {cell for cells in _reads(self.live).values() for cell in cells}
        found = [
            (title, place)
            for title, sheet in self.live.sheets.items()
            for place in sheet.places()
            if (title, place) in read and not sheet.computed(*place) and sheet.style(*place)
            if title not in ("Working", "Notes", "Functions")
        ]
        blank = [cell for cell in found if self.live.sheets[cell[0]].value(*cell[1]) is None]
        left_out = {cell for at, cell in enumerate(blank) if at % 10}
        return [cell for cell in found if cell not in left_out]

    def changed(self, cell: CellAt) -> Cell:
        value = self.plain.sheets[cell[0]].value(*cell[1])
        if value is None:
            return 1.0
        if isinstance(value, str):
            return OTHER.get(value.lower(), f"{value} else")
        if value >= 2 and value.is_integer():
            return value + 1
        return value * 1.08 if value else 1.0

    def wrong(
        self,
        changed: str,
        cells: set[CellAt],
        mine: Callable[[CellAt], Cell],
        theirs: Callable[[CellAt], Cell],
    ) -> list[str]:
        """Compare cells; what uses stored lines that would be others now need not follow, if that is said."""
        kept = self.plain.sheets
        others = [cell for cell in self.kept if not same(kept[cell[0]].value(*cell[1]), theirs(cell))]
        if others and not mine(("Stored", (5, 2))):
            return [f"{changed}: {others[0]} is old, and nothing says so"]
        rests = self.resting(others + [("Stored", place) for place in kept["Stored"].places()])
        found: list[str] = []
        for cell in cells:
            shown, live = mine(cell), theirs(cell)
            words = isinstance(shown, str) and PROBLEM in shown
            if not (words or same(shown, live) or cell in rests):
                found.append(f"{changed}: {cell[0]}!{address(*cell[1])} is {shown!r}, live {live!r}")
        return found


class Solved:
    """A function that solves nothing anew: it answers what it has answered while it was learning."""

    def __init__(self, function: CellFunction) -> None:
        self._python = function.python
        self._known: dict[str, object] = {}
        self.learning = True
        update_wrapper(self, function.python)  # with its signature

    def __call__(self, *given: object, **named: object) -> object:
        key = repr((given, {name: value for name, value in named.items() if name != "shown"}))
        if self.learning and key not in self._known:
            self._known[key] = self._python(*given, **named)
        if key not in self._known:
            raise NotFound("pieces", 0, "must be those of before")
        return self._known[key]


def live_edition(book: Workbook) -> Headless:
    """Load the live edition so that a changed entry starts no solver: what is stored counts as old then."""
    solved = {
        name: Solved(REGISTRY[name]) for name, form in FORMS.items() if form is STORED and name in REGISTRY
    }
    functions: Mapping[str, CellFunction] = {
        **REGISTRY,
        **{name: replace(REGISTRY[name], python=one) for name, one in solved.items()},
    }
    host = Headless(book, functions)
    for one in solved.values():
        one.learning = False
    return host


def _reads(book: Workbook) -> dict[CellAt, list[CellAt]]:
    return {
        (title, place): [
            (one.sheet, at) for one in _areas(formula.text, title) for row in one.rows() for at in row
        ]
        for title, sheet in book.sheets.items()
        for place, formula in sheet.formulas.items()
    }


def _areas(formula: str, sheet: str) -> Iterator[Area]:
    found = tokens(formula)
    for at, token in enumerate(found):
        if token.kind != "cell" or (at and found[at - 1].text == ":"):
            continue
        title = found[at - 2].text if at > 1 and found[at - 1].text == "!" else sheet
        text = token.text + (
            ":" + found[at + 2].text if at + 2 < len(found) and found[at + 1].text == ":" else ""
        )
        one = area(title, text)
        if one is not None:
            yield one


@pytest.fixture(scope="module")
def both(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Both:
    made = plain(demo_file, tmp_path_factory.mktemp("takeoff") / "porch_plain.xlsx")
    live, book = Workbook(demo_file), Workbook(made.report.file)
    readers: dict[CellAt, list[CellAt]] = defaultdict(list)
    for cell, read in _reads(book).items():
        for one in read:
            readers[one].append(cell)
    kept = [(one.cells.sheet, at) for one in made.stored for row in one.cells.rows() for at in row]
    return Both(made, live, book, kept, readers)


def test_no_formula_calls_a_function_of_ours(both: Both) -> None:
    for sheet in both.plain.sheets.values():
        for formula in sheet.formulas.values():
            called = {token.text.upper() for token in tokens(formula.text) if token.kind == "name"}
            assert not called & set(REGISTRY), formula


def test_every_result_is_that_of_the_live_edition(both: Both) -> None:
    assert not both.made.report.unevaluated
    for title, place in both.results():
        live, native = both.live.sheets[title].value(*place), both.plain.sheets[title].value(*place)
        assert same(native, live), (title, address(*place), live, native)


def test_only_what_needs_a_solver_is_stored(both: Both) -> None:
    assert {one.reason.split()[0] for one in both.made.stored} <= {
        *("BUY_LIST", "SAW_LIST", "STOP_LIST", "PIECE_LIST", "BUY_COST", "LOWEST_BUY_COST", "KERF_NOTE"),
        *("JOINT_MARKS", "JOINT_COUNT", "JOINT_PIECES", "JOINT_COST", "LOWEST_JOINT_COST"),
        *("SPARE_LIST", "SPARES_SHORT", "JOINT_PLAN", "DRAWING_LINES"),
        *("SHAPE_SIZE", "SHAPE_AREA", "SHAPE_PERIMETER", "SHAPE_WALLS", "COURSE_PIECES"),
    }


def bare(formula: str) -> str:
    """Leave the sheets' names out, which an argument needs on the sheet Helpers."""
    return re.sub(r"[A-Z][a-z]+!", "", formula)


def test_formulas_stay_short_enough_to_read(both: Both) -> None:
    added = both.plain.sheets["Helpers"].formulas.values()
    typed = [bare(one.text) for sheet in both.live.sheets.values() for one in sheet.formulas.values()]
    for text in (bare(formula.text) for formula in added if len(formula.text) > 200):
        argument = text[3 : text.find('="",')]  # one that is long itself, asked whether it is blank
        assert any(argument in known for known in typed), text
    for title, sheet in both.live.sheets.items():
        for place, formula in sheet.formulas.items():
            now = both.plain.sheets[title].formulas.get(place)
            assert now is None or len(now.text) <= max(200, len(formula.text) + 60), now


def test_change_of_entries_in_turn(both: Both) -> None:
    live, native = live_edition(both.live), Headless(both.plain)
    for title, place in both.entries()[::6]:
        cell = address(*place)
        new = both.changed((title, place))
        for host in (live, native):
            host.set(title, cell, new)
            host.recalculate()
        changed = f"{title}!{cell} = {new!r}"
        assert not both.wrong(changed, {*both.results()}, value_in(native), value_in(live))
        live.set(title, cell, both.live.sheets[title].value(*place))
        native.set(title, cell, both.plain.sheets[title].value(*place))


def value_in(host: Headless) -> Callable[[CellAt], Cell]:
    def value(cell: CellAt) -> Cell:
        found = host.get(cell[0], address(*cell[1]))
        assert not isinstance(found, list)
        return found

    return value


def values(host: Headless, cells: list[CellAt]) -> dict[CellAt, Cell]:
    """Values of many cells, read line by line, which is much quicker."""
    found: dict[CellAt, Cell] = {}
    lines: dict[tuple[str, int], list[int]] = defaultdict(list)
    for title, (row, column) in cells:
        lines[title, row].append(column)
    for (title, row), columns in lines.items():
        first, last = min(columns), max(columns)
        line = host.get(title, f"{address(row, first)}:{address(row, last)}")
        in_line = line[0] if isinstance(line, list) else [line]
        found |= {(title, (row, column)): in_line[column - first] for column in columns}
    return found


def test_change_of_every_entry_in_turn_in_an_office_without_our_functions(both: Both, tmp_path: Path) -> None:
    live, results = live_edition(both.live), both.results()
    usual = values(live, [*results, *both.kept])
    shown: dict[CellAt, Cell] = {}
    office = LiveOffice(tmp_path, bare=True)
    wrong: list[str] = []

    def read() -> set[CellAt]:
        found: set[CellAt] = set()
        for title in (*both.live.sheets, "Stored"):
            for row, column, value in office.changed(title):
                shown[title, (row, column)] = from_office(value)
                found.add((title, (row, column)))
        return found

    entries = both.entries()
    try:
        office.open(Path(both.made.report.file).absolute().as_uri())
        office.calculate()
        read()
        wrong += both.wrong("nothing", {*results} & shown.keys(), shown.__getitem__, usual.__getitem__)
        for title, place in entries:
            cell, new = address(*place), both.changed((title, place))
            live.set(title, cell, new)
            live.recalculate()
            office.put(title, cell, new)
            theirs = values(live, [*results, *both.kept])
            differ = {one for one in results if theirs[one] != usual[one]} | {*results} & read()
            wrong += both.wrong(f"{title}!{cell} = {new!r}", differ, shown.__getitem__, theirs.__getitem__)
            live.set(title, cell, both.live.sheets[title].value(*place))
            office.put(title, cell, both.plain.sheets[title].value(*place))
    finally:
        office.quit()
    assert not wrong, "\n".join(wrong)
    assert len(entries) > 250


def test_a_wider_board_is_followed_and_the_stored_lines_say_that_they_are_old(both: Both) -> None:
    native = Headless(both.plain)

    def at(handle: str) -> Cell:
        cells = both.plain.area(handle)
        assert cells is not None
        return value_in(native)((cells.sheet, (cells.top, cells.left)))

    followed = ("start_courses", "start_first", "start_last", "start_nails", "price_before_tax")
    before = {handle: at(handle) for handle in followed}
    assert at("stops") == 0
    assert not isinstance(at("start_price"), CellError)
    for column in "BCD":  # whichever board the ceilings take, a wider run of ten
        native.set("Boards", f"{column}8", 61.25)
        native.set("Boards", f"{column}9", 6.375)
    native.recalculate()
    assert {handle for handle in followed if at(handle) == before[handle]} == set()
    words = "boards, cuts, joints, spares and drawings are older than the entries"
    looks = at("looks")
    assert isinstance(looks, float)
    assert at("stops") == 1
    assert at("state") == native.get("Start", "A3") == f"stopped: 1 to mend; {words}"
    assert at("stop_state.stop_stored") == "stop"
    assert at("stop_where.stop_stored") == "Stored: Boards, Run of ten, knocked together, A"
    assert at("start_price") is CellError.NA
    assert native.get("Bid", "B1") == f"stopped: {words}, not to hand out"
    native.set("Price", "B11", "much")  # another stop beside it
    native.recalculate()
    assert str(at("state")).startswith("stopped: ")
    assert at("stops") > 1  # type: ignore[operator]
    native.set("Price", "B11", both.plain.sheets["Price"].value(11, 2))

    native.set("Stored", "B11", native.get("Stored", "B10"))  # type: ignore[arg-type]
    native.recalculate()
    assert (at("stops"), at("looks")) == (0, looks + 1)
    assert at("state") == native.get("Price", "A3") == f"draft: {looks + 1:.0f} points to look at; {words}"
    assert at("look_state.look_stored") == "look"
    assert isinstance(at("start_price"), float)
    native.set("Order", "B94", 0.25)
    native.recalculate()
    assert (at("stops"), at("looks")) == (1, looks)
    assert at("start_price") is CellError.NA


def test_a_cut_list_older_than_the_joints_counts_no_jointed_ceilings(both: Both) -> None:
    native = Headless(both.plain)
    along = both.plain.area("along")
    assert along is not None
    for column in range(along.left, along.right + 1):  # the ceiling with joints becomes one of whole boards
        native.set("Measure", address(along.top + 2, column), 180.0)
    native.recalculate()
    saw = {value_in(native)(("Saw", (row, 1))) for row in range(12, 160)}
    assert "jointed ceilings" in saw
    assert "0 jointed ceilings" not in saw


@pytest.mark.parametrize(
    "handle",
    [
        "start_price",
        "start_boards",
        "start_margin",
        "price_before_tax",
        "price",
        "order_cost",
        "site_days",
        "yard_words",
    ],
)
def test_every_page_marks_the_lines_that_use_stored_ones_where_it_is_printed(both: Both, handle: str) -> None:
    cells = both.plain.area(handle)
    assert cells is not None
    sheet = both.plain.sheets[cells.sheet]
    printed = both.plain.area("_xlnm.Print_Area", cells.sheet)
    assert printed is not None
    words = {sheet.value(cells.top, column) for column in range(cells.left + 1, printed.right + 1)}
    assert words & {"uses stored", "stored"}


def test_what_is_marked_is_no_more_than_what_uses_stored_lines(both: Both) -> None:
    for handle in ("start_courses", "area_total", "crew", "labor_rate"):
        cells = both.plain.area(handle)
        assert cells is not None
        sheet = both.plain.sheets[cells.sheet]
        row = {sheet.value(*place) for place in sheet.places() if place[0] == cells.top}
        assert not row & {"uses stored", "stored"}


def test_added_sheets_are_not_for_paper(both: Both) -> None:
    helpers = both.plain.area("_xlnm.Print_Area", "Helpers")
    listed = both.plain.area("_xlnm.Print_Area", "Stored")
    assert helpers is not None
    assert helpers.size < 50
    assert listed is not None
    assert listed.bottom < 40


def test_no_sentence_says_what_only_the_edition_with_the_functions_does(both: Both) -> None:
    package = both.plain.package
    words = " ".join(package.read(part).decode() for part in both.plain.parts_with_words)
    untrue = r"own marks|or text such|compute porch|with the same arguments says|They work in any cell"
    assert not re.findall(untrue, words)
    live = " ".join(both.live.package.read(part).decode() for part in both.live.parts_with_words)
    assert len(set(re.findall(untrue, live))) == 5
    assert "=14*12+3+3/8; no feet and inches as text here. Framed cells" in words


def test_entries_are_named_by_the_words_around_them(both: Both) -> None:
    names = {
        handle: label(both.live, (cells.sheet, (cells.top, cells.left)))
        for handle in ("across_one", "kerf", "run_of_ten", "across", "first_framing", "labor_rate")
        if (cells := both.live.area(handle))
    }
    assert names["across_one"] == "Start, Across the boards, one end"
    assert names["labor_rate"] == "Start, Loaded rate"
    assert names["kerf"] == "Order, Saw cut"
    assert names["across"] == "Measure, Front porch, Across left"


def test_stored_cells_are_marked_by_word_and_by_style(both: Both) -> None:
    listed = both.plain.sheets["Stored"]
    words = {listed.value(*place) for place in listed.places()}
    for one in both.made.stored:
        assert str(one.cells) in words
        sheet = both.plain.sheets[one.cells.sheet]
        place = (one.cells.top, one.cells.left)
        assert sheet.style(*place) != both.live.sheets[one.cells.sheet].style(*place)
        if sheet.value(*place) in (None, ""):
            continue
        in_row = [sheet.value(*at) for at in sheet.places() if at[0] <= one.cells.top]
        assert any(isinstance(value, str) and value == "stored" for value in in_row)
