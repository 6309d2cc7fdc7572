"""One shop with the demo's chart, and its page, for every test of the page."""

import pytest

from tests.demo.adviser_page import served_page
from tests.demo.charts import everyday
from tests.serving import serving
from tests.shops import new_shop, open_house


@pytest.fixture(scope="module")
def one_house(sqlite_url):
    """One database: a page sees answers, and those are shown to be the same on both where operations are tested."""
    with open_house(sqlite_url) as house:
        yield house


@pytest.fixture(scope="module")
def outfitters(one_house):
    shop = new_shop(one_house)
    assert 201 == shop.staff.ask("PUT", "/v1/charts/everyday", everyday()).status
    return shop


@pytest.fixture(scope="module")
def site(one_house, outfitters):
    with (
        serving(one_house.contract.app) as api,
        served_page(api, one_house.context, outfitters.id) as site,
    ):
        yield site
