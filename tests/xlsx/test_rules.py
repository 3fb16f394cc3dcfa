"""What a sheet lets a person type, read from its file."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook as Writer
from openpyxl.worksheet.datavalidation import DataValidation

from sheetcalc.cells.values import Cell
from sheetcalc.xlsx.formulas import Area
from sheetcalc.xlsx.workbook import Workbook

SENTENCE = "Not this."
KNOWN: dict[str, Cell] = {"Sheet!H1:H3": "pine", "Side!A1:A2": "oak"}


def words_at(cells: Area) -> list[Cell]:
    return [KNOWN[str(cells)], None]


def said(tmp_path: Path, value: Cell, **rule: Any) -> list[str]:
    book = Writer()
    sheet = book.active
    assert sheet is not None
    told = DataValidation(**{"error": SENTENCE, "showErrorMessage": True, **rule})  # type: ignore[arg-type]
    told.add("B2:B4")
    told.add("D9")
    sheet.add_data_validation(told)
    book.save(tmp_path / "rules.xlsx")
    rules = Workbook(tmp_path / "rules.xlsx").sheets["Sheet"].rules
    assert all([str(cells) for cells in one.cells] == ["Sheet!B2:B4", "Sheet!D9"] for one in rules)
    return [one.broken(value, words_at) for one in rules]


@pytest.mark.parametrize(
    ("value", "rule", "told"),
    [
        (5.0, {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "5"}, ""),
        (5.1, {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "5"}, SENTENCE),
        (True, {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "5"}, SENTENCE),
        ("5", {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "5"}, SENTENCE),
        (0.0, {"type": "date", "operator": "greaterThan", "formula1": "0"}, SENTENCE),
        (0.0, {"type": "whole", "operator": "greaterThanOrEqual", "formula1": "0"}, ""),
        (2.5, {"type": "whole", "operator": "greaterThanOrEqual", "formula1": "0"}, SENTENCE),
        (4.0, {"type": "decimal", "operator": "lessThan", "formula1": "4"}, SENTENCE),
        (4.0, {"type": "decimal", "operator": "lessThanOrEqual", "formula1": "4"}, ""),
        ("Red", {"type": "list", "formula1": '"red,blue"'}, ""),
        ("green", {"type": "list", "formula1": '"red,blue"'}, "Choose from red, blue"),
        (True, {"type": "list", "formula1": '"TRUE,FALSE"'}, ""),
        ("fir", {"type": "list", "formula1": "$H$1:$H$3"}, "Choose from pine"),
        ("oak", {"type": "list", "formula1": "Side!$A$1:$A$2"}, ""),
        (None, {"type": "list", "formula1": '"red,blue"'}, ""),
        ("", {"type": "whole", "operator": "lessThan", "formula1": "4"}, ""),
    ],
)
def test_a_value_is_held_against_the_rule_of_its_cell(
    tmp_path: Path, value: Cell, rule: dict[str, str], told: str
):
    assert said(tmp_path, value, **rule) == [told]


@pytest.mark.parametrize(
    "rule",
    [
        {"type": "decimal", "operator": "lessThan", "formula1": "$A$1"},  # would have to be computed
        {"type": "decimal", "operator": "notEqual", "formula1": "4"},
        {"type": "textLength", "operator": "lessThan", "formula1": "4"},
        {"type": "list", "formula1": "INDIRECT($A$1)"},
        {},
    ],
)
def test_what_only_a_spreadsheet_program_can_tell_is_no_rule_here(tmp_path: Path, rule: dict[str, str]):
    assert said(tmp_path, "green", **rule) == []


@pytest.mark.parametrize(
    "how", [{"showErrorMessage": False}, {"errorStyle": "warning"}, {"errorStyle": "information"}]
)
def test_what_a_program_takes_all_the_same_breaks_no_rule(tmp_path: Path, how: dict[str, Any]):
    assert said(tmp_path, 5.1, type="whole", operator="lessThan", formula1="4", **how) == []


def test_of_many_words_the_close_ones_are_told_or_the_sentence_of_the_file(tmp_path: Path):
    many = '"' + ",".join([*map(str, range(12)), "pine, white"]) + '"'
    assert said(tmp_path, "fir", type="list", formula1=many) == [SENTENCE]
    assert said(tmp_path, "pin", type="list", formula1=many) == ["Choose from the list; close to it: pine"]
    other = said(tmp_path, "fir", type="list", formula1=many, error="")
    assert other == ["Choose one of the words in the list."]
