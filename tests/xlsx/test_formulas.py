import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.xlsx.formulas import (
    Area,
    address,
    area,
    column_number,
    letters,
    moved,
    named_area,
    on_sheet,
    tokens,
)

PIECES = st.sampled_from(
    [
        *(
            "A1",
            "$B$2:C3",
            "SUM(",
            ")",
            ",",
            '"a""b,("',
            "'it''s'!A1",
            "Boards!B4",
            "[1]S!A1",
            "1.5E-3",
            ".5",
        ),
        *(
            "T[[#This Row],[a]]",
            "#N/A",
            "{1,2;3}",
            "LOG10(",
            " ",
            "\n",
            "<=",
            "&",
            "gap_2",
            "A:A",
            "$1:3",
            "#",
        ),
    ]
)
FORMULAS = st.lists(PIECES).map("".join) | st.text(max_size=40)


@given(formula=FORMULAS)
def test_tokens_joined_are_the_formula(formula: str):
    assert "".join(token.text for token in tokens(formula)) == formula


@given(formula=FORMULAS)
def test_moving_nowhere_changes_nothing_but_the_case_of_columns(formula: str):
    assert moved(formula, 0, 0).upper() == formula.upper()


@given(rows=st.integers(0, 50), columns=st.integers(0, 50), formula=FORMULAS)
def test_moving_there_and_back(rows: int, columns: int, formula: str):
    assert moved(moved(formula, rows, columns), -rows, -columns).upper() == formula.upper()


@pytest.mark.parametrize(
    ("formula", "copied"),
    [
        ("A1+$A1+A$1+$A$1", "C4+$A4+C$1+$A$1"),
        ("SUM(A1:B$2)", "SUM(C4:D$2)"),
        ("SUM(A:B,$C:D,1:2,$3:4)", "SUM(C:D,$C:F,4:5,$3:7)"),
        ("'it''s A1'!B2&\"A1\"&Boards!B2", "'it''s A1'!D5&\"A1\"&Boards!D5"),
        ("LOG10(A1)+T[A1]+A1.5x+S1!A1", "LOG10(C4)+T[A1]+A1.5x+S1!C4"),
        ("Jan:Mar!A1", "Jan:Mar!C4"),
        ("1E3+R1C1+ABCD1", "1E3+R1C1+ABCD1"),
        ("XFD1", "#REF!"),
        ("A1048576+A1048575:A1", "#REF!+#REF!:C4"),
        ("SUM(XFD:XFD,1048576:1048576)", "SUM(#REF!,#REF!)"),
    ],
)
def test_a_copy_moves_relative_references_alone(formula: str, copied: str):
    assert moved(formula, 3, 2) == copied


def test_a_copy_above_the_first_row_refers_to_nothing():
    assert moved("A1+B2", -1, 0) == "#REF!+B1"


def kinds(formula: str) -> list[tuple[str, str]]:
    return [tuple(token) for token in tokens(formula)]


def test_tokens_tell_names_references_and_brackets_apart():
    assert kinds("gap_2+B4") == [("name", "gap_2"), ("sign", "+"), ("cell", "B4")]
    assert kinds("S1!A1") == [("name", "S1"), ("sign", "!"), ("cell", "A1")]
    assert kinds("T[a'[b]&[1]S") == [
        ("name", "T"),
        ("brackets", "[a'[b]"),
        ("sign", "&"),
        ("brackets", "[1]"),
        ("name", "S"),
    ]
    assert kinds("XFE1>=#DIV/0!") == [("name", "XFE1"), ("sign", ">="), ("error", "#DIV/0!")]
    assert kinds('"un') == [("sign", '"'), ("name", "un")]
    assert kinds("[a")[0] == ("brackets", "[a")


@given(column=st.integers(1, 16384))
def test_letters_and_numbers_of_columns(column: int):
    assert column_number(letters(column)) == column
    assert column_number(letters(column).lower()) == column


def test_a_column_has_letters_alone():
    assert [letters(number) for number in (1, 26, 27, 702, 703, 16384)] == [
        "A",
        "Z",
        "AA",
        "ZZ",
        "AAA",
        "XFD",
    ]
    with pytest.raises(ValueError, match="Ä"):
        column_number("Ä")


def test_areas():
    assert area("Job", "C9:$B$4") == Area("Job", 4, 2, 9, 3)
    assert area("Job", "B4") == Area("Job", 4, 2, 4, 2)
    assert [area("Job", text) for text in ("B0", "B1048577", "XFE1", "gap", "B4:C", "")] == [None] * 6
    assert Area("Job", 4, 2, 5, 3).size == 4
    assert list(Area("Job", 4, 2, 5, 3).rows()) == [[(4, 2), (4, 3)], [(5, 2), (5, 3)]]
    assert address(4, 28) == "AB4"


@pytest.mark.parametrize(
    ("sheet", "shown"),
    [
        ("Job", "Job!B4"),
        ("My job", "'My job'!B4"),
        ("it's", "'it''s'!B4"),
        ("B4", "'B4'!B4"),
        ("2024", "'2024'!B4"),
    ],
)
def test_an_area_is_written_as_formulas_take_it(sheet: str, shown: str):
    assert str(Area(sheet, 4, 2, 4, 2)) == shown
    assert on_sheet(shown) == Area(sheet, 4, 2, 4, 2)


def test_plain_names_alone_mean_cells():
    assert named_area("'My job'!$B$4:$C$9") == Area("My job", 4, 2, 9, 3)
    assert named_area(" Job!$B$4 ") == Area("Job", 4, 2, 4, 2)
    for other in (
        "Job!B4",
        "Job!$B4",
        "Job!$B:$B",
        "0.5",
        "[1]Job!$B$4",
        "Job!$B$4,Job!$B$5",
        "#REF!",
        "Job!#REF!",
    ):
        assert named_area(other) is None
