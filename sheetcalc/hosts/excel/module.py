"""The VBA module of the add-in, generated from the registry.

Classic functions of xlwings put the text of an error into the cell, and SUM skips text: a bid would come out
short in silence. A true cell error can only be made in VBA, so every function here hands its arguments to
Python and turns error text in the answer, inside arrays too, into the error itself. What all functions share
stands in dispatcher.bas.
"""

import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from hashlib import sha256
from importlib import metadata
from importlib.resources import files
from itertools import groupby
from pathlib import Path

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.hosts.excel.names import argument_name
from sheetcalc.hosts.excel.wrappers import CATEGORY, argument_texts
from sheetcalc.xlsx.package import FileProblem

XLWINGS = "0.37.8"
"""The version that the module is made for: its library carries the version in its name."""

MODULE_NAME = "sheetcalc_functions"
FUNCTIONS_IN = "sheetcalc.hosts.excel.functions"
LIBRARIES = {"64": f"xlwings64-{XLWINGS}.dll", "32": f"xlwings32-{XLWINGS}.dll"}
"""What starts Python and finds it again, for Excel of 64 and of 32 bits; part of xlwings on Windows."""

_WIDTH = 110
_ACTIVATE = (
    'Private Declare PtrSafe Function XLPyDLLActivateAuto Lib "{library}" (ByRef found As Variant, _\n'
    '    Optional ByVal config As String = "", Optional ByVal mode As Long = 1) As Long'
)


def module(
    python: str | None = None, folder: str | None = None, functions: Mapping[str, CellFunction] = REGISTRY
) -> str:
    r"""Write the module.

    Parameters
    ----------
    python : str, optional
        The Python that Excel starts; this one if not given.
    folder : str, optional
        Where xlwings' libraries lie; that of this Python if not given.
    functions : mapping, optional
        The functions by their names.

    Returns
    -------
    str
        Lines end in \r\n and hold ASCII only: the editor reads a file in the code page of its machine.
    """
    every = list(functions.values())
    parts = [
        _head(),
        *map(_function, every),
        files("sheetcalc.hosts.excel").joinpath("dispatcher.bas").read_text(encoding="ascii"),
        _constant("StartCommand", start_command(python or sys.executable)),
        _constant("LibraryFolder", folder or library_folder()),
        *_help(every),
    ]
    return "\n\n".join(part.strip("\n") for part in parts).replace("\n", "\r\n") + "\r\n"


def stamp(text: str) -> str:
    """Name a module by what it says, so that an add-in can be told from one that is out of date."""
    return f"sheetcalc {__version__} {sha256(text.encode('ascii')).hexdigest()[:16]}"


def write(path: Path, *, force: bool = False) -> None:
    """Write the module to a file.

    Raises
    ------
    FileProblem
        The name does not end in .bas, or a file of that name exists and `force` is not given.
    """
    if path.suffix.lower() != ".bas":
        raise FileProblem(f"The name of a VBA module ends in .bas, but “{path}” does not.")
    if path.exists() and not force:
        raise FileProblem(f"{path.name} already exists; with --force it is overwritten.")
    path.write_bytes(module().encode("ascii"))


def start_command(python: str) -> str:
    """Return what starts Python: by its full path, isolated, with nothing taken from the folder Excel is in.

    xlwings itself starts a ``cmd.exe``, whichever lies nearest, that stays when Python fails: its library
    then waits for two minutes. Python alone ends at once, and the library opens no window for it.
    """
    return f'"{python}" -I -B -c "import xlwings;xlwings.serve(\'$(CLSID)\')"'


def library_folder() -> str:
    """Return the folder of xlwings' libraries; where a Python keeps them on Windows if there are none."""
    try:
        found = metadata.files("xlwings") or []
    except metadata.PackageNotFoundError:
        found = []
    for file in found:
        if file.name == LIBRARIES["64"]:
            return str(Path(str(file.locate())).resolve().parent)
    return sys.prefix


def literal(text: str) -> str:
    """Write a text as VBA does, in ASCII only.

    Examples
    --------
    >>> print(literal('3/8" in ft²'))
    "3/8"" in ft" & ChrW(178)
    """
    return " & ".join(map(_piece, re.findall(r"[ -~]+|[^ -~]", text))) or '""'


def _piece(text: str) -> str:
    if text.isascii() and text.isprintable():
        return '"' + text.replace('"', '""') + '"'
    units = text.encode("utf-16-le")
    return " & ".join(
        f"ChrW({int.from_bytes(units[at : at + 2], 'little')})" for at in range(0, len(units), 2)
    )


# --- Parts of the module ---


def _head() -> str:
    return f"""\
Attribute VB_Name = "{MODULE_NAME}"
Option Explicit

' Cell functions of sheetcalc {__version__}, made by "sheetcalc excel": make it anew rather than change it.
' It was not run in Excel yet: what it needs of Excel and of VBA is from their references and from memory.
' The declarations are those of xlwings {XLWINGS} (BSD 3-clause), whose library starts Python.

Private Const FUNCTIONS_IN As String = "{FUNCTIONS_IN}"
Private Const CATEGORY As String = "{CATEGORY}"

#If Win64 Then
Private Const LIBRARY As String = "{LIBRARIES["64"]}"
{_ACTIVATE.format(library=LIBRARIES["64"])}
#Else
Private Const LIBRARY As String = "{LIBRARIES["32"]}"
{_ACTIVATE.format(library=LIBRARIES["32"])}
#End If
Private Declare PtrSafe Function LoadLibraryW Lib "kernel32" (ByVal path As LongPtr) As LongPtr

Private server As Object
Private not_before As Date
Private reason As String
Private untold As String
"""


def _function(function: CellFunction) -> str:
    names = [argument_name(each.name) for each in function.parameters]
    declared = [
        f"ParamArray {name}()" if each.rest else f"Optional {name}" if each.optional else name
        for name, each in zip(names, function.parameters, strict=True)
    ]
    opening = _wrapped(f"Public Function {function.name}(", declared, ") As Variant", "    ")
    if function.takes_rest:
        body = _with_rest(function.name, names)
    elif not names:
        body = f'    {function.name} = Answer("{function.name}", Empty)'
    else:
        body = _wrapped(f'    {function.name} = Answer("{function.name}", Array(', names, "))", " " * 8)
    return f"{opening}\n{body}\nEnd Function"


def _with_rest(function: str, names: list[str]) -> str:
    *own, rest = names
    lines = [
        "Dim given() As Variant, place As Long",
        f"ReDim given(0 To UBound({rest}) + {len(own)})",
        *(f"given({place}) = Plain({name})" for place, name in enumerate(own)),
        f"For place = 0 To UBound({rest})",
        f"    If Not IsMissing({rest}(place)) Then given(place + {len(own)}) = Plain({rest}(place))",
        "Next place",
        f'{function} = Answer("{function}", given)',
    ]
    return "\n".join(f"    {line}" for line in lines)


def _wrapped(start: str, items: list[str], end: str, margin: str) -> str:
    # One statement on as many lines as it needs.
    lines: list[str] = []
    line = start
    for place, item in enumerate(items):
        last = place == len(items) - 1
        if len(line) + len(item) + len(end) > _WIDTH and line != start:
            lines.append(f"{line}_")
            line = margin
        line += item if last else f"{item}, "
    return "\n".join([*lines, line + end])


def _constant(name: str, text: str) -> str:
    return f"Private Function {name}() As String\n    {name} = {literal(text)}\nEnd Function"


def _help(functions: Iterable[CellFunction]) -> Iterator[str]:
    stages = [(stage, list(each)) for stage, each in groupby(functions, lambda each: each.stage)]
    calls = "\n".join(f"    TellOf{stage.capitalize()}" for stage, _ in stages)
    yield (
        "' For a program that hands the texts over before it saves the add-in, which keeps them: no box may\n"
        "' appear in an Excel that nobody sees.\n"
        f'Public Function HelpNotTaken() As String\n    untold = ""\n{calls}\n'
        "    HelpNotTaken = untold\nEnd Function"
    )
    yield (
        "' The same for a person, who sets the cursor here and presses F5.\n"
        "Public Sub RegisterHelp()\n    Dim left_out As String\n    left_out = HelpNotTaken()\n"
        '    If left_out = "" Then\n        MsgBox "Excel has taken the help of every function."\n    Else\n'
        '        MsgBox "Excel did not take the help of" & left_out\n    End If\nEnd Sub'
    )
    for stage, each in stages:
        lines = "\n".join(f"    {line}" for function in each for line in _told(function))
        yield (f"Private Sub TellOf{stage.capitalize()}()\n    Dim about() As String\n{lines}\nEnd Sub")


def _told(function: CellFunction) -> Iterator[str]:
    texts = argument_texts(function)
    if not texts:
        yield f'Tell "{function.name}", {literal(function.summary)}'
        return
    yield f"ReDim about(1 To {len(texts)})"
    for place, text in enumerate(texts, 1):
        yield f"about({place}) = {literal(text)}"
    yield f'Tell "{function.name}", {literal(function.summary)}, about'
