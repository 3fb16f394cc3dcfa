"""The helper: answers, and nothing else, on the pipe."""

import io
import struct
import subprocess
from typing import Any

import pytest

from sheetcalc.hosts.calc import serve
from sheetcalc.hosts.calc.addin import CODES, HELLO, packed, received, unpacked
from sheetcalc.hosts.calc.extension import command


def exchanged(*calls: Any) -> list[Any]:
    out = io.BytesIO()
    assert serve.answer_all(io.BytesIO(b"".join(map(packed, calls))), out) == 0
    out.seek(0)
    answers: list[Any] = []
    while (data := received(out)) is not None:
        answers.append(unpacked(data))
    return [answers[0], *(tuple(tuple(map(told, row)) for row in rows) for rows in answers[1:])]


def told(cell: Any) -> Any:
    """Return the text of an error that a NaN stands for; any other cell as it is."""
    if cell == cell:
        return cell
    code = struct.unpack("<Q", struct.pack("<d", cell))[0] & 0xFFFF
    return next(text for text, number in CODES.items() if number == code)


def test_calls_are_answered_in_their_order():
    assert exchanged(("INCH_FRACTION", (5.125,)), ("FACE_WIDTH", ("1x99",)), ("INCH_FRACTION", ("",))) == [
        HELLO,
        (("5 1/8",),),
        (("#N/A",),),
        (("#VALUE!",),),
    ]


def test_ranges_and_tables_are_rows():
    (_, marks) = exchanged(("COURSE_MARKS", (24.0, 5.125, 0.5, None, None, None, None, None, 6.0)))
    assert marks[4][0] == 5.0
    assert marks[5] == ("", "", "")
    assert exchanged(("INCH_FRACTION", (((1.5, ""), (2.0, "x")),)))[1] == (
        ("1 1/2", "#VALUE!"),
        ("2", "#VALUE!"),
    )


def test_a_fault_of_ours_is_an_error_in_the_cell_and_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    def fails(*_: Any) -> Any:
        raise ZeroDivisionError("no")

    monkeypatch.setattr(serve, "call", fails)
    ((cell,),) = serve.answer("COURSE_COUNT", ())
    assert told(cell) == "#VALUE!"
    assert capsys.readouterr().err == "COURSE_COUNT: ZeroDivisionError: no\n"


def test_nobody_reads_any_more():
    class Closed(io.BytesIO):
        def write(self, *_: Any) -> int:
            raise BrokenPipeError

    assert serve.answer_all(io.BytesIO(), Closed()) == 0


def test_what_is_printed_is_not_among_the_answers():
    code = (
        "import os, sys; sys.argv = ['x', 'calc', 'serve']\n"
        "import sheetcalc.hosts.calc.serve as s; real = s.call\n"
        "def loud(*words):\n    print('loud', flush=True); os.write(1, b'louder'); return real(*words)\n"
        "s.call = loud\nfrom sheetcalc.cli import main; raise SystemExit(main())"
    )
    asked = packed(("INCH_FRACTION", (5.125,)))
    done = subprocess.run(
        [command()[0], "-c", code], input=asked, capture_output=True, timeout=60, check=True
    )
    assert done.stdout == packed(HELLO) + packed((("5 1/8",),))
    assert b"louder" in done.stderr


def test_it_ends_with_its_pipe():
    done = subprocess.run(command(), input=b"", capture_output=True, timeout=60, check=True)
    assert done.stdout == packed(HELLO)
