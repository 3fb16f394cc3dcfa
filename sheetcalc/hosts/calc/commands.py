"""What `sheetcalc calc` does: install the functions in LibreOffice, remove, check or pack them."""

import argparse
from pathlib import Path


def add_actions(parser: argparse.ArgumentParser) -> None:
    """Add the actions to the command's parser."""
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    serve = actions.add_parser("serve", help="answer the calls of an office; it starts this by itself")
    serve.set_defaults(run=_serve)


def _serve(words: argparse.Namespace) -> int:
    from sheetcalc.hosts.calc.serve import serve

    return serve()
