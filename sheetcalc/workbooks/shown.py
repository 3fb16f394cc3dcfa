"""Words for a value in the number format of its cell, for a screen that has no cells."""

import re
from datetime import date, timedelta

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.errors import EntryError
from sheetcalc.trade.lengths import inch_fraction

_EPOCH = date(1899, 12, 30)


def shown(value: Cell, code: str = "General") -> str:
    """Word a cell's value as its number format shows it.

    Parameters
    ----------
    value : Cell
        The value.
    code : str
        Its number format; the simple ones that our workbooks use are followed, any other shows the plain
        number.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> shown(0.25, "0.0%"), shown(4215.5, "#,##0.00"), shown(171.375, "# ??/16"), shown(None)
    ('25.0%', '4,215.50', '171 3/8', '')
    """
    if value is None:
        return ""
    if isinstance(value, CellError):
        return value.value
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, str):
        return " ".join(value.split())
    try:
        return _numbered(value, code.partition(";")[0])
    except (OverflowError, EntryError):  # no date, no length of a job
        return f"{value:.10g}"


def _numbered(value: float, code: str) -> str:
    if "yy" in code.lower():
        return (_EPOCH + timedelta(days=int(value))).isoformat()
    if "/" in code:
        return inch_fraction(value)
    decimals = re.search(r"\.([0#]+)", code)
    places = len(decimals[1]) if decimals else 0
    if "%" in code:
        return f"{100 * value:.{places}f}%"
    if code.startswith(("0", "#")):
        return f"{value:{',' if ',' in code else ''}.{places}f}"
    return f"{value:.10g}"
