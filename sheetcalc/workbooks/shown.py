"""Words for a value in the number format of its cell, for a screen that has no cells."""

from datetime import date, timedelta

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.trade.lengths import inch_fraction

_EPOCH = date(1899, 12, 30)


def shown(value: Cell, code: str = "General") -> str:
    """Word a cell's value as its number format shows it.

    Parameters
    ----------
    value : Cell
        The value.
    code : str
        Its number format; the simple ones that our workbooks use are followed, any other shows the plain number.

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
    code = code.partition(";")[0]
    if "yy" in code.lower():
        return (_EPOCH + timedelta(days=int(value))).isoformat()
    if "/" in code:
        return inch_fraction(value)
    places = len(code.partition(".")[2].rstrip('%_) "')) if "." in code else 0
    if "%" in code:
        return f"{100 * value:.{places}f}%"
    if code.startswith(("0", "#")):
        return f"{value:{',' if ',' in code else ''}.{places}f}"
    return f"{value:.10g}"
