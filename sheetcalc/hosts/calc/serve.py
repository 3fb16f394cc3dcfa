"""The helper that the add-in talks to: calls on standard input, answers on standard output.

``("INCH_FRACTION", (5.125,))`` is answered by ``(("5 1/8",),)``: rows as Calc takes them, an error as
its NaN.
"""

import os
import sys
import threading
import time
from collections.abc import Sequence
from typing import Any, BinaryIO

from sheetcalc.cells.call import call
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.hosts.calc.addin import ANSWER_WITHIN, HELLO, error, packed, received, unpacked


def serve() -> int:  # pragma: no cover  (runs as a process of its own)
    """Answer the calls that arrive until the pipe closes."""
    calls = os.fdopen(os.dup(0), "rb")
    answers = os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDWR)
    os.dup2(nothing, 0)
    os.dup2(2, 1)  # whatever a library prints, even one in C, must not stand among the answers
    _Watch().start()
    return answer_all(calls, answers)


def answer_all(calls: BinaryIO, answers: BinaryIO) -> int:
    """Answer every call of a stream."""
    try:
        answers.write(packed(HELLO))
        answers.flush()
        while (asked := received(calls)) is not None:
            _Watch.since = time.monotonic()
            answers.write(packed(answer(*unpacked(asked))))
            answers.flush()
            _Watch.since = None
    except BrokenPipeError:  # nobody reads any more
        pass
    return 0


def answer(name: str, arguments: Sequence[Any]) -> tuple[tuple[float | str, ...], ...]:
    """Answer one call; what is wrong with us, not with the entries, is #VALUE!, and told on stderr."""
    try:
        found = call(name, arguments)
    except Exception as problem:
        print(f"{name}: {type(problem).__name__}: {problem}", file=sys.stderr)
        found = CellError.VALUE
    if isinstance(found, list):
        return tuple([tuple(map(_plain, row)) for row in found])
    return ((_plain(found),),)


_ERRORS = {each: error(each.value) for each in CellError}


def _plain(cell: Cell) -> float | str:
    if type(cell) is float or type(cell) is str:
        return cell
    if isinstance(cell, CellError):
        return _ERRORS[cell]
    return "" if cell is None else cell


class _Watch(threading.Thread):
    """Ends a helper that hangs, should the office that would end it be gone."""

    since: float | None = None

    def __init__(self) -> None:  # pragma: no cover  (as above)
        super().__init__(daemon=True)

    def run(self) -> None:  # pragma: no cover  (as above)
        while True:
            time.sleep(ANSWER_WITHIN / 2)
            since = self.since
            if since is not None and time.monotonic() - since > 2 * ANSWER_WITHIN:
                os._exit(1)
