import pytest

from sheetcalc.cells.values import CellError
from sheetcalc.xlsx.charts import CHART, refreshed

VALUES = {
    "Wood!B2:B5": [1.5, 3.0, None, CellError.NA],
    "'Fir & oak'!A1:A2": ["pine <1>", 7.0],
}


def values(area):
    return VALUES.get(str(area))


@pytest.mark.parametrize("prefix", ["", "c:"])
def test_a_copy_is_put_where_there_is_none_and_renewed_where_there_is(prefix):
    def written(copy):
        text = f"<numRef><f>Wood!$B$2:$B$5</f>{copy}<extLst/></numRef>"
        return text.replace("</", f"</{prefix}").replace("<", f"<{prefix}").replace(f"<{prefix}/", "</")

    fresh = (
        '<ptCount val="4"/><pt idx="0"><v>1.5</v></pt><pt idx="1"><v>3</v></pt><pt idx="3"><v>#N/A</v></pt>'
    )
    assert refreshed(written("").encode(), values).decode() == written(f"<numCache>{fresh}</numCache>")
    old = "<numCache><formatCode>0.0</formatCode><ptCount val='1'/><pt idx='0'><v>9</v></pt></numCache>"
    new = f"<numCache><formatCode>0.0</formatCode>{fresh}</numCache>"
    assert refreshed(written(old).encode(), values).decode() == written(new)


def test_names_are_copied_as_words():
    data = b"<c:strRef><c:f>'Fir &amp; oak'!$A$1:$A$2</c:f></c:strRef>"
    assert refreshed(data, values) == (
        b"<c:strRef><c:f>'Fir &amp; oak'!$A$1:$A$2</c:f><c:strCache><c:ptCount val=\"2\"/>"
        b'<c:pt idx="0"><c:v>pine &lt;1&gt;</c:v></c:pt><c:pt idx="1"><c:v>7</c:v></c:pt></c:strCache>'
        b"</c:strRef>"
    )


@pytest.mark.parametrize("cells", ["Wood!$Z$1:$Z$9", "(Wood!$A$1,Wood!$A$3)", "named_range", "#REF!"])
def test_what_cannot_be_read_stays(cells):
    data = f"<numRef><f>{cells}</f><numCache><ptCount val='0'/></numCache></numRef>".encode()
    assert refreshed(data, values) == data


def test_a_copy_in_another_encoding_stays():
    foreign = "<numRef><f>Höhe!$A$1</f><numCache/></numRef>".encode("latin-1")
    found = refreshed(foreign + b"<numRef><f>Wood!$B$2:$B$5</f></numRef>", values)
    assert found.startswith(foreign)
    assert b"<v>1.5</v>" in found


def test_words_have_no_place_among_numbers():
    data = b"<numRef><f>'Fir &amp; oak'!$A$1:$A$2</f></numRef>"
    assert b'<pt idx="0">' not in refreshed(data, values)


def test_parts_that_are_charts():
    assert CHART.search("xl/charts/chart12.xml")
    assert not CHART.search("xl/charts/style1.xml")
    assert not CHART.search("xl/charts/_rels/chart1.xml.rels")
