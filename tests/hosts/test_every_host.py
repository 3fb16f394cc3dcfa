"""One body of tests for every place where the functions live: each answers as plain Python does."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from calls import write

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.hosts.headless import Headless
from sheetcalc.kinds import Takes
from sheetcalc.xlsx.workbook import Workbook

Answers = Callable[[CellFunction], Any]
TRADE = [function for function in REGISTRY.values() if function.has_units]


@pytest.fixture(scope="module")
def examples(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """A workbook that calls every function's example, and the cells of each."""
    path = tmp_path_factory.mktemp("examples") / "examples.xlsx"
    made = write(path, TRADE)
    return path, {one.function.name: one.cells for one in made if one.way == "example"}


@pytest.fixture(scope="module", params=["cells", "headless", "calc"])
def answers(
    request: pytest.FixtureRequest, examples: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Answers]:
    """Answer a function's example as one of the hosts does."""
    path, places = examples
    if request.param == "cells":
        yield lambda function: call(function, function.example)
    elif request.param == "headless":
        host = Headless(Workbook(path))
        yield lambda function: host.get("Calls", places[function.name])
    else:
        from calc_office import LiveOffice

        office = LiveOffice(tmp_path_factory.mktemp("office"))
        try:
            office.open(path.as_uri())
            yield lambda function: office.cells("Calls", places[function.name])
        finally:
            office.quit()


def in_python(function: CellFunction) -> list[list[Any]]:
    """Call the trade function with the example as Python has it; rows of what it answers."""
    values = [
        _plain(cell, parameter.takes) if cell is not None else parameter.default
        for parameter, cell in zip(function.inputs, function.example, strict=False)
    ]
    answer = function.python(*values)
    rows = [[*row] for row in answer] if function.columns else [[answer]]
    return [["" if cell is None else cell for cell in row] for row in rows]


def _plain(cell: Any, takes: Takes) -> Any:
    if not isinstance(cell, list):
        return [cell] if takes is Takes.LIST else cell
    if takes is Takes.CEILINGS:
        return cell
    return [value for row in cell for value in row]


@pytest.mark.parametrize("function", TRADE, ids=[function.name for function in TRADE])
def test_the_example_is_answered_as_by_python(answers: Answers, function: CellFunction):
    answer = answers(function)
    rows = answer if isinstance(answer, list) else [[answer]]
    wanted = in_python(function)
    got = [["" if cell is None else cell for cell in row] for row in rows]
    assert len(got) == len(wanted)
    for row, like in zip(got, wanted, strict=True):
        for cell, same in zip(row, like, strict=True):
            assert cell == same + 0.0 if isinstance(same, float | int) else cell == same
