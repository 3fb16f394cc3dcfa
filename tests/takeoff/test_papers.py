"""What leaves the workbook: the yard's list, the site sheet, and which papers go together."""

from pathlib import Path

import pytest
from jobs import Job

from sheetcalc.kinds import MONEY
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.papers import PAPERS, USUAL
from sheetcalc.workbooks.declare import Ruled, Text
from sheetcalc.workbooks.place import items_of, lay_out
from sheetcalc.workbooks.printing import blank_rows
from sheetcalc.xlsx.workbook import Workbook

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


def test_every_caution_is_printed(demo_file: Path):
    """What is typed for all readers, however much of the rest is blank."""
    book = Workbook(demo_file)
    for title in {title for titles in PAPERS.values() for title in titles if title in SHEETS}:
        said = [
            line
            for block in SHEETS[title].blocks
            if isinstance(block, Text) and block.style == "caution"
            for line in block.lines
            if not line.startswith("=")
        ]
        sheet, hidden = book.sheets[title], blank_rows(book, title)
        printed = " ".join(str(sheet.value(*at)) for at in sheet.places() if at[0] not in hidden)
        assert [line for line in said if line not in printed] == [], title


def test_the_yard_reads_pieces_lengths_and_boards(job: Job):
    assert job.used("yard_pieces") == job.used("yard_boards")
    assert sum(job.used("yard_pieces")) == job["yard_total"] == job["boards_total"]
    assert set(job.used("yard_nominal")) == {"1x6"}
    assert set(job.used("yard_grade")) == {"clear fir, primed"}
    assert job.used("yard_length") == ["8'-0\"", "10'-0\"", "12'-0\"", "14'-0\"", "16'-0\""]
    assert set(job.used("yard_thickness")) == {"3/4"}
    assert set(job.used("yard_face")) == {"5 1/8"}  # as the run of ten measures
    assert job["yard_place"] == "14 Lantern Lane, Eastmere"
    assert job["yard_access"].startswith("Garage")


def test_a_stopped_job_makes_no_order(job: Job):
    def first() -> object:
        return job.cell("Yard", (1, 1))

    assert first() == "List for the yard"
    job.type({"payment_share.1": "31"})
    assert first() == "Not an order: stopped: 1 to mend"


def test_the_saw_keeps_spares_apart_by_length(job: Job):
    assert job["saw_spares"].startswith("8 more than the cuts below need")
    assert sum(job.used("spare_pieces")) == job["boards_total"] - job["boards_needed"] == 8
    spares = zip(job["spare_pieces"], job["spare_length"], job["yard_spare"], strict=True)
    assert all(
        (number or 0) == (spare or 0) and bool(number) == bool(length) for number, length, spare in spares
    )
    assert sum(job.used("group_boards")) == job["boards_needed"]
    job.type({"cull_rate.1": "0;0;0"})
    assert job["saw_spares"] == "none: every board is cut"
    assert job.used("spare_pieces") == job.used("spare_board") == []


def test_the_scaffold_reads_where_the_other_poles_are(job: Job, blank: Job):
    assert "sheetcalc draw" in job["pole_others"]
    assert blank["pole_others"] == ""


@pytest.mark.parametrize("system", ["us", "metric"])
def test_papers_speak_of_nothing_that_is_typed(system: str):
    plan = lay_out(sheets(system), system)
    furniture = ("result", "entry", "Value", "If blank", "Used", "In use", "may stay blank", "password")
    for page in plan.pages:
        if page.sheet.title not in (title for paper in USUAL for title in PAPERS[paper]):
            continue
        assert page.sheet.paper
        heads = " ".join(str(spot.content) for spot in page.spots if spot.here is None and spot.content)
        assert not any(word in heads for word in furniture), page.sheet.title
        assert not any(sheet == page.sheet.title for sheet, _, _ in plan.entries)


def test_goods_are_those_of_which_some_are_needed_without_lumps(job: Job):
    whats = job.used("goods_what")
    assert whats[0].startswith("Primer")
    assert not any(word in " ".join(whats) for word in ("Boards", "Delivery", "Consumables", "Sheathing"))
    assert job.used("goods_buy") == ["1 gallon", "2 x 1000 nails", "1 tub", "22 x 8 feet", "7 tubes"]
    nails, trim = (job[f"order_exact.{row}"] for row in ("nails", "trim"))
    assert job.used("goods_need") == [
        "0.05 gallons",
        f"{nails:.0f} nails",
        "0.27 tubs",
        f"{trim:.2f} feet",
        "7 tubes",
    ]
    job.type({"order_holds.3": "", "order_holds.2": "1"})
    assert job.used("goods_buy")[:2] == ["1 x 1 gallon", f"{nails:.0f} nails"]
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
    assert job.used("yard_other_buy") == ["3 x 5 piece"]
    assert job.used("yard_other_need") == ["12 piece"]
    job.type({"free_holds.2": ""})
    assert job.used("yard_other_buy") == ["12 piece"]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_site_sheet_is_empty_and_asks_for_what_the_entries_need(system: str):
    (site,) = (sheet for sheet in sheets(system) if sheet.title == "Site")
    assert all(isinstance(block, (Ruled, Text)) for block in site.blocks)
    page = next(page for page in lay_out(sheets(system), system).pages if page.sheet.title == "Site")
    words = [spot.content for spot in page.spots if spot.content]
    for asked in (
        "Across, left",
        "Along, far wall",
        "Diagonal two",
        "First from left wall",
        "Boards, bundle 3",
    ):
        assert asked in words
    assert ("Rise in 12" if system == "us" else "Rise in 100") in words
    assert "licensed electrician" in " ".join(map(str, words))
    assert not any(spot.here for spot in page.spots)
