"""What stands in the file of a comparison."""

from collections import Counter

from sheetcalc.cells.values import Cell
from sheetcalc.workbooks.compare.files import Graph, Page
from sheetcalc.workbooks.compare.sensitivity import Sensitivity
from sheetcalc.workbooks.compare.vary import CHEAPEST, Comparison
from sheetcalc.workbooks.compare.what_if import Shown
from sheetcalc.workbooks.shown import shown

_SIGNED = "+{0};-{0};0"  # a change


def compared(comparison: Comparison) -> Page:
    """Every combination: what was varied, what was shown, the cheapest marked, the price as a chart."""
    cells = [*comparison.varied, *comparison.shown]
    marks = comparison.marks
    several = Counter(cell.label for cell in cells)
    heads = [
        f"{cell.label} ({cell.handle})" if several[cell.label] > 1 else cell.label or cell.handle
        for cell in cells
    ]
    rows = [
        [", ".join(row.texts), *row.typed, *row.values, marks[number] or None]
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


def moved(found: Sensitivity) -> Page:
    """List what moves a result, the largest move on top, as two bars for each entry."""
    label = found.of.label or found.of.handle
    rows: list[list[Cell]] = []
    for one in found.moves:
        less, more = found.change(one)
        rows.append([one.label or one.handle, one.handle, one.value, one.step, less, more])
    stuck = [f"{one.label or one.handle} ({one.handle}) by {one.step} {one.reason}" for one in found.stuck]
    return Page(
        title=f"What moves {label.lower()}: {found.file}",
        handles=["label", "entry", "now", "step", "less", "more"],
        heads=["Entry", "Handle", "Now", "Step", "By it less", "By it more"],
        looks=["General"] * 4 + [_SIGNED.format(found.of.looks)] * 2,
        rows=rows,
        says=[
            f"{label} is {shown(found.now, found.of.looks)}. {found.steps}",
            f"{found.still} entries move nothing by their step.",
            *stuck,
        ],
        graph=Graph(
            f"Change of {label.lower()}", "Change by each entry's step, less and more.", 0, [4, 5], flat=True
        ),
    )


def _looks(cell: Shown) -> str:
    """Its number format; a typed fraction of any kind is shown as it was typed."""
    return "# ??/??" if cell.looks.fraction else str(cell.looks)
