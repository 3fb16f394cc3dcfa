import pytest

from sheetcalc.kinds import COUNT, LENGTH
from sheetcalc.workbooks.declare import Item
from sheetcalc.workbooks.refs import Cells, Here, Place, formula, quoted

ONE = Item(handle="one", label="One", kind=LENGTH)
THREE = Item(handle="three", label="Three", kind=LENGTH, cells=3)
ROWS = {"table": 1}
NAMED = {"primer": (0, 1), "caulk": (1, 1)}
PLACES = {
    "one": Place(Cells("Start", 7, 2), ONE),
    "gap": Place(
        Cells("Start", 8, 2), ONE, used=Cells("Start", 8, 5), given=Cells("Start", 8, 4), never_blank=True
    ),
    "three": Place(Cells("Measure", 5, 2, 1, 3), THREE),
    "column": Place(Cells("Measure", 11, 2, 4, 1), ONE, lineage=ROWS, named=NAMED),
    "wide": Place(Cells("Measure", 11, 3, 4, 3), THREE, lineage=ROWS),
    "marks": Place(Cells("Measure", 11, 7, 4, 1), ONE, lineage=ROWS, never_blank=True),
    "stack": Place(Cells("Working", 21, 2, 8, 1), ONE, lineage={"stack": 1, "table": 2}),
    "table": Place(Cells("Measure", 11, 1, 4, 7), lineage=ROWS),
}
START = Here("Start")
IN_ROW = Here("Measure", {"table": 3}, n=3, j=1)
IN_PLACE = Here("Measure", {"table": 3}, n=3, j=2, cells=3)
IN_STACK = Here("Working", {"stack": 5, "table": 3}, n=5, j=1)


def written(template, here=START, system="us"):
    return formula(template, here, PLACES, system).body


def guarded(template, here=START):
    return formula(template, here, PLACES, "us").text()


@pytest.mark.parametrize(
    ("template", "here", "expected"),
    [
        ("={one}", Here("Start"), "$B$7"),
        ("={one}", Here("Bid"), "Start!$B$7"),
        ("={gap}", Here("Start"), "$E$8"),
        ("={gap?}", Here("Start"), "$E$8"),
        ("={gap!}", Here("Start"), "$B$8"),
        ("={gap@}", Here("Start"), "$D$8"),
        ("={three}", Here("Start"), "Measure!$B$5:$D$5"),
        ("={three.3}", Here("Start"), "Measure!$D$5"),
        ("={three}", Here("Measure", j=2, cells=3), "C$5"),
        ("={three:}", Here("Measure", j=2, cells=3), "$B$5:$D$5"),
        ("={three[]}", Here("Measure", j=2, cells=3), "$B$5:$D$5"),
        ("={column}", IN_ROW, "$B13"),
        ("={column}", Here("Layout", {"table": 3}), "Measure!$B13"),
        ("={column[]}", Here("Layout"), "Measure!$B$11:$B$14"),
        ("={column.caulk}", Here("Layout"), "Measure!$B$12"),
        ("={column.4}", Here("Layout"), "Measure!$B$14"),
        ("={wide}", IN_ROW, "$C13:$E13"),
        ("={wide}", IN_PLACE, "D13"),
        ("={wide:}", IN_PLACE, "$C13:$E13"),
        ("={wide.2}", IN_PLACE, "D$12"),
        ("={wide.2:}", IN_PLACE, "$C$12:$E$12"),
        ("={stack}", IN_STACK, "$B25"),
        ("={stack}", IN_ROW, "Working!$B$25:$B$26"),
        ("={column}", IN_STACK, "Measure!$B13"),
        ("={table[]}", IN_STACK, "Measure!$A$11:$G$14"),
        ("={n}*{j}", IN_PLACE, "3*2"),
    ],
)
def test_a_reference_is_written_for_where_the_formula_stands(template, here, expected):
    assert written(template, here) == expected


@pytest.mark.parametrize(
    ("template", "why"),
    [
        ("={nobody}", "leads nowhere"),
        ("={One}", "is no reference"),
        ("={1,2}", "is no reference"),
        ("={column}", "has other rows"),
        ("={column.sealant}", "is no row of its table"),
        ("={column.5}", "is no row of its table"),
        ("={column.0}", "is no row of its table"),
        ("={three.4}", "is no cell of its line"),
        ("={three.left}", "is no cell of its line"),
        ("={one@}", "has no default"),
        ("=SUM({one}", "stays open"),
        ("={one})", "never opened"),
    ],
)
def test_a_reference_that_leads_nowhere_is_refused(template, why):
    with pytest.raises(ValueError, match=why):
        written(template)


def test_a_result_is_blank_while_a_cell_that_it_needs_is_blank():
    assert guarded("={one}*2+{one}") == '=IF($B$7="","",$B$7*2+$B$7)'
    assert guarded("={one}+{three.2}") == '=IF(OR($B$7="",Measure!$C$5=""),"",$B$7+Measure!$C$5)'


def test_a_stretch_guards_while_it_is_wholly_blank():
    assert guarded("=SUM({three})") == (
        '=IF(COUNTBLANK(Measure!$B$5:$D$5)=COLUMNS(Measure!$B$5:$D$5),"",SUM(Measure!$B$5:$D$5))'
    )
    down = "Working!$B$25:$B$26"
    assert guarded("=SUM({stack})", IN_ROW) == f'=IF(COUNTBLANK({down})=ROWS({down}),"",SUM({down}))'


@pytest.mark.parametrize(
    "template",
    [
        "={one?}",
        "=SUM({column[]})",
        "={gap}",
        "={gap!}",
        "=ROWS({three})",
        "=COLUMNS({three})",
        "={marks.2}",
        "=2",
    ],
)
def test_what_may_be_blank_or_never_is_needs_no_guard(template):
    assert guarded(template) == f"={written(template)}"


def test_an_unguarded_formula_stays_as_it_is():
    assert formula('={one}<>""', Here("Start"), PLACES, "us").text(guarded=False) == '=$B$7<>""'


def test_an_optional_cell_reaches_our_functions_as_a_range_of_one_cell():
    call = '=COURSE_COUNT({three},{one},{one?},IF({one?}="",{one?},2),{one?}+1,{gap!})'
    assert written(call) == (
        'COURSE_COUNT(Measure!$B$5:$D$5,$B$7,$B$7:$B$7,IF($B$7="",$B$7,2),$B$7+1,$B$8:$B$8)'
    )


def test_an_argument_left_out_in_the_middle_of_our_call_is_written_as_empty_text():
    assert written("=COURSE_COUNT({one},5,1,,{gap},)") == 'COURSE_COUNT($B$7,5,1,"",$E$8,"")'
    assert written("=IF({one}>1,,2)") == "IF($B$7>1,,2)"


@pytest.mark.parametrize(
    ("template", "expected"),
    [
        (
            "=course_count({one},READ_LENGTH({gap}),1)",
            'COURSE_COUNT($B$7,READ_LENGTH($E$8,"metric"),1,"metric")',
        ),
        ('=ENTRY_PROBLEM("COURSE_COUNT",{one})', 'ENTRY_PROBLEM("COURSE_COUNT",$B$7,"metric")'),
        ('=FUNCTION_HELP("COURSE_COUNT")', 'FUNCTION_HELP("COURSE_COUNT")'),
        ("=FUNCTION_VERSION()", "FUNCTION_VERSION()"),
        ("=MAX(({one}+1)*2,{gap})", "MAX(($B$7+1)*2,$E$8)"),
        ('="READ_LENGTH({one}) is a call, ""quoted"""', '"READ_LENGTH({one}) is a call, ""quoted"""'),
    ],
)
def test_in_metric_every_call_of_ours_says_so(template, expected):
    assert written(template, system="metric") == expected


def test_a_formula_knows_its_calls_its_depth_and_its_bare_words():
    found = formula("=IF(A1>2,IF({one}>1,(B2,C3),[Book]Sheet!A1),now())", Here("Start"), PLACES, "us")
    assert found.calls == ("IF", "IF", "NOW")
    assert found.ifs == 2
    assert found.words == ("A1", "B2", ",", "C3", "[", "Book]Sheet!A1")


@pytest.mark.parametrize(
    ("title", "expected"),
    [
        ("Bid", "Bid"),
        ("R", "'R'"),
        ("rc", "'rc'"),
        ("True", "'True'"),
        ("Two words", "'Two words'"),
        ("It's", "'It''s'"),
    ],
)
def test_a_sheet_name_is_quoted_where_it_could_be_taken_for_something_else(title, expected):
    assert quoted(title) == expected


def test_a_rectangle_names_its_cells():
    cells = Cells("Start", 2, 27, 2, 2)
    assert list(cells) == [("Start", 2, 27), ("Start", 2, 28), ("Start", 3, 27), ("Start", 3, 28)]
    assert cells.address() == "Start!$AA$2:$AB$3"
    assert cells.area == "AA2:AB3"
    assert cells.part(1, 1, 1, 1).single


def test_the_kind_of_a_reference_is_not_looked_at():
    places = {"count": Place(Cells("Start", 1, 1), Item(handle="count", label="", kind=COUNT))}
    assert formula("={count}", Here("Start"), places, "us").text() == '=IF($A$1="","",$A$1)'
