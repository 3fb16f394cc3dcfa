"""Install, remove and check the add-in, with an Excel and a Windows that are made up."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any
from zipfile import ZipFile

import pytest

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cli import main
from sheetcalc.hosts.excel import install as made
from sheetcalc.hosts.excel.install import (
    ADDIN,
    ExcelProblem,
    NotTrusted,
    addin_file,
    check,
    hidden_excel,
    install,
    remove,
)
from sheetcalc.hosts.excel.module import LIBRARIES, module, stamp

DONE, LOOK, NOT_DONE = 0, 1, 2


class Book:
    """A workbook; saved, it is a package with its comments."""

    Name = "Book1"
    Title = Comments = ""

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
            archive.writestr("docProps/core.xml", f"<dc:description>{self.Comments}</dc:description>")

    def Close(self, save: bool) -> None:  # noqa: N802
        assert save is False
        self.excel.closed += 1


class Excel:
    """An Excel that remembers what it was told."""

    def __init__(self, startup: Path, *, trusting: bool = True, helped: bool = True) -> None:
        self.StartupPath = str(startup)
        self.Workbooks = SimpleNamespace(Add=lambda: Book(self))
        self.trusting, self.helped = trusting, helped
        self.module, self.ran, self.closed = "", [], 0

    def Run(self, macro: str) -> None:  # noqa: N802
        if not self.helped:
            raise RuntimeError("Cannot edit a macro on a hidden workbook")
        self.ran.append(macro)

    @contextmanager
    def __call__(self) -> Iterator["Excel"]:
        yield self


@pytest.fixture
def startup(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Return the start folder of Excel on what counts as Windows, where xlwings is complete."""
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setenv("APPDATA", str(tmp_path))
    libraries = tmp_path / "python"
    libraries.mkdir()
    for name in LIBRARIES.values():
        (libraries / name).touch()
    monkeypatch.setattr(made, "library_folder", lambda: str(libraries))
    monkeypatch.setattr("sheetcalc.hosts.excel.module.library_folder", lambda: str(libraries))
    return tmp_path / "Microsoft" / "Excel" / "XLSTART"


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
    assert excel.ran == ["'Book1'!RegisterHelp"]
    assert excel.closed == 1
    assert [finding.good for finding in check()] == [True] * 5


def test_install_without_help_texts(startup: Path):
    done = install(Excel(startup, helped=False))
    assert done[1] == "Excel did not take every help text; the functions work without them."
    assert addin_file().exists()


def test_install_needs_trust(startup: Path):
    with pytest.raises(NotTrusted):
        install(Excel(startup, trusting=False))
    assert not addin_file().exists()


def test_install_needs_the_libraries(startup: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(made, "library_folder", lambda: str(tmp_path / "nowhere"))
    with pytest.raises(ExcelProblem, match="install xlwings again"):
        install(Excel(startup))


def test_install_where_excel_starts_from_elsewhere(startup: Path, tmp_path: Path):
    with pytest.raises(ExcelProblem, match=r"Excel starts from .*elsewhere"):
        install(Excel(tmp_path / "elsewhere"))


def test_an_open_excel_is_told(startup: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any) -> None:
        raise PermissionError

    monkeypatch.setattr(made.shutil, "copyfile", refuse)
    with pytest.raises(ExcelProblem, match="close Excel"):
        install(Excel(startup))
    monkeypatch.undo()
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setenv("APPDATA", str(startup.parents[2]))
    monkeypatch.setattr(Path, "unlink", refuse)
    with pytest.raises(ExcelProblem, match="close Excel"):
        remove()


def test_remove(startup: Path):
    with pytest.raises(ExcelProblem, match="There is no"):
        remove()
    install(Excel(startup))
    assert remove() == [f"Removed: {startup / ADDIN}."]
    assert not addin_file().exists()


def test_check_finds_what_is_amiss(startup: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    assert [finding.good for finding in check()] == [False, True, True, True, True]
    install(Excel(startup))
    monkeypatch.setattr(made, "module", lambda: "another")
    assert "was not made by this version here" in check()[0].sentence
    addin_file().write_text("no package")
    assert not check()[0].good
    monkeypatch.setattr(sys, "executable", str(tmp_path / "Zoë" / "python.exe"))
    assert "other letters than English ones" in check()[1].sentence
    monkeypatch.setattr(made, "library_folder", lambda: str(tmp_path / "nowhere"))
    assert [finding.good for finding in check()] == [False, False, False, False, True]


def test_stamp_names_version_and_text():
    assert stamp("a").startswith(f"sheetcalc {__version__} ")
    assert stamp("a") != stamp("b")


def test_a_hidden_excel_is_ended(monkeypatch: pytest.MonkeyPatch):
    class App:
        quits = 0

        def __init__(self, **options: Any) -> None:
            assert options == {"visible": False, "add_book": False}
            self.api = "api"
            App.last = self  # type: ignore[attr-defined]

        def quit(self) -> None:
            App.quits += 1

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
    assert App.quits == 1


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
    assert main(["excel", "check"]) == LOOK
    assert capsys.readouterr().out.startswith("LOOK  Add-in: there is no ")


def test_the_module_is_written_anywhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "porch.bas"
    assert main(["excel", "module", str(file)]) == DONE
    told = capsys.readouterr().out
    assert steps(told) == ["1.", "2.", "3.", "4."]
    assert "porch.bas" in told
    assert file.read_bytes() == module().encode("ascii")
    assert main(["excel", "module", str(file)]) == NOT_DONE
    assert "--force" in capsys.readouterr().err
    assert main(["excel", "module", str(file), "--force"]) == DONE
