"""The owner's page: what it says, and that it tells nothing of cost."""

import re

import pytest
from jobs import Job

from sheetcalc.takeoff import bid, hours, order, price
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.declare import Item, Row, Text
from sheetcalc.workbooks.place import items_of

SHOWN = {  # all that the owner's page may read of the sheets with money and hours on them
    "price",
    "tax",
    "site_days",
    "area_total",
    "bid_date",
    "good_until",
    "start_on",
    "included",
    "not_included",
    "option",
    "option_price",
    "payment_used",
    "payment_amount",
    "payment_time",
}


def items(sheet) -> list[Item]:
    return [item for block in sheet.blocks for item in items_of(block)]


def named(rows: object) -> tuple[Row, ...]:
    assert isinstance(rows, tuple)
    return rows


def formulas() -> list[str]:
    lines = [
        line
        for block in bid.SHEET.blocks
        if isinstance(block, Text)
        for line in block.lines
        if line[0] == "="
    ]
    return lines + [item.formula for item in items(bid.SHEET)]


def numbers(job: Job) -> set[float]:
    """Return all amounts that stand on the page, also within its sentences."""
    sheet = job.book.sheets["Bid"]
    values = [job.cell("Bid", place) for place in sheet.places()]
    words = " ".join(value for value in values if isinstance(value, str)).replace(",", "")
    written = {float(number) for number in re.findall(r"\d+\.\d+|\d+", words)}
    return written | {round(value, 2) for value in values if isinstance(value, float)}


def test_it_reads_nothing_of_cost():
    read = {handle for text in formulas() for handle in re.findall(r"\{([a-z_]+)", text)}
    inside = {item.handle for sheet in (order.SHEET, hours.SHEET, price.SHEET) for item in items(sheet)}
    assert read & inside <= SHOWN
    assert read & {"cost", "material", "labor", "profit", "margin", "labor_rate", "hang_rate"} == set()
    assert [item.handle for item in items(bid.SHEET) if not item.formula] == []  # nothing is typed on it


def test_it_shows_nothing_of_cost(job: Job):
    job.type({"labor_rate": "68.93", "overhead": "11.3", "contingency": "4.7", "order_price.2": "44.19"})
    shown = numbers(job)
    assert job["price"] in shown
    costs = [item.handle for item in items(price.SHEET) if item.handle.startswith("cost")]
    assert len(costs) == 8
    for handle in (*costs, "price_exact", "profit_money", "margin", "labor", "hours_total", "labor_rate"):
        amount = job[handle]
        words = {round(amount, 2), round(amount)} if amount > 1 else {round(100 * amount, 1)}
        assert words & shown == set(), handle


def test_it_says_what_the_job_says(job: Job):
    page = [job.cell("Bid", place) for place in job.book.sheets["Bid"].places()]
    words = "\n".join(value for value in page if isinstance(value, str))
    for handle in ("owner", "place", "job", "firm"):
        assert DEMO[handle] in page
    for handle in ("included", "not_included", "option"):
        for line in DEMO[handle]:  # type: ignore[attr-defined]
            assert line in words
    assert "cut for 7 fixtures" in words
    assert "1x6 showing 5 1/8 in, clear fir, primed" in words
    assert page[0] == "Bid"
    for row, name in enumerate(DEMO["ceiling"], 1):  # type: ignore[arg-type]
        assert f"{name}: {job[f'area.{row}']:,.0f} ft²" in words
    for payment in job["payment_amount"]:
        assert f"{payment:,.2f}" in words
    assert "Wiring and hanging of fixtures is the work of a licensed electrician." in words
    assert job.used("promise_left_out") == []


PRICED = {  # what pays for each promise, goods and hours, and the words that make it
    "fill": (("order_price.filler", "task_rate.fill"), "where nails show, the holes are filled"),
    "prime": (("order_price.primer", "task_rate.prime"), "ripped edge is primed"),
    "backs": (("order_price.primer", "task_rate.backs"), "The backs are primed too."),
    "trim": (("order_price.trim", "task_rate.trim"), "trim covers it"),
    "sealant": (("order_price.sealant", "task_rate.trim"), "A bead of sealant"),
    "openings": (("task_rate.fixtures",), "Openings are cut for 7 fixtures"),
    "sheathing": (("order_price.sheathing", "task_rate.backing"), "Boards are nailed to sheathing"),
    "strapping": (("order_price.strapping", "task_rate.backing"), "Boards are nailed to strapping"),
    "barrier": (("order_price.barrier", "task_rate.barrier"), "A weather barrier goes up"),
}
WANTED = {
    "prime_backs": "yes",
    "barrier": "yes",
    "task_rate.backs": "0.01",
    "task_rate.backing": "0.3",
    "task_rate.barrier": "0.01",
    "order_price.barrier": "95",
}


@pytest.mark.parametrize("promise", PRICED)
def test_a_promise_has_its_goods_and_its_hours_in_the_price(job: Job, promise: str):
    handles, words = PRICED[promise]
    (row,) = (row for row in named(bid.PROMISES.rows) if row.handle == promise)
    backing = promise if promise in ("sheathing", "strapping") else "none"
    priced = {**WANTED, "backing": backing, f"order_price.{promise}": "21"} if backing != "none" else WANTED
    for handle in handles:
        job.take_back()
        job.type(priced)
        lines = job["bid_line"]
        assert words in "\n".join(lines)
        assert row.label not in lines
        job.type({handle: ""})
        lines = job["bid_line"]
        assert words not in "\n".join(lines)
        assert lines.index("Not included:") < lines.index(row.label) < lines.index("Payments:")


def test_a_caution_of_lead_shows_for_an_old_house_alone(either: Job):
    def lead(sheet: str) -> bool:
        values = [either.cell(sheet, place) for place in either.book.sheets[sheet].places()]
        return " lead" in " ".join(value for value in values if isinstance(value, str))

    for year, due in (("1977", True), ("1978", False), ("", False)):
        either.type({"year_built": year})
        assert {lead(sheet) for sheet in ("Layout", "Saw", "Bid")} == {due}


def test_where_the_price_stops_the_page_is_no_bid(job: Job):
    job.type({"payment_share.1": "31"})
    page = job.area("bid_price").sheet
    words = [job.cell(page, place) for place in job.book.sheets[page].places()]
    assert words[0] == "Not a bid: stopped: 1 to mend"
    assert set(job["bid_line"]) == {""}
    assert (job["bid_days"], job["bid_tax"]) == ("", "")


def test_a_tax_of_nothing_is_not_shown(job: Job):
    assert job["bid_tax"] == ""
    assert job["bid_days"] == "4 days"
    job.type({"crew": "8"})
    assert job["bid_days"] == "1 day"


def test_an_owner_reads_the_size_of_a_metric_board_in_words(metric: Job):
    assert ", 19 x 135 mm showing 121 mm, clear spruce, primed" in metric["bid_line"][1]


def test_blank_it_says_nothing_of_a_job(blank: Job):
    page = [blank.cell("Bid", place) for place in blank.book.sheets["Bid"].places()]
    words = "\n".join(value for value in page if isinstance(value, str))
    assert "Not a bid: no price yet: 9 entries missing" in page
    assert "payment," not in words
    assert not any(isinstance(value, float) for value in page)
