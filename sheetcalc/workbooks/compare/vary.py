"""Every combination of other entries: how they are written, which there are, what comes of each."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import NamedTuple, TypeGuard

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.headless import Bug
from sheetcalc.workbooks.compare.what_if import Entries, Shown, Spot, WhatIf
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.xlsx.sheet import Place

USUAL = """price price_per_area cost boards_total joints_total waste primer_words hours_total pole_courses
    pole_first_shows pole_last_shows smallest_shows stops looks boards_words""".split()  # noqa: SIM905
"""What is shown unless asked otherwise, as far as the workbook has it."""
PRICE, STOPS = "price", "stops"
CHEAPEST, SAME = "cheapest", "same price"
MOST = 20_000  # combinations
_MOST_REASONS, _MOST_ASKED = 5, 20  # sentences; combinations computed to find them
_MOST_USUAL = 12

_VALUE = re.compile(r'\s*(?:"((?:[^"]|"")*)"\s*|((?!")[^,]*))(,|$)')


class Vary(NamedTuple):
    """An entry and what is typed into it, one after the other."""

    handle: str
    texts: tuple[str, ...]


class Combination(NamedTuple):
    """What was typed into the varied entries, in their order, and what the shown cells then hold."""

    texts: tuple[str, ...]
    typed: tuple[Cell, ...]  # of an entry of several cells the first
    values: tuple[Cell, ...]


@dataclass(frozen=True)
class Comparison:
    """Combinations of entries, in the order in which they were asked for.

    Parameters
    ----------
    file : str
        Name of the workbook.
    varied : list of Shown
        The first cell of each varied entry.
    shown : list of Shown
        The cells compared.
    rows : list of Combination
        What came of each.
    reasons : list of str
        Why cells show errors or nothing, one sentence for each kind of it.
    bugs : list of Bug
        Calls that failed through no fault of the entries.
    """

    file: str
    varied: list[Shown]
    shown: list[Shown]
    rows: list[Combination]
    reasons: list[str]
    bugs: list[Bug]

    @property
    def price(self) -> int | None:
        """Which of the shown cells is the price."""
        return next((n for n, cell in enumerate(self.shown) if cell.handle == PRICE), None)

    @property
    def cheapest(self) -> list[int]:
        """Rows with the lowest price."""
        if self.price is None:
            return []
        prices = {n: row.values[self.price] for n, row in enumerate(self.rows)}
        numbers = {n: price for n, price in prices.items() if is_number(price)}
        least = min(numbers.values(), default=0.0)
        return [n for n, price in numbers.items() if price == least]

    @property
    def marks(self) -> list[str]:
        """What is said of each row: that it is the cheapest, or that others cost the same."""
        priced = sum(is_number(row.values[self.price]) for row in self.rows) if self.price is not None else 0
        cheapest = set(self.cheapest)
        words = [CHEAPEST] * (len(cheapest) < priced) + [SAME] * (len(cheapest) > 1)
        return [", ".join(words) if row in cheapest else "" for row in range(len(self.rows))]

    @property
    def failed(self) -> bool:
        """Some combination shows an error, has no price, or is stopped."""
        return any(
            isinstance(value, CellError)
            or (cell.handle == PRICE and not is_number(value))
            or (cell.handle == STOPS and value != 0)
            for row in self.rows
            for cell, value in zip(self.shown, row.values, strict=True)
        )


def is_number(value: Cell) -> TypeGuard[float]:
    """Tell a number from text, errors and yes or no."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def vary(text: str) -> Vary:
    """Read what is to be varied.

    Values stand between commas. One that holds a comma itself stands in double quotes, with its own quotes
    twice; an inch mark never stands first, so it needs none.

    Raises
    ------
    HandleProblem
        It is no HANDLE=VALUE,VALUE.

    Examples
    --------
    >>> vary("across.1.1=8'9,8' 9-1/2").texts
    ("8'9", "8' 9-1/2")
    >>> vary('firm="Hale, sons",Hale').texts
    ('Hale, sons', 'Hale')
    """
    handle, given, values = text.partition("=")
    if not given or not handle.strip():
        raise HandleProblem(f"--vary takes HANDLE=VALUE,VALUE, not {text!r}.")
    texts: list[str] = []
    at = 0
    while True:
        found = _VALUE.match(values, at)
        if not found:
            raise HandleProblem(f"--vary {text}: after the closing quote there must be a comma or nothing.")
        texts.append(found[2].strip() if found[1] is None else found[1].replace('""', '"'))
        at = found.end()
        if not found[3]:
            return Vary(handle.strip(), tuple(dict.fromkeys(texts)))


def compare(
    job: WhatIf,
    varied: Sequence[Vary],
    show: Sequence[str] = (),
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Comparison:
    """Compute a workbook with every combination of entries.

    Parameters
    ----------
    job : WhatIf
        The workbook.
    varied : sequence of Vary
        The entries. The last changes fastest.
    show : sequence of str, optional
        Handles of the results, else the usual ones.
    progress : callable, optional
        Told after each combination how many are done, of how many.

    Raises
    ------
    Problem
        A handle or a value cannot be used.
    """
    many = prod(len(one.texts) for one in varied)
    if many > MOST:
        raise HandleProblem(f"These are {many:,} combinations; at most {MOST:,} are compared at once.")
    handles = [one.handle for one in varied]
    if twice := next(
        (handle for handle in handles if [one.lower() for one in handles].count(handle.lower()) > 1), ""
    ):
        raise HandleProblem(f"{twice} is varied twice: give all its values at once.")
    typed = _Typed(job, varied)
    shown = job.shown(show or _usual(job))
    done: dict[tuple[str, ...], Combination] = {}
    for number, texts in enumerate(typed.in_quick_order(shown), start=1):
        entries = typed.entries(texts)
        values = tuple(job.answers(entries, shown))
        firsts = tuple(entries[spot] for spot in typed.firsts(texts))
        done[texts] = Combination(texts, firsts, values)
        progress(number, many)
    rows = [done[texts] for texts in product(*(one.texts for one in varied))]
    seen = job.at(zip(handles, typed.firsts(rows[0].texts), strict=True))
    return Comparison(job.book.file, seen, shown, rows, _reasons(job, typed, shown, rows), job.host.bugs)


def _usual(job: WhatIf) -> list[str]:
    known = set(job.handles)
    usual = [handle for handle in USUAL if handle in known]
    if usual:
        return usual
    single = [
        handle
        for handle in job.handles
        if (area := job.handles.area(handle)).size == 1
        and job.book.sheets[area.sheet].computed(area.top, area.left)
    ]
    if not single:
        raise HandleProblem(f"No name in {job.book.file} means one result: say with --show what to compare.")
    return single[:_MOST_USUAL]


def _reasons(job: WhatIf, typed: "_Typed", shown: list[Shown], rows: Iterable[Combination]) -> list[str]:
    found: dict[str, None] = {}
    seen: set[object] = set()
    asked = 0
    for row in rows:
        wrong = [
            (cell, value)
            for cell, value in zip(shown, row.values, strict=True)
            if isinstance(value, CellError) or (cell.handle == PRICE and value in (None, ""))
        ]
        kind = tuple(f"{cell.handle} {value}" for cell, value in wrong)
        news = {(kind, number, text) for number, text in enumerate(row.texts)} - seen
        if not wrong or not news:
            continue
        if len(found) == _MOST_REASONS or asked == _MOST_ASKED:
            break
        seen |= news
        asked += 1
        first, value = wrong[0]
        what = f"{value.value} in {first.handle}" if isinstance(value, CellError) else "no price"
        why = job.reason(typed.entries(row.texts), [cell for cell, _ in wrong])
        found[f"{what}: {why or 'see its cell in the workbook'}"] = None
    return list(found)


class _Typed:
    # What the texts of a combination become in the cells.

    def __init__(self, job: WhatIf, varied: Sequence[Vary]) -> None:
        self._job = job
        self._varied = varied
        self._alike: dict[tuple[int, str], tuple[dict[Spot, Cell], frozenset[Spot] | None]] = {}
        areas = [job.handles.area(one.handle) for one in varied]
        self._cells = [{(area.sheet, at) for row in area.rows() for at in row} for area in areas]

    def in_quick_order(self, shown: Iterable[Shown]) -> Iterator[tuple[str, ...]]:
        """All combinations; what most of the workbook depends on changes least often."""
        self._job.answers({}, shown)  # tells what they need
        weights = self._job.host.weights(self._cells)
        order = sorted(range(len(weights)), key=lambda number: -weights[number])
        for texts in product(*(self._varied[number].texts for number in order)):
            at = dict(zip(order, texts, strict=True))
            yield tuple(at[number] for number in range(len(order)))

    def entries(self, texts: tuple[str, ...]) -> Entries:
        """Cells and values of a combination, typed one after the other as by `compute --set`."""
        found: dict[Spot, Cell] = {}
        for number, text in enumerate(texts):
            found |= self._entry(number, text, found)
        return found

    def firsts(self, texts: tuple[str, ...]) -> list[Spot]:
        """First cell of each varied entry."""
        found: dict[Spot, Cell] = {}
        firsts: list[Spot] = []
        for number, text in enumerate(texts):
            cells = self._entry(number, text, found)
            firsts.append(next(iter(cells)))
            found |= cells
        return firsts

    def _entry(self, number: int, text: str, before: Entries) -> dict[Spot, Cell]:
        """Cells and values of one entry; which rows of a table are in use may depend on those before it."""
        cells, depends = self._alike.get((number, text), ({}, None))
        if depends is None or not depends.isdisjoint(before):
            read: set[Spot] = set()
            handle = self._varied[number].handle

            def get(sheet: str, at: Place) -> Cell:
                read.add((sheet, at))
                return self._job.value(before, (sheet, at))

            cells = self._job.handles.entries(handle, text, get)
            self._alike[number, text] = cells, self._job.host.behind(read)
        return cells
