"""The example of a bid form: every name of it is one of the takeoff, and filling it leaves nothing over."""

from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.form import BID, ORDER, form
from sheetcalc.workbooks.compute import opened
from sheetcalc.workbooks.fill import Filled, fill
from sheetcalc.workbooks.place import lay_out

OURS = {"cost", "margin", "markup", "profit", "labor", "material", "yard_price", "yard_cost", "order_cost"}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    (tmp_path / "form.xlsx").write_bytes(form())
    return tmp_path / "form.xlsx"


def check(filled: Filled) -> None:
    assert filled.problems == filled.told == []
    written = openpyxl.load_workbook(filled.file, data_only=True)
    price = filled.report.value("price")
    options = sum(row[0] for row in filled.report.value("option_price") if isinstance(row[0], float))
    assert options > 100
    cells = {name: where for name, where, _ in filled.taken}
    assert written[BID][cells["price"].partition("!")[2]].value == price
    totals = [row for row in written[BID].iter_rows(values_only=True) if "With all options" in row]
    assert totals[0][6] == pytest.approx(price + options)
    pieces = [row for row in written[ORDER].iter_rows(values_only=True) if "in all" in row]
    assert pieces[0][0] == filled.report.value("boards_total")


def test_it_is_filled_from_the_demo_job(file: Path, demo_file: Path, tmp_path: Path):
    check(fill(file, opened(demo_file), tmp_path / "bid.xlsx"))


def test_nothing_in_it_is_of_one_unit_system(file: Path, metric_file: Path, tmp_path: Path):
    check(fill(file, opened(metric_file), tmp_path / "bid.xlsx"))
    rows = [row for sheet in openpyxl.load_workbook(file) for row in sheet.iter_rows(values_only=True)]
    words = " ".join(str(cell) for row in rows for cell in row)
    assert not any(unit in words for unit in ("ft²", "m²", " mm ", "gallon"))


def test_its_names_are_of_the_takeoff_and_none_tells_our_costs(file: Path):
    names = set(openpyxl.load_workbook(file).defined_names)
    assert names <= set(lay_out(sheets()).places)
    assert {"owner", "place", "bid_date", "price", "left_out_line", "payment_amount", "yard_pieces"} <= names
    assert names.isdisjoint(OURS)


def test_it_is_the_same_every_time_and_prints_on_one_page_each():
    assert form() == form()
    for sheet in openpyxl.load_workbook(BytesIO(form())):
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)
