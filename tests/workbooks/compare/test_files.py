"""Words of somebody's own workbook in the file of a comparison."""

from pathlib import Path
from typing import Any

import openpyxl

from sheetcalc.workbooks.compare.files import Graph, Page, write


def test_words_stay_words_and_lose_what_xml_cannot_hold(tmp_path: Path):
    page = Page(
        title="Compare: job\x01.xlsx",
        handles=["label", "price"],
        heads=["=1+1\x02", "=A1"],
        looks=["General", "0.00"],
        rows=[["\x03=2+2\x0b", 3.5], ["fir\a", 4.5]],
        says=["=3+3", "Price\x1f is 3.50."],
        graph=Graph("Change of \x04price", "Price\0 of each.", 0, [1]),
    )
    job = tmp_path / "job.xlsx"
    job.touch()
    write(page, tmp_path / "out.xlsx", job)
    sheet: Any = openpyxl.load_workbook(tmp_path / "out.xlsx")["Compare"]
    words = {place: sheet[place].value for place in ("A1", "A3", "B3", "A4", "A5", "A7", "A8")}
    assert words == {
        "A1": "Compare: job.xlsx",
        "A3": "=1+1",
        "B3": "=A1",
        "A4": "=2+2",
        "A5": "fir",
        "A7": "=3+3",
        "A8": "Price is 3.50.",
    }
    for place, text in words.items():
        assert sheet[place].data_type == "s"
        assert sheet[place].quotePrefix == text.startswith("=")
    assert sheet["B4"].value == 3.5
