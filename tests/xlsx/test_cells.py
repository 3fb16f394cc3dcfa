import math
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcalc.cells.values import CellError
from sheetcalc.xlsx.cells import number_text, plain_text, read, serial, space, written, xml_text

TEXTS = st.text(max_size=30) | st.lists(st.sampled_from(["_x0041_", "_", "x0042_", "\r", "\0", "a"])).map(
    "".join
)


@given(value=st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_reads_back_the_same(value: float):
    assert float(number_text(value)) == value


@given(value=st.integers(-(10**14), 10**14))
def test_whole_numbers_have_no_point(value: int):
    assert number_text(float(value)) == str(value)


def test_a_large_number_keeps_its_power():
    assert number_text(1e15) == "1000000000000000"
    assert number_text(1e16) == "1e+16"


@given(text=TEXTS)
def test_text_reads_back_the_same(text: str):
    escaped = xml_text(text)
    assert not set(escaped) & {"\0", "\r", "<"}
    unescaped = escaped.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
    assert plain_text(unescaped) == text


def test_what_xml_cannot_hold():
    assert xml_text("a\rb\x0b\ud800\uffff\n\t") == "a_x000D_b_x000B__xD800__xFFFF_\n\t"


@pytest.mark.parametrize(
    ("text", "kept"), [("a b", False), (" a", True), ("a\n", True), ("a\nb", True), ("", False)]
)
def test_outer_blanks_are_kept(text: str, kept: bool):
    assert bool(space(text)) is kept


@pytest.mark.parametrize(
    ("value", "as_answer"),
    [
        (3.0, ("", "<v>3</v>")),
        (3, ("", "<v>3</v>")),
        (0.1, ("", "<v>0.1</v>")),
        (True, ("b", "<v>1</v>")),
        (CellError.NA, ("e", "<v>#N/A</v>")),
        (math.inf, ("e", "<v>#NUM!</v>")),
        (math.nan, ("e", "<v>#NUM!</v>")),
        ("", ("str", "<v></v>")),
        (" a&b", ("str", '<v xml:space="preserve"> a&amp;b</v>')),
        (None, ("", "")),
    ],
)
def test_written_beside_a_formula(value: float | str | bool | CellError | None, as_answer: tuple[str, str]):
    assert written(value, "", entry=False) == as_answer


def test_text_that_was_typed():
    assert written("=1", "x:", entry=True) == ("inlineStr", "<x:is><x:t>=1</x:t></x:is>")


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("n", " 1.50 ", 1.5),
        ("n", None, None),
        ("n", "", None),
        ("s", "1", "two"),
        ("b", "1", True),
        ("b", "true", True),
        ("b", "0", False),
        ("e", "#DIV/0!", CellError.DIV),
        ("e", "#SPILL!", CellError.VALUE),
        ("str", None, ""),
        ("str", "_x0041_", "A"),
        ("inlineStr", "a", "a"),
        ("d", "2026-01-02T12:00:00", 46024.5),
        ("d", "2026-01-02T12:00:00Z", 46024.5),
    ],
)
def test_read(kind: str, text: str | None, value: object):
    assert read(kind, text, ["one", "two"], date_1904=False) == value


@pytest.mark.parametrize(
    ("kind", "text"), [("s", "2"), ("s", "-1"), ("s", "x"), ("n", "one"), ("d", "tomorrow")]
)
def test_content_that_does_not_fit_its_type(kind: str, text: str):
    with pytest.raises(ValueError, match=text):
        read(kind, text, ["one", "two"], date_1904=False)


@pytest.mark.parametrize(
    ("day", "system_1904", "days"),
    [
        (date(1900, 1, 1), False, 1),
        (date(1900, 2, 28), False, 59),
        (date(1900, 3, 1), False, 61),
        (datetime(2026, 1, 2, 6), False, 46024.25),
        (date(1904, 1, 1), True, 0),
        (date(2026, 1, 2), True, 44562),
    ],
)
def test_days_as_spreadsheets_count_them(day: date, system_1904: bool, days: float):
    assert serial(day, system_1904) == days
