"""What `sheetcalc excel` does: install the functions in Excel, remove or check them, write the module."""

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path

DONE, LOOK, NOT_DONE = 0, 1, 2


def add_actions(parser: argparse.ArgumentParser) -> None:
    """Add the actions to the command's parser."""
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    install = actions.add_parser("install", help="write the add-in into Excel's start folder (Windows)")
    install.set_defaults(run=_install)
    remove = actions.add_parser("remove", help="remove it (Windows)")
    remove.set_defaults(run=_remove)
    check = actions.add_parser("check", help="look at everything that a cell needs (Windows)")
    check.set_defaults(run=_check)
    module = actions.add_parser("module", help="write the VBA module, to be imported by hand")
    module.add_argument("file", type=Path, help="the module to write, such as sheetcalc.bas")
    module.add_argument("--force", action="store_true", help="overwrite a file of that name")
    module.set_defaults(run=_module)


def _install(_: argparse.Namespace) -> int:
    from sheetcalc.hosts.excel.install import SEEN, TRUST, NotTrusted, install

    trust = "“Trust access to the VBA project object model”"
    try:
        print(*install(), sep="\n")
    except NotTrusted as problem:
        print(f"sheetcalc: {problem}", file=sys.stderr)
        _tell_steps(
            [
                f"In Excel, {TRUST}: tick {trust}, OK. The box stays ticked. Close Excel.",
                "“sheetcalc excel install” again. You see “Written: …” with the number of functions.",
            ]
        )
        return NOT_DONE
    _tell_steps(
        [
            f"Start Excel. {SEEN}.",
            f"{TRUST}: clear {trust}, which nothing needs any more. The functions go on answering.",
        ]
    )
    return DONE


def _remove(_: argparse.Namespace) -> int:
    from sheetcalc.hosts.excel.install import remove

    print(*remove(), sep="\n")
    return DONE


def _check(_: argparse.Namespace) -> int:
    from sheetcalc.hosts.excel.install import check

    findings = check()
    for finding in findings:
        print(f"{'good' if finding.good else 'LOOK'}  {finding.sentence}")
    return DONE if all(finding.good for finding in findings) else LOOK


def _module(words: argparse.Namespace) -> int:
    from sheetcalc.hosts.excel.install import ADDIN, SEEN, ExcelProblem, foreign_letters, unfit
    from sheetcalc.hosts.excel.module import MODULE_NAME, write

    python, on_windows = sys.executable, sys.platform == "win32"
    if on_windows and (reason := unfit(python)):
        raise ExcelProblem(reason)
    file: Path = words.file
    write(file, force=words.force)
    print(f"Written: {file}. It starts {python}, so it is for the machine that has it there.")
    if not on_windows:
        print("That is not Windows. Run the same command on the machine with Excel, by the Python there.")
        return DONE
    if advice := foreign_letters(python):
        print(f"The path {python} {advice}")
    _tell_steps(
        [
            f"In Excel, a blank workbook, Alt+F11, File > Import File: {file.name}. "
            f"You see {MODULE_NAME} under Modules.",
            "In that module set the cursor into RegisterHelp, near the end; press F5. "
            "A box says that Excel has taken the help of every function.",
            "Alt+Q, File > Save As, type “Excel Add-in (*.xlam)”, name "
            f"%APPDATA%\\Microsoft\\Excel\\XLSTART\\{ADDIN}. You see the blank workbook as before.",
            f"Close Excel and start it again. {SEEN}.",
        ]
    )
    return DONE


def _tell_steps(steps: Iterable[str]) -> None:
    print("Left to do:")
    for number, step in enumerate(steps, 1):
        print(f"{number}. {step}")
