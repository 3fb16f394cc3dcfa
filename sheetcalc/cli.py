"""The command line: write the takeoff workbook, recalculate it, try one formula, read the reference."""

import argparse
import os
import sys
from collections.abc import Mapping, Sequence
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from sheetcalc import __version__
from sheetcalc.hosts.calc.commands import add_actions
from sheetcalc.hosts.excel.commands import add_actions as add_excel_actions
from sheetcalc.kinds import SYSTEMS
from sheetcalc.workbooks.compare.commands import add_options as add_compare_options

if TYPE_CHECKING:
    from sheetcalc.workbooks.compute import Report

DONE, LOOK, NOT_DONE = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        The command's words; those of the process if not given.

    Returns
    -------
    int
        0 done and no stop check fails, 1 done but one does, 2 not done.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # its encoding must not end a command half-way
            stream.reconfigure(errors="replace")
    words = _parser().parse_args(arguments)
    from sheetcalc.xlsx.package import Problem  # imported only now, so that --help is quick

    try:
        code: int = words.run(words)
        sys.stdout.flush()
    except Problem as problem:
        return _refuse(str(problem))
    except BrokenPipeError:  # whoever reads has seen enough, as in “sheetcalc functions | head”
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOT_DONE
    except OSError as problem:
        return _refuse(f"{problem.filename or 'The file'}: {problem.strerror}.")
    except KeyboardInterrupt:
        return _refuse("Stopped; nothing was written.")
    return code


class _Parser(argparse.ArgumentParser):
    """Answers wrong words in one sentence."""

    def error(self, message: str) -> NoReturn:
        self.exit(NOT_DONE, f"{self.prog}: {message}; see {self.prog} --help.\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="sheetcalc",
        description="Takeoff of tongue-and-groove porch ceilings: cell functions and a workbook.",
    )
    parser.add_argument("--version", action="version", version=f"sheetcalc {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    new = commands.add_parser("new", help="write the takeoff workbook, computed")
    new.add_argument("file", type=_file, help="the workbook to write, such as porch.xlsx")
    new.add_argument("--units", choices=SYSTEMS, default="us", help="inches or millimetres; us if not said")
    new.add_argument("--blank", action="store_true", help="without the demo job")
    new.add_argument("--force", action="store_true", help="overwrite a file of that name")
    new.set_defaults(run=_new)

    compute = commands.add_parser("compute", help="recalculate a workbook and store the values in it")
    compute.add_argument("file", type=_file, help="a workbook that calls the cell functions")
    compute.add_argument(
        "--output", type=_file, metavar="FILE", help="write here and leave the workbook as it is"
    )
    compute.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="HANDLE=VALUE",
        help="first type VALUE into an entry: gap=1/2 for every filled row of a column, gap.2=1/2 for row 2",
    )
    compute.add_argument("--force", action="store_true", help="overwrite the file of --output")
    compute.set_defaults(run=_compute)

    compare = commands.add_parser("compare", help="every combination of other entries, side by side")
    add_compare_options(compare, _file)

    plain = commands.add_parser("plain", help="write a workbook anew with ordinary formulas only")
    plain.add_argument("file", type=_file, help="a workbook that calls the cell functions")
    plain.add_argument(
        "--output", type=_file, metavar="FILE", required=True, help="the edition that needs nothing installed"
    )
    plain.add_argument("--force", action="store_true", help="overwrite the file of --output")
    plain.set_defaults(run=_plain)

    draw = commands.add_parser("draw", help="draw the ceilings of a takeoff to scale, to print")
    draw.add_argument("file", type=_file, help="a takeoff, such as porch.xlsx; it stays as it is")
    drawing = draw.add_mutually_exclusive_group(required=True)
    for suffix in ("svg", "pdf"):
        drawing.add_argument(
            f"--{suffix}",
            type=_file,
            dest="output",
            metavar="FILE",
            help=f"the drawing to write, as {suffix}",
        )
    draw.add_argument("--ceiling", default="", metavar="NAME", help="only this one")
    draw.add_argument("--force", action="store_true", help="overwrite a file of that name")
    draw.set_defaults(run=_draw)

    names = commands.add_parser("names", help="list what a workbook holds under its names")
    names.add_argument("file", type=_file, help="a workbook, such as porch.xlsx")
    names.add_argument("words", nargs="*", metavar="WORD", help="only names or labels with these words")
    names.add_argument("--all", action="store_true", help="those of the sheets that work things out, too")
    names.set_defaults(run=_names)

    fill = commands.add_parser("fill", help="fill a form of your own with the values of a takeoff")
    fill.add_argument("form", type=_file, help="a workbook with names of the takeoff, .xlsx or .xlsm")
    fill.add_argument(
        "--from", dest="takeoff", type=_file, metavar="FILE", required=True, help="the takeoff: porch.xlsx"
    )
    fill.add_argument("--output", type=_file, metavar="FILE", required=True, help="the filled form to write")
    fill.add_argument("--force", action="store_true", help="overwrite the file of --output")
    fill.set_defaults(run=_fill)

    printing = commands.add_parser("print", help="print the papers of a takeoff to a PDF")
    printing.add_argument("file", type=_file, help="the takeoff workbook")
    printing.add_argument("--pdf", type=_file, metavar="FILE", required=True, help="the PDF to write")
    printing.add_argument(
        "--paper",
        metavar="WORDS",
        help="of scaffold, saw, yard, inside, bid, site, such as yard,bid; all but inside, site if not given",
    )
    printing.add_argument("--office", type=Path, metavar="FOLDER", help="where LibreOffice is")
    printing.add_argument("--force", action="store_true", help="overwrite the file of --pdf")
    printing.set_defaults(run=_print)

    cell = commands.add_parser("cell", help="work out one formula and print its value")
    cell.add_argument("formula", help="such as '=COURSE_COUNT(120, 5.125, 0.5)'")
    cell.add_argument("--json", action="store_true", help="print value and reason as JSON")
    cell.set_defaults(run=_cell)

    functions = commands.add_parser("functions", help="the reference of the cell functions")
    functions.add_argument("name", nargs="?", help="one function")
    functions.add_argument("--markdown", action="store_true", help="as Markdown")
    functions.set_defaults(run=_functions)

    calc = commands.add_parser("calc", help="the cell functions in LibreOffice Calc")
    add_actions(calc)

    excel = commands.add_parser("excel", help="the cell functions in Excel on Windows")
    add_excel_actions(excel)
    return parser


def _file(text: str) -> Path:
    path = Path(text)
    if not path.name:
        raise argparse.ArgumentTypeError(f"{text!r} names no file")
    return path


def _refuse(sentence: str) -> int:
    print(f"sheetcalc: {sentence}", file=sys.stderr)
    return NOT_DONE


def _new(words: argparse.Namespace) -> int:
    from sheetcalc.takeoff import sheets
    from sheetcalc.takeoff.demos import DEMOS
    from sheetcalc.workbooks.write import write

    system: str = words.units
    job: Mapping[str, object] = {} if words.blank else DEMOS[system]
    report = write(words.file, sheets(system), job, system, force=words.force)
    code = _tell(report)
    print(f"Next: open {words.file}, type into the framed cells, save; then sheetcalc compute {words.file}")
    return DONE if words.blank else code  # a blank workbook lacks its entries because that was asked for


def _compute(words: argparse.Namespace) -> int:
    from sheetcalc.workbooks.compute import compute

    sets: list[tuple[str, str]] = []
    for text in words.set:
        handle, given, value = text.partition("=")
        if not given or not handle.strip():
            return _refuse(f"--set takes HANDLE=VALUE, not {text!r}.")
        sets.append((handle.strip(), value))
    report = compute(words.file, words.output, sets, force=words.force)
    code = _tell(report)
    from sheetcalc.workbooks.plain import is_plain
    from sheetcalc.workbooks.summary import ANSWERS

    if is_plain(report.host.book):
        print(
            f"  {report.file.name} is a plain edition: its stored lines keep their values. To renew them, "
            "make the change in the workbook with the functions, run sheetcalc compute there, then "
            "sheetcalc plain."
        )
    elif code == DONE and ANSWERS in set(report.handles):
        print(
            f"Next: sheetcalc print {report.file} --pdf papers.pdf, or sheetcalc compare {report.file} --help"
        )
    return code


def _plain(words: argparse.Namespace) -> int:
    from sheetcalc.cells.values import CellError
    from sheetcalc.workbooks.plain import plain

    done = plain(words.file, words.output, force=words.force)
    code = _tell(done.report)
    print(f"  {done.rewritten} formulas rewritten, over {done.helper_rows} rows of helper cells")
    if done.stored:
        print(f"  {len(done.stored)} keep their values, listed on the sheet Stored with what they depend on")
    for one in done.differs:
        told = (
            f"{value.value}" if isinstance(value, CellError) else f"{value}"
            for value in (one.live, one.plain)
        )
        print("  {}: {} in the workbook, {} in the plain edition".format(one.cell, *told), file=sys.stderr)
    return LOOK if done.differs else code


def _names(words: argparse.Namespace) -> int:
    from itertools import groupby
    from textwrap import shorten

    from sheetcalc.takeoff import INSIDE
    from sheetcalc.workbooks.handles import FILLED
    from sheetcalc.workbooks.names import names
    from sheetcalc.xlsx.workbook import Workbook

    text = " ".join(words.words)
    found = names(Workbook(words.file), text)
    if not found:
        return _refuse(
            f"{words.file.name} has no name like {text}." if text else f"{words.file.name} has no names."
        )
    told = [
        one
        for one in found
        if words.all or (one.cells.sheet not in INSIDE and not one.handle.endswith(FILLED))
    ]
    wide = max((len(one.handle) for one in told), default=0)
    for sheet, there in groupby(told, lambda one: one.cells.sheet):
        print(sheet)
        for one in there:
            value = f"{one.value} {one.unit}".rstrip() if one.value else "-"
            label = shorten(one.label, 38, placeholder=" …")
            print(f"  {one.is_a:<6}  {one.handle:<{wide}}  {label:<38}  {value}")
            if one.rows:
                print(f"  {'':<6}  {'':<{wide}}  by row: {', '.join(one.rows)}")
    if len(told) < len(found):
        print(f"{len(found) - len(told)} more, with which these are worked out: --all lists them.")
    return DONE


def _fill(words: argparse.Namespace) -> int:
    from sheetcalc.takeoff.papers import FIRMS_OWN, PAPERS
    from sheetcalc.workbooks.compute import opened
    from sheetcalc.workbooks.fill import fill, for_you_alone
    from sheetcalc.workbooks.summary import points
    from sheetcalc.xlsx.package import check_free

    check_free(words.output, force=words.force)  # before the work, not after it
    filled = fill(words.form, opened(words.takeoff), words.output, force=words.force)
    print(f"{filled.file} written: {words.form.name} with the values of {words.takeoff.name}")
    for name, where, value in filled.taken:
        print(f"  {name:<20} {where:<20} {value}")
    if alone := for_you_alone(filled, FIRMS_OWN, PAPERS["bid"]):
        print(f"  for you alone: {', '.join(alone)}; take that out before the form goes to the owner.")
    stops, looks = points(filled.report)
    for line in (*filled.told, *looks):
        print(f"  {line}")
    for line in (*(f"not filled: {problem}" for problem in filled.problems), *stops):
        print(line, file=sys.stderr)
    return LOOK if filled.problems or stops or filled.report.bugs else DONE


def _draw(words: argparse.Namespace) -> int:
    from sheetcalc.workbooks.draw import draw
    from sheetcalc.workbooks.summary import points

    done = draw(words.file, words.output, words.ceiling, force=words.force)
    print(f"{words.output} written: {', '.join(done.names)}")
    problems = points(done.report)
    for line in problems.stops:
        print(line, file=sys.stderr)
    return LOOK if problems.stops else DONE


def _print(words: argparse.Namespace) -> int:
    from sheetcalc.hosts.calc.offices import find_office
    from sheetcalc.takeoff.papers import PAPERS, USUAL
    from sheetcalc.workbooks.printing import print_sheets
    from sheetcalc.workbooks.summary import PRICE, points
    from sheetcalc.xlsx.package import check_free
    from sheetcalc.xlsx.workbook import Workbook

    wanted = [word.strip() for word in words.paper.split(",")] if words.paper is not None else list(USUAL)
    for word in wanted:
        if word not in PAPERS:
            return _refuse(f"There is no paper “{word}”: choose from {', '.join(PAPERS)}.")
    there = Workbook(words.file).sheets
    titles: list[str] = []
    for word in wanted:
        found = [title for title in PAPERS[word] if title in there]
        if not found:
            return _refuse(f"{words.file.name} has no sheet {PAPERS[word][0]}, which is the paper {word}.")
        titles += found
    check_free(words.pdf, force=words.force)
    report = print_sheets(words.file, words.pdf, titles, find_office(words.office), force=words.force)
    print(f"{words.pdf} printed: {', '.join(word for word in PAPERS if word in wanted)}")
    if "inside" in wanted and "bid" in wanted:
        print("  inside is for you alone: take it out before the bid goes to the owner.")
    stops, looks = ([], []) if wanted == ["site"] else points(report)
    for line in looks:
        print(f"  {line}")
    if "bid" in wanted and PRICE in set(report.handles) and not isinstance(report.value(PRICE), float):
        print("The page bid says that it is none: there is no price.", file=sys.stderr)
    for line in stops:
        print(line, file=sys.stderr)
    return LOOK if stops else DONE


def _tell(report: "Report") -> int:
    from sheetcalc.workbooks.summary import points, summary

    print("\n".join(summary(report)))
    problems = points(report)
    for line in problems.stops:
        print(line, file=sys.stderr)
    return LOOK if problems.stops or report.bugs else DONE


def _cell(words: argparse.Namespace) -> int:
    import json

    from sheetcalc.cells.values import Cell, CellError
    from sheetcalc.hosts.headless import evaluate_formula
    from sheetcalc.xlsx.cells import number_text

    def text(value: Cell) -> str:
        if isinstance(value, bool) or value is None:
            return "" if value is None else str(value).upper()
        if isinstance(value, CellError):
            return value.value
        return value if isinstance(value, str) else number_text(value)

    answer, reason = evaluate_formula(words.formula)
    rows = answer if isinstance(answer, list) else [[answer]]
    failed = any(isinstance(value, CellError) for row in rows for value in row)
    if words.json:
        plain = [[value.value if isinstance(value, CellError) else value for value in row] for row in rows]
        told = {"value": plain if isinstance(answer, list) else plain[0][0], "reason": reason}
        print(json.dumps(told, ensure_ascii=False))
    else:
        for row in rows:
            print("\t".join(map(text, row)))
        if reason:
            print(reason, file=sys.stderr)
    return LOOK if failed else DONE


def _functions(words: argparse.Namespace) -> int:
    from sheetcalc.cells import help as reference
    from sheetcalc.cells.registry import REGISTRY, find

    if words.name is None:
        print(
            reference.markdown_reference()
            if words.markdown
            else "\n".join(f"{f.signature}\n    {f.summary}" for f in REGISTRY.values())
        )
        return DONE
    name: str = words.name
    function = find(name)
    if function is None:
        from difflib import get_close_matches

        close = get_close_matches(name.upper(), REGISTRY, n=3)
        hint = f" Close to it: {', '.join(close)}." if close else ""
        return _refuse(f"There is no function {name}.{hint}")
    print(reference.markdown(function) if words.markdown else reference.plain(function))
    return DONE


if __name__ == "__main__":
    raise SystemExit(main())
