"""The takeoff workbook, written once for all tests: with the demo job, and blank."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from jobs import Job

# No test fails for being slow: machines differ, and several processes share one.
settings.register_profile("any_machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any_machine")


@pytest.fixture(autouse=True, scope="session")
def _solvers_with_time() -> Iterator[None]:
    """Let no solve be given up: what an idle machine finds in a second takes a busy one half a minute."""
    with pytest.MonkeyPatch.context() as patch:
        for solver in ("cutting", "joints"):
            patch.setattr(f"sheetcalc.solver.{solver}._SECONDS", 600.0)
        yield


def _written(folder: Path, name: str, values: object, system: str = "us") -> Path:
    from sheetcalc.takeoff import sheets
    from sheetcalc.workbooks.write import write

    return write(folder / name, sheets(system), values, system).file  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """File of the demo job, to be read or copied, never changed."""
    from sheetcalc.takeoff.demo import DEMO

    return _written(tmp_path_factory.mktemp("demo"), "porch.xlsx", DEMO)


@pytest.fixture(scope="session")
def metric_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """File of the metric demo job, to be read or copied, never changed."""
    from sheetcalc.takeoff.demo_metric import DEMO

    return _written(tmp_path_factory.mktemp("metric"), "porch_metric.xlsx", DEMO, "metric")


@pytest.fixture(scope="session")
def blank_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """File without a job, to be read or copied, never changed."""
    return _written(tmp_path_factory.mktemp("blank"), "blank.xlsx", {})


@pytest.fixture(scope="session")
def _demo(demo_file: Path) -> Job:
    return Job(demo_file)


@pytest.fixture(scope="session")
def _metric(metric_file: Path) -> Job:
    return Job(metric_file)


@pytest.fixture(scope="session")
def _blank(blank_file: Path) -> Job:
    return Job(blank_file)


@pytest.fixture
def job(_demo: Job) -> Iterator[Job]:
    """Yield the demo job; what a test types into it is taken back."""
    yield _demo
    _demo.take_back()


@pytest.fixture
def metric(_metric: Job) -> Iterator[Job]:
    """Yield the metric demo job; what a test types into it is taken back."""
    yield _metric
    _metric.take_back()


@pytest.fixture(scope="session")
def _blank_metric(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return Job(_written(tmp_path_factory.mktemp("blank_metric"), "blank.xlsx", {}, "metric"))


@pytest.fixture
def blank_metric(_blank_metric: Job) -> Iterator[Job]:
    """Yield the blank metric workbook; what a test types into it is taken back."""
    yield _blank_metric
    _blank_metric.take_back()


@pytest.fixture(params=["job", "metric"])
def either(request: pytest.FixtureRequest) -> Job:
    """Give the demo job of each unit system in turn."""
    return request.getfixturevalue(request.param)


@pytest.fixture
def blank(_blank: Job) -> Iterator[Job]:
    """Yield the blank workbook; what a test types into it is taken back."""
    yield _blank
    _blank.take_back()
