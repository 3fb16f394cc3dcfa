"""The VBA module compiled and run by LibreOffice Basic, which knows most of VBA; it is not VBA itself.

All of it runs as it is. Only what Windows and xlwings' library give is made up: a library that starts a
server or fails to, and a server that tells what it was given, answers with errors among other cells, or is
gone.
"""

import os
import re
import subprocess
from pathlib import Path
from xml.sax.saxutils import escape

from calc_office import office_or_skip

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.hosts.calc.offices import environment, program_in
from sheetcalc.hosts.excel.module import FUNCTIONS_IN, LIBRARIES, module, start_command

ENDS_WITHIN = 60
PYTHON = r"C:\porch\python.exe"
BASIC = 'xmlns:script="http://openoffice.org/2000/script" script:language="StarBasic"'

SERVER = """
Option ClassModule

Public Function CallUDF(ByVal functions As String, ByVal name As String, ByVal values As Variant) As Variant
    Dim text As String, place As Long, block(0 To 1, 0 To 2) As Variant
    asked_of = functions
    calls = calls + 1
    If ends > 0 Then
        ends = ends - 1
        Err.Raise 462, , "The server is gone"
    End If
    If name = "FUNCTION_VERSION" Then
        CallUDF = "#N/A"
    ElseIf name = "FEET_INCHES" Then
        CallUDF = Array("#NUM!", 1.5, "")
    ElseIf name = "COURSE_ENDS" Then
        block(0, 0) = "#NUM!": block(0, 1) = 2.5: block(0, 2) = "a #"
        block(1, 0) = "": block(1, 1) = "#VALUE!": block(1, 2) = "#5"
        CallUDF = block
    Else
        For place = LBound(values) To UBound(values)
            text = text & TypeName(values(place)) & " "
        Next place
        CallUDF = text
    End If
End Function
"""

# What the module finds on Windows: the functions that it declares, and StrPtr.
WINDOWS = """
Public starts As Long, no_starts As Long, no_library As Boolean, started_by As String, loaded As String
Public ends As Long, calls As Long, asked_of As String

Private Function StrPtr(ByVal text As String) As String
    StrPtr = text
End Function

Private Function LoadLibraryW(ByVal path As String) As Long
    loaded = path
    LoadLibraryW = 1
    If no_library Then LoadLibraryW = 0
End Function

Private Function XLPyDLLActivateAuto(ByRef found As Variant, ByVal config As String, _
        ByVal mode As Long) As Long
    starts = starts + 1
    started_by = config
    If no_starts > 0 Then
        no_starts = no_starts - 1
        not_before = 0 ' as if it had taken minutes
        found = "Python process exited" & Chr(13) & Chr(10) & "Command: python"
        XLPyDLLActivateAuto = 1
    Else
        Set found = New PorchServer
    End If
End Function
"""

MAIN = """
Private Function Told(ByVal found As Variant) As String
    Dim row As Long, column As Long
    If Not IsArray(found) Then
        Told = OneCell(found)
        Exit Function
    End If
    For row = LBound(found, 1) To UBound(found, 1)
        For column = LBound(found, 2) To UBound(found, 2)
            Told = Told & OneCell(found(row, column)) & "|"
        Next column
        Told = Told & "/"
    Next row
End Function

Private Function OneCell(ByVal found As Variant) As String
    If IsError(found) Then
        OneCell = "error " & CLng(found)
    Else
        OneCell = TypeName(found) & " " & found
    End If
End Function

Private Sub Report(ByVal what As String)
    Print #1, what & " | starts " & starts & ", calls " & calls
    starts = 0
    calls = 0
End Sub

' As half a minute later.
Private Sub HalfAMinute()
    not_before = 0
End Sub

Sub Main()
    Open "{told}" For Output As #1
    Report Told(COURSE_COUNT(120.5, "5 in", 0.5, , "auto"))
    Report Told(ENTRY_PROBLEM("COURSE_COUNT", 120.5, "b"))
    Report Told(ENTRY_PROBLEM("COURSE_COUNT"))
    Report Told(FUNCTION_VERSION())
    Report Told(FEET_INCHES(3))
    Report Told(COURSE_ENDS(120.5, 5.5, 0.5))
    Report asked_of & " " & started_by & " " & loaded
    ends = 1
    Report "ended once: " & Told(READ_LENGTH(3))
    ends = 2
    Report "ended twice: " & Told(ENTRY_PROBLEM("READ_LENGTH", 3))
    ends = 1
    Report "a new server that fails: " & Told(READ_LENGTH(3))
    Report "and the next cell: " & Told(READ_LENGTH(3))
    ends = 1
    no_starts = 2
    Report "ended, no start: " & Told(READ_LENGTH(3))
    Report "another cell: " & Told(READ_LENGTH(4))
    Report "why: " & Told(ENTRY_PROBLEM("READ_LENGTH", 4))
    Report "rests: " & (Now < not_before)
    HalfAMinute
    Report "no start again: " & Told(READ_LENGTH(3))
    HalfAMinute
    no_library = True
    Report "no library: " & Told(ENTRY_PROBLEM("READ_LENGTH", 3))
    Report "still: " & Told(ENTRY_PROBLEM("READ_LENGTH", 3))
    no_library = False
    HalfAMinute
    Report "mended: " & Told(READ_LENGTH(3))
    Report "help not taken:" & HelpNotTaken()
    Close #1
    StarDesktop.terminate
End Sub
"""


def source(told: Path) -> str:
    """Return the whole module, with stand-ins for the two functions that it declares."""
    text = module(PYTHON, r"C:\porch").replace("\r\n", "\n")
    text = re.sub(r"^Attribute .*\n", "", text)
    constant = r'(Private Const LIBRARY As String = "xlwings64[^\n]*\n)'
    text, cut = re.subn(
        rf"#If Win64 Then\n{constant}.*?#End If\nPrivate Declare .*?\n", r"\1", text, flags=re.DOTALL
    )
    assert cut == 1
    assert "Declare" not in text
    head, first, rest = text.partition("\nPublic Function ")
    return f"Option VBASupport 1\n{head}{WINDOWS}{first}{rest}{MAIN.replace('{told}', str(told))}"


def as_module(name: str, text: str) -> str:
    """Write a module as LibreOffice keeps it."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<script:module {BASIC} script:name="{name}">{escape(text)}</script:module>'
    )


def test_the_module_runs_in_basic(tmp_path: Path):
    office = office_or_skip()
    profile, told = tmp_path / "profile", tmp_path / "told.txt"
    soffice = [str(program_in(office.programs, "soffice")), f"-env:UserInstallation={profile.as_uri()}"]
    soffice += ["--headless", "--norestore", "--nologo"]

    def started(*words: str) -> None:
        env = environment(os.environ)
        done = subprocess.run([*soffice, *words], env=env, timeout=ENDS_WITHIN, capture_output=True)
        assert done.returncode in (0, 81), done.stderr  # 81: it made a new profile

    started("--terminate_after_init")
    standard = profile / "user" / "basic" / "Standard"
    library = (standard / "script.xlb").read_text(encoding="utf-8")
    known = '<library:element library:name="Porch"/> <library:element library:name="PorchServer"/>'
    library, replaced = re.subn(r'<library:element library:name="Module1"/>', known, library)
    assert replaced == 1
    (standard / "script.xlb").write_text(library, encoding="utf-8")
    (standard / "Porch.xba").write_text(as_module("Porch", source(told)), encoding="utf-8")
    server = f"Option VBASupport 1\n{SERVER}"
    (standard / "PorchServer.xba").write_text(as_module("PorchServer", server), encoding="utf-8")
    started("macro:///Standard.Porch.Main")
    assert told.read_text().splitlines() == [
        "String Double String Double Empty String Empty Empty Empty Empty  | starts 1, calls 1",
        "String String Double String  | starts 0, calls 1",
        "String String  | starts 0, calls 1",
        "error 2042 | starts 0, calls 1",
        "error 2036|Double 1.5|String |/ | starts 0, calls 1",
        "error 2036|Double 2.5|String a #|/String |error 2015|String #5|/ | starts 0, calls 1",
        f"{FUNCTIONS_IN} {start_command(PYTHON)} C:\\porch\\{LIBRARIES['64']} | starts 0, calls 0",
        # what ran before is started anew and asked once more, and no oftener
        "ended once: String Integer Empty Empty  | starts 1, calls 2",
        "ended twice: String The functions cannot be reached: The server is gone | starts 1, calls 2",
        "a new server that fails: error 2015 | starts 1, calls 1",
        "and the next cell: String Integer Empty Empty  | starts 1, calls 1",
        # a failed start is no start for half a minute, and ENTRY_PROBLEM goes on to say why
        "ended, no start: error 2015 | starts 1, calls 1",
        "another cell: error 2015 | starts 0, calls 0",
        "why: String The functions cannot be reached: Python process exited  Command: python "
        "| starts 0, calls 0",
        "rests: True | starts 0, calls 0",
        "no start again: error 2015 | starts 1, calls 0",
        f"no library: String The functions cannot be reached: {LIBRARIES['64']} is not in C:\\porch "
        "| starts 0, calls 0",
        f"still: String The functions cannot be reached: {LIBRARIES['64']} is not in C:\\porch "
        "| starts 0, calls 0",
        "mended: String Integer Empty Empty  | starts 1, calls 1",
        # there is no Excel: every text is refused, none stops the others or asks a person
        f"help not taken: {' '.join(REGISTRY)} | starts 0, calls 0",
    ]
