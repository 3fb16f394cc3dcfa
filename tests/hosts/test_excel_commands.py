"""Install, remove and check the add-in, with an Excel and a Windows that are made up."""

import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any
from xml.sax.saxutils import escape
from zipfile import ZipFile

import pytest

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cli import main
from sheetcalc.hosts.excel import install as made
from sheetcalc.hosts.excel.install import (
    ADDIN,
    ExcelProblem,
    Finding,
    NotTrusted,
    check,
    hidden_excel,
    install,
    remove,
    trial,
    usual_addin,
)
from sheetcalc.hosts.excel.module import LIBRARIES, module, stamp

DONE, LOOK, NOT_DONE = 0, 1, 2


class Book:
    """A workbook; saved, it is a package with its comments."""

    Name = "Book1"
    Title = Subject = Comments = ""

    def __init__(self, excel: "Excel") -> None:
        self.excel = excel

    @property
    def VBProject(self) -> Any:  # noqa: N802
        if not self.excel.trusting:
            raise RuntimeError("Programmatic access to Visual Basic Project is not trusted")
        return SimpleNamespace(VBComponents=SimpleNamespace(Import=self.imported))

    def imported(self, file: str) -> None:
        self.excel.module = Path(file).read_bytes().decode("ascii")

    def SaveAs(self, file: str, FileFormat: int) -> None:  # noqa: N802, N803
        assert FileFormat == 55
        with ZipFile(file, "w") as archive:
            archive.writestr(
                "docProps/core.xml",
                f"<dc:subject>{escape(self.Subject)}</dc:subject>"
                f"<dc:description>{self.Comments}</dc:description>",
            )
        self.excel.saved = file

    def Close(self, save: bool) -> None:  # noqa: N802
        assert save is False
        self.excel.closed += 1


class Excel:
    """An Excel that remembers what it was told."""

    def __init__(self, startup: Path, *, trusting: bool = True, untold: str | None = "") -> None:
        self.StartupPath = str(startup)
        self.Workbooks = SimpleNamespace(Add=lambda: Book(self))
        self.trusting, self.untold = trusting, untold
        self.module, self.saved, self.ran, self.closed = "", "", [], 0

    def Run(self, macro: str) -> str:  # noqa: N802
        if self.untold is None:
            raise com_error("Cannot run the macro")
        self.ran.append(macro)
        return self.untold

    @contextmanager
    def __call__(self) -> Iterator["Excel"]:
        yield self


class ComError(Exception):
    """An error as pywin32 raises it."""


def com_error(words: str | None) -> ComError:
    told = None if words is None else (0, "Microsoft Excel", words, None, 0, -2146827284)
    return ComError(-2147352567, "Exception occurred.", told, None)


@pytest.fixture
def startup(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Return the start folder of Excel on what counts as Windows, where xlwings is complete."""
    python = tmp_path / "venv" / "python.exe"
    python.parent.mkdir()
    python.touch()
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(sys, "executable", str(python))
    monkeypatch.setattr(sys, "base_prefix", "C:\\Python311")
    monkeypatch.setenv("APPDATA", str(tmp_path))
    libraries = tmp_path / "python"
    libraries.mkdir()
    for name in LIBRARIES.values():
        (libraries / name).touch()
    monkeypatch.setattr(made, "library_folder", lambda: str(libraries))
    monkeypatch.setattr("sheetcalc.hosts.excel.module.library_folder", lambda: str(libraries))
    answers(monkeypatch, python)
    return tmp_path / "Microsoft" / "Excel" / "XLSTART"


def answers(monkeypatch: pytest.MonkeyPatch, *pythons: Path) -> None:
    """Let these Pythons answer, and no other; they are not run."""
    known = {str(python) for python in pythons}
    monkeypatch.setattr(made, "trial", lambda python: "" if python in known else "it does not start: gone")


def no_excel() -> Any:
    raise AssertionError("Excel need not be started for this")


@pytest.mark.parametrize("action", ["install", "remove", "check"])
def test_off_windows_one_sentence(
    action: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setattr(sys, "platform", "linux")
    assert main(["excel", action]) == NOT_DONE
    told = capsys.readouterr()
    assert told.err == f"sheetcalc: {made.ON_WINDOWS_ONLY}\n"
    assert told.out == ""
    assert made.ON_WINDOWS_ONLY.count(".") == 1


def test_install_writes_the_module_into_the_start_folder(startup: Path):
    excel = Excel(startup)
    assert install(excel) == [f"Written: {startup / ADDIN}, {len(REGISTRY)} functions."]
    assert excel.module == module()
    assert excel.ran == ["'Book1'!HelpNotTaken"]
    assert excel.closed == 1
    assert [finding.good for finding in check(no_excel)] == [True] * 5


def test_install_writes_where_excel_starts_from(startup: Path, tmp_path: Path):
    excel = Excel(tmp_path / "elsewhere" / "XLSTART")
    target = tmp_path / "elsewhere" / "XLSTART" / ADDIN
    assert install(excel) == [f"Written: {target}, {len(REGISTRY)} functions."]
    assert not usual_addin().exists()
    assert check(excel)[0] == Finding(True, f"Add-in: {target}")
    assert remove(excel) == [f"Removed: {target}."]
    assert not target.exists()


@pytest.mark.parametrize(("untold", "named"), [(" RIP_WIDTH", "RIP_WIDTH"), (None, "every function")])
def test_install_without_help_texts(untold: str | None, named: str, startup: Path):
    done = install(Excel(startup, untold=untold))
    assert done[1:] == [
        f"Excel did not take the help texts of {named}; the functions work without them.",
    ]
    assert usual_addin().exists()


def test_the_folder_outlives_excel(startup: Path):
    # Until it has quit, Excel may hold the file, and Windows removes no file that somebody holds.
    seen: list[bool] = []

    class Slow(Excel):
        @contextmanager
        def __call__(self) -> Iterator[Excel]:
            yield self
            seen.append(Path(self.saved).exists())

    excel = Slow(startup)
    install(excel)
    assert seen == [True]
    assert not Path(excel.saved).exists()


def test_install_needs_trust(startup: Path):
    with pytest.raises(NotTrusted):
        install(Excel(startup, trusting=False))
    assert not usual_addin().exists()


def test_install_needs_the_libraries(startup: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(made, "library_folder", lambda: str(tmp_path / "nowhere"))
    with pytest.raises(ExcelProblem, match="install xlwings again"):
        install(no_excel)


def test_install_needs_a_python_that_answers(startup: Path, monkeypatch: pytest.MonkeyPatch):
    answers(monkeypatch)
    with pytest.raises(ExcelProblem, match=r"Excel would start .*python\.exe, but it does not start: gone\."):
        install(no_excel)


STORE = "C:\\Program Files\\WindowsApps\\PythonSoftwareFoundation.Python.3.11_3.11.9_x64__qbz5n2kfra8p0"


@pytest.mark.parametrize(
    ("python", "base", "told"),
    [
        ("C:\\venv\\Scripts\\python.exe", STORE, r"Microsoft Store, .* install Python from python\.org"),
        ("C:\\Users\\Ann\\AppData\\Local\\Microsoft\\WINDOWSAPPS\\python.exe", "C:\\P", "Microsoft Store"),
        ("C:\\100%\\python.exe", "C:\\P", r"Commands read .*: install again into .* C:\\sheetcalc"),
        ("C:\\$(x)\\python.exe", "C:\\P", r"Commands read .*: install again into .* C:\\sheetcalc"),
        (f"C:\\{'a' * 260}\\python.exe", "C:\\P", r"too long .*: install again into .* C:\\sheetcalc"),
    ],
)
def test_a_python_that_excel_could_not_start_is_refused(
    python: str, base: str, told: str, startup: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
):  # fmt: skip
    monkeypatch.setattr(sys, "executable", python)
    monkeypatch.setattr(sys, "base_prefix", base)
    with pytest.raises(ExcelProblem, match=told):
        install(no_excel)
    found = check(Excel(startup))[1]
    assert not found.good
    assert re.search(told, found.sentence)
    assert main(["excel", "module", str(tmp_path / "porch.bas")]) == NOT_DONE
    assert re.search(told, capsys.readouterr().err)
    assert not (tmp_path / "porch.bas").exists()


def test_other_letters_in_the_path_are_told_with_the_remedy(
    startup: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    python = tmp_path / "Zoë" / "python.exe"
    monkeypatch.setattr(sys, "executable", str(python))
    answers(monkeypatch, python)
    advice = "has other letters than English ones: if cells show #VALUE!, install again into"
    assert f"The path {python} {advice}" in install(Excel(startup))[1]
    found = check(no_excel)
    assert [finding.good for finding in found] == [True, False, True, True, True]
    assert f"Python: {python} {advice}" in found[1].sentence
    assert main(["excel", "module", str(tmp_path / "porch.bas")]) == DONE
    assert advice in capsys.readouterr().out


def test_what_excel_refuses_is_a_plain_sentence(startup: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(words: str | None) -> Any:
        def refused(*_: Any, **__: Any) -> None:
            raise com_error(words)

        return refused

    for name, words, told in (
        ("SaveAs", "The file is locked. ", "Excel did not save the add-in: The file is locked."),
        ("imported", None, "Excel did not take the module: Exception occurred."),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(Book, name, refuse(words))
            with pytest.raises(ExcelProblem) as problem:
                install(Excel(startup))
            assert str(problem.value).startswith(f"{told} Close every Excel ")
    excel = Excel(startup)
    excel.Workbooks.Add = refuse("Call was rejected by callee.")
    with pytest.raises(ExcelProblem, match=r"did not open a workbook: Call was rejected by callee\. Close"):
        install(excel)

    class Mute(Excel):
        @property
        def StartupPath(self) -> str:  # noqa: N802
            raise OSError

        @StartupPath.setter
        def StartupPath(self, _: str) -> None:  # noqa: N802
            pass

    with pytest.raises(ExcelProblem, match="did not say where its start folder is: OSError"):
        install(Mute(startup))


def test_an_excel_that_does_not_start_is_told(
    startup: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    def app(**_: Any) -> Any:
        raise ComError(-2147221005, "Invalid class string", None, None)

    fake = ModuleType("xlwings")
    fake.App = app  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "xlwings", fake)
    told = "Excel did not start: Invalid class string. Close every Excel "
    for action in ("install", "remove"):
        assert main(["excel", action]) == NOT_DONE
        assert capsys.readouterr().err.startswith(f"sheetcalc: {told}")
    assert main(["excel", "check"]) == LOOK
    assert capsys.readouterr().out.startswith(f"LOOK  Add-in: {told}")


def test_an_open_excel_is_told(startup: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any) -> None:
        raise PermissionError

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(made.shutil, "copyfile", refuse)
        with pytest.raises(ExcelProblem, match="close Excel"):
            install(Excel(startup))
        patch.setattr(made.shutil, "copyfile", full)
        with pytest.raises(ExcelProblem, match=r"cannot be written: No space left on device\."):
            install(Excel(startup))
    install(Excel(startup))
    monkeypatch.setattr(Path, "unlink", refuse)
    with pytest.raises(ExcelProblem, match="close Excel"):
        remove(no_excel)


def test_remove(startup: Path):
    with pytest.raises(ExcelProblem, match="There is no"):
        remove(Excel(startup))
    install(Excel(startup))
    assert remove(no_excel) == [f"Removed: {startup / ADDIN}."]
    assert not usual_addin().exists()


def test_check_finds_what_is_amiss(startup: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    found = check(Excel(startup))
    assert [finding.good for finding in found] == [False, True, True, True, True]
    assert found[0].sentence == (
        f"Add-in: There is no {startup / ADDIN}. “sheetcalc excel install” writes it."
    )
    install(Excel(startup))
    monkeypatch.setattr(made, "module", lambda: "another")
    assert "was not made by this version here" in check(no_excel)[0].sentence
    usual_addin().write_text("no package")
    assert not check(no_excel)[0].good
    monkeypatch.setattr(made, "library_folder", lambda: str(tmp_path / "nowhere"))
    assert [finding.good for finding in check(no_excel)] == [False, True, False, False, True]


def test_check_asks_the_python_of_the_addin(startup: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    first = sys.executable
    install(Excel(startup))
    other = tmp_path / "R&D" / "python.exe"
    monkeypatch.setattr(sys, "executable", str(other))
    answers(monkeypatch, other)
    found = check(no_excel)
    assert [finding.good for finding in found] == [False, True, True, True, False]
    assert found[1].sentence == f"Python: {first}"
    assert found[4].sentence == "A call in that Python: it does not start: gone"
    install(Excel(startup))
    assert [finding.good for finding in check(no_excel)] == [True] * 5
    assert check(no_excel)[1].sentence == f"Python: {other}"


# --- The Python that Excel starts ---

# In the place of a Python on Windows: its xlwings has a server, or whatever a test puts there.
STAND_IN = """\
#!{python}
import sys, time
assert sys.argv[1:4] == ["-I", "-B", "-c"]
sys.path[:0] = {path}
import xlwings
xlwings.serve = None
{more}
exec(sys.argv[4])
"""


@pytest.fixture
def stand_in(tmp_path: Path) -> Any:
    if os.name != "posix":
        pytest.skip("the stand-in for Python is a script as POSIX starts it")
    pytest.importorskip("xlwings", reason="xlwings is not installed")

    def written(more: str = "") -> str:
        file = tmp_path / "python"
        file.write_text(STAND_IN.format(python=sys.executable, path=sys.path, more=more))
        file.chmod(0o755)
        return str(file)

    return written


def test_a_python_that_answers(stand_in: Any):
    assert trial(stand_in()) == ""


@pytest.mark.parametrize(
    ("more", "reason"),
    [
        (
            "sys.modules['sheetcalc.hosts.excel.functions'] = None",
            "it cannot load the functions: ModuleNotFoundError: import of sheetcalc.hosts.excel.functions "
            "halted; None in sys.modules",
        ),
        ("del xlwings.serve", "it cannot load the functions: AttributeError: module 'xlwings' has no"),
        ("sys.exit(3)", "it cannot load the functions: it ended with 3"),
        ("sys.exit(0)", "COURSE_COUNT answers nothing, not 24"),
        ("time.sleep(20)", "it does not answer within 0.5 s"),
    ],
)
def test_a_python_that_does_not(more: str, reason: str, stand_in: Any, monkeypatch: pytest.MonkeyPatch):
    if "sleep" in more:
        monkeypatch.setattr(made, "ANSWERS_WITHIN", 0.5)
    assert trial(stand_in(more)).startswith(reason)


def test_a_python_that_is_gone(tmp_path: Path):
    assert trial(str(tmp_path / "python.exe")).startswith("it does not start: No such file")


def test_stamp_names_version_and_text():
    assert stamp("a").startswith(f"sheetcalc {__version__} ")
    assert stamp("a") != stamp("b")


def test_a_hidden_excel_is_ended(monkeypatch: pytest.MonkeyPatch):
    class App:
        quits = kills = 0
        stuck = False

        def __init__(self, **options: Any) -> None:
            assert options == {"visible": False, "add_book": False}
            self.api = "api"
            App.last = self  # type: ignore[attr-defined]

        def quit(self) -> None:
            App.quits += 1
            if App.stuck:
                raise com_error("Call was rejected by callee.")

        def kill(self) -> None:
            App.kills += 1

    fake = ModuleType("xlwings")
    fake.App = App  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "xlwings", fake)

    def use() -> None:
        with hidden_excel() as api:
            assert api == "api"
            assert App.last.display_alerts is False  # type: ignore[attr-defined]
            raise KeyError

    with pytest.raises(KeyError):
        use()
    assert (App.quits, App.kills) == (1, 0)
    App.stuck = True
    with pytest.raises(KeyError):
        use()
    assert (App.quits, App.kills) == (2, 1)


# --- The command ---


def steps(text: str) -> list[str]:
    return [line[:2] for line in text.splitlines() if line[:1].isdigit()]


def test_the_command_tells_what_is_left(
    startup: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setattr(install, "__defaults__", (Excel(startup, trusting=False),))
    assert main(["excel", "install"]) == NOT_DONE
    told = capsys.readouterr()
    assert told.err == "sheetcalc: Excel lets no program add a module to a workbook yet.\n"
    assert steps(told.out) == ["1.", "2."]
    monkeypatch.setattr(install, "__defaults__", (Excel(startup),))
    assert main(["excel", "install"]) == DONE
    told = capsys.readouterr()
    assert told.out.startswith("Written: ")
    assert steps(told.out) == ["1.", "2."]
    assert f"=FUNCTION_VERSION() in a cell shows {__version__}" in told.out
    assert main(["excel", "check"]) == DONE
    assert capsys.readouterr().out.count("good  ") == 5
    assert main(["excel", "remove"]) == DONE
    assert capsys.readouterr().out.startswith("Removed: ")
    monkeypatch.setattr(check, "__defaults__", (Excel(startup),))
    assert main(["excel", "check"]) == LOOK
    assert capsys.readouterr().out.startswith("LOOK  Add-in: There is no ")


def test_the_module_is_written_with_the_steps_left(
    startup: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    file = tmp_path / "porch.bas"
    assert main(["excel", "module", str(file)]) == DONE
    told = capsys.readouterr().out
    assert f"It starts {sys.executable}, so it is for the machine that has it there." in told
    assert steps(told) == ["1.", "2.", "3.", "4."]
    assert "porch.bas" in told
    assert "A box says that Excel has taken the help of every function." in told
    assert 'MsgBox "Excel has taken the help of every function."' in file.read_text(encoding="ascii")
    assert file.read_bytes() == module().encode("ascii")
    assert main(["excel", "module", str(file)]) == NOT_DONE
    assert "--force" in capsys.readouterr().err
    assert main(["excel", "module", str(file), "--force"]) == DONE


def test_a_module_written_off_windows_says_whom_it_is_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setattr(sys, "platform", "linux")
    file = tmp_path / "porch.bas"
    assert main(["excel", "module", str(file)]) == DONE
    assert capsys.readouterr().out == (
        f"Written: {file}. It starts {sys.executable}, so it is for the machine that has it there.\n"
        "That is not Windows. Run the same command on the machine with Excel, by the Python there.\n"
    )
    assert file.read_bytes() == module().encode("ascii")
