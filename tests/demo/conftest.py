"""One shop with the demo's chart, and its page, for every test of the page."""

import pytest

from tests.demo.adviser_page import everyday, served_page
from tests.serving import serving
from tests.shops import new_house, new_shop


@pytest.fixture(scope="module")
def open_house(sqlite_url):
    """One database: a page sees answers, and those are shown to be the same on both where operations are tested."""
    house = new_house(sqlite_url)
    yield house
    house.context.database.close()


@pytest.fixture(scope="module")
def outfitters(open_house):
    shop = new_shop(open_house)
    assert 201 == shop.staff.ask("PUT", "/v1/charts/everyday", everyday()).status
    return shop


@pytest.fixture(scope="module")
def site(open_house, outfitters):
    with (
        serving(open_house.contract.app) as api,
        served_page(api, open_house.context, outfitters.id) as site,
    ):
        yield site
