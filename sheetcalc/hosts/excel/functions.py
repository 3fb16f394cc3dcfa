"""The module that xlwings imports: one function of its kind for every cell function.

In xlwings' own words it is a UDF module: ``sheetcalc.hosts.excel.functions``.
"""

from importlib.util import find_spec

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.hosts.excel.wrappers import published, wrapper

# Off Windows xlwings need not be there, and nobody calls these.
_made = published if find_spec("xlwings") else wrapper

for _function in REGISTRY.values():
    globals()[_function.name] = _made(_function)
