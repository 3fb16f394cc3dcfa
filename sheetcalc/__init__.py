"""Cell functions and a takeoff workbook for finish carpenters who line porch ceilings with boards.

Every cell function is a Python function here, its name in lower case; numbers are in us units, lengths in
inches.

>>> from sheetcalc import course_count
>>> course_count(across=120, face=5.125, gap=0.5)
24
"""

from collections.abc import Callable
from typing import Any

__version__ = "0.2.0"


def _functions() -> dict[str, Callable[..., Any]]:
    from sheetcalc.cells.registry import (
        REGISTRY,
    )  # when first asked for: whoever imports a part gets no other

    return {function.python.__name__: function.python for function in REGISTRY.values() if function.has_units}


def __getattr__(name: str) -> Any:
    if name == "__all__":
        return [*_functions(), "__version__"]
    words = name.strip("_").split("_")
    if len(words) > 1 and name in (functions := _functions()):  # no module here has a name of two words
        return functions[name]
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__getattr__("__all__")})
