"""One running office for all tests of a module."""

from collections.abc import Iterator

import pytest
from calc_office import LiveOffice


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveOffice]:
    office = LiveOffice(tmp_path_factory.mktemp("office"))
    yield office
    office.quit()
