"""The half-way check on Measure: a crew that is on plan is told so, whatever takes up the taper."""

import pytest
from jobs import Job

ACROSS = (95.0, 96.25, 97.5)


def measured(job: Job, after: int) -> str:
    """Say what a crew on plan measures after so many courses, left, middle and right."""
    laid = (after - 1) * job["face_of.1"]
    return ";".join(
        str(across - job["start_gap.1"] - first - laid)
        for across, first in zip(ACROSS, job["here_first.1"], strict=True)
    )


@pytest.mark.parametrize("taper", ["last", "gap", "split"])
def test_a_crew_on_plan_opens_no_joint(job: Job, taper: str):
    job.type(
        {
            "across.1": ";".join(map(str, ACROSS)),
            "taper.1": taper,
            "pole_ceiling": "Front porch",
            "after_course": "9",
        }
    )
    job.type({"still_to_cover": measured(job, after=9)})
    assert job["open_each"] == ["0", "0", "0"]
    assert job["open_state"] == ["ok", "ok", "ok"]


def test_a_last_course_of_one_width_takes_the_taper_out(job: Job):
    job.type(
        {
            "across.1": ";".join(map(str, ACROSS)),
            "pole_ceiling": "Front porch",
            "after_course": "9",
            "still_to_cover": "49.25;50.5;51.75",
            "last_wanted": "3 7/8",
        }
    )
    assert job["open_each"] == ["-1/8", "0", "1/8"]
    assert job["open_state"] == ["look: too much", "ok", "look: too much"]


def test_where_no_reading_was_taken_the_mean_counts(job: Job):
    job.type({"across.1": "95;;97.5", "pole_ceiling": "Front porch", "after_course": "9"})
    job.type({"still_to_cover": "49.25;50.5;51.75"})
    assert job["open_each"] == ["0", "0", "0"]
