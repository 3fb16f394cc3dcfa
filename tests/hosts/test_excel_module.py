"""The VBA module of the add-in: parsed as the editor would, its names, limits and texts."""

import re
from importlib import metadata
from pathlib import Path

import pytest
from vba_text import Procedure, logical_lines, names, procedures, text_of

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.hosts.excel import module as made
from sheetcalc.hosts.excel.module import (
    LIBRARIES,
    XLWINGS,
    library_folder,
    literal,
    module,
    stamp,
    start_command,
    write,
)
from sheetcalc.hosts.excel.names import RESERVED, argument_name
from sheetcalc.hosts.excel.wrappers import argument_texts
from sheetcalc.xlsx.package import FileProblem

PYTHON = r"C:\Users\Zoë Ω\porch\Scripts\python.exe"
TEXT = module(PYTHON, r"C:\Users\Zoë Ω\porch")
LINES = logical_lines(TEXT)
PROCEDURES = procedures(LINES)
FOUND = {procedure.name: procedure for procedure in PROCEDURES}
LARGEST = 32_000  # characters; VBA refuses a procedure that compiles to over 64 KB (from memory)

# Words of VBA and of Excel that the module may use.
KNOWN = {
    *"Application ThisWorkbook Err IsMissing IsObject IsArray TypeName VarType vbString CVErr".split(),  # noqa: SIM905
    *"Left Now TimeSerial ChrW Array UBound LBound ReDim StrPtr Win64 PtrSafe Lib LongPtr".split(),  # noqa: SIM905
    *"MsgBox Replace vbCr vbLf Error Object Explicit Attribute VB_Name Property".split(),  # noqa: SIM905
}


def test_the_file_is_what_the_editor_reads():
    assert TEXT.isascii()
    assert re.sub(r"[^\n]*\r\n", "", TEXT) == ""
    assert TEXT.startswith('Attribute VB_Name = "sheetcalc_functions"\r\nOption Explicit\r\n')
    assert not re.search(r"[ \t]\r\n", TEXT)


def test_every_function_stands_there_once():
    public = [each.name for each in PROCEDURES if not each.opening.startswith("Private ")]
    assert public == [*REGISTRY, "HelpNotTaken", "RegisterHelp"]
    assert FOUND["RegisterHelp"].opening == "Public Sub RegisterHelp()"
    lower = [each.name.lower() for each in PROCEDURES]
    assert len(set(lower)) == len(lower)
    assert "sheetcalc_functions" not in lower, "a procedure may not be called like its module"


@pytest.mark.parametrize("name", REGISTRY)
def test_a_function_hands_on_its_arguments_in_order(name: str):
    function, procedure = REGISTRY[name], FOUND[name]
    wanted = [argument_name(each.name) for each in function.parameters]
    assert procedure.parameters == wanted
    for parameter, declared in zip(function.parameters, procedure.declared, strict=True):
        assert declared.startswith("Optional ") == (parameter.optional and not function.takes_rest)
        assert declared.startswith("ParamArray ") == parameter.rest
    if not function.takes_rest:
        given = f"Array({', '.join(wanted)})" if wanted else "Empty"
        assert procedure.lines[1:-1] == [f'{name} = Answer("{name}", {given})']
    assert len(procedure.parameters) <= 60


def test_any_number_of_arguments():
    assert FOUND["ENTRY_PROBLEM"].lines == [
        "Public Function ENTRY_PROBLEM(function_, ParamArray argument()) As Variant",
        "Dim given() As Variant, place As Long",
        "ReDim given(0 To UBound(argument) + 1)",
        "given(0) = Plain(function_)",
        "For place = 0 To UBound(argument)",
        "If Not IsMissing(argument(place)) Then given(place + 1) = Plain(argument(place))",
        "Next place",
        'ENTRY_PROBLEM = Answer("ENTRY_PROBLEM", given)',
        "End Function",
    ]
    assert 'If name = "ENTRY_PROBLEM" Then' in FOUND["Answer"].lines


def declared_in(procedure: Procedure) -> set[str]:
    dims = [line.removeprefix("Dim ") for line in procedure.lines if line.startswith("Dim ")]
    local = {re.match(r"\w+", each.strip())[0] for dim in dims for each in dim.split(",")}  # type: ignore[index]
    labels = {line[:-1] for line in procedure.lines if re.fullmatch(r"\w+:", line)}
    return {*procedure.parameters, *local, *labels}


def test_every_name_is_declared_and_none_is_a_word_of_vba():
    head = LINES[: LINES.index(PROCEDURES[0].opening)]
    shared = {
        match[1]
        for line in head
        for match in [re.match(r"Private (?:Const |Declare PtrSafe Function )?(\w+)", line)]
        if match
    }
    shared |= set(FOUND)
    everywhere = set(shared)
    for procedure in PROCEDURES:
        own = declared_in(procedure)
        assert (
            names(procedure.lines)
            - own
            - shared
            - KNOWN
            - {word for word in names(procedure.lines) if word.lower() in RESERVED}
            == set()
        ), procedure.name
        assert not {name.lower() for name in own} & RESERVED
        called = {name.lower() for name in names(procedure.lines[1:]) & (shared | KNOWN)}
        assert not {name.lower() for name in own} & (called - {procedure.name.lower()}), "hides what it calls"
        assert procedure.name.lower() not in {name.lower() for name in own}
        everywhere |= own
    assert len({name.lower() for name in everywhere}) == len(everywhere), "names that differ in case only"


def test_every_private_procedure_is_used():
    for procedure in PROCEDURES:
        if procedure.opening.startswith("Private "):
            others = [line for each in PROCEDURES if each is not procedure for line in each.lines]
            assert procedure.name in names(others), procedure.name


def test_no_procedure_is_too_large():
    assert max(sum(map(len, procedure.lines)) for procedure in PROCEDURES) < LARGEST


def test_errors_are_those_of_excel():
    # Source: Excel VBA reference, XlCVError enumeration (read in MicrosoftDocs/VBA-Docs).
    numbers = {
        "#NULL!": 2000,
        "#DIV/0!": 2007,
        "#VALUE!": 2015,
        "#REF!": 2023,
        "#NAME?": 2029,
        "#NUM!": 2036,
        "#N/A": 2042,
    }
    cases = [line for line in FOUND["TrueCell"].lines if line.startswith("Case ")]
    assert cases == [f'Case "{text}": TrueCell = CVErr({number})' for text, number in numbers.items()]
    assert list(numbers) == [error.value for error in CellError]


# --- Texts ---


def test_every_function_is_described_with_its_arguments():
    told: dict[str, tuple[str, list[str]]] = {}
    about: list[str] = []
    for procedure in PROCEDURES:
        for line in procedure.lines if procedure.name.startswith("TellOf") else ():
            if size := re.fullmatch(r"ReDim about\(1 To (\d+)\)", line):
                about = [""] * int(size[1])
            elif text := re.fullmatch(r"about\((\d+)\) = (.*)", line):
                about[int(text[1]) - 1] = text_of(text[2])
            elif call := re.fullmatch(r'Tell "(\w+)", (.*?)(, about)?', line):
                assert call[1] not in told
                told[call[1]] = (text_of(call[2]), about if call[3] else [])
    assert told == {
        function.name: (function.summary, argument_texts(function)) for function in REGISTRY.values()
    }
    assert FOUND["HelpNotTaken"].lines[1:-1] == [
        'untold = ""',
        *(each.name for each in PROCEDURES if each.name.startswith("TellOf")),
        "HelpNotTaken = untold",
    ]
    for summary, texts in told.values():
        assert all(0 < len(text) <= 255 for text in (summary, *texts))


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("", '""'),
        ('3/8"', '"3/8"""'),
        ("ft² of 1×6", '"ft" & ChrW(178) & " of 1" & ChrW(215) & "6"'),
        ("𝟛", "ChrW(55349) & ChrW(57307)"),
        ("a\nb", '"a" & ChrW(10) & "b"'),
    ],
)
def test_texts_are_written_in_ascii(text: str, written: str):
    assert literal(text) == written
    if text:
        assert text_of(written) == text


# --- Python and xlwings ---


def test_no_box_appears_but_for_a_person():
    # In an Excel that nobody sees a box waits for ever; so does an error that a macro raises there.
    for procedure in PROCEDURES:
        boxes = [line for line in procedure.lines if "MsgBox" in line]
        assert len(boxes) == (2 if procedure.name == "RegisterHelp" else 0)
    for name in ("HelpNotTaken", "RegisterHelp", "Tell"):
        assert not any("Err.Raise" in line for line in FOUND[name].lines)
    called = {name for each in PROCEDURES if each.name != "RegisterHelp" for name in names(each.lines)}
    assert "RegisterHelp" not in called


def test_python_is_started_by_its_full_path_and_nothing_else_is():
    told = text_of(FOUND["StartCommand"].lines[1].removeprefix("StartCommand = "))
    assert told == start_command(PYTHON)
    assert told == f'"{PYTHON}" -I -B -c "import xlwings;xlwings.serve(\'$(CLSID)\')"'
    assert "cmd" not in " ".join(LINES).lower()
    folder = text_of(FOUND["LibraryFolder"].lines[1].removeprefix("LibraryFolder = "))
    assert folder == r"C:\Users\Zoë Ω\porch"


def test_the_declarations_are_those_of_xlwings():
    xlwings = pytest.importorskip("xlwings", reason="xlwings is not installed")
    theirs = (Path(xlwings.__file__).parent / "xlwings.bas").read_text(encoding="utf-8")
    assert f'Public Const XLWINGS_VERSION As String = "{XLWINGS}"' in theirs
    for library in LIBRARIES.values():
        declared = (
            f'Declare PtrSafe Function XLPyDLLActivateAuto Lib "{library}" (ByRef {{}} As Variant, '
            'Optional ByVal {} As String = "", Optional ByVal mode As Long = 1) As Long'
        )
        assert declared.format("Result", "Config") in theirs
        assert f"Private {declared.format('found', 'config')}" in LINES
    assert 'import xlwings; xlwings.serve(\'$(CLSID)\')"""' in theirs
    assert "If 0 <> XLPyDLLActivateAuto(XLPy, XLPyCommand, 1) Then" in theirs


def test_xlwings_is_pinned_to_the_version_of_its_library():
    project = Path(__file__).parents[2] / "pyproject.toml"
    pins = re.findall(r'"xlwings==([\d.]+)', project.read_text(encoding="utf-8"))
    assert pins
    assert set(pins) == {XLWINGS}


def test_libraries_lie_where_xlwings_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    class File:
        name = LIBRARIES["64"]

        def locate(self) -> Path:
            return tmp_path / "Lib" / ".." / self.name

    monkeypatch.setattr(metadata, "files", lambda _: [File()])
    assert library_folder() == str(tmp_path.resolve())
    monkeypatch.setattr(metadata, "files", lambda _: None)
    assert library_folder() == made.sys.prefix

    def none(_: str) -> None:
        raise metadata.PackageNotFoundError

    monkeypatch.setattr(metadata, "files", none)
    assert library_folder() == made.sys.prefix


# --- The file ---


def test_the_same_module_from_the_same_functions():
    assert module(PYTHON, r"C:\Users\Zoë Ω\porch") == TEXT
    assert stamp(TEXT) != stamp(module("other", "other"))
    assert stamp(TEXT).isascii()


def test_write(tmp_path: Path):
    file = tmp_path / "porch.bas"
    write(file)
    assert file.read_bytes() == module().encode("ascii")
    with pytest.raises(FileProblem, match="already exists; with --force"):
        write(file)
    file.write_bytes(b"")
    write(file, force=True)
    assert file.stat().st_size > 1000
    with pytest.raises(FileProblem, match=r"ends in \.bas"):
        write(tmp_path / "porch.txt")
