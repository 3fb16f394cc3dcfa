"""The cells that a formula uses, as far as its text tells."""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from sheetcalc.xlsx.formulas import LAST_COLUMN, LAST_ROW, Area, area, column_number

# Thousands of formulas are asked, so one pass has to do; `xlsx.formulas.tokens` takes ten times as long.
PIECE = re.compile(
    r"""
    "(?:[^"]|"")*"
  | \#[A-Z/0!?]+
  | (?:(?:'(?P<quoted>(?:[^']|'')+)'|(?P<sheet>[^\W\d][\w.]*))!)?
    (?: (?P<cells>\$?[A-Za-z]{1,3}\$?\d{1,7}(?::\$?[A-Za-z]{1,3}\$?\d{1,7})?)
      | \$?(?P<left>[A-Za-z]{1,3}):\$?(?P<right>[A-Za-z]{1,3})
      | \$?(?P<top>\d{1,7}):\$?(?P<bottom>\d{1,7})
    )(?![\w.(!$])
  | (?P<name>[^\W\d][\w.?\\]*|\\[\w.?\\]*)(?P<called>\(?)
  | [\d.]+(?:[eE][+-]?\d+)?
    """,
    re.VERBOSE,
)
_area = lru_cache(maxsize=50_000)(area)  # most cells are used by several formulas
_CONSTANTS = frozenset(["TRUE", "FALSE"])


def references(text: str, sheet: str, names: Mapping[str, Sequence[Area] | None]) -> list[Area] | None:
    r"""List the cells that a formula uses; None if its text does not tell.

    Parameters
    ----------
    text : str
        The formula, without its equals sign.
    sheet : str
        The sheet that it stands on.
    names : mapping
        Defined names that it may use, in upper case, and the cells that each uses; None: no one can tell.

    Examples
    --------
    >>> [str(one) for one in references("SUM(B$2:B9)+'Order form'!$C$4&\"A1\"", "Job", {})]
    ['Job!B2:B9', "'Order form'!C4"]
    >>> references("gap*2", "Job", {"GAP": None}) is None
    True
    """
    found: list[Area] = []
    for piece in PIECE.finditer(text):
        if piece["name"]:
            if not piece["called"] and piece["name"].upper() not in _CONSTANTS:
                used = names.get(piece["name"].upper())
                if used is None:
                    return None
                found += used
        elif cells := meant(piece, sheet):
            found.append(cells)
    return found


def meant(piece: re.Match[str], sheet: str) -> Area | None:
    """Cells that a piece of a formula on a sheet means; None if it is no reference."""
    title = piece["quoted"].replace("''", "'") if piece["quoted"] else piece["sheet"] or sheet
    if piece["cells"]:
        return _area(title, piece["cells"])
    if piece["left"]:
        left, right = sorted((column_number(piece["left"]), column_number(piece["right"])))
        return Area(title, 1, left, LAST_ROW, right)
    if piece["top"]:
        top, bottom = sorted((int(piece["top"]), int(piece["bottom"])))
        return Area(title, top, 1, bottom, LAST_COLUMN)
    return None
