"""Rebuild the workbook templates, or with --check tell whether they are what the code builds."""

import sys
import zipfile
from io import BytesIO
from pathlib import Path

from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.demos import DEMOS
from sheetcalc.takeoff.form import form
from sheetcalc.workbooks.write import made

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"


def parts(file: bytes) -> dict[str, bytes]:
    """Content of every part; packed bytes differ between builds of zlib."""
    with zipfile.ZipFile(BytesIO(file)) as package:
        return {name: package.read(name) for name in package.namelist()}


def built() -> dict[str, bytes]:
    """Build every template, by its name."""
    takeoffs = {
        f"porch_ceiling_{system}.xlsx": made(sheets(system), values, system)
        for system, values in DEMOS.items()
    }
    return {**takeoffs, "bid_form.xlsx": form()}


def main(arguments: list[str]) -> int:
    """Rebuild or check; the exit code says whether all is well."""
    stale = 0
    for name, file in built().items():
        template = TEMPLATES / name
        if "--check" not in arguments:
            template.write_bytes(file)
        elif not template.exists() or parts(template.read_bytes()) != parts(file):
            print(f"{template.name} is not what the code builds: run python -m sheetcalc.takeoff")
            stale = 1
    return stale


if __name__ == "__main__":  # pragma: no cover  (run as a command)
    sys.exit(main(sys.argv[1:]))
