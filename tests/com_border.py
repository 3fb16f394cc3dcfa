"""xlwings as it is on Windows, up to the COM border: what it needs of Windows is made up here.

pywin32 and the handful of ctypes names that xlwings imports are stand-ins; xlwings itself is the real one.
What Excel hands over is plain: numbers, text, True, None for an empty cell, whole numbers for errors and for
arguments left out, tuples of tuples for ranges. A `CellRange` stands for a range object.
"""

import asyncio
import ctypes
import datetime as dt
import importlib
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

MISSING = -2147352572  # DISP_E_PARAMNOTFOUND, as a whole number: an argument left out
ERRORS = {  # 0x800A0000 and the number of CVErr, as whole numbers
    "#NULL!": -2146826288,
    "#DIV/0!": -2146826281,
    "#VALUE!": -2146826273,
    "#REF!": -2146826265,
    "#NAME?": -2146826259,
    "#NUM!": -2146826252,
    "#N/A": -2146826246,
}
_RANGE = "{00020846-0000-0000-C000-000000000046}"
_PYWIN32 = [
    "pythoncom",
    "pywintypes",
    "win32api",
    "win32con",
    "win32event",
    "win32gui",
    "win32process",
    "win32timezone",
    "win32com",
    "win32com.client",
    "win32com.server",
    "win32com.server.dispatcher",
    "win32com.server.policy",
    "win32com.server.util",
]


class CellRange:
    """A range object; `Value` has dates and Decimals, `Value2` plain numbers, as in Excel."""

    def __init__(self, value: Any, value2: Any = None) -> None:
        self.Value = value
        self.Value2 = value if value2 is None else value2
        self._oleobj_ = self
        rows = value if isinstance(value, tuple) else ((value,),)
        self.Row = self.Column = 1
        self.Rows = types.SimpleNamespace(Count=len(rows))
        self.Columns = types.SimpleNamespace(Count=len(rows[0]))
        book = types.SimpleNamespace(Application=types.SimpleNamespace(Hwnd=1))
        self.Worksheet = types.SimpleNamespace(Parent=book)

    def GetTypeInfo(self) -> "CellRange":  # noqa: N802
        return self

    def GetTypeAttr(self) -> Any:  # noqa: N802
        return types.SimpleNamespace(iid=_RANGE)


class ComTime(dt.datetime):
    """A date as COM hands it over."""


class _Anything:
    """A Windows library that takes every call and does nothing."""

    def __getattr__(self, name: str) -> Any:
        return self

    def __call__(self, *_: Any) -> Any:
        return self


def _stand_ins() -> dict[str, types.ModuleType]:
    made = {name: types.ModuleType(name) for name in _PYWIN32}
    for name, module in made.items():
        if "." in name:
            parent, _, child = name.rpartition(".")
            setattr(made[parent], child, module)
    made["pythoncom"].__file__ = "pythoncom.dll"
    made["win32process"].GetWindowThreadProcessId = lambda _: (1, 1)  # type: ignore[attr-defined]
    no_dispatch = type("PyIDispatch", (), {})
    made["pythoncom"].IID_IDispatch = "IDispatch"  # type: ignore[attr-defined]
    made["pythoncom"].TypeIIDs = {"IDispatch": no_dispatch}  # type: ignore[attr-defined]
    made["pythoncom"].CoInitialize = lambda: None  # type: ignore[attr-defined]
    made["pywintypes"].com_error = type("com_error", (Exception,), {})  # type: ignore[attr-defined]
    made["pywintypes"].TimeType = ComTime  # type: ignore[attr-defined]
    made["pywintypes"].IID = str  # type: ignore[attr-defined]
    for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass", "DispatchEx"):
        setattr(made["win32com.client"], name, type(name, (), {}))

    made["win32com.client"].Dispatch = lambda what: what  # type: ignore[attr-defined]

    def unwrap(what: Any) -> Any:
        raise TypeError(f"{what} wraps no Python object")

    made["win32com.server.util"].unwrap = unwrap  # type: ignore[attr-defined]
    return made


@contextmanager
def windows() -> Iterator[Any]:
    """Yield xlwings imported as on Windows; afterwards neither it nor what was made up is left."""
    ours = ("xlwings", "sheetcalc.hosts.excel.functions", *_PYWIN32)

    def mine() -> list[str]:
        return [name for name in sys.modules if name.split(".")[0] == "xlwings" or name in ours]

    before = {name: sys.modules.pop(name) for name in mine()}
    platform = sys.platform
    libraries = {name: getattr(ctypes, name, None) for name in ("windll", "oledll", "PyDLL")}
    assert asyncio  # imported while the platform is still its own
    try:
        sys.modules.update(_stand_ins())
        for name in libraries:
            setattr(ctypes, name, _Anything())
        sys.platform = "win32"
        try:
            xlwings = importlib.import_module("xlwings")
        finally:
            sys.platform = platform
        yield xlwings
    finally:
        for name in mine():
            del sys.modules[name]
        for name, library in libraries.items():
            if library is None:
                delattr(ctypes, name)
            else:
                setattr(ctypes, name, library)
        sys.modules.update(before)
