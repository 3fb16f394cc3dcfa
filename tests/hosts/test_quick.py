"""Each operation that is computed without the engine, against the engine."""

from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_files import small_book

from sheetcalc.cells.values import Cell
from sheetcalc.hosts.formulas import Spot
from sheetcalc.hosts.headless import Headless
from sheetcalc.hosts.quick import NotQuick

# A1:C4 are entries; D1 and D2 are errors, or numbers.
FORMULAS = """
    A1+B1*C1-A2/B2 -A1^2 2^C1% +A1 A1&B1&"x" A1=B1 A1<>B1 A1<B1 A1>=B1 A1<=B1 A1>B1 A1="" A1<>""
    A1="gap" A1=1 (A1+1)=(B1+1) 2=(A1+0) D1+1 D1&"x" D1="" D1=1 IF(A1,B1,C1) IF(A1>B1,B1) IF(D1=1,1,2)
    IF(A1="",D1,B1) AND(A1=1,B1=1) OR(A1=1,B1<2) AND(A1,B1=1) OR(A1,B1=1,D1=1) NOT(A1=1) NOT(A1) N(A1)
    N(D1) N(A1=1) ISERROR(D1) ISERROR(A1/B1) ISNA(D2) ISNA(A1+B1) ISNUMBER(A1) ISNUMBER(A1/B1)
    ISTEXT(A1) ISTEXT(A1&"") ISBLANK(A1) IFERROR(D1,B1) IFERROR(A1/B1,C1) IFERROR(A1,B1)
    CHOOSE(A1,B1,C1,D1) CHOOSE(2,SUM(A1:A4),SUM(B1:B4)) SUM(CHOOSE(A1,A1:A4,B1:B4)) INT(A1/2) ABS(A1)
    MOD(A1,2) MOD(A1,B1) PI()*2 TRUE FALSE() NA() 1/0 A1/B1 SUM(A1:C4) SUM(A1,B2,C3) SUM(A1+0,B1:B4,2)
    SUM(D1:D2,A1) PRODUCT(A1:A4,B1) MIN(A1:C4) MAX(A1:C4,3) MIN(D1,A1) AVERAGE(A1:A4) AVERAGE(A1:B1)
    MEDIAN(A1:A3) MEDIAN(0,A1+0,5) SMALL(A1:C4,2) SMALL(A1:C4,A1) COUNT(A1:C4) COUNT(A1) COUNTA(A1:D4)
    COUNTBLANK(A1:D4) COUNTBLANK(A1:A4)=ROWS(A1:A4) COLUMNS(A1:C1) ROWS(A1) SUMPRODUCT(A1:A4,B1:B4)
    SUMPRODUCT(A1:D1,A2:D2) INDEX(A1:C4,A1,B1) INDEX(A1:A4,A1) INDEX(A1:C1,B1) INDEX(A1:C4,2,3)
    SUM(INDEX(A1:C4,0,2)) SUM(INDEX(A1:C4,A1,0)) MATCH(A1,B1:B4,0) MATCH(A1,A2:C2,0)
    MATCH("gap",A1:A4,0) MATCH(B1+0,A1:A4,0) COUNTIF(A1:C4,A1) COUNTIF(A1:C4,">1") COUNTIF(A1:C4,"<"&B1)
    COUNTIF(A1:C4,"<=2") COUNTIF(A1:C4,"gap") COUNTIF(A1:C4,"g*") COUNTIF(A1:C4,"?*") COUNTIF(A1:C4,"")
    COUNTIF(A1:C4,"<>") COUNTIF(A1,2) COUNTIF(A1:C4,"=1") COUNTIF(A1:C4,"1x*")
    COUNTIFS(A1:A4,A1,B1:B4,B1) COUNTIFS(A1:A4,">0",B1:B4,"") SUMIFS(A1:A4,B1:B4,B1)
    SUMIFS(D1:D4,B1:B4,B1) SUMIFS(A1:A4,B1:B4,">0",C1:C4,"gap") ROUND(A1,B1) ROUND(A1*1.005,2) LEN(A1)
    ROUNDUP(A1/7,2) TRIM(A1) LEFT(A1,2) EXACT(A1,B1) SUBSTITUTE(A1&"","g","h") TEXT(A1,"0.00") CHAR(64+B1)
    MID("timber",2,3) COURSE_COUNT(A1,B1,C1) COURSE_COUNT(A1+100,B1/2,0) INCH_FRACTION(A1)
    FEET_INCHES(IF(A1="",D1,B1)) IF(COUNTBLANK(A1:C1)=COLUMNS(A1:C1),"",SUM(A1:C1)) "a""b" (((A1)))
    IF(A1=B1,IF(C1="","blank",C1&"!"),INDEX(A1:C4,2,2))
    MIN(5,IF(A1=1,B1,C1)) MAX(-5,INDEX(A1:A4,B1)) AVERAGE(5,IF(B1=1,A1,C1)) PRODUCT(5,CHOOSE(1,A1,B1))
    SUM(IF(A1=B1,A2,B1)) SUM(A1>1,2) SUM(IFERROR(A1,B1)) IFERROR(A1*10*B1,7) ISERROR(A1*B1*C1)
    A1*B1>5 MIN(A1*B1,3) SUM(A1:A4)>5 ISNUMBER(IF(A1=1,B1)) MATCH(A1,B1:C3,0)
    COUNTIF(A1:A2,5) COUNTIF(A1:C4,"5") COUNTIF(A1:C4,B1&"") A1<"ab" "["<A1
""".split()  # noqa: SIM905
ARRAYS = """
    IF(A1:A4=1,B1:B4,"") IF(INDEX(A1:C4,0,1)="","",A1:C4) IF(A1="","",INDEX(A1:C4,0,2)) A1:A4
    IF(A1=1,A1:A4,"no") IF(D1:D4>0,A1:A4,C1:C4) LAYOUT_TABLE(A1,B1,C1) SUM(IFERROR(A1:A3,0))
    IFERROR(INDEX(D1:D4,0),7) IFERROR(IF(B1:B3>1,1/0,2),3) SUM(IF(ISERROR(INDEX(D1:D4,0)),1,0))
""".split()  # noqa: SIM905
values = st.one_of(
    st.none(),
    st.sampled_from(
        ["", "gap", "GAP", "g", "gape", "1x6", " two  boards ", "A*", "é", "É", "5", " 5", "5%", "a_b", "["]
    ),
    st.sampled_from(
        [0.0, 1.0, 2.0, 3.0, -1.0, 0.5, 2.5, 120.0, 5.0, 5.125, 0.1, 1 / 3, 1e9, 1e308, True, False]
    ),
    st.floats(-1e6, 1e6),
)


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Headless, dict[str, Spot]]:
    """Every formula in a row of its own; those of arrays fill four rows and three columns."""
    cells = [
        "".join(f'<row r="{row}"><c r="D{row}"><f>{formula}</f></c></row>')
        for row, formula in enumerate(["1/A1", "IF(B1=1,NA(),B1)", "A3", "5"], start=1)
    ]
    spots: dict[str, Spot] = {}
    row = 10
    for formula in FORMULAS:
        cells.append(f'<row r="{row}"><c r="F{row}"><f>{escape(formula)}</f></c></row>')
        spots[formula] = "Job", (row, 6)
        row += 1
    for formula in ARRAYS:
        array = f'<f t="array" ref="F{row}:H{row + 3}">{escape(formula)}</f>'
        cells.append(f'<row r="{row}"><c r="F{row}">{array}</c></row>')
        spots |= {
            f"{formula} {at},{down}": ("Job", (row + down, 6 + at)) for at in range(3) for down in range(4)
        }
        row += 5
    folder = tmp_path_factory.mktemp("quick")
    return Headless(small_book(folder, "".join(cells)), at_once=False), spots


answered: set[str] = set()


@settings(max_examples=60, deadline=None)
@example(block=[2.0, 1.0, 3.0] * 4)
@given(block=st.lists(values, min_size=12, max_size=12))
def test_operations(sheet: tuple[Headless, dict[str, Spot]], block: list[Cell]):
    host, spots = sheet
    for at, value in enumerate(block):
        host.set("Job", f"{'ABC'[at % 3]}{at // 3 + 1}", value)
    host.recalculate()
    for formula, spot in spots.items():
        whole = host._engine.value(spot)  # pyright: ignore[reportPrivateUsage]
        try:
            (found,) = host._quick.values([spot])  # pyright: ignore[reportPrivateUsage]
        except NotQuick:
            continue
        answered.add(formula)
        assert (type(found), found) == (type(whole), whole), formula


def test_all_of_them_were_answered():
    """Giving up is always right, so it must not happen always."""
    assert [formula for formula in FORMULAS if formula not in answered] == []


@pytest.mark.parametrize(
    "formula",
    [
        "VLOOKUP(A1,A1:C4,2,0)",
        "A1:A2",
        "SUM(A:A)",
        "F10",
        "gap",
        "SUM((A1:A2,B1))",
        "AND(A1,B1)",
        "INDIRECT(A1)",
        "SUMPRODUCT(A1:A3,B1:B4)",
        "COUNTIFS(A1:A3,1,B1:B4,1)",
        "SUMPRODUCT(A1:A3,A1:C1)",
        "SUMIFS(A1:A3,A1:C1,1)",
        "SUM(IFERROR(A1:A3,0))",
        "COUNTIF(A1:C4,CHAR(32)&amp;5)",
        "1E60*A1",
        "INDEX(A1:C4,1,1,1)",
        "=".join(["1"] * 300),
    ],
)
def test_what_is_not_known_is_left_to_the_engine(tmp_path: Path, formula: str):
    book = small_book(tmp_path, f'<row r="10"><c r="F10"><f>{formula}</f></c></row>')
    host = Headless(book, at_once=False)
    with pytest.raises(NotQuick):
        host._quick.values([("Job", (10, 6))])  # pyright: ignore[reportPrivateUsage]
    assert host.answers([("Job", "F10")]) == [host.get("Job", "F10")]


def test_only_what_changes_is_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    rows = (
        '<row r="1"><c r="B1"><f>A1&gt;10</f></c><c r="C1"><f>COURSE_COUNT(IF(B1,120,60),5,0)</f></c></row>'
    )
    host = Headless(small_book(tmp_path, rows), at_once=False)
    asked: list[Any] = []
    plain = host._calls.answer  # pyright: ignore[reportPrivateUsage]
    host.set("Job", "A1", 1)
    assert host.answers([("Job", "C1")]) == [12]
    ours = host._quick._compiler._globals  # pyright: ignore[reportPrivateUsage]
    monkeypatch.setitem(
        ours,
        "our_COURSE_COUNT",
        lambda *given: asked.append(given) or plain(host._calls.functions["COURSE_COUNT"], *given),  # pyright: ignore
    )
    for typed, courses in [(2, 12), (9, 12), (11, 24), (12, 24)]:
        host.set("Job", "A1", typed)
        assert host.answers([("Job", "C1")]) == [courses]
    assert len(asked) == 1


def test_what_stops_half_way_is_computed_anew(tmp_path: Path):
    rows = (
        '<row r="1"><c r="B1"><f>A1*2</f></c><c r="C1"><f>B1+A1</f></c><c r="D1"><f>C1&amp;"!"</f></c></row>'
    )
    host = Headless(small_book(tmp_path, rows), at_once=False)
    cells = [("Job", "B1"), ("Job", "D1")]
    host.set("Job", "A1", 2)
    assert host.answers(cells) == [4, "6!"]
    host.set("Job", "A1", "3 ft")  # which only the engine tries to read
    assert host.answers(cells) == [host.get("Job", "B1"), host.get("Job", "D1")]
    host.set("Job", "A1", 3)
    assert host._quick.values([("Job", (1, 2)), ("Job", (1, 4))]) == [6, "9!"]  # pyright: ignore[reportPrivateUsage]


@pytest.mark.parametrize(
    "text",
    ["8'' long", "''", "''+x", "a''b", "", "'", "\\", "{V}", "{{0}}", "\\n", "#N/A", "A1", "V[0]", "\x7f"],
)
def test_a_text_in_a_formula_stays_what_it_is(tmp_path: Path, text: str):
    asked = f'<c r="C1"><f>B1="{escape(text)}"</f></c>'
    rows = f'<row r="1"><c r="B1"><f>"{escape(text)}"&amp;A1</f></c>{asked}</row>'
    host = Headless(small_book(tmp_path, rows), at_once=False)
    found = host._quick.values([("Job", (1, 2)), ("Job", (1, 3))])  # pyright: ignore[reportPrivateUsage]
    assert found == [text, True]


def test_dates_from_1904_are_left_to_the_engine(tmp_path: Path):
    row = '<row r="1"><c r="A1"><v>40000</v></c><c r="B1"><f>TEXT(A1,"yyyy-mm-dd")</f></c></row>'
    book = small_book(tmp_path, row, before_sheets='<workbookPr date1904="1"/>')
    assert Headless(book, at_once=False).answers([("Job", "B1")]) == ["2013-07-07"]
