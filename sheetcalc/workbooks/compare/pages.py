"""What stands in the file of a comparison."""

from collections import Counter

from sheetcalc.workbooks.compare.files import Graph, Page
from sheetcalc.workbooks.compare.screen import CHEAPEST
from sheetcalc.workbooks.compare.vary import Comparison
from sheetcalc.workbooks.compare.what_if import Shown


def compared(comparison: Comparison) -> Page:
    """Every combination: what was varied, what was shown, the cheapest marked, the price as a chart."""
    cells = [*comparison.varied, *comparison.shown]
    cheapest = set(comparison.cheapest)
    several = Counter(cell.label for cell in cells)
    heads = [
        f"{cell.label} ({cell.handle})" if several[cell.label] > 1 else cell.label or cell.handle
        for cell in cells
    ]
    rows = [
        [", ".join(row.texts), *row.typed, *row.values, CHEAPEST if number in cheapest else None]
        for number, row in enumerate(comparison.rows)
    ]
    price = comparison.price
    at = None if price is None else 1 + len(comparison.varied) + price
    return Page(
        title=f"Compare: {comparison.file}",
        handles=["combination", *(cell.handle for cell in cells), CHEAPEST],
        heads=["Combination", *heads, "Cheapest"],
        looks=["General", *map(_looks, cells), "General"],
        rows=rows,
        says=comparison.reasons,
        graph=Graph("Price", "Price of each combination.", 0, [at]) if at is not None else None,
    )


def _looks(cell: Shown) -> str:
    """Its number format; a typed fraction of any kind is shown as it was typed."""
    return "# ??/??" if cell.looks.fraction else str(cell.looks)
