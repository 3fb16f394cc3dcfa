"""What is told of a function, all of it taken from its signature and docstring."""

import re

import pytest
from cells.fakes import FAKES

from sheetcalc import __version__
from sheetcalc.cells import help as told
from sheetcalc.cells.call import call
from sheetcalc.cells.registry import REGISTRY, describe
from sheetcalc.cells.values import CellError
from sheetcalc.kinds import Length

every_function = pytest.mark.parametrize("function", REGISTRY.values(), ids=list(REGISTRY))


def test_one_line():
    line = call("FUNCTION_HELP", [" course_count"])
    assert line.startswith("COURSE_COUNT(across, face, gap, [finish_gap], ")
    assert line.endswith(REGISTRY["COURSE_COUNT"].summary)
    assert call("FUNCTION_HELP", ["NO_SUCH"]) is CellError.NA


@every_function
def test_one_line_fits_every_host(function):
    line = call("FUNCTION_HELP", [function.name])
    assert line.startswith((function.signature, function.signature.replace("], [", ", ")))
    assert len(line) <= told.LONGEST_TEXT


def test_a_long_line_leaves_the_sentence_out(monkeypatch):
    monkeypatch.setattr(told, "LONGEST_TEXT", 60)
    assert told.function_help("INCH_FRACTION") == "INCH_FRACTION(length, [denominator], [units])"


def test_version():
    assert call("FUNCTION_VERSION", []) == __version__


@pytest.mark.parametrize(
    ("args", "formula"),
    [
        ((120, 5.125, 0.5), "=SOME_NAME(120, 5.125, 0.5)"),
        (("14'-3\"", None, True, CellError.NA), '=SOME_NAME("14\'-3""", , TRUE, #N/A)'),
        (([[0], [2.5]], [["a", None]]), '=SOME_NAME({0;2.5}, {"a",""})'),
        ((), "=SOME_NAME()"),
    ],
)
def test_a_call_as_typed(args, formula):
    def some_name(length: Length) -> Length:
        return length

    assert told.formula(describe(some_name, "fakes"), args) == formula


def test_reference_for_a_terminal():
    assert told.plain(REGISTRY["SLOPE_LENGTH"]) == (
        "SLOPE_LENGTH(run, rise, [per], [units])\n"
        "  Length up a slope from its level run and its rise: 3 in 12, or 25 in 100 in metric.\n"
        "\n"
        "  run: length (in, mm)\n"
        "      Level distance.\n"
        "  rise: length (in, mm)\n"
        "      Rise for each per of level distance; 0 is level.\n"
        "  [per]: length (in, mm); 12 in (100 mm) if not given\n"
        "      The level distance that rise is stated for; 12 in (100 mm in metric).\n"
        "  [units]: “us” or “metric”; “us” if not given\n"
        "      Of every bare number in the call and of the answer; always the last argument given.\n"
        "\n"
        "  Answer: length (in, mm)\n"
        "  #NUM! run or per is not over 0, or rise is under 0.\n"
        "\n"
        "  =SLOPE_LENGTH(120, 5)\n"
        "  130"
    )


def test_reference_in_markdown():
    assert told.markdown(REGISTRY["WHOLE_UNITS"]).splitlines()[:9] == [
        "### WHOLE_UNITS",
        "",
        "`WHOLE_UNITS(quantity, unit_size, [units])`",
        "",
        REGISTRY["WHOLE_UNITS"].summary,
        "",
        "| argument | takes | meaning |",
        "|---|---|---|",
        "| quantity | number | " + told._meaning(REGISTRY["WHOLE_UNITS"], "quantity") + " |",
    ]


def test_a_table_names_its_columns_and_shows_its_rows():
    shown = told.plain(REGISTRY["PAYMENT_SPLIT"])
    assert "Answer: a table of amount: money" in shown
    assert shown.endswith("\n  300\n  350\n  350.01")
    assert "shares: share; the whole range is one list" in shown


def test_choices_defaults_and_lists():
    def facts(name: str) -> dict[str, str]:
        return {argument.name: argument.takes for argument in told.arguments(FAKES[name])}

    assert facts("as_it_came")["[shape]"] == "“round” or “Square”; “round” if not given"
    assert facts("with_default")["[step]"] == "length (in, mm); 1/64 in (0.5 mm) if not given"
    assert facts("with_default")["[gap]"] == "length (in, mm)"
    assert facts("what_is_left")["[kerf]"] == "length (in, mm); 0 if not given"
    assert facts("to_buy")["counts"] == "count; as many as pieces"
    assert facts("readings_of")["[times]"] == "number; 1 if not given"
    assert facts("steps")["[rows]"] == "count"


def test_what_stands_elsewhere_is_told_here():
    there = told._meaning(REGISTRY["COURSE_COUNT"], "finish_gap")
    assert told._meaning(REGISTRY["COURSE_NOTE"], "finish_gap") == there != ""


@every_function
def test_every_argument_has_a_meaning_and_no_markup(function):
    for argument in told.arguments(function):
        assert argument.meaning, argument.name
    for reference in (told.plain(function), told.markdown(function)):
        assert not re.search(r"\[(in|mm|-|ft²|%)\]|:math:|`[a-z_]+`", reference)
        assert function.signature in reference
        assert told.formula(function, function.example) in reference


def test_reference_of_all_functions():
    reference = told.markdown_reference()
    assert re.findall(r"^### (\w+)$", reference, re.MULTILINE) == list(REGISTRY)
    stages = dict.fromkeys(function.stage.capitalize() for function in REGISTRY.values())
    assert re.findall(r"^## (\w+)$", reference, re.MULTILINE) == list(stages)
    assert "\n\n\n" not in reference


def test_cells_as_shown():
    assert told._shown(CellError.NA) == "#N/A"
    assert told._shown("") == "“”"
    assert told._shown(1 / 3) == "0.3333333333"
