"""`sheetcalc compare` as a person types it, and the files that it writes."""

import csv
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from small_files import unpacked

from sheetcalc.cli import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    tmp_path: Path, demo_file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run `sheetcalc compare porch.xlsx …` beside a copy of the demo job; it must never change."""
    monkeypatch.chdir(tmp_path)
    porch = tmp_path / "porch.xlsx"
    porch.write_bytes(demo_file.read_bytes())

    def run(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main(["compare", "porch.xlsx", *words])
        assert porch.read_bytes() == demo_file.read_bytes()
        return code, *capsys.readouterr()

    return run


def test_side_by_side_where_they_are_few(run: Run):
    code, out, err = run("--vary", "board_wanted=1x6,1x8", "--vary", "gap=1/2,3/4")
    assert (code, err) == (0, "")
    first, *lines = out.splitlines()
    assert first == "porch.xlsx: 4 combinations"
    assert lines[0].split() == ["board_wanted", "1x6", "1x6", "1x8", "1x8"]
    assert lines[1].split() == ["gap", "1/2", "3/4", "1/2", "3/4"]
    prices = next(line.split() for line in lines if line.startswith("  price "))
    assert re.fullmatch(r"\d\d,\d\d\d\.00", prices[1])
    assert lines[-2].split() == ["cheapest"]
    taken = {
        number: f"--set board_wanted={lines[0].split()[number]} --set gap={lines[1].split()[number]}"
        for number in range(1, 5)
    }
    least = min(range(1, 5), key=lambda number: float(prices[number].replace(",", "")))
    assert lines[-1] == f"To take the cheapest: sheetcalc compute porch.xlsx {taken[least]}"
    assert all(len(line) <= 100 for line in lines)


def test_one_below_the_other_where_they_are_more(run: Run):
    code, out, _ = run("--vary", "profit=10,12,14,16,18,20,22,24,26,28,30")
    lines = out.splitlines()
    assert code == 0
    assert lines[1].split()[:3] == ["profit", "price", "price_per_area"]
    assert [line.split()[0] for line in lines[2:13]] == [str(profit) for profit in range(10, 31, 2)]
    assert [line.endswith("cheapest") for line in lines[2:13]] == [True] + [False] * 10
    assert "Not shown for want of width: " in out
    assert "--output F.xlsx or F.csv writes all of it" in out


def test_only_the_cheapest_of_very_many(run: Run):
    _, out, _ = run("--vary", f"profit={','.join(map(str, range(60, 10, -1)))}", "--show", "price,profit")
    lines = out.splitlines()
    assert [line.split()[0] for line in lines[2:5]] == ["11", "12", "13"]
    assert "The 20 cheapest of 50." in lines


def test_errors_are_told_and_told_why(run: Run):
    code, out, _ = run("--vary", "board_wanted=1x6,1x10", "--show", "price,joints_total")
    assert code == 1
    assert re.search(r"price +10,\d\d\d\.00 +#N/A\n", out)
    assert "#N/A in price: stop: board_wanted is “1x10”: there is none of that name (Start!B10: Board)" in out


def test_what_cannot_be_read_is_named(run: Run):
    _, out, _ = run("--vary", "gap=half,1/2", "--show", "price")
    assert "#N/A in price: gap is “half”, but must be a length such as 14'-3 3/8\"" in out
    assert "cheapest" not in out


def test_what_costs_the_same_is_not_called_the_cheapest(run: Run):
    _, out, _ = run("--vary", "board_rate=3,4", "--show", "price")
    assert out.splitlines()[-1].split() == ["same", "price"] * 2
    _, out, _ = run("--vary", "gap=1/2", "--show", "price")
    assert out.splitlines()[-1].split()[0] == "price"


def test_help_tells_the_two_boards_apart(capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit):
        main(["compare", "--help"])
    words = " ".join(capsys.readouterr().out.split())
    assert "board_wanted, on Start; board is that of each ceiling, on Measure, and counts before it" in words


def test_a_workbook_out(run: Run, tmp_path: Path):
    words = ("--vary", "board_wanted=1x8,1x6,1x10", "--vary", "gap=1/2,3/4", "--output", "out.xlsx")
    code, out, _ = run(*words)
    assert code == 1
    assert out.splitlines()[-1] == "Written: out.xlsx"
    first = unpacked(tmp_path / "out.xlsx")
    sheet: Any = openpyxl.load_workbook(tmp_path / "out.xlsx")["Compare"]
    heads, *rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=3, max_row=9)]
    assert heads[:5] == ["Combination", "Board", "Gap", "Price", "Price per area"]
    assert rows[0][:3] == ["1x8, 1/2", "1x8", 0.5]
    assert [row[3] for row in rows][4:] == ["#N/A", "#N/A"]
    assert sheet["D8"].data_type == "e"
    assert sheet["D4"].number_format == "#,##0.00"
    assert [row[-1] for row in rows].count("cheapest") == 1
    assert sheet.print_title_rows == "$3:$3"
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.freeze_panes == "B4"
    (chart,) = sheet._charts
    assert chart.series[0].val.numRef.f == "'Compare'!$D$4:$D$9"
    assert chart.series[0].cat.numRef.f == "'Compare'!$A$4:$A$9"
    run(*words, "--force")
    assert unpacked(tmp_path / "out.xlsx") == first


def test_plain_values_out(run: Run, tmp_path: Path):
    code, *_ = run(
        "--vary", 'owner==1+1,@so,-4,"Hale, sons"', "--show", "owner,waste,price", "--output", "out.csv"
    )
    assert code == 0
    data = (tmp_path / "out.csv").read_bytes()
    assert data.count(b"\r\n") == data.count(b"\n") == 5
    heads, *rows = csv.reader(data.decode().splitlines())
    assert heads == ["combination", "owner", "owner", "waste", "price", "cheapest"]
    assert [row[2] for row in rows] == ["'=1+1", "'@so", "-4", "Hale, sons"]
    assert float(rows[0][3]) == pytest.approx(0.159, abs=0.01)
    assert rows[0][4] == "10850"


def test_very_many_are_a_line(run: Run, tmp_path: Path):
    run("--vary", f"profit={','.join(map(str, range(1, 60)))}", "--show", "price", "--output", "out.xlsx")
    assert b"lineChart" in unpacked(tmp_path / "out.xlsx")["xl/charts/chart1.xml"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "Say what to compare: --vary HANDLE=VALUE,VALUE, or --sensitivity."),
        (["--vary", "gap=1", "--sensitivity"], "--vary and --sensitivity are two questions"),
        (["--vary", "gap=1", "--step", "5%"], "--step, --of and --verbose go with --sensitivity."),
        (["--sensitivity", "--step", "5"], "--step takes a share such as 5%"),
        (["--vary", "gap"], "--vary takes HANDLE=VALUE,VALUE, not 'gap'."),
        (
            ["--vary", "gpa=1"],
            "There is no handle “gpa” in porch.xlsx. Close to it: gap. sheetcalc names lists them.",
        ),
        (["--vary", "gap=1", "--output", "out.txt"], "written as .xlsx or .csv, but “out.txt” is neither."),
        (["--vary", "gap=1", "--output", "porch.xlsx", "--force"], "porch.xlsx is the workbook itself"),
        (
            ["--vary", "gap=1", "--output", "old.csv"],
            "old.csv already exists; with --force it is overwritten.",
        ),
    ],
)
def test_refused_in_one_sentence(run: Run, tmp_path: Path, words: list[str], sentence: str):
    (tmp_path / "old.csv").write_text("kept")
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert sentence in err
    assert err.count("\n") == 1
    assert (tmp_path / "old.csv").read_text() == "kept"


def test_how_far_it_is(run: Run, monkeypatch: pytest.MonkeyPatch):
    from sheetcalc.workbooks.compare import commands

    monkeypatch.setattr(commands, "_SLOW", 0.0)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    _, _, err = run("--vary", "profit=10,20", "--show", "price")
    assert " 1 of 2 " in err
    assert err.endswith("\033[K")


def test_what_moves_the_price(run: Run, tmp_path: Path):
    words = ("--sensitivity", "--of", "cost_labor", "--step", "labor_rate=5%", "--output", "moves.xlsx")
    code, out, err = run(*words)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("porch.xlsx: cost_labor is 3,98")
    rate = next(line for line in lines if " labor_rate " in line)
    assert rate.split() == ["Loaded", "rate", "labor_rate", "68.00", "5", "%", "-199.25", "+199.25"]
    assert lines[-1] == "Written: moves.xlsx"
    sheet: Any = openpyxl.load_workbook(tmp_path / "moves.xlsx")["Compare"]
    assert [cell.value for cell in sheet[3]] == ["Entry", "Handle", "Now", "Step", "By it less", "By it more"]
    (chart,) = sheet._charts
    assert [series.val.numRef.f[:12] for series in chart.series] == ["'Compare'!$E", "'Compare'!$F"]
    assert chart.type == "bar"
