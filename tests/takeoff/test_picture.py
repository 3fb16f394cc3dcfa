"""The picture of the takeoff follows its ceiling, and looks at the fixtures say their names."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from jobs import Job

from sheetcalc.takeoff.plan import PICTURE

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"


@pytest.fixture(scope="module", params=["us", "metric"])
def opened(request: pytest.FixtureRequest) -> Job:
    return Job(TEMPLATES / f"porch_ceiling_{request.param}.xlsx")


@pytest.fixture
def job(opened: Job) -> Iterator[Job]:
    yield opened
    opened.take_back()


def drawn(job: Job, what: str) -> list[tuple[float, float]]:
    points = list(zip(job[f"{what}_across"], job[f"{what}_up"], strict=True))
    return points[: points.index(points[-1]) + 1]


def numbers(job: Job) -> bool:
    names = [name.strip("{}[]") for series in PICTURE.series for name in (series.values, series.across)]
    return all(isinstance(value, float) for name in names for value in job[name])


def test_the_chart_reads_numbers_and_nothing_else_even_where_there_is_no_ceiling(job: Job):
    assert numbers(job)
    assert len(drawn(job, "joints")) == job["pole_joints"] > 0
    job.type({"ceiling": "", "across": "", "along": ""})
    assert numbers(job)
    assert {*job["walls_across"]} == {-1}


def test_another_ceiling_is_drawn(job: Job):
    before = drawn(job, "walls")
    job.type({"pole_ceiling": job["name_used"][0]})
    assert drawn(job, "walls") != before
    assert drawn(job, "joints") == [(-1, -1)]
    assert job["drawn_ceiling"].startswith(job["name_used"][0])


def test_a_look_says_which_fixture(job: Job):
    job.type({"framed.2": "no", "framed.3": ""})
    looks = dict(zip([row[0] for row in job["look_checks"]], job["look_where"], strict=True))
    assert looks["Every fixture is framed"] == f"Measure: {job['fixture_name'][1]} and 1 more"
    assert looks["Flanges hide the edges of the holes"] == "Measure"


def test_a_ceiling_by_its_corners_is_drawn_as_it_is(job: Job):
    inch = 1 if "'" in job["along_read"][0][0] else 25.4
    corners = [(0, 0), (320, 0), (280, 94), (0, 94)]
    typed = {"pole_ceiling": job["name_used"][0]}  # whose corners need no name
    for row, (along, across) in enumerate(corners, 1):
        typed |= {f"corner_along.{row}": str(along * inch), f"corner_across.{row}": str(across * inch)}
    job.type(typed)
    assert job["picture_short"] == 0
    walls = list(zip(job["walls_across"], job["walls_up"], strict=True))
    (left, low), (right, _) = walls[:2]
    scale = (right - left) / 320
    back = [((x - left) / scale, (y - low) / scale) for x, y in walls[:4]]
    for found, corner in zip(back, corners, strict=False):
        assert found == pytest.approx(corner, abs=0.01)
    assert len(drawn(job, "joints")) == job["joints.1"] > 9
    most = max(x for x, _ in drawn(job, "joints"))
    assert left < most < right
