"""What is computed for the cells asked for alone, against the whole workbook computed: the demo job."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import lengths

from sheetcalc.cells.values import Cell
from sheetcalc.hosts.headless import Headless
from sheetcalc.workbooks.handles import Handles
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

ASKED = [
    "price",
    "price_per_area",
    "margin",
    "pole_courses",
    "pole_first_shows",
    "pole_last_shows",
    "boards_total",
    "waste",
    "nails_total",
    "hours_total",
    "primer_exact",
]
RESULTS_ONLY = {"Working", "Functions", "Checks", "Ways", "Compare"}  # what is typed there is labels
THIRD_CEILING = {
    "ceiling.3": "Back stoop",
    "across.3.1": "6' 2\"",
    "across.3.2": 74.125,
    "along.3.1": "9' 1/2\"",
}


class Demo(NamedTuple):
    """The demo job twice: one asks what if, the other computes everything."""

    file: Path
    handles: Handles
    entries: list[tuple[str, Place]]
    asks: Headless
    computes: Headless

    def at(self, handle: str) -> tuple[str, Place]:
        cells = self.handles.area(handle)
        return cells.sheet, (cells.top, cells.left)

    @property
    def ends(self) -> list[tuple[str, Place]]:
        """Entries in the first and the last row of each name; the rows between have the same formulas."""
        found: set[tuple[str, Place]] = set()
        for area in map(self.handles.area, self.handles):
            rows = list(area.rows())
            found.update((area.sheet, at) for row in (rows[0], rows[-1]) for at in row)
        return sorted(found & set(self.entries))

    @property
    def asked(self) -> list[tuple[str, str]]:
        return [(sheet, address(*at)) for sheet, at in map(self.at, ASKED)]

    def put(self, sheet: str, at: Place, value: Cell) -> None:
        for host in (self.asks, self.computes):
            host.set(sheet, address(*at), value)

    def answers(self) -> tuple[list[Any], list[Any]]:
        """Return the answers of both."""
        self.computes.recalculate()
        return self.asks.answers(self.asked), [self.computes.get(*cell) for cell in self.asked]

    def take_back(self, changed: Mapping[tuple[str, Place], Any]) -> None:
        for sheet, at in changed:
            self.put(sheet, at, self.asks.book.sheets[sheet].value(*at))


@pytest.fixture(scope="module")
def demo(demo_file: Path) -> Demo:
    book = Workbook(demo_file)
    handles = Handles(book)
    cells = {(area.sheet, at) for area in map(handles.area, handles) for row in area.rows() for at in row}
    entries = sorted(
        (sheet, at)
        for sheet, at in cells
        if sheet not in RESULTS_ONLY and not book.sheets[sheet].computed(*at)
    )
    return Demo(demo_file, handles, entries, Headless(book, at_once=False), Headless(Workbook(demo_file)))


def test_the_demo_job_needs_no_engine(demo_file: Path):
    every = Headless(Workbook(demo_file), at_once=False)
    asked = [
        (sheet.title, address(*at))
        for sheet in every.book.sheets.values()
        for at in [*sheet.formulas, *sheet.members]
    ]
    answers = every.answers(asked)
    assert every._whole is None  # pyright: ignore[reportPrivateUsage]
    assert answers == [every.get(*cell) for cell in asked]


def test_every_entry_changed_in_turn(demo: Demo):
    assert len(demo.ends) > 300
    differing: set[int] = set()
    for sheet, at in demo.ends:
        now = demo.asks.book.sheets[sheet].value(*at)
        demo.put(sheet, at, now * 1.25 if isinstance(now, float) else 1.0 if now is None else None)
        asked, computed = demo.answers()
        assert asked == computed, (sheet, at)
        differing.add(hash(tuple(computed)))
        demo.take_back({(sheet, at): None})
    assert len(differing) > 50


values = st.one_of(
    st.none(),
    st.sampled_from(["", "yes", "no", "1x8", "1x4", "B", "C", "knee wall", "about 7 feet", "4.35 m", "1/2"]),
    st.sampled_from([0.0, -1.0, 1.0, 2.0, 0.05, 0.3, True]),
    lengths(0, 240),
    st.integers(6, 400).map(lambda sixteenths: f"{sixteenths // 16}' {sixteenths % 16}/16\""),
)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_several_entries_changed_one_after_the_other(demo: Demo, data: st.DataObject):
    named = sorted(handle for handle in demo.handles if demo.at(handle) in demo.entries)
    places = st.sampled_from(demo.entries) | st.sampled_from(named).map(demo.at)
    changed: dict[tuple[str, Place], Cell] = {}
    try:
        for place in data.draw(st.lists(places, min_size=1, max_size=4)):
            changed[place] = data.draw(values)
            demo.put(*place, changed[place])
            asked, computed = demo.answers()
            assert asked == computed
    finally:
        demo.take_back(changed)


@pytest.mark.parametrize(
    "changed",
    [
        {"board_wanted": "1x8"},
        {"gap_usual": 0.75, "gap.1": None},
        THIRD_CEILING,
        THIRD_CEILING | {"board.3": "B", "gap.3": 0.375, "layout.3": "full"},
        {"fixture.6": "Light 4", "shape.6": "round", "width.6": 5.0, "position_across.6": "2' 1\""},
        {"across.1.1": "nonsense"},
        {"across.2.1": None, "across.2.2": None, "across.2.3": None},
        {"stock_price.5.1": 12.0, "end_trim": 2.0},
        {"labor_rate": None},
    ],
    ids=lambda changed: "-".join(changed),
)
def test_like_a_file_that_held_the_entries_from_the_start(demo: Demo, changed: dict[str, Cell]):
    book = Workbook(demo.file)
    cells = {demo.at(handle): value for handle, value in changed.items()}
    before = demo.asks.answers(demo.asked)
    for (sheet, at), value in cells.items():
        demo.asks.set(sheet, address(*at), value)
        book.sheets[sheet].put(*at, value)
    fresh = Headless(book)
    assert demo.asks.answers(demo.asked) == [fresh.get(*cell) for cell in demo.asked] != before
    demo.take_back(cells)
