"""Two transactions that stand in each other's way on a real PostgreSQL: it undoes one, and the caller need not know.

On SQLite none can: whoever writes has the one lock from the beginning.
"""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import create_engine, text

from service.storage import database
from service.use_cases.people.retention import forget_expired
from tests.databases import migrated
from tests.http.sheets import SLIM, order
from tests.postgres import QUICK, own_server
from tests.shops import new_house, new_shop
from tests.waiting import PATIENCE_SECONDS, until


@pytest.fixture(scope="module")
def url():
    # A server of its own: whose turn it is to give way, only a superuser may say.
    with own_server(QUICK) as server:
        yield migrated(server.url)


@pytest.fixture(scope="module")
def shop(url):
    house = new_house(url)
    yield new_shop(house)
    house.context.database.close()


@pytest.fixture
def beside(url):
    """A connection beside the service's, which has patience: the other one is chosen to give way."""
    engine = create_engine(url, isolation_level="READ COMMITTED")
    with engine.connect() as connection:
        connection.execute(text("SET deadlock_timeout = '10min'"))
        connection.commit()
        yield connection
    engine.dispose()


@pytest.fixture
def gone(monkeypatch):
    """Told when the other transaction is through: till then whoever gave way stands aside, and is never undone twice.

    The service stands aside for a moment only. On a busy machine the other one may not even have woken by then.
    """
    through, aside = threading.Event(), []
    monkeypatch.setattr(database, "_stand_aside", lambda: aside.append(through.wait(PATIENCE_SECONDS)))
    yield through
    # Once, and nobody had to be waited for in vain.
    assert [True] == aside


CLAIM = text(
    "INSERT INTO repeats (shop_id, operation, key, digest, kept_at)"
    " VALUES (:shop, 'orders.place_order', :key, 'x', now())"
)
WAITING = text("SELECT count(*) FROM pg_locks WHERE NOT granted AND pid <> pg_backend_pid()")


def until_somebody_waits(beside):
    until(lambda: beside.execute(WAITING).scalar_one())


def test_what_is_to_be_forgotten_is_forgotten_where_it_gave_way(shop, beside, gone):
    house = shop.house
    made = shop.staff.post("/v1/measurement-sets", {"readings": SLIM}, key="forgotten").body["id"]
    house.clock.advance(days=1000)
    beside.execute(text("SELECT 1 FROM measurement_sets WHERE id = :id FOR UPDATE"), {"id": made})
    with ThreadPoolExecutor(1) as pool:
        forgetting = pool.submit(forget_expired, house.context)
        until_somebody_waits(beside)
        # It holds the kept answer and waits for the set that this was of; now the other way round.
        beside.execute(text("DELETE FROM repeats WHERE made = :id"), {"id": made})
        beside.rollback()
        gone.set()
        assert forgetting.result(20).measurement_sets >= 1
    house.clock.start_again()
    assert 404 == shop.staff.get(f"/v1/measurement-sets/{made}").status


def in_each_others_way(shop, beside, gone, key):
    """Place an order while another transaction holds the shop and wants the order's key: a ring, and one gives way."""
    beside.execute(text("SELECT 1 FROM shops WHERE id = :shop FOR UPDATE"), {"shop": shop.id})
    with ThreadPoolExecutor(1) as pool:
        placing = pool.submit(shop.staff.post, "/v1/orders", order(), key=key)
        until_somebody_waits(beside)
        beside.execute(CLAIM, {"shop": shop.id, "key": key})
        beside.rollback()
        gone.set()
        return placing.result(20)


def test_an_order_that_gave_way_is_placed_all_the_same_and_once(shop, beside, gone):
    answer = in_each_others_way(shop, beside, gone, "ring")
    assert 201 == answer.status
    assert [answer.body["number"]] == [each["number"] for each in shop.staff.get("/v1/orders").body["orders"]]
