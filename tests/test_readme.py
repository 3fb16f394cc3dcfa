"""What README.md says is so."""

import re
import shlex
from pathlib import Path

import pytest

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.cli import main
from sheetcalc.hosts.headless import evaluate_formula
from sheetcalc.takeoff import sheets
from sheetcalc.workbooks.handles import Handles
from sheetcalc.xlsx.workbook import Workbook

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8") if (TOP / "DEVELOPERS.md").exists() else ""
BLOCKS = re.findall(r"^```\w*\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
COMMANDS = re.findall(r"^sheetcalc (.+?)(?:   .*)?$", "\n".join(BLOCKS), re.MULTILINE)
FORMULAS = [
    re.split(r"\s{2,}", line)[0]
    for line in re.findall(r"^(=.+)$", "\n".join(BLOCKS), re.MULTILINE) + re.findall(r"`(=[^`]+)`", README)
]
SIGNATURES = [formula for formula in FORMULAS if "[" in formula]
ON_CELLS = [formula for formula in FORMULAS if re.search(r"\b[A-Z]{1,2}\d+:", formula)]
EXAMPLES = [formula for formula in FORMULAS if formula not in SIGNATURES + ON_CELLS]
PICTURES = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)


def test_the_first_paragraph_says_what_the_job_is():
    title, first, *_ = README.split("\n\n")
    assert title == "# sheetcalc"
    second = README.split("\n\n")[2] if len(first.split()) < 20 else first
    words = " ".join(second.split())
    for part in ("porch ceilings", "tongue-and-groove", "courses", "rip", "cut", "price"):
        assert part in words
    assert len(words.split()) < 120


def test_it_sets_up_in_one_command_and_tests_in_another():
    setups = [block.strip() for block in BLOCKS if block.startswith("python3 -m venv")]
    assert len(setups) == 2
    assert setups[0].endswith("sheetcalc new porch.xlsx")
    assert setups[1].endswith("-m pytest -q -n auto")
    assert all("\n" not in block for block in setups)


def test_there_are_examples():
    assert len(COMMANDS) >= 5
    assert len(EXAMPLES) >= 3
    assert SIGNATURES
    assert ON_CELLS


@pytest.mark.parametrize("line", COMMANDS)
def test_commands_are_commands(line: str, capsys: pytest.CaptureFixture[str]):
    command, *words = shlex.split(line.replace("[", "").replace("]", ""))
    with pytest.raises(SystemExit) as end:
        main([command, "--help"])
    assert end.value.code == 0
    told = capsys.readouterr().out
    for word in words:
        if word.startswith("--"):
            assert word in told
    assert re.search(rf"\b{command}\b", told)


def test_every_command_is_named(capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit):
        main(["--help"])
    known = set(re.findall(r"^    ([a-z]+)\b", capsys.readouterr().out, re.MULTILINE))
    assert len(known) > 3
    assert {line.split()[0] for line in COMMANDS} == known


def test_handles_are_handles(demo_file: Path):
    handles = Handles(Workbook(demo_file))
    named = re.findall(r"--set ([a-z_.\d]+)=", README) + re.findall(r"`([a-z_]+\.[\d.]+)=", README)
    assert len(named) >= 4
    for handle in named:
        assert handles.area(handle)


@pytest.mark.parametrize("formula", EXAMPLES)
def test_formulas_work(formula: str):
    answer, reason = evaluate_formula(formula)
    assert not isinstance(answer, CellError)
    assert reason == ""


def test_formulas_work_on_the_command_line(capsys: pytest.CaptureFixture[str]):
    for line in COMMANDS:
        command, *words = shlex.split(line)
        if command == "cell":
            assert main([command, *words]) == 0
            assert capsys.readouterr().out == "24\n"


def test_an_entry_problem_is_what_is_quoted():
    formula = next(formula for formula in EXAMPLES if formula.startswith("=ENTRY_PROBLEM"))
    answer, _ = evaluate_formula(formula)
    assert f"*{answer}*" in " ".join(README.split())


@pytest.mark.parametrize("formula", SIGNATURES)
def test_signatures_are_those_of_the_functions(formula: str):
    assert formula.removeprefix("=") == REGISTRY[formula[1 : formula.index("(")]].signature


def test_every_function_named_is_one():
    named = set(re.findall(r"\b([A-Z]+_[A-Z_]+)\b(?=[(` ])", README))
    assert "COURSE_COUNT" in named
    assert named - set(REGISTRY) == set()


def test_the_table_of_sheets_is_that_of_the_workbook():
    rows = re.findall(r"^\| ([A-Z][\w, ]*) \| (.+) \|$", README, re.MULTILINE)
    titles = [title for row, _ in rows for title in row.split(", ")]
    assert titles == [sheet.title for sheet in sheets()]


def test_counts_of_ceilings_and_fixtures():
    from sheetcalc.takeoff.measure import CEILINGS, FIXTURES

    assert f"up to {CEILINGS} ceilings" in README
    assert f"{FIXTURES} fixtures" in README


def test_every_error_is_explained():
    for error in ("#VALUE!", "#NUM!", "#N/A", "#NAME?"):
        assert f"| `{error}` |" in README


def test_pictures_are_there():
    assert PICTURES
    folder = TOP / Path(PICTURES[0]).parent
    if not list(folder.glob("*.png")):
        pytest.skip("no picture is drawn yet")
    missing = [picture for picture in PICTURES if not (TOP / picture).exists()]
    assert missing == [], f"README.md shows pictures that are not there: {missing}"
    assert {file.name for file in folder.iterdir()} == {Path(picture).name for picture in PICTURES}


@pytest.mark.skipif(not DEVELOPERS, reason="DEVELOPERS.md is not beside these tests")
def test_the_rooms_are_those_of_the_package():
    import sheetcalc

    house = Path(sheetcalc.__file__).parent
    rooms_alone = DEVELOPERS.partition("## The rooms")[2].partition("\n## ")[0]
    named = re.findall(r"^\| (`.+?`) \|", rooms_alone, re.MULTILINE)
    rooms = [room for row in named for room in re.findall(r"`([\w/.]+)`", row)]
    assert {"trade/", "cells/", "xlsx/", "hosts/", "workbooks/", "takeoff/", "cli.py"} <= set(rooms)
    for room in rooms:
        assert (house / room).exists(), room
