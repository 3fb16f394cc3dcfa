"""The command line as a newcomer types it, right and wrong."""

import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName
from small_files import sheet_xml, unpacked, workbook_parts, write_parts

import sheetcalc
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cli import main
from sheetcalc.hosts.calc.offices import Office
from sheetcalc.takeoff.papers import PAPERS

OLE = bytes.fromhex("d0cf11e0a1b11ae1")


class Ran(NamedTuple):
    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> Ran:
        capsys.readouterr()
        try:
            code = main(words)
        except SystemExit as end:
            code = int(str(end.code))
        return Ran(code, *capsys.readouterr())

    return run


@pytest.fixture
def porch(tmp_path: Path, demo_file: Path) -> Path:
    """Copy the demo job into the folder."""
    file = tmp_path / "porch.xlsx"
    file.write_bytes(demo_file.read_bytes())
    return file


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Write a workbook of somebody's own: one call of ours, one formula that nobody knows."""
    cells = (
        '<row r="1"><c r="A1"><v>120</v></c><c r="B1"><f>COURSE_COUNT(A1,5.125,0.5)</f><v>1</v></c></row>'
        '<row r="2"><c r="B2"><f>NOSUCH(A1)</f><v>7</v></c><c r="C2"><f>B2*2</f><v>1</v></c></row>'
    )
    return write_parts(tmp_path / "own.xlsx", workbook_parts({"Job": sheet_xml(cells)}))


def refused(ran: Ran, *words: str) -> None:
    """Check that nothing was done, and that one plain sentence says why."""
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.startswith("sheetcalc")
    assert ran.err.count("\n") == 1
    assert ran.err.endswith(".\n")
    for word in words:
        assert word in ran.err


def process(*words: str, cwd: Path, **more: str) -> subprocess.CompletedProcess[str]:
    code = "import sys; from sheetcalc.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=cwd,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **more},
        check=False,
    )


# --- new ---


def test_new_writes_the_demo_job(run: Run, tmp_path: Path, demo_file: Path):
    ran = run("new", "porch.xlsx")
    assert (ran.code, ran.err) == (0, "")
    first, *lines, last = ran.out.splitlines()
    assert first == "porch.xlsx computed"
    assert len(lines) < 25  # one screen
    assert last.startswith("Next: open porch.xlsx, type into the framed cells, save; then sheetcalc compute")
    answers = dict(re.split(r"\s{2,}", line.strip(), maxsplit=1) for line in lines if "look:" not in line)
    assert re.fullmatch(r"\d+,\d\d\d\.\d\d", answers["Price"])
    assert answers["Margin"] == "20.0%"
    assert answers["Crew"] == "2 people"
    assert answers["Length to cover"].startswith("26'-")
    assert [line for line in lines if "look:" in line] == [
        "  look: not so: Walls are parallel within the take-up (Layout)"
    ]
    assert answers["Points to look at"] == "1"
    assert (tmp_path / "porch.xlsx").read_bytes() == demo_file.read_bytes()
    assert [file.name for file in tmp_path.iterdir()] == ["porch.xlsx"]


def test_a_metric_workbook_is_written(run: Run, tmp_path: Path, metric_file: Path):
    ran = run("new", "porch.xlsx", "--units", "metric")
    assert ran.code == 0
    assert re.search(r"Ceiling area +[\d.]+ m²\n", ran.out)
    assert (tmp_path / "porch.xlsx").read_bytes() == metric_file.read_bytes()
    ran = run("new", "other.xlsx", "--units", "ells")
    assert (ran.code, ran.out) == (2, "")
    assert "us, metric" in ran.err.replace("'", "")


def test_a_blank_workbook_is_done_though_everything_is_missing(run: Run, tmp_path: Path, blank_file: Path):
    ran = run("new", "--blank", "blank.xlsx")
    assert ran.code == 0
    assert re.search(r"Price +-\n", ran.out)
    assert (tmp_path / "blank.xlsx").read_bytes() == blank_file.read_bytes()


def test_new_overwrites_only_by_force(run: Run, tmp_path: Path, demo_file: Path):
    file = tmp_path / "porch.xlsx"
    file.write_bytes(b"my own")
    refused(run("new", "porch.xlsx"), "porch.xlsx already exists")
    assert file.read_bytes() == b"my own"
    assert run("new", "porch.xlsx", "--force").code == 0
    assert file.read_bytes() == demo_file.read_bytes()


@pytest.mark.parametrize("name", ["porch", "porch.txt", "porch.xls", "porch.xlsm", ".."])
def test_new_writes_only_what_it_says_it_is(run: Run, tmp_path: Path, name: str):
    refused(run("new", name), "ends in .xlsx", f"“{name}”")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["", ".", "/"])
def test_a_file_has_a_name(run: Run, name: str):
    refused(run("new", name), "names no file", "see sheetcalc new --help")
    refused(run("compute", name), "names no file")


def test_where_nothing_can_be_written(run: Run, tmp_path: Path, small: Path):
    refused(run("new", "none/porch.xlsx"), "porch.xlsx cannot be written: No such file or directory")
    (tmp_path / "folder.xlsx").mkdir()
    (tmp_path / "file").touch()
    for name, words in {
        "none/x.xlsx": "x.xlsx cannot be written: No such file or directory",
        "file/x.xlsx": "x.xlsx cannot be written",
        "folder.xlsx": "folder.xlsx already exists",
        f"{'porch' * 60}.xlsx": "File name too long",
        "x.csv": "x.csv must end in .xlsx",
        "x": "x must end in .xlsx",
        "": "names no file",
    }.items():
        refused(run("compute", small.name, "--output", name), words)
    refused(run("compute", small.name, "--output", "folder.xlsx", "--force"), "folder.xlsx cannot be written")
    assert sorted(file.name for file in tmp_path.iterdir()) == ["file", "folder.xlsx", "own.xlsx"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is closed to this user")
def test_a_folder_that_is_closed(run: Run, tmp_path: Path, porch: Path):
    tmp_path.chmod(0o500)
    try:
        refused(run("new", "new.xlsx"), "cannot be written: Permission denied")
        refused(run("compute", "porch.xlsx", "--set", "gap=3/4"), "cannot be written: Permission denied")
    finally:
        tmp_path.chmod(0o700)
    assert [file.name for file in tmp_path.iterdir()] == ["porch.xlsx"]


# --- compute ---


def test_compute_after_edits(run: Run, porch: Path):
    book = openpyxl.load_workbook(porch)
    cells = book.defined_names["labor_rate"].attr_text
    sheet, cell = cells.replace("'", "").split("!")
    book[sheet][cell.replace("$", "")] = 71.5
    book.save(porch)
    before = run("compute", "porch.xlsx", "--output", "before.xlsx", "--set", "labor_rate=68")
    ran = run("compute", "porch.xlsx")
    assert (before.code, ran.code, ran.err) == (0, 0, "")
    assert ran.out.startswith("porch.xlsx computed\n  Price ")
    assert before.out.splitlines()[1] != ran.out.splitlines()[1]
    assert openpyxl.load_workbook(porch, data_only=True)[sheet][cell.replace("$", "")].value == 71.5


def test_compute_keeps_what_was_there_before(run: Run, porch: Path, tmp_path: Path):
    original = porch.read_bytes()
    assert run("compute", "porch.xlsx").code == 0
    assert porch.read_bytes() == original
    assert not (tmp_path / "porch.bak.xlsx").exists()  # nothing changed
    assert run("compute", "porch.xlsx", "--set", "gap=3/4").code == 0
    assert porch.read_bytes() != original
    assert (tmp_path / "porch.bak.xlsx").read_bytes() == original
    second = porch.read_bytes()
    assert run("compute", "porch.xlsx", "--set", "gap=1/2", "--output", "porch.xlsx").code == 0
    assert (tmp_path / "porch.bak.xlsx").read_bytes() == original  # the first is never lost
    assert (tmp_path / "porch.bak2.xlsx").read_bytes() == second


def test_compute_into_another_file(run: Run, porch: Path, tmp_path: Path):
    original = porch.read_bytes()
    ran = run("compute", "porch.xlsx", "--output", "wider.xlsx", "--set", "board_wanted=1x8")
    assert ran.out.startswith("wider.xlsx computed\n")
    assert porch.read_bytes() == original
    wider = (tmp_path / "wider.xlsx").read_bytes()
    refused(run("compute", "porch.xlsx", "--output", "wider.xlsx"), "wider.xlsx already exists")
    assert (tmp_path / "wider.xlsx").read_bytes() == wider
    assert run("compute", "porch.xlsx", "--output", "wider.xlsx", "--force").code == 0
    assert (tmp_path / "wider.xlsx").read_bytes() != wider
    assert sorted(file.name for file in tmp_path.iterdir()) == ["porch.xlsx", "wider.xlsx"]


def test_set_takes_what_a_person_types(run: Run, porch: Path):
    words = ["gap=1/2", "gap.2=5/8", "across.1.3=8' 8-3/8\"", "profit=22", "job==1+1", "start_on=2027-06-09"]
    assert run("compute", "porch.xlsx", *(f"--set={word}" for word in words)).code == 0
    book = openpyxl.load_workbook(porch, data_only=True)

    def held(handle: str) -> list[object]:
        sheet, cells = book.defined_names[handle].attr_text.replace("'", "").replace("$", "").split("!")
        rows = book[sheet][cells]
        return [cell.value for row in rows for cell in row] if isinstance(rows, tuple) else [rows.value]

    assert held("gap")[:4] == [0.5, 0.625, 0.5, None]
    assert held("across")[2] == "8' 8-3/8\""
    assert held("profit") == [0.22]
    assert held("job") == ["=1+1"]
    assert str(held("start_on")[0]) == "2027-06-09 00:00:00"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("gap", "--set takes HANDLE=VALUE, not 'gap'"),
        ("=1/2", "--set takes HANDLE=VALUE"),
        ("board_wnated=1x8", "no handle “board_wnated” in porch.xlsx. Close to it: board_wanted"),
        ("price=5000", "price is a result, not an entry: see Price!"),
        ("gap.13=1/2", "gap has no row 13: it has 12 rows"),
        ("across.1.4=1", "across has no cell 4 in a row: it has 3 cells"),
        ("profit=0.25", "profit is a percentage: write 25% or 0.25%"),
        ("stock_price.1=1;2;3;4", "stock_price.1 is given 4 values: it has 3 cells"),
        ("free_quantity=3", "No row of free_quantity is in use yet: name one, such as free_quantity.1"),
    ],
)
def test_set_that_cannot_be_typed_in(run: Run, porch: Path, typed: str, words: str):
    original = porch.read_bytes()
    refused(run("compute", "porch.xlsx", "--set", "gap=1/4", "--set", typed), words)
    assert porch.read_bytes() == original
    assert [file.name for file in porch.parent.iterdir()] == ["porch.xlsx"]


def test_a_length_that_cannot_be_read_stops_the_price(run: Run, porch: Path):
    ran = run("compute", "porch.xlsx", "--set", "across.1=8 feet or so")
    assert ran.code == 1
    assert re.search(r"Price +#N/A\n", ran.out)
    assert re.search(r"Ceiling area +#VALUE!\n", ran.out)
    entry, checks = ran.err.splitlines()
    assert entry.startswith("stop: across.1.1 is “8 feet or so”, but must be a length such as 14'-3 3/8")
    assert entry.endswith(" (Measure!B35: Across)")
    stored = openpyxl.load_workbook(porch, data_only=True)
    stopped = stored["Start"]["A3"].value
    assert [checks] == [
        f"stop: {count} checks fail with it" for count in re.findall(r"stopped: (\d+) to mend", stopped)
    ]
    assert run("compute", "porch.xlsx", "--set", "across.1=8' 8-1/4\"").code == 0


def test_points_to_look_at_do_not_stop(run: Run, porch: Path):
    ran = run("compute", "porch.xlsx", "--set", "year_built=1950", "--set", "owner=")
    assert (ran.code, ran.err) == (0, "")
    assert "  look: not so: House built in 1978 or later (Measure)\n" in ran.out
    assert ran.out.count("look: ") == 3


def test_a_blank_workbook_computed_says_what_is_missing(run: Run, tmp_path: Path, blank_file: Path):
    (tmp_path / "blank.xlsx").write_bytes(blank_file.read_bytes())
    ran = run("compute", "blank.xlsx")
    assert ran.code == 1
    assert len(ran.err.splitlines()) == 9
    assert "missing: Board price (Start)\n" in ran.err
    typed = ["across_one=10'", "across_two=10'", "along_one=14' 3\"", "along_two=14' 3\"", "board_wanted=1x6"]
    typed += ["board_rate=2.35", "labor_rate=68", "hang_rate=0.085", "profit=25"]
    ran = run("compute", "blank.xlsx", *(f"--set={word}" for word in typed))
    assert (ran.code, ran.err) == (0, "")
    assert re.search(r"Price +2,1\d\d.00\n", ran.out)


def test_a_workbook_of_ones_own(run: Run, small: Path):
    before = unpacked(small)
    ran = run("compute", "own.xlsx")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        "own.xlsx computed",
        "  not computed, its stored value kept: Job!B2: it uses NOSUCH, which is not known here",
    ]
    after = unpacked(small)
    sheet = "xl/sheets/1.xml"
    assert {name for name in before if before[name] != after[name]} == {sheet, "xl/workbook.xml"}
    assert after[sheet] == before[sheet].replace(b"</f><v>1</v>", b"</f><v>24</v>", 1).replace(
        b"B2*2</f><v>1</v>", b"B2*2</f><v>14</v>"
    )


def test_a_fault_of_ours_is_named(run: Run, small: Path, monkeypatch: pytest.MonkeyPatch):
    def broken(*_: object, **__: object) -> object:
        raise ZeroDivisionError("no courses")

    monkeypatch.setattr("sheetcalc.hosts.engine.call", broken)
    ran = run("compute", "own.xlsx")
    assert "a fault of sheetcalc, please report it: COURSE_COUNT: ZeroDivisionError: no courses" in ran.out


# --- Files that are none ---


def bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"\0" * 40_000_000)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"Job,Across\nPorch,120\n", "is not an .xlsx file"),
        (b"PK\3\4 and no more", "is damaged or cut short"),
        (OLE + b"\0" * 600, "is in the old .xls format: save it as .xlsx first"),
        (OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "is protected with a password"),
    ],
)
def test_files_that_are_no_workbooks(run: Run, tmp_path: Path, content: bytes, words: str):
    file = tmp_path / "porch.xlsx"
    file.write_bytes(content)
    refused(run("compute", "porch.xlsx"), f"porch.xlsx {words}")
    assert file.read_bytes() == content
    assert [file.name for file in tmp_path.iterdir()] == ["porch.xlsx"]


def test_a_workbook_cut_short(run: Run, porch: Path):
    cut = porch.read_bytes()[:50_000]
    porch.write_bytes(cut)
    refused(run("compute", "porch.xlsx"), "porch.xlsx is damaged or cut short")
    assert porch.read_bytes() == cut


def test_an_archive_that_unpacks_without_end(run: Run, tmp_path: Path):
    bomb(tmp_path / "porch.xlsx")
    refused(run("compute", "porch.xlsx"), "unpacks to more than 200 times its size")


def test_no_file_and_a_folder(run: Run, tmp_path: Path):
    refused(run("compute", "prch.xlsx"), "prch.xlsx is not there")
    (tmp_path / "jobs").mkdir()
    refused(run("compute", "jobs"), "jobs is a folder, not a file")
    refused(run("compute", ".."), "is a folder, not a file")


@pytest.mark.parametrize("lock", ["~$porch.xlsx", ".~lock.porch.xlsx#"])
def test_a_file_that_is_open_elsewhere(run: Run, porch: Path, tmp_path: Path, lock: str):
    original = porch.read_bytes()
    (tmp_path / lock).touch()
    words = ("porch.xlsx is open in another program: close it there first", f"delete {lock}")
    refused(run("compute", "porch.xlsx", "--set", "gap=3/4"), *words)
    if lock.startswith("~"):
        refused(run("new", "porch.xlsx", "--force"), *words)
    assert porch.read_bytes() == original
    assert run("compute", "porch.xlsx", "--output", "other.xlsx").code == 0


# --- cell ---


@pytest.mark.parametrize(
    ("formula", "answer"),
    [
        ("=COURSE_COUNT(120, 5.125, 0.5)", "24"),
        ("course_count(120, 5.125, 0.5)", "24"),
        ('=COURSE_COUNT(3048, 130, 12, "metric")', "24"),
        ('=COURSE_COUNT("10\'", "5-1/8", "1/2")', "24"),
        ('=FEET_INCHES("14\' 3-3/8""")', "14'-3 3/8\""),
        ("=INCH_FRACTION(3048/25.4/7)", "17 1/8"),
        ("=1/3", "0.3333333333333333"),
        ("=0.1+0.2", "0.30000000000000004"),
        ("=2^40", "1099511627776"),
        ("=-0.5", "-0.5"),
        ("=1=1", "TRUE"),
        ("=NOT(TRUE)", "FALSE"),
        ('=""', ""),
        ('="gap "&CUT_LENGTH(171, 0.5)', "gap 170"),
        ("={1,2;3,4}", "1\t2\n3\t4"),
        ("=CUT_LENGTH({171;171.25}*1, 0.5)", "170.125"),
        ('=RIP_WIDTH({"first","last"}, 120, 5.125, 0.5)', "3.125\t3.125"),
        ("=COURSE_MARKS(15, 5, 0, 0)", "1\t5\t5\n2\t5\t10\n3\t5\t15"),
        ("=COURSE_MARKS(10, 5, 0, 0,,,,, 3)", "1\t5\t5\n2\t5\t10\n\t\t"),
        ('=ENTRY_PROBLEM("COURSE_COUNT", 120, 5.125, -1)', "gap is -1 in, but must be 0 or more"),
    ],
)
def test_cell_prints_the_value_and_nothing_else(run: Run, formula: str, answer: str):
    ran = run("cell", formula)
    assert ran == Ran(0, f"{answer}\n", "")


@pytest.mark.parametrize(
    ("formula", "error", "reason"),
    [
        ("=COURSE_COUNT(120, 5.125, -1)", "#NUM!", "gap is -1 in, but must be 0 or more"),
        ('=READ_LENGTH("some feet")', "#VALUE!", "“some feet”"),
        ("=COURSE_COUNT(120, 5.125)", "#VALUE!", "gap"),
        ('=FACE_WIDTH("3x9")', "#N/A", "3x9"),
        ("=COURSE_MARKS(120, 5.125, 0.5,,,,,, 3)", "#NUM!", "rows"),
        ("=1+COURSE_COUNT(0, 5.125, 0.5)", "#NUM!", "across is 0 in"),
        ("=1/0", "#DIV/0!", ""),
        ("=NOSUCH(1)", "#NAME?", "NOSUCH"),
        ("=NA()", "#N/A", ""),
    ],
)
def test_an_error_is_printed_as_itself_and_its_reason_beside(run: Run, formula: str, error: str, reason: str):
    ran = run("cell", formula)
    assert (ran.code, ran.out) == (1, f"{error}\n")
    assert reason in ran.err
    assert ran.err.count("\n") == bool(reason)


def test_cell_as_json(run: Run):
    def told(formula: str) -> tuple[int, object]:
        ran = run("cell", "--json", formula)
        assert ran.err == ""
        assert ran.out.count("\n") == 1
        return ran.code, json.loads(ran.out)

    assert told("=COURSE_COUNT(120, 5.125, 0.5)") == (0, {"value": 24, "reason": ""})
    assert told('="½ gap"') == (0, {"value": "½ gap", "reason": ""})
    assert told("=1=2") == (0, {"value": False, "reason": ""})
    assert told("=1/3") == (0, {"value": 1 / 3, "reason": ""})
    assert told('={1,"";TRUE,4}') == (0, {"value": [[1, ""], [True, 4]], "reason": ""})
    assert told("=COURSE_COUNT(120, 5.125, -1)") == (
        1,
        {"value": "#NUM!", "reason": "gap is -1 in, but must be 0 or more"},
    )


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("", "it cannot be read"),
        ("=", "it cannot be read"),
        ("=SUM(", "it cannot be read"),
        ("=COURSE_COUNT(120; 5.125; 0.5)", "cannot be"),
        ("=A1+1", "it refers to cells, and there are none here"),
        ("=gap*2", "gap"),
    ],
)
def test_formulas_that_are_none(run: Run, formula: str, words: str):
    refused(run("cell", formula), words)


# --- functions ---


def test_functions_lists_all_by_their_arguments(run: Run):
    ran = run("functions")
    assert (ran.code, ran.err) == (0, "")
    lines, summaries = ran.out.splitlines()[::2], ran.out.splitlines()[1::2]
    assert [summary.strip() for summary in summaries] == [known.summary for known in REGISTRY.values()]
    assert [line.partition("(")[0] for line in lines] == list(REGISTRY)
    assert any(line.startswith("COURSE_COUNT(across, face, gap, [finish_gap], ") for line in lines)


@pytest.mark.parametrize("name", ["CUT_LENGTH", "cut_length", "Cut_Length"])
def test_functions_explains_one(run: Run, name: str):
    ran = run("functions", name)
    assert ran.code == 0
    assert ran.out.startswith("CUT_LENGTH(along, gap, ")
    for words in ("along: length (in, mm)", "[most_gap]: ", "#NUM! ", "=CUT_LENGTH("):
        assert words in ran.out


def test_functions_as_markdown(run: Run):
    whole = run("functions", "--markdown")
    one = run("functions", "CUT_LENGTH", "--markdown")
    assert whole.code == one.code == 0
    assert one.out.lstrip().startswith("#")
    assert "CUT_LENGTH" in one.out.splitlines()[0]
    assert one.out.strip() in whole.out
    for name in REGISTRY:
        assert name in whole.out


def test_a_function_that_is_none(run: Run):
    refused(run("functions", "COURSE_COUNTS"), "no function COURSE_COUNTS", "Close to it: COURSE_COUNT")
    refused(run("functions", "zzz"), "There is no function zzz.")


# --- Around the commands ---


@pytest.mark.parametrize(
    "words", [[], ["compte", "porch.xlsx"], ["new"], ["cell"], ["compute", "a.xlsx", "--sett"]]
)
def test_words_that_are_no_command(run: Run, words: list[str]):
    refused(run(*words), "--help")


def test_help_names_every_command(run: Run):
    ran = run("--help")
    assert ran.code == 0
    for command in ("new", "compute", "cell", "functions"):
        assert re.search(rf"^ +{command}\s+\w", ran.out, re.MULTILINE)
        assert run(command, "--help").code == 0
    assert run("--version").out == f"sheetcalc {sheetcalc.__version__}\n"


def test_stopped_by_the_keyboard(run: Run, porch: Path, monkeypatch: pytest.MonkeyPatch):
    def stopped(*_: object, **__: object) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr("sheetcalc.workbooks.compute.compute", stopped)
    refused(run("compute", "porch.xlsx"), "Stopped; nothing was written")


def test_as_a_process(tmp_path: Path, porch: Path):
    ran = process("cell", "=COURSE_COUNT(120, 5.125, 0.5)", cwd=tmp_path)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "24\n", "")
    ran = process("compute", "porch.xlsx", "--set", "gap=far", cwd=tmp_path)
    assert ran.returncode == 1
    assert ran.stderr.startswith("stop: ")
    ran = process("compute", "none.xlsx", cwd=tmp_path)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert ran.stderr == "sheetcalc: none.xlsx is not there.\n"


def test_a_terminal_of_another_encoding(tmp_path: Path):
    ran = process("functions", "--markdown", cwd=tmp_path, PYTHONIOENCODING="ascii")
    assert ran.returncode == 0
    assert "?" in ran.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_a_reader_that_has_seen_enough(tmp_path: Path):
    code = "import sys; from sheetcalc.cli import main; sys.exit(main(['functions', '--markdown']))"
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""


def test_the_module_stands_as_a_script():
    scripts = (Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8")
    assert 'sheetcalc = "sheetcalc.cli:main"' in scripts


# --- names, fill ---


def test_names_lists_what_can_be_filled(run: Run, porch: Path):
    ran = run("names", "porch.xlsx")
    assert (ran.code, ran.err) == (0, "")
    assert re.search(r"^Price\n", ran.out, re.MULTILINE)
    assert re.search(r"^  result  price  +Price +\d+,\d\d\d\.00$", ran.out, re.MULTILINE)
    assert re.search(r"^  entry   gap +Gap +3 of 12 rows", ran.out, re.MULTILINE)
    assert re.search(r"^  entry   least +Least first or last course +-$", ran.out, re.MULTILINE)
    assert re.search(r"^  table   options ", ran.out, re.MULTILINE)
    assert len({line.index("  Price  ") for line in ran.out.splitlines() if "  Price  " in line}) == 1
    assert re.search(r"^ +by row: payment_one, payment_two, payment_three$", ran.out, re.MULTILINE)
    few = run("names", "porch.xlsx", "payment", "AMOUNT")
    assert "payment_amount" in few.out
    assert "payment_usual" not in few.out
    assert "good_until" not in few.out
    refused(run("names", "porch.xlsx", "nosuchthing"), "no name like nosuchthing")


def test_names_that_only_work_things_out_are_left_out(run: Run, porch: Path):
    few, every = run("names", "porch.xlsx", "gap"), run("names", "porch.xlsx", "gap", "--all")
    assert "\nWorking\n" not in few.out
    assert "\nWorking\n" in every.out
    *told, last = few.out.splitlines()
    seen, everything = (
        {line.split()[1] for line in lines if line.startswith("  ")}
        for lines in (told, every.out.splitlines())
    )
    more = everything - seen
    assert last == f"{len(more)} more, with which these are worked out: --all lists them."


def test_compute_says_what_comes_next_when_nothing_stops(run: Run, porch: Path):
    ran = run("compute", "porch.xlsx", "--output", "done.xlsx")
    assert ran.out.splitlines()[-1].startswith("Next: sheetcalc print done.xlsx --pdf papers.pdf")
    ran = run("compute", "porch.xlsx", "--set", "profit=abc", "--output", "done.xlsx", "--force")
    assert "Next: " not in ran.out


@pytest.fixture
def form(tmp_path: Path) -> Path:
    book = openpyxl.Workbook()
    for name, cell in {"owner": "$B$2", "price": "$B$3", "prize": "$B$4"}.items():
        book.defined_names[name] = DefinedName(name, attr_text=f"Sheet!{cell}")
    book.save(tmp_path / "form.xlsx")
    return tmp_path / "form.xlsx"


def test_fill_tells_what_it_filled(run: Run, porch: Path, form: Path, tmp_path: Path):
    ran = run("fill", "form.xlsx", "--from", "porch.xlsx", "--output", "bid.xlsx")
    assert (ran.code, ran.err) == (0, "")
    first, *lines = ran.out.splitlines()
    assert first == "bid.xlsx written: form.xlsx with the values of porch.xlsx"
    assert re.fullmatch(r"  owner +Sheet!B2 +R\. and T\. Quillfeather", lines[0])
    assert re.fullmatch(r"  price +Sheet!B3 +\d+,\d\d\d\.00", lines[1])
    assert "prize: no name of porch.xlsx" in lines[2]
    assert openpyxl.load_workbook(tmp_path / "bid.xlsx").active["B2"].value == "R. and T. Quillfeather"
    refused(run("fill", "form.xlsx", "--from", "porch.xlsx", "--output", "bid.xlsx"), "--force")


def test_fill_of_a_stopped_takeoff_says_so(run: Run, blank_file: Path, form: Path, tmp_path: Path):
    ran = run("fill", "form.xlsx", "--from", str(blank_file), "--output", "bid.xlsx")
    assert ran.code == 1
    assert "price: blank.xlsx holds nothing there yet" in ran.out
    assert "missing: " in ran.err
    assert openpyxl.load_workbook(tmp_path / "bid.xlsx").active["B3"].value is None


# --- print ---


@pytest.fixture
def printer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in for an installed office."""

    def printed(self: Office, workbook: Path, folder: Path) -> Path:
        (folder / "out.pdf").write_bytes(b"%PDF")
        return folder / "out.pdf"

    monkeypatch.setattr(Office, "printed", printed)
    monkeypatch.setattr("sheetcalc.hosts.calc.offices.find_office", lambda given: Office(Path(), Path()))


@pytest.mark.usefixtures("printer")
def test_print_prints_the_usual_papers_or_those_asked_for(run: Run, porch: Path, tmp_path: Path):
    before = porch.read_bytes()
    ran = run("print", "porch.xlsx", "--pdf", "papers.pdf")
    assert (ran.code, ran.err) == (0, "")
    look = "  look: not so: Walls are parallel within the take-up (Layout)"
    assert ran.out.splitlines() == ["papers.pdf printed: scaffold, saw, yard, bid", look]
    assert (tmp_path / "papers.pdf").read_bytes() == b"%PDF"
    assert porch.read_bytes() == before
    both = run("print", "porch.xlsx", "--pdf", "papers.pdf", "--paper", "bid, inside", "--force")
    assert both.out.splitlines() == [
        "papers.pdf printed: inside, bid",
        "  inside is for you alone: take it out before the bid goes to the owner.",
        look,
    ]


def test_print_lists_the_papers_in_the_words_that_ask_for_them(run: Run):
    assert f"of {', '.join(PAPERS)}, such as" in " ".join(run("print", "--help").out.split())


@pytest.mark.usefixtures("printer")
def test_print_of_a_stopped_takeoff_says_so_but_a_site_sheet_is_empty_anyway(
    run: Run, tmp_path: Path, blank_file: Path
):
    ran = run("print", str(blank_file), "--pdf", "papers.pdf")
    assert ran.code == 1
    assert ran.err.startswith("The page bid says that it is none: there is no price.\nmissing: ")
    ran = run("print", str(blank_file), "--pdf", "site.pdf", "--paper", "site")
    assert (ran.code, ran.out, ran.err) == (0, "site.pdf printed: site\n", "")


def test_print_without_what_it_needs(run: Run, porch: Path, small: Path, monkeypatch: pytest.MonkeyPatch):
    refused(run("print", "porch.xlsx", "--pdf", "p.pdf", "--paper", "bids"), "no paper “bids”", "yard")
    refused(run("print", "own.xlsx", "--pdf", "p.pdf"), "own.xlsx has no sheet Layout")
    refused(run("print", "porch.xlsx", "--pdf", "p.pdf", "--office", "nowhere"), "no LibreOffice in nowhere")
    Path("p.pdf").write_bytes(b"")
    refused(run("print", "porch.xlsx", "--pdf", "p.pdf"), "--force")
