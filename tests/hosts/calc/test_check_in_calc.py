"""What `sheetcalc calc check` finds in a real office."""

import os
import time
from pathlib import Path

import pytest
from calc_office import LiveOffice, office_or_skip, prepared

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.cli import main
from sheetcalc.hosts.calc import offices
from sheetcalc.hosts.calc.check import Call, check, recalculated
from sheetcalc.hosts.calc.offices import OfficeProblem


def test_every_example_is_answered_as_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    office = prepared(office_or_skip(), tmp_path)
    monkeypatch.setattr(offices, "find_office", lambda _: office)
    assert main(["calc", "check"]) == 0
    assert capsys.readouterr().out.startswith(f"{len(REGISTRY)} of {len(REGISTRY)} functions answer in ")


def test_a_mismatch_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    office = prepared(office_or_skip(), tmp_path)
    monkeypatch.setattr(offices, "find_office", lambda _: office)
    real = REGISTRY["INCH_FRACTION"]
    from sheetcalc.hosts.calc import check as module

    there = module.call
    monkeypatch.setattr(
        module, "call", lambda function, args: CellError.NA if function is real else there(function, args)
    )
    assert main(["calc", "check"]) == 1
    told = capsys.readouterr().out
    assert "=INCH_FRACTION(182.375)\n    Calc:   “182 3/8”\n    Python: #N/A\n" in told
    assert f"{len(REGISTRY) - 1} of {len(REGISTRY)}" in told


def test_an_office_without_the_functions(tmp_path: Path):
    office = office_or_skip()
    bare = type(office)(office.programs, tmp_path, (f"-env:UserInstallation={tmp_path.as_uri()}",))
    with pytest.raises(OfficeProblem, match="does not know the functions: run “sheetcalc calc install”"):
        check(bare)


def test_a_python_that_has_moved_is_told_and_no_number_is_shown(tmp_path: Path):
    office = prepared(office_or_skip(), tmp_path, starts=[str(tmp_path / "gone"), "-m", "sheetcalc.cli"])
    with pytest.raises(OfficeProblem, match="is not there any more: run “sheetcalc calc install” again"):
        check(office)
    answers = recalculated(office, [Call("COURSE_COUNT(120,5.125,0.5)"), Call("INCH_FRACTION({1.5;2})", 2)])
    assert answers == [[[CellError.VALUE]], [[CellError.VALUE], [CellError.VALUE]]]


@pytest.mark.skipif(os.name == "nt", reason="ps tells of processes on Linux and macOS")
def test_the_helper_ends_with_the_office(tmp_path: Path):
    office = LiveOffice(tmp_path)
    try:
        office.open("private:factory/scalc")
        office.formula("Sheet1", "A1", '=COURSE_COUNT("120 in";5.125;0.5)')
        assert office.cells("Sheet1", "A1") == [[24.0]]
        (helper,) = office.helpers()
    finally:
        office.quit()
    end = time.monotonic() + 10
    while runs(helper) and time.monotonic() < end:
        time.sleep(0.1)
    assert not runs(helper)


def runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True
