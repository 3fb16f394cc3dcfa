"""The same job in both editions: the us demo, measured in millimetres, has the same answers."""

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from jobs import Job

from sheetcalc.cells.units import from_us
from sheetcalc.kinds import AREA, LENGTH, Kind
from sheetcalc.takeoff import sheets
from sheetcalc.takeoff.boards import STOCK
from sheetcalc.takeoff.demo import DEMO
from sheetcalc.trade.lengths import read_length
from sheetcalc.workbooks.declare import Answer, Item
from sheetcalc.workbooks.place import items_of
from sheetcalc.workbooks.write import write

FOOT, GALLON = 0.3048, 3.785411784  # metres, litres
BLOCKS = [block for sheet in sheets() for block in sheet.blocks]
ENTRIES = [
    item for block in BLOCKS if not isinstance(block, Answer) for item in items_of(block) if not item.formula
]
PER_FOOT = {  # numbers whose unit no kind tells
    "board_rate": 1 / FOOT,
    "screws_run": 1 / FOOT,
    "task_rate": {"trim": 1 / FOOT},
    "order_holds": {"trim": FOOT, "strapping": FOOT, "primer": GALLON},
}


def _converted(item: Item, value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_converted(item, one) for one in value]
    if isinstance(value, dict):
        return {row: _converted(item, one) for row, one in value.items()}
    if value is None:
        return None
    if item.kind is LENGTH:
        return float(Fraction(read_length(entry=value)) * 254 / 10)
    convert = from_us(item.kind, "metric")
    value = convert(value) if convert else value
    return value / FOOT**2 if item.per is AREA else value


def in_millimetres() -> dict[str, Any]:
    """Give every entry of the us demo, and every value assumed in it, in the units of the metric workbook."""
    found: dict[str, Any] = {}
    for item in ENTRIES:
        value: Any = DEMO.get(item.handle, item.default)
        if item.handle == "order_holds":
            value = {"primer": 1, **value}
        if value is None:
            continue
        value = _converted(item, value)
        match PER_FOOT.get(item.handle):
            case float() as factor:
                value *= factor
            case dict() as factors:
                value = {row: one * factors.get(row, 1) for row, one in value.items()}
            case _:
                pass
        found[item.handle] = value
    found["stock_here"] = [inches.us * 25.4 if inches else None for inches in STOCK]  # type: ignore[union-attr]
    return found


@pytest.fixture(scope="module")
def converted(tmp_path_factory: pytest.TempPathFactory) -> Job:
    file: Path = tmp_path_factory.mktemp("both") / "porch.xlsx"
    return Job(write(file, sheets("metric"), in_millimetres(), "metric").file)


def flat(value: Any) -> list[Any]:
    return [one for part in value for one in flat(part)] if isinstance(value, list) else [value]


# What is not the same: parts of a rule, one running unit and what is counted in it.
OTHERS = {
    *(
        "one_run",
        "dust",
        "rule_parts",
        "finest",
        "setting_steps",
        "stock_usual",
        "run_weight",
        "run_weight_used",
    ),
    *("order_exact", "order_exact_primer_by_way", "task_quantity"),
    *(
        "checked_where",
        "bad_word",
        "bad_number",
        "bad_sign",
        "bad_share",
    ),  # sizes are no words of a list there
    *("start_assumed", "assumed_count", "assumed_value"),  # all of them are typed there
}


def test_every_figure_is_the_same(job: Job, converted: Job):
    compared = 0
    differ: dict[str, Any] = {}
    entries = {item.handle for item in ENTRIES}
    for item in (item for block in BLOCKS for item in items_of(block)):
        if item.handle in OTHERS | entries:
            continue
        kind: Kind = item.kind
        convert = from_us(kind, "metric")
        for us, metric in zip(flat(job[item.handle]), flat(converted[item.handle]), strict=True):
            if isinstance(us, float | int) and not isinstance(us, bool):
                wanted = convert(us) if convert else us
                if item.per is AREA:
                    wanted = wanted / FOOT**2
                compared += 1
                if metric != pytest.approx(wanted, rel=1e-9, abs=1e-6):
                    differ.setdefault(item.handle, (wanted, metric))
    assert compared > 1000
    assert differ == {}
