"""A comparison on the screen: combinations one below the other, or side by side where they are few."""

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from sheetcalc.workbooks.compare.sensitivity import Sensitivity
from sheetcalc.workbooks.compare.vary import Comparison
from sheetcalc.workbooks.shown import shown

_MOST_LINES = 40  # combinations one below the other, else only the cheapest are shown
_APART = "  "
_MOST_MOVES = 25  # entries
_LONGEST_LABEL = 30
_WRITES = " --output F.xlsx or F.csv writes them all."
_NARROWEST = 10  # characters of a combination's column


def table(comparison: Comparison, width: int, saved: bool) -> list[str]:
    """Lines for a screen.

    Parameters
    ----------
    comparison : Comparison
        What was compared.
    width : int
        Characters on a line.
    saved : bool
        The whole is in a file, so nothing need be said of that.
    """
    rows = list(range(len(comparison.rows)))
    some = len(rows) > _MOST_LINES
    if some:
        rows = _first(comparison, rows)
    heads = [cell.handle for cell in (*comparison.varied, *comparison.shown)]
    cells = [[*comparison.rows[row].texts, *_words(comparison, row)] for row in rows]
    said = comparison.marks
    marks = [said[row] for row in rows]
    many = f"{len(comparison.rows):,} combination{'s' if len(comparison.rows) > 1 else ''}"
    lines = [f"{comparison.file}: {many}"]
    if beside := _beside(heads, cells, marks, width):
        return [*lines, *beside, *_why(comparison)]
    whole = [[*heads, ""], *([*line, mark] for line, mark in zip(cells, marks, strict=True))]
    kept, left = _fitting(whole, len(comparison.varied), width)
    lines += _aligned([[line[n] for n in kept] for line in whole])
    if some:
        what = "cheapest" if any(marks) else "first"
        lines.append(f"The {len(rows)} {what} of {len(comparison.rows):,}.")
    if left:
        lines.append(f"Not shown for want of width: {', '.join(heads[n] for n in left)}.")
    if (some or left) and not saved:
        lines.append("--output F.xlsx or F.csv writes all of it, --show HANDLE,HANDLE chooses.")
    return [*lines, *_why(comparison)]


def sensitivity_table(found: Sensitivity, width: int, saved: bool, verbose: bool = False) -> list[str]:
    """Lines for a screen: what moves the result most, on top.

    Parameters
    ----------
    found : Sensitivity
        What moves it.
    width : int
        Characters on a line.
    saved : bool
        The whole is in a file, so nothing need be said of that.
    verbose : bool, optional
        List the entries that cannot be moved by their step, with the reasons.
    """
    looks = found.of.looks
    lines = [f"{found.file}: {found.of.handle} is {shown(found.now, looks)}"]
    lines += textwrap.wrap(found.steps, width)
    rows = [["entry", "name", "now", "step", "by it less", "by it more"]]
    for moved in found.moves[:_MOST_MOVES]:
        less, more = (_signed(change, looks) for change in found.change(moved))
        label = _shortened(moved.label, _LONGEST_LABEL)
        rows.append([label, moved.handle, _shortened(moved.value, 14), moved.step, less, more])
    lines += [line[:width] for line in _aligned(rows, words=2)]
    if len(found.moves) > _MOST_MOVES:
        lines.append(f"{len(found.moves) - _MOST_MOVES} more move it less." + ("" if saved else _WRITES))
    lines.append(f"{found.still} entries move nothing by their step.")
    if found.stuck and not verbose:
        lines.append(f"{len(found.stuck)} cannot be moved so far; --verbose says which and why.")
    elif found.stuck:
        lines.append("These cannot be moved so far:")
        lines += [f"  {moved.handle} by {moved.step} {moved.reason}" for moved in found.stuck]
    return lines + [f"  a fault of sheetcalc, please report it: {bug}" for bug in found.bugs]


def _signed(change: float | None, looks: str) -> str:
    if change is None:
        return "stops"
    words = shown(abs(change), looks)
    return f"-{words}" if change < 0 else f"+{words}" if change > 0 else "0"


def _shortened(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 2]} …"


def _beside(heads: list[str], cells: list[list[str]], marks: list[str], width: int) -> list[str]:
    """Give each combination a column, as on the sheets; nothing if they do not fit."""
    own = (width - 2 - max(map(len, heads))) // len(cells) - len(_APART)
    if own < _NARROWEST:
        return []
    lines: list[list[str]] = []
    said = [marks] if any(marks) else []
    for head, texts in zip([*heads, *[""] * len(said)], [*zip(*cells, strict=True), *said], strict=True):
        pieces = [textwrap.wrap(text, own) for text in texts]
        for words in zip_longest([head], *pieces, fillvalue=""):
            lines.append(list(words))
    return _aligned(lines)


def _first(comparison: Comparison, rows: list[int]) -> list[int]:
    at = comparison.price
    if at is None:
        return rows[: _MOST_LINES // 2]

    def price(row: int) -> float:
        value = comparison.rows[row].values[at]
        return value if isinstance(value, float) else float("inf")

    return sorted(rows, key=price)[: _MOST_LINES // 2]


def _words(comparison: Comparison, row: int) -> list[str]:
    values = comparison.rows[row].values
    return [
        shown(value, cell.looks).strip() or "-" for cell, value in zip(comparison.shown, values, strict=True)
    ]


def _fitting(lines: list[list[str]], varied: int, width: int) -> tuple[list[int], list[int]]:
    """Columns that fit side by side: the varied ones, the mark, then the others in their order."""
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    last = len(widths) - 1
    kept = [*range(varied), last]
    room = width - sum(widths[n] + len(_APART) for n in kept)
    left: list[int] = []
    for number in range(varied, last):
        room -= widths[number] + len(_APART)
        if room < 0:
            left = list(range(number, last))
            break
        kept.append(number)
    return sorted(kept), left


def _aligned(lines: Sequence[Sequence[str]], words: int = 1) -> list[str]:
    """Columns, the first ones of words to the left, figures to the right."""
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    found: list[str] = []
    for line in lines:
        placed = [
            text.ljust(width) if n < words else text.rjust(width)
            for n, (text, width) in enumerate(zip(line, widths, strict=True))
        ]
        found.append(f"  {_APART.join(placed)}".rstrip())
    return found


def _why(comparison: Comparison) -> list[str]:
    return [f"  {reason}" for reason in comparison.reasons] + [
        f"  a fault of sheetcalc, please report it: {bug}" for bug in comparison.bugs
    ]
