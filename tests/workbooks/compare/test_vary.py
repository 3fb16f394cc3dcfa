"""Every combination of entries, against the command that types them one after the other."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jobs import Job
from small_files import sheet_xml, workbook_parts, write_parts

from sheetcalc.cells.values import CellError
from sheetcalc.workbooks.compare.vary import MOST, Combination, Comparison, Vary, compare, vary
from sheetcalc.workbooks.compare.what_if import WhatIf
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.xlsx.package import Problem

SHOW = ["price", "boards_total", "waste", "pole_first_shows", "stops", "looks", "boards_words", "courses"]


@pytest.fixture(scope="module")
def porch(demo_file: Path) -> WhatIf:
    """Return the demo job, opened once: what is compared leaves no traces in it."""
    return WhatIf(demo_file)


def typed_one_by_one(job: Job, comparison: Comparison, row: Combination) -> list[Any]:
    """Values of the compared cells once the texts are typed, as `compute --set` does."""
    try:
        job.type(dict(zip((cell.handle for cell in comparison.varied), row.texts, strict=True)))
        return [job[cell.handle] for cell in comparison.shown]
    finally:
        job.take_back()


@pytest.mark.parametrize(
    ("text", "texts"),
    [
        ("gap=1/2,3/4", ("1/2", "3/4")),
        ("gap= 1/2 , 3/4 ", ("1/2", "3/4")),
        ("gap=1/2", ("1/2",)),
        ("gap=", ("",)),
        ("gap=,1/2", ("", "1/2")),
        ("gap=1/2,1/2,3/4", ("1/2", "3/4")),
        ("gap=8'9\",8' 9-1/2\"", ("8'9\"", "8' 9-1/2\"")),
        ("gap=1,200", ("1", "200")),
        ('gap="1,200","1,400"', ("1,200", "1,400")),
        ('gap="say ""so""",no', ('say "so"', "no")),
        ("gap=8';8'1/2\",9'", ("8';8'1/2\"", "9'")),
        ("gap==1,2", ("=1", "2")),
    ],
)
def test_values_stand_between_commas(text: str, texts: tuple[str, ...]):
    assert vary(text) == Vary("gap", texts)


@pytest.mark.parametrize("text", ["gap", "=1,2", " =1"])
def test_what_is_no_handle_and_values(text: str):
    with pytest.raises(HandleProblem, match="--vary takes HANDLE=VALUE,VALUE, not"):
        vary(text)


def test_words_after_a_closing_quote():
    with pytest.raises(HandleProblem, match="after the closing quote"):
        vary('gap="1" 2,3')


def test_every_combination_in_the_order_asked_for(porch: WhatIf):
    found = compare(porch, [vary("board_wanted=1x8,1x6"), vary("profit=10,20")], ["price", "margin"])
    assert [row.texts for row in found.rows] == [("1x8", "10"), ("1x8", "20"), ("1x6", "10"), ("1x6", "20")]
    assert [row.typed for row in found.rows][:2] == [("1x8", 0.1), ("1x8", 0.2)]
    prices = [row.values[0] for row in found.rows]
    assert prices[2] < min(prices[1], prices[3])  # type: ignore[type-var, operator]
    assert found.cheapest == [2]
    assert not found.failed
    assert found.reasons == []


CASES = [
    {"board_wanted": ("1x4", "1x8", "1x10", "nonsense"), "gap": ("1/2", "", "7", "so")},
    {"gap": ("1/4", "3/4"), "gap.2": ("1", "")},
    {"across.1": ("8'9\"", "8'9\";8'8\"", "no"), "profit": ("0", "100", "-5")},
    {"labor_rate": ("", "70"), "crew": ("2", "0", "1.5")},
    {"stock_price.length_5": ("30;31;32", ""), "cull_rate.1.1": ("20", "99")},
    {"ceiling.4": ("", "Stoop"), "gap": ("1/2", "5/8")},
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(case))
def test_like_typing_them_in(porch: WhatIf, job: Job, case: dict[str, tuple[str, ...]]):
    found = compare(porch, [Vary(*one) for one in case.items()], SHOW)
    for row in found.rows:
        assert list(row.values) == typed_one_by_one(job, found, row), row.texts


ENTRIES = {
    "board_wanted": ["1x4", "1x6", "1x8", "1x12", ""],
    "gap": ["1/4", "1/2", "3/4", "2", "", "wide"],
    "profit": ["0", "15", "40", "150", ""],
    "labor_rate": ["55", "80", "-1", ""],
    "layout_usual": ["full", "balanced", "auto", "other"],
    "board": ["A", "B", "C", "", "D"],
    "across.1.1": ["8'7\"", "104", "short", ""],
    "trim_first": ["1/2", "3/4", "1 1/2", ""],
    "crew": ["1", "3", "0"],
    "stock_price.length_5": ["35;40;25", ""],
    "price_step": ["1", "25", "0"],
}


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_like_typing_in_any_combination(porch: WhatIf, job: Job, data: st.DataObject):
    handles = data.draw(st.lists(st.sampled_from(sorted(ENTRIES)), min_size=1, max_size=3, unique=True))
    varied = [
        Vary(
            handle,
            tuple(data.draw(st.lists(st.sampled_from(ENTRIES[handle]), min_size=1, max_size=3, unique=True))),
        )
        for handle in handles
    ]
    found = compare(porch, varied, SHOW)
    row = data.draw(st.sampled_from(found.rows))
    assert list(row.values) == typed_one_by_one(job, found, row)


def test_errors_are_shown_with_their_reason_once(porch: WhatIf):
    found = compare(porch, [vary("board_wanted=1x6,1x10"), vary("profit=10,20,-200")], ["price", "looks"])
    errors = [row.texts for row in found.rows if isinstance(row.values[0], CellError)]
    assert len(errors) == 4
    assert found.cheapest == [0]
    assert found.failed
    assert len(found.reasons) == len(set(found.reasons))
    assert any("there is none of that name" in reason for reason in found.reasons)


def test_a_missing_entry_is_the_reason_for_no_price(porch: WhatIf):
    found = compare(porch, [vary("labor_rate=68,")], ["price"])
    assert found.rows[1].values == ("",)
    assert found.reasons == ["no price: missing: Loaded rate (Start)"]
    assert found.failed


def test_a_reason_is_a_sentence_of_the_function(porch: WhatIf):
    found = compare(porch, [vary("gap.1=1/2,some")], ["courses.1"])
    assert found.rows[1].values == (CellError.VALUE,)
    assert "“some”" in found.reasons[0]


@pytest.mark.parametrize(
    ("varied", "show", "sentence"),
    [
        (["gpa=1,2"], [], "Close to it: gap"),
        (["gap=1,2"], ["prise"], "Close to it: price"),
        (["price=1,2"], [], "price is a result, not an entry"),
        (["profit=0.1,0.2"], [], "profit is a percentage: write 10% or 0.1%"),
        (["gap=1,2", "GAP=3"], [], "gap is varied twice"),
        (["gap=1,2"], ["ceilings"], "ceilings is a table"),
        (["gap=1,2"], ["mark_width"], "rows in use: name one, such as mark_width.1"),
        (["gap.40=1,2"], [], "gap has no row 40"),
    ],
)
def test_what_cannot_be_compared(porch: WhatIf, varied: list[str], show: list[str], sentence: str):
    with pytest.raises(Problem, match=sentence):
        compare(porch, [vary(one) for one in varied], show)


def test_too_many_combinations(porch: WhatIf):
    values = ",".join(map(str, range(1, 150)))
    with pytest.raises(HandleProblem, match=f"22,201 combinations; at most {MOST:,}"):
        compare(porch, [vary(f"gap={values}"), vary(f"profit={values}")])


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Write a workbook of somebody's own, with names but none of ours."""
    cells = (
        '<row r="1"><c r="A1"><v>3</v></c><c r="B1"><f>A1*A2</f><v>6</v></c></row>'
        '<row r="2"><c r="A2"><v>2</v></c><c r="B2"><f>1/(A1-3)</f><v>0</v></c></row>'
    )
    names = '<definedName name="wide">Job!$A$1</definedName><definedName name="deep">Job!$A$2</definedName>'
    names += '<definedName name="size">Job!$B$1</definedName><definedName name="share">Job!$B$2</definedName>'
    return write_parts(tmp_path / "own.xlsx", workbook_parts({"Job": sheet_xml(cells)}, names))


def test_a_workbook_of_somebodys_own(own: Path):
    found = compare(WhatIf(own), [vary("wide=3,4"), vary("deep=5,6")])
    assert [cell.handle for cell in found.shown] == ["size", "share"]
    assert [row.values for row in found.rows] == [(15, CellError.DIV), (18, CellError.DIV), (20, 1), (24, 1)]
    assert found.cheapest == []
    assert found.reasons == ["#DIV/0! in share: see its cell in the workbook"]


def test_a_workbook_without_results(tmp_path: Path):
    names = '<definedName name="wide">Job!$A$1</definedName>'
    cells = '<row r="1"><c r="A1"><v>3</v></c></row>'
    file = write_parts(tmp_path / "own.xlsx", workbook_parts({"Job": sheet_xml(cells)}, names))
    with pytest.raises(HandleProblem, match="say with --show what to compare"):
        compare(WhatIf(file), [vary("wide=1,2")])


def test_a_workbook_without_names(tmp_path: Path):
    file = write_parts(tmp_path / "own.xlsx", workbook_parts({"Job": sheet_xml("")}))
    with pytest.raises(HandleProblem, match=r"own\.xlsx defines no names"):
        compare(WhatIf(file), [vary("wide=1,2")])


def test_progress_is_told(porch: WhatIf):
    told: list[tuple[int, int]] = []
    compare(porch, [vary("profit=1,2,3")], ["price"], lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_what_most_depends_on_changes_least_often(demo_file: Path):
    porch = WhatIf(demo_file)  # where nothing else was asked for
    found = porch.shown(["price", "hours_total"])

    def spots(handle: str) -> list[tuple[str, tuple[int, int]]]:
        area = porch.handles.area(handle)
        return [(area.sheet, at) for row in area.rows() for at in row]

    porch.answers({}, found)
    weights = porch.host.weights([spots(h) for h in ("profit", "gap", "labor_rate", "owner")])
    profit, gap, rate, owner = weights
    assert gap > 10 * rate > 0
    assert rate > profit > 0
    assert owner == 0
