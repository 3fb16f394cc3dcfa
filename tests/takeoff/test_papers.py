"""What leaves the workbook: the yard's list, the site sheet, and which papers go together."""

import pytest
from jobs import Job

from sheetcalc.kinds import MONEY
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.papers import PAPERS, USUAL
from sheetcalc.workbooks.declare import Ruled, Text
from sheetcalc.workbooks.place import items_of, lay_out

SHEETS = {sheet.title: sheet for sheet in sheets()}


def test_papers_are_sheets_in_the_order_of_their_tabs():
    titles = [title for titles in PAPERS.values() for title in titles]
    assert titles == [title for title in SHEETS if title in titles]
    assert list(USUAL) == [paper for paper in PAPERS if paper not in ("inside", "site")]


def test_what_the_inside_page_says_is_not_printed_unless_asked_for():
    assert "inside" not in USUAL
    assert PAPERS["inside"] == ("Price",)
    for paper in ("yard", "saw", "scaffold", "site"):
        for title in PAPERS[paper]:
            blocks = SHEETS[title].blocks if title in SHEETS else ()
            assert not any(item.kind is MONEY for block in blocks for item in items_of(block))


def test_the_yard_reads_pieces_lengths_and_boards(job: Job):
    assert job.used("yard_pieces") == job.used("yard_boards")
    assert sum(job.used("yard_pieces")) == job["yard_total"] == job["boards_total"]
    assert set(job.used("yard_nominal")) == {"1x6"}
    assert set(job.used("yard_grade")) == {"clear fir, primed"}
    assert job.used("yard_length") == ["8'-0\"", "10'-0\"", "12'-0\"", "14'-0\"", "16'-0\""]
    assert job["yard_place"] == "14 Lantern Lane, Eastmere"
    assert job["yard_access"].startswith("Garage")


def test_goods_are_those_of_which_some_are_needed_without_lumps(job: Job):
    whats = job.used("goods_what")
    assert whats[0].startswith("Primer")
    assert not any(word in " ".join(whats) for word in ("Boards", "Delivery", "Consumables", "Sheathing"))
    assert job.used("goods_number") == [
        job[f"order_buy.{row}"] for row in ("primer", "nails", "filler", "trim", "sealant")
    ]
    assert job.used("goods_holds")[1] == "1000 nail"
    job.type({"backing": "sheathing", "coats": "0", "end_coats": "0"})
    changed = job.used("goods_what")
    assert "Sheathing" in changed
    assert not any(what.startswith("Primer") for what in changed)


def test_trim_bought_by_length_stands_by_its_lengths(job: Job):
    assert "Cover trim" in job.used("goods_what")
    assert job.used("yard_trim_number") == []
    job.type({"trim_length.1": "16'", "trim_price.1": "22"})
    assert "Cover trim" not in job.used("goods_what")
    assert job.used("yard_trim_length") == ["16'-0\""]
    assert job.used("yard_trim_number") == job.used("trim_buy") != [0]


def test_other_lines_of_the_order_go_to_the_yard_too(job: Job):
    job.type(
        {"free_what.2": "Joist hangers", "free_quantity.2": "12", "free_holds.2": "5", "free_unit.2": "piece"}
    )
    assert job.used("yard_other") == ["Joist hangers"]
    assert job.used("yard_other_holds") == ["5 piece"]
    assert job.used("yard_other_number") == [3]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_site_sheet_is_empty_and_asks_for_what_the_entries_need(system: str):
    (site,) = (sheet for sheet in sheets(system) if sheet.title == "Site")
    assert all(isinstance(block, (Ruled, Text)) for block in site.blocks)
    page = next(page for page in lay_out(sheets(system), system).pages if page.sheet.title == "Site")
    words = [spot.content for spot in page.spots if spot.content]
    for asked in ("Across, left", "Along, right", "Diagonal two", "First from left wall", "Boards, bundle 3"):
        assert asked in words
    assert ("Rise in 12" if system == "us" else "Rise in 100") in words
    assert "licensed electrician" in " ".join(map(str, words))
    assert not any(spot.here for spot in page.spots)
