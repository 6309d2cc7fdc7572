"""One floor for every file of its tests, and a tablet on it for every test."""

import pytest

from tests.demo.floor.fittings import placed_by_a_till
from tests.demo.floor.floors import Tablet, open_floor_for_tests


@pytest.fixture(scope="module")
def site(sqlite_url, tmp_path_factory):
    with open_floor_for_tests(sqlite_url, tmp_path_factory.mktemp("floor") / "staff.json") as site:
        yield site


@pytest.fixture
def tablet(browser, site):
    """At its door."""
    tablet = Tablet(browser, site.address)
    yield tablet
    tablet.close()


@pytest.fixture
def placed(site, request):
    """An order of trousers, placed by a till."""
    return placed_by_a_till(site, request.node.name)
