"""Names that VBA can take: it knows no upper and lower case, and keeps words for itself."""

from sheetcalc.cells.registry import REGISTRY

# MS-VBAL, VBA Language Specification, 3.3.5.2 Reserved Identifiers; the last line stands in its grammar only.
RESERVED = frozenset(
    """
    call case close const declare defbool defbyte defcur defdate defdbl defint deflng deflnglng deflngptr
    defobj defsng defstr defvar dim do else elseif end endif enum erase event exit for friend function get
    global gosub goto if implements input let lock loop lset next on open option print private public put
    raiseevent redim resume return rset seek select set static stop sub type unlock wend while with write
    rem any as byref byval each in new shared until withevents optional paramarray preserve spc tab then to
    addressof and eqv imp is like mod not or typeof xor
    abs cbool cbyte ccur cdate cdbl cdec cint clng clnglng clngptr csng cstr cvar cverr date debug doevents
    fix int len lenb me pset scale sgn string array circle inputb lbound ubound
    boolean byte currency double integer long longlong longptr single variant true false nothing empty null
    attribute lineinput cdecl decimal defdec
    property step
    """.split()  # noqa: SIM905
)
"""Words that VBA keeps for itself, in lower case."""


def argument_name(name: str) -> str:
    """Name an argument so that it is no word of VBA and no cell function.

    VBA shows every name of a project in the one case that it met last: an argument ``cut_length`` would make
    Excel write the function in lower case.

    Examples
    --------
    >>> argument_name("across"), argument_name("function"), argument_name("cut_length")
    ('across', 'function_', 'cut_length_')
    """
    taken = name in RESERVED or name.upper() in REGISTRY
    return f"{name}_" if taken else name
