"""Any workbook that calls our functions, not only the takeoff."""

from pathlib import Path

import openpyxl
import pytest
from openpyxl.styles import PatternFill
from openpyxl.worksheet.formula import ArrayFormula
from small_files import unpacked

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.cli import main
from sheetcalc.workbooks.plain import Plain, plain
from sheetcalc.workbooks.plain.calls import on_own_sheet, pieces
from sheetcalc.xlsx.package import FileProblem
from sheetcalc.xlsx.workbook import Workbook


def made(folder: Path, **cells: object) -> tuple[Plain, Workbook]:
    """Write a workbook of one sheet, and its plain edition."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "My job"
    for place, value in cells.items():
        sheet[place].value = value  # pyright: ignore[reportAttributeAccessIssue]
    book.save(folder / "job.xlsx")
    done = plain(folder / "job.xlsx", folder / "job_plain.xlsx")
    return done, Workbook(folder / "job_plain.xlsx")


def value(book: Workbook, row: int, column: int) -> Cell:
    return book.sheets["My job"].value(row, column)


def find(done: Plain, words: str) -> int:
    """Row of the sheet Stored that begins with words."""
    host = done.report.host
    return next(row for row in range(1, 99) if host.get("Stored", f"A{row}") == words)


def stored(done: Plain, words: str, *, column: str = "", down: int = 0) -> Cell:
    """Cell beside words of the sheet Stored, or below them."""
    found = done.report.host.get("Stored", f"{column or 'AB'[not down]}{find(done, words) + down}")
    assert not isinstance(found, list)
    return found


def test_a_short_call_is_rewritten_in_its_cell(tmp_path: Path) -> None:
    done, book = made(tmp_path, A1=400, A2=32, B1="=WHOLE_UNITS(A1,A2)+1")
    assert value(book, 1, 2) == 14
    assert "Helpers" not in book.sheets
    assert "ROUNDUP" in book.sheets["My job"].formulas[1, 2].text
    assert not done.stored


def test_a_long_call_stands_over_helper_cells(tmp_path: Path) -> None:
    _, book = made(tmp_path, A1=120, B1="=COURSE_COUNT(A1,5.125,0.5)", C1='=RIP_WIDTH("last",A1,5.125,0.5)')
    assert (value(book, 1, 2), value(book, 1, 3)) == (24, 3.125)
    assert book.sheets["My job"].formulas[1, 2].text.startswith("Helpers!$")


def test_nested_calls_and_what_stands_around_them(tmp_path: Path) -> None:
    _, book = made(
        tmp_path, A1=119.5, A2=120.25, A3=None, B1='="out by "&INCH_FRACTION(OUT_OF_PARALLEL(A1:A3))&" in"'
    )
    assert value(book, 1, 2) == "out by 3/4 in"


def test_lengths_typed_as_text_become_numbers(tmp_path: Path) -> None:
    _, book = made(
        tmp_path, A1="14'-3 3/8\"", A2="4.35 m", A3="word", B1="=READ_LENGTH(A1)", B2="=READ_LENGTH(A2)"
    )
    assert (value(book, 1, 1), value(book, 1, 2)) == (171.375, 171.375)
    assert value(book, 2, 2) == pytest.approx(4350 / 25.4)
    assert value(book, 3, 1) == "word"


@pytest.mark.parametrize(
    ("formula", "answer"),
    [
        ('=RIP_WIDTH("last","14\' 3-3/8""",5.125,0.5)', 3.1875),
        ('=CUT_LENGTH("4.65 m",19,"metric")', 4612),
        ('=CUT_LENGTH("183 in","3/4")', 181.5),
        ('=INCH_FRACTION("0.5 m")', "19 11/16"),
        ('=FEET_INCHES("171 3/8")&""', "14'-3 3/8\""),
    ],
)
def test_lengths_typed_as_text_in_a_formula_become_numbers_too(
    tmp_path: Path, formula: str, answer: object
) -> None:
    done, book = made(tmp_path, A1=formula)
    assert value(book, 1, 1) == (answer if isinstance(answer, str) else pytest.approx(answer))
    assert not done.stored
    assert not done.differs


def test_a_cell_that_shows_something_else_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cells = {
        "A1": "14'",
        "A2": "171",
        "B1": '=READ_LENGTH(A1&" 3""")',
        "B2": "=B1+1",
        "B3": "=READ_LENGTH(A2)",
    }
    done, _ = made(tmp_path, **cells)
    assert [(str(one.cell), one.live, one.plain) for one in done.differs] == [
        ("'My job'!B1", 171, CellError.VALUE),
        ("'My job'!B2", 172, CellError.VALUE),
    ]
    assert main(["plain", str(tmp_path / "job.xlsx"), "--output", str(tmp_path / "other.xlsx")]) == 1
    assert "'My job'!B1: 171.0 in the workbook, #VALUE! in the plain edition" in capsys.readouterr().err


def test_a_metric_call_answers_in_metric(tmp_path: Path) -> None:
    _, book = made(
        tmp_path,
        A1=4650,
        A2=4652,
        A3=4651,
        B1='=CUT_LENGTH(A1:A3,19,"metric")',
        B2='=NAIL_LENGTH(19,"metric")',
    )
    assert value(book, 1, 2) == pytest.approx(4613)
    assert value(book, 2, 2) == pytest.approx(38 + 19 * 2 / 3 / 2**-0.5 / 1)


def test_a_table_fills_its_cells_one_by_one(tmp_path: Path) -> None:
    table = ArrayFormula("B1:D4", '=IF(A1="","",COURSE_MARKS(A1,5,0.5,"","","","","",4))')
    _, book = made(tmp_path, A1=11, B1=table)
    rows = [[value(book, row, column) for column in (2, 3, 4)] for row in (1, 2, 3)]
    assert rows == [[1, 5, 5.5], [2, 5, 10.5], ["", "", ""]]


def test_what_no_cell_can_do_is_stored_and_watches_its_entries(tmp_path: Path) -> None:
    buy = "=BUY_COST(A1:A2,B1:B2,C1:C2,D1:D2)"
    done, book = made(tmp_path, A1=90, A2=40, B1=10, B2=4, C1=96, C2=144, D1=10, D2=14, F1=buy)
    assert [one.reason for one in done.stored] == ["BUY_COST needs more than cells can do"]
    assert (1, 6) not in book.sheets["My job"].formulas
    assert isinstance(value(book, 1, 6), float)
    assert value(book, 1, 7) == "stored"
    assert value(book, 4, 7) is None
    assert stored(done, "Boards are") == "as computed from the entries"
    host = done.report.host
    host.set("My job", "B1", 11)
    host.recalculate()
    assert host.get("My job", "G1") == "OLD, stored"
    assert stored(done, "Boards are") == "older than the entries: My job, B1"
    host.set("My job", "B1", 10)
    host.recalculate()
    assert host.get("My job", "G1") == "stored"


def test_the_mark_stands_beside_all_cells_of_a_table(tmp_path: Path) -> None:
    table = ArrayFormula("A1:C2", '=BUY_LIST(90,3,96,10,0,0,"","",2)')
    done, book = made(tmp_path, A1=table)
    assert [str(one.cells) for one in done.stored] == ["'My job'!A1:C2"]
    assert [value(book, 1, column) for column in (1, 2, 3, 4)] == [96, 3, 30, "stored"]


def test_what_uses_a_stored_line_says_so_too(tmp_path: Path) -> None:
    done, book = made(tmp_path, A1="Boards", B1="=BUY_COST(90,B9,96,10)", A2="Tax", B2="=B1*0.1", B9=2)
    book.sheets["My job"].formulas.clear()
    assert [value(book, row, 3) for row in (1, 2, 9)] == ["stored", "uses stored", None]
    host = done.report.host
    host.set("My job", "B9", 3)
    host.recalculate()
    assert host.get("My job", "C2") == "uses OLD"
    assert stored(done, "Entries that changed, the first 8", down=1) == "My job, B9"
    assert stored(done, "My job, B9", column="B") == 3
    assert stored(done, "My job, B9", column="C") == 2


def test_older_lines_are_let_stand_by_a_number_that_lapses(tmp_path: Path) -> None:
    done, _ = made(tmp_path, A1=2, A2="plain", B1='=BUY_COST(90,A1,96,IF(A2="plain",10,12))')
    host = done.report.host

    def stands(typed: Cell) -> tuple[Cell, Cell]:
        cell = find(done, "Number typed (it lapses with the next change of an entry)")
        host.set("Stored", f"B{cell}", typed)
        host.recalculate()
        return stored(done, "Fails as a stop check"), stored(done, "Is a point to look at")

    def code() -> Cell:
        return stored(done, "To let the price stand on older lines, type this number below")

    assert (stands(None), code()) == ((0, 0), "")
    numbers: list[Cell] = []
    for cell, new in (
        ("A1", 3.0),
        ("A1", 4.0),
        ("A2", "fancy"),
        ("A2", "fancier"),
        ("A1", 31.0),
        ("A1", 12.0),
    ):
        host.set("My job", cell, new)
        assert stands(numbers[-1] if numbers else "yes") == (1, 0), (cell, new)
        numbers.append(code())
        assert stands(numbers[-1]) == (0, 1)
    assert len(set(numbers)) == len(numbers)
    host.set("My job", "A1", 2)
    host.set("My job", "A2", "plain")
    assert stands(numbers[-1]) == (0, 0)


@pytest.mark.parametrize(
    ("formula", "error"),
    [
        ("=WHOLE_UNITS(-1,4)", CellError.NUM),
        ("=WHOLE_UNITS(A9,4)", CellError.VALUE),
        ('=WHOLE_UNITS("some",4)', CellError.VALUE),
        ("=WHOLE_UNITS(1/0,4)", CellError.DIV),
        ('=FACE_WIDTH("3x9")', CellError.NA),
        ("=STOCK_LENGTH(200,A1:A2)", CellError.NA),
        ("=COURSE_COUNT(A1:A2,5,0.5)", CellError.NUM),
        ('=COURSE_COUNT(A1,5,0.5,"","upside")', CellError.VALUE),
    ],
)
def test_errors_are_those_of_the_live_edition(tmp_path: Path, formula: str, error: CellError) -> None:
    done, book = made(tmp_path, A1=96, A2=120, B1=formula)
    assert value(book, 1, 2) is error
    assert not done.stored


def test_entry_problem_and_version(tmp_path: Path) -> None:
    _, book = made(
        tmp_path,
        B1='=ENTRY_PROBLEM("WHOLE_UNITS",-1,4)',
        B2='=ENTRY_PROBLEM("WHOLE_UNITS",1,4)',
        B3="=FUNCTION_VERSION()",
    )
    assert value(book, 1, 2) == "an entry of WHOLE_UNITS is missing or outside its range"
    assert value(book, 2, 2) in (None, "")
    assert isinstance(value(book, 3, 2), str)


def test_ranges_where_one_value_belongs_are_stored_not_guessed(tmp_path: Path) -> None:
    done, book = made(tmp_path, A1=1, A2=9, B1="=SUM(WHOLE_UNITS(A1:A2,4))")
    assert len(done.stored) == 1
    assert "Stored" in book.sheets


def test_everything_else_stays_byte_for_byte(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    first, second = book.active, book.create_sheet("Untouched")
    assert first is not None
    first["A1"] = "=WHOLE_UNITS(9,4)"
    second["A1"] = "kept"
    second["A1"].fill = PatternFill("solid", fgColor="FFEEDD")
    book.save(tmp_path / "job.xlsx")
    plain(tmp_path / "job.xlsx", tmp_path / "plain.xlsx")
    before, after = unpacked(tmp_path / "job.xlsx"), unpacked(tmp_path / "plain.xlsx")
    changed = {part for part in before if before[part] != after[part]}
    assert changed <= {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}


def test_a_workbook_without_our_functions_has_nothing_to_rewrite(tmp_path: Path) -> None:
    with pytest.raises(
        FileProblem, match=r"job\.xlsx calls none of our functions: there is nothing to rewrite"
    ):
        made(tmp_path, A1="=1+1")
    assert not (tmp_path / "job_plain.xlsx").exists()


@pytest.mark.parametrize("formula", ["=COURSE_COUNT(A1,5.125,0.5)", "=BUY_COST(90,2,96,10)"])
def test_a_plain_edition_says_what_it_is_and_what_to_do(
    tmp_path: Path, formula: str, capsys: pytest.CaptureFixture[str]
) -> None:
    made(tmp_path, A1=120, B1=formula)
    file = str(tmp_path / "job_plain.xlsx")
    assert main(["compute", file]) == 0
    assert "job_plain.xlsx is a plain edition: its stored lines keep their values" in capsys.readouterr().out
    assert main(["plain", file, "--output", str(tmp_path / "again.xlsx")]) == 2
    assert "job_plain.xlsx is a plain edition already" in capsys.readouterr().err
    assert main(["compute", str(tmp_path / "job.xlsx")]) == 0
    assert "plain edition" not in capsys.readouterr().out


def test_a_refusal_names_the_files_that_were_given(tmp_path: Path) -> None:
    made(tmp_path, A1="=WHOLE_UNITS(9,4)")
    with pytest.raises(FileProblem, match=r"other\.xlsm must end in \.xlsx, as job\.xlsx does"):
        plain(tmp_path / "job.xlsx", tmp_path / "other.xlsm")


def test_the_workbook_itself_is_never_overwritten(tmp_path: Path) -> None:
    made(tmp_path, A1="=WHOLE_UNITS(9,4)")
    with pytest.raises(FileProblem, match="another name"):
        plain(tmp_path / "job.xlsx", tmp_path / "job.xlsx", force=True)
    with pytest.raises(FileProblem, match="exists"):
        plain(tmp_path / "job.xlsx", tmp_path / "job_plain.xlsx")


def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made(tmp_path, A1="=WHOLE_UNITS(9,4)", A2="=BUY_COST(90,2,96,10)")
    output = str(tmp_path / "other.xlsx")
    assert main(["plain", str(tmp_path / "job.xlsx"), "--output", output]) == 0
    told = capsys.readouterr().out
    assert "1 formulas rewritten" in told
    assert "1 keep their values" in told
    assert main(["plain", str(tmp_path / "job.xlsx"), "--output", output]) == 2


def test_pieces_join_to_the_formula() -> None:
    text = 'IF(A1="","",F(B1, G(2,"a,b"),{1,2})&"x")'
    assert (
        "".join(piece if isinstance(piece, str) else piece.text for piece in pieces(text, {"F": 0, "G": 0}))
        == text
    )


def test_references_get_the_name_of_their_sheet() -> None:
    assert on_own_sheet("SUM($A1:B2,Other!C3,rate)", "It's") == "SUM('It''s'!$A1:B2,Other!C3,rate)"
