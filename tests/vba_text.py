"""VBA as far as tests must read it: logical lines, blocks, procedures, names, texts."""

import re
from typing import NamedTuple

LONGEST_LINE = 1023  # Visual Basic for Applications, "Line too long"
MOST_CONTINUATIONS = 24  # Visual Basic for Applications, "Too many line continuations"
_OPENS = {
    r"(?:(?:Public|Private) )?Function\b": "Function",
    r"(?:(?:Public|Private) )?Sub\b": "Sub",
    r"With\b": "With",
    r"Select Case\b": "Select",
    r"For\b": "Next",
    r"#If\b.*Then$": "#If",
    r"If\b.*\bThen$": "If",
}
_CLOSES = {
    r"End Function$": "Function",
    r"End Sub$": "Sub",
    r"End With$": "With",
    r"End Select$": "Select",
    r"Next\b": "Next",
    r"#End If$": "#If",
    r"End If$": "If",
}


class Procedure(NamedTuple):
    """A function or a sub, with its logical lines, the first and the last included."""

    name: str
    opening: str
    lines: list[str]

    @property
    def declared(self) -> list[str]:
        """Its parameters as declared, such as ``Optional units``."""
        inside = re.fullmatch(r"[^(]*\((.*)\)(?: As \w+)?", self.opening)
        assert inside is not None, self.opening
        return [each.strip() for each in inside[1].split(",") if each.strip()]

    @property
    def parameters(self) -> list[str]:
        """The names of its parameters."""
        return [
            re.sub(r"^((Optional|ParamArray|ByVal|ByRef) )*|\(\)$| As \w+.*$", "", each)
            for each in self.declared
        ]


def logical_lines(text: str, end: str = "\r\n") -> list[str]:
    """Join continued lines, drop comments and blank lines; check what the editor would refuse."""
    lines: list[str] = []
    continued = 0
    for line in text.split(end):
        assert len(line) <= LONGEST_LINE, line[:80]
        assert "\n" not in line
        assert "\r" not in line
        code = without_comment(line)
        if continued:
            lines[-1] += code.strip()
        else:
            lines.append(code.strip())
        if code.endswith(" _"):
            lines[-1] = lines[-1][:-1]
            continued += 1
            assert continued <= MOST_CONTINUATIONS, lines[-1][:80]
        else:
            continued = 0
    assert not continued
    return [line for line in lines if line]


def without_comment(line: str) -> str:
    """Drop a comment; a text may not stay open at the end of a line."""
    kept = re.match(r"""(?:[^"']|"(?:[^"]|"")*")*""", line)
    assert kept is not None
    assert not line[kept.end() :].startswith('"'), f"open text: {line[:80]}"
    return line[: kept.end()].rstrip()


def procedures(lines: list[str]) -> list[Procedure]:
    """Find all procedures; every block must be closed by its own end, none within another procedure."""
    found: list[Procedure] = []
    open_blocks: list[str] = []
    for line in lines:
        closed = next((block for pattern, block in _CLOSES.items() if re.match(pattern, line)), None)
        opened = next((block for pattern, block in _OPENS.items() if re.match(pattern, line)), None)
        if opened in ("Function", "Sub"):
            assert not open_blocks, line
            name = re.search(r"(?:Function|Sub) (\w+)", line)
            assert name is not None
            found.append(Procedure(name[1], line, []))
        if open_blocks or opened in ("Function", "Sub"):
            if found:
                found[-1].lines.append(line)
        else:
            assert opened or closed or re.match(r"(Private|Option|Attribute|#Else)", line), line
        if closed:
            assert open_blocks, line
            assert open_blocks.pop() == closed, line
        if opened:
            open_blocks.append(opened)
    assert not open_blocks
    return found


def names(lines: list[str]) -> set[str]:
    """Return every word outside texts, but for what stands behind a dot or before := ."""
    found: set[str] = set()
    for line in lines:
        code = re.sub(r'"(?:[^"]|"")*"', '""', line)
        code = re.sub(r"\.\w+|\b\w+:=", " ", code)
        found |= set(re.findall(r"[A-Za-z]\w*", code))
    return found


def text_of(expression: str) -> str:
    """Work out a text written as literals and ChrW( ) joined by &.

    Examples
    --------
    >>> text_of('"3/8"" in ft" & ChrW(178)')
    '3/8" in ft²'
    """
    units = b""
    rest = expression
    while rest:
        part = re.match(r'"((?:[^"]|"")*)"|ChrW\((\d+)\)', rest)
        assert part is not None, rest
        units += (
            int(part[2]).to_bytes(2, "little") if part[2] else part[1].replace('""', '"').encode("utf-16-le")
        )
        rest = rest[part.end() :]
        assert not rest or rest.startswith(" & "), rest
        rest = rest.removeprefix(" & ")
    return units.decode("utf-16-le")
