"""The door to the solver: lengths as whole steps of the tape, prices as whole cents.

Decimal feet refuse some exact fits and allow some that are none; whole steps do neither.
"""

from collections.abc import Sequence
from math import gcd
from typing import Annotated

from sheetcalc.compare import round_down, round_up
from sheetcalc.errors import InputError, NotReadable, above, at_least, within
from sheetcalc.kinds import LENGTH, InMetric
from sheetcalc.solver.cutting import Stock
from sheetcalc.trade.price import cents, exact

Step = Annotated[float, LENGTH, InMetric(0.1)]
"""The step that lengths are counted in [in]; keyword-only, a tenth of a millimetre in a metric call."""

STEP = 1 / 64

LONGEST = 1e5
"""Stock longer than this [in] is a slip of the pen, and would keep the solver busy with nothing."""


def long_steps(length: float, step: float) -> int:
    """Count the steps that a piece, a saw cut or a trim takes: rounded up."""
    return round_up(length / step)


def short_steps(length: float, step: float) -> int:
    """Count the steps that a board yields: rounded down."""
    return round_down(length / step)


def check_stock(stock: Sequence[float], prices: Sequence[float], kerf: float, end_trim: float) -> None:
    """Refuse stock lengths, prices, saw cut and trim that no yard and no saw has."""
    if not stock:
        raise NotReadable("stock", stock, "must hold a length")
    beside("prices", prices, "stock", stock)
    for length in stock:
        above(0, stock=length)
        within(0, LONGEST, "must be a length that a board can have", stock=length)
    for price in prices:
        at_least(0, prices=price)
    at_least(0, kerf=kerf, end_trim=end_trim)


def beside(name: str, values: Sequence[object], other: str, others: Sequence[object]) -> None:
    """Refuse a list that is not as long as the one that it stands beside."""
    if len(values) != len(others):
        raise NotReadable(name, values, f"must have as many cells as {other}")


def check_effort(effort: float) -> None:
    """Refuse an effort that is none, or beyond patience."""
    above(0, effort=effort)
    if effort > MOST_EFFORT:
        raise InputError("effort", effort, f"must be {MOST_EFFORT} at most")


MOST_EFFORT = 1000
"""More would only run into the limit of time."""


def offers(
    stock: Sequence[float],
    prices: Sequence[float],
    available: Sequence[float | None],
    kerf: float,
    end_trim: float,
    step: float,
) -> list[Stock]:
    """Return the boards on offer, each longer by the saw cut that its last piece saves, never under 0."""
    cut = long_steps(kerf, step) - long_steps(end_trim, step)
    return [
        Stock(
            max(0, short_steps(length, step) + cut), cents(exact(price)), None if most is None else int(most)
        )
        for length, price, most in zip(stock, prices, available, strict=True)
    ]


def coarser(sizes: Sequence[int], boards: Sequence[Stock]) -> tuple[tuple[int, ...], tuple[Stock, ...]]:
    """Return sizes and boards in the largest step that all sizes are multiples of."""
    common = gcd(*sizes) or 1
    return (
        tuple(size // common for size in sizes),
        tuple(board._replace(size=board.size // common) for board in boards),
    )
