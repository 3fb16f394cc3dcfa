"""The extension as a file: what LibreOffice must be told of every function, generated from the registry.

An .oxt is a zip archive: the functions as an interface (UNO's interface language), their names and help (the
configuration ``CalcAddIns``), a job for loaded files (``Jobs``), and the add-in itself.
"""

import json
import sys
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from sheetcalc import __version__
from sheetcalc.cells.help import arguments
from sheetcalc.cells.registry import REGISTRY, CellFunction
from sheetcalc.hosts.calc.addin import FUNCTIONS, NAMES
from sheetcalc.xlsx.package import FileProblem

IDENTIFIER = "sheetcalc"
CATEGORY = "Add-In"
"""Calc takes no category but its own; this one holds what is added."""

_XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
_REGISTRY = 'xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"'
_ROWS = "sequence<sequence<any> >"
_LONGEST_ARGUMENT = 255


def command() -> list[str]:
    """Return what starts the helper: this Python, with nothing taken from the folder it is started in."""
    return [sys.executable, "-E", "-P", "-m", "sheetcalc.cli", "calc", "serve"]


def extension(starts: Sequence[str] | None = None, functions: Mapping[str, CellFunction] = REGISTRY) -> bytes:
    """Pack the extension: the same bytes from the same functions.

    Parameters
    ----------
    starts : sequence of str, optional
        The command that starts the helper.
    functions : mapping, optional
        The functions by their names.
    """
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts(starts, functions).items():
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 3
            info.external_attr = 0o644 << 16
            archive.writestr(info, text.encode("utf-8"))
    return out.getvalue()


def parts(
    starts: Sequence[str] | None = None, functions: Mapping[str, CellFunction] = REGISTRY
) -> dict[str, str]:
    """Write every file of the extension, by its name."""
    every = list(functions.values())
    return {
        "META-INF/manifest.xml": _manifest(),
        "description.xml": _description(),
        "functions.idl": interface(every),
        "CalcAddIns.xcu": configuration(every),
        "Jobs.xcu": _jobs(),
        "addin.components": _components(),
        "helper.json": _helper(starts, every),
        "addin.py": files("sheetcalc.hosts.calc").joinpath("addin.py").read_text(encoding="utf-8"),
    }


def write(path: Path, *, force: bool = False) -> None:
    """Write the extension to a file.

    Raises
    ------
    FileProblem
        The name does not end in .oxt, or a file of that name exists and `force` is not given.
    """
    if path.suffix.lower() != ".oxt":
        raise FileProblem(f"The name of an extension ends in .oxt, but “{path}” does not.")
    if path.exists() and not force:
        raise FileProblem(f"{path.name} already exists; with --force it is overwritten.")
    path.write_bytes(extension())


def interface(functions: Iterable[CellFunction]) -> str:
    """Declare the functions to UNO.

    An answer is rows: `any` cannot carry an array, and rows of one cell serve wherever one value is meant.
    But Calc takes no text in rows for equal to the same text elsewhere, so functions that answer text give
    `any`.
    """
    methods = "".join(
        f"    {'any' if _answers_text(each) else _ROWS} {each.name}({_idl_arguments(each)});\n"
        for each in functions
    )
    return f"module sheetcalc {{\n  interface XFunctions {{\n{methods}  }};\n}};\n"


def _idl_arguments(function: CellFunction) -> str:
    return ", ".join(
        f"[in] {'sequence<any>' if each.rest else 'any'} {_place(place)}"
        for place, each in enumerate(function.parameters)
    )


def _answers_text(function: CellFunction) -> bool:
    return function.answer is not None and function.answer.name == "text"


def _place(place: int) -> str:
    return f"A{place:02}"  # the office puts arguments in the order of these names


def configuration(functions: Iterable[CellFunction]) -> str:
    """Tell names and help of the functions and their arguments."""
    nodes = "".join(
        _node(
            each.name,
            _text("DisplayName", each.name)
            + _text("CompatibilityName", each.name)
            + _text("Description", each.summary)
            + _value("Category", CATEGORY)
            + _set(
                "Parameters",
                "".join(
                    _node(_place(place), _text("DisplayName", name) + _text("Description", text))
                    for place, (name, text) in enumerate(_arguments(each))
                ),
            ),
        )
        for each in functions
    )
    inside = _set("AddInInfo", _node(FUNCTIONS, _set("AddInFunctions", nodes)))
    return _configuration("CalcAddIns", inside)


def _arguments(function: CellFunction) -> list[tuple[str, str]]:
    return [
        (
            each.name if parameter.rest else parameter.name,
            _cut(f"{each.meaning} ({each.takes})" if each.meaning else each.takes),
        )
        for parameter, each in zip(function.parameters, arguments(function), strict=True)
    ]


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST_ARGUMENT else text[: _LONGEST_ARGUMENT - 1].rstrip() + "…"


def _jobs() -> str:
    job = _set("Jobs", _node(NAMES, _value("Service", NAMES)))
    event = _set(
        "Events",
        f'<node oor:name="OnLoadFinished" oor:op="fuse">{_set("JobList", _node(NAMES, ""))}</node>',
    )
    return _configuration("Jobs", job + event)


def _configuration(name: str, inside: str) -> str:
    package = 'oor:package="org.openoffice.Office"'
    start = f'<oor:component-data {_REGISTRY} oor:name="{name}" {package}>'
    return f"{_XML}{start}{inside}</oor:component-data>\n"


def _set(name: str, inside: str) -> str:
    return f"<node oor:name={quoteattr(name)}>{inside}</node>"


def _node(name: str, inside: str) -> str:
    return f'<node oor:name={quoteattr(name)} oor:op="replace">{inside}</node>'


def _text(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en">{escape(text)}</value></prop>'


def _value(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value>{escape(text)}</value></prop>'


def _helper(starts: Sequence[str] | None, functions: Iterable[CellFunction]) -> str:
    # A command that was given starts another sheetcalc than this one: then nothing is near. What takes lists
    # may search for a plan, with libraries and for seconds: that is the helper's.
    told = {
        "command": list(starts or command()),
        "package": None if starts else str(files("sheetcalc")),
        "rest": [each.name for each in functions if each.takes_rest],
        "texts": [each.name for each in functions if _answers_text(each)],
        "near": [each.name for each in functions if not each.takes_lists],
    }
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def _manifest() -> str:
    kinds = {
        "functions.idl": "application/vnd.sun.star.uno-typelibrary;type=RDB",
        "CalcAddIns.xcu": "application/vnd.sun.star.configuration-data",
        "Jobs.xcu": "application/vnd.sun.star.configuration-data",
        "addin.components": "application/vnd.sun.star.uno-components",
    }
    entries = "".join(
        f'<manifest:file-entry manifest:media-type="{kind}" manifest:full-path="{name}"/>'
        for name, kind in kinds.items()
    )
    return f'{_XML}<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">{entries}</manifest:manifest>\n'


def _components() -> str:
    implementations = "".join(
        f'<implementation name="{name}"><service name="{name}"/></implementation>'
        for name in (FUNCTIONS, NAMES)
    )
    return (
        f'{_XML}<components xmlns="http://openoffice.org/2010/uno-components">'
        f'<component loader="com.sun.star.loader.Python" uri="addin.py">{implementations}</component>'
        "</components>\n"
    )


def _description() -> str:
    return (
        f'{_XML}<description xmlns="http://openoffice.org/extensions/description/2006">'
        f'<identifier value="{IDENTIFIER}"/><version value="{__version__}"/>'
        "<display-name><name>sheetcalc: cell functions for porch ceilings</name></display-name>"
        "</description>\n"
    )
