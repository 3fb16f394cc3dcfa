"""What `sheetcalc compare` does: read its words, compare, show, write."""

import argparse
import shlex
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sheetcalc.workbooks.compare.vary import Comparison

_DONE, _LOOK = 0, 1
_SCREEN = 100  # characters of a line where nobody sees it
_SLOW = 1.0  # seconds after which a person is told how far it is
_BAR = 30  # characters


def add_options(parser: argparse.ArgumentParser, file: Callable[[str], Path]) -> None:
    """Add the options to the command's parser; `file` reads the name of a file."""
    parser.add_argument("file", type=file, help="a workbook with defined names, such as porch.xlsx")
    parser.add_argument(
        "--vary",
        action="append",
        default=[],
        metavar="HANDLE=VALUE,VALUE",
        help="type each of these values into an entry; with several --vary, every combination."
        ' A value that holds a comma stands in double quotes: firm="Hale, sons",Hale',
    )
    parser.add_argument(
        "--show", default="", metavar="HANDLE,HANDLE", help="results to show instead of the usual ones"
    )
    parser.add_argument(
        "--sensitivity",
        action="store_true",
        help="instead move each entry by a step and show which moves the price most",
    )
    parser.add_argument(
        "--step",
        action="append",
        default=[],
        metavar="STEP",
        help="how far: 5%% for all entries, HANDLE=1/4 or HANDLE=5%% for one",
    )
    parser.add_argument(
        "--verbose",
        action="store_true",
        help="with --sensitivity: say which entries cannot be moved, and why",
    )
    parser.add_argument("--of", default="", metavar="HANDLE", help="what is moved, instead of the price")
    parser.add_argument(
        "--output", type=file, metavar="FILE", help="write the table as .xlsx, with a chart, or as .csv"
    )
    parser.add_argument("--force", action="store_true", help="overwrite the file of --output")
    parser.epilog = (
        "A HANDLE is a name of the workbook: sheetcalc names lists them. The job's board is board_wanted, "
        "on Start; board is that of each ceiling, on Measure, and counts before it. Both take a size as it "
        "stands on Boards (1x6, or 19x135x121 mm), board its letter too (A,B,C). Lengths take their marks: "
        "20' is feet, 20 alone inches (in a metric workbook 2.4 m, or 2400)."
    )
    parser.set_defaults(run=run)


def run(words: argparse.Namespace) -> int:
    """Compare as the words say."""
    from sheetcalc.workbooks.handles import HandleProblem

    if words.sensitivity and words.vary:
        raise HandleProblem("--vary and --sensitivity are two questions: ask them one after the other.")
    if not words.sensitivity and not words.vary:
        raise HandleProblem("Say what to compare: --vary HANDLE=VALUE,VALUE, or --sensitivity.")
    if not words.sensitivity and (words.step or words.of or words.verbose):
        raise HandleProblem("--step, --of and --verbose go with --sensitivity.")
    output: Path | None = words.output
    if output:
        from sheetcalc.workbooks.compare.files import check_output

        check_output(output, words.file, force=words.force)
    return _sensitivity(words, output) if words.sensitivity else _combinations(words, output)


def _combinations(words: argparse.Namespace, output: Path | None) -> int:
    from sheetcalc.workbooks.compare.screen import table
    from sheetcalc.workbooks.compare.vary import compare, vary
    from sheetcalc.workbooks.compare.what_if import WhatIf

    varied = [vary(text) for text in words.vary]
    show = [handle.strip() for handle in words.show.split(",") if handle.strip()]
    with _Bar() as bar:
        found = compare(WhatIf(words.file), varied, show, bar.tell)
    if output:
        from sheetcalc.workbooks.compare.files import write
        from sheetcalc.workbooks.compare.pages import compared

        write(compared(found), output, words.file)
    _say([*table(found, _width(), saved=output is not None), *_take(words.file, found)], output)
    return _LOOK if found.failed or found.bugs else _DONE


def _take(file: Path, found: "Comparison") -> list[str]:
    """Say how the cheapest combination gets into the workbook."""
    if len(found.cheapest) != 1 or not found.marks[found.cheapest[0]]:
        return []
    row = found.rows[found.cheapest[0]]
    sets = [
        f"--set {shlex.quote(f'{entry.handle}={text}')}"
        for entry, text in zip(found.varied, row.texts, strict=True)
    ]
    return [f"To take the cheapest: sheetcalc compute {shlex.quote(str(file))} {' '.join(sets)}"]


def _sensitivity(words: argparse.Namespace, output: Path | None) -> int:
    from sheetcalc.workbooks.compare.screen import sensitivity_table
    from sheetcalc.workbooks.compare.sensitivity import sensitivity, step
    from sheetcalc.workbooks.compare.what_if import WhatIf

    steps = [step(text) for text in words.step]
    with _Bar() as bar:
        found = sensitivity(WhatIf(words.file), words.of or "price", steps, bar.tell)
    if output:
        from sheetcalc.workbooks.compare.files import write
        from sheetcalc.workbooks.compare.pages import moved

        write(moved(found), output, words.file)
    saved = output is not None
    _say(sensitivity_table(found, _width(), saved=saved, verbose=words.verbose), output)
    return _LOOK if found.bugs else _DONE


def _say(lines: list[str], output: Path | None) -> None:
    print("\n".join(lines))
    if output:
        print(f"Written: {output}")


def _width() -> int:
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else _SCREEN


class _Bar:
    # How far it is, for a person who waits; whoever reads a file is not told.

    def __init__(self) -> None:
        self._start = time.monotonic()
        self._told = 0.0
        self._seen = False

    def __enter__(self) -> "_Bar":
        return self

    def __exit__(self, *_: object) -> None:
        if self._seen:
            print("\r\033[K", end="", file=sys.stderr, flush=True)

    def tell(self, done: int, of: int) -> None:
        now = time.monotonic()
        if now - self._start < _SLOW or now - self._told < 0.1 or not sys.stderr.isatty():
            return
        self._told, self._seen = now, True
        full = _BAR * done // of
        print(f"\r{'#' * full}{'.' * (_BAR - full)} {done:,} of {of:,} ", end="", file=sys.stderr, flush=True)
