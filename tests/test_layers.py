"""Each room imports only those before it, and what is heavy only where it is needed."""

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import sheetcalc

HOUSE = Path(sheetcalc.__file__).parent
ROOMS = [
    "kinds",
    "compare",
    "errors",
    "solver",
    "trade",
    "cells",
    "xlsx",
    "hosts",
    "workbooks",
    "takeoff",
    "cli",
]
HEAVY = ("pint", "openpyxl", "formualizer", "highspy", "numpy")
MODULES = sorted(HOUSE.rglob("*.py"))
ALONE = {  # libraries of others, and the only places that may know them
    "pint": {"cells/units.py"},
    "highspy": {"solver/programme.py"},
    "numpy": {"solver/knapsack.py"},
    "formualizer": {f"hosts/{module.name}" for module in MODULES if module.parent.name == "hosts"},
}


def name(module: Path) -> str:
    return module.relative_to(HOUSE).as_posix()


def room(module: Path) -> str:
    return module.relative_to(HOUSE).parts[0].removesuffix(".py")


def imports(module: Path) -> Iterator[str]:
    """Yield the modules that a module imports, wherever in it."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name(module)} imports by dots"
            assert node.module is not None
            if node.module == "sheetcalc":
                yield from (f"sheetcalc.{alias.name}" for alias in node.names)
            else:
                yield node.module


def rooms_entered(module: Path) -> set[str]:
    """Return the rooms that a module imports from."""
    entered = {found.split(".")[1] for found in imports(module) if found.startswith("sheetcalc.")}
    return entered & set(ROOMS)


def ran(code: str) -> str:
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(HOUSE.parent)},
    ).stdout.strip()


def test_every_module_is_in_a_room():
    assert {room(module) for module in MODULES} == {*ROOMS, "__init__"}
    assert len(MODULES) > 40


@pytest.mark.parametrize("module", MODULES, ids=name)
def test_only_rooms_before_it(module: Path):
    later = ROOMS[ROOMS.index(room(module)) + 1 :] if room(module) in ROOMS else []
    assert rooms_entered(module).isdisjoint(later)


@pytest.mark.parametrize(
    ("inside", "allowed"),
    [
        ("kinds", set()),
        ("compare", set()),
        ("errors", {"compare"}),
        ("solver", {"solver"}),
        ("trade", {"kinds", "errors", "compare", "solver", "trade"}),
        ("cells", {"kinds", "errors", "compare", "trade", "cells"}),
        ("xlsx", {"cells", "xlsx"}),
        ("hosts", {"cells", "xlsx", "hosts"}),
    ],
)
def test_the_lower_rooms_know_little(inside: str, allowed: set[str]):
    entered = {
        found: name(module) for module in MODULES if room(module) == inside for found in rooms_entered(module)
    }
    assert {found: where for found, where in entered.items() if found not in allowed} == {}


def test_trade_and_what_is_below_it_need_the_standard_library_alone():
    for module in MODULES:
        if room(module) in ("kinds", "errors", "compare", "trade"):
            outside = {found.split(".")[0] for found in imports(module)} - {"sheetcalc"}
            assert outside <= sys.stdlib_module_names, name(module)


@pytest.mark.parametrize("library", ALONE)
def test_a_library_is_known_in_one_place(library: str):
    known = {
        name(module) for module in MODULES if library in {found.split(".")[0] for found in imports(module)}
    }
    assert known <= ALONE[library]
    assert known


def test_openpyxl_writes_our_workbook_and_nothing_else():
    known = {
        name(module) for module in MODULES if any(found.startswith("openpyxl") for found in imports(module))
    }
    known.remove("takeoff/form.py")  # the example of a form, drawn as a person would
    assert {module.split("/")[0] for module in known} == {"workbooks"}
    assert known.isdisjoint(
        {
            f"workbooks/{module}.py"
            for module in ("compute", "fill", "handles", "names", "printing", "summary", "shown")
        }
    )


def test_the_takeoff_is_declared_in_the_words_of_the_workbook():
    words = {"kinds", "cells.help", "cells.registry", "trade.tables", "workbooks.declare", "__version__"}
    words |= {"workbooks.systems", "trade.drawing"}  # both unit systems; the shape of the picture's frame
    for module in MODULES:
        if room(module) == "takeoff" and module.stem not in ("__main__", "form"):
            ours = {found.removeprefix("sheetcalc.") for found in imports(module) if "sheetcalc" in found}
            assert {found for found in ours if not found.startswith("takeoff")} <= words, name(module)


@pytest.mark.parametrize(
    "module", ["sheetcalc", "sheetcalc.cells.registry", "sheetcalc.cells.call", "sheetcalc.cli"]
)
def test_light_to_import(module: str):
    assert ran(f"import sys, {module}; print([x for x in {HEAVY} if x in sys.modules])") == "[]"


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["compute", "--help"], ["functions"]])
def test_light_to_ask(words: list[str]):
    code = f"""
import io, sys
from sheetcalc.cli import main
out, sys.stdout = sys.stdout, io.StringIO()
try:
    main({words})
except SystemExit:
    pass
print([x for x in {HEAVY} if x in sys.modules], file=out)
"""
    assert ran(code) == "[]"


def test_compute_needs_neither_the_takeoff_nor_openpyxl():
    code = """
import sys
import sheetcalc.workbooks.compute, sheetcalc.workbooks.summary
print([x for x in sys.modules if x.startswith(("openpyxl", "pint", "sheetcalc.takeoff"))])
"""
    assert ran(code) == "[]"
