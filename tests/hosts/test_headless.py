import gc
import weakref
from pathlib import Path
from typing import Any, NamedTuple
from xml.sax.saxutils import escape

import formualizer
import pytest
from small_files import sheet_xml, small_book, workbook_parts, write_parts

from sheetcalc.cells.registry import REGISTRY, CellFunction, describe
from sheetcalc.cells.values import CellError
from sheetcalc.errors import InputError
from sheetcalc.hosts import engine
from sheetcalc.hosts.headless import Headless, HostProblem, evaluate_formula
from sheetcalc.kinds import Count, Number, Text
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

# --- Functions of ours, made up ---


class Step(NamedTuple):
    number: Count
    name: Text


calls: list[Any] = []


def twice_of(value: Number, times: Number = 1) -> Number:
    """Twice a number."""
    calls.append((value, times))
    if value < 0:
        raise InputError("value", value, "must be 0 or more")
    return value * 2 * times


def step_list(count: Count) -> list[Step]:
    """Steps, one row each."""
    return [Step(number + 1, f"step {number + 1}") for number in range(int(count))]


def no_words(value: Number) -> Text:
    """No text at all."""
    return ""


def broken_part(value: Number) -> Number:
    """Never works."""
    raise ZeroDivisionError("of our own making")


def stopped_part(value: Number) -> Number:
    """Is interrupted by the person."""
    raise KeyboardInterrupt


OURS: dict[str, CellFunction] = {
    function.name: function
    for function in (
        describe(python, "lengths") for python in (twice_of, step_list, no_words, broken_part, stopped_part)
    )
}


# --- Books ---


def row_xml(row: int, **cells: str | float | bool) -> str:
    """A row of cells; text that begins with = is a formula, "{=…} B1:C2" an array formula."""
    found = ""
    for column, value in cells.items():
        start = f'<c r="{column}{row}"'
        if isinstance(value, bool):
            found += f'{start} t="b"><v>{int(value)}</v></c>'
        elif not isinstance(value, str):
            found += f"{start}><v>{value!r}</v></c>"
        elif value.startswith("{="):
            formula, _, cells_of = value[2:].rpartition("} ")
            found += f'{start}><f t="array" ref="{cells_of}">{escape(formula)}</f></c>'
        elif value.startswith("="):
            formula, _, stored = value[1:].partition(" ← ")
            found += f"{start}><f>{escape(formula)}</f><v>{stored}</v></c>"
        else:
            found += f'{start} t="str"><v>{escape(value)}</v></c>'
    return f'<row r="{row}">{found}</row>'


def rows_xml(*rows: dict[str, Any]) -> str:
    return "".join(row_xml(number, **cells) for number, cells in enumerate(rows, 1))


def host(path: Path, *rows: dict[str, Any], **more: str) -> Headless:
    return Headless(small_book(path, rows_xml(*rows), **more), OURS)


def values(found: Headless, cells: str) -> Any:
    return found.get("Job", cells)


# --- Values in and out ---


def test_arguments_arrive_as_cells_hold_them(tmp_path: Path):
    calls.clear()
    found = host(tmp_path, {"A": 3.5, "B": "=TWICE_OF(A1)", "C": "=TWICE_OF(A1,,)", "D": "=TWICE_OF(A1,3)"})
    assert values(found, "B1:D1") == [[7, 7, 21]]
    assert sorted(calls) == [(3.5, 1), (3.5, 1), (3.5, 3)]


def test_what_is_left_out_is_not_zero(tmp_path: Path):
    found = host(tmp_path, {"A": "=TWICE_OF(,2)", "B": "=TWICE_OF(Z9,2)", "C": "=TWICE_OF(0,2)"})
    assert values(found, "A1:C1") == [[CellError.VALUE, CellError.VALUE, 0]]


def test_no_text_is_text_and_not_zero(tmp_path: Path):
    found = host(tmp_path, {"A": "=NO_WORDS(1)", "B": '=A1=""', "C": "=ISTEXT(A1)", "D": '=A1&"x"'})
    assert values(found, "A1:D1") == [["", True, True, "x"]]


def test_errors_come_and_go(tmp_path: Path):
    found = host(
        tmp_path,
        {"A": "=TWICE_OF(-1)", "B": '=TWICE_OF("x")', "C": "=TWICE_OF(1/0)", "D": "=TWICE_OF(NA())"},
        {
            "A": "=ISERROR(A1)",
            "B": "=IFERROR(B1,7)",
            "C": "=ERROR.TYPE(C1)",
            "D": "=ISNA(D1)",
            "E": "=TWICE_OF(1,#REF!)",
        },
    )
    assert values(found, "A1:D1") == [[CellError.NUM, CellError.VALUE, CellError.DIV, CellError.NA]]
    assert values(found, "A2:E2") == [[True, 7, 2, True, CellError.REF]]


def test_ranges_and_tables(tmp_path: Path):
    found = host(
        tmp_path,
        {"A": 1.0, "B": "{=TWICE_OF(A1:A3)} B1:B3", "D": "{=STEP_LIST(2)} D1:E3", "G": "=STEP_LIST(2)"},
        {"A": 2.0, "G": "=INDEX(STEP_LIST(3),3,2)"},
        {"A": "", "G": "=SUM(STEP_LIST(3))"},
    )
    assert values(found, "B1:B3") == [[2], [4], [CellError.VALUE]]
    na = CellError.NA
    assert values(found, "D1:E3") == [[1, "step 1"], [2, "step 2"], [na, na]]
    assert values(found, "G1:G3") == [[1], ["step 3"], [6]]


@pytest.mark.parametrize(
    ("formula", "filled"),
    [
        ("7", [[7, 7], [7, 7], [7, 7]]),
        ("1/0", [[CellError.DIV] * 2] * 3),
        ("{1,2}", [[1, 2]] * 3),
        ("{1;2;3}", [[1, 1], [2, 2], [3, 3]]),
        ("{1;2}", [[1, 1], [2, 2], [CellError.NA] * 2]),
        ("{1,2,3;4,5,6;7,8,9;10,11,12}", [[1, 2], [4, 5], [7, 8]]),
        ("{1,2;3,4}", [[1, 2], [3, 4], [CellError.NA] * 2]),
        ("Z1:Z3", [[0, 0], [0, 0], [0, 0]]),
        ("TRANSPOSE({1,2,3;4,5,6})", [[1, 4], [2, 5], [3, 6]]),
        ('IF({1;0;1}>0,"yes","")', [["yes"] * 2, [""] * 2, ["yes"] * 2]),
    ],
)
def test_an_array_formula_fills_its_cells_as_in_a_spreadsheet(tmp_path: Path, formula: str, filled: Any):
    found = host(tmp_path, {"B": f"{{={formula}}} B1:C3", "D": "=B3"}, {"B": 99.0, "C": 99.0})
    assert values(found, "B1:C3") == filled
    assert values(found, "D1") == filled[2][0]


def test_array_formulas_of_a_sheet_stay_apart(tmp_path: Path):
    found = host(
        tmp_path,
        {"A": 1.0, "B": "{=A1:A3*2} B1:B3", "C": "{=B1:B3+1} C1:C3", "D": "{=STEP_LIST(C1)} D1:E4"},
        {"A": 2.0, "G": "=SUM(D1:D3)&COUNTA(1:1)"},
        {"A": 3.0, "G": "=SUM(B1:C3)"},
    )
    assert values(found, "B1:E3") == [[2, 3, 1, "step 1"], [4, 5, 2, "step 2"], [6, 7, 3, "step 3"]]
    assert values(found, "G2:G3") == [["65"], [27]]
    found.set("Job", "A1", 0.5)
    found.recalculate()
    assert values(found, "B1:D3") == [[1, 2, 1], [4, 5, 2], [6, 7, CellError.NA]]
    found.store()
    written = found.book.sheets["Job"].render().decode()
    assert written.endswith(
        '<c r="D4" t="e"><v>#N/A</v></c><c r="E4" t="e"><v>#N/A</v></c></row></sheetData></worksheet>'
    )


def test_array_formulas_of_two_sheets_stay_apart(tmp_path: Path):
    def sheet(number: float) -> str:
        array = '<c r="B1"><f t="array" ref="B1:B2">A1:A2*2</f></c>'
        return sheet_xml(f'<row r="1"><c r="A1"><v>{number}</v></c>{array}</row>' + row_xml(2, A=number + 1))

    file = write_parts(tmp_path / "job.xlsx", workbook_parts({"One": sheet(1), "Two": sheet(10)}))
    found = Headless(Workbook(file), OURS)
    assert found.get("One", "B1:B2") == [[2], [4]]
    assert found.get("Two", "B1:B2") == [[20], [22]]


def test_a_formula_inside_the_cells_of_another(tmp_path: Path):
    found = host(tmp_path, {"B": "{={1;2;3}} B1:B3"}, {"B": "=B1*10"}, {"A": "=SUM(B1:B3)"})
    assert values(found, "B1:B3") == [[1], [10], [3]]
    assert values(found, "A3") == 14


def test_an_ordinary_formula_never_runs_over_its_neighbours(tmp_path: Path):
    found = host(
        tmp_path,
        {"A": 1.0, "B": "=A1:A3*10", "C": "=STEP_LIST(9)", "D": '=INDIRECT("A1:A3")'},
        {"A": 2.0, "B": "=A1:A3*10", "C": 5.0},
        {"A": 3.0, "B": "=A1:A3", "C": "=SUM(A1:A3*10)"},
    )
    assert values(found, "B1:D3") == [[10, 1, 1], [20, 5, None], [3, 30, None]]


def test_tests_of_a_range_answer_for_each_cell(tmp_path: Path):
    cells = {"A": "=TWICE_OF(-1)", "B": "=NA()", "C": "text", "D": 1.5, "E": True}
    tests = ("ISERROR", "ISERR", "ISNA", "ISTEXT", "ISNONTEXT", "ISNUMBER", "ISLOGICAL", "ISBLANK")
    found = host(
        tmp_path,
        cells,
        *({"A": f"=SUMPRODUCT({test}(A$1:F$1)*1)", "B": f"=SUM(IF({test}(A$1),1,0))"} for test in tests),
        {"A": "=ISERROR(A1:A3)", "B": "{=ISNUMBER(D1:F1)} B10:D10"},
    )
    counted = {test: values(found, f"A{row}:B{row}")[0] for row, test in enumerate(tests, 2)}
    assert counted == {
        "ISERROR": [2, 1],
        "ISERR": [1, 1],
        "ISNA": [1, 0],
        "ISTEXT": [1, 0],
        "ISNONTEXT": [5, 1],
        "ISNUMBER": [1, 0],
        "ISLOGICAL": [1, 0],
        "ISBLANK": [1, 0],
    }
    assert values(found, "A10:D10") == [[True, True, False, False]]


def test_text_stays_text(tmp_path: Path):
    cells = (
        '<row r="1"><c r="A1" t="str"><v>=1+1</v></c><c r="B1" t="str"><v>_x0007_a_x000D_</v></c>'
        '<c r="C1" t="str"><v xml:space="preserve"> b </v></c><c r="D1"><f>LEN(B1)</f></c>'
        '<c r="E1"><f>A1&amp;C1</f></c><c r="F1" t="str"><v/></c><c r="G1"><f>ISBLANK(F1)</f></c></row>'
    )
    found = Headless(small_book(tmp_path, cells), OURS)
    assert values(found, "A1:G1") == [["=1+1", "\aa\r", " b ", 3, "=1+1 b ", "", False]]


def test_constants_of_every_sort(tmp_path: Path):
    cells = (
        '<row r="1"><c r="A1" t="b"><v>1</v></c><c r="B1" t="e"><v>#SPILL!</v></c><c r="C1"><v>-1e-7</v></c>'
        '<c r="D1"><f>IF(A1,C1*2)</f></c><c r="E1"><f>ISERROR(B1)</f></c></row>'
    )
    found = Headless(small_book(tmp_path, cells), OURS)
    assert values(found, "A1:E1") == [[True, CellError.VALUE, -1e-7, -2e-7, True]]


def test_dates_are_serials_in_both_systems(tmp_path: Path):
    rows = ({"A": 46024.0, "B": "=DATE(2026,1,2)", "C": "=YEAR(A1)", "D": "=TWICE_OF(B1)", "E": "=A1-B1"},)
    assert values(host(tmp_path, *rows), "B1:E1") == [[46024, 2026, 92048, 0]]
    found = host(tmp_path, *rows, before_sheets='<workbookPr date1904="1"/>')
    assert values(found, "B1:E1") == [[44562, 2030, 89124, 1462]]


def test_sheets_names_and_percent_signs(tmp_path: Path):
    sheets = {
        "Job's <1>": sheet_xml(row_xml(1, A=2.0, B="='Überall'!A1*50%", C="=rate+rates_2+local")),
        "Überall": sheet_xml(row_xml(1, A="='Job''s <1>'!A1+gap", B="=local", C="=SUM(gaps)", D="=GAP")),
    }
    first, second = "'Job''s &lt;1&gt;'!", "'Überall'!"
    names = (
        f'<definedName name="gap">{first}$A$1</definedName>'
        f'<definedName name="gaps">{first}$A$1:$A$9</definedName>'
        f'<definedName name="rate">0.25</definedName>'
        f'<definedName name="rates_2">SUM({first}$A$1,1)</definedName>'
        f'<definedName name="local" localSheetId="0">{first}$A$1</definedName>'
        f'<definedName name="local" localSheetId="1">{second}$A$1</definedName>'
        f'<definedName name="_xlnm.Print_Area" localSheetId="0">{first}$A$1:$B$1</definedName>'
    )
    book = Workbook(write_parts(tmp_path / "job.xlsx", workbook_parts(sheets, names=names)))
    found = Headless(book, OURS)
    assert found.unevaluated == []
    assert found.get("Job's <1>", "A1:C1") == [[2, 2, 5.25]]
    assert found.get("Überall", "A1:D1") == [[4, 4, 2, 2]]


def test_a_name_may_mean_an_expression(tmp_path: Path):
    names = (
        '<definedName name="gap">Job!$A$1</definedName><definedName name="both">gap+Job!$B$1</definedName>'
        '<definedName name="column">Job!$A:$A</definedName><definedName name="less">-both</definedName>'
    )
    found = host(
        tmp_path, {"A": 2.0, "B": 5.0, "C": "=both*2"}, {"A": 3.0, "B": "=column", "C": "=less"}, names=names
    )
    assert values(found, "C1") == 14
    assert values(found, "B2:C2") == [[3, -7]]


def test_a_name_that_means_nothing_stops_its_formulas_alone(tmp_path: Path):
    names = (
        '<definedName name="other">[1]Sheet1!$A$1</definedName><definedName name="gap">Job!$A$1</definedName>'
        '<definedName name="odd">NOSUCH(1)</definedName>'
    )
    found = host(tmp_path, {"A": 2.0, "B": "=other+1 ← 7", "C": "=B1+gap", "D": "=odd ← 3"}, names=names)
    assert [str(one) for one in found.unevaluated] == [
        "Job!B1: it uses the name other, which stands for nothing that is known here",
        "Job!D1: it uses the name odd, which stands for nothing that is known here",
    ]
    assert values(found, "B1:D1") == [[7, 9, 3]]


def test_what_cannot_be_computed_keeps_its_stored_value(tmp_path: Path):
    found = host(
        tmp_path,
        {"A": 2.0, "B": "=[1]Sheet1!A1 ← 5", "C": "=B1*A1", "D": "=SUM((A1,A2)) ← 6", "E": "=D1+1"},
        {"A": "=NOSUCH(1) ← 1.5", "B": "=A2*2", "C": "=SUM(1 ← 8", "D": "=C2+1", "E": "=A3+1 ← 4"},
        {"A": "=E2+1 ← 3", "B": "=A3*2", "C": "=LAMBDA(x,x*2)(4) ← 8", "D": "=C3/2", "E": "{=A1#} E3:F4"},
        {"G": "=OFFSET(A1,0,0,2,2)"},
    )
    assert values(found, "B1:E1") == [[5, 10, 6, 7]]
    assert values(found, "A2:D2") == [[1.5, 3, 8, 9]]
    assert values(found, "B3:D3") == [[6, 8, 4]]
    reasons = {str(one.cell): one.reason for one in found.unevaluated}
    assert reasons == {
        "Job!B1": "it refers to another workbook",
        "Job!D1": "it joins several ranges",
        "Job!A2": "it uses NOSUCH, which is not known here",
        "Job!C2": "it cannot be read: unmatched opening parenthesis or bracket",
        "Job!E2": "it depends on its own answer",
        "Job!A3": "it depends on its own answer",
        "Job!C3": "it uses something unknown here",
        "Job!E3": "it uses whatever another formula fills",
    }
    assert found.reason("Job", "B1") == "This formula was not computed: it refers to another workbook."


def test_a_formula_that_only_the_loader_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("sheetcalc.hosts.fitting.unreadable", lambda formula: "")
    found = host(tmp_path, {"A": "=1+ ← 5", "B": "=A1+1"})
    assert [str(one) for one in found.unevaluated] == ["Job!A1: it cannot be read"]
    assert values(found, "B1") == 6


def test_errors_of_newer_programs_show_as_value(tmp_path: Path):
    found = host(tmp_path, {"A": "=FILTER({1,2},{0,0})", "B": "=IFERROR(A1,5)"})
    assert found.unevaluated == []
    assert values(found, "A1:B1") == [[CellError.VALUE, 5]]


def test_formulas_that_need_one_another_in_a_ring_and_beside_it(tmp_path: Path):
    names = '<definedName name="half">0.5</definedName><definedName name="first">Job!$A$1</definedName>'
    found = host(
        tmp_path,
        {
            "A": "=B1+D1 ← 1",
            "B": "=C1+half ← 2",
            "C": "=first ← 3",
            "D": "=E1",
            "E": "=D1+B1 ← 5",
            "F": "=A1+E1",
        },
        names=names,
    )
    assert [str(one.cell) for one in found.unevaluated] == [f"Job!{column}1" for column in "ABCDE"]
    assert values(found, "F1") == 6


def test_an_array_formula_in_a_ring(tmp_path: Path):
    array = '<c r="B1"><f t="array" ref="B1:B2">A1:A2</f><v>4</v></c>'
    cells = (
        f'<row r="1"><c r="A1"><f>B1</f><v>3</v></c>{array}</row>'
        '<row r="2"><c r="A2"><v>5</v></c><c r="B2"><v>6</v></c><c r="C2"><f>B2+1</f></c></row>'
    )
    found = Headless(small_book(tmp_path, cells), OURS)
    assert [str(one) for one in found.unevaluated] == [
        "Job!A1: it depends on its own answer",
        "Job!B1: it depends on its own answer",
    ]
    assert values(found, "C2") == 7


def test_an_engine_that_gives_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    config = formualizer.EvaluationConfig()
    config.max_work_units = 1
    tight = formualizer.WorkbookConfig(eval_config=config)
    monkeypatch.setattr(engine, "config", lambda date_1904: tight)  # pyright: ignore
    with pytest.raises(HostProblem, match="The workbook cannot be computed"):
        host(tmp_path, *({"A": f"=SUM(B{row}:Z{row})*2"} for row in range(1, 90)))


def test_an_engine_that_cannot_load_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(engine, "engine_file", lambda book, texts: (b"no file", {}))  # pyright: ignore
    with pytest.raises(HostProblem, match=r"job.xlsx cannot be computed"):
        host(tmp_path, {"A": "=1+1"})


# --- Bugs, interruptions, reasons ---


def test_a_bug_shows_value_and_is_remembered(tmp_path: Path):
    found = host(tmp_path, {"A": "=BROKEN_PART(5)", "B": "=A1+1"})
    assert values(found, "A1:B1") == [[CellError.VALUE, CellError.VALUE]]
    assert [str(bug) for bug in found.bugs] == ["BROKEN_PART: ZeroDivisionError: of our own making"]
    assert found.bugs[0].arguments == [5]
    for number in range(200):
        found.set("Job", "C1", float(number))
    assert len(found.bugs) <= 100


def test_bugs_are_not_remembered_for_ever(tmp_path: Path):
    found = host(tmp_path, *({"A": f"=BROKEN_PART({number})"} for number in range(150)))
    assert len(found.bugs) == 100


def test_an_interruption_ends_the_computing(tmp_path: Path):
    with pytest.raises(KeyboardInterrupt):
        host(tmp_path, *({"A": "=STOPPED_PART(1)"} for _ in range(3)))


def test_reasons(tmp_path: Path):
    found = host(
        tmp_path,
        {
            "A": -3.0,
            "B": "=TWICE_OF(A1)",
            "C": "=IF(A1<0,TWICE_OF(5)+TWICE_OF(A1),0)",
            "D": "=B1",
            "E": "=1/0",
        },
        {"A": 2.0, "B": "=TWICE_OF(A2)", "C": "{=TWICE_OF(A1:A2)} C2:C3", "D": "=IFERROR(B1,0)"},
    )
    sentence = "value is -3, but must be 0 or more"
    assert found.failures[-1].sentence
    assert [found.reason("Job", cell) for cell in ("B1", "C1", "D1")] == [sentence] * 3
    assert found.reason("Job", "C3") == "value, row 1, is -3, but must be 0 or more"
    assert [found.reason("Job", cell) for cell in ("A1", "B2", "E1", "D2", "Z9")] == [""] * 5
    for _ in range(2):
        assert values(found, "B1:C3") == [[CellError.NUM, CellError.NUM], [4, CellError.NUM], [None, 4]]
        found.recalculate()


# --- What if ---


def test_what_if(tmp_path: Path):
    found = host(
        tmp_path,
        {
            "A": 1.0,
            "B": "=TWICE_OF(A1)",
            "C": "{=STEP_LIST(A1)} C1:C3",
            "D": "=SUM(C1:C2)",
            "E": "=TWICE_OF(A2)",
        },
        {"A": 5.0, "D": "=ISTEXT(A1)"},
    )
    found.set("Job", "A1", 2)
    assert values(found, "B1") == 2  # not yet
    found.recalculate()
    assert values(found, "B1:D1") == [[4, 1, 3]]
    found.set("Job", "A1", 3.0)
    calls.clear()
    assert found.answers([("Job", "D1"), ("Job", "b1")]) == [3, 6]
    assert calls == [(3, 1)]  # E1 does not depend on it
    for value, counts_as_text in (("text", True), (None, False), (True, False), (CellError.NA, False)):
        found.set("Job", "A1", value)
        assert found.answers([("Job", "D2")]) == [counts_as_text]
        assert values(found, "A1") == value


def test_only_what_is_asked_for_is_computed(tmp_path: Path):
    found = host(tmp_path, {"A": 1.0, "B": "=TWICE_OF(A1)", "C": "=TWICE_OF(A1,2)", "D": "=B1+1"})
    found.set("Job", "A1", 4.0)
    calls.clear()
    assert found.answers([("Job", "D1")]) == [9]
    assert calls == [(4, 1)]
    found.recalculate()
    assert values(found, "C1") == 16


@pytest.mark.parametrize(
    "formula",
    [
        "SUM(B1:B3)",
        "SUM(B:B)",
        "SUM(Job!B1:B3)",
        'SUM(INDIRECT("B1:B3"))',
        "SUM(OFFSET(B1,0,0,3,1))",
        "SUM(B1:INDEX(B1:B3,3))",
        "SUM(several)",
        "SUM(column)",
        "all",
        "all+SUM(rest)-SUM(rest)",
    ],
)
def test_what_if_with_cells_that_a_formula_uses_in_other_ways(tmp_path: Path, formula: str):
    names = (
        '<definedName name="several">Job!$B$1:$B$3</definedName><definedName name="rest">0.5</definedName>'
        '<definedName name="column">Job!$B:$B</definedName>'
        '<definedName name="all">SUM(Job!$B$1:$B$3)</definedName>'
    )
    rows: list[dict[str, Any]] = [{"A": float(row), "B": f"=TWICE_OF(A{row})"} for row in (1, 2, 3)]
    rows[0] |= {"D": f"={formula}", "E": "=D1+1"}
    found = host(tmp_path, *rows, {"C": "=TWICE_OF(A1,5)"}, names=names)
    assert found.unevaluated == []
    assert found.answers([("Job", "E1")]) == [13]
    found.set("Job", "A2", 12.0)
    assert found.answers([("Job", "E1")]) == [33]
    assert found.answers([("Job", "E1"), ("Job", "C4")]) == [33, 10]


def test_the_same_call_is_answered_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    calls.clear()
    same = {"A": "=TWICE_OF(3)", "B": "=TWICE_OF(3)", "C": "=TWICE_OF(Z1+3)", "D": "=NO_WORDS(3)"}
    found = host(tmp_path, same, {"A": "=TWICE_OF(0)", "B": "=TWICE_OF(-0*1)", "C": "=TWICE_OF(TRUE)"})
    assert values(found, "A1:D1") == [[6, 6, 6, ""]]
    assert sorted(calls) == [(0, 1), (0, 1), (1, 1), (3, 1)]
    monkeypatch.setattr(engine, "_MOST_KNOWN", 2)
    calls.clear()
    found = host(tmp_path, *({"A": f"=TWICE_OF({number})"} for number in (1, 2, 3)), {"A": 7.0})
    found.set("Job", "A4", 8.0)
    found.recalculate()
    assert values(found, "A1:A3") == [[2], [4], [6]]
    assert len(found._calls._known) <= 2  # pyright: ignore[reportPrivateUsage]


@pytest.mark.parametrize(
    ("sheet", "cell", "sentence"),
    [
        ("Job", "B1", "Job!B1 is not an entry."),
        ("Job", "C2", "Job!C2 is not an entry."),
        ("Job", "A1:A2", "Job!A1:A2 is not an entry."),
        ("Nowhere", "A1", "job.xlsx has no sheet Nowhere."),
        ("Job", "gap", "gap is no address of a cell."),
    ],
)
def test_only_entries_can_be_set(tmp_path: Path, sheet: str, cell: str, sentence: str):
    found = host(tmp_path, {"A": 1.0, "B": "=A1", "C": "{=STEP_LIST(2)} C1:C2"})
    with pytest.raises(HostProblem) as caught:
        found.set(sheet, cell, 2.0)
    assert str(caught.value) == sentence


def test_loading_afresh_keeps_what_was_entered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(engine, "RELOAD_AFTER", 3)
    found = host(tmp_path, {"A": 1.0, "B": "=TWICE_OF(A1)", "C": "=A1+A2"}, {"A": 10.0})
    found.set("Job", "A2", "=text")
    found.set("Job", "A2", 20.0)
    for value in range(12):
        found.set("Job", "A1", float(value))
        if value < 6:
            found.recalculate()
            assert values(found, "B1:C1") == [[2 * value, 20 + value]]
        else:
            assert found.answers([("Job", "B1"), ("Job", "C1")]) == [2 * value, 20 + value]


def test_an_engine_no_longer_used_is_freed(tmp_path: Path):
    found = host(tmp_path, {"A": "=TWICE_OF(1)", "B": "{=STEP_LIST(2)} B1:B2"})
    calls_of_ours = weakref.ref(found._calls)  # pyright: ignore[reportPrivateUsage]
    del found
    gc.collect()
    assert calls_of_ours() is None


# --- Storing ---


def test_every_value_is_stored(tmp_path: Path):
    found = host(
        tmp_path,
        {
            "A": 2.0,
            "B": "=TWICE_OF(A1) ← 1",
            "C": "{=STEP_LIST(A1)} C1:D3",
            "E": "=NOSUCH(1) ← 9",
            "F": "=NO_WORDS(1)",
        },
    )
    found.store()
    sheet = found.book.sheets["Job"]
    shown = {
        address(*place): sheet.value(*place) for place in [(1, 2), (1, 3), (2, 4), (3, 3), (1, 5), (1, 6)]
    }
    assert shown == {"B1": 4, "C1": 1, "D2": "step 2", "C3": CellError.NA, "E1": 9, "F1": ""}
    found.book.save()
    again = Headless(Workbook(found.book.package.path), OURS)
    again.store()
    before = again.book.package.path.read_bytes()
    again.book.save()
    assert again.book.package.path.read_bytes() == before  # nothing left to write


def test_an_array_formula_that_is_not_computed_keeps_all_its_values(tmp_path: Path):
    array = '<c r="A1"><f t="array" ref="A1:A2">NOSUCH(1)</f><v>4</v></c>'
    cells = f'<row r="1">{array}<c r="B1"><f>SUM(A1:A2)</f></c></row><row r="2"><c r="A2"><v>5</v></c></row>'
    found = Headless(small_book(tmp_path, cells), OURS)
    assert values(found, "B1") == 9
    found.store()
    assert [found.book.sheets["Job"].value(row, 1) for row in (1, 2)] == [4, 5]


def test_a_data_table_keeps_its_values(tmp_path: Path):
    table = '<c r="A1"><f t="dataTable" ref="A1:A2" r1="C1"/><v>4</v></c>'
    cells = f'<row r="1">{table}<c r="B1"><f>SUM(A1:A2)</f></c></row><row r="2"><c r="A2"><v>5</v></c></row>'
    found = Headless(small_book(tmp_path, cells), OURS)
    assert values(found, "B1") == 9
    found.store()
    assert found.unevaluated == []
    assert found.book.sheets["Job"].value(1, 1) == 4


def test_a_workbook_without_formulas(tmp_path: Path):
    found = host(tmp_path)
    found.store()
    assert found.unevaluated == found.bugs == []


# --- One formula ---


@pytest.mark.parametrize(
    ("formula", "answer"),
    [
        ("=TWICE_OF(4)", 8),
        (" TWICE_OF(4) ", 8),
        ("=STEP_LIST(2)", [[1, "step 1"], [2, "step 2"]]),
        ("=STEP_LIST(1)", [[1, "step 1"]]),
        ("={1,2;3,4}", [[1, 2], [3, 4]]),
        ("={7}", 7),
        ("=TWICE_OF({1;2})", [[2], [4]]),
        ("=SUM(1,2)", 3),
        ("=NO_WORDS(1)", ""),
        ("=TRUE", True),
        ("=1/0", CellError.DIV),
        ("=DATE(2026,1,2)", 46024),
        ("=50%", 0.5),
        ("=SIN({0,0})", [[0, 0]]),
        ("=VLOOKUP(1,{1,2},3)", CellError.REF),
        ("=AND({1,2},FALSE)", False),
    ],
)
def test_one_formula(formula: str, answer: Any):
    assert evaluate_formula(formula, OURS) == (answer, "")


def test_one_formula_that_fails_tells_why():
    assert evaluate_formula("=TWICE_OF(-4)+TWICE_OF(1)", OURS) == (
        CellError.NUM,
        "value is -4, but must be 0 or more",
    )
    answer, reason = evaluate_formula('=TWICE_OF({1;"x"})', OURS)
    assert answer == [[2], [CellError.VALUE]]
    assert "“x”" in reason
    assert evaluate_formula("=IFERROR(TWICE_OF(-4),5)", OURS) == (5, "")


@pytest.mark.parametrize(
    ("formula", "answer", "reason"),
    [
        ("=TWICE_OFF(4)", CellError.NAME, "There is no function TWICE_OFF. Close to it: TWICE_OF."),
        ("=SUM(1,NOSUCH(2))", CellError.NAME, "There is no function NOSUCH."),
        ("=_xlfn.SINGLE(TWICE_OF(-1))", CellError.NAME, "There is no function SINGLE."),
        ("=IFERROR(NOSUCH(1),5)", 5, ""),
        ("=#NAME?", CellError.NAME, ""),
    ],
)
def test_one_formula_with_a_function_that_nobody_knows(formula: str, answer: Any, reason: str):
    assert evaluate_formula(formula, OURS) == (answer, reason)


@pytest.mark.parametrize(
    "formula", ["=TWICE_OF(4", "=NOSUCH(4", "=", "=A1", "=NOSUCH(A1)", "=gap", "=[1]S!A1", "=ABS({1,2})"]
)
def test_one_formula_that_cannot_be_computed(formula: str):
    with pytest.raises(HostProblem, match=r"^The formula cannot be computed: it .*\.$"):
        evaluate_formula(formula, OURS)


def test_one_formula_with_a_bug_raises_it():
    with pytest.raises(ZeroDivisionError):
        evaluate_formula("=BROKEN_PART(1)", OURS)


# --- The real functions ---


@pytest.mark.parametrize("function", REGISTRY.values(), ids=lambda function: function.name)
def test_the_example_of_every_function_computes(function: CellFunction):
    def text(argument: Any) -> str:
        if isinstance(argument, list):
            return "{" + ";".join(",".join(text(cell) or '""' for cell in row) for row in argument) + "}"
        if isinstance(argument, str):
            return '"' + argument.replace('"', '""') + '"'
        return "" if argument is None else str(argument).upper()

    from sheetcalc.cells.call import call

    formula = f"={function.name}({','.join(map(text, function.example))})"
    answer, reason = evaluate_formula(formula)
    assert reason == ""
    expected = call(function, function.example)
    assert answer == (
        expected[0][0] if isinstance(expected, list) and len(expected) == len(expected[0]) == 1 else expected
    )
