"""The add-in's side of the pipe, in this Python: what it does about helpers that die, hang or are missing."""

# ruff: noqa: N802  (stand-ins have the names of what they stand for)

import ast
import json
import marshal
import math
import os
import struct
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from calls import ways

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.hosts.calc import addin
from sheetcalc.hosts.calc.extension import command, parts
from sheetcalc.hosts.calc.serve import answer

SERVES = """
import os, sys, time
from sheetcalc.hosts.calc.addin import HELLO, packed, received, unpacked
calls, answers = sys.stdin.buffer, sys.stdout.buffer
def send(message):
    answers.write(packed(message)); answers.flush()
send(HELLO)
while (asked := received(calls)) is not None:
    name, arguments = unpacked(asked)
    if name == "DIE": os._exit(1)
    if name == "HANG": time.sleep(1000)
    if name == "HALF": answers.write(b"\\x09\\0\\0\\0N"); answers.flush(); os._exit(1)
    if name == "JUNK": answers.write(b"\\x01\\0\\0\\0?"); answers.flush()
    if name == "ONCE" and not os.path.exists(arguments[0]): open(arguments[0], "w").close(); os._exit(1)
    send(((float(os.getpid()),),))
"""
Helps = Callable[..., addin.Helper]


@pytest.fixture
def helps() -> Iterator[Helps]:
    made: list[addin.Helper] = []

    def helper(code: str = SERVES, **limits: float) -> addin.Helper:
        made.append(addin.Helper([sys.executable, "-c", code], **{"rest": 60.0, **limits}))
        return made[-1]

    yield helper
    for each in made:
        each.end()


def shown(value: float) -> int:
    """Calc's number of the error that a NaN stands for."""
    assert math.isnan(value)
    return struct.unpack("<Q", struct.pack("<d", value))[0] & 0xFFFF


def test_it_runs_in_every_python_an_office_has():
    source = Path(addin.__file__).read_text(encoding="utf-8")
    tree = ast.parse(source, feature_version=(3, 7))
    top: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            top |= {name.name.partition(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            top.add(node.module or "")
    assert top <= sys.stdlib_module_names, "UNO is imported where the office asks, and nothing else at all"
    assert not any(isinstance(node, ast.NamedExpr | ast.Match) for node in ast.walk(tree))


def test_errors_are_those_of_a_cell():
    assert set(addin.CODES) == {error.value for error in CellError}
    assert shown(addin.error("#NUM!")) == 503
    assert shown(addin.error("#N/A")) == 32767


@pytest.mark.parametrize(
    "message",
    [
        ("INCH_FRACTION", (0.1, -0.0, 1e300, 5e-324, None, "", "½″ 𝟛", ((1.0, ""), ("x", None)))),
        ((1 / 3, "two"), (float("inf"), "")),
        ("X", ("\ud800",)),
    ],
)
def test_messages_arrive_as_they_were_sent(message: Any, tmp_path: Path):
    (tmp_path / "pipe").write_bytes(addin.packed(message) * 2)
    with (tmp_path / "pipe").open("rb") as pipe:
        for _ in range(2):
            arrived = addin.unpacked(addin.received(pipe))
            assert repr(arrived) == repr(message)
        assert addin.received(pipe) is None


def test_errors_arrive_with_all_their_bits():
    for name, code in addin.CODES.items():
        assert shown(addin.unpacked(addin.packed(addin.error(name))[4:])) == code


def test_the_real_helper_answers():
    helper = addin.Helper(command())
    try:
        assert addin.answered(helper, "INCH_FRACTION", (5.125,)) == (("5 1/8",),)
        assert addin.answered(helper, "COURSE_COUNT", (120.0, 5.125, 0.5, None, None)) == ((24.0,),)
        assert shown(addin.answered(helper, "COURSE_COUNT", (0.0, 5.125, 0.5))[0][0]) == 503
        assert shown(addin.answered(helper, "COURSE_COUNT", ("x", 5.125, 0.5))[0][0]) == 519
        assert shown(addin.answered(helper, "FACE_WIDTH", ("1x99",))[0][0]) == 32767
        assert shown(addin.answered(helper, "NO_SUCH", ())[0][0]) == 525
        rows = addin.answered(helper, "COURSE_COUNT", (120.0, ((5.125, -1.0),), 0.5))
        assert rows[0][0] == 24.0
        assert shown(rows[0][1]) == 503
    finally:
        helper.end()


# --- Without a helper ---

ALONE = """
import importlib.util, marshal, sys
spec = importlib.util.spec_from_file_location("addin", sys.argv[1])
addin = importlib.util.module_from_spec(spec)
spec.loader.exec_module(addin)
path = [*sys.path]
here = addin.near(sys.argv[2])
calls = marshal.loads(sys.stdin.buffer.read())
answers = [addin.answered(None, name, arguments, here) for name, arguments in calls]
assert here is not None and sys.path == path and addin.near(sys.argv[2]) is here
named = {name.partition(".")[0] for name in sys.modules}
assert named <= sys.stdlib_module_names | {"addin", "sheetcalc", "__main__", "__mp_main__"}, named
sys.stdout.buffer.write(marshal.dumps(answers, 2))
"""


def test_numbers_are_answered_here_as_by_the_helper_without_any_library(
    package: str, near_calls: list[tuple[str, tuple[Any, ...]]]
):
    words = [sys.executable, "-I", "-S", "-c", ALONE, addin.__file__, package]
    done = subprocess.run(words, input=marshal.dumps(near_calls, 2), capture_output=True, timeout=60)
    assert done.returncode == 0, done.stderr.decode()
    wanted = [answer(*call) for call in near_calls]
    assert done.stdout == marshal.dumps(wanted, 2), "bit for bit"
    assert not done.stderr
    errors = sum(cell != cell for rows in wanted for row in rows for cell in row)
    assert len(near_calls) / 10 < errors < len(near_calls) * 0.9


@pytest.fixture
def package() -> str:
    return json.loads(parts()["helper.json"])["package"]


@pytest.fixture
def near_calls() -> list[tuple[str, tuple[Any, ...]]]:
    """Calls of numbers alone, of every function that can be called so without a helper."""
    near = json.loads(parts()["helper.json"])["near"]
    found = [
        (name, tuple(None if cell in (None, "") else float(cell) for cell in arguments))
        for name in near
        for _, arguments in ways(REGISTRY[name])
        if all(cell in (None, "") or isinstance(cell, (int, float)) for cell in arguments)
    ]
    assert len({name for name, _ in found}) > 30
    return found


@pytest.mark.parametrize(
    "arguments",
    [("120",), (120.0, "1/2"), (((120.0,),),), (120.0, True)],
    ids=["text", "fraction", "range", "truth"],
)
def test_what_is_no_number_goes_to_the_helper(helps: Helps, arguments: tuple[Any, ...]):
    def here(name: str, arguments: Any) -> Any:
        raise AssertionError(name)

    assert addin.answered(helps(), "WHO", arguments, here)[0][0] > 0


def test_a_fault_near_is_an_error(helps: Helps):
    def here(name: str, arguments: Any) -> Any:
        raise MemoryError

    assert shown(addin.answered(helps(), "WHO", (1.0, None), here)[0][0]) == 519


def test_a_package_that_has_moved_or_does_not_run_here_is_left_to_the_helper(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, package: str
):
    monkeypatch.setitem(sys.modules, "sheetcalc", sys.modules["sheetcalc"])
    assert addin.near(None) is None
    assert addin.near(str(tmp_path / "gone")) is None
    assert "sheetcalc" not in sys.modules, "half of a package is worse than none"
    (tmp_path / "__init__.py").write_text("type newer = syntax of tomorrow")
    assert addin.near(str(tmp_path)) is None
    monkeypatch.setattr(addin, "OLDEST", (4, 0))
    assert addin.near(package) is None


def test_the_oldest_python_is_the_one_that_the_package_asks_for():
    project = Path(__file__).parents[3] / "pyproject.toml"
    wanted = tomllib.loads(project.read_text(encoding="utf-8"))["project"]["requires-python"]
    assert wanted == ">=" + ".".join(map(str, addin.OLDEST))


# --- Helpers that fail ---


def test_what_was_answered_is_not_asked_again(helps: Helps):
    helper = helps()
    first = helper.ask("WHO", (1.0,))
    helper.end()
    assert helper.ask("WHO", (1.0,)) == first
    assert helper.ask("WHO", (2.0,)) != first


def test_no_more_is_kept_than_is_good(helps: Helps, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(addin, "MOST_KNOWN", 2_000)
    helper = helps()
    for number in range(100):
        helper.ask("WHO", (float(number),))
        assert len(helper._known) < 30


def test_a_helper_that_died_meanwhile_is_started_again(helps: Helps):
    helper = helps()
    (first,) = helper.ask("WHO", (1.0,))[0]
    os.kill(int(first), 9 if os.name != "nt" else 15)
    time.sleep(0.2)
    (second,) = helper.ask("WHO", (2.0,))[0]
    assert second != first


def test_a_call_that_kills_it_once_is_asked_again(helps: Helps, tmp_path: Path):
    helper = helps()
    helper.ask("WHO", (1.0,))
    assert helper.ask("ONCE", (str(tmp_path / "seen"),))


@pytest.mark.parametrize("name", ["DIE", "HALF", "JUNK"])
def test_a_call_that_always_kills_it_is_an_error_and_the_next_ones_do_not_wait(helps: Helps, name: str):
    helper = helps()
    assert shown(addin.answered(helper, name, ())[0][0]) == 519
    start = time.monotonic()
    for _ in range(20_000):
        assert addin.answered(helper, "WHO", ()) is not None
    assert time.monotonic() - start < 20
    said = f"sheetcalc ended while it worked on {name}."
    assert addin.answered(helper, "ENTRY_PROBLEM", ("WHO",)) == ((said,),)


def test_after_a_rest_it_is_tried_again(helps: Helps):
    helper = helps(rest=0.0)
    addin.answered(helper, "DIE", ())
    assert addin.answered(helper, "WHO", ())[0][0] > 0


def test_a_helper_that_hangs_is_ended(helps: Helps):
    helper = helps(answer_within=0.5)
    (hung,) = helper.ask("WHO", ())[0]
    start = time.monotonic()
    assert shown(addin.answered(helper, "HANG", ())[0][0]) == 519
    assert time.monotonic() - start < 15
    said = "sheetcalc gave no answer within 0 seconds and was ended."
    assert addin.answered(helper, "ENTRY_PROBLEM", ())[0][0] == said
    if os.name != "nt":
        with pytest.raises(ProcessLookupError):
            os.kill(int(hung), 0)


def test_one_that_does_not_get_ready_is_ended(helps: Helps):
    helper = helps("import time; time.sleep(1000)", start_within=0.3, answer_within=1.0)
    assert addin.answered(helper, "ENTRY_PROBLEM", ())[0][0].startswith("sheetcalc gave no answer within")


def test_a_python_without_sheetcalc(helps: Helps):
    helper = helps("raise SystemExit(1)")
    said = f"{sys.executable} does not run sheetcalc any more: run “sheetcalc calc install” again."
    assert addin.answered(helper, "ENTRY_PROBLEM", ()) == ((said,),)


def test_a_python_that_has_moved(tmp_path: Path):
    gone = str(tmp_path / "bin" / "python")
    helper = addin.Helper([gone, "-m", "sheetcalc.cli"])
    said = f"The Python of sheetcalc, {gone}, is not there any more: run “sheetcalc calc install” again."
    assert addin.answered(helper, "ENTRY_PROBLEM", ("COURSE_COUNT",)) == ((said,),)
    assert shown(addin.answered(helper, "COURSE_COUNT", ())[0][0]) == 519


@pytest.mark.skipif(os.name == "nt", reason="any file starts or is refused there by its name")
def test_a_python_that_does_not_start(tmp_path: Path):
    (tmp_path / "python").write_text("")
    helper = addin.Helper([str(tmp_path / "python")])
    assert "does not start" in addin.answered(helper, "ENTRY_PROBLEM", ())[0][0]


def test_what_cannot_be_sent_is_an_error(helps: Helps):
    assert shown(addin.answered(helps(), "WHO", (object(),))[0][0]) == 519


def test_the_helper_gets_nothing_of_the_offices_own_python(monkeypatch: pytest.MonkeyPatch):
    for name in ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH", "URE_BOOTSTRAP", "UNO_PATH"):
        monkeypatch.setenv(name, "/of/the/office")
    monkeypatch.setenv("OTHER", "kept")
    ours = addin._own_environment()
    assert "/of/the/office" not in ours.values()
    assert ours["OTHER"] == "kept"


# --- The document that was loaded ---


class Chart:
    """Stands for a chart and for what it draws."""

    def __init__(self) -> None:
        self.EmbeddedObject = self
        self.done: list[bool] = []

    def setModified(self, modified: bool) -> None:
        self.done.append(modified)


class Sheet:
    def __init__(self, found: object, *charts: Chart) -> None:
        self.found = found
        self.Charts = charts

    def createSearchDescriptor(self) -> Any:
        return type("Search", (), {})()

    def findFirst(self, search: Any) -> object:
        assert search.SearchRegularExpression
        return self.found


class Model:
    """Stands for a document; it notes what is done to it."""

    def __init__(self, *sheets: Sheet) -> None:
        self.Sheets = sheets
        self.done: list[Any] = []
        self.NamedRanges = self

    def isModified(self) -> bool:
        return False

    def setModified(self, modified: bool) -> None:
        self.done.append(modified)

    def addNewByName(self, name: str, *_: Any) -> None:
        self.done.append(("added", name))

    def removeByName(self, name: str) -> None:
        self.done.append(("removed", name))

    def calculateAll(self) -> None:
        self.done.append("calculated")


def test_a_document_that_calls_us_is_looked_at_again_and_counts_as_unchanged():
    chart = Chart()
    model = Model(Sheet(None, chart), Sheet("a cell"))
    addin.look_again(model, None)
    assert chart.done == [False]
    assert model.done == [
        ("added", "sheetcalc_looks_again"),
        ("removed", "sheetcalc_looks_again"),
        "calculated",
        False,
    ]


def test_any_other_document_is_left_alone():
    model = Model(Sheet(None), Sheet(None))
    addin.look_again(model, None)
    assert model.done == []


def test_every_name_is_found_in_a_document():
    import re

    assert all(re.fullmatch(r"[A-Z]+(_[A-Z0-9]+)+", name) for name in REGISTRY)
