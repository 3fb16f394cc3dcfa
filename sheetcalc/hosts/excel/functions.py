"""The module that xlwings imports: one function of its kind for every cell function.

In xlwings' own words it is a UDF module: ``sheetcalc.hosts.excel.functions``.
"""

from sheetcalc.cells.registry import REGISTRY
from sheetcalc.hosts.excel.wrappers import published, wrapper

try:
    import xlwings  # noqa: F401
except ImportError:  # off Windows it need not be there, and nobody calls these
    _made = wrapper
else:
    _made = published

for _function in REGISTRY.values():
    globals()[_function.name] = _made(_function)
