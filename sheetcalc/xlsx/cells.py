"""The text that a value has in the file, and the value that such a text has (ISO/IEC 29500-1, 18.3.1.4)."""

import math
import re
from datetime import date, datetime, timedelta
from html import escape

from sheetcalc.cells.values import Cell, CellError

LONGEST_TEXT = 32_767

_ERRORS = {error.value: error for error in CellError}
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
NOT_IN_XML = re.compile("[\0-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")  # the carriage return among them
_OUTER_BLANK = re.compile(r"\A\s|\s\Z|\n")


def number_text(value: float) -> str:
    """Shortest text that reads back as the same number: 3, 0.1, 1e-07.

    Examples
    --------
    >>> number_text(3.0), number_text(0.1 + 0.2), number_text(-0.0)
    ('3', '0.30000000000000004', '0')
    """
    return str(int(value)) if value == math.floor(value) and abs(value) < 1e16 else repr(float(value))


def xml_text(text: str) -> str:
    r"""Write text for XML: what XML cannot hold as ``_x0007_``, and an underscore that looks like it too.

    Examples
    --------
    >>> xml_text("a<b"), xml_text("bell \a"), xml_text("_x0007_")
    ('a&lt;b', 'bell _x0007_', '_x005F_x0007_')
    """
    text = _LOOKS_ESCAPED.sub("_x005F_", text)
    return escape(NOT_IN_XML.sub(lambda sign: f"_x{ord(sign[0]):04X}_", text), quote=False)


def in_xml(text: str) -> str:
    r"""Leave out what XML cannot hold, where nobody would undo an escape.

    Examples
    --------
    >>> in_xml("bell \a<")
    'bell <'
    """
    return NOT_IN_XML.sub("", text)


def plain_text(text: str) -> str:
    """Undo the escapes that `xml_text` writes; the XML reader has undone its own."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text


def space(text: str) -> str:
    """Attribute that keeps outer blanks and line ends."""
    return ' xml:space="preserve"' if _OUTER_BLANK.search(text) else ""


def written(value: Cell, prefix: str, *, entry: bool) -> tuple[str, str]:
    """Type attribute and content of a cell element that holds `value`.

    Parameters
    ----------
    value : Cell
        What the cell holds; NaN and the infinities are written as #NUM!.
    prefix : str
        Namespace prefix of the part, with its colon.
    entry : bool
        It stands there as typed; else a formula's answer.
    """
    if value is None:
        return "", ""
    if isinstance(value, str):
        content = xml_text(value)
        if entry:
            return "inlineStr", f"<{prefix}is><{prefix}t{space(value)}>{content}</{prefix}t></{prefix}is>"
        return "str", f"<{prefix}v{space(value)}>{content}</{prefix}v>"
    if isinstance(value, bool):
        kind, text = "b", str(int(value))
    elif isinstance(value, CellError):
        kind, text = "e", value.value
    elif math.isfinite(value):
        kind, text = "", number_text(value)
    else:
        kind, text = "e", CellError.NUM.value
    return kind, f"<{prefix}v>{text}</{prefix}v>"


def read(kind: str, text: str | None, strings: list[str], date_1904: bool) -> Cell:
    """Value of a cell with this type attribute and content.

    Raises
    ------
    ValueError
        The content does not fit the type.
    """
    if kind in ("str", "inlineStr"):
        return plain_text(text or "")
    if text is None or not text.strip():
        return None
    if kind == "s":
        return strings[index(text, len(strings))]
    if kind == "b":
        return text.strip() in ("1", "true")
    if kind == "e":
        return _ERRORS.get(text, CellError.VALUE)  # newer errors, such as #SPILL!
    if kind == "d":
        return serial(datetime.fromisoformat(text), date_1904)
    return float(text)


def index(text: str, size: int) -> int:
    """Place in a list of `size`, as text; ValueError if there is none."""
    place = int(text)
    if not 0 <= place < size:
        raise ValueError(text)
    return place


def serial(day: date, date_1904: bool = False) -> float:
    """Days that a date's cell holds; a spreadsheet counts a 29 February 1900 that never was.

    Examples
    --------
    >>> serial(date(2026, 1, 2)), serial(date(1900, 1, 1)), serial(date(1904, 1, 2), date_1904=True)
    (46024.0, 1.0, 1.0)
    """
    moment = day if isinstance(day, datetime) else datetime(day.year, day.month, day.day)
    days = (moment.replace(tzinfo=None) - datetime(1899, 12, 30)) / timedelta(days=1)
    if date_1904:
        return days - 1462
    return days if days >= 61 else days - 1
