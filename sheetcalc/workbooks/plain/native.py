"""Calls rewritten as native formulas, in place where short, else over a row of helper cells.

What is not known until all calls are read, the address of a helper cell, stands in the text as a marker such
as ``⟦12.answer⟧``: row 12 of the helpers, its column "answer".
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from sheetcalc import __version__
from sheetcalc.cells.plan import NEEDED, plan_of
from sheetcalc.cells.registry import REGISTRY, CellFunction, Parameter
from sheetcalc.cells.units import from_us, inches, into_us
from sheetcalc.errors import EntryError
from sheetcalc.kinds import COURSES, SYSTEMS, TEXT, Kind, Takes
from sheetcalc.trade.lengths import MM_PER_INCH, parse_length
from sheetcalc.workbooks.plain.calls import Call, Piece, on_own_sheet, pieces, several_values, sheet_name
from sheetcalc.workbooks.plain.forms import FORMS, REFUSE_NUMBER, REFUSE_TEXT, SHOWN, Form
from sheetcalc.xlsx.cells import number_text
from sheetcalc.xlsx.formulas import Area, address, on_sheet
from sheetcalc.xlsx.workbook import Workbook

LONGEST = 200
"""Characters that a formula may have before it is taken apart into helper cells."""

_ROOM_INSIDE = 20
"""Characters that a call in an argument may grow by: the argument may be used several times."""

READINGS = "READINGS"
"""Helper rows of readings: how many, narrowest, widest, mean."""

_PLACE = re.compile(r"\{([a-z_0-9]+(?:\.[a-z]+)?)\}")
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)(?:E[+-]?\d+)?", re.IGNORECASE)
_TEXT = re.compile(r'"(?:[^"]|"")*"')
_REFERENCE = re.compile(r"(?:(?:'(?:[^']|'')+'|[^\W\d][\w.]*)!)?\$?[A-Za-z]{1,3}\$?\d{1,7}")
_MARKER = re.compile(r"⟦(\d+)\.([a-z_0-9]+)⟧")
_LINE = re.compile(r"INDEX\(((?:(?:'(?:[^']|'')+'|[^\W\d][\w.]*)!)?\$?[A-Z]+\$?\d+:\$?[A-Z]+\$?\d+),(.+)\)")


class NotNative(Exception):  # noqa: N818  (it is a reason, and no failure)
    """Why a formula keeps its stored value."""


@dataclass(eq=False)
class Row:
    """One row of helper cells.

    Parameters
    ----------
    table : str
        Function whose rows it stands with.
    used_at : str
        Cell that asked for it first.
    cells : dict
        Formulas by column, without the equals sign; markers stand for other helper cells.
    """

    table: str
    used_at: str
    cells: dict[str, str] = field(default_factory=dict[str, str])


@dataclass(frozen=True)
class Line:
    """The readings of one ceiling, or a list: what it says in the formula, and its cells."""

    text: str
    cells: tuple[str, ...]


class Natives:
    """Rewrites the calls of one workbook.

    Parameters
    ----------
    book : Workbook
        The workbook.

    Attributes
    ----------
    rows : list of Row
        The rows of helper cells asked for.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self.rows: list[Row] = []
        self._known: dict[tuple[str, ...], int] = {}
        self._at = ""  # where the formula stands
        self._sheet = ""
        self._room = 0

    def rewrite(self, formula: str, sheet: str, cell: str) -> str:
        """Rewrite an ordinary formula.

        Raises
        ------
        NotNative
            A call in it has no native form, or takes what no native form takes.
        """
        parts = self._begin(formula, sheet, cell)
        before = len(self.rows), dict(self._known)
        try:
            return self._text(parts)
        except NotNative:
            del self.rows[before[0] :]
            self._known = before[1]
            raise

    def rewrite_array(self, formula: str, sheet: str, cells: Area) -> dict[tuple[int, int], str]:
        """Rewrite an array formula that fills cells with a table, as one formula for each cell.

        Raises
        ------
        NotNative
            It is anything else.
        """
        parts = self._begin(formula, sheet, address(cells.top, cells.left))
        self._room = 0  # one call for all cells
        found = [at for at, part in enumerate(parts) if isinstance(part, Call)]
        if len(found) != 1:
            raise NotNative("it fills several cells with more than a table")
        before, call, after = parts[: found[0]], parts[found[0]], parts[found[0] + 1 :]
        assert isinstance(call, Call)
        function = REGISTRY.get(call.name)
        if function is None or not function.columns:
            raise NotNative("it fills several cells at once")
        bare = all(isinstance(part, str) for part in (*before, *after))
        ends = "".join(str(part) for part in after)
        starts = "".join(str(part) for part in before)
        if not bare or not re.fullmatch(r'(?:,""|\))*', ends) or not re.fullmatch(r"(?:IF\(.*,)?", starts):
            raise NotNative("it works on with the table it fills")
        kept = len(self.rows), dict(self._known)
        try:
            table = self._table(call, cells.bottom - cells.top + 1)
        except NotNative:
            del self.rows[kept[0] :]
            self._known = kept[1]
            raise
        answer: dict[tuple[int, int], str] = {}
        for high, line in enumerate(cells.rows()):
            for wide, place in enumerate(line):
                inside = high < len(table) and wide < len(table[high])
                answer[place] = starts + (table[high][wide] if inside else "NA()") + ends
        return answer

    def _begin(self, formula: str, sheet: str, cell: str) -> list[Piece]:
        self._sheet = sheet
        self._at = f"{sheet_name(sheet)}!{cell}"
        self._room = LONGEST - len(formula)
        return pieces(formula, _KNOWN)

    # --- Calls ---

    def _text(self, parts: Sequence[Piece]) -> str:
        return "".join(part if isinstance(part, str) else self._call(part) for part in parts)

    def _call(self, call: Call) -> str:
        """Native formula for one call, or the helper cell that answers it."""
        form = FORMS[call.name]
        if call.name == "ENTRY_PROBLEM":
            return self._entry_problem(call)
        if call.name == "FUNCTION_VERSION":
            return f'"{__version__}"'
        function = _function(call.name)
        if not isinstance(form, Form):
            raise NotNative(f"{call.name} needs more than cells can do")
        if function.columns:
            raise NotNative(f"{call.name} is a table")
        values, system = self._arguments(call, function, form)
        lists = [one for one in function.inputs if one.takes is Takes.LIST and not one.optional]
        if any(one.name not in values for one in lists):
            return REFUSE_TEXT
        short = None if form.on else self._inline(call.name, function, form, values, system)
        if short is not None and self._sheet != HELPERS:
            own = re.escape(f"{sheet_name(self._sheet)}!")
            short = re.sub(rf"(?<![\w.'!]){own}", "", short)
        if short is not None and _length(short) - len(call.text) <= self._room:
            self._room -= _length(short) - len(call.text)
            return short
        row = self._row(call.name, function, form, values, system)
        return f"⟦{row}.answer⟧"

    def _entry_problem(self, call: Call) -> str:
        name = "".join(part for part in call.arguments[0] if isinstance(part, str)).strip('"').upper()
        if name not in FORMS or name in ("ENTRY_PROBLEM", "FUNCTION_VERSION"):
            raise NotNative("ENTRY_PROBLEM asks for a function that has no native form")
        inner = self._call(Call(name, call.arguments[1:], call.text))
        return f'IF(ISERROR({inner}),"an entry of {name} is missing or outside its range","")'

    def _arguments(
        self, call: Call, function: CellFunction, form: Form
    ) -> tuple[dict[str, "str | Line"], str]:
        """Text of each argument given, in the names of the function; and the unit system."""
        room, self._room = self._room, min(self._room, _ROOM_INSIDE)
        texts = [self._text(argument).strip() for argument in call.arguments]
        self._room = room
        while texts and texts[-1] in ("", '""'):
            texts.pop()
        system = "us"
        if texts and function.has_units and texts[-1].strip('"').strip().lower() in SYSTEMS:
            system = texts.pop().strip('"').strip().lower()
        taken = [parameter for parameter in function.parameters if parameter.name != "units"]
        if len(texts) > len(taken):
            raise NotNative("it gives more arguments than there are")
        values: dict[str, str | Line] = {}
        for parameter, text in zip(taken, texts, strict=False):
            if text in ("", '""'):
                continue
            if parameter.kind.typed and _TEXT.fullmatch(text):
                length = length_of(text[1:-1].replace('""', '"'), system)
                text = REFUSE_TEXT if length is None else number_text(length)
            text = on_own_sheet(text, self._sheet)
            per_ceiling = parameter.takes is Takes.PER_CEILING and self._area(text) is not None
            if per_ceiling or parameter.takes in (Takes.READINGS, Takes.CEILINGS, Takes.LIST):
                line = self._line(text)
                if parameter.takes is Takes.LIST and line.cells == (text,) and not _REFERENCE.fullmatch(text):
                    raise NotNative("its list is no range")  # only in a range can be counted
                values[parameter.name] = line
            else:
                values[parameter.name] = self._one(text)
        return values, system

    def _one(self, text: str) -> str:
        whole = self._area(text)
        if whole is not None:
            if whole.size > 1:
                raise NotNative("a range stands where one value belongs")
            return f"{sheet_name(whole.sheet)}!{address(whole.top, whole.left)}"
        if several_values(text):
            raise NotNative("a range stands where one value belongs")
        return text

    def _area(self, text: str) -> Area | None:
        plain = on_sheet(text)
        if plain is None and re.fullmatch(r"[^\W\d][\w.]*", text):
            plain = self._book.area(text, self._sheet)
        return plain

    def _line(self, text: str) -> Line:
        """Find the cells of readings or of a list."""
        whole = self._area(text)
        if whole is not None:
            sheet = sheet_name(whole.sheet)
            cells = tuple(f"{sheet}!{address(*at)}" for row in whole.rows() for at in row)
            one = f"{sheet}!{address(whole.top, whole.left)}"
            last = "" if whole.size == 1 else f":{address(whole.bottom, whole.right)}"
            return Line(one + last, cells)
        found = _LINE.fullmatch(text)
        block = on_sheet(found[1]) if found else None
        if found and block is not None and not several_values(found[2].replace(",", ";")):
            high, wide = block.bottom - block.top + 1, block.right - block.left + 1
            row, _, column = found[2].rpartition(",")
            if column == "0" and row:
                return Line(text, tuple(f"INDEX({found[1]},{row},{at + 1})" for at in range(wide)))
            if row == "0":
                return Line(text, tuple(f"INDEX({found[1]},{at + 1},{column})" for at in range(high)))
        if several_values(text):
            raise NotNative("its readings or its list are worked out in the call")
        return Line(text, (text,))

    # --- Forms filled in ---

    def _inline(
        self, name: str, function: CellFunction, form: Form, values: Mapping[str, "str | Line"], system: str
    ) -> str | None:
        """Form in one piece; None where it must have cells of its own."""
        if (
            system != "us"
            or form.each
            or any("(" in step and _calls_ours(step) for step in form.steps.values())
        ):
            return None
        if _calls_ours(form.answer):
            return None
        given = self._given(name, function, form, values, system, inline=True)
        filled: dict[str, str] = {}
        for key, text in given.items():
            filled[key] = text if _atomic(text) else f"({text})"
        for key, step in form.steps.items():
            filled[key] = f"({_fill(step, filled)})"
            if _length(filled[key]) > LONGEST:
                return None
        unread, rules = self._guards(function, form, values, filled)
        answer = _fill(form.answer, filled)
        return _guarded(unread, rules, answer, filled, function)

    def _row(
        self, name: str, function: CellFunction, form: Form, values: Mapping[str, "str | Line"], system: str
    ) -> int:
        """Row of helper cells for a call; the same one for the same call."""
        key = (
            name,
            system,
            *(f"{one}={getattr(text, 'text', text)}" for one, text in sorted(values.items())),
        )
        if key in self._known:
            return self._known[key]
        columns: dict[str, str] = {}
        filled: dict[str, str] = {}
        mine = values
        if form.on:
            base = _form(form.on)
            shared = _function(form.on)
            names = {parameter.name for parameter in shared.inputs}
            theirs = {one: text for one, text in values.items() if one in names}
            on = self._row(form.on, shared, base, theirs, system)
            for one in (*self.rows[on].cells,):
                filled[one] = f"⟦{on}.{one}⟧"
            filled["on_fits"] = f"⟦{on}.fits⟧"
            filled |= self._readings_of(shared, values, system)
            mine = {one: text for one, text in values.items() if one not in names}
        number = len(self.rows)
        row = Row(name, self._at, columns)
        self.rows.append(row)
        self._known[key] = number
        theirs_too = set(filled)
        given = self._given(name, function, form, mine, system, row=number, skip=theirs_too)
        for one, text in given.items():
            if "." in one or isinstance(values.get(one), Line):  # readings and lists stay where they are
                filled[one] = text
                if "." not in one:
                    columns[f"{one}_filled"] = f"COUNT({text})"
                    filled[f"{one}_filled"] = f"⟦{number}.{one}_filled⟧"
                continue
            columns[one] = text
            filled[one] = f"⟦{number}.{one}⟧"
        columns["fits"] = ""  # in its place; filled once the steps have theirs
        for one in form.steps:
            filled[one] = f"⟦{number}.{one}⟧"
        unread, rules = self._guards(function, form, mine, filled, skip=theirs_too)
        own = {one: text for one, text in filled.items() if one in given}
        columns["fits"] = _guarded(unread, rules, "1", own, function)
        if _length(columns["fits"]) > LONGEST:
            columns["entries_read"] = _guarded(unread, [], "1", own, function)
            columns["bounds_met"] = _guarded([], rules[1:2], "1", own, function)
            columns["rules_met"] = _guarded([], rules[2:], "1", own, function)
            met = f"IF(⟦{number}.bounds_met⟧,⟦{number}.rules_met⟧)"
            columns["fits"] = f"IF(⟦{number}.entries_read⟧,{_guarded([], rules[:1], met, own, function)})"
        for one, step in form.steps.items():
            columns[one] = self._own(_fill(step, filled), system)
        if form.answer:
            filled["answer"] = f"⟦{number}.answer⟧"
            columns["answer"] = f"IF(⟦{number}.fits⟧,{self._answer(function, form, filled, system)})"
        return number

    def _answer(self, function: CellFunction, form: Form, filled: Mapping[str, str], system: str) -> str:
        text = self._own(_fill(form.answer, filled), system)
        return text if function.answer is None else _from_us(text, function.answer, system)

    def _own(self, text: str, system: str) -> str:
        """Rewrite calls of ours that a form holds."""
        text = text.replace(SHOWN, "MILLIMETRES_SHOWN(" if system == "metric" else "INCH_FRACTION(")
        if not _calls_ours(text):
            return text
        sheet, room = self._sheet, self._room
        self._sheet, self._room = HELPERS, 0
        try:
            return self._text(pieces(text, _KNOWN))
        finally:
            self._sheet, self._room = sheet, room

    def _readings_of(
        self, function: CellFunction, values: Mapping[str, "str | Line"], system: str
    ) -> dict[str, str]:
        """Find what the readings in a call come to."""
        found: dict[str, str] = {}
        for parameter in function.inputs:
            line = values.get(parameter.name)
            if parameter.takes is Takes.READINGS and isinstance(line, Line):
                number = self._readings(line, system)
                for part in ("fits", "count", "min", "max", "mean"):
                    found[f"{parameter.name}.{part}"] = f"⟦{number}.{part}⟧"
                alone = len(line.cells) == 1 and not _REFERENCE.fullmatch(line.cells[0])
                metric = system == "metric" and not alone
                found[f"{parameter.name}.range"] = f"⟦{number}.min⟧" if alone else line.text
                found[f"{parameter.name}.times"] = "*25.4" if metric else ""
                found[f"{parameter.name}.over"] = "/25.4" if metric else ""
        return found

    def _readings(self, line: Line, system: str) -> int:
        key = (READINGS, system, line.text)
        if key in self._known:
            return self._known[key]
        number = len(self.rows)
        row = Row(READINGS, self._at)
        self.rows.append(row)
        self._known[key] = number
        mine = f"⟦{number}.%⟧"
        text = line.text
        counted = f"COUNT({text})"
        if _REFERENCE.fullmatch(line.cells[0]) or len(line.cells) > 1:
            size = str(len(line.cells))
            counted = f"IF(COUNT({text})+COUNTBLANK({text})<{size},0,COUNT({text}))"
        over = "/25.4" if system == "metric" else ""
        least = mine.replace("%", "min")
        row.cells = {
            "count": counted,
            "min": f"MIN({text}){over}",
            "max": f"MAX({text}){over}",
            "mean": f"SUM({text}){over}/MAX(1,{mine.replace('%', 'count')})",
            "fits": f"IF(ISERROR({least}),{least},IF({mine.replace('%', 'count')}=0,{REFUSE_TEXT},"
            f"IF({least}>1E-9,1,{REFUSE_NUMBER})))",
        }
        return number

    def _given(
        self,
        name: str,
        function: CellFunction,
        form: Form,
        values: Mapping[str, "str | Line"],
        system: str,
        *,
        inline: bool = False,
        row: int = -1,
        skip: set[str] | None = None,
    ) -> dict[str, str]:
        """Write every argument as a formula in us units, with what counts where it is not given."""
        found: dict[str, str] = {}
        plan = plan_of(function, system) if name in REGISTRY else None
        defaults = dict(zip((p.name for p in function.inputs), plan.defaults, strict=False)) if plan else {}
        filled: dict[str, str] = {}
        for parameter in function.inputs:
            one = parameter.name
            if skip and (one in skip or f"{one}.fits" in skip):
                continue
            value = values.get(one)
            if isinstance(value, Line):
                if parameter.takes is Takes.READINGS:
                    found |= self._readings_of(function, {one: value}, system)
                else:
                    found[one] = value.text
                    if system == "metric" and parameter.kind.units:
                        found |= {"length.times": "*25.4", "length.over": "/25.4"}
                continue
            if parameter.takes is Takes.READINGS:
                found[f"{one}.fits"] = REFUSE_TEXT
                found |= {f"{one}.{part}": '""' for part in ("count", "min", "max", "mean", "range")}
                found |= {f"{one}.times": "", f"{one}.over": ""}
                continue
            default = defaults.get(one, NEEDED)
            other = '""' if default is NEEDED or default is None else _literal(default)
            if one in form.defaults:
                known = filled if inline else {key: f"⟦{row}.{key}⟧" for key in found}
                other = _fill(form.defaults[one], known)
            if value is None:
                found[one] = other
            else:
                found[one] = _entry(value, parameter, other, system, inline=inline)
            filled[one] = found[one] if _atomic(found[one]) else f"({found[one]})"
        found.setdefault("length.times", "")
        found.setdefault("length.over", "")
        return found

    def _guards(
        self,
        function: CellFunction,
        form: Form,
        values: Mapping[str, "str | Line"],
        filled: Mapping[str, str],
        skip: set[str] | None = None,
    ) -> tuple[list[str], list[list[str]]]:
        """Say what must not be true, or the answer is #VALUE!; and what must be, or it is #NUM!."""
        unread: list[str] = []
        numbers: list[str] = []
        first: list[str] = []
        if "on_fits" in filled:
            first.append(filled["on_fits"])
        for parameter in function.inputs:
            one = parameter.name
            if skip and one in skip:
                continue
            if parameter.takes is Takes.READINGS and "on_fits" in filled:
                continue  # which that row has looked at
            if parameter.takes is Takes.READINGS:
                first.append(filled[f"{one}.fits"])
                continue
            if parameter.takes is Takes.LIST:
                line = values.get(one)
                if isinstance(line, Line):
                    count = filled.get(f"{one}_filled", f"COUNT({line.text})")
                    unread += [f"{count}=0", f"{count}+COUNTBLANK({line.text})<{len(line.cells)}"]
                else:
                    unread.append("TRUE")
                continue
            if one not in filled:
                continue
            text = filled[one]
            if parameter.choices:
                options = ",".join(f'"{choice}"' for choice in parameter.choices)
                if not _TEXT.fullmatch(text) or text.strip('"') not in parameter.choices:
                    unread.append(f"ISERROR(MATCH({text},{{{options}}},0))")
            elif parameter.kind in (TEXT, COURSES):
                unread.append(f'{text}=""')
                if parameter.kind is TEXT and function.name in REGISTRY and not _TEXT.fullmatch(text):
                    unread.append(f"ISNUMBER({text})")
            elif parameter.optional and parameter.default is None and one not in form.defaults:
                if text != '""':
                    unread.append(f'COUNT({text})<IF({text}="",0,1)')
            elif not _NUMBER.fullmatch(text):
                numbers.append(text)
        if numbers:
            unread.insert(0, f"COUNT({','.join(numbers)})<{len(numbers)}")
        simple = self._bounds(form, filled)
        steps: list[str] = []
        if part := _unproven(form.whole, filled, lambda number: number == int(number)):
            off = _extreme("MAX", [f"ABS({text}-ROUND({text},0))" for text in part])
            steps.append(f"{off}<=1E-9*MAX(1,{','.join(part)})")
        steps += [_fill(rule, filled) for rule in form.rules]
        return unread, [first, simple, steps]

    def _bounds(self, form: Form, filled: Mapping[str, str]) -> list[str]:
        found: list[str] = []
        over = _unproven(form.above, filled, lambda number: number > 1e-9)
        not_under = [
            *_unproven(f"{form.at_least} {form.share} {form.whole}", filled, lambda number: number >= 0)
        ]
        not_under = [text for text in dict.fromkeys(not_under) if text not in over]
        under_one = _unproven(form.share, filled, lambda number: 0 <= number < 1)
        if over:
            found.append(f"{_extreme('MIN', over)}>1E-9")
        if not_under:
            found.append(f"{_extreme('MIN', not_under)}>=-1E-9")
        if under_one:
            found.append(f"{_extreme('MAX', under_one)}<1-1E-9")
        return found

    # --- Tables ---

    def _table(self, call: Call, rows: int) -> list[list[str]]:
        """Cells of a table, row by row, as text that stands in a formula."""
        form = FORMS[call.name]
        function = _function(call.name)
        if not isinstance(form, Form):
            raise NotNative(f"{call.name} needs more than cells can do")
        values, system = self._arguments(call, function, form)
        padded = values.pop("rows", None)
        if call.name == "LAYOUT_TABLE":
            return self._layout_table(form, values, system, rows)
        if form.on:
            shared = _function(form.on)
            on = self._row(form.on, shared, _form(form.on), values, system)
        else:
            on = self._row(call.name, function, form, values, system)
        filled = {one: f"⟦{on}.{one}⟧" for one in self.rows[on].cells}
        line: Line | None = None
        for one, value in values.items():
            if isinstance(value, Line):
                line = value
                filled[one] = value.text
        pad = '""' if padded is not None else "NA()"
        allowed = padded if isinstance(padded, str) else ""
        count = rows if line is None or not function_per_reading(function) else len(line.cells)
        found: list[list[str]] = []
        before = 0
        for n in range(1, count + 1):
            number = len(self.rows)
            row = Row(f"{call.name} rows", self._at)
            self.rows.append(row)
            mine = {**filled, "n": str(n), "pad": pad}
            if line is not None and function_per_reading(function):
                cell = line.cells[n - 1]
                mine["reading"] = f'IF({cell}="","",{_into_us(cell, _parameter_kind(function), system)})'
            if n > 1:
                mine |= {f"before.{one}": f"⟦{before}.{one}⟧" for one in form.each}
            else:
                mine |= {f"before.{one}": "0" for one in form.each}
            for one, step in form.each.items():
                text = _fill(step, mine)
                column = next((column for column in function.columns if column.name == one), None)
                fits = f"⟦{on}.fits⟧"
                if one == "reading":
                    row.cells[one] = text
                elif allowed:
                    row.cells[one] = f"IF({fits},IF({filled['answer']}>{allowed},{REFUSE_NUMBER},{text}))"
                else:
                    row.cells[one] = f"IF({fits},{text})"
                mine[one] = f"⟦{number}.{one}⟧"
                if column and system == "metric" and column.kind.units:
                    row.cells[f"{one}_shown"] = (
                        f'IF({mine[one]}="","",{_from_us(mine[one], column.kind, system)})'
                    )
            before = number
            shown = [column.name for column in function.columns]
            cells: list[str] = []
            for one in shown:
                wide = f"{one}_shown" if f"{one}_shown" in row.cells else one
                cells.append(f"⟦{number}.{wide}⟧")
            found.append(cells)
        return found

    def _layout_table(
        self, form: Form, values: Mapping[str, "str | Line"], system: str, rows: int
    ) -> list[list[str]]:
        found: list[list[str]] = []
        blocks = [value for one, value in values.items() if one in ("across", "along")]
        across, along = self._by_row(values.get("across")), self._by_row(values.get("along"))
        lines = [block for block in blocks if isinstance(block, Line)]
        none_at_all = "+".join(f"COUNTBLANK({line.text})" for line in lines)
        none_at_all += f"={sum(len(line.cells) for line in lines)}"
        if len(across) != len(along):
            raise NotNative("across and along have not the same number of rows")
        for n, (wide, long) in enumerate(zip(across, along, strict=True)):
            if n == rows:
                break
            mine: dict[str, str | Line] = {}
            for one, value in values.items():
                if isinstance(value, str):
                    mine[one] = value
                elif one not in ("across", "along"):
                    mine[one] = value.cells[n if len(value.cells) > 1 else 0]
            courses = _function("COURSE_COUNT")
            cut = _form("CUT_LENGTH")
            lay = self._row("COURSE_COUNT", courses, _form("COURSE_COUNT"), {**mine, "across": wide}, system)
            ends = {one: mine[one] for one in ("gap", "finish_gap") if one in mine}
            length = self._row("CUT_LENGTH", _function("CUT_LENGTH"), cut, {**ends, "along": long}, system)
            kind = _parameter_kind(courses)
            row = Row("LAYOUT_TABLE rows", self._at)
            number = len(self.rows)
            self.rows.append(row)
            blank = f"COUNTBLANK({wide.text})+COUNTBLANK({long.text})={len(wide.cells) + len(long.cells)}"
            row.cells = {
                "blank": f"IF({none_at_all},{REFUSE_TEXT},IF({blank},1,0))",
                **{
                    one: f'IF(⟦{number}.blank⟧=1,"",IF(⟦{lay}.fits⟧+⟦{length}.fits⟧,{text}))'
                    for one, text in {
                        "courses": f"⟦{lay}.courses⟧",
                        "first": _from_us(f"⟦{lay}.first⟧", kind, system),
                        "last": _from_us(f"⟦{lay}.last⟧", kind, system),
                        "cut_length": f"⟦{length}.answer⟧",
                    }.items()
                },
            }
            found.append([f"⟦{number}.{one}⟧" for one in form.each])
        while len(found) < rows:
            found.append(['""'] * len(form.each))
        return found

    def _by_row(self, value: "str | Line | None") -> list[Line]:
        block = self._area(value.text) if isinstance(value, Line) else None
        if block is None:
            raise NotNative("its readings are no plain range")
        sheet = sheet_name(block.sheet)
        return [
            Line(
                f"{sheet}!{address(*row[0])}" + (f":{address(*row[-1])}" if len(row) > 1 else ""),
                tuple(f"{sheet}!{address(*at)}" for at in row),
            )
            for row in block.rows()
        ]


HELPERS = "Helpers"
"""The sheet of the helper cells."""


def length_of(text: str, system: str) -> float | None:
    """Read a length typed as text, in the unit that a call takes its numbers for; None if it is none."""
    try:
        length = inches(parse_length(text), system)
    except EntryError:
        return None
    return float(f"{length * float(MM_PER_INCH):.13g}") if system == "metric" else length


def function_per_reading(function: CellFunction) -> bool:
    """Tell whether a table has one row for each reading."""
    return function.rows_at is None


@cache
def _function(name: str) -> CellFunction:
    """Find a cell function, or make one of a form that is none: its arguments are plain numbers or texts."""
    if name in REGISTRY:
        return REGISTRY[name]
    form = _form(name)
    kind = TEXT if name == "NUMBER_IN_TEXT" else Kind("number")
    inputs = tuple(Parameter(one, kind) for one in form.arguments)
    return CellFunction(
        name=name,
        stage="",
        python=str,
        inputs=inputs,
        set_by_units=(),
        words_lengths=False,
        answer=TEXT,
        columns=(),
        rows_at=None,
    )


_KNOWN = FORMS


def _form(name: str) -> Form:
    form = FORMS[name]
    assert isinstance(form, Form)
    return form


def _parameter_kind(function: CellFunction) -> Kind:
    return next(parameter.kind for parameter in function.inputs if parameter.takes is Takes.READINGS)


def _fill(template: str, filled: Mapping[str, str]) -> str:
    return _PLACE.sub(lambda found: filled[found[1]] if found[1] in filled else found[0], template)


@cache
def _calls_ours(text: str) -> bool:
    return any(isinstance(piece, Call) for piece in pieces(text, _KNOWN))


def _atomic(text: str) -> bool:
    return bool(
        _REFERENCE.fullmatch(text)
        or _NUMBER.fullmatch(text)
        or _TEXT.fullmatch(text)
        or _MARKER.fullmatch(text)
    ) or _one_call(text)


def _one_call(text: str) -> bool:
    # One native function around everything, as in MAX(A1,2).
    if not re.match(r"[A-Z]+\(", text) or not text.endswith(")"):
        return False
    depth = 0
    for at, sign in enumerate(text):
        depth += (sign == "(") - (sign == ")")
        if depth == 0 and sign == ")":
            return at == len(text) - 1
    return False


def _literal(value: object) -> str:
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    assert isinstance(value, int | float)
    return _shortest(float(value))


def _shortest(value: float) -> str:
    for below in (3, 64):  # as a person writes it
        if value != round(value, 6) and value * below == round(value * below):
            return f"{number_text(value * below)}/{below}"
    return number_text(value)


def _may_be_blank(text: str) -> bool:
    return not (_NUMBER.fullmatch(text) or _MARKER.fullmatch(text) or _TEXT.fullmatch(text))


def _entry(text: str, parameter: Parameter, other: str, system: str, *, inline: bool) -> str:
    """Write an argument that is given in us units, with what counts where its cell is blank."""
    if parameter.kind in (TEXT, COURSES):
        plain = text if inline or not _may_be_blank(text) else f"TRIM({text})"
        if plain != text and parameter.kind is TEXT and not parameter.choices:
            plain = f"IF(ISNUMBER({text}),{text},TRIM({text}))"  # a number is no text, and is refused as one
        optional = other != '""'
        return f'IF({text}="",{other},{plain})' if optional and _may_be_blank(text) else plain
    number = _into_us(text, parameter.kind, system)
    if not _may_be_blank(text) or (inline and other == '""'):
        return number
    return f'IF({text}="",{other},{number})'


def _factor(text: str, kind: Kind, system: str, back: bool) -> str:
    convert = (from_us if back else into_us)(kind, system)
    if convert is None:
        return text
    start, one = convert(0.0), convert(1.0)
    bare = text if _atomic(text) else f"({text})"
    if start:  # only temperatures start elsewhere than at 0
        return f"{bare}*1.8+32" if not back else f"({bare}-32)/1.8"
    slope = one - start
    if slope < 1:
        upside = (into_us if back else from_us)(kind, system)
        assert upside is not None
        return f"{bare}/{number_text(float(f'{upside(1.0):.13g}'))}"
    return f"{bare}*{number_text(float(f'{slope:.13g}'))}"


def _into_us(text: str, kind: Kind, system: str) -> str:
    if system == "us" or not kind.units:
        return text
    return _factor(text, kind, system, False)


def _from_us(text: str, kind: Kind, system: str) -> str:
    # Rounded like the functions' own metric answers: the dust of a conversion would tip native comparisons.
    converted = _factor(text, kind, system, True)
    return text if converted == text else f"ROUND({converted},9)"


def _unproven(names: str, filled: Mapping[str, str], holds: Callable[[float], bool]) -> list[str]:
    found: list[str] = []
    for name in names.split():
        text = filled.get(name, "")
        if text and not (_NUMBER.fullmatch(text) and holds(float(text))):
            found.append(text)
    return found


def _length(text: str) -> int:
    return len(_MARKER.sub("AA1234", text))


def _extreme(which: str, texts: list[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{which}({','.join(texts)})"


def _guarded(
    unread: list[str],
    rules: list[list[str]],
    answer: str,
    filled: Mapping[str, str],
    function: CellFunction,
) -> str:
    """Put the guards around an answer."""
    text = answer
    if len(rules) > 2:  # what was looked at elsewhere and the bounds take one test
        rules = [rules[0] + rules[1], *rules[2:]]
    for group in reversed([group for group in rules if group]):
        condition = group[0] if len(group) == 1 else f"AND({','.join(group)})"
        text = f"IF({condition},{text},{REFUSE_NUMBER})"
    if unread:
        condition = unread[0] if len(unread) == 1 else f"OR({','.join(unread)})"
        shown = [
            filled[parameter.name]
            for parameter in function.inputs
            if parameter.takes in (Takes.ONE, Takes.PER_CEILING) and parameter.name in filled
        ]
        marks = "&".join(
            one for one in dict.fromkeys(shown) if not (_NUMBER.fullmatch(one) or _TEXT.fullmatch(one))
        )
        refuse = f'FIND(1&{marks},"")' if marks else REFUSE_TEXT
        text = f"IF({condition},{refuse},{text})"
    return text
