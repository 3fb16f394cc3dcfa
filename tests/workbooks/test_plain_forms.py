"""Every native form answers as the function does: the same call in a plain workbook and in Python."""

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.formula import ArrayFormula
from plain_cases import CALLED, agree, arguments, formula, places, python, size

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import Cell
from sheetcalc.hosts.headless import Headless
from sheetcalc.workbooks.lint import NATIVE
from sheetcalc.workbooks.plain import FORMS, STORED, Form, plain
from sheetcalc.xlsx.formulas import address, tokens
from sheetcalc.xlsx.workbook import Workbook


def test_every_function_has_a_form() -> None:
    assert set(REGISTRY) <= set(FORMS)


def test_every_form_is_of_a_function_or_says_its_arguments() -> None:
    own = {name for name in FORMS if name not in REGISTRY}
    assert all(isinstance(FORMS[name], Form) and FORMS[name].arguments for name in own)  # type: ignore[union-attr]


def test_what_a_solver_answers_is_stored() -> None:
    assert {"BUY_LIST", "SAW_LIST", "JOINT_PLAN", "BUY_COST"} <= {n for n, f in FORMS.items() if f is STORED}


def test_no_form_uses_a_function_newer_than_2016() -> None:
    known = {"BINOMDIST", "GCD", "EXP", "RADIANS", "SIN", "COUNTIFS", "ISERROR"}  # all of 2007
    ours = {*FORMS, "SHOWN_LENGTH"}
    for name, form in FORMS.items():
        if not isinstance(form, Form):
            continue
        for text in (
            form.answer,
            *form.steps.values(),
            *form.each.values(),
            *form.rules,
            *form.defaults.values(),
        ):
            found = tokens(text)
            for token, following in pairwise(found):
                if token.kind == "name" and following.text == "(":
                    assert NATIVE.fullmatch(token.text) or token.text in known | ours, (name, token.text)


class Pair:
    """A call in a plain workbook, its arguments in cells."""

    def __init__(self, name: str, system: str, folder: Path) -> None:
        self.function = REGISTRY[name]
        self.places = places(self.function, 2)
        self.high, self.wide = size(self.function)
        book = openpyxl.Workbook()
        sheet = book.active
        assert sheet is not None
        sheet.title = "Job"
        text = formula(self.function, 2, system)
        area = f"A4:{address(3 + self.high, self.wide)}"
        sheet["A4"] = ArrayFormula(area, text) if self.function.columns else text
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


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Pair]:
    folder = tmp_path_factory.mktemp("plain")

    @cache
    def made(name: str, system: str) -> Pair:
        return Pair(name, system, folder)

    return made


CASES = settings(
    max_examples=20,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", CALLED)
@CASES
@given(data=st.data())
def test_native_form_equals_the_function(
    pair: Callable[[str, str], Pair], name: str, system: str, data: st.DataObject
) -> None:
    both = pair(name, system)
    values = data.draw(arguments(both.function, system))
    native, answer = both.native(values), python(both.function, values, system)
    assert agree(both.function, native, answer), (values, native[:3], answer[:3])


@pytest.mark.parametrize("name", CALLED)
def test_native_form_answers_the_example(pair: Callable[[str, str], Pair], name: str) -> None:
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
        values[one] = [float(c) if isinstance(c, int) else c for c in flat] + [None] * (
            len(cells) - len(flat)
        )
    native, answer = both.native(values), python(both.function, values, "us")
    assert agree(both.function, native, answer), (values, native[:3], answer[:3])
