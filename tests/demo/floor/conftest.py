"""One floor for every file of its tests, and a tablet on it for every test."""

import pytest

from tests.demo.floor.fittings import HEMS
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
    key, sale = request.node.name, f"sale-{abs(hash(request.node.name)) % 10**6}"
    garments = [{"garment": "trousers", "chart": "everyday", "label": "33", "pins_left_in": 2, "cloth": "navy"}]
    sheet = {"garments": garments, "hems": HEMS, "by": "fitter-2", "customer_ref": f"of {sale}", "sale_ref": sale}
    return site.shop.staff.post("/v1/orders", sheet, headers={"Idempotency-Key": key}).body
