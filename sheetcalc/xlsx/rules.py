"""What a sheet lets a person type into its cells, and the sentence for whatever else is there."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import inf, nextafter

from sheetcalc.cells.values import Cell
from sheetcalc.xlsx.cells import number_text
from sheetcalc.xlsx.formulas import Area, area, on_sheet
from sheetcalc.xlsx.package import read_xml

_PART = re.compile(rb"<((?:\w+:)?dataValidations)[\s>].*?</\1\s*>", re.DOTALL)
_MOST_WORDS = 12  # that a sentence lists
_LISTED = "Choose one of the words in the list."

Words = Callable[[Area], Sequence[Cell]]


@dataclass(frozen=True)
class Rule:
    """A rule for entries: numbers between two bounds, or words to choose from.

    Parameters
    ----------
    cells : tuple of Area
        Where it holds.
    sentence : str
        What a program says when something else is typed.
    kind : str
        "whole", "decimal" or "date" with bounds; "list" with words.
    least, most : float
        The bounds.
    words : tuple of str
        The words, if they stand in the rule itself.
    words_at : Area, optional
        Where they stand otherwise.
    """

    cells: tuple[Area, ...]
    sentence: str
    kind: str
    least: float = -inf
    most: float = inf
    words: tuple[str, ...] = ()
    words_at: Area | None = None

    def broken(self, value: Cell, words_at: Words) -> str:
        """Say what belongs into the cell instead of this value; "" if the value does."""
        if value is None or value == "":
            return ""
        if self.kind == "list":
            return self._not_listed(value, words_at)
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            whole = self.kind != "whole" or float(value).is_integer()
            return "" if whole and self.least <= value <= self.most else self.sentence
        return self.sentence

    def _not_listed(self, value: Cell, words_at: Words) -> str:
        listed = self.words or [_text(word) for word in (words_at(self.words_at) if self.words_at else ())]
        known = [word for word in listed if word]
        if not known or _text(value).lower() in {word.lower() for word in known}:
            return ""
        if len(known) <= _MOST_WORDS:
            return f"Choose from {', '.join(known)}"
        close = get_close_matches(_text(value), known, n=3)
        return f"Choose from the list; close to it: {', '.join(close)}" if close else self.sentence or _LISTED


def _text(value: Cell) -> str:
    if isinstance(value, bool):
        return str(value).upper()
    return number_text(value) if isinstance(value, (int, float)) else str(value or "").strip()


def read_rules(sheet: str, data: bytes, where: str) -> list[Rule]:
    """Read the rules of a sheet that a program holds a person to, if they can be told without the program.

    Parameters
    ----------
    sheet : str
        Its name.
    data : bytes
        Its part.
    where : str
        Beginning of a sentence about damage.
    """
    found: list[Rule] = []
    now: dict[str, str] = {}
    bounds = ["", ""]
    inside = -1

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal inside
        name = tag.rpartition(":")[2]
        if name == "dataValidation":
            now.clear()
            now.update(attributes)
            bounds[:] = "", ""
        inside = {"formula1": 0, "formula2": 1}.get(name, -1)

    def end(tag: str) -> None:
        nonlocal inside
        inside = -1
        ended = tag.rpartition(":")[2] == "dataValidation"
        if ended and _enforced(now) and (rule := _rule(sheet, now, bounds)):
            found.append(rule)

    def text(piece: str) -> None:
        if inside >= 0:
            bounds[inside] += piece

    for part in _PART.finditer(data):
        read_xml(part[0], where, start, end, text)
    return found


def _enforced(said: Mapping[str, str]) -> bool:
    """Tell whether a program refuses what breaks this rule: it may only warn, or say nothing at all."""
    shows = said.get("showErrorMessage", "0") in ("1", "true")
    return shows and said.get("errorStyle", "stop") == "stop"


def _rule(sheet: str, said: Mapping[str, str], bounds: Sequence[str]) -> Rule | None:
    kind = said.get("type", "none")
    cells = tuple(found for one in said.get("sqref", "").split() if (found := area(sheet, one)))
    sentence = said.get("error", "")
    first, second = bounds
    if kind == "list":
        if first.startswith('"'):
            return Rule(
                cells, sentence, kind, words=tuple(word.strip() for word in first.strip('"').split(","))
            )
        at = area(sheet, first) if "!" not in first else on_sheet(first)
        return Rule(cells, sentence, kind, words_at=at) if at else None
    if kind not in ("whole", "decimal", "date") or not sentence:
        return None
    try:
        low, high = float(first), float(second or inf)
    except ValueError:  # a bound that has to be computed
        return None
    bounded = {
        "between": (low, high),
        "greaterThanOrEqual": (low, inf),
        "greaterThan": (nextafter(low, inf), inf),
        "lessThanOrEqual": (-inf, low),
        "lessThan": (-inf, nextafter(low, -inf)),
    }.get(said.get("operator", "between"))
    return Rule(cells, sentence, kind, *bounded) if bounded else None
