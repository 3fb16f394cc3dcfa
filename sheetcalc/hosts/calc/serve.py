"""The helper that the add-in talks to: calls on standard input, answers on standard output.

``("INCH_FRACTION", (5.125,))`` is answered by ``[["5 1/8"]]``: rows of cells, an error as a list of its one
text.
"""

import os
import sys
import threading
import time
from collections.abc import Sequence
from typing import Any, BinaryIO, cast

from sheetcalc.cells.call import call
from sheetcalc.cells.values import CellError
from sheetcalc.hosts.calc.addin import ANSWER_WITHIN, HELLO, packed, received, unpacked


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


def answer(name: str, arguments: Sequence[Any]) -> list[list[Any]]:
    """Answer one call; what is wrong with us, not with the entries, is #VALUE!, and told on stderr."""
    try:
        found = call(name, arguments)
    except Exception as error:
        print(f"{name}: {type(error).__name__}: {error}", file=sys.stderr)
        found = CellError.VALUE
    rows = cast("list[list[Any]]", found) if isinstance(found, list) else [[found]]
    return [[_plain(cell) for cell in row] for row in rows]


def _plain(cell: Any) -> Any:
    if isinstance(cell, CellError):
        return [cell.value]
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
