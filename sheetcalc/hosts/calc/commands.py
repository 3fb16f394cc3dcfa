"""What `sheetcalc calc` does: the cell functions installed in LibreOffice, removed, checked or packed."""

import argparse
from pathlib import Path

_DONE, _LOOK = 0, 1


def add_actions(parser: argparse.ArgumentParser) -> None:
    """Add the actions to the command's parser."""
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    for name, run, text in (
        ("install", _install, "install the functions in your LibreOffice"),
        ("remove", _remove, "remove them"),
        ("check", _check, "recalculate every function's example there and compare it with Python"),
    ):
        action = actions.add_parser(name, help=text)
        action.add_argument("--office", type=Path, metavar="DIR", help="the folder of LibreOffice")
        action.set_defaults(run=run)
    package = actions.add_parser("package", help="only write the extension that install would add")
    package.add_argument("file", type=Path, help="the extension to write, such as sheetcalc.oxt")
    package.add_argument("--force", action="store_true", help="overwrite a file of that name")
    package.set_defaults(run=_package)
    serve = actions.add_parser("serve", help="answer the calls of LibreOffice, which starts this by itself")
    serve.set_defaults(run=_serve)


def _install(words: argparse.Namespace) -> int:
    import tempfile

    from sheetcalc.cells.registry import REGISTRY
    from sheetcalc.hosts.calc.extension import command, write
    from sheetcalc.hosts.calc.offices import find_office

    office = find_office(words.office)
    with tempfile.TemporaryDirectory() as folder:
        extension = Path(folder, "sheetcalc.oxt")
        write(extension)
        office.add(extension)
    print(
        f"{len(REGISTRY)} functions are installed in {office.programs}, answered by {command()[0]}.\n"
        "Start LibreOffice; they stand in the function wizard under Add-in."
    )
    return _DONE


def _remove(words: argparse.Namespace) -> int:
    from sheetcalc.hosts.calc.offices import find_office

    office = find_office(words.office)
    print(
        f"The functions are removed from {office.programs}."
        if office.remove()
        else f"The functions are not installed in {office.programs}; nothing was removed."
    )
    return _DONE


def _check(words: argparse.Namespace) -> int:
    from sheetcalc.cells.registry import REGISTRY
    from sheetcalc.hosts.calc.check import check
    from sheetcalc.hosts.calc.offices import find_office

    office = find_office(words.office)
    mismatches = check(office)
    for mismatch in mismatches:
        print(mismatch)
    print(
        f"{len(REGISTRY) - len(mismatches)} of {len(REGISTRY)} functions answer in {office.programs} as here."
    )
    if mismatches:
        print("If sheetcalc was renewed since, run “sheetcalc calc install” again.")
    return _LOOK if mismatches else _DONE


def _package(words: argparse.Namespace) -> int:
    from sheetcalc.hosts.calc.extension import write

    write(words.file, force=words.force)
    print(f"{words.file} is written; LibreOffice adds it under Tools, Extensions.")
    return _DONE


def _serve(words: argparse.Namespace) -> int:  # pragma: no cover  (runs as a process of its own)
    from sheetcalc.hosts.calc.serve import serve

    return serve()
