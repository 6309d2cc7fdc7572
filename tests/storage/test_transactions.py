import time
from contextlib import closing

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import DBAPIError

from service.storage import shops
from service.storage.database import (
    ASIDE_SECONDS,
    Database,
    DatabaseUnavailable,
    TransactionUndone,
    again_if_undone,
)
from service.storage.shops import Shop
from service.storage.tables import shops as shops_table
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week
from tests.days import OPENING
from tests.shops import new_id
from tests.waiting import PATIENCE_SECONDS


class Broke(Exception):
    pass


def test_a_transaction_that_breaks_leaves_nothing(database):
    kept = Shop(new_id(), "A", "UTC", PriceList(), Week())

    def half():
        with database.writing() as tx:
            shops.add_shop(tx, kept, OPENING)
            raise Broke

    with pytest.raises(Broke):
        half()
    with database.reading() as tx:
        assert None is shops.find_shop(tx, kept.id)


def test_what_is_written_while_reading_is_refused_or_undone(database):
    kept = Shop(new_id(), "A", "UTC", PriceList(), Week())
    with database.reading() as tx:
        if tx.dialect.name == "sqlite":
            shops.add_shop(tx, kept, OPENING)
        else:
            with pytest.raises(DBAPIError, match="read-only transaction"):
                shops.add_shop(tx, kept, OPENING)
    with database.reading() as tx:
        assert None is shops.find_shop(tx, kept.id)


def test_a_locked_database_is_unavailable_after_the_wait_and_nothing_is_half_written(house, shop):
    with closing(Database(house.url, wait_seconds=1)) as other, house.context.database.writing() as tx:
        shops.next_order_numbers(tx, shop.id)
        with pytest.raises(DatabaseUnavailable), other.writing() as waiting:
            shops.next_order_numbers(waiting, shop.id)
    with house.context.database.writing() as tx:
        assert range(1002, 1003) == shops.next_order_numbers(tx, shop.id)[0]


def test_who_is_not_patient_is_told_without_waiting_and_the_next_one_waits_again(house, shop):
    took = {}
    with (
        closing(Database(house.url, wait_seconds=2 * PATIENCE_SECONDS)) as forever,
        closing(Database(house.url, wait_seconds=2)) as other,
    ):
        # However slow the machine is: who waited would wait for twice as long.
        for database, patient in ((forever, False), (other, False), (other, True)):
            with house.context.database.writing() as tx:
                shops.next_order_numbers(tx, shop.id)
                began = time.monotonic()
                with pytest.raises(DatabaseUnavailable), database.writing(patient=patient) as waiting:
                    shops.next_order_numbers(waiting, shop.id)
                took[database, patient] = time.monotonic() - began
    assert took[forever, False] < PATIENCE_SECONDS
    assert 1.9 <= took[other, True]


def test_a_database_that_is_not_there_is_unavailable(nowhere_url):
    with closing(Database(nowhere_url, wait_seconds=1)) as database:
        assert not database.answers()
        with pytest.raises(DatabaseUnavailable), database.writing():
            pass


def test_a_connection_that_is_cut_is_told_and_the_next_one_works(postgres_url):
    with closing(Database(postgres_url)) as database, closing(Database(postgres_url)) as other:

        def cut():
            with database.writing() as tx:
                process = tx.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
                with other.writing() as beside:
                    beside.exec_driver_sql("SELECT pg_terminate_backend(%s)", (process,))
                tx.exec_driver_sql("SELECT 1")

        with pytest.raises(DatabaseUnavailable):
            cut()
        assert database.answers()


def test_whoever_gave_way_stands_aside_for_a_moment_and_asks_again_once(monkeypatch):
    told = []
    monkeypatch.setattr(time, "sleep", told.append)

    def undone():
        told.append("undone")
        raise TransactionUndone

    with pytest.raises(TransactionUndone):
        again_if_undone(undone)
    first, aside, second = told
    assert ("undone", "undone") == (first, second)
    assert ASIDE_SECONDS[0] <= aside <= ASIDE_SECONDS[1]


def test_what_is_read_together_sees_one_state_until_something_is_written(house, shop):
    def number(tx):
        return tx.execute(select(shops_table.c.last_order_number).where(shops_table.c.id == shop.id)).scalar_one()

    with house.context.database.read_together() as together:
        with together.reading() as tx:
            before = number(tx)
        with house.context.database.writing() as other:
            shops.next_order_numbers(other, shop.id)
        with together.reading() as tx:
            assert before == number(tx)
        with together.writing() as tx:
            shops.next_order_numbers(tx, shop.id)
        with together.reading() as tx:
            assert before + 2 == number(tx)


def test_a_part_that_still_reads_is_not_ended_by_another_that_writes(house, shop):
    with house.context.database.read_together() as together, together.reading() as tx:
        with together.writing() as other:
            shops.next_order_numbers(other, shop.id)
        assert shops.find_shop(tx, shop.id) is not None


def test_a_reading_in_which_a_statement_failed_is_followed_by_another(house, shop):
    with house.context.database.read_together() as together:
        with pytest.raises((DBAPIError, DatabaseUnavailable)), together.reading() as tx:
            tx.execute(text("SELECT nothing FROM nowhere"))
        with together.reading() as tx:
            assert shops.find_shop(tx, shop.id) is not None
