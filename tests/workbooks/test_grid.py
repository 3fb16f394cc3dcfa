import pytest

from sheetcalc.workbooks.declare import Answer, Item, Row, Table
from sheetcalc.workbooks.grid import grids

COLUMN = (Item(handle="column", label="Column"),)
PLAIN = Table(handle="plain", title="", columns=COLUMN, rows=3)
NAMED = Table(handle="named", title="", columns=COLUMN, rows=(Row("a", "A", {"column": 1}), Row("b", "B")))


def like(handle, other, **more):
    return Table(
        handle=handle, title="", columns=(Item(handle=f"{handle}_column", label=""),), like=other, **more
    )


def answer(handle, rows, other=""):
    return Answer(handle=handle, title="", columns=COLUMN, rows=rows, formula="=1", like=other)


def test_a_table_like_another_has_its_rows():
    found = grids([like("second", "first"), like("first", "plain"), PLAIN])
    assert found["second"] is found["first"] is found["plain"]
    assert found["plain"].count == 3
    assert found["plain"].lineage == {"plain": 1}


def test_named_rows_are_known_by_name():
    assert grids([NAMED])["named"].named() == {"a": (0, 1), "b": (1, 1)}
    assert grids([NAMED])["named"].named(4) == {"a": (0, 4), "b": (4, 4)}


def test_an_answer_may_have_several_rows_for_each_row_of_a_table():
    found = grids([PLAIN, answer("stack", 4, "plain"), like("shown", "stack"), answer("single", 9)])
    assert found["stack"].count == found["shown"].count == 12
    assert found["stack"].lineage == {"stack": 1, "plain": 4}
    assert found["single"].lineage == {"single": 1}
    assert found["stack"].here("Working", 6).rows == {"stack": 6, "plain": 2}


def test_a_row_may_hold_cells_of_any_table_with_these_rows():
    rows = (Row("a", "A", {"second_column": 1}),)
    grids([Table(handle="named", title="", columns=COLUMN, rows=rows), like("second", "named")])
    with pytest.raises(ValueError, match="second_column"):
        grids([Table(handle="named", title="", columns=COLUMN, rows=rows), like("second", "plain"), PLAIN])


@pytest.mark.parametrize(
    ("blocks", "why"),
    [
        ([like("lost", "nobody")], "lost is like nobody"),
        ([like("one", "two"), like("two", "one")], "one is like itself"),
        ([PLAIN, like("both", "plain", rows=2)], "neither rows nor"),
        ([PLAIN, like("both", "plain", filled="=TRUE")], "neither rows nor"),
        ([Table(handle="empty", title="", columns=COLUMN)], "empty has no rows"),
        ([answer("empty", 0)], "empty has no rows"),
        ([Table(handle="twice", title="", columns=COLUMN, rows=(Row("a", "A"), Row("a", "B")))], "one name"),
    ],
)
def test_a_table_that_contradicts_itself_is_refused(blocks, why):
    with pytest.raises(ValueError, match=why):
        grids(blocks)
