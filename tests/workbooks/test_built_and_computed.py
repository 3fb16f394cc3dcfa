"""The sample workbook, built and computed: what its cells say in the end."""

from io import BytesIO

import openpyxl
import pytest
from sample_workbook import SHEETS, VALUES

from sheetcalc.workbooks.place import lay_out
from sheetcalc.workbooks.write import made

METRIC = {
    **VALUES,
    "board_face": 130,
    "wall_gap": 12,
    "across": [[3048, "10' 0-1/4\"", "304.2 cm"], [2438, None, 2451]],
    "along": ["14' 3-3/8\"", "6.1 m"],
}


class Computed:
    def __init__(self, values, system="us"):
        self.book = openpyxl.load_workbook(BytesIO(made(SHEETS, values, system)), data_only=True)
        self.plan = lay_out(SHEETS, system)

    def __getitem__(self, handle):
        at = self.plan.places[handle].cells
        rows = [
            [
                self.book[at.sheet].cell(row, column).value
                for column in range(at.column, at.column + at.columns)
            ]
            for row in range(at.row, at.row + at.rows)
        ]
        flat = [row[0] if at.columns == 1 else row for row in rows]
        return flat[0] if at.rows == 1 else flat

    def flat(self, handle):
        at = self.plan.places[handle].cells
        return [self.book[sheet].cell(row, column).value for sheet, row, column in at]

    def used(self, handle):
        at = self.plan.places[handle].cells
        return self.book[at.sheet].cell(at.row, 5).value

    @property
    def errors(self):
        return [
            (sheet.title, cell.coordinate, cell.value)
            for sheet in self.book
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "e"
        ]


@pytest.fixture(scope="module")
def us():
    return Computed(VALUES)


def test_no_cell_of_the_sample_is_an_error(us):
    assert us.errors == []


def test_lengths_are_read_as_typed(us):
    assert us["across_words"][0] == ["10'-0\"", "10'-0 1/4\"", "9'-11 3/4\""]
    assert us["across_words"][1][1] in ("", None)
    assert us.used("board_face") == "0'-5 1/8\""
    assert us.used("wall_gap") == 0.5


def test_rows_in_use_are_marked(us):
    assert us["ceilings_filled"] == [True, True, False]


def test_courses_and_edges_follow_the_readings(us):
    # usable 119, 119.25 and 118.75 in: 22 whole courses of 5 1/8 leave 6 1/4 at the middle for the two edges
    assert us["courses_here"][:2] == [24, 19]
    assert us["end_first"][:3] == [3.125] * 3
    assert us["end_last"][:3] == [3.125, 3.375, 2.875]
    assert us["widest"][:2] == [3.125, 5.125]
    assert us["edge_here"][0] == ["3 1/8"] * 3
    assert us["edge_last"][:3] == ["3 1/8", "3 3/8", "2 7/8"]
    assert us["first_words"] == "3 1/8"
    assert us["pole_mark"][:3] == [3.625, 8.75, 13.875]


def test_the_bid_adds_up(us):
    area = 120 * 171.375 / 144 + 96.25 * 240 / 144
    assert us["area_total"] == pytest.approx(area)
    cost = (24 + 19) * 14.5 + area * 0.065 * 62 + 85
    assert us["cost"] == pytest.approx(cost)
    assert us["price"] == pytest.approx(cost * 1.15)
    assert us["offer_more"][:2] == [pytest.approx(980 - cost * 1.15), pytest.approx(1500 - cost * 1.15)]
    assert us["share_boards"] == pytest.approx(43 * 14.5 / cost)
    assert us["state"] == "ok"


def test_a_blank_workbook_shows_blanks_and_what_is_missing():
    blank = Computed({})
    assert blank.errors == []
    assert blank["missing"] == 2
    assert blank["state"] == "draft: 2 entries are missing"
    assert blank.book["Start"]["A3"].value == "draft: 2 entries are missing"
    for handle in (
        "across_words",
        "courses_here",
        "end_first",
        "edge_here",
        "pole_mark",
        "offer_more",
        "first_words",
    ):
        assert set(blank.flat(handle)) <= {None, ""}, handle


def test_an_error_comes_through_to_the_sum():
    wrong = Computed({**VALUES, "across": [["10 feet or so"], [96]]})
    assert wrong["courses_here"][0] == "#VALUE!"
    assert wrong["end_first"][:3] == ["#VALUE!"] * 3
    assert wrong["boards_needed"] == wrong["cost"] == wrong["price"] == "#VALUE!"


def test_metric_reads_typed_lengths_in_either_system():
    metric = Computed(METRIC, "metric")
    assert metric.errors == []
    assert metric.used("board_face") == 130
    assert metric["area_total"] == pytest.approx(3.04849 * 4.352925 + 2.4445 * 6.1, rel=1e-4)
    assert metric["courses_here"][:2] == [24, 19]
