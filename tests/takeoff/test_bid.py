"""The owner's page: what it says, and that it tells nothing of cost."""

import re

from jobs import Job

from sheetcalc.takeoff import bid, hours, order, price
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.workbooks.declare import Item, Text
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
    assert "1x6 clear fir, primed" in words
    assert "cut for 7 fixtures" in words
    for row, name in enumerate(DEMO["ceiling"], 1):  # type: ignore[arg-type]
        assert f"{name}: {job[f'area.{row}']:,.0f} ft²" in words
    for payment in job["payment_amount"]:
        assert f"{payment:,.2f}" in words


def test_blank_it_says_nothing_of_a_job(blank: Job):
    page = [blank.cell("Bid", place) for place in blank.book.sheets["Bid"].places()]
    words = "\n".join(value for value in page if isinstance(value, str))
    assert "We line" not in words
    assert "payment," not in words
    assert not any(isinstance(value, float) for value in page)
