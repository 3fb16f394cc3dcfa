"""One declaration, two unit systems."""

import pytest

from sheetcalc.kinds import AREA, COUNT, HOURS, LENGTH, MONEY
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Row, Sheet, Side, Table, Text
from sheetcalc.workbooks.refs import Here, formula
from sheetcalc.workbooks.style import number_format, unit_words
from sheetcalc.workbooks.systems import Both, both, in_system


def lines(*items: Item) -> Lines:
    return Lines(title="Saw", items=items)


def sheet(*blocks: object) -> Sheet:
    return Sheet(title="Saw", holds="Cuts.", blocks=blocks)  # type: ignore[arg-type]


DECLARED = sheet(
    Text((both("In inches.", "In mm."), "In both.")),
    lines(
        Item(handle="gap", label=both("Gap of 1/2", "Gap of 12"), kind=LENGTH, default=both(0.5, 12)),
        Item(handle="crew", label="Crew", kind=COUNT, default=2),
        Item(handle="board", label="Board", choices=both(("1x4", "1x6"), ())),
    ),
    Table(
        handle="stock",
        title="Stock",
        rows=(Row("short", "Short", {"usual": both(96, 2400)}), Row("other", "Other", {"usual": None})),
        columns=(Item(handle="usual", label="Usual", kind=LENGTH, formula='=""'),),
    ),
)


@pytest.mark.parametrize(
    ("system", "sentence", "label", "default", "choices", "usual"),
    [
        ("us", "In inches.", "Gap of 1/2", 0.5, ("1x4", "1x6"), 96),
        ("metric", "In mm.", "Gap of 12", 12, (), 2400),
    ],
)
def test_one_side_is_taken_everywhere(system, sentence, label, default, choices, usual):
    (taken,) = in_system([DECLARED], system)
    text, block, table = taken.blocks
    assert text.lines == (sentence, "In both.")
    gap, crew, board = block.items
    assert (gap.label, gap.default, gap.kind) == (label, default, LENGTH)
    assert gap.kind is LENGTH  # the same object, as the builder asks
    assert crew is DECLARED.blocks[1].items[1]  # nothing to choose there
    assert board.choices == choices
    assert [row.cells for row in table.rows] == [{"usual": usual}, {"usual": None}]


def test_what_is_chosen_may_hold_a_choice():
    (taken,) = in_system([sheet(Text(both(("a", both("b", "c")), ())))], "us")
    assert taken.blocks[0].lines == ("a", "b")


@pytest.mark.parametrize(
    "block",
    [
        lines(Item(handle="gap", label="Gap", kind=LENGTH, default=0.5)),
        lines(Item(handle="rate", label="Rate", kind=HOURS, per=AREA, default=0.1)),
        lines(Item(handle="one", label="One", kind=LENGTH, formula="=1/64")),
        Side(
            left=lines(Item(handle="gap", label="Gap", kind=LENGTH, default=1)),
            right=lines(Item(handle="x", label="X", formula='=""')),
        ),
        Table(
            handle="stock",
            title="Stock",
            rows=(Row("short", "Short", {"usual": 96}),),
            columns=(Item(handle="usual", label="Usual", kind=LENGTH, formula='=""'),),
        ),
    ],
    ids=["default", "per area", "constant", "beside", "row"],
)
@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_number_with_a_unit_is_stated_for_both(block, system):
    with pytest.raises(ValueError, match="stated for both systems"):
        in_system([sheet(block)], system)


def test_zero_and_what_has_no_unit_are_stated_once():
    block = lines(
        Item(handle="layers", label="Layers", kind=LENGTH, default=0),
        Item(handle="price", label="Price", kind=MONEY, default=8),
        Item(handle="nothing", label="Nothing", kind=LENGTH, formula="=0"),
    )
    assert in_system([sheet(block)], "metric") == (sheet(block),)


def test_in_the_midst_of_a_text_it_is_refused():
    with pytest.raises(TypeError, match="stands alone"):
        f"{Both('ft', 'm')} of wall"


def test_lengths_are_worded_in_the_units_of_the_workbook():
    declared = "=INCH_FRACTION(5)&FEET_INCHES(5,{n})"
    here = Here("Saw", n=2)
    assert formula(declared, here, {}, "us").text() == "=INCH_FRACTION(5)&FEET_INCHES(5,2)"
    metric = formula(declared, here, {}, "metric")
    assert metric.text() == '=MILLIMETRE_WORDS(5,"metric")&METRE_WORDS(5,2,"metric")'
    assert metric.calls == ("MILLIMETRE_WORDS", "METRE_WORDS")


def test_typed_millimetres_stay_as_they_were_typed():
    entry = Item(handle="gap", label="Gap", kind=LENGTH)
    assert number_format(entry, "metric", typed=True) == "General"
    assert number_format(entry, "us", typed=True) == number_format(entry, "us") == "# ??/16"
    worded = Item(handle="shown", label="Shown", kind=WORDED, formula="=INCH_FRACTION(5)")
    assert (unit_words(worded, "us"), unit_words(worded, "metric")) == ("in", "mm")
