"""The papers that leave the workbook, by the words that ask for them, and the sheets that they are."""

PAPERS: dict[str, tuple[str, ...]] = {
    "scaffold": ("Layout", "Plan"),
    "saw": ("Saw",),
    "yard": ("Yard",),
    "inside": ("Price",),
    "bid": ("Bid",),
    "site": ("Site",),
}
"""In the order in which they are printed: that of the tabs."""

USUAL = ("scaffold", "saw", "yard", "bid")
"""Printed unless others are asked for: what the inside page says is not for the owner, nor for the yard."""

FIRMS_OWN = ("Hours", "Price")
"""Sheets with figures that are for the firm alone, but for what the bid shows of them."""
