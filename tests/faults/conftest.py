import pytest

from service.counter.keys import SCOPES, give_key
from service.counter.shops import open_shop
from service.tailoring.money import PriceList
from tests.conftest import migrated
from tests.days import Clock
from tests.faults.books import WEEK
from tests.shops import new_desk


@pytest.fixture
def opened(tmp_path):
    """A shop in a database file of its own: its desk, its key, the address."""
    url = migrated(f"sqlite:///{tmp_path}/fitting.sqlite3")
    desk = new_desk(url, Clock())
    shop = open_shop(desk, "Corner Tailors", "UTC", PriceList(), WEEK)
    yield desk, give_key(desk, shop, "till", frozenset(SCOPES)), url
    desk.database.close()
