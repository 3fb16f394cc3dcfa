"""What-ifs, computed formula by formula: only what an entry changes, and no further than anything changes.

The engine recomputes whatever depends on an entry, whether or not it comes out the same, and takes ten times
as long for it. Here only the commonest operations are known (`functions.py`); whoever meets anything else, or
a value that could be meant in two ways, gives up with `NotQuick`, and the engine is asked.
"""

from sheetcalc.hosts.quick.functions import NotQuick
from sheetcalc.hosts.quick.sheet import Quick

__all__ = ["NotQuick", "Quick"]
