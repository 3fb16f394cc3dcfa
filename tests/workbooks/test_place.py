from dataclasses import replace

import pytest
from sample_workbook import SHEETS, SPECIES

from sheetcalc.kinds import COUNT, LENGTH
from sheetcalc.workbooks.declare import Answer, Item, Lines, Row, Ruled, Sheet, Side, Table, Text
from sheetcalc.workbooks.place import fits_validation, items_of, lay_out
from sheetcalc.workbooks.tables import WRITTEN_HEIGHT


def one_sheet(*blocks, **more):
    return [Sheet(title="Only", holds="", blocks=blocks, **more)]


def line(*items, title="Title", **more):
    return Lines(title=title, items=items, **more)


def entry(handle="entry", **more):
    return Item(handle=handle, label="Label", **more)


def shown(plan, page=0):
    """Text of every cell of a page by its address."""
    return {spot.cells.area: spot.content for spot in plan.pages[page].spots if spot.content is not None}


def test_lines_keep_their_columns_everywhere():
    plan = lay_out(SHEETS)
    for handle in ("wall_gap", "crew", "hours", "first_one"):
        place = plan.places[handle]
        assert place.cells.column == 2
        assert place.used is None or (place.given.column, place.used.column) == (4, 5)


def test_blocks_side_by_side_begin_in_the_same_row():
    plan = lay_out(SHEETS)
    assert plan.places["board_face"].cells.area == "B6"
    assert plan.places["price"].cells.area == "H6"
    assert plan.places["answers"].cells.area == "G6:I10"


def test_a_long_title_moves_the_heads_of_both_blocks_side_by_side():
    left = line(entry(kind=COUNT), title="A title with rather more words in it")
    plan = lay_out(one_sheet(Side(left=left, right=line(entry("right", formula="=1"))), head=False))
    assert plan.places["entry"].cells.row == plan.places["right"].cells.row == 3


def test_several_cells_stand_before_their_unit():
    cells = shown(
        lay_out(one_sheet(line(entry(kind=LENGTH, cells=3, heads=("l", "m", "r"), note="Note.")), head=False))
    )
    assert (cells["B1"], cells["D1"]) == ("l", "r")
    assert (cells["E2"], cells["F2"], cells["G2"]) == ("in", "may stay blank", "Note.")


def test_heads_move_below_a_title_that_they_would_cut_off():
    short = shown(lay_out(one_sheet(line(entry(kind=COUNT)), head=False)))
    long = shown(
        lay_out(one_sheet(line(entry(kind=COUNT), title="A title with rather more words in it"), head=False))
    )
    assert (short["B1"], long["B2"]) == ("Value", "Value")
    assert short["A2"] == long["A3"] == "Label"


def test_a_long_note_goes_on_below_and_nothing_is_lost():
    note = "A note that says much more than the columns beside it can hold on one line, and then some more."
    plan = lay_out(one_sheet(line(entry(kind=COUNT, note=note), entry("after", kind=COUNT)), head=False))
    cells = shown(plan)
    parts = [words for area, words in cells.items() if area.startswith("F")][1:]
    assert len(parts) > 1
    assert " ".join(parts) == note
    assert plan.places["after"].cells.row == plan.places["entry"].cells.row + len(parts)


def test_what_must_be_typed_is_said_in_words():
    items = (
        entry("a", kind=COUNT, needed=True),
        entry("b", kind=COUNT),
        entry("g", kind=COUNT, default=3),
        entry("d", needed=True),
        entry("e", note="Note."),
        entry("f", choices=("yes", "no")),
    )
    cells = shown(lay_out(one_sheet(line(*items), head=False)))
    assert [cells.get(f"D{row}") for row in range(2, 8)] == [
        "needed",
        "may stay blank",
        3,
        None,
        None,
        "may stay blank",
    ]
    assert (cells["F5"], cells["F6"]) == ("Needed.", "May stay blank. Note.")


def test_a_table_numbers_its_rows_unless_they_have_names():
    length = Item(handle="length", label="Length", kind=LENGTH)
    name = Item(handle="name", label="Name")
    rows = (Row("a", "First row"), Row("b", "Second row"))
    numbered = lay_out(one_sheet(Table(handle="t", title="", rows=2, columns=(length,)), head=False))
    labelled = lay_out(one_sheet(Table(handle="t", title="", rows=rows, columns=(length,)), head=False))
    itself = lay_out(one_sheet(Table(handle="t", title="", rows=2, columns=(name, length)), head=False))
    assert [shown(numbered)[f"A{row}"] for row in (3, 4)] == [1, 2]
    assert [shown(labelled)[f"A{row}"] for row in (3, 4)] == ["First row", "Second row"]
    assert itself.places["name"].cells.area == "A3:A4"
    assert numbered.places["t"].cells.area == labelled.places["t"].cells.area == "A3:B4"
    assert numbered.pages[0].widths[1] < labelled.pages[0].widths[1]


def test_a_head_says_label_unit_and_whether_to_type_there():
    columns = (
        Item(handle="a", label="Across", kind=LENGTH, cells=2, heads=("left", "right"), needed=True),
        Item(handle="b", label="Twice", kind=LENGTH, cells=2, formula="=2*{a}"),
        Item(handle="remark", label="Remark"),
    )
    table = Table(handle="t", title="", rows=1, columns=columns)
    cells = shown(lay_out(one_sheet(table, head=True), "metric"))
    assert [cells[f"{column}5"] for column in "BCDF"] == [
        "Across left\nmm, needed entry",
        "Across right\nmm, needed entry",
        "Twice 1\nmm, result",
        "Remark\nentry",
    ]


def test_a_paper_tells_a_reader_labels_and_units_and_no_more():
    table = Table(
        handle="t",
        title="",
        rows=1,
        columns=(
            Item(handle="name", label="Board", kind=COUNT, formula="={n}"),
            Item(handle="twice", label="Twice", kind=LENGTH, cells=2, formula="=2*{size}"),
        ),
    )
    lines = line(
        Item(handle="size", label="Size", kind=LENGTH, formula="=7"),
        Item(handle="time", label="Time", kind=COUNT, formula="=3", unit="days"),
    )
    plan = lay_out(one_sheet(lines, table, head=False, paper=True), "metric")
    cells = shown(plan)
    assert {cells.get(f"{column}{row}") for column in "BCDE" for row in (1, 2)} == {"=7", "mm", None}
    assert [cells[f"{column}6"] for column in "ABC"] == ["Board", "Twice 1\nmm", "Twice 2\nmm"]
    sides = {spot.cells.area: spot.side for spot in plan.pages[0].spots}
    assert (sides["B2"], sides["A6"], sides["A7"], sides["B7"]) == ("left", "left", "left", "right")
    with pytest.raises(ValueError, match="Only is a paper, but typed_here are typed on it"):
        lay_out(one_sheet(line(entry("typed_here")), paper=True))


def test_rows_to_write_on_by_hand_hold_nothing():
    grid = Ruled(title="Walls", rows=2, heads=("Wall", "Length"))
    lines = Ruled(title="Ask", rows=("Owner", "Power"))
    plan = lay_out(one_sheet(grid, lines, head=False))
    assert {at: words for at, words in shown(plan).items() if words} == {
        "A1": "Walls",
        "A2": "Wall",
        "B2": "Length",
        "A6": "Ask",
        "A7": "Owner",
        "A8": "Power",
    }
    assert plan.places == plan.entries == {}
    assert {spot.style for spot in plan.pages[0].spots if spot.cells.row in (3, 4)} == {"Table item"}
    assert [plan.pages[0].heights[row] for row in (3, 4, 7, 8)] == [WRITTEN_HEIGHT] * 4


def filled(**table):
    plan = lay_out(one_sheet(Table(handle="t", title="", **table), head=False))
    place = plan.places["t_filled"]
    contents = [spot.content for spot in plan.pages[0].spots if spot.cells in [place.cells.part(0, 1, 0, 1)]]
    return place, contents[0]


def test_a_table_says_which_rows_are_in_use():
    a = Item(handle="a", label="", kind=LENGTH, needed=True)
    b = Item(handle="b", label="", kind=LENGTH, cells=3, needed=True)
    name = Item(handle="name", label="")
    assert filled(rows=2, columns=(a,))[1] == '=N({a?}<>"")'
    assert filled(rows=2, columns=(a, b))[1] == '=N(AND({a?}<>"",COUNTA({b:?})>0))'
    assert filled(rows=2, columns=(a, b), filled="={a}>3")[1] == "=N({a}>3)"
    assert filled(rows=2, columns=(name,))[1] == '=N({name?}<>"")'
    place, label = filled(rows=(Row("r", "Row"),), columns=(name,))
    assert (label, place.cells.area, place.never_blank) == ("Row", "A3", True)


def test_a_row_may_hold_a_constant_a_formula_or_nothing_in_place_of_its_column():
    rows = (Row("a", "A", {"x": 3}), Row("b", "B", {"x": "=1+1"}), Row("c", "C", {"x": None}), Row("d", "D"))
    plan = lay_out(one_sheet(Table(handle="t", title="", rows=rows, columns=(entry("x"),)), head=False))
    cells = shown(plan)
    assert [cells.get(f"B{row}") for row in range(3, 7)] == [3, "=1+1", None, None]
    assert list(plan.entries) == [("Only", 6, 2)]


def test_words_that_do_not_fit_their_cell_get_more_lines():
    rows = (
        Row("a", "A", {"x": "many words, far too many for one line of such a narrow cell"}),
        Row("b", "B", {"x": "few"}),
    )
    page = lay_out(
        one_sheet(Table(handle="t", title="", rows=rows, columns=(entry("x"),)), head=False)
    ).pages[0]
    styles = {spot.cells.area: spot.style for spot in page.spots}
    assert (styles["B3"], styles["B4"]) == ("Table words", "Table result")
    assert page.heights[3] > 30
    assert 4 not in page.heights


def test_an_answer_like_a_table_stands_in_one_array_for_each_row():
    plan = lay_out(SHEETS)
    arrays = [spot.cells.area for spot in plan.pages[-1].spots if spot.here and not spot.cells.single]
    assert arrays == ["B10:D12", "B13:D15", "B16:D18", "B52:D91"]


def test_every_sheet_shows_the_state_of_the_checks_but_the_owners():
    plan = lay_out(SHEETS)
    assert [shown(plan, page).get("A3") for page in range(3)] == ["={state}"] * 3
    assert shown(plan, 3)["A2"].startswith('="We line')
    assert [page.top for page in plan.pages] == [4, 4, 4, 1, 4]
    without = lay_out(one_sheet(line(entry())))
    assert shown(without) == {
        "A1": "Only",
        "A4": "Title",
        "D4": "If blank",
        "A5": "Label",
        "F5": "May stay blank.",
    }


def test_words_too_many_for_a_validation_stand_before_the_last_block():
    plan = lay_out(SHEETS)
    assert plan.lists == {SPECIES: plan.pages[-1].cells(34, 1, len(SPECIES))}
    assert not fits_validation(("one, two", "three"))
    assert fits_validation(("one", "two"))


def test_a_headline_keeps_to_its_block():
    blocks = (Text(("Headline",), "head"), Text(("Words.",)), Text(("More.",)))
    page = lay_out(one_sheet(*blocks, head=False)).pages[0]
    assert [spot.cells.row for spot in page.spots] == [1, 2, 4]
    assert [first for first, _ in page.blocks] == [1, 4]


def test_the_head_of_a_long_last_table_is_repeated_on_paper():
    long, short = (
        Table(handle="t", title="", rows=rows, columns=(entry("x", kind=LENGTH),)) for rows in (40, 5)
    )
    assert lay_out(one_sheet(line(entry()), long, head=False)).pages[0].repeated == 5
    assert lay_out(one_sheet(line(entry()), short, head=False)).pages[0].repeated == 0
    assert lay_out(one_sheet(long, line(entry()), head=False)).pages[0].repeated == 0
    assert lay_out(one_sheet(long)).pages[0].top == 6  # a sheet of one table keeps its head in sight


@pytest.mark.parametrize(
    "handle",
    ["B2", "ab12", "r", "c", "r1c1", "rc", "n", "j", "true", "Gap", "two words", "read_length", "1st", "é"],
)
def test_a_handle_that_is_no_name_is_refused(handle):
    with pytest.raises(ValueError, match=handle):
        lay_out(one_sheet(line(entry(handle))))


@pytest.mark.parametrize(
    ("block", "why"),
    [
        (line(entry(), entry()), "two things are called entry"),
        (line(entry(formula="1+1")), "begins with ="),
        (line(entry(cells=0)), "at least one cell"),
        (line(entry(cells=2, heads=("a",))), "as many as its cells"),
        (
            line(entry(cells=2, heads=("a", "b")), entry("other", cells=2, heads=("c", "d"))),
            "different heads",
        ),
        (line(entry(formula="=1", needed=True)), "for entries"),
        (line(entry(needed=True, default=1)), "no default"),
        (line(entry(cells=2, default=1)), "one cell"),
        (line(entry(default="=1")), "one cell"),
        (Table(handle="t", title="", rows=1, columns=(entry(default=1),)), "stands in a line"),
        (Answer(handle="t", title="", rows=1, columns=(entry(cells=2),), formula="=1"), "one cell"),
        (Side(left=line(entry(cells=2)), right=line(entry("r", formula="=1"))), "no room"),
        (Side(left=line(entry()), right=line(entry("r"))), "on the left"),
    ],
)
def test_a_declaration_that_contradicts_itself_is_refused(block, why):
    with pytest.raises(ValueError, match=why):
        lay_out(one_sheet(block))


def test_a_text_has_no_items():
    assert items_of(Text(("Words.",))) == ()


def test_only_our_own_formulas_are_formulas_in_a_text():
    plan = lay_out(
        one_sheet(Text(("=NAME(...) is how a call begins.", "={entry}")), line(entry()), head=False)
    )
    kinds = [(spot.content, spot.here is not None) for spot in plan.pages[0].spots[:2]]
    assert kinds == [("=NAME(...) is how a call begins.", False), ("={entry}", True)]


def test_the_same_sheets_have_the_same_places_in_both_systems():
    us, metric = lay_out(SHEETS), lay_out(SHEETS, "metric")
    assert {handle: place.cells for handle, place in us.places.items()} == {
        handle: place.cells for handle, place in metric.places.items()
    }
    assert replace(us.pages[0].sheet, landscape=False) != us.pages[0].sheet
