"""The papers that leave the workbook, by the words that ask for them, and the sheets that they are."""

PAPERS: dict[str, tuple[str, ...]] = {
    "yard": ("Yard",),
    "saw": ("Saw",),
    "scaffold": ("Plan", "Layout"),
    "bid": ("Bid",),
    "inside": ("Price",),
    "site": ("Site",),
}

USUAL = ("yard", "saw", "scaffold", "bid")
"""Printed unless others are asked for: what the inside page says is not for the owner, nor for the yard."""
