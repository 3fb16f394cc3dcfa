import pytest

from sheetcalc.cells.values import Cell, CellError
from sheetcalc.workbooks.shown import shown


@pytest.mark.parametrize(
    ("value", "code", "words"),
    [
        (None, "0.00", ""),
        (CellError.NUM, "0.00", "#NUM!"),
        (True, "General", "TRUE"),
        ("two\n lines", "0", "two lines"),
        (0.125, "0.0%", "12.5%"),
        (0.125, "0%", "12%"),
        (4215.5, "#,##0.00", "4,215.50"),
        (4215.5, "0", "4216"),
        (-4215.5, "#,##0.00;[Red]-#,##0.00", "-4,215.50"),
        (217.86, '#,##0.0" ft²"', "217.9"),
        (171.375, "# ??/16", "171 3/8"),
        (-5.5, "# ??/16", "-5 1/2"),
        (46490.0, "yyyy-mm-dd", "2027-04-13"),
        (1 / 3, "General", "0.3333333333"),
        (1e9, "yyyy-mm-dd", "1000000000"),  # no date
        (1e16, "# ??/16", "1e+16"),  # no length of a job
    ],
)
def test_values_in_words(value: Cell, code: str, words: str):
    assert shown(value, code) == words
