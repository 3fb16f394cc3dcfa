"""Cell styles added to a workbook's own: a bold one, and copies with the fill that marks what is stored."""

import re

from sheetcalc.xlsx.workbook import Workbook

STORED_FILL = "FFF3E2C7"  # sand: dark text on it keeps a contrast over 7

_LIST = r"<((?:\w+:)?)({name})((?:\s[^>]*)?)>(.*?)</\1{name}>"
_COUNT = re.compile(r'\scount="\d+"')


class Looks:
    """The styles of one workbook, and those asked for in addition.

    Parameters
    ----------
    book : Workbook
        The workbook; a file without styles keeps none.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._part = book.styles
        self._text = book.package.read(self._part).decode() if self._part else ""
        self._known: dict[tuple[str, int], int] = {}
        self._styles = self._elements("cellXfs", "xf")
        self._fill = self._font = -1

    def bold(self) -> int:
        """Style of a heading."""
        if not self._styles:
            return 0
        if self._font < 0:
            self._font = self._append(
                "fonts", "font", '<{0}font><{0}b/><{0}sz val="11"/><{0}name val="Arial"/></{0}font>'
            )
        return self._copy("font", self._font, 0)

    def stored(self, style: int) -> int:
        """Style like another, with the fill of what is stored."""
        if not self._styles:
            return style
        if self._fill < 0:
            self._fill = self._append(
                "fills",
                "fill",
                '<{0}fill><{0}patternFill patternType="solid"><{0}fgColor rgb="'
                + STORED_FILL
                + '"/></{0}patternFill></{0}fill>',
            )
        return self._copy("fill", self._fill, style)

    def number(self, style: int) -> int:
        """Style that shows numbers as another does, and is bare else."""
        if not self._styles:
            return 0
        element = self._styles[style] if style < len(self._styles) else self._styles[0]
        code = re.search(r'\snumFmtId="(\d+)"', element)
        if code is None or code[1] == "0":
            return 0
        if ("number", int(code[1])) not in self._known:
            prefix = element[1 : element.index("xf")]
            self._known["number", int(code[1])] = len(self._styles)
            self._styles.append(
                f'<{prefix}xf numFmtId="{code[1]}" fontId="0" fillId="0" borderId="0" xfId="0" '
                'applyNumberFormat="1"/>'
            )
        return self._known["number", int(code[1])]

    def save(self) -> None:
        """Put the styles into the workbook."""
        if self._part and self._known:
            whole = self._found("cellXfs")
            assert whole is not None
            inside = "".join(self._styles)
            self._replace(whole, inside, len(self._styles))
            self._book.package.change(self._part, self._text.encode())

    def _copy(self, what: str, number: int, style: int) -> int:
        if (what, style) not in self._known:
            element = self._styles[style] if style < len(self._styles) else self._styles[0]
            tag, _, rest = element.partition(">")
            bare = tag.endswith("/")
            tag = tag.removesuffix("/")
            name = what.capitalize()
            tag = re.sub(rf'\s({what}Id|apply{name})="[^"]*"', "", tag).rstrip()
            tag += f' {what}Id="{number}" apply{name}="1"'
            self._known[what, style] = len(self._styles)
            self._styles.append(f"{tag}{'/' if bare else ''}>{rest}")
        return self._known[what, style]

    def _append(self, lists: str, name: str, element: str) -> int:
        whole = self._found(lists)
        if whole is None:
            return 0
        present = self._elements(lists, name)
        self._replace(whole, whole[4] + element.format(whole[1]), len(present) + 1)
        return len(present)

    def _found(self, name: str) -> re.Match[str] | None:
        return re.search(_LIST.format(name=name), self._text, re.DOTALL)

    def _elements(self, lists: str, name: str) -> list[str]:
        whole = self._found(lists)
        if whole is None:
            return []
        tag = whole[1] + name
        return re.findall(rf"<{tag}(?:\s[^>]*)?/>|<{tag}(?:\s[^>]*)?(?<!/)>.*?</{tag}>", whole[4], re.DOTALL)

    def _replace(self, whole: re.Match[str], inside: str, count: int) -> None:
        attributes = _COUNT.sub("", whole[3]) + f' count="{count}"'
        name = whole[1] + whole[2]
        text = f"<{name}{attributes}>{inside}</{name}>"
        self._text = self._text[: whole.start()] + text + self._text[whole.end() :]
