"""The add-in on a Windows machine: written through Excel itself, removed, checked.

Excel opens whatever lies in its start folder, so one file there gives the functions to every workbook. It is
made as xlwings makes its own: over COM, in an Excel that nobody sees.
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Generator
from contextlib import AbstractContextManager, contextmanager
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple
from zipfile import BadZipFile, ZipFile

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.hosts.excel.module import FUNCTIONS_IN, LIBRARIES, library_folder, module, stamp
from sheetcalc.xlsx.package import Problem

ADDIN = "sheetcalc.xlam"
ON_WINDOWS_ONLY = (
    "Excel calls the functions on Windows only; elsewhere “sheetcalc compute FILE” puts their answers into a "
    "workbook."
)
TRUST = "File > Options > Trust Center > Trust Center Settings > Macro Settings"
SEEN = f"=FUNCTION_VERSION() in a cell shows {__version__}; the first answer takes a few seconds"
ELSEWHERE = "install again into a folder such as C:\\sheetcalc: python -m venv C:\\sheetcalc"
ANSWERS_WITHIN = 60.0
"""Seconds; a Python that was just installed reads its files for the first time."""

_ADDIN_FORMAT = 55  # xlOpenXMLAddIn
_LONGEST_PATH = 259  # characters; MAX_PATH of Windows, and the library's command line has room for it
_STARTS = re.compile(rb"<(?:\w+:)?subject>([^<]*)<")
_EXAMPLE = REGISTRY["COURSE_COUNT"]
_TRIAL = (
    f"import xlwings;xlwings.serve;from {FUNCTIONS_IN} import {_EXAMPLE.name};"
    f"print({_EXAMPLE.name}(*{_EXAMPLE.example!r})[0][0])"
)

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
    """Start an Excel of its own that nobody sees, and end it.

    Raises
    ------
    ExcelProblem
        It does not start.
    """
    with _told("start"):
        import xlwings

        app = xlwings.App(visible=False, add_book=False)
    try:
        app.display_alerts = False
        yield app.api
    finally:
        try:
            app.quit()
        except Exception:  # a COM error, known to Windows only; it must not stay, unseen
            app.kill()


def usual_addin() -> Path:
    """Return where the add-in lies as a rule: in the folder whose workbooks Excel opens when it starts.

    Raises
    ------
    ExcelProblem
        This is not Windows.
    """
    if sys.platform != "win32":
        raise ExcelProblem(ON_WINDOWS_ONLY)
    return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART" / ADDIN


def found_addin(excel: Excel = hidden_excel) -> Path:
    """Return where the add-in lies; Excel is asked only if it is not where it lies as a rule.

    Raises
    ------
    ExcelProblem
        This is not Windows; there is no add-in; Excel does not start.
    """
    usual = usual_addin()
    if usual.exists():
        return usual
    with excel() as app:
        elsewhere = _start_folder(app) / ADDIN
    if not elsewhere.exists():
        raise ExcelProblem(f"There is no {elsewhere}.")
    return elsewhere


def install(excel: Excel = hidden_excel) -> list[str]:
    """Write the add-in and say what was done.

    Raises
    ------
    NotTrusted
        Excel lets no program add a module.
    ExcelProblem
        This is not Windows; Excel could not start this Python; a part of xlwings is missing; Excel is open or
        refuses something.
    """
    usual_addin()
    python = sys.executable
    if reason := unfit(python):
        raise ExcelProblem(reason)
    if not (Path(library_folder()) / LIBRARIES["64"]).exists():
        raise ExcelProblem(f"{LIBRARIES['64']} is not in {library_folder()}: install xlwings again.")
    if reason := trial(python):
        raise ExcelProblem(f"Excel would start {python}, but {reason}.")
    text = module()
    # The folder goes last: Excel may hold the file until it has quit.
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder, excel() as app:
        target = _start_folder(app) / ADDIN
        made = Path(folder) / ADDIN
        untold = _make(app, text, made, python)
        _copy(made, target)
    done = [f"Written: {target}, {len(REGISTRY)} functions."]
    if untold:
        done.append(f"Excel did not take the help texts of{untold}; the functions work without them.")
    if advice := foreign_letters(python):
        done.append(f"The path {python} {advice}")
    return done


def _start_folder(app: Any) -> Path:
    with _told("say where its start folder is"):
        return Path(app.StartupPath)


def _make(app: Any, text: str, file: Path, python: str) -> str:
    # A workbook with the module, saved as an add-in; the functions whose help texts Excel did not take.
    source = file.with_name("sheetcalc_functions.bas")
    source.write_bytes(text.encode("ascii"))
    with _told("open a workbook"):
        book = app.Workbooks.Add()
    try:
        components = book.VBProject.VBComponents
    except Exception as refused:  # a COM error, known to Windows only
        raise NotTrusted("Excel lets no program add a module to a workbook yet.") from refused
    with _told("take the module"):
        components.Import(str(source))
    try:
        untold = str(app.Run(f"'{book.Name}'!HelpNotTaken"))
    except Exception:  # as above
        untold = " every function"
    with _told("save the add-in"):
        book.Title = "sheetcalc"  # as the add-in is called in Excel's list
        book.Subject = python
        book.Comments = stamp(text)
        book.SaveAs(str(file), FileFormat=_ADDIN_FORMAT)
        book.Close(False)
    return untold


def _copy(made: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(made, target)
    except PermissionError:
        raise ExcelProblem(f"{target} is in use: close Excel, then try again.") from None
    except OSError as problem:
        raise ExcelProblem(f"{target} cannot be written: {problem.strerror}.") from problem


@contextmanager
def _told(what: str) -> Generator[None]:
    # Whatever Excel refuses over COM becomes a sentence; the errors' type is known to Windows only.
    try:
        yield
    except Exception as refused:
        raise ExcelProblem(
            f"Excel did not {what}: {_words(refused)}. Close every Excel (the Task Manager also shows one "
            "without a window), then try again."
        ) from refused


def _words(refused: Exception) -> str:
    match refused.args:
        case (_, _, (_, _, str(words), *_), *_) | (int(), str(words), *_):
            return words.strip().rstrip(".")
        case _:
            return str(refused).strip().rstrip(".") or type(refused).__name__


def remove(excel: Excel = hidden_excel) -> list[str]:
    """Remove the add-in and say what was done.

    Raises
    ------
    ExcelProblem
        This is not Windows; there is no add-in; Excel is open.
    """
    target = found_addin(excel)
    try:
        target.unlink()
    except PermissionError:
        raise ExcelProblem(f"{target} is in use: close Excel, then try again.") from None
    return [f"Removed: {target}."]


# --- The Python that Excel starts ---


def unfit(python: str) -> str:
    """Say why Excel could not start a Python, and what to do; "" if nothing is known against it."""
    if "windowsapps" in f"{python} {sys.base_prefix}".lower():
        return (
            "This Python is from the Microsoft Store, which writes where Excel cannot see it: install Python "
            "from python.org, make the venv with that one, and install there."
        )
    if "%" in python or "$(" in python:
        return f"Commands read the % or $( in the path {python} as something else: {ELSEWHERE}."
    if len(python) > _LONGEST_PATH:
        return f"The path {python} is too long for Windows' commands: {ELSEWHERE}."
    return ""


def foreign_letters(python: str) -> str:
    """Say what may be wrong with a path of other than English letters; "" if it has none."""
    if python.isascii():
        return ""
    return f"has other letters than English ones: if cells show #VALUE!, {ELSEWHERE}."


def trial(python: str) -> str:
    """Let a Python, started as Excel starts it, answer a call; say why it does not, "" if it does."""
    try:
        done = subprocess.run(
            [python, "-I", "-B", "-c", _TRIAL],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=ANSWERS_WITHIN,
        )
    except subprocess.TimeoutExpired:
        return f"it does not answer within {ANSWERS_WITHIN:g} s"
    except OSError as problem:
        return f"it does not start: {problem.strerror}"
    if done.returncode:
        last = done.stderr.strip().rpartition("\n")[2] or f"it ended with {done.returncode}"
        return f"it cannot load the functions: {last}"
    answer = done.stdout.strip()
    return "" if answer == "24.0" else f"{_EXAMPLE.name} answers {answer or 'nothing'}, not 24"


# --- Checking ---


def check(excel: Excel = hidden_excel) -> list[Finding]:
    """Look at everything that a cell needs until its answer stands there.

    Excel itself is started only if the add-in is not where it lies as a rule: to ask for its start folder.

    Raises
    ------
    ExcelProblem
        This is not Windows.
    """
    usual_addin()
    written, python = _written(excel)
    folder = Path(library_folder())
    reason = unfit(python)
    advice = foreign_letters(python)
    answers = trial(python)
    return [
        written,
        Finding(not (reason or advice), reason or f"Python: {python}" + (f" {advice}" if advice else "")),
        *(
            Finding((folder / name).exists(), f"Library for Excel of {bits} bits: {folder / name}")
            for bits, name in LIBRARIES.items()
        ),
        Finding(not answers, f"A call in that Python: {answers or f'{_EXAMPLE.name} is 24'}"),
    ]


def _written(excel: Excel) -> tuple[Finding, str]:
    # The add-in, and the Python that it starts; this one if that cannot be told.
    python = sys.executable
    anew = "“sheetcalc excel install” writes it"
    try:
        target = found_addin(excel)
    except ExcelProblem as problem:
        return Finding(False, f"Add-in: {problem} {anew[0].upper()}{anew[1:]}."), python
    try:
        with ZipFile(target) as archive:
            made = archive.read("docProps/core.xml")
    except (BadZipFile, KeyError, OSError):
        made = b""
    if starts := _STARTS.search(made):
        python = unescape(starts[1].decode("utf-8", "replace"))
    if python == sys.executable and stamp(module()).encode("ascii") in made:
        return Finding(True, f"Add-in: {target}"), python
    return Finding(False, f"Add-in: {target} was not made by this version here; {anew} anew"), python
