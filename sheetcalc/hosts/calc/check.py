"""Is what Calc answers what Python answers? Every function's example, recalculated in the office."""

import tempfile
import zipfile
from collections.abc import Iterable, Mapping
from html import escape
from pathlib import Path
from typing import NamedTuple

from sheetcalc.cells.call import call
from sheetcalc.cells.help import formula
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError, Range
from sheetcalc.hosts.calc.offices import Office, OfficeProblem
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/"
_SHEET_ML = "application/vnd.openxmlformats-officedocument.spreadsheetml."
_CLOSE = 1e-14  # a file holds fifteen digits or more
_PROBE = 'ENTRY_PROBLEM("INCH_FRACTION",5.125)'


class Call(NamedTuple):
    """A formula that stands in a cell and fills as many as it answers."""

    formula: str  # without the equals sign
    rows: int = 1
    columns: int = 1


class Mismatch(NamedTuple):
    """A call that the office answers otherwise than Python."""

    formula: str
    office: str
    python: str

    def __str__(self) -> str:
        return f"{self.formula}\n    Calc:   {self.office}\n    Python: {self.python}"


def check(office: Office, functions: Mapping[str, CellFunction] = REGISTRY) -> list[Mismatch]:
    """Recalculate every function's example in the office and compare it with Python.

    Raises
    ------
    OfficeProblem
        The office does not run, does not know the functions, or they get no answer there.
    """
    calls = [_example(function) for function in functions.values()]
    answers = recalculated(office, [Call(_PROBE), *calls])
    probe = answers[0][0][0]
    if probe is CellError.NAME:
        raise OfficeProblem("LibreOffice does not know the functions: run “sheetcalc calc install”.")
    if probe:
        raise OfficeProblem(
            probe if isinstance(probe, str) else f"LibreOffice answers {_shown(probe)} to each call."
        )
    found: list[Mismatch] = []
    for function, asked, answer in zip(functions.values(), calls, answers[1:], strict=True):
        wanted = rows_of(call(function, function.example))
        if not alike(answer, wanted):
            found.append(Mismatch(f"={asked.formula}", _words(answer), _words(wanted)))
    return found


def _example(function: CellFunction) -> Call:
    rows = rows_of(call(function, function.example))
    return Call(formula(function, function.example)[1:], len(rows), len(rows[0]))


def recalculated(office: Office, calls: Iterable[Call]) -> list[Range]:
    """Answer calls in the office, each on rows of its own; the rows of each."""
    with tempfile.TemporaryDirectory() as folder:
        asked = Path(folder, "asked.xlsx")
        calls = list(calls)
        write_calls(asked, calls)
        answered = Path(folder, "answered")
        answered.mkdir()
        sheet = Workbook(office.recalculated(asked, answered)).sheets["Calls"]
        answers: list[Range] = []
        row = 1
        for one in calls:
            across = range(1, one.columns + 1)
            answers.append(
                [[sheet.value(at, column) for column in across] for at in range(row, row + one.rows)]
            )
            row += one.rows
        return answers


def write_calls(path: Path, calls: Iterable[Call]) -> None:
    """Write a workbook of calls, one below the other; all but single cells are array formulas."""
    rows: list[str] = []
    row = 1
    for one in calls:
        first, last = address(row, 1), address(row + one.rows - 1, one.columns)
        array = "" if first == last else f' t="array" ref="{first}:{last}"'
        text = escape(one.formula, quote=False)
        rows.append(f'<row r="{row}"><c r="{first}"><f{array}>{text}</f></c></row>')
        row += one.rows
    types = "".join(
        f'<Override PartName="/{part}" ContentType="{_SHEET_ML}{kind}+xml"/>'
        for part, kind in {"workbook.xml": "sheet.main", "sheet.xml": "worksheet"}.items()
    )
    content = (
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    )
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}content-types">{content}{types}</Types>',
        "_rels/.rels": _relation("officeDocument", "workbook.xml"),
        "workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>'
        '<sheet name="Calls" sheetId="1" r:id="r1"/></sheets></workbook>',
        "_rels/workbook.xml.rels": _relation("worksheet", "sheet.xml"),
        "sheet.xml": f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(rows)}</sheetData></worksheet>',
    }
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)


def _relation(kind: str, target: str) -> str:
    return (
        f'<Relationships xmlns="{_PACKAGE}relationships">'
        f'<Relationship Id="r1" Type="{_OFFICE}/{kind}" Target="{target}"/></Relationships>'
    )


def rows_of(answer: Cell | Range) -> Range:
    """Return the rows of an answer; of a single one, one of one."""
    return answer if isinstance(answer, list) else [[answer]]


def alike(one: Range, other: Range) -> bool:
    """Tell whether two answers are the same cells, numbers to the digits that a file holds."""
    return len(one) == len(other) and all(
        len(row) == len(like) and all(map(_alike, row, like)) for row, like in zip(one, other, strict=True)
    )


def _alike(one: Cell, other: Cell) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= _CLOSE * max(abs(one), abs(other))
    return one == other or (one in (None, "") and other in (None, ""))


def _words(answer: Range) -> str:
    return " / ".join("  ".join(map(_shown, row)) for row in answer)


def _shown(cell: Cell) -> str:
    if isinstance(cell, CellError):
        return cell.value
    return f"{cell:.17g}" if isinstance(cell, float) else f"“{cell or ''}”"
