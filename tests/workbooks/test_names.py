"""What the names of a workbook hold, as its file alone tells."""

import pytest
from small_files import small_book

from sheetcalc.workbooks.names import names
from sheetcalc.xlsx.workbook import Workbook


@pytest.fixture(scope="module")
def demo(demo_file):
    return {one.handle: one for one in names(Workbook(demo_file))}


def test_a_line_has_the_words_beside_it_and_its_unit(demo):
    one = demo["price_per_area"]
    assert (one.label, one.unit, one.rows) == ("Price per area", "per ft²", ())
    assert float(one.value) > 10
    assert demo["bid_date"].value == "2027-04-14"


def test_a_column_has_its_head_its_unit_and_its_rows_in_use(demo):
    one = demo["first_framing"]
    assert one.label == "First framing, left wall to its centre"
    assert one.unit == "in"
    assert one.value == "3 of 12 rows: , , 10 1/2"
    assert demo["fixture"].value == "7 of 24 rows: Light 1, Light 2, Fan box, …"


def test_several_columns_have_what_their_heads_share(demo):
    one = demo["across"]
    assert (one.label, one.unit) == ("Across", "in")
    assert one.value.startswith("3 of 12 rows: 8' 8-1/4\" | 8' 8-1/2\" | 8' 8-3/4\", ")


def test_entries_results_and_tables_are_told_apart(demo):
    kinds = {handle: demo[handle].is_a for handle in ("profit", "gap", "across_read", "price", "ceilings")}
    assert list(kinds.values()) == ["entry", "entry", "result", "result", "table"]
    assert demo["answers"].is_a == "table"
    assert demo["stock_usual"].is_a == "result"  # fixed figures


def test_a_whole_table_has_its_title(demo):
    one = demo["options"]
    assert one.label == "For the bid: options, not in the price"
    assert one.value == "1 of 6 rows, 3 cells each"


def test_names_of_single_rows_stand_with_their_column(demo):
    assert demo["payment_amount"].rows == ("payment_one", "payment_two", "payment_three")
    assert "payment_amount.payment_one" not in demo


def test_they_come_in_the_order_of_the_sheets_and_can_be_looked_for(demo_file):
    book = Workbook(demo_file)
    titles = [one.cells.sheet for one in names(book)]
    assert titles == sorted(titles, key=list(book.sheets).index)
    found = {one.handle for one in names(book, "PRIMER")}
    assert {"primer_exact", "start_primer"} <= found
    assert "price" not in found
    assert names(book, "no such thing") == []


def test_somebodys_own_workbook(tmp_path):
    cells = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Height</t></is></c><c r="C1"><v>8</v></c>'
        '<c r="D1" t="inlineStr"><is><t>ft</t></is></c></row>'
        '<row r="3"><c r="B3" t="inlineStr"><is><t>Days</t></is></c></row>'
        '<row r="4"><c r="B4"><v>1</v></c></row><row r="6"><c r="B6"><v>3</v></c></row>'
    )
    known = {"Tall": "Job!$C$1", "days_each": "Job!$B$4:$B$7", "_own": "Job!$A$1", "gone": "#REF!"}
    defined = "".join(f'<definedName name="{name}">{means}</definedName>' for name, means in known.items())
    found = {one.handle: one for one in names(small_book(tmp_path, cells, names=defined))}
    assert (found["Tall"].label, found["Tall"].value, found["Tall"].unit) == ("Height", "8", "ft")
    assert (found["days_each"].label, found["days_each"].value) == ("Days", "3 of 4 rows: 1, , 3")
    assert "gone" not in found
