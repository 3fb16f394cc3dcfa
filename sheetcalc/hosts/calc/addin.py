"""The add-in inside the office: it hands every call over a pipe to a helper, which is sheetcalc's own Python.

The office runs this file in a Python of its own, 3.7 or later; so nothing newer stands here, and nothing is
imported but the standard library, and UNO once the office asks. The helper is started at the first call. It
ends when its pipe closes, which is when the office ends, however it ends.

Calls of numbers alone need no helper where the office's Python is new enough: they take less time than the
pipe, and neither a library nor a search that would have to be ended.
"""

# ruff: noqa: N802  (names that UNO prescribes)
# UNO has no types:
# pyright: basic, reportMissingImports=false, reportAttributeAccessIssue=false, reportOptionalMemberAccess=false

import contextlib
import functools
import importlib.util
import json
import marshal
import os
import struct
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

FUNCTIONS = "sheetcalc.Functions"
NAMES = "sheetcalc.Names"
ANSWER_WITHIN = 60.0  # seconds; the longest that a search for a cutting plan may take is half of it
START_WITHIN = 30.0
REST = 30.0  # after a failure calls are refused at once, or each of 20,000 cells would wait in its turn
HELLO = "sheetcalc"
OLDEST = (3, 11)  # Python that runs sheetcalc itself
MOST_KNOWN = 32 * 2**20  # bytes of calls and answers that are kept, about
_A_CELL = 80

CODES = {
    "#NULL!": 521,
    "#DIV/0!": 532,
    "#VALUE!": 519,
    "#REF!": 524,
    "#NAME?": 525,
    "#NUM!": 503,
    "#N/A": 32767,
}
"""Calc's numbers of the cell errors."""


_FORMAT = 2  # of marshal: the same in every Python for twenty years, and three times as fast here as JSON


def packed(message: Any) -> bytes:
    """Pack a message for the pipe: its size, then its bytes."""
    data = marshal.dumps(message, _FORMAT)
    return len(data).to_bytes(4, "little") + data


def received(pipe: Any) -> Any:
    """Read the bytes of a message from the pipe; None if it ended."""
    wanted = int.from_bytes(pipe.read(4), "little")  # 0 at the end: no message is empty
    data = pipe.read(wanted)
    return data if wanted == len(data) > 0 else None


def unpacked(data: Any) -> Any:
    """Unpack a message; None if it is none."""
    try:
        return None if data is None else marshal.loads(data)
    except (EOFError, TypeError, ValueError):
        return None


class Trouble(Exception):  # noqa: N818
    """Why the helper gives no answer, in one sentence."""


class Helper:
    """The process that answers.

    Parameters
    ----------
    command : list of str
        What starts it.
    answer_within, start_within : float
        Seconds after which it counts as hung and is ended.
    rest : float
        Seconds for which nothing is asked after it failed.
    """

    def __init__(self, command, answer_within=ANSWER_WITHIN, start_within=START_WITHIN, rest=REST):
        self.command = command
        self._answer_within = answer_within
        self._start_within = start_within
        self._rest = rest
        self._rests_until = 0.0
        self._trouble = ""
        self._process = None
        self._deadline = None
        self._lock = threading.Lock()
        self._known = {}  # answers by their calls: a recalculation asks most of them again
        self._size = 0

    def ask(self, name, arguments):
        """Answer a call as Calc takes it: a tuple of rows, a cell error as the NaN that stands for it.

        Raises
        ------
        Trouble
            There is no answer.
        """
        request = packed((name, arguments))
        answer = self._known.get(request)
        if answer is None:
            with self._lock:
                answer = self._answer(name, request)
                self._size += len(request) + _A_CELL * sum(map(len, answer))
                if self._size > MOST_KNOWN:
                    self._known.clear()
                    self._size = 0
                self._known[request] = answer
        return answer

    def _answer(self, name, request):
        if time.monotonic() < self._rests_until:
            raise Trouble(self._trouble)
        if self._process is not None:
            answer = self._exchange(request, self._answer_within)
            if answer is not None:
                return answer
        self._start()  # for the first time, or because it died since the last call
        answer = self._exchange(request, self._answer_within)
        if answer is None:
            self._fail(f"sheetcalc ended while it worked on {name}.")
        return answer

    def end(self):
        """End the process; the next call starts it again."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                with contextlib.suppress(OSError):  # what was not sent yet has nobody to go to
                    pipe.close()

    def _start(self):
        self.end()
        self._known.clear()
        self._size = 0
        try:
            self._process = subprocess.Popen(
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                cwd=str(Path.home()),
                env=_own_environment(),
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError:
            there = Path(self.command[0]).exists()
            self._fail(
                "The Python of sheetcalc, {}, {}: run “sheetcalc calc install” again.".format(
                    self.command[0], "does not start" if there else "is not there any more"
                )
            )
        threading.Thread(target=self._watch, args=(self._process,), daemon=True).start()
        if self._exchange(b"", self._start_within) != HELLO:
            self._fail(
                f"{self.command[0]} does not run sheetcalc any more: run “sheetcalc calc install” again."
            )

    def _exchange(self, request, within):
        """Send a request and read the answer; None if the process is dead."""
        process = self._process
        self._deadline = time.monotonic() + within
        try:
            process.stdin.write(request)
            process.stdin.flush()
            answer = unpacked(received(process.stdout))
        except OSError:
            answer = None
        deadline, self._deadline = self._deadline, None
        if answer is None and time.monotonic() > deadline:
            self._fail(f"sheetcalc gave no answer within {within:.0f} seconds and was ended.")
        return answer

    def _watch(self, process):
        """End the process when an answer is overdue: whoever waits for it then reads the end of the pipe."""
        pause = min(1.0, self._answer_within / 4)
        while process.poll() is None:
            deadline = self._deadline
            if process is self._process and deadline is not None and time.monotonic() > deadline:
                process.kill()
            time.sleep(pause)

    def _fail(self, sentence):
        self.end()
        self._trouble = sentence
        self._rests_until = time.monotonic() + self._rest
        raise Trouble(sentence)


def _own_environment():
    """Return the environment without what the office set for its own Python and libraries."""
    foreign = ("PYTHON", "LD_LIBRARY_PATH", "DYLD_", "URE_", "UNO_")
    return {name: value for name, value in os.environ.items() if not name.startswith(foreign)}


@functools.lru_cache(maxsize=None)  # noqa: UP033  (`cache` came with 3.9)
def near(package):
    """Return what answers calls in this Python itself, or None where only the helper can.

    Parameters
    ----------
    package : str or None
        The folder of sheetcalc. The office's path learns neither of it nor of what is installed beside it.
    """
    if package is None or sys.version_info < OLDEST:
        return None
    try:
        spec: Any = importlib.util.spec_from_file_location(
            "sheetcalc", str(Path(package, "__init__.py")), submodule_search_locations=[package]
        )
        sys.modules["sheetcalc"] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        from sheetcalc.hosts.calc.serve import answer
    except Exception:  # moved, or renewed for a newer Python: the helper will tell
        sys.modules.pop("sheetcalc", None)
        return None
    return answer


_NUMBERS = {float, type(None)}


def answered(helper, name, arguments, here=None):
    """Answer a call; without an answer it is #VALUE!, and ENTRY_PROBLEM says why.

    Numbers alone are answered by `here`, if that is given; None is an argument left out.
    """
    try:
        if here is not None and _NUMBERS.issuperset(map(type, arguments)):
            return here(name, arguments)
        return helper.ask(name, arguments)
    except Trouble as trouble:
        if name == "ENTRY_PROBLEM":
            return ((str(trouble),),)
    except Exception:  # never into the office: there it would be a message box for each cell
        pass
    return ((error("#VALUE!"),),)


def error(shown: str) -> float:
    """Return the NaN that Calc shows as a cell error; marshal keeps all its bits."""
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8000000000000 | CODES[shown]))[0]


# --- What the office asks for ---


def getComponentFactory(implementation, manager, key):  # pragma: no cover  (runs in the office)
    """Give the office the maker of an object by its name."""
    import unohelper

    makers = unohelper.ImplementationHelper()
    makers.addImplementation(_functions(), FUNCTIONS, (FUNCTIONS,))
    makers.addImplementation(_names(), NAMES, (NAMES,))
    return makers.getComponentFactory(implementation, key, manager)


def _functions():  # pragma: no cover  (runs in the office)
    import uno
    import unohelper
    from com.sun.star.lang import XServiceInfo, XServiceName
    from com.sun.star.sheet import XVolatileResult

    told = json.loads(Path(__file__).with_name("helper.json").read_text(encoding="utf-8"))
    helper = Helper(told["command"])

    class Several(unohelper.Base, XVolatileResult):
        """Several texts from a function that is declared to answer one: the office asks for them."""

        def __init__(self, rows):
            self._rows = rows

        def addResultListener(self, listener):
            answer = uno.createUnoStruct("com.sun.star.sheet.ResultEvent")
            answer.Value = uno.Any("[][]any", self._rows)
            listener.modified(answer)

        def removeResultListener(self, listener):
            pass

    class Functions(unohelper.Base, uno.getClass("sheetcalc.XFunctions"), XServiceName, XServiceInfo):
        """Every cell function as a method of its name."""

        def __init__(self, context, *_):
            pass

        def __getattr__(self, name):
            if not name.isupper():
                raise AttributeError(name)

            rest, text = name in told["rest"], name in told["texts"]
            here = near(told["package"]) if name in told["near"] else None

            def method(*arguments):
                if rest:
                    arguments = arguments[:-1] + tuple(arguments[-1] or ())
                rows = answered(helper, name, arguments, here)
                if not text:
                    return rows
                return rows[0][0] if len(rows) == 1 == len(rows[0]) else Several(rows)

            setattr(self, name, method)  # so that the next call finds it at once
            return method

        def getServiceName(self):
            return FUNCTIONS

        def getImplementationName(self):
            return FUNCTIONS

        def supportsService(self, name):
            return name == FUNCTIONS

        def getSupportedServiceNames(self):
            return (FUNCTIONS,)

    return Functions


def _names():  # pragma: no cover  (runs in the office)
    import uno
    import unohelper
    from com.sun.star.lang import XServiceInfo
    from com.sun.star.task import XJob

    class Names(unohelper.Base, XJob, XServiceInfo):
        """Once a file is loaded: lets the office look again at the names that it did not know on import."""

        def __init__(self, context, *_):
            pass

        def execute(self, arguments):
            for one in arguments:
                if one.Name == "Environment":
                    model = {each.Name: each.Value for each in one.Value}.get("Model")
                    if model is not None and model.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
                        look_again(model, uno.createUnoStruct("com.sun.star.table.CellAddress"))

        def getImplementationName(self):
            return NAMES

        def supportsService(self, name):
            return name == NAMES

        def getSupportedServiceNames(self):
            return (NAMES,)

    return Names


def look_again(model, cell):
    """Let the office compile every formula again with a name that it did not know, and work out the document.

    Calc compiles so when a defined name comes or goes: all such formulas at once, in locked cells too. What
    was stored may be of other functions, and Calc reads an empty text of its own files as 0, so all is worked
    out. A document that calls nothing of ours is left alone.
    """
    if not any(_calls_us(sheet) for sheet in model.Sheets):
        return
    modified = model.isModified()
    names = model.NamedRanges
    passing = "sheetcalc_looks_again"
    names.addNewByName(passing, "0", cell, 0)
    names.removeByName(passing)
    model.calculateAll()
    for sheet in model.Sheets:
        for chart in sheet.Charts:  # a chart that has drawn new values counts as modified by itself
            chart.EmbeddedObject.setModified(False)
    model.setModified(modified)


def _calls_us(sheet):
    search = sheet.createSearchDescriptor()
    search.SearchRegularExpression = True
    search.SearchString = r"[A-Z]+(_[A-Z0-9]+)+\("  # two words joined by an underscore, as all our names are
    return sheet.findFirst(search) is not None
