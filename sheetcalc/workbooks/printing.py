"""Print sheets of a workbook to one PDF through an office program, without the rows that hold nothing."""

import os
import re
import tempfile
from collections.abc import Sequence, Set
from itertools import count, takewhile
from pathlib import Path

from sheetcalc.cells.values import Cell
from sheetcalc.hosts.calc.offices import Office
from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.handles import FILLED
from sheetcalc.workbooks.page import KEPT_ROWS, USUAL_WIDTH
from sheetcalc.workbooks.paper import A4, LETTER, page_ends, page_room
from sheetcalc.workbooks.style import ROW_HEIGHT
from sheetcalc.xlsx.package import FileProblem, check_free, write_file
from sheetcalc.xlsx.workbook import Workbook

_ROW = re.compile(rb"(<(?:\w+:)?row\b)([^>]*?\sr=[\"'](\d+)[\"'][^>]*)")
_HIDDEN = re.compile(rb"\shidden=(?:\"[^\"]*\"|'[^']*')")
_HEIGHT = re.compile(rb"<(?:\w+:)?row\b(?=[^>]*\sr=\"(\d+)\")[^>]*\sht=\"([\d.]+)\"")
_WIDTH = re.compile(
    rb"<(?:\w+:)?col\b(?=[^>]*\smin=\"(\d+)\")(?=[^>]*\smax=\"(\d+)\")[^>]*\swidth=\"([\d.]+)\""
)
_AREA = "_xlnm.Print_Area"
_BREAKS = re.compile(rb"<((?:\w+:)?)rowBreaks\b.*?</\1rowBreaks>", re.DOTALL)


def print_sheets(
    path: str | os.PathLike[str],
    pdf: str | os.PathLike[str],
    titles: Sequence[str],
    office: Office,
    *,
    force: bool = False,
) -> Report:
    """Print sheets of a workbook, computed afresh; the workbook stays as it is.

    Parameters
    ----------
    path : path-like
        The workbook.
    pdf : path-like
        Where to write.
    titles : sequence of str
        The sheets; they are printed in the order of the workbook, each on pages of its own.
    office : Office
        The program that prints.
    force : bool, optional
        Overwrite another file there.

    Returns
    -------
    Report
        The computed workbook.

    Raises
    ------
    Problem
        A file cannot be read or written, a sheet is not there, or the office does not print.
    """
    path, pdf = Path(path), Path(pdf)
    if pdf.suffix.lower() != ".pdf":
        raise FileProblem(f"The name of a printed file ends in .pdf, but “{pdf}” does not.")
    check_free(pdf, force=force)
    with tempfile.TemporaryDirectory() as folder:
        computed, draft = (Path(folder, f"{name}{path.suffix}") for name in ("computed", pdf.stem))
        report = compute(path, computed)
        book = Workbook(computed)
        missing = [title for title in titles if title not in book.sheets]
        if missing:
            raise FileProblem(f"{path.name} has no sheet {missing[0]}.")
        for title, sheet in book.sheets.items():
            # an office without our functions would show #NAME? where a formula of theirs holds an error
            values = sheet.values_alone()
            if title in titles and (blank := blank_rows(book, title)):
                values = _hidden(values, blank)
                values = _broken(values, _page_ends(book, title, blank, values))
            book.package.change(sheet.part, values)
        book.print_only(titles)
        book.package.save(draft)
        printed = office.printed(draft, Path(folder))
        write_file(pdf, printed.read_bytes(), like=path)
    return report


def _hidden(sheet: bytes, blank: Set[int]) -> bytes:
    """Hide the rows that hold nothing."""

    def hidden(found: re.Match[bytes]) -> bytes:
        start, rest, row = found.groups()
        return start + b' hidden="1"' + _HIDDEN.sub(b"", rest) if int(row) in blank else found[0]

    return _ROW.sub(hidden, sheet)


def _broken(sheet: bytes, ends: Sequence[int] | None) -> bytes:
    """Say where pages end instead of what the sheet says of it; None leaves that."""
    if ends is None:
        return sheet

    def breaks(found: re.Match[bytes]) -> bytes:
        prefix = found[1].decode()
        each = "".join(f'<{prefix}brk id="{row}" max="16383" man="1"/>' for row in ends)
        counts = f'count="{len(ends)}" manualBreakCount="{len(ends)}"'
        return f"<{prefix}rowBreaks {counts}>{each}</{prefix}rowBreaks>".encode() if ends else b""

    return _BREAKS.sub(breaks, sheet)


def _page_ends(book: Workbook, title: str, blank: Set[int], sheet: bytes) -> list[int] | None:
    """Find where pages end now that rows are hidden, so that no block loses its head.

    None where the sheet does not say what of it is printed: then it is none that was laid out for paper here.
    """
    area = next((name.area for name in book.names if name.name == _AREA and name.sheet == title), None)
    if area is None:
        return None
    heights = {int(row): float(height) for row, height in _HEIGHT.findall(sheet)}
    held = {row for row, _ in book.sheets[title].places()} - blank
    blocks: list[tuple[int, float, float]] = []
    for first in sorted(row for row in held if row - 1 not in held | blank):
        rows = list(takewhile(lambda row: row in held | blank, count(first)))
        tall = [heights.get(row, ROW_HEIGHT) for row in rows if row not in blank]
        blocks.append((first, sum(tall) + ROW_HEIGHT, sum(tall[:KEPT_ROWS])))
    widths = {
        column: float(width)
        for first, last, width in _WIDTH.findall(sheet)
        for column in range(int(first), int(last) + 1)
    }
    wide = sum(widths.get(column, USUAL_WIDTH) for column in range(area.left, area.right + 1))
    paper = A4 if b'paperSize="9"' in sheet else LETTER
    room = page_room(wide, paper, landscape=b'orientation="landscape"' in sheet)
    return page_ends(blocks, room + ROW_HEIGHT)  # nothing comes below the last block


def blank_rows(book: Workbook, title: str) -> set[int]:
    """Find the rows that need not be printed.

    That is a row whose mark says that it is not in use, or one of results of which none shows, whatever its
    label, unless something else is typed there; and where nothing is left of a block, its heads as well.
    """
    sheet = book.sheets[title]
    marks: dict[int, int] = {}
    for name in book.names:
        if name.area and name.area.sheet == title and name.name.endswith(FILLED):
            marks.update((row, name.area.left) for row in range(name.area.top, name.area.bottom + 1))
    results = {row for row, column in sheet.places() if sheet.computed(row, column)}
    lines = {row for row, column in sheet.places() if column > 1 and sheet.computed(row, column)}
    shown: set[int] = set()
    typed: set[int] = set()
    for row, column in sheet.places():
        computed, value = sheet.computed(row, column), sheet.value(row, column)
        if value in (None, "") or marks.get(row) == column:
            continue
        if column == 1 and not computed and (row in results or isinstance(value, float)):
            continue  # its label, or its number in a table
        shown.add(row)
        if not computed:
            typed.add(row)
    unused = {row for row, column in marks.items() if _nothing(sheet.value(row, column))} - typed
    blank = unused | (results - shown)
    for first in [row for row in sorted(blank) if row - 1 not in blank]:
        after = first
        while after in blank:
            after += 1
        heads: list[int] = []
        row = first - 1
        while row in shown and row not in results:
            heads.append(row)
            row -= 1
        # else rows of the block are in use, before these or after them
        if heads and row not in lines - blank and after not in shown:
            blank.update(heads if row in results else (*heads, row))
    return blank


def _nothing(mark: Cell) -> bool:
    return mark in (None, "", False, 0.0)
