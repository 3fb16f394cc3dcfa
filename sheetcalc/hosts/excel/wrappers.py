"""Every cell function as xlwings calls it: explicit arguments, ranges as rows, errors as text.

The wrappers follow from the registry. They have no annotations, which xlwings would read as converters, and
no keyword-only arguments, which it refuses.
"""

import datetime as dt
import inspect
import sys
from collections.abc import Callable
from typing import Any, cast

from sheetcalc.cells.call import Argument, call
from sheetcalc.cells.help import arguments
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.cells.values import CellError, Range

LONGEST_TEXT = 255
"""No help text of a function or an argument may be longer."""

CATEGORY = "Porch ceilings"
"""Where the dialog Insert Function lists them."""

# MS-VBAL, VBA Language Specification, 3.3.5.2 Reserved Identifiers. "Step" stands in its grammar, not in that
# list; the editor is said to refuse it, so it counts.
RESERVED = frozenset(
    """
    call case close const declare defbool defbyte defcur defdate defdbl defint deflng deflnglng deflngptr defobj
    defsng defstr defvar dim do else elseif end endif enum erase event exit for friend function get global gosub
    goto if implements input let lock loop lset next on open option print private public put raiseevent redim
    resume return rset seek select set static stop sub type unlock wend while with write
    rem any as byref byval each in new shared until withevents optional paramarray preserve spc tab then to
    addressof and eqv imp is like mod not or typeof xor
    abs cbool cbyte ccur cdate cdbl cdec cint clng clnglng clngptr csng cstr cvar cverr date debug doevents fix
    int len lenb me pset scale sgn string array circle inputb lbound ubound
    boolean byte currency double integer long longlong longptr single variant true false nothing empty null
    attribute lineinput vb_base vb_control vb_creatable vb_customizable vb_description vb_exposed vb_ext_key
    vb_globalnamespace vb_helpid vb_invoke_func vb_invoke_property vb_invoke_propertyput
    vb_invoke_propertyputref vb_memberflags vb_name vb_predeclaredid vb_procdata vb_templatederived
    vb_usermemid vb_vardescription vb_varhelpid vb_varmemberflags vb_varprocdata vb_varusermemid
    cdecl decimal defdec
    step property
    """.split()
)
"""Words that VBA keeps for itself, in lower case."""

_ERRORS: dict[Any, CellError] = {error.value: error for error in CellError}
_DAY_0 = dt.datetime(1899, 12, 30)


def argument_name(name: str) -> str:
    """Name an argument in VBA, which knows no upper and lower case and keeps words for itself.

    Examples
    --------
    >>> argument_name("across"), argument_name("function"), argument_name("cut_length")
    ('across', 'function_', 'cut_length_')
    """
    taken = name in RESERVED or name.upper() in REGISTRY
    return f"{name}_" if taken else name


def argument_texts(function: CellFunction) -> list[str]:
    """Word the help of every argument, in the order of a cell."""
    texts = (
        f"{each.meaning} ({each.takes})" if each.meaning else each.takes for each in arguments(function)
    )
    return [
        text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1].rstrip()}…" for text in texts
    ]


def serial(year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0, **_: Any) -> float:
    """Return the number that a cell holds for a date, which is what the other hosts hand over.

    Examples
    --------
    >>> serial(2024, 3, 8, hour=12)
    45359.5
    """
    return (dt.datetime(year, month, day, hour, minute, second) - _DAY_0) / dt.timedelta(days=1)


def wrapper(function: CellFunction) -> Callable[..., list[list[Any]]]:
    """Build what xlwings calls: it takes rows of cells and returns rows of cells, errors as text in both.

    Whatever goes wrong with us, not with the entries, is #VALUE! and is told on standard error, which xlwings
    shows in its console.
    """

    def answer(*given: Any) -> list[list[Any]]:
        try:
            found = call(function, [_argument(each) for each in given])
        except Exception as error:
            print(f"{function.name}: {type(error).__name__}: {error}", file=sys.stderr)
            found = CellError.VALUE
        rows = cast("list[list[Any]]", found) if isinstance(found, list) else [[found]]
        return [[_plain(cell) for cell in row] for row in rows]

    answer.__name__ = answer.__qualname__ = function.name
    answer.__doc__ = function.summary
    answer.__signature__ = _signature(function)  # type: ignore[attr-defined]
    return answer


def published(function: CellFunction) -> Callable[..., list[list[Any]]]:
    """Build the wrapper of a function and tell xlwings of it; off Windows its decorators do nothing."""
    from xlwings import arg, func

    wrapped = func(category=CATEGORY)(wrapper(function))
    for parameter, text in zip(function.parameters, argument_texts(function), strict=True):
        name = argument_name(parameter.name)
        wrapped = arg(name, doc=text, ndim=2, err_to_str=True, dates=serial)(wrapped)
    return wrapped


def _signature(function: CellFunction) -> inspect.Signature:
    # xlwings takes no defaults beside any number of arguments.
    rest = function.takes_rest
    return inspect.Signature(
        inspect.Parameter(
            argument_name(each.name),
            inspect.Parameter.VAR_POSITIONAL if each.rest else inspect.Parameter.POSITIONAL_OR_KEYWORD,
            default=None if each.optional and not rest else inspect.Parameter.empty,
        )
        for each in function.parameters
    )


def _argument(given: Any) -> Argument:
    # Rows of cells; None where nothing was given.
    if not isinstance(given, list):
        return cast("Argument", given)
    rows = cast("Range", given)
    return [[_ERRORS.get(cell, cell) for cell in row] for row in rows]


def _plain(cell: Any) -> Any:
    if isinstance(cell, CellError):
        return cell.value
    return "" if cell is None else cell
