"""The copies of cells' values that charts keep, for whoever shows a chart without reading its cells."""

import re
from collections.abc import Callable
from html import escape, unescape

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.xlsx.cells import number_text
from sheetcalc.xlsx.formulas import Area, on_sheet

Values = Callable[[Area], list[Cell] | None]
"""Gives the values of some cells, row by row; None for cells that are not there."""

CHART = re.compile(r"(?:^|/)charts/chart[^/]*\.xml", re.IGNORECASE)

_COPY = re.compile(
    rb"<(?P<prefix>(?:\w+:)?)(?P<kind>num|str)Ref>\s*<(?P=prefix)f>(?P<cells>[^<]*)</(?P=prefix)f>"
    rb"(?P<copy>\s*<(?P=prefix)(?P=kind)Cache>.*?</(?P=prefix)(?P=kind)Cache>)?",
    re.DOTALL,
)
_FORMAT = re.compile(rb"<(?:\w+:)?formatCode>[^<]*</(?:\w+:)?formatCode>")


def refreshed(data: bytes, values: Values) -> bytes:
    """Return a chart's part with its copies as the cells are now.

    Parameters
    ----------
    data : bytes
        The part.
    values : callable
        Gives the values of some cells; copies of cells that it does not know stay, and so do those whose
        cells are named in another encoding than UTF-8.
    """

    def copied(found: re.Match[bytes]) -> bytes:
        try:
            area = on_sheet(unescape(found["cells"].decode()))
        except UnicodeDecodeError:  # a part in another encoding
            return found[0]
        cells = values(area) if area else None
        if cells is None:
            return found[0]
        prefix, kind = found["prefix"].decode(), found["kind"].decode()
        code = _FORMAT.search(found["copy"] or b"")
        points = "".join(
            f'<{prefix}pt idx="{place}"><{prefix}v>{text}</{prefix}v></{prefix}pt>'
            for place, cell in enumerate(cells)
            if (text := _text(cell, kind)) is not None
        )
        copy = (
            f"<{prefix}{kind}Cache>{code[0].decode() if code else ''}"
            f'<{prefix}ptCount val="{len(cells)}"/>{points}</{prefix}{kind}Cache>'
        )
        return found[0].removesuffix(found["copy"] or b"") + copy.encode()

    return _COPY.sub(copied, data)


def _text(cell: Cell, kind: str) -> str | None:
    """Word a value for a copy; None for a cell that has none of this kind."""
    if isinstance(cell, CellError):
        return cell.value
    if isinstance(cell, str):
        return escape(cell, quote=False) if kind == "str" and cell else None
    return None if cell is None else number_text(float(cell))
