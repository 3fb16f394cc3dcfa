"""Offices found, and what is said when they refuse: with small programs in their place."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cli import main
from sheetcalc.hosts.calc import offices
from sheetcalc.hosts.calc.offices import Office, OfficeProblem, environment, profile_folder, usual_places

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the programs that stand for an office are scripts")

ROOT = 'echo "ERROR: Cannot run unopkg as root without --shared or --bundled option."; exit 1'
Makes = Callable[..., Path]


@pytest.fixture
def makes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Makes:
    """Make an office of two scripts; each notes the words it was given."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))

    def office(unopkg: str = "exit 0", soffice: str = "exit 0") -> Path:
        folder = tmp_path / "office" / "program"
        folder.mkdir(parents=True, exist_ok=True)
        for name, script in (("unopkg", unopkg), ("soffice", soffice)):
            file = folder / name
            file.write_text(f'#!/bin/sh\necho "$@" > "{tmp_path}/{name}.words"\n{script}\n')
            file.chmod(0o755)
        return folder.parent

    return office


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, str]:
    code = main(["calc", *map(str, words)])
    told = capsys.readouterr()
    return code, told.out + told.err


def test_install_and_remove(makes: Makes, capsys: pytest.CaptureFixture[str], tmp_path: Path):
    office = makes('if [ "$1" = list ]; then echo "Identifier: sheetcalc"; fi')
    code, told = run(capsys, "install", "--office", office)
    assert code == 0
    assert f"{len(REGISTRY)} functions are installed in {office / 'program'}" in told
    assert sys.executable in told
    words = (tmp_path / "unopkg.words").read_text().split()
    assert words[:3] == ["add", "--force", "--suppress-license"]
    assert words[3].endswith("sheetcalc.oxt")
    code, told = run(capsys, "remove", "--office", office / "program")
    assert (code, told) == (0, f"The functions are removed from {office / 'program'}.\n")
    assert (tmp_path / "unopkg.words").read_text() == "remove sheetcalc\n"


@pytest.mark.parametrize(
    ("script", "words"),
    [
        (ROOT, "takes no extension from the administrator (root)"),
        ('echo "ERROR: no room"; echo "ERROR: unopkg failed."; exit 1', "refused: no room."),
        ("exit 3", "refused: it ended with 3."),
    ],
)
def test_an_office_that_refuses(makes: Makes, capsys: pytest.CaptureFixture[str], script: str, words: str):
    code, told = run(capsys, "install", "--office", makes(script))
    assert code == 2
    assert words in told
    assert told.count("\n") == 1
    assert run(capsys, "remove", "--office", makes(script))[0] == 2


def test_nothing_to_remove(makes: Makes, capsys: pytest.CaptureFixture[str]):
    office = makes('echo "Identifier: another.one"')
    code, told = run(capsys, "remove", "--office", office)
    assert code == 0
    assert "not installed" in told


def test_an_office_that_runs(makes: Makes, capsys: pytest.CaptureFixture[str], tmp_path: Path):
    lock = tmp_path / "config/libreoffice/4/.lock"
    lock.parent.mkdir(parents=True)
    lock.touch()
    for action in ("install", "remove", "check"):
        code, told = run(capsys, action, "--office", makes())
        assert code == 2
        assert told == f"sheetcalc: LibreOffice is running: close it first. If none runs, delete {lock}.\n"


def test_no_office(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch):
    code, told = run(capsys, "install", "--office", tmp_path)
    assert (code, told) == (2, f"sheetcalc: There is no LibreOffice in {tmp_path}.\n")
    monkeypatch.setattr(offices, "usual_places", lambda *_: iter([tmp_path]))
    code, told = run(capsys, "check")
    assert code == 2
    assert "--office" in told


def test_an_office_that_is_shut_in(makes: Makes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    makes()
    left = tmp_path / ".local/share/flatpak/exports/bin/org.libreoffice.LibreOffice"
    left.parent.mkdir(parents=True)
    left.touch()
    monkeypatch.setattr(offices, "usual_places", lambda *_: iter([tmp_path]))
    with pytest.raises(OfficeProblem, match="Snap or Flatpak only, which cannot start a program"):
        offices.find_office()


def test_an_office_that_saves_nothing(makes: Makes, capsys: pytest.CaptureFixture[str]):
    code, told = run(capsys, "check", "--office", makes(soffice='echo "no display"; exit 1'))
    assert code == 2
    assert "saved nothing: no display." in told


def test_a_new_profile_wants_a_second_start(makes: Makes, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    count = f'echo x >> "{tmp_path}/starts"; exit 81'
    run(capsys, "check", "--office", makes(soffice=count))
    assert (tmp_path / "starts").read_text() == "x\nx\n"


def test_an_office_that_is_not_done(
    makes: Makes, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setattr(offices, "_UNOPKG_WITHIN", 0.3)
    code, told = run(capsys, "install", "--office", makes("exec sleep 60"))
    assert code == 2
    assert "was ended: it was not done after 0 seconds" in told


def test_what_an_office_has_started_is_ended_with_it(
    makes: Makes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(offices, "_UNOPKG_WITHIN", 1.0)
    folder = makes(f'sleep 60 & echo $! > "{tmp_path}/child"; wait') / "program"
    with pytest.raises(OfficeProblem, match="was ended"):
        Office(folder, tmp_path / "profile").add(tmp_path / "x.oxt")
    child = int((tmp_path / "child").read_text())
    end = time.monotonic() + 10
    while alive(child) and time.monotonic() < end:
        time.sleep(0.05)
    assert not alive(child)


def test_stopped_by_the_keyboard(makes: Makes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(subprocess.Popen, "communicate", stopped)
    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        Office(makes("exec sleep 60") / "program", tmp_path / "profile").add(tmp_path / "x.oxt")
    assert time.monotonic() - start < 30


def alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    state = subprocess.run(["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True).stdout
    return bool(state.strip()) and not state.startswith("Z")


def test_programs_that_do_not_start(makes: Makes, tmp_path: Path):
    folder = makes() / "program"
    (folder / "unopkg").chmod(0o644)
    office = Office(folder, tmp_path / "profile")
    with pytest.raises(OfficeProblem, match="unopkg does not start: "):
        office.add(tmp_path / "x.oxt")
    (folder / "unopkg").unlink()
    with pytest.raises(OfficeProblem, match="holds no unopkg"):
        office.add(tmp_path / "x.oxt")


def test_the_usual_places_of_three_systems(tmp_path: Path):
    (tmp_path / "soffice").write_text("")
    (tmp_path / "soffice").chmod(0o755)
    linux = [*usual_places("linux", {"PATH": str(tmp_path)}, tmp_path)]
    assert linux[0] == tmp_path.resolve()
    assert Path("/usr/lib/libreoffice/program") in linux
    mac = [*usual_places("darwin", {}, tmp_path)]
    assert mac[0] == Path("/Applications/LibreOffice.app/Contents/MacOS")
    windows = [*usual_places("win32", {"ProgramFiles": "P", "ProgramFiles(x86)": "Q"}, tmp_path)]
    assert windows == [Path("P/LibreOffice/program"), Path("Q/LibreOffice/program")]


def test_the_profiles_of_three_systems(tmp_path: Path):
    assert profile_folder("linux", {}, tmp_path) == tmp_path / ".config/libreoffice/4"
    assert profile_folder("linux", {"XDG_CONFIG_HOME": "/x"}, tmp_path) == Path("/x/libreoffice/4")
    assert profile_folder("darwin", {}, tmp_path).name == "4"
    assert profile_folder("win32", {"APPDATA": "A"}, tmp_path) == Path("A/LibreOffice/4")


def test_the_office_does_not_find_our_python(tmp_path: Path):
    (tmp_path / "python3").write_text("")
    (tmp_path / "tools").mkdir()
    path = os.pathsep.join([str(tmp_path), str(tmp_path / "tools"), "/usr/bin"])
    kept = environment({"PATH": path, "VIRTUAL_ENV": "x", "PYTHONPATH": "y", "HOME": "z"})
    assert kept == {"PATH": os.pathsep.join([str(tmp_path / "tools"), "/usr/bin", "/bin"]), "HOME": "z"}
    assert environment({"PATH": path, "PYTHONHOME": "y"}, "win32") == {"PATH": path}


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="only the administrator can be nobody"
)
def test_the_real_unopkg_takes_it(tmp_path: Path):
    from calc_office import office_or_skip

    office = office_or_skip()
    home = tmp_path / "home"
    home.mkdir()
    assert main(["calc", "package", str(home / "sheetcalc.oxt")]) == 0
    for path in (home, home / "sheetcalc.oxt"):
        os.chown(path, 65534, 65534)
    for folder in home.parents:
        if folder.stat().st_mode & 0o005 != 0o005 and folder.is_relative_to(tmp_path.parents[2]):
            folder.chmod(0o755)

    def unopkg(*words: str) -> str:
        done = subprocess.run(
            [str(office.programs / "unopkg"), *words],
            user=65534,
            group=65534,
            extra_groups=[],
            env={**environment(os.environ), "HOME": str(home), "XDG_CONFIG_HOME": str(home / ".config")},
            cwd=home,
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    unopkg("add", "--force", "--suppress-license", str(home / "sheetcalc.oxt"))
    told = unopkg("list")
    assert "Identifier: sheetcalc" in told
    assert told.count("is registered: yes") == 5
    unopkg("remove", "sheetcalc")
    assert "sheetcalc" not in unopkg("list")
