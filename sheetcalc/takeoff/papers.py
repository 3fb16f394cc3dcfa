"""The papers that leave the workbook, by the words that ask for them, the sheets that they are, and cautions."""

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

OVERHEAD = (
    "Scaffold over 10 ft (3.0 m) needs fall protection (29 CFR 1926.451(g)(1)); a competent person inspects it before each shift. Local codes decide.",
    "Ladder base a quarter of its working length out (29 CFR 1926.1053(b)(5)(i)). Nail guns: full-sequential trigger (NIOSH 2011-202), eye and hearing protection.",
)
"""Cautions for whoever works overhead."""


def _if_old(words: str) -> str:
    """Say something where the house is from before the year of the lead rules."""
    return f'=IF({{lead_due?}}=1,"{words}","")'


LEAD = (
    _if_old(
        'House from before "&{lead_year?}&": paint may hold lead. Disturb none except lead-safe; local rules may ask more.'
    ),
    _if_old(
        "Certified firm once 6 ft² (0.56 m²) inside or 20 ft² (1.9 m²) outside is disturbed (40 CFR 745 Subpart E)."
    ),
)
"""Caution for the crew; first among others: on paper, words over blank rows go like heads of an empty block."""

LEAD_OWNER = (
    _if_old(
        'Your house is from before "&{lead_year?}&": its paint may hold lead. Where it is disturbed, work is lead-safe,'
    ),
    _if_old("by a certified firm where the rule (40 CFR 745 Subpart E) or local rules ask for one."),
)
"""The same for the owner."""
