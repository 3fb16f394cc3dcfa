"""The add-in on a Windows machine: written through Excel itself, removed, checked.

Excel opens whatever lies in its start folder, so one file there gives the functions to every workbook. It is
made as xlwings makes its own: over COM, in an Excel that nobody sees.
"""

import os
import shutil
import sys
from collections.abc import Callable, Generator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple
from zipfile import BadZipFile, ZipFile

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.hosts.excel.module import LIBRARIES, library_folder, module, stamp
from sheetcalc.xlsx.package import Problem

ADDIN = "sheetcalc.xlam"
ON_WINDOWS_ONLY = (
    "Excel calls the functions on Windows only; elsewhere “sheetcalc compute FILE” puts their answers into a "
    "workbook."
)
TRUST = "File > Options > Trust Center > Trust Center Settings > Macro Settings"
SEEN = f"=FUNCTION_VERSION() in a cell shows {__version__}; the first answer takes a few seconds"
_ADDIN_FORMAT = 55  # xlOpenXMLAddIn

Excel = Callable[[], AbstractContextManager[Any]]


class ExcelProblem(Problem):
    """Why the add-in is not written, removed or found."""


class NotTrusted(ExcelProblem):
    """Excel lets no program add a module."""


class Finding(NamedTuple):
    """What a check found."""

    good: bool
    sentence: str


@contextmanager
def hidden_excel() -> Generator[Any]:
    """Start an Excel of its own that nobody sees, and end it."""
    import xlwings

    app = xlwings.App(visible=False, add_book=False)
    try:
        app.display_alerts = False
        yield app.api
    finally:
        app.quit()


def addin_file() -> Path:
    """Return where the add-in lies: in the folder whose workbooks Excel opens when it starts.

    Raises
    ------
    ExcelProblem
        This is not Windows.
    """
    if sys.platform != "win32":
        raise ExcelProblem(ON_WINDOWS_ONLY)
    return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART" / ADDIN


def install(excel: Excel = hidden_excel) -> list[str]:
    """Write the add-in and say what was done.

    Raises
    ------
    NotTrusted
        Excel lets no program add a module.
    ExcelProblem
        This is not Windows; a part of xlwings is missing; Excel is open or starts from elsewhere.
    """
    target = addin_file()
    if not (Path(library_folder()) / LIBRARIES["64"]).exists():
        raise ExcelProblem(f"{LIBRARIES['64']} is not in {library_folder()}: install xlwings again.")
    text = module()
    with excel() as app, TemporaryDirectory() as folder:
        if Path(app.StartupPath) != target.parent:
            raise ExcelProblem(f"Excel starts from {app.StartupPath}, not from {target.parent}.")
        made = Path(folder) / ADDIN
        helped = _make(app, text, made)
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            shutil.copyfile(made, target)
        except PermissionError:
            raise ExcelProblem(f"{target} is in use: close Excel, then try again.") from None
    done = [f"Written: {target}, {len(REGISTRY)} functions."]
    return done if helped else [*done, "Excel did not take every help text; the functions work without them."]


def _make(app: Any, text: str, file: Path) -> bool:
    # A workbook with the module, saved as an add-in; whether Excel took the help texts.
    source = file.with_name("sheetcalc_functions.bas")
    source.write_bytes(text.encode("ascii"))
    book = app.Workbooks.Add()
    try:
        components = book.VBProject.VBComponents
    except Exception as refused:  # a COM error, known to Windows only
        raise NotTrusted("Excel lets no program add a module to a workbook yet.") from refused
    components.Import(str(source))
    try:
        app.Run(f"'{book.Name}'!RegisterHelp")
    except Exception:  # as above
        helped = False
    else:
        helped = True
    book.Title = "sheetcalc"  # as the add-in is called in Excel's list
    book.Comments = stamp(text)
    book.SaveAs(str(file), FileFormat=_ADDIN_FORMAT)
    book.Close(False)
    return helped


def remove() -> list[str]:
    """Remove the add-in and say what was done.

    Raises
    ------
    ExcelProblem
        This is not Windows; there is no add-in; Excel is open.
    """
    target = addin_file()
    try:
        target.unlink()
    except FileNotFoundError:
        raise ExcelProblem(f"There is no {target}.") from None
    except PermissionError:
        raise ExcelProblem(f"{target} is in use: close Excel, then try again.") from None
    return [f"Removed: {target}."]


def check() -> list[Finding]:
    """Look at everything that a cell needs until its answer stands there, without Excel.

    Raises
    ------
    ExcelProblem
        This is not Windows.
    """
    target = addin_file()
    folder = Path(library_folder())
    python = sys.executable
    return [
        _written(target),
        Finding(Path(python).exists() and python.isascii(), f"Python: {python}" + _letters(python)),
        *(
            Finding((folder / name).exists(), f"Library for Excel of {bits} bits: {folder / name}")
            for bits, name in LIBRARIES.items()
        ),
        _answers(),
    ]


def _written(target: Path) -> Finding:
    if not target.exists():
        return Finding(False, f"Add-in: there is no {target}; “sheetcalc excel install” writes it")
    try:
        with ZipFile(target) as archive:
            made = archive.read("docProps/core.xml")
    except (BadZipFile, KeyError, OSError):
        made = b""
    if stamp(module()).encode("ascii") in made:
        return Finding(True, f"Add-in: {target}")
    return Finding(
        False, f"Add-in: {target} was not made by this version here; “sheetcalc excel install” writes it anew"
    )


def _letters(path: str) -> str:
    return "" if path.isascii() else " (Excel may not find a path with other letters than English ones)"


def _answers() -> Finding:
    # As Excel asks, but within this Python.
    from sheetcalc.hosts.excel.wrappers import wrapper

    function = REGISTRY["COURSE_COUNT"]
    answer = wrapper(function)(*function.example)
    return Finding(answer == [[24.0]], f"A call in Python: {function.name} answers {answer[0][0]:g}")
