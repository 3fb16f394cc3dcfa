"""What a plain edition stores: the sheet that lists it, its check against the entries, marks beside lines."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.workbooks.plain.calls import calls_in, sheet_name
from sheetcalc.workbooks.plain.forms import FORMS, STORED
from sheetcalc.workbooks.plain.labels import label
from sheetcalc.workbooks.plain.looks import Looks
from sheetcalc.workbooks.plain.reads import CellAt, Reads
from sheetcalc.workbooks.plain.sheets import Content, Page
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

STORED_SHEET = "Stored"
TITLE = "Stored: what needs sheetcalc and no formula can work out"
FRESH, STALE = "stored", "OLD, stored"
RESTS, RESTS_STALE = "uses stored", "uses OLD"
NOT_OUT = "not to hand out"

_WHAT = {
    "BUY": "boards",
    "SAW": "cuts",
    "STOP": "cuts",
    "PIECE": "cuts",
    "KERF": "cuts",
    "JOINT": "joints",
    "SPARE": "spares",
    "SPARES": "spares",
    "SHAPE": "shapes",
    "PIECES": "shapes",
    "DRAWING": "drawings",
}
"""What the stored functions answer, by a word of their names."""

# Rows of the sheet; what stands in column B of each.
_READ, _ENTRIES, _WORDS, _MARK, _RESTING, _CODE, _TYPED, _STOP, _LOOK, _HEAD = range(5, 15)
_NAMED = 16  # head of the list of entries that changed
_MOST_NAMED = 8
_LINES = _NAMED + _MOST_NAMED + 2  # head of the list of stored lines


class Kept(NamedTuple):
    """A formula whose value is stored."""

    cells: Area
    formula: str
    reason: str


class Watched(NamedTuple):
    """A value that stored lines come from: its name, a formula of what it is now, what it was then."""

    name: str
    now: str
    then: Cell
    cell: CellAt | None = None


def at(row: int) -> str:
    """Cell of the sheet Stored that other sheets read."""
    return f"{STORED_SHEET}!$B${row}"


class Stored:
    """What is stored in a workbook, and what it was computed from.

    Parameters
    ----------
    book : Workbook
        The workbook.
    reads : Reads
        Who reads whom in it.
    kept : sequence of Kept
        What is stored.
    values : mapping
        Values of the entries that become others on writing.
    looks : Looks
        Its styles.
    value : callable
        Gives the value of a cell as last computed.

    Attributes
    ----------
    cells : dict
        Each cell that is stored, and the formula that gave it its value.
    filled : list
        Those whose formula says anything: only these can make other lines old, until a blank one does.
    """

    def __init__(
        self,
        book: Workbook,
        reads: Reads,
        kept: Sequence[Kept],
        values: Mapping[CellAt, float],
        looks: Looks,
        value: Callable[[CellAt], Cell],
    ) -> None:
        self._book = book
        self._reads = reads
        self._kept = kept
        self._values = values
        self._looks = looks
        self._value = value
        self.cells = {
            (one.cells.sheet, place): one for one in kept for row in one.cells.rows() for place in row
        }

        said = {one for cell, one in self.cells.items() if value(cell) not in (None, "")}
        self.filled = [cell for cell, one in self.cells.items() if one in said]

    @property
    def what(self) -> str:
        """What is stored and not blank, in a few words: "boards, cuts and joints"."""
        called = [
            piece.name
            for one in dict.fromkeys(self.cells[cell] for cell in self.filled)
            for piece in calls_in(one.formula, FORMS)
            if FORMS.get(piece.name) is STORED
        ]
        known = {words for name in called for word, words in _WHAT.items() if word in name.split("_")}
        found = [words for words in dict.fromkeys(_WHAT.values()) if words in known]
        if not found:
            return "stored lines"
        return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"

    # --- The sheet ---

    def page(self) -> Page:
        """Lay out the sheet."""
        bold = self._looks.bold()
        page = Page()
        entries, read = self._entries(), self._read()
        first_entry = _LINES + len(self._kept) + 4
        first_read = first_entry + len(entries) + 3
        changed = self._list(page, first_entry, "Entries behind them", entries, bold)
        read_changed = self._list(page, first_read, "Values that they read", read, bold)
        page.line(1, [TITLE], bold)
        page.line(
            2, ["These lines keep the values of the last run. After a change of what they come from, make it"]
        )
        page.line(
            3, ["in the workbook with the functions, run sheetcalc compute there, then sheetcalc plain."]
        )
        older = f"{self.what[0].upper()}{self.what[1:]} are"
        stale, named = f"$B${_READ}>0", f"$A${_NAMED + 1}"
        more = f'IF($B${_ENTRIES}>1," and "&$B${_ENTRIES}-1&" more","")'
        first_changed = f'IF($B${_ENTRIES}=0,"a result between",{named}&{more})'
        page.line(_READ, ["Values read that are others now", (f"SUM({read_changed})",) if read else 0.0])
        page.line(_ENTRIES, ["Entries behind them that changed", (f"SUM({changed})",) if entries else 0.0])
        page.line(
            _WORDS,
            [
                older,
                (f'IF({stale},"older than the entries: "&{first_changed},"as computed from the entries")',),
            ],
        )
        page.line(_MARK, ["Mark of a stored line", (f'IF({stale},"{STALE}","{FRESH}")',)])
        page.line(_RESTING, ["Mark of a line that uses one", (f'IF({stale},"{RESTS_STALE}","{RESTS}")',)])
        codes = [f"SUM({column.replace('D', 'E')})" for column in (changed, read_changed)]
        code = f"1000+MOD({'+'.join(codes)},8999)"
        page.line(
            _CODE,
            ["To let the price stand on older lines, type this number below", (f'IF({stale},{code},"")',)],
        )
        page.line(_TYPED, ["Number typed (it lapses with the next change of an entry)"])
        page.line(_STOP, ["Fails as a stop check", (f"IF(AND({stale},$B${_TYPED}<>$B${_CODE}),1,0)",)])
        page.line(_LOOK, ["Is a point to look at", (f"IF(AND({stale},$B${_STOP}=0),1,0)",)])
        said = f"; {self.what} are older than the entries"
        page.line(_HEAD, ["Added to the state of the job", (f'IF({stale},"{said}","")',)])
        if entries and entries[0].cell:  # dressed as the workbook's entries are
            title, place = entries[0].cell
            page.cells[_TYPED, 2], page.looks[_TYPED, 2] = None, self._book.sheets[title].style(*place)
        page.line(_NAMED, [f"Entries that changed, the first {_MOST_NAMED}", "Now", "Then"], bold)
        if entries:
            self._name_changed(page, first_entry, len(entries))
        page.line(
            _LINES, ["Stored lines", "Cells", "Why", "Formula in the workbook with the functions"], bold
        )
        for row, one in enumerate(self._kept, start=_LINES + 1):
            name = label(self._book, (one.cells.sheet, (one.cells.top, one.cells.left)))
            page.line(row, [name, str(one.cells), one.reason, "=" + one.formula])
        page.printed = _LINES - 2, 3
        return page

    def _list(self, page: Page, first: int, title: str, watched: Sequence[Watched], bold: int) -> str:
        """List values with what they were; return the column that says which changed."""
        page.line(first - 1, [title, "Now", "Then", "Changed", "Number", "Changed so far", "Cell"], bold)
        for row, one in enumerate(watched, start=first):
            now, then = f"$B{row}", f"$C{row}"
            changed = (
                f"IF(EXACT({now},{then}),0,IF(COUNT({now},{then})<2,1,"
                f"IF(ABS({now}-{then})<=1E-9*MAX(1,ABS({then})),0,1)))"
            )
            number = f"IF($D{row}=0,0,({_number(now)})*{row % 97 + 1})"
            so_far = f"$D{row}" if row == first else f"$F{row - 1}+$D{row}"
            where = f"{sheet_name(one.cell[0])}!{address(*one.cell[1])}" if one.cell else None
            line: list[Content] = [one.name, (one.now,), one.then, (changed,), (number,), (so_far,), where]
            page.line(row, line)
            page.cells[row, 4], page.looks[row, 4] = (changed,), 0
            if one.cell:
                look = self._looks.number(self._book.sheets[one.cell[0]].style(*one.cell[1]))
                page.looks[row, 2] = page.looks[row, 3] = look
        return f"$D${first}:$D${max(first, first + len(watched) - 1)}"

    def _name_changed(self, page: Page, first: int, count: int) -> None:
        last = first + count - 1
        for n in range(1, _MOST_NAMED + 1):
            cells = [
                f"INDEX(${column}${first}:${column}${last},MATCH({n},$F${first}:$F${last},0))"
                for column in "ABC"
            ]
            page.line(
                _NAMED + n, [(f'IF($B${_ENTRIES}<{n},"",IF({cell}="","blank",{cell}))',) for cell in cells]
            )

    def _entries(self) -> list[Watched]:
        return [self._watched(cell) for cell in self._reads.behind(self.cells)]

    def _read(self) -> list[Watched]:
        """List what the stored formulas read themselves: only that makes them old."""
        cells: dict[CellAt, None] = {}
        counted: list[Watched] = []
        areas = dict.fromkeys(
            cells for one in self._kept for cells in self._reads.areas(one.formula, one.cells.sheet)
        )
        for one in areas:
            inside = self._reads.inside(one)
            if len(inside) < one.size:  # what is filled, and how much of it
                filled = sum(self._value(cell) is not None for cell in inside)
                first, last = address(one.top, one.left), address(one.bottom, one.right)
                now = f"COUNTA({sheet_name(one.sheet)}!{first}:{last})"
                counted.append(Watched(f"filled cells of {one}", now, float(filled)))
            cells |= {cell: None for cell in inside if cell not in self.cells}
        return [self._watched(cell) for cell in cells] + counted

    def _watched(self, cell: CellAt) -> Watched:
        text = f"{sheet_name(cell[0])}!{address(*cell[1])}"
        then = self._values.get(cell, self._value(cell))
        shown = "error" if isinstance(then, CellError) else then
        now = f'IF(ISERROR({text}),"error",IF({text}="","",{text}))'
        return Watched(label(self._book, cell), now, shown, cell)

    # --- The other sheets ---

    def marks(self) -> dict[CellAt, str]:
        """Find where to write words and what: beside every stored line and every line that uses one.

        Returns
        -------
        dict
            Formulas by their cells.
        """
        state = self._book.area("state")
        checks = {
            cell
            for handle in ("entries_needed", "stop_checks", "look_checks")
            if (table := self._book.area(handle))
            for cell in self._reads.inside(table)
        }
        resting = self._reads.resting(self.filled, checks) - checks
        lines: dict[str, dict[int, list[Place]]] = {}
        for title, place in sorted(resting | self.cells.keys()):
            lines.setdefault(title, {}).setdefault(place[0], []).append(place)
        words: dict[CellAt, str] = {}
        for title, rows in lines.items():
            if state and not self._shows(title, state):  # a page for others, where a title at most says it
                words[title, self._free(title, [1])] = (
                    f'IF({at(_STOP)}>0,"stopped: {self.what} are older than the entries, {NOT_OUT}","")'
                )
                continue
            beside = max(self._free(title, rows)[1], self._printed(title))
            for row, places in rows.items():
                stored = [place for place in places if (title, place) in self.cells]
                first, last = (stored or places)[0], (stored or places)[-1]
                shown = f"{address(*first)}:{address(*last)}" if first != last else address(*first)
                size = last[1] - first[1] + 1
                mark = at(_MARK if stored else _RESTING)
                words[title, (row, beside)] = f'IF(COUNTBLANK({shown})={size},"",{mark})'
        return words

    def _shows(self, title: str, state: Area) -> bool:
        """Tell whether a sheet shows the state of the job as it is, or holds it."""
        return title == state.sheet or any(
            {*self._reads.areas(formula.text, title)} == {state}
            for place, formula in self._book.sheets[title].formulas.items()
            if place[0] <= 9
        )

    def _printed(self, title: str) -> int:
        """Last column of a sheet's printed page; 0 if that is not said."""
        printed = self._book.area("_xlnm.Print_Area", title)
        return printed.right if printed else 0

    def _free(self, title: str, rows: Iterable[int]) -> Place:
        """First cell of a line, to the right of what stands in any of these lines."""
        sheet = self._book.sheets[title]
        wanted = set(rows)
        filled = [
            place[1]
            for place in (*sheet.places(), *sheet.members)
            if place[0] in wanted and (sheet.computed(*place) or sheet.value(*place) is not None)
        ]
        return min(wanted), max(filled, default=0) + 1

    def checks(self) -> dict[str, str]:
        """Formulas of the checks of a job, by their handles; the old formula stands where {} stands."""
        where = f'"Stored"&IF({at(_ENTRIES)}>0,": "&{STORED_SHEET}!$A${_NAMED + 1},"")'
        return {
            "stop_state.stop_stored": f'IF({at(_STOP)}>0,"stop","ok")',
            "stop_where.stop_stored": where,
            "look_raised.look_stored": at(_LOOK),
            "look_where.look_stored": where,
            "state": f"{{}}&{at(_HEAD)}",
        }


def _number(cell: str) -> str:
    """Make another number of each other value: of its first and last signs, and how many there are."""
    first = [f'CODE(MID({cell}&"    ",{place},1))' for place in range(1, 5)]
    last = [f'CODE(MID("    "&{cell},LEN({cell})+{place},1))' for place in range(1, 5)]
    weights = (1009, 2003, 3001, 4001, 5003, 6007, 7001, 8009)
    return "+".join(
        [f"LEN({cell})", *(f"{sign}*{by}" for sign, by in zip(first + last, weights, strict=True))]
    )
