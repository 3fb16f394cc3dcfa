"""Small workbooks written part by part, so that a test says exactly what stands in a file."""

import zipfile
from collections.abc import Mapping
from pathlib import Path
from xml.sax.saxutils import escape

from sheetcalc.xlsx.workbook import Workbook

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS = 'xmlns="http://schemas.openxmlformats.org/package/2006/relationships"'


def sheet_xml(cells: str, before: str = "", after: str = "") -> str:
    return f"<worksheet {MAIN}>{before}<sheetData>{cells}</sheetData>{after}</worksheet>"


def relations(**targets: str) -> str:
    lines = [
        f'<Relationship Id="{name}" Type="{OFFICE}/{target.split(" ")[0]}" Target="{target.split(" ")[1]}"/>'
        for name, target in targets.items()
    ]
    return f"<Relationships {RELATIONS}>{''.join(lines)}</Relationships>"


def workbook_parts(
    sheets: Mapping[str, str],
    names: str = "",
    after_sheets: str = "",
    before_sheets: str = "",
    strings: str | None = None,
    styles: str | None = None,
) -> dict[str, str]:
    """Parts of a workbook; `sheets` gives the XML of each sheet by its title."""
    listed = "".join(
        f'<sheet name="{escape(title)}" sheetId="{number}" r:id="s{number}"/>'
        for number, title in enumerate(sheets, 1)
    )
    targets = {f"s{number}": f"worksheet sheets/{number}.xml" for number in range(1, len(sheets) + 1)}
    parts = {
        "[Content_Types].xml": "<Types/>",
        "_rels/.rels": relations(w="officeDocument xl/workbook.xml"),
        "xl/workbook.xml": f'<workbook {MAIN} xmlns:r="{OFFICE}">{before_sheets}<sheets>{listed}</sheets>'
        + (f"<definedNames>{names}</definedNames>" if names else "")
        + f"{after_sheets}</workbook>",
    }
    if strings is not None:
        targets["t"] = "sharedStrings sharedStrings.xml"
        parts["xl/sharedStrings.xml"] = f"<sst {MAIN}>{strings}</sst>"
    if styles is not None:
        targets["l"] = "styles styles.xml"
        parts["xl/styles.xml"] = f"<styleSheet {MAIN}>{styles}</styleSheet>"
    parts["xl/_rels/workbook.xml.rels"] = relations(**targets)
    for number, xml in enumerate(sheets.values(), 1):
        parts[f"xl/sheets/{number}.xml"] = xml
    return parts


def write_parts(path: Path, parts: Mapping[str, str | bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def small_book(path: Path, cells: str, **more: str) -> Workbook:
    """Open a workbook of one sheet, Job, whose rows are given."""
    sheet = sheet_xml(cells, more.pop("before", ""), more.pop("after", ""))
    return Workbook(write_parts(path / "job.xlsx", workbook_parts({"Job": sheet}, **more)))  # pyright: ignore[reportArgumentType]


def unpacked(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}
