"""What our workbook says: one module per sheet, and the demo job."""

from sheetcalc import __version__
from sheetcalc.takeoff import (
    bid,
    boards,
    checks,
    compare,
    functions,
    hours,
    layout,
    measure,
    notes,
    order,
    plan,
    price,
    saw,
    shapes,
    site,
    start,
    ways,
    working,
    yard,
)
from sheetcalc.workbooks.declare import Sheet
from sheetcalc.workbooks.systems import in_system

INSIDE = ("Ways", "Working", "Functions")
"""Sheets of which a person needs no names: they hold how the others are worked out."""


def sheets(system: str = "us") -> tuple[Sheet, ...]:
    """Declare the takeoff workbook.

    Parameters
    ----------
    system : str
        "us" or "metric".

    Returns
    -------
    tuple of Sheet
        In the order of their tabs.
    """
    declared = (
        start.SHEET,
        measure.SHEET,
        shapes.SHEET,
        boards.SHEET,
        layout.SHEET,
        plan.SHEET,
        saw.SHEET,
        order.SHEET,
        yard.SHEET,
        hours.SHEET,
        price.SHEET,
        bid.SHEET,
        compare.SHEET,
        checks.SHEET,
        site.SHEET,
        notes.sheet(__version__),
        functions.sheet(),
    )
    shown = in_system(declared, system)
    return (*shown, *in_system([ways.sheet(compare.PRICES), working.sheet(shown)], system))
