from datetime import date, datetime

import pytest
from sample_workbook import SHEETS, SPECIES, VALUES

from sheetcalc.kinds import AREA, COUNT, LENGTH, MONEY, PERCENT, SHARE, TEMPERATURE, TEXT
from sheetcalc.workbooks.declare import DATE, FLAG, Item, Lines, Row, Sheet, Table
from sheetcalc.workbooks.entries import entered, validation
from sheetcalc.workbooks.place import lay_out

PLAN = lay_out(SHEETS)


def cells(values):
    return {f"{sheet}!{row},{column}": value for (sheet, row, column), value in entered(PLAN, values).items()}


def rule(item, system="us", words_at=""):
    return validation(item, system, words_at)


def entry(**more):
    return Item(handle="entry", label="Label", **more)


def test_every_shape_of_values_finds_its_cells():
    row = PLAN.places["across"].cells.row
    found = cells(
        {
            "board_face": 5.125,
            "across": [[120, 121], None, [None, "10'", 7]],
            "along": ["14'", None, 3],
            "offer": [980, None, 12],
            "rate": {"other": 3, "delivery": None},
        }
    )
    assert found == {
        "Start!6,2": 5.125,
        f"Measure!{row},2": 120,
        f"Measure!{row},3": 121,
        f"Measure!{row + 2},3": "10'",
        f"Measure!{row + 2},4": 7,
        f"Measure!{row},5": "14'",
        f"Measure!{row + 2},5": 3,
        f"Bid!{PLAN.places['offer'].cells.row},2": 980,
        f"Bid!{PLAN.places['offer'].cells.row},4": 12,
        f"Bid!{PLAN.places['rate'].cells.row + 3},3": 3,
    }


def test_a_date_may_be_written():
    assert list(cells({"measured_on": "2025-04-30"}).values()) == [date(2025, 4, 30)]
    assert list(cells({"measured_on": datetime(2025, 4, 30)}).values()) == [datetime(2025, 4, 30)]


def test_the_values_of_the_sample_all_have_an_entry():
    assert len(entered(PLAN, VALUES)) == 17


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"nobody": 1}, "no entry nobody"),
        ({"ceilings": 1}, "no entry ceilings"),
        ({"price": 1}, "price is a result"),
        ({"end_first": [1]}, "end_first is a result"),
        ({"amount": {"boards": 1}}, "amount is a result"),
        ({"amount": {"sealant": 1}}, "no rows"),
        ({"along": [1, 2, 3, 4]}, "more values than its 3 x 1"),
        ({"across": [[1, 2, 3, 4]]}, "more values than its 3 x 3"),
        ({"offer": [1, 2, 3, 4]}, "more values than its 1 x 3"),
        ({"along": 5}, "takes several values"),
        ({"along": "14'"}, "takes several values"),
        ({"across": [1, 2]}, "takes several values"),
        ({"offer": 5}, "takes several values"),
        ({"board_face": [5]}, "nothing that a cell can hold"),
        ({"board_face": True}, "no yes or no"),
        ({"board_face": float("nan")}, "nothing that a cell can hold"),
        ({"board_money": "14.50"}, "must be a number"),
        ({"start_side": "middle"}, "one of auto, full, balanced"),
        ({"measured_on": "yesterday"}, "must be a date"),
        ({"job": "x" * 256}, "too long"),
    ],
)
def test_a_value_without_its_entry_is_refused(values, why):
    with pytest.raises(ValueError, match=why):
        entered(PLAN, values)


def test_a_flag_is_true_or_false():
    sheets = [Sheet(title="Only", holds="", blocks=(Lines(title="", items=(entry(kind=FLAG),)),))]
    assert list(entered(lay_out(sheets), {"entry": False}).values()) == [False]
    with pytest.raises(ValueError, match="entry is 1"):
        entered(lay_out(sheets), {"entry": 1})


def test_a_named_row_may_hold_what_is_no_entry():
    rows = (Row("a", "A", {"entry": "fixed"}), Row("b", "B"))
    table = Table(handle="t", title="", rows=rows, columns=(entry(),))
    plan = lay_out([Sheet(title="Only", holds="", blocks=(table,))])
    assert len(entered(plan, {"entry": {"b": "x"}})) == 1
    with pytest.raises(ValueError, match="is a result"):
        entered(plan, {"entry": {"a": "x"}})


@pytest.mark.parametrize(
    ("kind", "kind_of_rule", "least", "most"),
    [
        (AREA, "decimal", "0", None),
        (COUNT, "whole", "0", None),
        (SHARE, "decimal", "0", "10"),
        (PERCENT, "decimal", "0", "100"),
        (MONEY, "decimal", "0", None),
        (TEMPERATURE, "decimal", "-1000000000", "1000000000"),
        (TEXT, "textLength", "255", None),
        (DATE, "date", "0", None),
        (LENGTH, None, None, None),
        (FLAG, "list", '"TRUE,FALSE"', None),
    ],
)
def test_every_kind_has_its_rule_and_says_it(kind, kind_of_rule, least, most):
    found = rule(entry(kind=kind))
    assert (found.type, found.formula1, found.formula2) == (kind_of_rule, least, most)
    assert found.error
    assert found.error.endswith(".")
    assert found.error in found.prompt
    assert found.allow_blank
    assert found.showInputMessage
    assert found.showErrorMessage


def test_the_prompt_says_what_the_entry_is_for_and_what_happens_while_it_is_blank():
    assert rule(entry(kind=LENGTH, note="Open joint.", default=0.5)).prompt == (
        "Open joint. Type a length: inches such as 3 3/8, or text such as 14' 3-3/8\". "
        "Blank takes the value beside it."
    )
    assert rule(entry(kind=LENGTH, needed=True), "metric").prompt == (
        "Type a length: mm such as 95, or text such as 4.35 m. Needed for the price."
    )
    assert rule(entry(kind=AREA), "metric").prompt == "Type a number (m²), 0 or more."


def test_words_and_sentences_stay_within_what_a_program_shows():
    item = Item(handle="entry", label="A label that is far too long for a title", note="word " * 100)
    found = rule(item)
    assert found.promptTitle == "A label that is far too long …"
    assert len(found.prompt) <= 255


def test_words_to_choose_from_are_listed_or_pointed_at():
    assert rule(entry(choices=("yes", "no"))).formula1 == '"yes,no"'
    assert rule(entry(choices=SPECIES), words_at="Working!$A$3:$A$17").formula1 == "Working!$A$3:$A$17"
