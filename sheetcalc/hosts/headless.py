"""Cells computed without a spreadsheet program: the formualizer engine behind a thin adapter.

The engine is loaded from a small workbook that is written for it: values and formulas alone, each formula
made to fit. So nothing that it cannot read, and nothing left of an earlier calculation, spoils the answers.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import partial
from typing import Any, NamedTuple, cast

import formualizer

from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, CellError, Range
from sheetcalc.hosts.engine import (
    BLOCK,
    KEEP,
    KINDS,
    PART,
    Bug,
    Calls,
    Engine,
    Failure,
    HostProblem,
    config,
    from_engine,
)
from sheetcalc.hosts.formulas import Formulas, Spot, fitter
from sheetcalc.hosts.quick import NotQuick, Quick
from sheetcalc.xlsx.formulas import Area, address, area
from sheetcalc.xlsx.sheet import Place, Sheet
from sheetcalc.xlsx.workbook import Workbook

_GIVEN_UP = {
    "Circ": "it depends on its own answer",
    "Spill": "its answer runs over other cells",
}
_BEYOND = 50  # rows and columns that may still come into use


class Unevaluated(NamedTuple):
    """A formula that was not computed and keeps its stored value."""

    cell: Area
    reason: str

    def __str__(self) -> str:
        return f"{self.cell}: {self.reason}"


class Headless:
    """A workbook that computes.

    Parameters
    ----------
    book : Workbook
        An opened file. It is not changed until `store`.
    functions : mapping, optional
        Our functions by their names.
    at_once : bool, optional
        False: the whole workbook is computed only when something is asked that needs it, which `answers`,
        `behind` and `weights` rarely do.

    Notes
    -----
    A formula that cannot be computed stands in `unevaluated` and keeps its stored value, which its dependants
    use. A range beside an operator counts as one value unless the formula is an array formula or the function
    takes arrays, as in a spreadsheet program.
    """

    def __init__(
        self, book: Workbook, functions: Mapping[str, CellFunction] = REGISTRY, *, at_once: bool = True
    ) -> None:
        self.book = book
        self._calls = Calls(functions)
        self._formulas = Formulas(book, functions)
        self._texts: dict[str, dict[Place, str]] = {}  # formulas as the engine has them, by sheet
        self._blocks: dict[str, dict[Place, Place]] = {}  # array formulas: where the engine computes them
        self._entered: dict[Spot, Cell] = {}
        self._quick = Quick(book, self._formulas, self._calls)
        self._whole: Engine | None = None  # with all formulas
        if at_once:
            self._load()

    @property
    def unevaluated(self) -> list[Unevaluated]:
        """Formulas that could not be computed, in the order of the workbook."""
        assert self._engine  # loading it finds them
        titles = list(self.book.sheets)
        refused = sorted(self._formulas.refused.items(), key=lambda one: (titles.index(one[0][0]), one[0][1]))
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
        for computing in (self._quick, self._whole):
            if computing:
                computing.enter((place.sheet, at), value)

    def get(self, sheet: str, cells: str) -> Cell | Range:
        """Value of a cell, or the rows of a range, as last computed."""
        place = self._area(sheet, cells)
        rows = [[self._engine.value((place.sheet, at)) for at in row] for row in place.rows()]
        return rows[0][0] if place.size == 1 else rows

    def recalculate(self) -> None:
        """Compute whatever the values entered since have changed."""
        self._engine.compute()

    def answers(self, asked: Iterable[tuple[str, str]]) -> list[Cell]:
        """Compute these cells, each given by sheet and address, and return their values.

        Where it can be done, nothing is computed but what they need. `get` then does not show it.
        """
        places = [self._area(sheet, cell) for sheet, cell in asked]
        spots = tuple((place.sheet, (place.top, place.left)) for place in places)
        try:
            return self._quick.values(spots)
        except NotQuick:
            self.recalculate()
            return [self._engine.value(spot) for spot in spots]

    def behind(self, cells: Iterable[Spot]) -> frozenset[Spot]:
        """Cells that these cells depend on, themselves among them; all cells if that cannot be told."""
        return self._formulas.cells_behind(cells)

    def uses(self, cell: Spot) -> list[Area]:
        """Cells that the formula of a cell names; none if it has none or that cannot be told."""
        anchor = self._formulas.anchor(cell)
        return (anchor and self._formulas.uses(anchor)) or []

    def weights(self, entries: Iterable[Collection[Spot]]) -> list[int]:
        """How many of the formulas that answers needed depend on each of these groups of entries."""
        return [self._quick.weight(group) for group in entries]

    def reason(self, sheet: str, cell: str) -> str:
        """Why a cell shows the error that it shows, in one sentence; "" if no call of ours tells.

        That is a call in its formula, or in that of a cell whose error it passes on.
        """
        place = self._area(sheet, cell)
        open_ends: list[Spot] = [(place.sheet, (place.top, place.left))]
        seen: set[Spot] = set()
        while open_ends:
            spot = open_ends.pop()
            anchor = self._formulas.anchor(spot)
            if anchor in self._formulas.refused:
                return f"This formula was not computed: {self._formulas.refused[anchor]}."
            if anchor is None or anchor in seen or (anchor == spot and not self._is_error(spot)):
                continue
            seen.add(anchor)
            wrong = [need for need in self._formulas.behind(anchor) if self._is_error(need)]
            open_ends += wrong
            if not wrong and (why := self._failing_call(anchor)):
                return why
        return ""

    def _is_error(self, spot: Spot) -> bool:
        return isinstance(self._engine.value(spot), CellError)

    def _failing_call(self, anchor: Spot) -> str:
        title, at = anchor
        at = self._blocks[title].get(at, at)
        text = self._texts[title][at]
        if not self._calls.named_in(text):
            return ""
        self._calls.first = None
        self._engine.again(title, at, text)  # it may compute others too, but later
        return self._calls.first.sentence if self._calls.first else ""

    def store(self) -> None:
        """Put every computed value into the book."""
        assert self._engine
        for sheet in self.book.sheets.values():
            for row, column in self._texts[sheet.title]:
                if sheet.computed(row, column):
                    sheet.show(row, column, self._engine.value((sheet.title, (row, column))))

    # --- The engine ---

    @property
    def _engine(self) -> Engine:
        if self._whole is None:
            self._load()
        assert self._whole is not None
        return self._whole

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
                whole = Engine(self.book, self._texts, self._entered, self._calls)
            except OSError as problem:
                found = self._unloadable()
                if not found:
                    raise HostProblem(f"{self.book.file} cannot be computed: {problem}.") from problem
            else:
                if self._formulas.drop(whole.dropped_names):
                    continue
                whole.compute()
                found = self._given_up(whole)
                if not found:
                    self._whole = whole
                    return
            self._formulas.refuse(found)

    def _fit(self) -> None:
        self._texts = {title: {} for title in self.book.sheets}
        self._blocks = {title: {} for title in self.book.sheets}
        for sheet in self.book.sheets.values():
            for place, formula in sheet.formulas.items():
                fitted = self._formulas.fitted((sheet.title, place))
                if fitted.problem:
                    continue
                if formula.cells:
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
        texts[at] = f"{BLOCK}({number},+({text}),{high},{wide})"  # without the plus it is computed twice
        for row, line in enumerate(cells.rows()):
            for column, place in enumerate(line):
                if place == anchor or place not in sheet.formulas:
                    texts[place] = f'IF({block}="","",{PART}({number},{block},{row},{column}))'

    # --- What the engine turns out not to do ---

    def _unloadable(self) -> dict[Spot, str]:
        """Formulas that stop the engine from loading, though nothing was known against them."""
        probe = formualizer.Workbook(config=config(date_1904=False))
        for title in self._texts:
            probe.add_sheet(title)
        found: dict[Spot, str] = {}
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

    def _given_up(self, engine: Engine) -> dict[Spot, str]:
        """Formulas that the engine gives up on by themselves, and why; not those that only pass it on."""
        kinds: dict[Spot, str] = {}
        for title, texts in self._texts.items():
            for place in texts:
                raw = engine.raw.get_value(title, *place)
                kind = str(cast("dict[str, Any]", raw)["kind"]) if type(raw) is dict else "Na"
                if kind not in KINDS and kind != "Calc":  # an error that spreadsheet programs know too
                    kinds.setdefault((title, self._formula_at(title, place)), kind)
        needs = {
            anchor: [
                at for spot in self._formulas.behind(anchor) if (at := self._formulas.anchor(spot)) in kinds
            ]
            for anchor in kinds
        }
        return {
            anchor: _GIVEN_UP.get(kind, "it uses something unknown here")
            for anchor, kind in kinds.items()
            if not needs[anchor] or _reaches(anchor, needs)
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
    fitted = fitter(functions).free(text.strip().removeprefix("="))
    if fitted.problem:
        raise HostProblem(f"The formula cannot be computed: {fitted.problem}.")
    kept: list[Any] = []

    def keep(value: Any) -> float:
        kept.append(from_engine(value))
        return 0.0

    calls = Calls(functions)
    engine = formualizer.Workbook(config=config(date_1904=False))
    engine.add_sheet("Cell")
    calls.register(engine)
    engine.register_function(KEEP, keep, min_args=1, max_args=1)
    engine.set_formula("Cell", 1, 1, f"={KEEP}(+({fitted.text}))")
    calls.run(engine, partial(engine.evaluate_cell, "Cell", 1, 1))
    if calls.bugs:
        raise calls.bugs[0].error
    found = kept[-1] if kept else from_engine(engine.get_value("Cell", 1, 1))  # an error of the engine's own
    answer = cast("Cell | Range", found)
    values = [cell for row in answer for cell in row] if isinstance(answer, list) else [answer]
    errors = [cell for cell in values if isinstance(cell, CellError)]
    told = [failure.sentence for failure in calls.failures if failure.error in errors]
    if CellError.NAME in errors and fitted.unknown:
        close = get_close_matches(fitted.unknown[0], functions, n=3)
        hint = f" Close to it: {', '.join(close)}." if close else ""
        told.append(f"There is no function {fitted.unknown[0]}.{hint}")
    return answer, told[-1] if told else ""


def _reaches(cell: Spot, needs: Mapping[Spot, list[Spot]]) -> bool:
    """Tell whether a cell needs itself."""
    seen: set[Spot] = set()
    open_ends = list(needs[cell])
    while open_ends:
        need = open_ends.pop()
        if need == cell:
            return True
        if need not in seen:
            seen.add(need)
            open_ends += needs[need]
    return False
