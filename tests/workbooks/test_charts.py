import re
import zipfile
from dataclasses import replace
from io import BytesIO

import pytest

from sheetcalc.kinds import MONEY, NUMBER
from sheetcalc.workbooks.build import build
from sheetcalc.workbooks.declare import Chart, Item, Row, Series, Sheet, Table
from sheetcalc.workbooks.lint import lint

TREES = Table(
    handle="trees",
    title="Trees",
    rows=(Row("fir", "Fir"), Row("pine", "Pine"), Row("oak", "Oak")),
    columns=(
        Item(handle="tree_price", label="Price", kind=MONEY),
        Item(handle="tree_cost", label="Cost", kind=MONEY),
    ),
)
POINTS = Table(
    handle="points",
    title="Points",
    rows=5,
    columns=(
        Item(handle="point_across", label="Across", kind=NUMBER),
        Item(handle="point_up", label="Up", kind=NUMBER),
    ),
)
COLUMNS = Chart(
    title="Price & cost",
    words='Price and cost of "three" trees',
    series=(Series(label="Price", values="{tree_price[]}"), Series(label="Cost", values="{tree_cost[]}")),
    names="{trees_filled[]}",
    unit="money",
)
BARS = replace(COLUMNS, title="Price", words="Price alone", kind="bar", series=COLUMNS.series[:1])
DRAWING = Chart(
    title="A square",
    words="To scale",
    kind="scatter",
    frame=0.5,
    wide=6,
    high=4,
    series=(
        Series(label="Walls", values="{point_up[]}", across="{point_across[]}", line="bold"),
        Series(label="Turned", values="{point_across[]}", across="{point_up[]}", line="dash"),
    ),
)


def sheets(*blocks):
    return (Sheet(title="Wood", holds="Trees.", blocks=(TREES, POINTS, *blocks), landscape=True),)


@pytest.fixture(scope="module")
def parts():
    file = build(sheets(COLUMNS, BARS, DRAWING), {})
    assert file == build(sheets(COLUMNS, BARS, DRAWING), {})
    with zipfile.ZipFile(BytesIO(file)) as archive:
        return {name: archive.read(name).decode() for name in archive.namelist() if name.endswith(".xml")}


def test_every_chart_says_in_words_what_it_shows(parts):
    said = re.findall(r'name="([^"]*)" descr=("[^"]*"|\'[^\']*\')', parts["xl/drawings/drawing1.xml"])
    assert said == [
        ("Price &amp; cost", "'Price and cost of \"three\" trees'"),
        ("Price", '"Price alone"'),
        ("A square", '"To scale"'),
    ]


def test_charts_read_the_cells_of_the_handles(parts):
    columns = re.findall(r"<(?:c:)?f>(.*?)</(?:c:)?f>", parts["xl/charts/chart1.xml"])
    assert columns == ["Wood!$A$6:$A$8", "Wood!$B$6:$B$8", "Wood!$A$6:$A$8", "Wood!$C$6:$C$8"]
    drawing = re.findall(r"<(?:c:)?f>(.*?)</(?:c:)?f>", parts["xl/charts/chart3.xml"])
    assert drawing == ["Wood!$B$12:$B$16", "Wood!$C$12:$C$16", "Wood!$C$12:$C$16", "Wood!$B$12:$B$16"]


def test_series_differ_by_more_than_colour(parts):
    assert parts["xl/charts/chart1.xml"].count('prst="wdUpDiag"') == 1
    assert parts["xl/charts/chart3.xml"].count('prstDash val="dash"') == 1


def test_a_legend_stands_where_there_is_more_than_one_series(parts):
    assert ["<legend>" in parts[f"xl/charts/chart{n}.xml"] for n in (1, 2, 3)] == [True, False, True]


def test_no_chart_is_given_a_title_of_its_own(parts):
    assert all('autoTitleDeleted val="1"' in parts[f"xl/charts/chart{n}.xml"] for n in (1, 2, 3))


def test_the_first_bar_is_on_top(parts):
    assert 'barDir val="bar"' in parts["xl/charts/chart2.xml"]
    assert 'orientation val="maxMin"' in parts["xl/charts/chart2.xml"]


def test_a_drawing_is_to_scale(parts):
    chart = parts["xl/charts/chart3.xml"]
    share = {side: float(re.search(f'<{side} val="(.*?)"', chart)[1]) for side in "xywh"}
    assert share["w"] * DRAWING.wide * DRAWING.frame == pytest.approx(share["h"] * DRAWING.high, abs=1e-4)
    assert share["x"] * 2 + share["w"] == pytest.approx(1, abs=1e-5)
    assert 0.8 < share["y"] + share["h"] + 0.4 / DRAWING.high < 1
    assert re.findall('<max val="(.*?)"', chart) == ["1", "0.5"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"names": "{nowhere[]}"}, "leads nowhere"),
        ({"names": "{trees[]}"}, "one column or row"),
        ({"names": "{tree_price[]}+{tree_cost[]}"}, "one column or row"),
        ({"wide": 30}, "wider than"),
    ],
)
def test_a_chart_that_contradicts_itself_is_refused(change, says):
    wrong = sheets(replace(COLUMNS, **change))
    with pytest.raises(ValueError, match=says):
        build(wrong, {})
    assert any(says in finding for finding in lint(wrong))


def test_a_sound_chart_is_sound():
    assert lint(sheets(COLUMNS, BARS, DRAWING)) == []
