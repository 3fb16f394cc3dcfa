"""The VBA module compiled and run by LibreOffice Basic, which knows most of VBA; it is not VBA itself.

What stands in for Python tells what it was given, or answers with errors among other cells.
"""

import os
import re
import subprocess
from pathlib import Path
from xml.sax.saxutils import escape

from calc_office import office_or_skip

from sheetcalc.hosts.calc.offices import environment, program_in
from sheetcalc.hosts.excel.module import module

ENDS_WITHIN = 60
BASIC = 'xmlns:script="http://openoffice.org/2000/script" script:language="StarBasic"'

STAND_IN = """
Private Function Asked(ByVal name As String, ByVal values As Variant) As Variant
    Dim text As String, place As Long, block(0 To 1, 0 To 2) As Variant
    If name = "READ_LENGTH" Then Err.Raise 1000, , "nobody there"
    If name = "ENTRY_PROBLEM" Then
        If values(0) = "fails" Then Err.Raise 1000, , "nobody there"
    End If
    If name = "FUNCTION_VERSION" Then
        Asked = "#N/A"
    ElseIf name = "FEET_INCHES" Then
        Asked = Array("#NUM!", 1.5, "")
    ElseIf name = "COURSE_ENDS" Then
        block(0, 0) = "#NUM!": block(0, 1) = 2.5: block(0, 2) = "a #"
        block(1, 0) = "": block(1, 1) = "#VALUE!": block(1, 2) = "#5"
        Asked = block
    Else
        For place = LBound(values) To UBound(values)
            text = text & TypeName(values(place)) & " "
        Next place
        Asked = text
    End If
End Function

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

Sub Main()
    Open "{told}" For Output As #1
    Print #1, Told(COURSE_COUNT(120.5, "5 in", 0.5, , "auto"))
    Print #1, Told(ENTRY_PROBLEM("COURSE_COUNT", 120.5, "b"))
    Print #1, Told(ENTRY_PROBLEM("COURSE_COUNT"))
    Print #1, Told(ENTRY_PROBLEM("fails"))
    Print #1, Told(READ_LENGTH(3))
    Print #1, Told(FUNCTION_VERSION())
    Print #1, Told(FEET_INCHES(3))
    Print #1, Told(COURSE_ENDS(120.5, 5.5, 0.5))
    Close #1
    StarDesktop.terminate
End Sub
"""


def source(told: Path) -> str:
    """Return the module without what only Windows has, and with the stand-in for Python."""
    text = module(r"C:\porch\python.exe", r"C:\porch").replace("\r\n", "\n")
    text = re.sub(r"^Attribute .*\n", "", text)
    text, cut = re.subn(r"#If Win64 Then\n.*?#End If\nPrivate Declare .*?\n", "", text, flags=re.DOTALL)
    assert cut == 1
    for name in ("Asked", "Started"):
        text, cut = re.subn(rf"Private Function {name}\(.*?\nEnd Function\n", "", text, flags=re.DOTALL)
        assert cut == 1
    return "Option VBASupport 1\n" + text + STAND_IN.replace("{told}", str(told))


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
    (standard / "script.xlb").write_text(library.replace('"Module1"', '"Porch"'), encoding="utf-8")
    (standard / "Porch.xba").write_text(
        f'<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<script:module {BASIC} script:name="Porch">{escape(source(told))}</script:module>',
        encoding="utf-8",
    )
    started("macro:///Standard.Porch.Main")
    assert told.read_text().splitlines() == [
        "String Double String Double Empty String Empty Empty Empty Empty ",
        "String String Double String ",
        "String String ",
        "String The functions cannot be reached: nobody there",
        "error 2015",
        "error 2042",
        "error 2036|Double 1.5|String |/",
        "error 2036|Double 2.5|String a #|/String |error 2015|String #5|/",
    ]
