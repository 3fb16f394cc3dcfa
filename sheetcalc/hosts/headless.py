"""Cells computed without a spreadsheet program: the formualizer engine behind a thin adapter.

The engine is loaded from a small workbook that is written for it: values and formulas alone, each formula
made to fit. So nothing that it cannot read, and nothing left of an earlier calculation, spoils the answers.
"""

import marshal
from collections import deque
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property, partial
from itertools import count
from typing import Any, NamedTuple, cast

import formualizer

from sheetcalc.cells.call import Argument, call, problem
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError, Range
from sheetcalc.hosts.fitting import Fitter
from sheetcalc.hosts.loading import engine_file
from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area, address, area, on_sheet, tokens
from sheetcalc.xlsx.package import Problem
from sheetcalc.xlsx.sheet import Place, Sheet
from sheetcalc.xlsx.workbook import Workbook

RELOAD_AFTER = 1_000
"""Recalculations after which the engine is loaded afresh, since it grows with each."""

_KEEP = "SHEETCALC_KEEP"  # engine only: hands its argument back as it is
_BLOCK = "SHEETCALC_BLOCK"  # engine only: keeps an array formula's answer, fitted to its cells
_PART = "SHEETCALC_PART"  # engine only: one cell of such an answer
_KINDS = {
    "Null": CellError.NULL,
    "Div": CellError.DIV,
    "Value": CellError.VALUE,
    "Ref": CellError.REF,
    "Name": CellError.NAME,
    "Num": CellError.NUM,
    "Na": CellError.NA,
}
_ERRORS: dict[CellError, dict[str, str]] = {
    error: {"type": "Error", "kind": kind} for kind, error in _KINDS.items()
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

_GIVEN_UP = {
    "Circ": "it depends on its own answer",
    "Spill": "its answer runs over other cells",
}
_MOST_REMEMBERED = 100
_MOST_KNOWN = 10_000  # calls whose answers are kept
_BEYOND = 50  # rows and columns that may still come into use


class HostProblem(Problem):
    """Why something cannot be computed."""


class Unevaluated(NamedTuple):
    """A formula that was not computed and keeps its stored value."""

    cell: Area
    reason: str

    def __str__(self) -> str:
        return f"{self.cell}: {self.reason}"


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


class _Calls:
    # Our functions as the engine calls them, and what came of it.

    def __init__(self, functions: Mapping[str, CellFunction]) -> None:
        self._functions = functions
        self._known: dict[tuple[str, bytes], tuple[Any, Failure | None]] = {}
        self.bugs: list[Bug] = []
        self.failures: deque[Failure] = deque(maxlen=_MOST_REMEMBERED)
        self.first: Failure | None = None  # since somebody last set it to nothing
        self._interrupt: BaseException | None = None
        self._cancel: Callable[[], None] | None = (
            None  # only while an engine runs, which could not be freed else
        )

    def register(self, engine: Any) -> None:
        """Tell the engine our functions, and those that only fitted formulas use."""
        for name, function in self._functions.items():
            engine.register_function(name, partial(self._answer, function), min_args=0, max_args=None)
        for name, test in _TESTS.items():
            answer = partial(_each, test)
            engine.register_function(name, answer, min_args=1, max_args=1, allow_override_builtin=True)
        blocks: dict[float, list[list[Any]]] = {}
        versions = count()

        def block(number: float, value: Any, rows: float, columns: float) -> str:
            if value == "":  # which its cells then show by themselves
                return ""
            blocks[number] = _fit_to(value, int(rows), int(columns))
            return f"{next(versions)}"  # another text each time, so that its cells are computed anew

        def part(number: float, version: str, row: float, column: float) -> Any:
            return blocks[number][int(row)][int(column)]

        engine.register_function(_BLOCK, block, min_args=4, max_args=4)
        engine.register_function(_PART, part, min_args=4, max_args=4)

    def named_in(self, formula: str) -> bool:
        """Tell whether a formula calls one of our functions."""
        return any(token.text.upper() in self._functions for token in tokens(formula) if token.kind == "name")

    def _answer(self, function: CellFunction, *given: Any) -> Any:
        """Answer a call of ours, from memory if just the same was answered before."""
        key = function.name, marshal.dumps(given, 2)  # this format tells TRUE from 1, and 0 from -0
        known = self._known.get(key)
        if known is None:
            arguments = [_from_engine(value) for value in given]
            try:
                answer = call(function, arguments)
            except Exception as error:
                if len(self.bugs) < _MOST_REMEMBERED:
                    self.bugs.append(Bug(function.name, arguments, error))
                return _ERRORS[CellError.VALUE]
            except BaseException as interrupt:  # the engine would take it for an answer and go on
                self._interrupt = interrupt
                assert self._cancel is not None  # an engine runs, or nobody would call
                self._cancel()
                return _ERRORS[CellError.VALUE]
            if len(self._known) == _MOST_KNOWN:
                self._known.clear()
            known = self._known[key] = (_to_engine(answer), _failure(function, arguments, answer))
        answer, failure = known
        if failure is not None:
            self.failures.append(failure)
            self.first = self.first or failure
        return answer

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


class _Engine:
    # The engine, loaded with all values of a workbook and with some of its formulas.

    def __init__(
        self,
        book: Workbook,
        texts: Mapping[str, Mapping[Place, str]],
        entered: Mapping[tuple[str, Place], Cell],
        calls: _Calls,
    ) -> None:
        self._book = book
        self._texts = texts
        self._entered = entered
        self._calls = calls
        self._load()

    def _load(self) -> None:
        data, later = engine_file(self._book, self._texts)
        self.raw = cast("Any", formualizer.Workbook).from_bytes(data, config=_config(self._book.date_1904))
        self.raw.set_temporal_egress("serial")
        self._calls.register(self.raw)
        self._new = {**later, **self._entered}
        self._runs = 0

    def set(self, sheet: str, at: Place, value: Cell) -> None:
        """Enter a value; nothing is computed yet."""
        self._new[sheet, at] = value

    def compute(self) -> None:
        """Compute what the values entered since have changed."""
        if self._runs == RELOAD_AFTER:
            self._load()
        self._runs += 1
        for (sheet, at), value in self._new.items():
            self.raw.set_value(sheet, *at, _to_engine(value, blank=None))
        self._new.clear()
        self._calls.run(self.raw, self.raw.evaluate_all)

    def again(self, sheet: str, at: Place, text: str) -> None:
        """Compute a formula anew, and nothing that depends on it."""
        self.raw.set_formula(sheet, *at, f"={text}")
        self._calls.run(self.raw, partial(self.raw.evaluate_cell, sheet, *at))

    def value(self, sheet: str, at: Place) -> Cell:
        """Value of a cell, as entered or as last computed."""
        if (sheet, at) in self._new:
            return self._new[sheet, at]
        return cast("Cell", _from_engine(self.raw.get_value(sheet, *at)))

    def needs(self, sheet: str, at: Place) -> list[Area] | None:
        """Cells that a formula uses; None if that cannot be told."""
        report = self.raw.precedents(str(Area(sheet, *at, *at)))
        cells: list[Area] = []
        for precedent in report.precedents:
            reference = precedent.reference
            meant = reference.resolution or reference  # of a name
            found = on_sheet(reference.address or meant.address or meant.resolved or "")
            if found is not None:
                cells.append(found)
            elif meant.kind is not formualizer.NameResolutionKind.Literal:
                return None
        return None if report.truncation.incomplete else cells


class Headless:
    """A workbook that computes.

    Parameters
    ----------
    book : Workbook
        An opened file. It is not changed until `store`.
    functions : mapping, optional
        Our functions by their names.

    Notes
    -----
    A formula that cannot be computed stands in `unevaluated` and keeps its stored value, which its dependants
    use. A range beside an operator counts as one value unless the formula is an array formula or the function
    takes arrays, as in a spreadsheet program.
    """

    def __init__(self, book: Workbook, functions: Mapping[str, CellFunction] = REGISTRY) -> None:
        self.book = book
        self._calls = _Calls(functions)
        self._fitter = _fitter(functions)
        self._texts: dict[str, dict[Place, str]] = {}  # formulas as the engine has them, by sheet
        self._blocks: dict[str, dict[Place, Place]] = {}  # array formulas: where the engine computes them
        self._refused: dict[tuple[str, Place], str] = {}  # formulas that it has not, and why
        self._dropped: set[tuple[str, str]] = set()  # names that it could not use, by sheet
        self._anywhere = False  # a formula may use cells that it does not name
        self._entered: dict[tuple[str, Place], Cell] = {}
        self._part: _Engine | None = None  # with no more formulas than the last cells asked for need
        self._used: dict[tuple[str, Place], list[Area] | None] = {}  # what formulas use, once asked
        self._asked: list[tuple[str, str]] = []
        self._asked_at: list[tuple[str, Place]] = []
        self._load()

    @property
    def unevaluated(self) -> list[Unevaluated]:
        """Formulas that could not be computed, in the order of the workbook."""
        titles = list(self.book.sheets)
        refused = sorted(self._refused.items(), key=lambda one: (titles.index(one[0][0]), one[0][1]))
        return [Unevaluated(Area(sheet, *place, *place), why) for (sheet, place), why in refused]

    @property
    def bugs(self) -> list[Bug]:
        """Calls that raised what they never should; the first hundred."""
        return self._calls.bugs

    @property
    def failures(self) -> Sequence[Failure]:
        """Calls that a cell error answered; the last hundred, the last one last."""
        return self._calls.failures

    # --- Cells ---

    def set(self, sheet: str, cell: str, value: Cell) -> None:
        """Enter a value; nothing is computed yet.

        Raises
        ------
        HostProblem
            There is no such cell, or it is a result.
        """
        place = self._area(sheet, cell)
        found = self._sheet(sheet)
        at = (place.top, place.left)
        if place.size > 1 or found.computed(*at):
            raise HostProblem(f"{place} is not an entry.")
        self._entered[place.sheet, at] = value
        self._engine.set(place.sheet, at, value)
        if self._part:
            self._part.set(place.sheet, at, value)

    def get(self, sheet: str, cells: str) -> Cell | Range:
        """Value of a cell, or the rows of a range, as last computed."""
        place = self._area(sheet, cells)
        rows = [[self._engine.value(place.sheet, at) for at in row] for row in place.rows()]
        return rows[0][0] if place.size == 1 else rows

    def recalculate(self) -> None:
        """Compute whatever the values entered since have changed."""
        self._engine.compute()

    def answers(self, asked: Iterable[tuple[str, str]]) -> list[Cell]:
        """Compute only what these cells need, each given by sheet and address, and return their values.

        To ask for the same cells again is quick; what others need is found out first. `get` does not show
        what is computed here.
        """
        asked = list(asked)
        if self._part is None or asked != self._asked:
            places = [self._area(sheet, cell) for sheet, cell in asked]
            self._asked, self._asked_at = asked, [(place.sheet, (place.top, place.left)) for place in places]
            self._part = _Engine(self.book, self._needed(self._asked_at), self._entered, self._calls)
        self._part.compute()
        return [self._part.value(*cell) for cell in self._asked_at]

    def behind(self, cells: Iterable[tuple[str, Place]]) -> frozenset[tuple[str, Place]]:
        """Cells that these cells depend on, themselves among them; all cells if that cannot be told."""
        found = {*cells}
        there = {title: frozenset(sheet.places()) for title, sheet in self.book.sheets.items()}
        for used in self._walked(found)[1]:
            found |= {(used.sheet, at) for at in _within(used, there.get(used.sheet, ()))}
        return frozenset(found)

    def weights(
        self, asked: Iterable[tuple[str, Place]], entries: Sequence[Collection[tuple[str, Place]]]
    ) -> list[int]:
        """How many of the formulas that some cells need depend on each of these groups of entries."""
        users: dict[tuple[str, Place], list[tuple[str, Place]]] = {}
        there = {title: frozenset(texts) for title, texts in self._texts.items()}
        for sheet, at in {spot for group in entries for spot in group}:
            there[sheet] |= {at}
        for sheet, texts in self._needed(asked).items():
            for at in texts:
                for used in self._uses(sheet, at) or ():
                    for place in _within(used, there.get(used.sheet, ())):
                        users.setdefault((used.sheet, place), []).append((sheet, at))
        found: list[int] = []
        for group in entries:
            reached: set[tuple[str, Place]] = set()
            open_ends = list(group)
            while open_ends:
                news = [user for user in users.get(open_ends.pop(), ()) if user not in reached]
                reached.update(news)
                open_ends += news
            found.append(len(reached))
        return found

    def reason(self, sheet: str, cell: str) -> str:
        """Why a cell shows the error that it shows, in one sentence; "" if no call of ours tells.

        That is a call in its formula, or in that of a cell whose error it passes on.
        """
        place = self._area(sheet, cell)
        open_ends = [(place.sheet, (place.top, place.left))]
        seen: set[tuple[str, Place]] = set()
        while open_ends:
            title, at = open_ends.pop()
            if (title, at) in self._refused:
                return f"This formula was not computed: {self._refused[title, at]}."
            anchor = self._sheet(title).members.get(at, at)
            at = self._blocks[title].get(anchor, anchor)
            text = self._texts[title].get(at)
            if text is None or (title, at) in seen or not self._is_error(title, at):
                continue
            seen.add((title, at))
            wrong = [need for need in self._behind(title, at) if self._is_error(*need)]
            open_ends += wrong
            if not wrong and (why := self._failing_call(title, at, text)):
                return why
        return ""

    def _behind(self, sheet: str, at: Place) -> list[tuple[str, Place]]:
        """Formulas that a formula uses."""
        return [
            (cells.sheet, place)
            for cells in self._uses(sheet, at) or ()
            for place in _within(cells, self._texts.get(cells.sheet, ()))
        ]

    def _is_error(self, sheet: str, at: Place) -> bool:
        anchor = {block: anchor for anchor, block in self._blocks[sheet].items()}.get(at, at)
        return isinstance(self._engine.value(sheet, anchor), CellError) or anchor != at

    def _failing_call(self, sheet: str, at: Place, text: str) -> str:
        if not self._calls.named_in(text):
            return ""
        self._calls.first = None
        self._engine.again(sheet, at, text)  # it may compute others too, but later
        return self._calls.first.sentence if self._calls.first else ""

    def store(self) -> None:
        """Put every computed value into the book."""
        for sheet in self.book.sheets.values():
            for row, column in self._texts[sheet.title]:
                if sheet.computed(row, column):
                    sheet.show(row, column, self._engine.value(sheet.title, (row, column)))

    # --- The engine ---

    def _sheet(self, title: str) -> Sheet:
        found = self.book.sheets.get(title)
        if found is None:
            raise HostProblem(f"{self.book.file} has no sheet {title}.")
        return found

    def _area(self, sheet: str, cells: str) -> Area:
        found = area(self._sheet(sheet).title, cells.upper())
        if found is None:
            raise HostProblem(f"{cells} is no address of a cell.")
        return found

    def _load(self) -> None:
        """Load the engine and compute; leave out, one after the other, what turns out not to work."""
        while True:
            self._fit()
            try:
                self._engine = _Engine(self.book, self._texts, self._entered, self._calls)
            except OSError as problem:
                found = self._unloadable()
                if not found:
                    raise HostProblem(f"{self.book.file} cannot be computed: {problem}.") from problem
                self._refused |= found
                continue
            dropped = {
                (name["scope_sheet"] or "", name["name"].upper())
                for name in self._engine.raw.name_import_diagnostics
            } - self._dropped
            if dropped:
                self._dropped |= dropped
                continue
            self.recalculate()
            found = self._given_up()
            if not found:
                return
            self._refused |= found

    def _fit(self) -> None:
        book = self.book
        self._texts = {title: {} for title in book.sheets}
        self._blocks = {title: {} for title in book.sheets}
        known: dict[str, dict[str, Area | None]] = {"": {}}  # names by the sheet that they are meant for
        for name in book.names:
            if (name.sheet, name.name.upper()) not in self._dropped:
                known.setdefault(name.sheet, {})[name.name.upper()] = name.area
        for sheet in book.sheets.values():
            names = known[""] | known.get(sheet.title, {})
            for place, formula in sheet.formulas.items():
                if (sheet.title, place) in self._refused:
                    continue
                fitted = self._fitter.fit(formula, names)
                self._anywhere = self._anywhere or fitted.anywhere
                if fitted.problem:
                    self._refused[sheet.title, place] = fitted.problem
                elif formula.cells:
                    self._fit_array(sheet, place, formula.cells, fitted.text)
                else:
                    self._texts[sheet.title][place] = fitted.text

    def _fit_array(self, sheet: Sheet, anchor: Place, cells: Area, text: str) -> None:
        """Compute an array formula once, beyond all cells, and let each of its cells take its part.

        The engine would let the answer run over cells by itself, but more slowly, and not into the cells that
        the file gives it.
        """
        texts, blocks = self._texts[sheet.title], self._blocks[sheet.title]
        if blocks:
            beyond = max(blocks.values())
        else:
            rows, columns = zip(*sheet.places(), strict=True)
            beyond = (max(rows) + _BEYOND, max(columns) + _BEYOND)
        number = sum(map(len, self._blocks.values()))
        at = blocks[anchor] = (beyond[0] + 1, beyond[1])
        block = address(*at)
        high, wide = cells.bottom - cells.top + 1, cells.right - cells.left + 1
        texts[at] = f"{_BLOCK}({number},+({text}),{high},{wide})"  # without the plus it is computed twice
        for row, line in enumerate(cells.rows()):
            for column, place in enumerate(line):
                if place == anchor or place not in sheet.formulas:
                    texts[place] = f'IF({block}="","",{_PART}({number},{block},{row},{column}))'

    def _needed(self, asked: Iterable[tuple[str, Place]]) -> dict[str, dict[Place, str]]:
        """Formulas that cells need; all formulas if that cannot be told."""
        return self._walked(asked)[0]

    def _uses(self, sheet: str, at: Place) -> list[Area] | None:
        """Cells that a formula uses; None if that cannot be told."""
        if (sheet, at) not in self._used:
            self._used[sheet, at] = self._engine.needs(sheet, at)
        return self._used[sheet, at]

    def _walked(
        self, asked: Iterable[tuple[str, Place]]
    ) -> tuple[dict[str, dict[Place, str]], Collection[Area]]:
        """Formulas that cells need, and all cells that these use."""
        found: dict[str, dict[Place, str]] = {title: {} for title in self._texts}
        seen: set[Area] = set()
        open_ends = list(asked)
        while open_ends:
            sheet, at = open_ends.pop()
            if at not in self._texts[sheet] or at in found[sheet]:
                continue
            found[sheet][at] = self._texts[sheet][at]
            areas = None if self._anywhere else self._uses(sheet, at)
            if areas is None:
                return self._texts, [Area(title, 1, 1, LAST_ROW, LAST_COLUMN) for title in self._texts]
            for cells in {*areas} - seen:
                open_ends += [
                    (cells.sheet, place) for place in _within(cells, self._texts.get(cells.sheet, ()))
                ]
            seen |= {*areas}
        return found, seen

    # --- What the engine turns out not to do ---

    def _unloadable(self) -> dict[tuple[str, Place], str]:
        """Formulas that stop the engine from loading, though nothing was known against them."""
        probe = formualizer.Workbook(config=_config(date_1904=False))
        for title in self._texts:
            probe.add_sheet(title)
        found: dict[tuple[str, Place], str] = {}
        for title, texts in self._texts.items():
            for place, text in texts.items():
                try:
                    probe.set_formula(title, *place, f"={text}")
                except RuntimeError:
                    found[title, self._formula_at(title, place)] = "it cannot be read"
        return found

    def _formula_at(self, title: str, place: Place) -> Place:
        """Where the formula stands that the engine computes at a place."""
        of_blocks = {at: anchor for anchor, at in self._blocks[title].items()}
        return of_blocks.get(place) or self.book.sheets[title].members.get(place, place)

    def _given_up(self) -> dict[tuple[str, Place], str]:
        """Formulas that the engine gives up on by themselves, and why; not those that only pass it on."""
        kinds: dict[tuple[str, Place], str] = {}
        for title, texts in self._texts.items():
            for place in texts:
                raw = self._engine.raw.get_value(title, *place)
                kind = str(cast("dict[str, Any]", raw)["kind"]) if type(raw) is dict else "Na"
                if kind not in _KINDS and kind != "Calc":  # an error that spreadsheet programs know too
                    kinds[title, place] = kind
        given_up = {title: [place for sheet, place in kinds if sheet == title] for title in self._texts}
        needs = {
            cell: [
                (cells.sheet, place)
                for cells in self._engine.needs(*cell) or []
                for place in _within(cells, given_up.get(cells.sheet, ()))
            ]
            for cell in kinds
        }
        return {
            (title, self._formula_at(title, place)): _GIVEN_UP.get(kind, "it uses something unknown here")
            for (title, place), kind in kinds.items()
            if not needs[title, place] or _reaches((title, place), needs)
        }


def evaluate_formula(text: str, functions: Mapping[str, CellFunction] = REGISTRY) -> tuple[Cell | Range, str]:
    """Answer one formula that refers to no cells.

    Parameters
    ----------
    text : str
        The formula, with or without its equals sign.
    functions : mapping, optional
        Our functions by their names.

    Returns
    -------
    tuple
        Its value, rows where it answers several; and, if that is an error of a call of ours or of a function
        that nobody knows, the reason.

    Raises
    ------
    HostProblem
        It cannot be read or worked out.

    Examples
    --------
    >>> evaluate_formula("=SUM({1,2;3,4})*2")
    (20.0, '')
    >>> evaluate_formula('=INCH_FRACTION("some")')[0]
    <CellError.VALUE: '#VALUE!'>
    >>> evaluate_formula("=COURSE_CONT(120, 5.125, 0.5)")[1]
    'There is no function COURSE_CONT. Close to it: COURSE_COUNT, COURSE_NOTE, COURSE_ENDS.'
    """
    fitted = _fitter(functions).free(text.strip().removeprefix("="))
    if fitted.problem:
        raise HostProblem(f"The formula cannot be computed: {fitted.problem}.")
    kept: list[Any] = []

    def keep(value: Any) -> float:
        kept.append(_from_engine(value))
        return 0.0

    calls = _Calls(functions)
    engine = formualizer.Workbook(config=_config(date_1904=False))
    engine.add_sheet("Cell")
    calls.register(engine)
    engine.register_function(_KEEP, keep, min_args=1, max_args=1)
    engine.set_formula("Cell", 1, 1, f"={_KEEP}(+({fitted.text}))")
    calls.run(engine, partial(engine.evaluate_cell, "Cell", 1, 1))
    if calls.bugs:
        raise calls.bugs[0].error
    found = kept[-1] if kept else _from_engine(engine.get_value("Cell", 1, 1))  # an error of the engine's own
    answer = cast("Cell | Range", found)
    values = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
    errors = [cell for cell in values if isinstance(cell, CellError)]
    told = [failure.sentence for failure in calls.failures if failure.error in errors]
    if CellError.NAME in errors and fitted.unknown:
        close = get_close_matches(fitted.unknown[0], functions, n=3)
        hint = f" Close to it: {', '.join(close)}." if close else ""
        told.append(f"There is no function {fitted.unknown[0]}.{hint}")
    return answer, told[-1] if told else ""


def _failure(function: CellFunction, arguments: Sequence[Argument], answer: Argument) -> Failure | None:
    cells = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
    wrong = next((cell for cell in cells if isinstance(cell, CellError)), None)
    return wrong and Failure(function, arguments, wrong)


def _fitter(functions: Mapping[str, CellFunction]) -> Fitter:
    return Fitter(functions, {name for name, function in functions.items() if function.columns})


def _within(area: Area, places: Collection[Place]) -> list[Place]:
    """Those of the places that lie in an area; both may be many."""
    if area.size < len(places):
        return [place for row in area.rows() for place in row if place in places]
    return [
        (row, column)
        for row, column in places
        if area.top <= row <= area.bottom and area.left <= column <= area.right
    ]


def _reaches(cell: tuple[str, Place], needs: Mapping[tuple[str, Place], list[tuple[str, Place]]]) -> bool:
    """Tell whether a cell needs itself."""
    seen: set[tuple[str, Place]] = set()
    open_ends = list(needs[cell])
    while open_ends:
        need = open_ends.pop()
        if need == cell:
            return True
        if need not in seen:
            seen.add(need)
            open_ends += needs[need]
    return False


def _config(date_1904: bool) -> Any:
    config = formualizer.EvaluationConfig()
    config.enable_parallel = False  # faster so, at our sizes
    config.date_system = "1904" if date_1904 else "1900"
    return formualizer.WorkbookConfig(mode=formualizer.WorkbookMode.Ephemeral, eval_config=config)


def _from_engine(value: Any) -> Any:
    """Cell or range as our functions take it."""
    if type(value) is list:
        return [
            [_error(cell) if type(cell) is dict else cell for cell in row]
            for row in cast("list[list[Any]]", value)
        ]
    return _error(value) if type(value) is dict else value


def _error(value: Any) -> CellError:
    return _KINDS.get(value["kind"], CellError.VALUE)


def _to_engine(value: Any, blank: str | None = "") -> Any:
    """Cell or range as the engine takes it; nothing answered is the empty text, or the engine makes it 0."""
    if isinstance(value, list):
        return [[_to_engine(cell) for cell in row] for row in cast("Range", value)]
    if isinstance(value, CellError):
        return _ERRORS[value]
    if value is None:
        return blank
    if isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    return value


def _each(test: Callable[[Cell], bool], given: Any) -> Any:
    """Answer a test for one cell, or for each of a range."""
    value = cast("Cell | Range", _from_engine(given))
    return [[test(cell) for cell in row] for row in value] if isinstance(value, list) else test(value)


def _fit_to(value: Any, rows: int, columns: int) -> list[list[Any]]:
    """Fit an array formula's answer to its cells, as spreadsheet programs do.

    One value, one row or one column repeats; cells beyond the answer are #N/A.
    """
    block = cast("list[list[Any]]", value) if isinstance(value, list) else [[value]]
    high, wide = len(block), len(block[0])
    outside = _ERRORS[CellError.NA]
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
