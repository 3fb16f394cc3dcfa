from sheetcalc.workbooks.declare import Item, Sheet, Table, Text
from sheetcalc.workbooks.paper import breaks
from sheetcalc.workbooks.place import lay_out


def page(*rows, columns=6, **more):
    blocks = tuple(
        Table(handle=f"t_{number}", title="", rows=count, columns=(Item(handle=f"h_{number}", label="Name"),))
        for number, count in enumerate(rows)
    )
    return lay_out([Sheet(title="Only", holds="", blocks=blocks, head=False, columns=columns, **more)]).pages[
        0
    ]


def test_what_fits_on_one_page_is_not_broken():
    assert breaks(page(10, 10)) == []


def test_a_block_that_does_not_fit_begins_a_page():
    # 11 in less margins of 0.6 and 0.75 in is 695 points, of which 653 are taken: 43 rows of 15
    assert breaks(page(30, 4)) == []
    assert breaks(page(30, 15)) == [33]
    assert breaks(page(30, 15, 30)) == [33, 51]


def test_a_block_longer_than_a_page_is_broken_by_the_program():
    assert breaks(page(100)) == []
    assert breaks(page(5, 100)) == []
    assert breaks(page(38, 100)) == [41]


def test_paper_across_holds_fewer_rows_and_a_wide_sheet_more():
    assert breaks(page(15, 15)) == []
    assert breaks(page(15, 15, landscape=True)) == [18]
    assert breaks(page(15, 15, landscape=True, columns=16)) == []


def test_a_sheet_of_words_has_no_breaks():
    sheets = [Sheet(title="Only", holds="", blocks=(Text(("One.", "Two.")),))]
    assert breaks(lay_out(sheets).pages[0]) == []
