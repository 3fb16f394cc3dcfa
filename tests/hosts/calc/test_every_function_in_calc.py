"""Every function in a real office, called in several ways: the answers are the headless host's."""

from typing import Any

import pytest
from calc_office import LiveOffice
from calls import Made, write

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.hosts.headless import Headless
from sheetcalc.xlsx.workbook import Workbook

ADD_INS = 11  # the wizard's number of the category


@pytest.fixture(scope="module")
def called(live: LiveOffice, tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Made], Headless, Any]:
    """All calls in one workbook: computed headless, and open in the office."""
    path = tmp_path_factory.mktemp("calls") / "calls.xlsx"
    made = write(path, [*REGISTRY.values()])
    unchanged = live.open(path.as_uri())
    assert unchanged, "the office asks to save what nobody changed"
    return made, Headless(Workbook(path)), live.cells("Calls")


def rows(answer: Any) -> list[list[Any]]:
    found = answer if isinstance(answer, list) else [[answer]]
    return [["" if cell is None else cell for cell in row] for row in found]


def test_the_answers_are_the_headless_ones_to_the_last_digit(called: Any):
    made, headless, calc = called
    assert not headless.unevaluated
    wrong: list[str] = []
    for one in made:
        wanted = rows(headless.get("Calls", one.cells))
        top = int("".join(sign for sign in one.cells.partition(":")[0] if sign.isdigit())) - 1
        got = [line[: len(wanted[0])] for line in calc[top : top + len(wanted)]]
        if got != wanted:
            wrong.append(f"{one}: Calc {got}, headless {wanted}")
    assert wrong == []
    assert len(made) > 5 * len(REGISTRY)


def test_there_are_answers_of_every_sort(called: Any):
    _, _, calc = called
    cells = [cell for row in calc for cell in row]
    assert {CellError.NUM, CellError.VALUE, CellError.NA} <= {
        cell for cell in cells if isinstance(cell, CellError)
    }
    assert CellError.NAME not in cells
    assert any(isinstance(cell, float) for cell in cells)
    assert any(isinstance(cell, str) and cell for cell in cells)


def test_the_wizard_tells_of_every_function_and_argument(live: LiveOffice):
    told = live.wizard()
    for function in REGISTRY.values():
        category, text, arguments = told[function.name]
        assert category == ADD_INS
        assert text == function.summary
        assert [name for name, _ in arguments] == [parameter.name for parameter in function.parameters]
        assert all(help_text for _, help_text in arguments)
