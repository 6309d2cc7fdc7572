"""The database locked, gone or full: 503 with nothing half-done, and the same request goes through once it is back."""

import json
import os
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import replace
from uuid import uuid4

import pytest
from alembic import command
from sqlalchemy import create_engine, text

from service.app import create_app
from service.console import alembic_config
from service.settings import Settings
from service.storage.database import Database, DatabaseUnavailable
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.orders import place_order
from service.use_cases.shop.keys import SCOPES, give_key
from tests.client import Client, Contract
from tests.faults.books import AWAY, on_file
from tests.house import HOUSE
from tests.http.sheets import order as asked
from tests.http.sheets import placed
from tests.postgres import new_database
from tests.shops import new_house, new_shop, open_house


@pytest.fixture
def fresh(own_url):
    """A house of its own."""
    with open_house(own_url) as house:
        yield house


def impatient(house, shop):
    """Somebody of the shop, of a service that waits a second for its database; its desk besides."""
    context = replace(house.context, database=Database(house.url, wait_seconds=1))
    app = create_app(Settings(database_url=house.url), context)
    key = give_key(house.context, shop.id, "impatient", frozenset(SCOPES))
    return Client(Contract(app), key), context


def outside(url, *statements):
    """Say something to the database past the service."""
    engine = create_engine(url)
    try:
        with engine.begin() as connection:
            for statement in statements:
                connection.execute(text(statement))
    finally:
        engine.dispose()


@contextmanager
def locked(house, shop):
    """Somebody else holds what an order needs, and does not let go."""
    engine = create_engine(house.url)
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            connection.exec_driver_sql("BEGIN IMMEDIATE")
        else:
            connection.execute(text("SELECT id FROM shops WHERE id = :id FOR UPDATE"), {"id": shop.id})
        yield
        connection.rollback()
    engine.dispose()


def test_where_the_database_is_locked_nothing_is_done_and_a_retry_does_it(fresh):
    shop = new_shop(fresh)
    first = placed(shop.staff)
    client, context = impatient(fresh, shop)
    before = on_file(shop)
    paths = {
        "move": f"/v1/orders/{first['id']}/moves",
        "amend": f"/v1/orders/{first['id']}",
    }
    with locked(fresh, shop):
        refused = [
            client.post("/v1/orders", asked(), key="k"),
            client.post(paths["move"], {"to": "accepted"}, headers={"If-Match": '"1"'}),
            client.ask("PATCH", paths["amend"], {"note": "x"}, headers={"If-Match": '"1"'}),
        ]
        # Who only reads is not held up.
        assert 200 == client.get(paths["amend"]).status
    assert [AWAY] * 3 == [answer.problem for answer in refused]
    assert all(int(answer.headers["Retry-After"]) > 0 for answer in refused)
    assert before == on_file(shop)
    again = client.post("/v1/orders", asked(), key="k")
    assert (201, "1002") == (again.status, again.body["number"])
    context.database.close()


def test_a_database_that_goes_in_the_middle_of_an_order_leaves_nothing_of_it(postgres_server):
    with new_database(postgres_server) as url:
        command.upgrade(alembic_config(url), "head")
        house = new_house(url)
        shop = new_shop(house)
        placed(shop.staff)
        before = on_file(shop)

        def cut(made):
            # All is written and not yet committed: now its connection is ended by the server.
            outside(
                url,
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()",
            )
            return {"id": made.filed.id}

        with pytest.raises(DatabaseUnavailable):
            place_order(house.context, shop.caller, the_order(), IdempotentRequest("place", "k", "digest"), cut)
        assert before == on_file(shop)
        again = place_order(
            house.context,
            shop.caller,
            the_order(),
            IdempotentRequest("place", "k", "digest"),
            lambda made: {"id": made.filed.id},
        )
        assert not again.repeated
        house.context.database.close()


def the_order():
    from tests.use_cases.asked import ASKED  # noqa: PLC0415  it brings threads and tills with it

    return ASKED


def test_where_nothing_answers_at_the_databases_address_every_request_is_503(house, shop, nowhere_url):
    context = replace(house.context, database=Database(nowhere_url, wait_seconds=1))
    key = give_key(house.context, shop.id, "lost", frozenset(SCOPES))
    client = Client(Contract(create_app(Settings(database_url=nowhere_url), context)), key)
    answers = [client.post("/v1/orders", asked(), key="k"), client.get("/v1/orders"), client.get("/v1/workroom/days")]
    assert [AWAY] * 3 == [answer.problem for answer in answers]
    assert [200, 503] == [client.get(path).status for path in ("/health/live", "/health/ready")]
    context.database.close()


def test_where_the_databases_folder_is_gone_it_is_503_until_it_is_back(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    url = f"sqlite:///{folder}/fitting.sqlite3"
    command.upgrade(alembic_config(url), "head")
    house = new_house(url)
    shop = new_shop(house)
    placed(shop.staff)
    before = on_file(shop)
    client, context = impatient(house, shop)
    house.context.database.close()
    folder.rename(tmp_path / "unplugged")
    assert AWAY == client.post("/v1/orders", asked(), key="k").problem
    assert AWAY == client.get("/v1/orders").problem
    (tmp_path / "unplugged").rename(folder)
    assert before == on_file(shop)
    assert 201 == client.post("/v1/orders", asked(), key="k").status
    context.database.close()
    house.context.database.close()


FULL = """
CREATE FUNCTION no_space() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = 'disk_full';
END $$
"""


@pytest.mark.parametrize("table", ["orders", "order_lines", "bookings", "workroom_days", "events", "repeats"])
def test_a_disk_that_is_full_at_any_step_of_an_order_leaves_nothing_of_it(postgres_server, table):
    # The server's own error for a full disk, raised at each table that an order is written to.
    with new_database(postgres_server) as url:
        command.upgrade(alembic_config(url), "head")
        house = new_house(url)
        shop = new_shop(house)
        first = placed(shop.staff)
        before = on_file(shop)
        full = f"CREATE TRIGGER full_disk BEFORE INSERT OR UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION no_space()"
        outside(url, FULL, full)
        answer = shop.staff.post("/v1/orders", asked(), key="k")
        assert AWAY == answer.problem
        assert before == on_file(shop)
        outside(url, f"DROP TRIGGER full_disk ON {table}")
        again = shop.staff.post("/v1/orders", asked(), key="k")
        assert (201, str(int(first["number"]) + 1)) == (again.status, again.body["number"])
        house.context.database.close()


PLACE = """
import json, resource, sys
url, key, till, most = sys.argv[1:]
from tests.faults.filling import fill
print(json.dumps(fill(url, key, till, int(most))))
"""


def test_a_disk_that_fills_up_while_orders_are_placed_loses_none_and_keeps_the_database_whole(tmp_path):
    path = tmp_path / "fitting.sqlite3"
    url = f"sqlite:///{path}"
    command.upgrade(alembic_config(url), "head")
    house = new_house(url)
    shop = new_shop(house)
    key = give_key(house.context, shop.id, "till", frozenset(SCOPES))
    house.context.database.close()
    most = str(path.stat().st_size + 200_000)
    words = [sys.executable, "-c", PLACE, url, key, uuid4().hex, most]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    done = subprocess.run(words, cwd=HOUSE, env=environment, check=False, capture_output=True, text=True)
    assert 0 == done.returncode, done.stderr[-3000:]
    told = json.loads(done.stdout.splitlines()[-1])
    # It was filled: orders went in, then none did, and nothing but 503 was said of it.
    assert {201, 503} == set(told["statuses"])
    assert 200 == told["listed"]
    engine = create_engine(url)
    with engine.connect() as connection:
        assert "ok" == connection.execute(text("PRAGMA integrity_check")).scalar_one()
        kept = connection.execute(text("SELECT number FROM orders ORDER BY number")).scalars().all()
    engine.dispose()
    assert sorted(int(number) for number in told["made"].values()) == kept
    on_file(shop)
    assert str(kept[-1] + 1) == placed(shop.staff)["number"]
    house.context.database.close()
