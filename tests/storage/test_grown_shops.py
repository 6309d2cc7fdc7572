"""The benchmark's million orders are worth nothing unless each is as if it had been placed."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import select

from service.storage.caller_tables import repeats
from service.storage.workroom import booked_by_order, days_from
from service.use_cases.shop.keys import SCOPES, give_key
from tests.bench.chains import chain_of
from tests.bench.grown_shops import fill
from tests.bench.visits import OVER
from tests.client import Client
from tests.http.sheets import placed
from tests.shops import open_house

TODAY = date(2026, 3, 5)


@pytest.fixture(scope="module")
def chain():
    return chain_of(60, 4, TODAY)


@pytest.fixture(scope="module")
def grown(file_url, chain):
    fill(file_url, chain)
    with open_house(file_url) as house:
        house.clock.time = datetime(2026, 3, 5, 17, 0, tzinfo=UTC)
        yield house


@pytest.fixture(scope="module")
def clients(grown, chain):
    return {
        shop: Client(grown.contract, give_key(grown.context, shop, "staff", frozenset(SCOPES))) for shop in chain.sizes
    }


def test_every_order_is_there_and_read_as_the_contract_says(clients, chain):
    for shop, client in clients.items():
        listed = client.get("/v1/orders", query={"limit": 100}).body["orders"]
        mine = [row for row in chain.orders if row["shop_id"] == shop]
        assert [row["order_id"] for row in reversed(mine)] == [each["id"] for each in listed]
        for row in mine:
            order = client.get(f"/v1/orders/{row['order_id']}").body
            assert (str(row["number"]), row["customer_ref"]) == (order["number"], order["customer_ref"])
            sets = client.get(f"/v1/customers/{row['customer_ref']}/measurement-sets").body["measurement_sets"]
            assert row["set_id"] in {each["id"] for each in sets}


def test_the_newest_are_still_at_work_and_all_others_are_over(clients, chain):
    for shop, client in clients.items():
        at_work = [row for row in chain.orders if row["shop_id"] == shop and row["age"] < OVER]
        counts = client.get("/v1/orders/counts").body
        assert 0 < len(at_work) < chain.sizes[shop]
        assert len(at_work) == sum(each["orders"] for each in counts["states"])
        # The day's work of a shop that is open, not of one that was left.
        assert 0 == counts["late"]


def test_the_minutes_kept_beside_the_days_are_those_of_the_orders(grown, chain):
    with grown.context.database.reading() as tx:
        for shop in chain.sizes:
            held, _ = days_from(tx, shop, date.min)
            assert held
            assert held == booked_by_order(tx, shop, date.min)


def test_events_are_numbered_without_a_gap_and_tell_of_each_order(clients, chain):
    for shop, client in clients.items():
        told, after = [], "0"
        while page := client.get("/v1/events", query={"after": after, "limit": 100}).body["events"]:
            told += page
            after = page[-1]["cursor"]
        assert [f"first-{number}" for number in range(1, len(told) + 1)] == [each["cursor"] for each in told]
        assert [each["data"]["number"] for each in told if each["type"] == "order.placed"] == [
            str(row["number"]) for row in chain.orders if row["shop_id"] == shop
        ]


def test_the_shop_goes_on_where_it_stands(clients, chain):
    for shop, client in clients.items():
        assert str(1000 + chain.sizes[shop] + 1) == placed(client)["number"]


def test_a_customer_is_erased_with_the_answers_that_tell_of_him(grown, clients, chain):
    row = next(row for row in chain.orders if row["retried"])
    client = clients[row["shop_id"]]
    with grown.context.database.reading() as tx:
        assert tx.execute(select(repeats).where(repeats.c.made == row["set_id"])).all()
    assert client.ask("DELETE", f"/v1/customers/{row['customer_ref']}").status == 200
    with grown.context.database.reading() as tx:
        assert [] == tx.execute(select(repeats).where(repeats.c.made == row["set_id"])).all()
        assert row["customer_ref"] not in str(
            tx.execute(select(repeats).where(repeats.c.made == row["order_id"])).all()
        )
