import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetcalc.hosts.fitting import Fitted, Fitter, known
from sheetcalc.hosts.headless import HostProblem, evaluate_formula
from sheetcalc.xlsx.formulas import Area, tokens
from sheetcalc.xlsx.sheet import Formula

FITTER = Fitter({"OUR_COUNT", "OUR_TABLE"}, {"OUR_TABLE"})
NAMES = {
    "GAP": Area("Job", 2, 2, 2, 2),
    "GAPS": Area("Job", 2, 2, 9, 2),
    "HALF": None,  # a constant or a formula: it may be anything
}


def fit(formula: str, cells: Area | None = None) -> Fitted:
    return FITTER.fit(Formula(formula, cells), NAMES)


@pytest.mark.parametrize(
    ("formula", "fitted"),
    [
        ("OUR_COUNT(A1,,B1)", 'OUR_COUNT(A1,"",B1)'),
        ("OUR_COUNT(,,)", 'OUR_COUNT("","","")'),
        ("OUR_COUNT()", "OUR_COUNT()"),
        ("our_count(A1, ,B1 , )", 'OUR_COUNT(A1,"",B1,"")'),
        ('OUR_COUNT("a,,b",,)', 'OUR_COUNT("a,,b","","")'),
        ("OUR_COUNT('it''s ,,'!A1,)", "OUR_COUNT('it''s ,,'!A1,\"\")"),
        ("OUR_COUNT((A1),IF(A1,,2),)", 'OUR_COUNT((A1),IF(A1,,2),"")'),
        ("IF(A1,,OUR_COUNT(,A1))", 'IF(A1,,OUR_COUNT("",A1))'),
        ("SUM(A1,,B1)", "SUM(A1,,B1)"),
        ("OUR_COUNTS(A1,,B1)", None),
        ("OUR_COUNT(SUM(,A1),)", 'OUR_COUNT(SUM(,A1),"")'),
    ],
)
def test_an_argument_left_out_of_ours_is_filled(formula: str, fitted: str | None):
    if fitted is None:
        assert "not known" in fit(formula).problem
    else:
        assert fit(formula) == Fitted(fitted)


def test_array_constants_are_left_alone():
    assert fit("OUR_COUNT({1,2;3,4},)").text == '@(OUR_COUNT({1,2;3,4},""))'


@pytest.mark.parametrize(
    "formula",
    [
        "[1]!OUR_COUNT(A1)",
        "'C:\\tools\\[more.xlam]'!OUR_COUNT(A1)",
        "more.xlam!our_count(A1)",
        "_xludf.OUR_COUNT(A1)",
        "_xlfn.OUR_COUNT(A1)",
        "org.example.tools.our_count(A1)",
    ],
)
def test_what_a_program_puts_before_our_names_comes_off(formula: str):
    assert fit(f"IF(A1,{formula})") == Fitted("IF(A1,OUR_COUNT(A1))")


@pytest.mark.parametrize(
    ("formula", "fitted"),
    [
        # one value is meant where a range stands beside an operator or alone in the cell
        ("A1:A3*2", "@(@A1:A3*2)"),
        ("SUM(A1:A3*2)", "SUM(@A1:A3*2)"),
        ("-(Job!A1:A3)", "@(-(@Job!A1:A3))"),
        ("'My job'!A1:A3", "@(@'My job'!A1:A3)"),
        ("A:A", "@(@A:A)"),
        ("Job!1:1&B1", "@(@Job!1:1&B1)"),
        ("IF(A1:A3>1,A1,B1)", "@(IF(@A1:A3>1,A1,B1))"),
        ("@A1:A3", "@(@A1:A3)"),
        ("gaps/2", "@(@gaps/2)"),
        # a range stays one where the function takes it
        ("SUM(A1:A3)", "SUM(A1:A3)"),
        ("SUMPRODUCT((A1:A3>1)*B1:B3)", "SUMPRODUCT((A1:A3>1)*B1:B3)"),
        ("INDEX(A1:A3*2,2)", "@(INDEX(A1:A3*2,2))"),
        ("OUR_COUNT(A1:A3)", "@(OUR_COUNT(A1:A3))"),
        # an answer of several cells shows its first in an ordinary cell
        ("OUR_TABLE(A1)", "@(OUR_TABLE(A1))"),
        ("SUM(OUR_TABLE(A1))", "SUM(OUR_TABLE(A1))"),
        ("INDEX(OUR_TABLE(A1),2)", "@(INDEX(OUR_TABLE(A1),2))"),
        ("SEQUENCE(3)", "@(SEQUENCE(3))"),
        ("{1,2}", "@({1,2})"),
        # one cell is one cell
        ("OUR_COUNT(A1)+gap", "OUR_COUNT(A1)+gap"),
        ("gap*TRUE", "gap*TRUE"),
        ("half*2", "@(@half*2)"),
        ("LET(x,A1,x+1)", "@(LET(x,A1,x+1))"),
    ],
)
def test_ordinary_formulas_answer_one_value(formula: str, fitted: str):
    assert fit(formula) == Fitted(fitted)


@pytest.mark.parametrize(
    ("formula", "fitted"),
    [
        ("SUM(A1:INDEX(A1:A9,2))", "SUM(A1:INDEX(A1:A9,2))"),
        ("A1:Job!A3+1", "@(@A1:Job!A3+1)"),
        ("INDEX(A1:A9,2):A3", "@(INDEX(A1:A9,2):A3)"),
        ('INDIRECT("A1:A3")', '@(INDIRECT("A1:A3"))'),
        ("SUM(OFFSET(A1,1,0))", "SUM(OFFSET(A1,1,0))"),
        ("SUM(LET(x,A1,x:A3))", "SUM(LET(x,A1,x:A3))"),
    ],
)
def test_formulas_that_may_use_cells_that_they_do_not_name(formula: str, fitted: str):
    assert fit(formula) == Fitted(fitted, anywhere=True)


def test_a_free_formula_tells_which_functions_nobody_knows():
    assert FITTER.free("OUR_COUNT(NOSUCH(1,),)+_xlfn.SINGLE(2)") == Fitted(
        'OUR_COUNT(NOSUCH(1,),"")+_xlfn.SINGLE(2)', unknown=("NOSUCH", "SINGLE")
    )
    assert FITTER.free("NOSUCH(1").problem == "it cannot be read: unmatched opening parenthesis or bracket"


@pytest.mark.parametrize(
    ("formula", "fitted"),
    [
        ("OUR_TABLE(A1,,)", 'OUR_TABLE(A1,"","")'),
        ("A1:A3*2", "A1:A3*2"),
        ("gaps*2", "gaps*2"),
        ("1/0", "1/0"),
    ],
)
def test_array_formulas_keep_their_ranges(formula: str, fitted: str):
    assert fit(formula, Area("Job", 1, 1, 3, 2)) == Fitted(fitted)


@pytest.mark.parametrize(
    ("formula", "problem"),
    [
        ("[1]Sheet1!A1+1", "it refers to another workbook"),
        ("'[book.xlsx]My job'!A1", "it refers to another workbook"),
        ("[1]!other_name", "it refers to another workbook"),
        ("Ceilings[Across]", "it names a column of a table"),
        ("SUM(Ceilings[[#This Row],[Across]])", "it names a column of a table"),
        ("[@Across]", "it names a column of a table"),
        ("SUM((A1,B1))", "it joins several ranges"),
        ("A1,B1", "it joins several ranges"),
        ("A1:B3 B1:C3", "it uses the cells that two ranges share"),
        ("SUM((A1:B3) gaps)", "it uses the cells that two ranges share"),
        ("SUM(Jan:Mar!A1)", "it uses a range across several sheets"),
        ("A1#", "it uses whatever another formula fills"),
        ("Job!gap", "it uses a name of one sheet"),
        ("MMULT(A1:A2,B1:B2)", "it uses MMULT, which is not known here"),
        ("_xlfn.SINGLE(A1)", "it uses SINGLE, which is not known here"),
        ("gapp*2", "it uses the name gapp, which stands for nothing that is known here"),
        ("SUM(A1", "it cannot be read: unmatched opening parenthesis or bracket"),
        ("", "it cannot be read"),
        ("1+", "it cannot be read: unexpected end of tokens"),
        ("SUM(1;2)", "it cannot be read"),
        ("#REF!A1", "it cannot be read"),
    ],
)
def test_what_the_engine_cannot_work_out(formula: str, problem: str):
    assert fit(formula) == Fitted("", problem)


@pytest.mark.parametrize(
    ("formula", "array", "function"),
    [
        ("SUMPRODUCT(ROUND(A1:A3*2,0))", False, "ROUND"),
        ("SUM(LEN(A1:A3))", False, "LEN"),
        ("ROUND(IF(A1:A3>1,(A1:A3),IFERROR(B1,0)),2)", True, "ROUND"),
        ("ABS(A1:A3*2)", True, "ABS"),
        ("TEXT({1,2},0)", True, "TEXT"),
        ("LEFT(gaps,1)", True, "LEFT"),
        ("NOT(A:A)", True, "NOT"),
        # one value is given
        ("ABS(A1:A3*2)", False, ""),
        ("ROUND(SUM(A1:A3),0)", True, ""),
        ("ROUND(INDEX(A1:A3,2)*gap,0)", True, ""),
        ("ROUND(OUR_COUNT(A1:A3),0)", True, ""),
        ("IF(ROUND(A1,0)>1,A1:A3,0)", True, ""),
        ("SUMPRODUCT(A1:A3,B1:B3)+ROUND(A1,2)", False, ""),
    ],
)
def test_functions_of_one_value_do_not_work_through_a_range(formula: str, array: bool, function: str):
    problem = fit(formula, Area("Job", 1, 1, 3, 1) if array else None).problem
    assert problem == (
        f"it works through several values with {function}, which cannot be done here" if function else ""
    )


def test_an_array_formula_larger_than_is_believed():
    assert "more cells" in fit("A1", Area("Job", 1, 1, 1000, 1000)).problem


def test_a_formula_longer_than_may_be():
    assert "longer" in fit("(" * 9000).problem
    assert fit("1" + "+1" * 200).problem == ""


def test_an_array_formula_that_asks_where_it_stands():
    assert "where it stands" in fit("ROW()*A1", Area("Job", 1, 1, 2, 1)).problem
    assert fit("ROW(A1)*2", Area("Job", 1, 1, 2, 1)).problem == ""
    assert fit("ROW()*A1").problem == ""


def test_the_row_numbers_of_a_column_make_no_difference():
    assert [fit(f"OUR_COUNT(A{row},,B{row})").text for row in (1, 22, 333)] == [
        f'OUR_COUNT(A{row},"",B{row})' for row in (1, 22, 333)
    ]
    assert fit("LOG10(A2)") == Fitted("LOG10(A2)")
    assert fit('"A7"&A7') == Fitted('"A7"&A7')


def test_formulas_that_stand_in_no_cell():
    assert FITTER.free("OUR_TABLE({1,2},)") == Fitted('OUR_TABLE({1,2},"")')
    for formula in ("A1", "SUM(A:A)", "SUM(1:2)"):
        assert FITTER.free(formula) == Fitted("", "it refers to cells, and there are none here")
    assert "gap" in FITTER.free("gap+1").problem


def test_functions_that_the_engine_has():
    assert known("SUM")
    assert known("_xlfn.XLOOKUP")
    assert not known("MMULT")
    assert not known("OUR_COUNT")
    assert not known("\\x")


ARGUMENTS = st.recursive(
    st.sampled_from(["", "A1", '"a,("', "'x,('!B2", "1.5", "{1,2;3,4}", "TRUE"]),
    lambda inner: st.builds(
        lambda name, given: f"{name}({','.join(given)})",
        st.sampled_from(["OUR_COUNT", "SUM", "IF"]),
        st.lists(inner, min_size=1, max_size=4),
    ),
    max_leaves=12,
)


@given(given_arguments=st.lists(ARGUMENTS, min_size=2, max_size=5))
def test_filling_changes_nothing_but_the_gaps_of_ours(given_arguments: list[str]):
    formula = f"OUR_COUNT({','.join(given_arguments)})"
    fitted = FITTER.free(formula.replace("A1", "1").replace("B2", "2").replace("'x,('!", "")).text
    again = FITTER.free(fitted)
    assert again.text == fitted  # nothing is left to fill
    plain = formula.replace("A1", "1").replace("B2", "2").replace("'x,('!", "")
    added = len(tokens(fitted)) - len(tokens(plain))
    assert fitted.count('""') == added
    unfilled = [token for token in tokens(fitted) if token.text != '""']
    assert unfilled == tokens(plain)


@given(formula=st.text(alphabet="AB1(),:;'\"[]{}!@#$+- \n.%gx_", max_size=25))
def test_no_text_makes_the_fitter_stumble(formula: str):
    fitted = fit(formula)
    assert bool(fitted.text) != bool(fitted.problem)


class Unhurried(Fitter):
    """Looks at every formula as it stands, never at one like it."""

    def _known_shape(self, text: str):
        return self._shape(text)


UNHURRIED = Unhurried({"OUR_COUNT", "OUR_TABLE"}, {"OUR_TABLE"})
PIECES = st.sampled_from(
    [
        *(
            "A1",
            "$B$22",
            "C3:D4",
            "Job!A1",
            "'My job'!B2:B9",
            "'it''s \"x\"'!A1",
            "Jan:Mar!A1",
            "[1]S!A1",
            "#REF!A1",
        ),
        *(
            "1",
            "2.5",
            "1E3",
            "{1,2}",
            '"a"',
            '"it\'s"',
            '"A1:B2!"',
            "gap",
            "gaps",
            "rates_2",
            "TRUE",
            "A:A",
            "1:3",
        ),
        *(
            "SUM(",
            "OUR_COUNT(",
            "OUR_TABLE(",
            "IF(",
            "ROW()",
            "(",
            ")",
            ")",
            ",",
            ",",
            "+",
            "*",
            "<>",
            "&",
            "%",
            " ",
        ),
    ]
)


@settings(max_examples=300)
@given(formula=st.lists(PIECES, max_size=9).map("".join), array=st.booleans())
def test_formulas_of_one_shape_fit_alike(formula: str, array: bool):
    one = Formula(formula, Area("Job", 1, 1, 3, 1) if array else None)
    hurried, unhurried = FITTER.fit(one, NAMES), UNHURRIED.fit(one, NAMES)
    assert hurried.text == unhurried.text
    assert bool(hurried.problem) == bool(unhurried.problem)


@pytest.mark.parametrize(
    ("text", "value"), [("1E-5*2", 2e-5), ("1e+3", 1000), ("0.5E-3*2", 1e-3), ("1.E2+A1*0", None)]
)
def test_numbers_with_an_exponent_are_numbers(text, value):
    if value is None:
        with pytest.raises(HostProblem, match="refers to cells"):
            evaluate_formula(text)
    else:
        assert evaluate_formula(text) == (pytest.approx(value), "")
