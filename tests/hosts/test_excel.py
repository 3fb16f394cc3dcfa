"""The cell functions through xlwings itself, up to the COM border; Excel and Windows are made up.

xlwings' decorators, its VBA generator, its import and its COM server run as they are.
"""

import importlib
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from calls import write
from com_border import ERRORS, MISSING, CellRange, ComTime, windows
from vba_text import logical_lines, procedures

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import CellError
from sheetcalc.hosts.excel.module import FUNCTIONS_IN, XLWINGS, module
from sheetcalc.hosts.excel.names import RESERVED, argument_name
from sheetcalc.hosts.excel.wrappers import CATEGORY, argument_texts, serial, wrapper
from sheetcalc.hosts.headless import Headless
from sheetcalc.kinds import TEXT, Takes
from sheetcalc.xlsx.workbook import Workbook

pytest.importorskip("xlwings", reason="xlwings is not installed")

FUNCTIONS = [*REGISTRY.values()]
SERIAL = 45359.5  # noon of 8 March 2024


def each(functions: list[CellFunction]) -> Any:
    return pytest.mark.parametrize("function", functions, ids=[function.name for function in functions])


@pytest.fixture(scope="module")
def border() -> Iterator[Any]:
    """Yield xlwings as on Windows, with its COM server and our functions."""
    with windows() as xlwings:
        functions = importlib.import_module(FUNCTIONS_IN)
        server = importlib.import_module("xlwings.com_server").XLPython()
        yield SimpleNamespace(
            xlwings=xlwings,
            udfs=importlib.import_module("xlwings.udfs"),
            functions=functions,
            ask=lambda name, args: server.CallUDF(FUNCTIONS_IN, name, args),
        )


# --- What Excel hands over ---


def com(cell: Any) -> Any:
    """Return a cell as COM hands it over."""
    if isinstance(cell, CellError):
        return ERRORS[cell.value]
    return float(cell) if type(cell) is int else cell


def values(argument: Any) -> Any:
    """Return an argument as our VBA module passes it: what was left out is missing, a range its values."""
    if argument is None:
        return MISSING
    if isinstance(argument, list):
        rows = tuple(tuple(com(cell) for cell in row) for row in argument)
        return rows[0][0] if (len(rows), len(rows[0])) == (1, 1) else rows
    return com(argument)


def ranges(argument: Any) -> Any:
    """Return an argument as xlwings' VBA passes it: whatever it is, it stands in cells."""
    rows = argument if isinstance(argument, list) else [[argument]]
    found = tuple(tuple(com(cell) for cell in row) for row in rows)
    return CellRange(found[0][0] if (len(found), len(found[0])) == (1, 1) else found)


def expected(answer: Any) -> Any:
    """Return an answer as xlwings' server gives it: a row as a list, a cell by itself, errors as text."""
    rows = answer if isinstance(answer, list) else [[answer]]
    shown = {error: error.value for error in CellError} | {None: ""}
    plain = [[shown.get(cell, cell) for cell in row] for row in rows]
    if len(plain) == 1:
        return plain[0][0] if len(plain[0]) == 1 else plain[0]
    return plain


def example(function: CellFunction) -> list[Any]:
    """Return the example with readings in a row and every argument in its place."""
    args = [*function.example, *[None] * (len(function.parameters) - len(function.example))]
    for place, parameter in enumerate(function.inputs):
        if parameter.takes is Takes.READINGS and isinstance(args[place], list) and len(args[place][0]) == 1:
            args[place] = [[row[0] for row in args[place]]]
    return args


def spoilt(function: CellFunction) -> Iterator[list[Any]]:
    """Yield the example with one argument after the other replaced by what a cell may hold."""
    args = example(function)
    for place, parameter in enumerate(function.parameters):
        for cell in (None, " ", True, SERIAL, CellError.DIV, CellError.NA):
            yield [*args[:place], cell, *args[place + 1 :]]
        if parameter.takes is Takes.ONE and not function.columns and parameter.name != "units":
            yield [*args[:place], [[args[place], None, CellError.DIV, "zz"]], *args[place + 1 :]]
            yield [*args[:place], [[args[place]], [0.5]], *args[place + 1 :]]


# --- Answers ---


def test_the_version_is_the_one_that_the_module_is_made_for(border: Any):
    assert border.xlwings.__version__ == XLWINGS
    assert not border.xlwings.__pro__


def test_the_answers_are_the_headless_ones(border: Any, tmp_path: Path):
    made = write(tmp_path / "calls.xlsx", FUNCTIONS)
    headless = Headless(Workbook(tmp_path / "calls.xlsx"))
    assert not headless.unevaluated
    for one in made:
        answer = expected(headless.get("Calls", one.cells))
        for handed_over in (values, ranges):
            got = border.ask(one.function.name, [handed_over(each) for each in one.arguments])
            assert got == answer, one
    assert len(made) > 5 * len(FUNCTIONS)


@each(FUNCTIONS)
def test_whatever_a_cell_holds_answers_as_in_cells(function: CellFunction, border: Any):
    for args in spoilt(function):
        answer = expected(call(function, args))
        assert border.ask(function.name, [values(each) for each in args]) == answer, args
        assert border.ask(function.name, [ranges(each) for each in args]) == answer, args


@each([function for function in FUNCTIONS if function.has_units])
def test_currency_and_dates_are_numbers(function: CellFunction, border: Any):
    args = example(function)
    for place, parameter in enumerate(function.parameters):
        if parameter.kind is not TEXT:
            for cell, number in ((Decimal("12.5"), 12.5), (ComTime(2024, 3, 8, 12), SERIAL)):
                given = [ranges(each) for each in args]
                given[place] = CellRange(cell)
                wanted = call(function, [*args[:place], number, *args[place + 1 :]])
                assert border.ask(function.name, given) == expected(wanted), (parameter.name, cell)


def test_a_range_of_readings_and_a_list(border: Any):
    assert border.ask("COURSE_COUNT", [((120.0, None, 119.5),), 5.125, 0.5]) == 24.0
    block = ((120.0, 120.5), (96.0, None), (None, None))
    assert border.ask("COURSE_COUNT", [block, 5.125, 0.5]) == [[24.0], [19.0], [""]]
    assert border.ask("COURSE_COUNT", [CellRange(block), 5.125, 0.5]) == [[24.0], [19.0], [""]]


def test_an_array_constant_of_one_row_arrives_flat(border: Any):
    assert border.ask("INCH_FRACTION", [(0.5, 1.25)]) == ["1/2", "1 1/4"]


@pytest.mark.parametrize("error", CellError)
def test_an_error_is_passed_on(error: CellError, border: Any):
    for given in (ERRORS[error.value], CellRange(ERRORS[error.value])):
        assert border.ask("INCH_FRACTION", [given]) == error.value


def test_errors_stand_among_answers_as_text(border: Any):
    assert border.ask("INCH_FRACTION", [((0.5,), (ERRORS["#N/A"],), ("some",))]) == [
        ["1/2"],
        ["#N/A"],
        ["#VALUE!"],
    ]


def test_entry_problem_takes_any_number_of_arguments(border: Any):
    assert border.ask("ENTRY_PROBLEM", ["COURSE_COUNT", 120.0, 5.125, -1.0]) == (
        "gap is -1 in, but must be 0 or more"
    )
    assert border.ask("ENTRY_PROBLEM", ["COURSE_COUNT", ((120.0, 119.5),), CellRange(5.125), 0.5]) == ""
    assert border.ask("ENTRY_PROBLEM", ["COURSE_COUNT", 120.0, MISSING, 0.5]) == (
        "face is not given, but is needed"
    )
    args = ["JOINT_PLAN", *[MISSING] * 20, "metric"]
    assert border.ask("ENTRY_PROBLEM", args) == "lengths is not given, but is needed"


def test_a_failure_of_ours_is_value_and_is_told(capsys: pytest.CaptureFixture[str]):
    broken = replace(REGISTRY["FUNCTION_VERSION"], python=lambda: 1 / 0)
    assert wrapper(broken)() == [["#VALUE!"]]
    assert capsys.readouterr().err == "FUNCTION_VERSION: ZeroDivisionError: division by zero\n"


def test_serial_counts_parts_of_a_day():
    assert serial(1900, 3, 1) == 61.0
    assert serial(2024, 3, 8, 18, 0, 0, microsecond=5, tzinfo=None) == 45359.75


# --- What xlwings makes of the wrappers ---


@each(FUNCTIONS)
def test_xlwings_reads_every_argument(function: CellFunction, border: Any):
    read = getattr(border.functions, function.name).__xlfunc__
    assert read["name"] == function.name
    assert read["category"] == CATEGORY
    assert read["ret"]["doc"] == function.summary
    assert [arg["name"] for arg in read["args"]] == [argument_name(each.name) for each in function.parameters]
    for arg, parameter, text in zip(read["args"], function.parameters, argument_texts(function), strict=True):
        assert arg["doc"] == text
        assert arg["options"] == {"ndim": 2, "err_to_str": True, "dates": serial}
        assert arg["vararg"] == parameter.rest
        assert ("optional" in arg) == (parameter.optional and not function.takes_rest)


class Components:
    """The modules of a workbook that another program may change."""

    def __init__(self) -> None:
        self.imported = ""

    def __call__(self, name: str) -> str:
        return name

    def Remove(self, component: str) -> None:  # noqa: N802
        assert component == "xlwings_udfs"

    def Import(self, file: str) -> None:  # noqa: N802
        self.imported = Path(file).read_text(encoding="ascii")


@pytest.fixture(scope="module")
def imported(border: Any) -> Any:
    """Return what xlwings' own import puts into a workbook."""
    components, options = Components(), {}

    def macro_options(name: str, **given: Any) -> None:
        options[name] = given

    book = SimpleNamespace(
        Name="porch.xlsm",
        Worksheets=[],
        Sheets=[],
        VBProject=SimpleNamespace(VBComponents=components),
        Application=SimpleNamespace(Version="16.0", MacroOptions=macro_options),
    )
    border.udfs.import_udfs(FUNCTIONS_IN, book)
    return SimpleNamespace(lines=logical_lines(components.imported, "\n"), options=options)


def test_xlwings_own_import_takes_every_function_once(imported: Any):
    made = [line for line in imported.lines if line.startswith("Function ")]
    assert sorted(line.split("(")[0] for line in made) == sorted(f"Function {name}" for name in REGISTRY)
    for line in made:
        function = REGISTRY[line.split("(")[0].removeprefix("Function ")]
        inside = line.partition("(")[2][:-1]
        declared = [
            f"ParamArray {name}()" if each.rest else f"Optional {name}" if each.optional else name
            for each in function.parameters
            for name in [argument_name(each.name)]
        ]
        if function.takes_rest:
            declared = [each.removeprefix("Optional ") for each in declared]
        assert inside == ", ".join(declared)
    assert imported.lines.count("End Function") == len(REGISTRY)
    assert {name.removeprefix("'porch.xlsm'!") for name in imported.options} == set(REGISTRY)


def test_xlwings_own_import_describes_every_argument(imported: Any):
    for name, options in imported.options.items():
        function = REGISTRY[name.removeprefix("'porch.xlsm'!")]
        assert options["Description"] == function.summary
        assert options["Category"] == CATEGORY
        assert (options["ArgumentDescriptions"] or []) == argument_texts(function)


def test_our_module_and_xlwings_own_declare_the_same(imported: Any):
    ours = {each.name: each for each in procedures(logical_lines(module())) if each.name in REGISTRY}
    for line in imported.lines:
        if line.startswith("Function "):
            name, _, inside = line.removeprefix("Function ")[:-1].partition("(")
            assert ours[name].declared == [each for each in inside.split(", ") if each]


# --- Names within Excel's and VBA's limits ---


@each(FUNCTIONS)
def test_names_fit_excel_and_vba(function: CellFunction):
    names = [argument_name(each.name) for each in function.parameters]
    for name in [function.name, *names]:
        assert re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name)
        assert not re.fullmatch(r"[A-Za-z]{1,3}\d+|[Rr]\d*[Cc]?\d*|[Cc]\d*", name), "looks like a cell"
        assert name.lower() not in RESERVED
        assert len(name) <= 255
    assert len({name.lower() for name in names} | {function.name.lower()}) == len(names) + 1
    assert not {name.upper() for name in names} & set(REGISTRY)
    assert len(names) <= 60
    assert len("".join(names)) + len(names) <= 254
    assert 0 < len(function.summary) <= 255
    assert all(0 < len(text) <= 255 for text in argument_texts(function))


def test_no_two_names_differ_only_in_case():
    names = {*REGISTRY} | {argument_name(each.name) for function in FUNCTIONS for each in function.parameters}
    assert len({name.lower() for name in names}) == len(names)
