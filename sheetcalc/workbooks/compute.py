"""Compute a workbook where it stands: type values in, work out every formula, store the answers, save."""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from itertools import chain
from pathlib import Path
from typing import cast

from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import Cell, Range
from sheetcalc.hosts.headless import Bug, Headless, Unevaluated
from sheetcalc.workbooks.handles import Handles
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.formulas import Area, address
from sheetcalc.xlsx.package import check_unlocked
from sheetcalc.xlsx.sheet import Place
from sheetcalc.xlsx.workbook import Workbook

_MOST_CHARTED = 32_000  # points that a chart draws of one series, in every program


@dataclass(frozen=True)
class Report:
    """What came of computing a workbook.

    Parameters
    ----------
    file : Path
        The file that was written, or read.
    handles : Handles
        Its handles.
    host : Headless
        The computed workbook.
    emptied : tuple of str
        Cells that a typed row of fewer values emptied, each with what it held.
    """

    file: Path
    handles: Handles
    host: Headless
    emptied: tuple[str, ...] = ()

    @property
    def unevaluated(self) -> list[Unevaluated]:
        """Formulas that could not be computed and keep their stored values."""
        return self.host.unevaluated

    @property
    def bugs(self) -> list[Bug]:
        """Calls that failed through no fault of the entries."""
        return self.host.bugs

    def value(self, handle: str) -> Cell | Range:
        """Value of a handle's cell, or the rows of its cells.

        Raises
        ------
        HandleProblem
            There is no such handle.
        """
        cells = self.handles.area(handle)
        return self.host.get(
            cells.sheet, f"{address(cells.top, cells.left)}:{address(cells.bottom, cells.right)}"
        )

    def reason(self, handle: str) -> str:
        """Why a handle's first cell shows the error that it shows, as far as a call of ours tells."""
        cells = self.handles.area(handle)
        return self.host.reason(cells.sheet, address(cells.top, cells.left))


def opened(path: str | os.PathLike[str]) -> Report:
    """Compute a workbook and leave its file as it is.

    Raises
    ------
    Problem
        The file cannot be read.
    """
    book = Workbook(path)
    return Report(Path(path), Handles(book), Headless(book))


def compute(
    path: str | os.PathLike[str],
    output: str | os.PathLike[str] | None = None,
    sets: Mapping[str, str] | Iterable[tuple[str, str]] = (),
    *,
    force: bool = False,
    functions: Mapping[str, CellFunction] = REGISTRY,
) -> Report:
    """Compute a workbook and store the values in it.

    Parameters
    ----------
    path : path-like
        The workbook.
    output : path-like, optional
        Where to write; else the workbook itself is replaced, and what it was is kept beside it.
    sets : mapping or pairs, optional
        Handles and what to type into them first, in this order; see `Handles.entries`.
    force : bool, optional
        Overwrite another file at `output`.
    functions : mapping, optional
        Our functions by their names.

    Raises
    ------
    Problem
        The file cannot be read or written, or a value cannot be typed in; then nothing is written.
    """
    check_unlocked(Path(output or path))
    book = Workbook(path)
    host = Headless(book, functions)
    handles = Handles(book)

    stale = False

    def get(sheet: str, at: Place) -> Cell:
        nonlocal stale
        if stale:  # what was typed may have brought further rows into use
            host.recalculate()
            stale = False
        value = host.get(sheet, address(*at))
        assert not isinstance(value, list)
        return value

    emptied: list[str] = []
    pairs = cast("Mapping[str, str]", sets).items() if isinstance(sets, Mapping) else sets
    for handle, text in pairs:
        for (sheet, at), value in handles.entries(handle, text, get).items():
            if value is None and text.strip() and (held := get(sheet, at)) not in (None, ""):
                emptied.append(
                    f"{Area(sheet, *at, *at)}, which held {shown(held, book.number_format(sheet, *at))}"
                )
            book.sheets[sheet].put(*at, value)
            host.set(sheet, address(*at), value)
        stale = True
    if stale:
        host.recalculate()
    host.store()
    book.refresh_charts(partial(_charted, book, host))
    book.calculated()
    book.save(output, force=force)
    return Report(Path(output or path), handles, host, tuple(emptied))


def _charted(book: Workbook, host: Headless, area: Area) -> list[Cell] | None:
    """Read the cells that a chart shows; none on a sheet that is not there, or that no chart can mean."""
    if area.sheet not in book.sheets or area.size > _MOST_CHARTED:
        return None
    cells = host.get(area.sheet, f"{address(area.top, area.left)}:{address(area.bottom, area.right)}")
    return [*chain.from_iterable(cells)] if isinstance(cells, list) else [cells]
