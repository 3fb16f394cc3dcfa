"""Every native form answers as the function does: the same call in a plain workbook and in Python."""

import math
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.formula import ArrayFormula

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, CellFunction, Parameter
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.headless import Headless
from sheetcalc.kinds import COUNT, COURSES, LENGTH, MONEY, PERCENT, SHARE, TEXT, Takes
from sheetcalc.workbooks.plain import FORMS, STORED, Form, plain
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

READINGS, LISTED, ROWS = 3, 5, 30  # cells of readings, of a list, rows of a table
NATIVE = [name for name, form in FORMS.items() if isinstance(form, Form) and name in REGISTRY]
HELP = {"ENTRY_PROBLEM", "FUNCTION_VERSION"}
CALLED = [name for name in NATIVE if name not in HELP]
TABLES = [name for name in CALLED if REGISTRY[name].columns]
SINGLE = [name for name in CALLED if name not in TABLES]


def test_every_function_has_a_form() -> None:
    assert set(REGISTRY) <= set(FORMS)


def test_every_form_is_of_a_function_or_says_its_arguments() -> None:
    own = {name for name in FORMS if name not in REGISTRY}
    assert all(isinstance(FORMS[name], Form) and FORMS[name].arguments for name in own)  # type: ignore[union-attr]


def test_what_a_solver_answers_is_stored() -> None:
    assert {"BUY_LIST", "SAW_LIST", "JOINT_PLAN", "BUY_COST"} <= {n for n, f in FORMS.items() if f is STORED}


def test_no_form_uses_a_function_newer_than_2016() -> None:
    from sheetcalc.workbooks.lint import NATIVE as OLD
    from sheetcalc.xlsx.formulas import tokens

    known = {"BINOMDIST", "GCD", "EXP", "RADIANS", "SIN", "COUNTIFS", "ISERROR"}  # all of 2007
    ours = {*FORMS, "SHOWN_LENGTH"}
    for name, form in FORMS.items():
        if not isinstance(form, Form):
            continue
        for text in (form.answer, *form.steps.values(), *form.each.values(), *form.rules, *form.defaults.values()):
            found = tokens(text)
            for token, following in zip(found, found[1:], strict=False):
                if token.kind == "name" and following.text == "(":
                    assert OLD.fullmatch(token.text) or token.text in known | ours, (name, token.text)


def _width(parameter: Parameter) -> int:
    if parameter.takes is Takes.LIST:
        return LISTED
    return READINGS if parameter.takes in (Takes.READINGS, Takes.CEILINGS) else 1


def _places(function: CellFunction) -> dict[str, list[str]]:
    """Cells of every argument, side by side in row 2."""
    found: dict[str, list[str]] = {}
    at = 1
    for parameter in function.inputs:
        found[parameter.name] = [address(2, at + more) for more in range(_width(parameter))]
        at += _width(parameter)
    return found


class Pair:
    """A call in a plain workbook, its arguments in cells."""

    def __init__(self, name: str, system: str, folder: Path) -> None:
        self.function = REGISTRY[name]
        self.system = system
        self.places = _places(self.function)
        parts = [cells[0] if len(cells) == 1 else f"{cells[0]}:{cells[-1]}" for cells in self.places.values()]
        if self.function.columns and self.function.rows_at is not None:
            parts.insert(self.function.rows_at, str(ROWS))
        formula = f'={name}({",".join(parts)},"{system}")'
        book = openpyxl.Workbook()
        sheet = book.active
        assert sheet is not None
        sheet.title = "Job"
        if self.function.columns:
            per_reading = self.function.rows_at is None
            high = READINGS if per_reading else ROWS
            self.high, self.wide = high, len(self.function.columns)
            area = f"A4:{address(3 + high, self.wide)}"
            sheet["A4"] = ArrayFormula(area, formula)
        else:
            self.high = self.wide = 1
            sheet["A4"] = formula
        path = folder / f"{name.lower()}_{system}.xlsx"
        book.save(path)
        made = plain(path, folder / f"{name.lower()}_{system}_plain.xlsx", force=True)
        assert not made.stored, made.stored
        assert not made.report.unevaluated
        self.host = Headless(Workbook(made.report.file))

    def native(self, values: dict[str, list[Cell]]) -> list[list[Cell]]:
        for name, cells in self.places.items():
            for cell, value in zip(cells, values[name], strict=True):
                self.host.set("Job", cell, value)
        self.host.recalculate()
        rows = self.host.get("Job", f"A4:{address(3 + self.high, self.wide)}")
        return rows if isinstance(rows, list) else [[rows]]

    def python(self, values: dict[str, list[Cell]]) -> list[list[Cell]]:
        arguments: list[Any] = [
            cells[0] if len(cells) == 1 else [[*cells]] for cells in (values[name] for name in self.places)
        ]
        if self.function.columns and self.function.rows_at is not None:
            arguments.insert(self.function.rows_at, float(ROWS))
        answer = call(self.function, [*arguments, self.system])
        if isinstance(answer, list):
            return answer
        return [[answer] * self.wide] * self.high


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("plain")
    return cache(lambda name, system: Pair(name, system, folder))


def same(native: Cell, python: Cell) -> bool:
    """Tell whether a cell shows what the function answers; of several faults any error may be shown."""
    if isinstance(python, CellError) or isinstance(native, CellError):
        return isinstance(native, CellError) and isinstance(python, CellError)
    if python in (None, "") or native in (None, ""):
        return native in (None, "") and python in (None, "")
    if isinstance(python, str) or isinstance(native, str):
        return native == python
    return math.isclose(native, python, rel_tol=1e-9, abs_tol=1e-9)


# --- Values that a job brings, with the borders among them ---

DUST = st.sampled_from((0.0, 0.0, 0.0, 1e-12, -1e-12, 1e-6, -1e-6, 1 / 64, -1 / 64))
FACES = st.sampled_from((3.125, 5.125, 6.875, 5.0, 2.5))
SIXTEENTHS = st.integers(0, 160).map(lambda parts: parts / 16)


@st.composite
def arguments(draw: st.DrawFn, function: CellFunction, system: str) -> dict[str, list[Cell]]:
    """Arguments of a call, most of them in their range; a blank where a default may stand in."""
    face = draw(FACES)
    gap = draw(st.sampled_from((0.0, 0.25, 0.5, 0.75)))
    courses = draw(st.integers(1, ROWS - 1))
    rest = draw(st.one_of(st.just(0.0), st.just(face / 2), st.integers(0, 80).map(lambda parts: parts / 16)))
    width = courses * face + 2 * gap + min(rest, face) + draw(DUST)
    known: dict[str, st.SearchStrategy[Any]] = {
        "face": st.just(face),
        "gap": st.just(gap),
        "finish_gap": st.sampled_from((None, gap, 0.5, 0.0)),
        "least": st.sampled_from((None, 0.0, face / 2, face, 1.5)),
        "take_up": st.sampled_from((None, 0.0, 1 / 64, 0.25, 1.0)),
        "position": st.integers(0, 16).map(lambda part: gap + part * face / 2) | SIXTEENTHS.map(lambda at: at * 3),
        "size": st.sampled_from((face, 2 * face, 6.0, 0.5)),
        "cut_length": st.sampled_from((90.0, 95.5, 96.0, width - 1)),
        "nominal": st.sampled_from(("1x6", "1 x 8", "1X4", "5/4x6", "1-1/4 x 6", "2x", "1x14", None)),
        "species": st.sampled_from(
            ("western redcedar", "Douglas-fir, coast", "Coast Douglas fir", "  ponderosa pine ", "oak of nowhere", None)
        ),
        "denominator": st.sampled_from((None, 1.0, 8.0, 16.0, 64.0, 7.0)),
        "coefficient": st.sampled_from((0.00234, 0.0, 0.011)),
        "temperature": st.integers(0, 120).map(float),
        "diagonal_1": st.integers(80, 400).map(float),
        "diagonal_2": st.integers(80, 400).map(float),
        "angle": st.sampled_from((None, 45.0, 90.0, 30.0, 0.0)),
        "crew": st.integers(0, 4).map(float),
        "day": st.sampled_from((None, 8.0, 10.0, 25.0)),
        "step": st.sampled_from((None, 0.5, 0.25, 5.0)),
        "good_boards": st.integers(0, 120).map(float),
        "ordered": st.integers(0, 140).map(float),
        "confidence": st.sampled_from((None, 0.9, 0.95, 0.999, 1.0)),
        "per_1000": st.sampled_from((None, 40.0)),
        "at_least": st.sampled_from((None, 10.0)),
        "limit": st.sampled_from((18.0, 12.0, 16.0)),
        "target": st.sampled_from((None, 12.0, 9.0)),
        "tolerance": st.sampled_from((None, 2.0)),
        "most_gap": st.sampled_from((None, 0.75, 1.0, 0.25)),
        "least_gap": st.sampled_from((None, 0.25, 0.0)),
        "roll_width": st.sampled_from((36.0, 108.0, 5.0)),
        "roll_length": st.sampled_from((1200.0, 2400.0)),
        "lap": st.sampled_from((None, 6.0, 4.0)),
        "spacing": st.sampled_from((16.0, 24.0, 0.0)),
        "first": st.sampled_from((None, 0.0, 8.0)),
        "price": st.integers(0, 100_000).map(lambda cents: cents / 100),
        "longest": st.none(),
    }
    found: dict[str, list[Cell]] = {}
    for parameter in function.inputs:
        one = parameter.name
        if parameter.takes in (Takes.READINGS, Takes.CEILINGS):
            off = st.sampled_from((None, 0.0, 0.0, 0.25, -0.5, 1.0, -2.0, 6.0, 1 / 64))
            offs = [draw(off) for _ in range(READINGS)]
            values: list[Cell] = [None if each is None else width + each for each in offs]
        elif parameter.takes is Takes.LIST:
            values = [draw(_plain(parameter)) for _ in range(LISTED)]
            if one == "shares":
                values = draw(st.sampled_from(([0.3, 0.3, 0.4, None, None], [1.0, None, None, None, None], [0.5, 0.6, None, None, None], [0.2] * 5)))
            elif one in ("rejected", "delivered"):
                values = [value if value != 2.5 else 2.0 for value in values]
            elif one in ("stock",):
                values = draw(st.permutations((96.0, 120.0, 144.0, None, 192.0)))
        elif parameter.choices:
            values = [draw(st.sampled_from((*parameter.choices, parameter.choices[0].upper(), None, "else")))]
        else:
            values = [draw(known.get(one, _plain(parameter)))]
        convert = parameter.kind.units is not None and system == "metric"
        found[one] = [_metric(value, parameter) if convert and isinstance(value, float) else value for value in values]
    return found


def _metric(value: float, parameter: Parameter) -> float:
    if parameter.kind is LENGTH:
        return value * 25.4
    return value


def _plain(parameter: Parameter) -> st.SearchStrategy[Any]:
    kinds: dict[Any, st.SearchStrategy[Any]] = {
        LENGTH: SIXTEENTHS,
        COUNT: st.integers(0, 60).map(float) | st.just(2.5),
        SHARE: st.sampled_from((0.0, 0.05, 0.1, 0.333, 0.9, 1.0)),
        PERCENT: st.sampled_from((0.0, 0.5, 1.0, 8.0, 12.0, 18.0, 19.0, 35.0, 100.0)),
        MONEY: st.integers(0, 50_000).map(lambda cents: cents / 100),
        TEXT: st.sampled_from(("1x6", None)),
        COURSES: st.integers(1, 9).map(float),
    }
    some = kinds.get(parameter.kind, st.integers(0, 4_000).map(lambda parts: parts / 8))
    wrong = st.sampled_from((-1.0, "what", None))
    return st.one_of(some, some, some, some, some, st.none() if parameter.optional else wrong)


CASES = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", CALLED)
@CASES
@given(data=st.data())
def test_native_form_equals_the_function(pair: Any, name: str, system: str, data: st.DataObject) -> None:
    both = pair(name, system)
    values = data.draw(arguments(both.function, system))
    native, python = both.native(values), both.python(values)
    if name == "LAYOUT_TABLE":  # of one ceiling; the rows below it stay blank whatever that one shows
        native, python = native[:1], python[:1]
    for mine, theirs in zip(native, python, strict=True):
        for one, other in zip(mine, theirs, strict=True):
            assert same(one, other), (name, values, native, python)


@pytest.mark.parametrize("name", CALLED)
def test_native_form_answers_the_example(pair: Any, name: str) -> None:
    both = pair(name, "us")
    example = list(both.function.example)
    if both.function.rows_at is not None:
        del example[both.function.rows_at : both.function.rows_at + 1]
    values: dict[str, list[Cell]] = {}
    for at, (one, cells) in enumerate(both.places.items()):
        given_ = example[at] if at < len(example) else None
        flat = [cell for row in given_ for cell in row] if isinstance(given_, list) else [given_]
        if len(flat) > len(cells):
            pytest.skip("more readings than the sheet has cells")
        if both.places.keys() == {"entry", "longest"} and one == "entry":
            flat = [171.375]  # a typed length becomes a number on writing
        values[one] = [float(c) if isinstance(c, int) else c for c in flat] + [None] * (len(cells) - len(flat))
    native, python = both.native(values), both.python(values)
    for mine, theirs in zip(native, python, strict=True):
        assert all(map(same, mine, theirs)), (values, native[:3], python[:3])
