"""The small workbook that the engine is loaded from: values, formulas and names, nothing else."""

import zipfile
from collections.abc import Mapping
from html import escape
from io import BytesIO
from typing import cast

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.xlsx.cells import NOT_IN_XML, number_text
from sheetcalc.xlsx.formulas import address, tokens
from sheetcalc.xlsx.sheet import Place, Sheet
from sheetcalc.xlsx.workbook import Name, Workbook

_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/"
_SHEET_ML = "application/vnd.openxmlformats-officedocument.spreadsheetml."
_RELATIONS_ML = "application/vnd.openxmlformats-package.relationships+xml"


def engine_file(
    book: Workbook, texts: Mapping[str, Mapping[Place, str]]
) -> tuple[bytes, dict[tuple[str, Place], Cell]]:
    """Write the workbook that the engine loads.

    Parameters
    ----------
    book : Workbook
        The file; stored values are taken for all cells that `texts` does not compute.
    texts : mapping
        Formulas by sheet and place, as the engine takes them.

    Returns
    -------
    tuple
        The file, and the texts that XML cannot hold, by sheet and place.
    """
    titles = list(texts)
    later: dict[tuple[str, Place], Cell] = {}
    sheets = {
        f"xl/{number}.xml": _sheet_xml(book.sheets[title], texts[title], later)
        for number, title in enumerate(titles)
    }
    content = f'<Default Extension="rels" ContentType="{_RELATIONS_ML}"/>' + _type(
        "xl/workbook.xml", "sheet.main"
    )
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}content-types">'
        + content
        + "".join(_type(part, "worksheet") for part in sheets)
        + "</Types>",
        "_rels/.rels": _relations("officeDocument", ["/xl/workbook.xml"]),
        "xl/_rels/workbook.xml.rels": _relations("worksheet", [f"/{part}" for part in sheets]),
        "xl/workbook.xml": _workbook_xml(book, titles),
    }
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in {**parts, **sheets}.items():
            archive.writestr(name, text)
    return out.getvalue(), later


def _type(part: str, kind: str) -> str:
    return f'<Override PartName="/{part}" ContentType="{_SHEET_ML}{kind}+xml"/>'


def _relations(kind: str, targets: list[str]) -> str:
    lines = [
        f'<Relationship Id="r{number}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
        for number, target in enumerate(targets)
    ]
    return f'<Relationships xmlns="{_PACKAGE}relationships">{"".join(lines)}</Relationships>'


def _workbook_xml(book: Workbook, titles: list[str]) -> str:
    sheets = [
        f'<sheet name="{escape(title)}" sheetId="{number + 1}" r:id="r{number}"/>'
        for number, title in enumerate(titles)
    ]
    names = [
        f'<definedName name="{escape(name.name)}"'
        + (f' localSheetId="{titles.index(name.sheet)}"' if name.sheet else "")
        + f">{escape(_definition(name), quote=False)}</definedName>"
        for name in book.names
        if name.sheet in ("", *titles) and not name.name.startswith("_xlnm.")
    ]
    return (
        f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{"".join(sheets)}</sheets>'
        f"<definedNames>{''.join(names)}</definedNames></workbook>"
    )


def _definition(name: Name) -> str:
    """Put an expression in brackets, or the engine takes `gap+Job!$B$1` for a cell of a sheet `gap+Job`."""
    if name.area or all(token.text in "!:" for token in tokens(name.definition) if token.kind == "sign"):
        return name.definition
    return f"({name.definition})"


def _sheet_xml(sheet: Sheet, texts: Mapping[Place, str], later: dict[tuple[str, Place], Cell]) -> str:
    lines: list[str] = []
    at_row = 0
    for place in sorted({*sheet.places(), *texts}):
        row, column = place
        if row != at_row:
            lines.append(f'</row><row r="{row}">' if at_row else f'<row r="{row}">')
            at_row = row
        if place in texts:
            lines.append(f'<c r="{address(row, column)}"><f>{escape(texts[place], quote=False)}</f></c>')
        else:
            value = sheet.value(row, column)
            if isinstance(value, str) and NOT_IN_XML.search(value):
                later[sheet.title, place] = value
            elif value is not None:
                lines.append(_value_xml(address(row, column), value))
    rows = "".join(lines) + ("</row>" if at_row else "")
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def _value_xml(cell: str, value: Cell) -> str:
    if isinstance(value, str):
        return f'<c r="{cell}" t="str"><v xml:space="preserve">{escape(value, quote=False)}</v></c>'
    if isinstance(value, bool):
        return f'<c r="{cell}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, CellError):
        return f'<c r="{cell}" t="e"><v>{value.value}</v></c>'
    return f'<c r="{cell}"><v>{number_text(cast("float", value))}</v></c>'
