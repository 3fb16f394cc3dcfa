"""Cell styles added to a workbook's own: copies of them with another number format."""

import re
from html import escape, unescape

from sheetcalc.xlsx.workbook import Workbook

_FIRST_OWN = 164  # number of the first format that is not built in
_NUMBERED = re.compile(r"\s(?:numFmtId|applyNumberFormat)\s*=\s*[\"'][^\"']*[\"']")
_FORMAT = re.compile(r"<(?:\w+:)?numFmt\b[^>]*>")
_ATTRIBUTE = r"\s{}\s*=\s*[\"']([^\"']*)[\"']"


class Formats:
    """The styles of one workbook, and those asked for in addition.

    Parameters
    ----------
    book : Workbook
        The workbook; in a file without styles every cell keeps the look it has.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._part = book.styles
        self._text = book.package.read(self._part).decode() if self._part else ""
        self._new: dict[tuple[int, str], int] = {}

    def with_code(self, style: int, code: str) -> int:
        """Style like another, with this number format."""
        if (style, code) not in self._new:
            styles = re.search(r"<(\w+:)?cellXfs\b[^>]*>(.*?)</(\w+:)?cellXfs>", self._text, re.DOTALL)
            if styles is None:
                return style
            known = re.findall(
                r"<(?:\w+:)?xf\b[^>]*/>|<(?:\w+:)?xf\b[^>]*>.*?</(?:\w+:)?xf>", styles[2], re.DOTALL
            )
            tag, close, rest = known[min(style, len(known) - 1)].partition(">")
            bare = "/" if tag.endswith("/") else ""
            number = self._number(code, styles[1] or "")
            tag = _NUMBERED.sub("", tag).removesuffix("/").rstrip()
            tag += f' numFmtId="{number}" applyNumberFormat="1"{bare}'
            self._append("cellXfs", tag + close + rest, len(known) + 1)
            self._new[style, code] = len(known)
        return self._new[style, code]

    def save(self) -> None:
        """Put the styles into the workbook."""
        if self._part and self._new:
            self._book.package.change(self._part, self._text.encode())

    def _number(self, code: str, prefix: str) -> int:
        """Find the number of a format, added to the list if it is not there."""
        numbers = [_FIRST_OWN - 1]
        formats = _FORMAT.findall(self._text.partition("cellXfs")[0])
        for element in formats:
            number, known = (
                re.search(_ATTRIBUTE.format(name), element) for name in ("numFmtId", "formatCode")
            )
            if number and known:
                if unescape(known[1]) == code:
                    return int(number[1])
                numbers.append(int(number[1]))
        number = max(numbers) + 1
        element = f'<{prefix}numFmt numFmtId="{number}" formatCode="{escape(code)}"/>'
        if f"</{prefix}numFmts>" in self._text:
            self._append("numFmts", element, len(formats) + 1)
        else:  # it stands first in its part
            at = re.search(r"<(\w+:)?styleSheet\b[^>]*>", self._text)
            assert at is not None  # the workbook was read
            whole = f'<{prefix}numFmts count="1">{element}</{prefix}numFmts>'
            rest = re.sub(r"<(\w+:)?numFmts\b[^>]*/>", "", self._text[at.end() :])  # an empty list
            self._text = self._text[: at.end()] + whole + rest
        return number

    def _append(self, lists: str, element: str, count: int) -> None:
        """Put an element last into a list, which states how many it holds."""

        def grown(found: re.Match[str]) -> str:
            head = re.sub(r"\scount\s*=\s*[\"']\d+[\"']", f' count="{count}"', found[1])
            return f"{head}{found[2]}{element}{found[3]}"

        pattern = rf"(<(?:\w+:)?{lists}\b[^>]*>)(.*?)(</(?:\w+:)?{lists}>)"
        self._text = re.sub(pattern, grown, self._text, count=1, flags=re.DOTALL)
