"""The formualizer engine behind a thin adapter, and our functions as it calls them."""

import marshal
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache, partial
from itertools import count
from typing import Any, NamedTuple, cast

import formualizer

from sheetcalc.cells.call import Argument, call, problem
from sheetcalc.cells.registry import CellFunction
from sheetcalc.cells.values import Cell, CellError, Range
from sheetcalc.hosts.formulas import Spot
from sheetcalc.hosts.loading import engine_file
from sheetcalc.xlsx.formulas import tokens
from sheetcalc.xlsx.package import Problem
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

RELOAD_AFTER = 1_000
"""Recalculations after which the engine is loaded afresh, since it grows with each."""

KEEP = "SHEETCALC_KEEP"  # engine only: hands its argument back as it is
BLOCK = "SHEETCALC_BLOCK"  # engine only: keeps an array formula's answer, fitted to its cells
PART = "SHEETCALC_PART"  # engine only: one cell of such an answer
KINDS = {
    "Null": CellError.NULL,
    "Div": CellError.DIV,
    "Value": CellError.VALUE,
    "Ref": CellError.REF,
    "Name": CellError.NAME,
    "Num": CellError.NUM,
    "Na": CellError.NA,
}
ERRORS: dict[CellError, dict[str, str]] = {
    error: {"type": "Error", "kind": kind} for kind, error in KINDS.items()
}
_TESTS: dict[str, Callable[[Cell], bool]] = {
    "ISBLANK": lambda cell: cell is None,
    "ISERR": lambda cell: isinstance(cell, CellError) and cell is not CellError.NA,
    "ISERROR": lambda cell: isinstance(cell, CellError),
    "ISLOGICAL": lambda cell: isinstance(cell, bool),
    "ISNA": lambda cell: cell is CellError.NA,
    "ISNONTEXT": lambda cell: not isinstance(cell, str),
    "ISNUMBER": lambda cell: isinstance(cell, float | int) and not isinstance(cell, bool),
    "ISTEXT": lambda cell: isinstance(cell, str),
}
"""Functions that the engine has too; but there they say no to a range instead of answering for each cell."""

_MOST_REMEMBERED = 100
_MOST_KNOWN = 10_000  # calls whose answers are kept


class HostProblem(Problem):
    """Why something cannot be computed."""


class Bug(NamedTuple):
    """A call that raised what it never should; its cell shows #VALUE!."""

    function: str
    arguments: Sequence[Argument]
    error: Exception

    def __str__(self) -> str:
        return f"{self.function}: {type(self.error).__name__}: {self.error}"


@dataclass(frozen=True)
class Failure:
    """A call of ours that a cell error answered."""

    function: CellFunction
    arguments: Sequence[Argument] = field(repr=False)
    error: CellError

    @cached_property
    def sentence(self) -> str:
        """Why: which argument, its value as typed, the rule it breaks."""
        return problem(self.function, self.arguments)


class Calls:
    """Our functions as the engine calls them, and what came of it.

    Parameters
    ----------
    functions : mapping
        Our functions by their names.
    """

    def __init__(self, functions: Mapping[str, CellFunction]) -> None:
        self.functions = functions
        self._known: dict[tuple[str, bytes], tuple[Any, Failure | None]] = {}
        self.bugs: list[Bug] = []
        self.failures: deque[Failure] = deque(maxlen=_MOST_REMEMBERED)
        self.first: Failure | None = None  # since somebody last set it to nothing
        self._interrupt: BaseException | None = None
        # Only while an engine runs, which could not be freed else.
        self._cancel: Callable[[], None] | None = None

    def register(self, engine: Any) -> None:
        """Tell the engine our functions, and those that only fitted formulas use."""
        for name, function in self.functions.items():
            engine.register_function(name, partial(self._answer, function), min_args=0, max_args=None)
        for name, test in _TESTS.items():
            answer = partial(_each, test)
            engine.register_function(name, answer, min_args=1, max_args=1, allow_override_builtin=True)
        blocks: dict[float, list[list[Any]]] = {}
        versions = count()

        def block(number: float, value: Any, rows: float, columns: float) -> str:
            if value == "":  # which its cells then show by themselves
                return ""
            blocks[number] = fit_to(value, int(rows), int(columns))
            return f"{next(versions)}"  # another text each time, so that its cells are computed anew

        def part(number: float, version: str, row: float, column: float) -> Any:
            return blocks[number][int(row)][int(column)]

        engine.register_function(BLOCK, block, min_args=4, max_args=4)
        engine.register_function(PART, part, min_args=4, max_args=4)

    def named_in(self, formula: str) -> bool:
        """Tell whether a formula calls one of our functions."""
        return any(token.text.upper() in self.functions for token in tokens(formula) if token.kind == "name")

    def answer(self, function: CellFunction, *given: Any) -> Any:
        """Answer a call of ours, from memory if just the same was answered before.

        Arguments and answer are as the engine holds them.
        """
        key = function.name, marshal.dumps(given, 2)  # this format tells TRUE from 1, and 0 from -0
        known = self._known.get(key)
        if known is None:
            arguments = [from_engine(value) for value in given]
            try:
                answer = call(function, arguments)
            except Exception as error:
                if len(self.bugs) < _MOST_REMEMBERED:
                    self.bugs.append(Bug(function.name, arguments, error))
                return ERRORS[CellError.VALUE]
            if len(self._known) == _MOST_KNOWN:
                self._known.clear()
            known = self._known[key] = (to_engine(answer), _failure(function, arguments, answer))
        answer, failure = known
        if failure is not None:
            self.failures.append(failure)
            self.first = self.first or failure
        return answer

    def _answer(self, function: CellFunction, *given: Any) -> Any:
        try:
            return self.answer(function, *given)
        except BaseException as interrupt:  # the engine would take it for an answer and go on
            self._interrupt = interrupt
            assert self._cancel is not None  # an engine runs, or nobody would call
            self._cancel()
            return ERRORS[CellError.VALUE]

    def run(self, engine: Any, evaluate: Callable[[], Any]) -> None:
        """Let the engine compute; what a person interrupts stays interrupted."""
        self._cancel = engine.cancel
        try:
            evaluate()
        except formualizer.ExcelEvaluationError as error:
            if self._interrupt is None:
                raise HostProblem(f"The workbook cannot be computed: {error}.") from error
        finally:
            self._cancel = None
        if self._interrupt is not None:
            interrupt, self._interrupt = self._interrupt, None
            engine.reset_cancel()
            raise interrupt


class Engine:
    """The engine, loaded with all values of a workbook and with some of its formulas.

    Parameters
    ----------
    book : Workbook
        The file.
    texts : mapping
        Formulas by sheet and place, as the engine takes them.
    entered : mapping
        Values entered in place of the file's.
    calls : Calls
        Our functions.

    Raises
    ------
    OSError
        The engine cannot read a formula.
    """

    def __init__(
        self,
        book: Workbook,
        texts: Mapping[str, Mapping[Place, str]],
        entered: Mapping[Spot, Cell],
        calls: Calls,
    ) -> None:
        self._book = book
        self._texts = texts
        self._entered = entered
        self._calls = calls
        self._load()

    def _load(self) -> None:
        data, later = engine_file(self._book, self._texts)
        self.raw = cast("Any", formualizer.Workbook).from_bytes(data, config=config(self._book.date_1904))
        self.raw.set_temporal_egress("serial")
        self._calls.register(self.raw)
        self._new = {**later, **self._entered}
        self._runs = 0

    @property
    def dropped_names(self) -> set[tuple[str, str]]:
        """Defined names that the engine could not use, by the sheet that they are meant for."""
        return {
            (name["scope_sheet"] or "", name["name"].upper()) for name in self.raw.name_import_diagnostics
        }

    def enter(self, spot: Spot, value: Cell) -> None:
        """Enter a value; nothing is computed yet."""
        self._new[spot] = value

    def compute(self) -> None:
        """Compute what the values entered since have changed."""
        if self._runs == RELOAD_AFTER:
            self._load()
        self._runs += 1
        for (sheet, at), value in self._new.items():
            self.raw.set_value(sheet, *at, to_engine(value, blank=None))
        self._new.clear()
        self._calls.run(self.raw, self.raw.evaluate_all)

    def again(self, sheet: str, at: Place, text: str) -> None:
        """Compute a formula anew, and nothing that depends on it."""
        self.raw.set_formula(sheet, *at, f"={text}")
        self._calls.run(self.raw, partial(self.raw.evaluate_cell, sheet, *at))

    def value(self, spot: Spot) -> Cell:
        """Value of a cell, as entered or as last computed."""
        if spot in self._new:
            return self._new[spot]
        sheet, at = spot
        return cast("Cell", from_engine(self.raw.get_value(sheet, *at)))


@cache
def _bench() -> Any:
    bench = formualizer.Workbook(config=config(date_1904=False))
    bench.add_sheet("Cell")
    return bench


@cache
def _row_of(name: str, count: int) -> int:
    row = _row_of.cache_info().currsize + 1
    cells = ",".join(f"{letter}{row}" for letter in "BCDEFG"[:count])
    _bench().set_formula("Cell", row, 1, f"={name}({cells})")
    return row


@lru_cache(maxsize=10_000, typed=True)
def alone(name: str, *values: Any) -> Any:
    """Answer one call of a function of the engine's own, of single values."""
    row = _row_of(name, len(values))
    for column, value in enumerate(values, start=2):
        _bench().set_value("Cell", row, column, value)
    return _bench().evaluate_cell("Cell", row, 1)


def _failure(function: CellFunction, arguments: Sequence[Argument], answer: Argument) -> Failure | None:
    cells = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
    wrong = next((cell for cell in cells if isinstance(cell, CellError)), None)
    return wrong and Failure(function, arguments, wrong)


def config(date_1904: bool) -> Any:
    """Return the settings of an engine."""
    config = formualizer.EvaluationConfig()
    config.enable_parallel = False  # faster so, at our sizes
    config.date_system = "1904" if date_1904 else "1900"
    return formualizer.WorkbookConfig(mode=formualizer.WorkbookMode.Ephemeral, eval_config=config)


def from_engine(value: Any) -> Any:
    """Cell or range as our functions take it."""
    if type(value) is list:
        return [
            [_error(cell) if type(cell) is dict else cell for cell in row]
            for row in cast("list[list[Any]]", value)
        ]
    return _error(value) if type(value) is dict else value


def _error(value: Any) -> CellError:
    return KINDS.get(value["kind"], CellError.VALUE)


def to_engine(value: Any, blank: str | None = "") -> Any:
    """Cell or range as the engine takes it; nothing answered is the empty text, or the engine makes it 0."""
    if isinstance(value, list):
        return [[to_engine(cell) for cell in row] for row in cast("Range", value)]
    if isinstance(value, CellError):
        return ERRORS[value]
    if value is None:
        return blank
    if isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    return value


def _each(test: Callable[[Cell], bool], given: Any) -> Any:
    """Answer a test for one cell, or for each of a range."""
    value = cast("Cell | Range", from_engine(given))
    return [[test(cell) for cell in row] for row in value] if isinstance(value, list) else test(value)


def fit_to(value: Any, rows: int, columns: int) -> list[list[Any]]:
    """Fit an array formula's answer to its cells, as spreadsheet programs do.

    One value, one row or one column repeats; cells beyond the answer are #N/A.
    """
    block = cast("list[list[Any]]", value) if isinstance(value, list) else [[value]]
    high, wide = len(block), len(block[0])
    outside = ERRORS[CellError.NA]
    return [
        [
            _zero(block[row if high > 1 else 0][column if wide > 1 else 0])
            if (row < high or high == 1) and (column < wide or wide == 1)
            else outside
            for column in range(columns)
        ]
        for row in range(rows)
    ]


def _zero(value: Any) -> Any:
    """Show a blank cell as formulas do."""
    return 0.0 if value is None else value
