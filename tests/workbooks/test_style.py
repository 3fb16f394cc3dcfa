import pytest

from sheetcalc.kinds import AREA, COUNT, HOURS, LENGTH, MONEY, NUMBER, SHARE, TEXT
from sheetcalc.workbooks.build import CONDITIONS
from sheetcalc.workbooks.declare import CHECK, DATE, FLAG, Item
from sheetcalc.workbooks.style import PAPER, STYLES, alignment, number_format, side, unit_words


def luminance(colour):
    """Relative luminance as in WCAG 2.2, from memory."""
    parts = (int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_reckoned_right():
    assert contrast("000000", "FFFFFF") == pytest.approx(21)  # black on white: the most there is
    assert contrast("767676", "FFFFFF") == pytest.approx(
        4.54, abs=0.01
    )  # from memory: the lightest grey that passes


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
def test_every_style_can_be_read(style):
    ground = style.fill.fgColor.rgb[-6:] if style.fill.fill_type else PAPER
    assert contrast(style.font.color.rgb[-6:], ground) >= 4.5  # WCAG 2.2, 1.4.3, from memory


@pytest.mark.parametrize("kind", CONDITIONS, ids=lambda kind: kind.name)
def test_every_condition_can_be_read(kind):
    for _, ink, ground in CONDITIONS[kind]:
        assert contrast(ink, ground or PAPER) >= 4.5


def test_only_entries_are_unlocked():
    assert {name for name, style in STYLES.items() if not style.protection.locked} == {
        "Line entry",
        "Table entry",
    }


@pytest.mark.parametrize(
    ("item", "us", "metric"),
    [
        (Item(handle="", label="", kind=LENGTH), "# ??/16", "0.0"),
        (Item(handle="", label="", kind=HOURS), "#,##0.00", "#,##0.00"),
        (Item(handle="", label="", kind=HOURS, per=AREA), "0.0000", "0.0000"),
        (Item(handle="", label="", kind=MONEY, per=AREA), "#,##0.00", "#,##0.00"),
        (Item(handle="", label="", kind=DATE), "mmmm d, yyyy", "d mmmm yyyy"),
        (Item(handle="", label="", kind=NUMBER), *["[=0]0;[<0.1]0.00000;#,##0.00"] * 2),
        (Item(handle="", label="", kind=TEXT), "General", "General"),
    ],
)
def test_a_number_format_follows_kind_and_system(item, us, metric):
    assert (number_format(item, "us"), number_format(item, "metric")) == (us, metric)


def test_what_is_typed_stays_as_it_was_typed():
    date, length = (Item(handle="", label="", kind=kind) for kind in (DATE, LENGTH))
    assert number_format(date, "us", typed=True) == number_format(date, "metric", typed=True) == "yyyy-mm-dd"
    assert number_format(length, "metric", typed=True) == "General"


@pytest.mark.parametrize(
    ("item", "us", "metric"),
    [
        (Item(handle="", label="", kind=LENGTH), "in", "mm"),
        (Item(handle="", label="", kind=MONEY, per=AREA), "per ft²", "per m²"),
        (Item(handle="", label="", kind=HOURS, per=AREA), "h per ft²", "h per m²"),
        (Item(handle="", label="", kind=MONEY, unit="per board"), "per board", "per board"),
        (Item(handle="", label="", kind=SHARE), "", ""),
    ],
)
def test_a_unit_is_said_in_words(item, us, metric):
    assert (unit_words(item, "us"), unit_words(item, "metric")) == (us, metric)


def test_measures_stand_to_the_right_and_words_to_the_left():
    sides = {
        kind.name: side(Item(handle="", label="", kind=kind)) for kind in (TEXT, CHECK, FLAG, COUNT, LENGTH)
    }
    assert sides == {"text": "left", "check": "left", "flag": "center", "count": "right", "length": "right"}
    assert side(Item(handle="", label="", unit="in")) == "right"
    assert alignment("Line item").indent == 1
    assert alignment("Line result", "right").indent == 0
