"""Entries that cannot be right: which, what is typed there and why; told before what follows from them."""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from functools import cache, partial
from typing import NamedTuple

from sheetcalc.cells.units import inches
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.compare import same
from sheetcalc.errors import EntryError
from sheetcalc.hosts.formulas import Spot, within
from sheetcalc.hosts.headless import Headless
from sheetcalc.trade.lengths import parse_length
from sheetcalc.workbooks.handles import Handles, typed
from sheetcalc.workbooks.names import words
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.cells import number_text
from sheetcalc.xlsx.formulas import Area, address

_REFUSED = re.compile(
    r"(\w+)\b(?:, row (\d+))?(?:, column (\d+))?.*? is (not given|.+?), but (.+)", re.DOTALL
)
_NUMBER = re.compile(r"(-?[\d.]+(?:e[+-]?\d+)?)(?: (?!cells)(\S+))?")
_LENGTHS = ("in", "mm")


class Wrong(NamedTuple):
    """An entry that cannot be right: its name, what is typed there, the rule that it breaks, and where."""

    sentence: str
    spots: frozenset[Spot]


def wrong_entries(host: Headless, handles: Handles, failing: Mapping[Spot, Collection[Spot]]) -> list[Wrong]:
    """Find the entries because of which checks fail.

    Parameters
    ----------
    host, handles : Headless, Handles
        The computed workbook.
    failing : mapping of Spot to collection of Spot
        The checks' cells, and for each the cells that it depends on.

    Returns
    -------
    list of Wrong
        Those against the rules of the file itself, lengths that cannot be read, what a function refuses,
        words that are looked up in vain.
    """
    found = against_rules(host, handles)
    told: dict[str, int] = {}  # where each reason stands among them
    for behind in failing.values():
        if not _explained(behind, found):
            found += unreadable(host, handles, behind)
        if _explained(behind, found):
            continue
        errors = [at for at in sorted(behind) if isinstance(_value(host, at), CellError)]
        begun = [at for at in errors if _begins(host, at)]
        error = next((at for at in begun + errors if host.reason(at[0], address(*at[1]))), None)
        if error is None:
            found += looked_up(host, handles, begun)
            continue
        why = host.reason(error[0], address(*error[1]))
        if why in told:
            same_one = found[told[why]]
            found[told[why]] = same_one._replace(spots=same_one.spots | {error})
            continue
        told[why] = len(found)
        see = Wrong(f"{why} (see {Area(error[0], *error[1], *error[1])})", frozenset([error]))
        found += refused(host, handles, why, behind, error) or [see]
    return found


def against_rules(host: Headless, handles: Handles) -> list[Wrong]:
    """Find the entries that break the rules which the file itself has for them."""
    found: dict[Spot, str] = {}
    words_at = cache(partial(_held, host))  # many cells may share a list
    for title, sheet in host.book.sheets.items():
        entries = frozenset(at for at in sheet.places() if not sheet.computed(*at)) if sheet.rules else ()
        for rule in sheet.rules:
            for at in (at for cells in rule.cells for at in within(cells, entries)):
                value = _value(host, (title, at))
                if why := rule.broken(value, words_at):
                    now = _typed(host, (title, at), value)
                    found[title, at] = f"is {now}: {why[:1].lower()}{why[1:].rstrip('.')}"
    return _worded(host, handles, found)


def unreadable(host: Headless, handles: Handles, behind: Iterable[Spot]) -> list[Wrong]:
    """Find the lengths among these cells that cannot be read."""
    owners = handles.owners()
    found: dict[Spot, str] = {}
    for spot in _entries(host, behind):
        value = _value(host, spot)
        if not isinstance(value, str) or not value.strip() or spot not in owners:
            continue
        if (unit := words(host.book, handles, owners[spot])[1]) in _LENGTHS:
            try:
                parse_length(value, unit == "mm")
            except EntryError as problem:
                found[spot] = f"is {_typed(host, spot, value)}, but {problem.rule}"
    return _worded(host, handles, found)


def refused(
    host: Headless, handles: Handles, why: str, behind: Iterable[Spot], error: Spot | None = None
) -> list[Wrong]:
    """Find the entry with the value that a call refuses, by the call's sentence.

    Parameters
    ----------
    host, handles : Headless, Handles
        The computed workbook.
    why : str
        The sentence: argument, its row and column if it is of several cells, its value as typed, the rule.
    behind : iterable of Spot
        Cells among which the entry is.
    error : Spot, optional
        The cell that shows the error.
    """
    said = _REFUSED.fullmatch(why)
    if not said:
        return []
    argument, row, column, now, rule = said.groups()
    what = f"is {now}, but {rule}"
    place = int(row or 1) - 1, int(column or 1) - 1
    if row and error and (spot := _in_call(host, handles, error, argument, place)):
        return _worded(host, handles, {spot: what})
    owners = handles.owners()
    alike = [spot for spot in _entries(host, behind) if spot in owners and _is(_value(host, spot), now)]
    named = [spot for spot in alike if owners[spot] == argument] or alike
    if row and len(named) > 1:  # several hold that value: the call tells which row
        named = [at for at in named if _place(handles.area(owners[at]), at) == place] or named
    if len({owners[spot] for spot in named}) > 1:  # the value alone does not tell which of them it is
        return []
    return _worded(host, handles, dict.fromkeys(named, what))


def _in_call(
    host: Headless, handles: Handles, error: Spot, argument: str, place: tuple[int, int]
) -> Spot | None:
    """Find a cell of a column of entries that a formula with an error gives to an argument of that name."""
    areas = host.uses(error)
    named = [
        area
        for name in handles
        if name == argument or name.endswith(f"_{argument}")
        if (area := handles.area(name)) in areas
    ]
    if len(named) != 1 or place[0] > named[0].bottom - named[0].top:
        return None
    spot = named[0].sheet, (named[0].top + place[0], named[0].left + place[1])
    return spot if _entries(host, [spot]) else None


def looked_up(host: Headless, handles: Handles, begun: Iterable[Spot]) -> list[Wrong]:
    """Find the words that formulas look up in vain, among the cells where errors begin."""
    owners = handles.owners()
    found: dict[Spot, str] = {}
    for error in begun:
        if _value(host, error) is CellError.NA:
            lone = [(area.sheet, (area.top, area.left)) for area in host.uses(error) if area.size == 1]
            words_in = {spot: _value(host, spot) for spot in _entries(host, lone) if spot in owners}
            for spot, value in words_in.items():
                if isinstance(value, str) and value:
                    found[spot] = f"is “{value}”: there is none of that name"
    return _worded(host, handles, found)


def _begins(host: Headless, error: Spot) -> bool:
    """Tell whether the formula with an error names no cell that has one itself."""
    return not any(isinstance(value, CellError) for area in host.uses(error) for value in _held(host, area))


def _worded(host: Headless, handles: Handles, found: Mapping[Spot, str]) -> list[Wrong]:
    """Say it once for all rows of a column, by its name; of a single cell with its row."""
    owners = handles.owners() if found else {}
    alike: defaultdict[tuple[str, str], list[Spot]] = defaultdict(list)
    for spot, what in sorted(found.items()):
        if spot in owners:
            alike[owners[spot], what].append(spot)
    wrong: list[Wrong] = []
    for (name, what), spots in alike.items():
        (sheet, at), cells = spots[0], handles.area(name)
        label, _ = words(host.book, handles, name)
        if len(spots) == 1 and cells.size > 1:
            name += f".{at[0] - cells.top + 1}" + f".{at[1] - cells.left + 1}" * (cells.left < cells.right)
        where = f"{Area(sheet, *at, *at)}" + (f" and {len(spots) - 1} more" if spots[1:] else "")
        said = f"{name} {what} ({where}{f': {label}' if label else ''})"
        wrong.append(Wrong(said, frozenset(spots)))
    return wrong


def _explained(behind: Iterable[Spot], found: Iterable[Wrong]) -> bool:
    return any(not one.spots.isdisjoint(behind) for one in found)


def _entries(host: Headless, spots: Iterable[Spot]) -> list[Spot]:
    return [spot for spot in spots if not host.book.sheets[spot[0]].computed(*spot[1])]


def _typed(host: Headless, spot: Spot, value: Cell) -> str:
    """Word an entry as its cell shows it; a number that other words would round, exactly."""
    if isinstance(value, str):
        return f"“{value}”"
    looks = host.book.number_format(spot[0], *spot[1])
    seen = shown(value, looks)
    try:
        exact = typed(seen, looks, date_1904=host.book.date_1904) == value
    except ValueError:
        exact = False
    return number_text(value) if isinstance(value, float) and not exact else seen


def _is(value: Cell, said: str) -> bool:
    """Tell whether a cell's value is the one that a sentence words, there with its unit."""
    if said == f"“{value}”":
        return True
    number = _NUMBER.fullmatch(said)
    if isinstance(value, str) and number:  # it may be a length, which arrives as a number
        system = "metric" if number[2] == "mm" else "us"
        try:
            return same(*(inches(parse_length(text), system) for text in (value, number[1])))
        except EntryError:
            return False
    return isinstance(value, float) and number is not None and same(value, float(number[1]))


def _place(cells: Area, spot: Spot) -> tuple[int, int]:
    return spot[1][0] - cells.top, spot[1][1] - cells.left


def _value(host: Headless, spot: Spot) -> Cell:
    value = host.get(spot[0], address(*spot[1]))
    assert not isinstance(value, list)
    return value


def _held(host: Headless, cells: Area) -> list[Cell]:
    """Values of those cells that the file holds; none on a sheet that is not there."""
    sheet = host.book.sheets.get(cells.sheet)
    return (
        [_value(host, (cells.sheet, at)) for at in within(cells, frozenset(sheet.places()))] if sheet else []
    )
