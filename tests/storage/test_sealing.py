"""What was read, sealed at rest: nobody reads it in the database, everybody reads it at the counter."""

import pytest
from cryptography.fernet import Fernet

from service.app import create_app
from service.settings import Settings
from service.storage.database import Database, DatabaseUnavailable
from service.storage.people.measurement_sets import find_measurement_set
from service.storage.sealing import SEALED
from service.use_cases.context import ServiceContext
from service.use_cases.people.retention import reseal
from service.use_cases.shop.keys import SCOPES, give_key
from tests.client import Client, Contract
from tests.http.sheets import PINNED, SLIM, TROUSERS, WORN, order
from tests.shops import open_house

TELLING = "likes a soft shoulder"
OLD, NEW = (Fernet.generate_key().decode() for _ in range(2))


@pytest.fixture(scope="module")
def _house(file_url):
    """A database of this file's own: what is sealed here is sealed to every other test."""
    with open_house(file_url) as house:
        yield house


@pytest.fixture
def sealed(house, shop):
    """The same service and shop with keys: `sealed(NEW, OLD)` seals with the first and opens with both."""
    opened = []

    def with_keys(*keys):
        context = ServiceContext(
            Database(house.url, seal_keys=keys), house.context.now, house.context.new_id, house.context.new_token
        )
        opened.append(context)
        key = give_key(house.context, shop.id, "staff", frozenset(SCOPES))
        return context, Client(Contract(create_app(Settings(database_url=house.url), context)), key)

    yield with_keys
    for context in opened:
        context.database.close()


def record(client, key=None):
    asked = {"readings": SLIM, "customer_ref": "C-1", "note": TELLING}
    return client.post("/v1/measurement-sets", asked, key=key).body


def cells(house, shop):
    """Every sealed column of the shop's rows as it stands in the database."""
    with house.context.database.reading() as tx:
        return [
            str(value)
            for table, columns in SEALED
            for row in tx.execute(table.select().where(table.c.shop_id == shop.id))
            for value in (getattr(row, name) for name in columns)
            if value is not None
        ]


def test_what_was_read_stands_nowhere_in_the_database(house, shop, sealed):
    _, client = sealed(NEW)
    record(client, key="k1")
    client.post("/v1/fit-checks", {**WORN, "customer_ref": "C-1"}, key="k2")
    client.post("/v1/orders", order(customer_ref="C-1"), key="k3")
    kept = cells(house, shop)
    assert 7 == len(kept)
    assert [] == [cell for cell in kept if not cell.startswith("{'sealed': 'gAAAA")]
    with house.context.database.reading() as tx:
        (leg,) = tx.exec_driver_sql(f"SELECT inside_leg_mm FROM fit_checks WHERE shop_id = '{shop.id}'").scalars()
    assert None is leg


def test_without_keys_it_would_stand_there(house, shop, staff):
    record(staff)
    assert TELLING in cells(house, shop)[0]


def test_at_the_counter_it_is_what_it_was(sealed, staff):
    _, client = sealed(NEW)
    recorded = record(client, key="k1")
    assert recorded == client.get(f"/v1/measurement-sets/{recorded['id']}").body
    assert recorded == record(client, key="k1")
    check = client.post("/v1/fit-checks", {**WORN, "readings": [], "measurement_set": recorded["id"]})
    assert 201 == check.status
    assert check.body == client.get(f"/v1/fit-checks/{check.body['id']}").body


def test_the_leg_of_a_sealed_fit_check_still_checks_the_pins(sealed, staff):
    # A pin that is inches from his inside leg is pointed out, sealed or not.
    sheet = {"garments": [TROUSERS], "hems": [PINNED]}
    warnings = []
    for client in (staff, sealed(NEW)[1]):
        check = client.post("/v1/fit-checks", WORN).body["id"]
        asked = {**sheet, "from_fit_check": check}
        answer = client.post("/v1/alteration-quotes", asked)
        warnings.append((answer.status, answer.body.get("warnings"), answer.body.get("code")))
    assert warnings[0] == warnings[1]


def test_what_was_kept_before_there_were_keys_is_read_all_the_same(sealed, staff):
    recorded = record(staff)
    _, client = sealed(NEW)
    assert recorded == client.get(f"/v1/measurement-sets/{recorded['id']}").body


def test_keys_are_replaced(house, shop, sealed, staff):
    plain = record(staff)["id"]
    old = record(sealed(OLD)[1], key="k1")["id"]
    context, client = sealed(NEW, OLD)
    new = record(client)["id"]
    assert [200] * 3 == [client.get(f"/v1/measurement-sets/{each}").status for each in (plain, old, new)]
    reseal(context)
    alone = sealed(NEW)[1]
    assert [200] * 3 == [alone.get(f"/v1/measurement-sets/{each}").status for each in (plain, old, new)]
    assert old == record(alone, key="k1")["id"]
    assert [] == [cell for cell in cells(house, shop) if TELLING in cell]


def test_many_rows_are_sealed_anew_in_many_turns(house, shop, sealed, staff):
    for _ in range(450):
        staff.post("/v1/measurement-sets", {"readings": SLIM[:1]})
    context, _ = sealed(NEW)
    assert reseal(context) >= 5
    assert [] == [cell for cell in cells(house, shop) if not cell.startswith("{'sealed'")]


@pytest.mark.parametrize("keys", [(), (NEW,)], ids=["none", "another"])
def test_without_the_key_it_is_told_that_the_key_is_missing(sealed, shop, caplog, keys):
    recorded = record(sealed(OLD)[1])["id"]
    context, client = sealed(*keys)
    answer = client.get(f"/v1/measurement-sets/{recorded}")
    assert (503, "database_away", []) == answer.problem
    assert "FITTING_READINGS_KEYS" in caplog.text
    with pytest.raises(DatabaseUnavailable), context.database.reading() as tx:
        find_measurement_set(tx, shop.id, recorded)


def test_a_sealed_customer_is_erased_and_his_order_stays(sealed):
    _, client = sealed(NEW)
    record(client)
    filed = client.post("/v1/orders", order(customer_ref="C-1"), key="k3").body["id"]
    erased = client.ask("DELETE", "/v1/customers/C-1").body
    assert {"measurement_sets": 1, "fit_checks": 0, "orders": 1, "outcomes": 0} == erased
    again = client.post("/v1/orders", order(customer_ref="C-1"), key="k3").body
    assert (filed, None) == (again["id"], again["customer_ref"])
