"""Arguments of every function with a native form, where they stand, and when two answers are the same."""

import math
from typing import Any

from hypothesis import strategies as st

from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, CellFunction, Parameter
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.kinds import COUNT, COURSES, LENGTH, MONEY, PERCENT, SHARE, TEXT, Takes
from sheetcalc.workbooks.plain import FORMS, Form
from sheetcalc.xlsx.formulas import address

READINGS, LISTED, ROWS = 3, 5, 30  # cells of readings, of a list, rows of a table
CALLED = [
    name
    for name, form in FORMS.items()
    if isinstance(form, Form) and name in REGISTRY and name not in ("ENTRY_PROBLEM", "FUNCTION_VERSION")
]
"""Functions with a native form, but those that tell of functions."""


def _width(parameter: Parameter) -> int:
    if parameter.takes is Takes.LIST:
        return LISTED
    return READINGS if parameter.takes in (Takes.READINGS, Takes.CEILINGS) else 1


def places(function: CellFunction, row: int) -> dict[str, list[str]]:
    """Cells of every argument, side by side in a row."""
    found: dict[str, list[str]] = {}
    at = 1
    for parameter in function.inputs:
        found[parameter.name] = [address(row, at + more) for more in range(_width(parameter))]
        at += _width(parameter)
    return found


def size(function: CellFunction) -> tuple[int, int]:
    """Rows and columns of the answer."""
    if not function.columns:
        return 1, 1
    return (READINGS if function.rows_at is None else ROWS), len(function.columns)


def formula(function: CellFunction, row: int, system: str) -> str:
    """Call with all its arguments in the cells of a row."""
    parts = [
        cells[0] if len(cells) == 1 else f"{cells[0]}:{cells[-1]}" for cells in places(function, row).values()
    ]
    if function.columns and function.rows_at is not None:
        parts.insert(function.rows_at, str(ROWS))
    return f'={function.name}({",".join(parts)},"{system}")'


def python(function: CellFunction, values: dict[str, list[Cell]], system: str) -> list[list[Cell]]:
    """Answer of the function, row by row."""
    arguments_: list[Any] = [cells[0] if len(cells) == 1 else [[*cells]] for cells in values.values()]
    if function.columns and function.rows_at is not None:
        arguments_.insert(function.rows_at, float(ROWS))
    answer = call(function, [*arguments_, system])
    high, wide = size(function)
    return answer if isinstance(answer, list) else [[answer] * wide] * high


def agree(function: CellFunction, native: list[list[Cell]], plain: list[list[Cell]]) -> bool:
    """Tell whether cells show what the function answers."""
    if function.name == "LAYOUT_TABLE":  # of one ceiling; the rows below stay blank whatever that one shows
        native, plain = native[:1], plain[:1]
    return all(same(*pair) for rows in zip(native, plain, strict=True) for pair in zip(*rows, strict=True))


def same(native: Cell, python: Cell) -> bool:
    """Tell whether a cell shows what the function answers; of several faults any error may be shown."""
    if isinstance(python, CellError) or isinstance(native, CellError):
        return isinstance(native, CellError) and isinstance(python, CellError)
    if python in (None, "") or native in (None, ""):
        return native in (None, "") and python in (None, "")
    if isinstance(python, str) or isinstance(native, str):
        return native == python
    return math.isclose(native, python, rel_tol=1e-9, abs_tol=1e-9)


# --- Values that a job brings, with the borders among them ---

DUST = st.sampled_from((0.0, 0.0, 0.0, 1e-12, -1e-12, 1e-6, -1e-6, 1 / 64, -1 / 64))
FACES = st.sampled_from((3.125, 5.125, 6.875, 5.0, 2.5))
SIXTEENTHS = st.integers(0, 160).map(lambda parts: parts / 16)


@st.composite
def arguments(draw: st.DrawFn, function: CellFunction, system: str) -> dict[str, list[Cell]]:
    """Arguments of a call, most of them in their range; a blank where a default may stand in."""
    face = draw(FACES)
    gap = draw(st.sampled_from((0.0, 0.25, 0.5, 0.75)))
    courses = draw(st.integers(1, ROWS - 1))
    rest = draw(st.one_of(st.just(0.0), st.just(face / 2), st.integers(0, 80).map(lambda parts: parts / 16)))
    width = courses * face + 2 * gap + min(rest, face) + draw(DUST)
    known: dict[str, st.SearchStrategy[Any]] = {
        "face": st.just(face),
        "gap": st.just(gap),
        "finish_gap": st.sampled_from((None, gap, 0.5, 0.0)),
        "least": st.sampled_from((None, 0.0, face / 2, face, 1.5)),
        "take_up": st.sampled_from((None, 0.0, 1 / 64, 0.25, 1.0)),
        "position": st.integers(0, 16).map(lambda part: gap + part * face / 2)
        | SIXTEENTHS.map(lambda at: at * 3),
        "size": st.sampled_from((face, 2 * face, 6.0, 0.5)),
        "cut_length": st.sampled_from((90.0, 95.5, 96.0, width - 1)),
        "nominal": st.sampled_from(("1x6", "1 x 8", "1X4", "5/4x6", "1-1/4 x 6", "2x", "1x14", None))
        | st.sampled_from(("19x135x121 mm", "9.5 × 92 X 82MM", "19x121 mm", "19x121x135 mm", "0x2x1mm")),
        "species": st.sampled_from(
            (
                "western redcedar",
                "Douglas-fir, coast",
                "Coast Douglas fir",
                "  ponderosa pine ",
                "oak of nowhere",
                None,
            )
        ),
        "parts": st.sampled_from((None, 1.0, 2.0, 10.0, 3.0)),
        "denominator": st.sampled_from((None, 1.0, 8.0, 16.0, 64.0, 7.0)),
        "coefficient": st.sampled_from((0.00234, 0.0, 0.011)),
        "temperature": st.integers(0, 120).map(float),
        "diagonal_1": st.integers(80, 400).map(float),
        "diagonal_2": st.integers(80, 400).map(float),
        "angle": st.sampled_from((None, 45.0, 90.0, 30.0, 0.0)),
        "crew": st.integers(0, 4).map(float),
        "day": st.sampled_from((None, 8.0, 10.0, 25.0)),
        "step": st.sampled_from((None, 0.5, 0.25, 5.0)),
        "good_boards": st.integers(0, 120).map(float),
        "ordered": st.integers(0, 140).map(float),
        "confidence": st.sampled_from((None, 0.9, 0.95, 0.999, 1.0)),
        "per_1000": st.sampled_from((None, 40.0)),
        "at_least": st.sampled_from((None, 10.0)),
        "limit": st.sampled_from((18.0, 12.0, 16.0)),
        "target": st.sampled_from((None, 12.0, 9.0)),
        "tolerance": st.sampled_from((None, 2.0)),
        "most_gap": st.sampled_from((None, 0.75, 1.0, 0.25)),
        "least_gap": st.sampled_from((None, 0.25, 0.0)),
        "roll_width": st.sampled_from((36.0, 108.0, 5.0)),
        "roll_length": st.sampled_from((1200.0, 2400.0)),
        "lap": st.sampled_from((None, 6.0, 4.0)),
        "spacing": st.sampled_from((16.0, 24.0, 0.0)),
        "first": st.sampled_from((None, 0.0, 8.0)),
        "price": st.integers(0, 100_000).map(lambda cents: cents / 100),
        "longest": st.none(),
    }
    found: dict[str, list[Cell]] = {}
    for parameter in function.inputs:
        one = parameter.name
        if parameter.takes in (Takes.READINGS, Takes.CEILINGS):
            off = st.sampled_from((None, 0.0, 0.0, 0.25, -0.5, 1.0, -2.0, 6.0, 1 / 64))
            offs = [draw(off) for _ in range(READINGS)]
            values: list[Cell] = [None if each is None else width + each for each in offs]
        elif parameter.takes is Takes.LIST:
            values = [draw(_plain(parameter)) for _ in range(LISTED)]
            if one == "shares":
                values = draw(
                    st.sampled_from(
                        (
                            [0.3, 0.3, 0.4, None, None],
                            [1.0, None, None, None, None],
                            [0.5, 0.6, None, None, None],
                            [0.2] * 5,
                        )
                    )
                )
            elif one in ("rejected", "delivered"):
                values = [value if value != 2.5 else 2.0 for value in values]
            elif one in ("stock",):
                values = draw(st.permutations((96.0, 120.0, 144.0, None, 192.0)))
        elif parameter.choices:
            values = [draw(st.sampled_from((*parameter.choices, parameter.choices[0].upper(), None, "else")))]
        else:
            values = [draw(known.get(one, _plain(parameter)))]
        convert = parameter.kind.units is not None and system == "metric"
        found[one] = [
            _metric(value, parameter) if convert and isinstance(value, float) else value for value in values
        ]
    return found


def _metric(value: float, parameter: Parameter) -> float:
    if parameter.kind is LENGTH:
        return value * 25.4
    return value


def _plain(parameter: Parameter) -> st.SearchStrategy[Any]:
    kinds: dict[Any, st.SearchStrategy[Any]] = {
        LENGTH: SIXTEENTHS,
        COUNT: st.integers(0, 60).map(float) | st.just(2.5),
        SHARE: st.sampled_from((0.0, 0.05, 0.1, 0.333, 0.9, 1.0)),
        PERCENT: st.sampled_from((0.0, 0.5, 1.0, 8.0, 12.0, 18.0, 19.0, 35.0, 100.0)),
        MONEY: st.integers(0, 50_000).map(lambda cents: cents / 100),
        TEXT: st.sampled_from(("1x6", None)),
        COURSES: st.integers(1, 9).map(float),
    }
    some = kinds.get(parameter.kind, st.integers(0, 4_000).map(lambda parts: parts / 8))
    wrong = st.sampled_from((-1.0, "what", None))
    return st.one_of(some, some, some, some, some, st.none() if parameter.optional else wrong)
