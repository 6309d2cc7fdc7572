"""Whoever rewrites rows writes what they say now, and never what they said when he began.

Another transaction has changed the rows and is not through yet: whoever rewrites them comes in between, and has to
wait. On SQLite he cannot even begin before the other is through.
"""

from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import timedelta

import pytest
from cryptography.fernet import Fernet
from sqlalchemy import Engine, delete, event, insert, select, update

from service.storage import shops
from service.storage.caller_tables import keys, repeats
from service.storage.database import Database
from service.storage.people import customers
from service.storage.sealing import SEALED
from service.storage.tables import measurement_sets
from service.tailoring.refusals import Refusal
from service.use_cases.people.customers import erase_customer
from service.use_cases.people.retention import forget_expired, reseal
from service.use_cases.shop.keys import give_key, revoke_key, rotate_key
from tests.http.sheets import SLIM, WORN, order
from tests.shops import new_shop, open_house
from tests.waiting import PATIENCE_SECONDS, until

REF = "C-1"


@pytest.fixture
def shop(own_url):
    """A shop in a database of its own: whoever waits there for a lock, waits in this test."""
    with open_house(own_url) as house:
        yield new_shop(house)


@contextmanager
def meanwhile(shop, command):
    """What `command` gives, which comes to its rows while the block's transaction, which began first, holds them."""
    with ThreadPoolExecutor(1) as pool:
        with shop.house.context.database.writing() as tx:
            found = []
            yield tx, found
            running = pool.submit(command)
            if tx.dialect.name == "postgresql":
                until_somebody_waits(shop.house.url)
        found.append(running.result(PATIENCE_SECONDS))


def until_somebody_waits(url):
    waiting = "SELECT count(*) FROM pg_locks WHERE NOT granted"
    with closing(Database(url)) as beside:

        def waits():
            with beside.reading() as tx:
                return tx.exec_driver_sql(waiting).scalar_one()

        # Otherwise it has not come to the rows, or not to those that are held.
        until(waits)


def known_customer(shop):
    """A customer with a row in every table that knows customers, and answers kept for retries."""
    shop.staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": REF}, key="set")
    shop.staff.post("/v1/fit-checks", {**WORN, "customer_ref": REF}, key="check")
    return shop.staff.post("/v1/orders", order(customer_ref=REF), key="order").body["id"]


@pytest.fixture
def sealing(shop):
    """The same means, and a key for readings."""
    with closing(Database(shop.house.url, seal_keys=[Fernet.generate_key().decode()])) as database:
        yield replace(shop.house.context, database=database)


def test_a_customer_who_is_erased_while_rows_are_sealed_again_does_not_come_back(shop, sealing):
    # Only an order: rows of a body would be waited for first, and those of answers then be read late enough by chance.
    made = shop.staff.post("/v1/orders", order(customer_ref=REF), key="order").body["id"]
    with meanwhile(shop, lambda: reseal(sealing)) as (tx, _):
        shops.lock_shop(tx, shop.id)
        customers.erase_customer(tx, shop.id, REF)
    with sealing.database.reading() as tx:
        opened = tx.get_execution_options()["sealing"]
        cells = [
            opened.open(getattr(row, name))
            for table, columns in SEALED
            for row in tx.execute(select(table).where(table.c.shop_id == shop.id))
            for name in columns
        ]
        kept = tx.execute(select(repeats.c.answer).where(repeats.c.made == made)).scalar_one()
    # The order's answer is there, sealed and without the customer; nothing else is.
    assert ([made], {"sealed"}) == ([each["id"] for each in cells], set(kept))
    assert REF not in str(cells)


def test_rows_that_are_sealed_again_while_a_customer_is_erased_lose_the_customer(shop):
    made = known_customer(shop)
    with meanwhile(shop, lambda: erase_customer(shop.house.context, shop.caller, REF)) as (tx, _):
        # Another change of the same answer, as sealing it again is.
        row = tx.execute(select(repeats).where(repeats.c.made == made)).one()
        tx.execute(update(repeats).where(repeats.c.made == made).values(answer={**row.answer, "mark": "later"}))
    with shop.house.context.database.reading() as tx:
        answer = tx.execute(select(repeats.c.answer).where(repeats.c.made == made)).scalar_one()
    assert (None, "later") == (answer["customer_ref"], answer["mark"])


@contextmanager
def just_before(shop, statement, work):
    """While it lasts, `work` is done by another connection just before a statement that begins like this, once.

    Where there is one lock for all (SQLite), nobody can do anything there: then it is done at the beginning.
    """
    pending = [work]

    def come_between(connection, _cursor, words, *_):
        if words.startswith(statement) and connection.dialect.name == "postgresql" and pending:
            pending.pop()()

    if shop.house.url.startswith("sqlite"):
        pending.pop()()
    event.listen(Engine, "before_cursor_execute", come_between)
    try:
        yield
        assert [] == pending
    finally:
        event.remove(Engine, "before_cursor_execute", come_between)


def test_an_answer_whose_key_was_used_again_meanwhile_is_not_forgotten_with_the_old_one(shop):
    known_customer(shop)
    house = shop.house
    house.clock.advance(days=40)

    def forgotten_and_used_again():
        # Another machine forgot the old answer first, and a new request has come under its key.
        with house.context.database.writing() as tx:
            row = tx.execute(select(repeats).where(repeats.c.key == "order")).mappings().one()
            tx.execute(delete(repeats).where(repeats.c.key == "order"))
            tx.execute(insert(repeats).values({**row, "kept_at": house.clock.now()}))

    with just_before(shop, "DELETE FROM repeats", forgotten_and_used_again):
        forget_expired(house.context)
    with house.context.database.reading() as tx:
        assert ["order"] == tx.execute(select(repeats.c.key)).scalars().all()


def test_readings_that_another_machine_forgets_first_are_forgotten_once(shop):
    known_customer(shop)
    house = shop.house
    house.clock.advance(days=1000)
    with meanwhile(shop, lambda: forget_expired(house.context)) as (tx, _):
        tx.execute(delete(measurement_sets).where(measurement_sets.c.shop_id == shop.id))
    with house.context.database.reading() as tx:
        for table, _ in SEALED:
            assert [] == tx.execute(select(table)).all()


def test_a_key_that_is_revoked_while_it_is_rotated_has_no_successor(shop):
    house = shop.house
    old = give_key(house.context, shop.id, "till", frozenset({"order"})).partition(".")[0]

    def rotated():
        with pytest.raises(Refusal) as refused:
            rotate_key(house.context, old, timedelta(hours=1))
        return refused.value.code

    with meanwhile(shop, rotated) as (tx, code):
        tx.execute(update(keys).where(keys.c.id == old).values(revoked_at=house.clock.now()))
    assert ["key_unknown"] == code
    with pytest.raises(Refusal):
        revoke_key(house.context, old)
