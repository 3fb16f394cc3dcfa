"""Write a workbook from its declaration, with every value computed."""

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from sheetcalc.workbooks.build import build
from sheetcalc.workbooks.compute import Report, compute
from sheetcalc.workbooks.declare import Sheet
from sheetcalc.xlsx.package import FileProblem, check_free


def write(
    path: str | os.PathLike[str],
    sheets: Sequence[Sheet],
    values: Mapping[str, object],
    system: str = "us",
    *,
    force: bool = False,
) -> Report:
    """Build a workbook, compute it and write it.

    Parameters
    ----------
    path : path-like
        The file to write.
    sheets : sequence of Sheet
        As declared.
    values : mapping of str to object
        What stands in the entries, by handle.
    system : str
        "us" or "metric".
    force : bool, optional
        Overwrite a file of that name.

    Returns
    -------
    Report
        The computed workbook.

    Raises
    ------
    Problem
        It cannot be written there.
    """
    if Path(path).suffix.lower() != ".xlsx":
        raise FileProblem(f"The name of a workbook ends in .xlsx, but “{path}” does not.")
    check_free(Path(path), force=force)  # before the work, not after it
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder, "draft.xlsx")
        draft.write_bytes(build(sheets, values, system))
        return compute(draft, path, force=force)


def made(sheets: Sequence[Sheet], values: Mapping[str, object], system: str = "us") -> bytes:
    """Build a workbook and compute it, without a file that stays.

    Raises
    ------
    ValueError
        A formula of the declaration cannot be computed, such as one that depends on itself.
    """
    with tempfile.TemporaryDirectory() as folder:
        report = write(Path(folder, "made.xlsx"), sheets, values, system)
        if wrong := [*report.unevaluated, *report.bugs]:
            raise ValueError(f"{len(wrong)} formulas are not computed, the first of them {wrong[0]}")
        return report.file.read_bytes()
