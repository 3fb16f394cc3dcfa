from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_files import MAIN, sheet_xml

from sheetcalc.cells.values import CellError
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.package import FileProblem
from sheetcalc.xlsx.sheet import Formula, Sheet

STRINGS = ["zero", "one"]


def sheet(cells: str, **around: str) -> Sheet:
    return read(sheet_xml(cells, **around))


def read(xml: str) -> Sheet:
    return Sheet("Job", "xl/sheets/1.xml", xml.encode(), STRINGS, False, "The sheet")


def cells_of(found: Sheet) -> str:
    """What stands between the sheetData tags."""
    return found.render().decode().partition("<sheetData")[2].partition("</sheetData>")[0].lstrip(">")


# --- Reading ---


def test_values():
    found = sheet(
        '<row r="2"><c r="A2"><v>1.5</v></c><c r="B2" t="s"><v>1</v></c><c r="C2" t="b"><v>1</v></c>'
        '<c r="D2" t="e"><v>#N/A</v></c><c r="E2" t="str"><f>A2</f><v>x</v></c>'
        '<c r="F2" t="inlineStr"><is><r><t>ta</t></r><r><t xml:space="preserve">pe </t></r>'
        '<rPh sb="0" eb="1"><t>phonetic</t></rPh></is></c><c r="G2" s="3"/></row>'
    )
    values = [found.value(2, column) for column in range(1, 9)]
    assert values == [1.5, "one", True, CellError.NA, "x", "tape ", None, None]
    assert found.style(2, 7) == 3
    assert found.places() == [(2, column) for column in range(1, 8)]


def test_cells_without_addresses_follow_one_another():
    found = sheet('<row><c><v>1</v></c><c r="C1"><v>2</v></c><c><v>3</v></c></row><row><c><v>4</v></c></row>')
    assert [found.value(*place) for place in [(1, 1), (1, 3), (1, 4), (2, 1)]] == [1, 2, 3, 4]
    found.put(1, 2, 9.0)
    assert '</c><c r="B1"><v>9</v></c><c r="C1">' in cells_of(found)


def test_prefixed_elements_comments_and_sections():
    found = read(
        f'<?xml version="1.0"?><x:worksheet {MAIN.replace("xmlns", "xmlns:x")}>'
        '<x:sheetData><!-- <x:c r="A1"> -->'
        '<x:row r="1"><x:c r="A1"><x:f><![CDATA[B1<2]]></x:f><x:v>1</x:v></x:c></x:row>'
        "</x:sheetData></x:worksheet>"
    )
    assert found.formulas == {(1, 1): Formula("B1<2")}
    found.show(1, 1, "no")
    found.put(3, 2, "new")
    text = found.render().decode()
    assert '<x:c r="A1" t="str"><x:f><![CDATA[B1<2]]></x:f><x:v>no</x:v></x:c>' in text
    assert (
        '<x:row r="3"><x:c r="B3" t="inlineStr"><x:is><x:t>new</x:t></x:is></x:c></x:row></x:sheetData>'
        in text
    )


def test_shared_formulas_are_written_out():
    found = sheet(
        '<row r="2"><c r="B2"><f t="shared" ref="B2:C3" si="0">A2*$D$1+SUM(A$1:A2)</f><v>0</v></c>'
        '<c r="C2"><f t="shared" si="0"/></c></row>'
        '<row r="3"><c r="B3"><f t="shared" si="0"></f></c><c r="C3"><f t="shared" si="7"/></c></row>'
    )
    assert found.formulas == {
        (2, 2): Formula("A2*$D$1+SUM(A$1:A2)"),
        (2, 3): Formula("B2*$D$1+SUM(B$1:B2)"),
        (3, 2): Formula("A3*$D$1+SUM(A$1:A3)"),
        (3, 3): Formula(""),  # of a group that nobody declared: it cannot be read
    }


def test_array_formulas_and_data_tables_know_their_cells():
    found = sheet(
        '<row r="1"><c r="B1"><f t="array" ref="B1:C2">F(A1)</f></c><c r="E1"><f t="array">G(1)</f></c></row>'
        '<row r="3"><c r="B3"><f t="dataTable" ref="B3:B4" dt2D="0" dtr="0" r1="A1"/><v>7</v></c></row>'
    )
    assert found.formulas[1, 2] == Formula("F(A1)", Area("Job", 1, 2, 2, 3))
    assert found.formulas[1, 5] == Formula("G(1)", Area("Job", 1, 5, 1, 5))
    assert (3, 2) not in found.formulas
    assert found.members[2, 3] == (1, 2)
    for place in [(1, 2), (2, 3), (3, 2), (4, 2)]:
        assert found.computed(*place)
        with pytest.raises(FileProblem, match="is a result, not an entry"):
            found.put(*place, 1.0)


@pytest.mark.parametrize(
    "xml",
    [
        "<worksheet><sheetData><row></sheetData></worksheet>",
        "<worksheet><sheetData/>",
        "<worksheet/>",
        '<worksheet><sheetData><row r="x"/></sheetData></worksheet>',
        '<worksheet><sheetData><row r="1"><c r="$1"/></row></sheetData></worksheet>',
        '<worksheet><sheetData><row r="1"><c s="big"/></row></sheetData></worksheet>',
        '<!DOCTYPE w [<!ENTITY a "4">]>' + sheet_xml("<row><c><v>&a;</v></c></row>"),
        sheet_xml('<row><c><f t="array" ref="A1:XFD1048576">1</f></c></row>'),
    ],
)
def test_damage(xml: str):
    with pytest.raises(FileProblem, match=r"^The sheet .*\.$"):
        read(xml)


@pytest.mark.parametrize("cell", ['<c t="s"><v>2</v></c>', "<c><v>one</v></c>", '<c t="d"><v>?</v></c>'])
def test_a_damaged_value_names_its_cell(cell: str):
    found = sheet(f"<row>{cell}</row>")
    with pytest.raises(FileProblem, match="The sheet holds no proper value in A1"):
        found.value(1, 1)


# --- Writing ---


@pytest.mark.parametrize(
    ("before", "value", "after"),
    [
        ('<c r="B2" s="4"><f>A1</f><v/></c>', 2.5, '<c r="B2" s="4"><f>A1</f><v>2.5</v></c>'),
        ("<c r='B2' s='4'><f>A1</f></c>", "a<b", "<c r='B2' s='4' t=\"str\"><f>A1</f><v>a&lt;b</v></c>"),
        (
            '<c r="B2" t="str" s="4"><f>A1</f><v>x</v></c>',
            True,
            '<c r="B2" s="4" t="b"><f>A1</f><v>1</v></c>',
        ),
        ('<c r="B2" t="e"><f ca="1">A1</f><v>#N/A</v></c>', 3.0, '<c r="B2"><f ca="1">A1</f><v>3</v></c>'),
        ('<c r="B2" vm="1" cm="1"><f>A1</f><v>3</v></c>', None, '<c r="B2" cm="1"><f>A1</f></c>'),
        (
            '<c r="B2"><f t="shared" si="0"/><v>1</v></c>',
            "",
            '<c r="B2" t="str"><f t="shared" si="0"/><v></v></c>',
        ),
        (
            '<c r="B2"><f>A1</f><v>1</v><extLst><ext uri="x"/></extLst></c>',
            2.0,
            '<c r="B2"><f>A1</f><v>2</v><extLst><ext uri="x"/></extLst></c>',
        ),
        ('<c r="B2"><f>A1</f ><v>1</v></c >', 2.0, '<c r="B2"><f>A1</f ><v>2</v></c>'),
    ],
)
def test_a_value_beside_its_formula(before: str, value: Any, after: str):
    found = sheet(f'<row r="2"><c r="A2"/>{before}<c r="C2"/></row>')
    found.show(2, 2, value)
    assert cells_of(found) == f'<row r="2"><c r="A2"/>{after}<c r="C2"/></row>'
    assert found.value(2, 2) == value


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ('<c r="B2"><f>A1</f><v>1.50</v></c>', 1.5),
        ('<c r="B2" t="s"><f>A1</f><v>1</v></c>', "one"),
        ('<c r="B2"/>', None),
        ('<c r="B2" t="b"><v>1</v></c>', True),
    ],
)
def test_a_value_that_stands_there_already_changes_no_byte(cell: str, value: Any):
    found = sheet(f'<row r="2">{cell}</row>')
    before = found.render()
    found.show(2, 2, "something else")
    found.show(2, 2, value)
    assert found.render() == before


def test_one_and_true_are_not_the_same():
    found = sheet('<row r="2"><c r="B2"><v>1</v></c></row>')
    found.put(2, 2, True)
    assert '<c r="B2" t="b"><v>1</v></c>' in cells_of(found)


def test_an_entry_is_text_even_if_it_begins_like_a_formula():
    found = sheet('<row r="2"><c r="B2" s="4" t="s"><v>1</v></c></row>')
    found.put(2, 2, "=HYPERLINK(1)")
    assert cells_of(found) == (
        '<row r="2"><c r="B2" s="4" t="inlineStr"><is><t>=HYPERLINK(1)</t></is></c></row>'
    )


def test_an_emptied_entry_keeps_its_look():
    found = sheet('<row r="2"><c r="B2" s="4" t="s"><v>1</v></c></row>')
    found.put(2, 2, None)
    assert cells_of(found) == '<row r="2"><c r="B2" s="4"/></row>'


def test_absent_cells_and_rows_come_in_their_order():
    found = sheet(
        '<row r="2" spans="2:4" ht="20"><c r="B2"/><c r="D2"/></row><row r="5" spans="1:1"/>',
        before='<dimension ref="B2:D5"/>',
    )
    for row, column in [(5, 2), (2, 5), (2, 3), (9, 1), (1, 1), (3, 2), (3, 1), (2, 1), (5, 1)]:
        found.put(row, column, row + column / 10)
    found.put(7, 7, None)  # nothing there, and nothing to be there
    assert found.render().decode() == sheet_xml(
        '<row r="1"><c r="A1"><v>1.1</v></c></row>'
        '<row r="2" ht="20"><c r="A2"><v>2.1</v></c><c r="B2"/><c r="C2"><v>2.3</v></c><c r="D2"/>'
        '<c r="E2"><v>2.5</v></c></row>'
        '<row r="3"><c r="A3"><v>3.1</v></c><c r="B3"><v>3.2</v></c></row>'
        '<row r="5"><c r="A5"><v>5.1</v></c><c r="B5"><v>5.2</v></c></row>'
        '<row r="9"><c r="A9"><v>9.1</v></c></row>',
        before='<dimension ref="A1:E9"/>',
    )


@pytest.mark.parametrize("empty", ["<sheetData/>", "<sheetData></sheetData>"])
def test_a_sheet_without_cells(empty: str):
    found = read(f"<worksheet>{empty}<pageMargins/></worksheet>")
    found.put(2, 3, "x")
    inside = '<row r="2"><c r="C2" t="inlineStr"><is><t>x</t></is></c></row>'
    assert found.render().decode() == f"<worksheet><sheetData>{inside}</sheetData><pageMargins/></worksheet>"


def test_an_absent_cell_looks_like_its_row_or_column():
    found = sheet(
        '<row r="2" s="7" customFormat="1"/>', before='<cols><col min="2" max="3" style="5"/></cols>'
    )
    found.put(2, 2, 1.0)
    found.put(3, 3, 1.0)
    found.put(3, 4, 1.0)
    assert [found.style(*place) for place in [(2, 2), (3, 3), (3, 4)]] == [7, 5, 0]
    assert '<c r="B2" s="7">' in cells_of(found)
    assert '<c r="C3" s="5"><v>1</v></c><c r="D4"' not in cells_of(found)
    assert '<c r="C3" s="5"><v>1</v></c><c r="D3"><v>1</v></c>' in cells_of(found)


def test_text_beyond_ascii_counts_in_bytes():
    found = sheet(
        '<row r="1"><c r="A1" t="str"><f>"½ Fuß"</f><v>½ Fuß</v></c><c r="B1"><f>1</f><v>1</v></c></row>'
    )
    found.show(1, 2, 2.0)
    assert '"½ Fuß"</f><v>½ Fuß</v></c><c r="B1"><f>1</f><v>2</v></c>' in cells_of(found)


def test_a_byte_order_mark_counts_too():
    found = read("\ufeff" + sheet_xml('<row r="1"><c r="A1"><f>1</f><v>1</v></c></row>'))
    found.show(1, 1, 2.0)
    assert found.render().decode() == "\ufeff" + sheet_xml('<row r="1"><c r="A1"><f>1</f><v>2</v></c></row>')


VALUES = (
    st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans()
    | st.sampled_from([*CellError])
    | st.text(max_size=8)
    | st.sampled_from(["_x0041_", " a ", "\r\n", "=1", "]]>"])
)
PLACES = st.tuples(st.integers(1, 6), st.integers(1, 6))


@given(start=st.dictionaries(PLACES, VALUES), entered=st.dictionaries(PLACES, VALUES | st.none()))
def test_whatever_is_put_reads_back_and_the_rest_stays(start: dict[Any, Any], entered: dict[Any, Any]):
    first = read("<worksheet><sheetData/></worksheet>")
    for place, value in start.items():
        first.put(*place, value)
    second = read(first.render().decode())
    for place, value in entered.items():
        second.put(*place, value)
    third = read(second.render().decode())
    expected = {**start, **entered}
    assert {place: third.value(*place) for place in expected} == expected
    rows = [int(row.attrib["r"]) for row in ElementTree.fromstring(third.render()).iter("row")]
    assert rows == sorted(rows)
    for row in ElementTree.fromstring(third.render()).iter("row"):
        columns = [cell.attrib["r"] for cell in row]
        assert columns == sorted(columns)
