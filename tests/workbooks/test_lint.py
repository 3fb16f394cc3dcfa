import re

import pytest
from sample_workbook import SHEETS

from sheetcalc.kinds import AREA, COUNT, LENGTH, MONEY, TEXT
from sheetcalc.workbooks.declare import Item, Lines, Sheet, Table
from sheetcalc.workbooks.lint import lint


def sheet(*items, title="Only", **more):
    return Sheet(title=title, holds="", blocks=(Lines(title="Title", items=items),), **more)


def found(formula, **more):
    items = (
        Item(handle="length", label="Length", kind=LENGTH),
        Item(handle="usual", label="Usual", kind=LENGTH, default=3),
        Item(handle="result", label="Result", kind=COUNT, formula=formula, **more),
    )
    return lint([sheet(*items)])


def test_a_sound_workbook_has_no_findings():
    assert lint(SHEETS) == []
    assert lint(SHEETS, "metric") == []


@pytest.mark.parametrize(
    ("formula", "finding"),
    [
        ("=OFFSET({usual},1,0)", "OFFSET is recalculated"),
        ('=INDIRECT("A1")', "INDIRECT is recalculated"),
        ("=TODAY()", "TODAY changes by itself"),
        ("=NOW()", "NOW changes by itself"),
        ("=RAND()", "RAND changes by itself"),
        ("=IFERROR({usual},0)", "IFERROR hides errors"),
        ("=XLOOKUP({usual},1,2)", "XLOOKUP is no function"),
        ("=LET({usual})", "LET is no function"),
        ("=LAMBDA({usual})", "LAMBDA is no function"),
        ("=COURSE_COUNTS({usual})", "COURSE_COUNTS is no function"),
        ("=A1+1", "A1 is neither"),
        ("=Only!A1", "Only!A1 is neither"),
        ("=[Other.xlsx]", r"\[ is neither"),
        ("=Prices[Cost]", r"Prices\[Cost\] is neither"),
        ("=SUM(({usual},{usual}))", ", is neither"),
        ("={length}*2", "typed length"),
        ("=SUM({length},1)", "typed length"),
        ("=IF(1>0,IF(2>0,IF(3>0,1,2),3),4)", "IF within IF within IF"),
        ("=1" + "+1" * 225, "451 characters long"),
        ("={nobody}", "leads nowhere"),
        ("=SUM(1", "stays open"),
        ("={result}", "a circle: result → result"),
    ],
)
def test_what_a_workbook_must_not_hold_is_found(formula, finding):
    problems = found(formula)
    assert any(re.search(finding, problem) for problem in problems)
    assert len(problems) <= 2


@pytest.mark.parametrize(
    "formula",
    [
        "={usual}*2",
        "=READ_LENGTH({length})*2",
        '=IF({length?}="",0,READ_LENGTH({length?}))',
        '=({length?}="")+0',
        "=COUNTA({length})",
        "={length}",
        "=CUT_LENGTH(IF({usual}>2,{length},{usual}),1)",
        "=TRUE",
    ],
)
def test_what_a_workbook_may_hold_is_left_alone(formula):
    assert found(formula) == []


def test_a_circle_over_several_sheets_is_named_by_its_handles():
    one = Item(handle="one", label="", kind=COUNT, formula="={two}+1")
    two = Item(handle="two", label="", kind=COUNT, formula="=SUM({col[]})")
    col = Item(handle="col", label="", kind=COUNT, formula="={one}")
    table = Sheet(title="Table", holds="", blocks=(Table(handle="t", title="", rows=2, columns=(col,)),))
    problems = lint([sheet(one), sheet(two, title="Other"), table])
    assert len(problems) == 1
    assert set(problems[0].removeprefix("a circle: ").split(" → ")) == {"one", "two", "col"}


def test_the_same_finding_in_many_rows_is_told_once():
    table = Table(handle="t", title="", rows=9, columns=(Item(handle="col", label="", formula="=NOW()"),))
    assert len(lint([Sheet(title="Only", holds="", blocks=(table,))])) == 1


@pytest.mark.parametrize(
    ("item", "finding"),
    [
        (Item(handle="x", label="", kind=AREA, unit="square feet"), "already says its unit"),
        (Item(handle="x", label="", kind=MONEY, per=AREA, unit="per board"), "already says its unit"),
        (Item(handle="x", label="", kind=MONEY, per=TEXT), "text has no unit"),
    ],
)
def test_an_item_says_its_unit_once(item, finding):
    assert [finding in problem for problem in lint([sheet(item)])] == [True]


def test_a_declaration_that_cannot_be_laid_out_is_a_finding():
    assert lint([sheet(Item(handle="B2", label=""))]) == [
        "'B2' is no handle: lower-case letters, digits and underscores"
    ]


def test_titles_are_words_and_differ():
    entry = Item(handle="x", label="")
    assert lint([sheet(entry, title="Two words")]) == ["Two words: a sheet's title is one word"]
    other = Item(handle="y", label="")
    assert lint([sheet(entry), sheet(other)]) == ["Only: two sheets have this title"]
