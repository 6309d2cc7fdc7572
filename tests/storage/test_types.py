"""What is kept comes back the same from either database: to the bit, the letter and the microsecond, in its type."""

import math
import time
from contextlib import closing
from datetime import UTC, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import (
    JSON,
    Column,
    MetaData,
    Table,
    insert,
    select,
)

from service.storage import shops, webhooks
from service.storage.columns import UtcDateTime, metadata
from service.storage.database import Database, DatabaseUnavailable
from service.storage.shops import Shop
from service.storage.webhooks import Webhook
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week
from tests.days import OPENING
from tests.storage.kinds import KINDS, OF_A_KIND

# How long a webhook that failed once is let be.
WAITS = {1: timedelta(minutes=1)}
VALUES = [(kind, value) for kind, values in KINDS.items() for value in values]


def test_every_kind_of_column_is_looked_at():
    assert set(KINDS) == {type(column.type) for table in metadata.tables.values() for column in table.c}


@pytest.mark.parametrize(("kind", "value"), VALUES, ids=lambda value: repr(value)[:40])
def test_a_value_comes_back_the_same_and_in_its_type(context, kind, value):
    # A name for each: PostgreSQL's connection remembers of what type an answer was.
    table = Table(
        f"kinds_{kind.__name__}", MetaData(), Column("kept", OF_A_KIND.get(kind, kind)), prefixes=["TEMPORARY"]
    )
    with context.database.writing() as tx:
        table.create(tx)
        tx.execute(insert(table).values(kept=value))
        found = tx.execute(select(table.c.kept)).scalar_one()
        same = tx.execute(select(table.c.kept).where(table.c.kept == value)).all() if kind is not JSON else [found]
        table.drop(tx)
    # In words too: they tell True from 1, 1.0 from 1 and one order of names from another.
    shown = value.astimezone(UTC) if kind is UtcDateTime else value
    assert (repr(shown), 1) == (repr(found), len(same))
    assert not isinstance(value, float) or math.copysign(1, value) == math.copysign(1, found)


def test_half_a_character_is_refused_by_either(context, shop):
    with context.database.writing() as tx, pytest.raises(UnicodeEncodeError):
        shops.find_shop(tx, "\ud83e")


# ---------------------------------------------------------------- waiting


def test_who_waits_too_long_for_a_connection_is_told(house):
    with closing(Database(house.url, wait_seconds=1, connections=1)) as database, database.reading():
        began = time.monotonic()
        with pytest.raises(DatabaseUnavailable), database.reading():
            pass
        assert 0.9 <= time.monotonic() - began


def test_there_are_as_many_connections_as_are_asked_for(house):
    with (
        closing(Database(house.url, wait_seconds=1, connections=3)) as database,
        database.reading(),
        database.reading(),
        database.reading() as third,
    ):
        assert 1 == third.exec_driver_sql("SELECT 1").scalar_one()


def test_a_statement_that_takes_too_long_is_ended(postgres_url):
    # SQLite works in the process that asks: the worker's own deadline ends that.
    with closing(Database(postgres_url, wait_seconds=1)) as database:
        with pytest.raises(DatabaseUnavailable, match="statement timeout"), database.writing() as tx:
            tx.exec_driver_sql("SELECT pg_sleep(600)")
        with database.reading() as tx:
            limits = [tx.exec_driver_sql(f"SHOW {name}").scalar_one() for name in ("statement_timeout", "lock_timeout")]
        assert ["1s", "1s"] == limits


def test_two_relays_at_once_claim_two_webhooks_and_neither_waits(postgres_url):
    # SQLite lets one write at a time: there the second finds the first one's claim.
    long_ago, then = OPENING - timedelta(days=9000), OPENING - timedelta(days=8000)
    owner = Shop(str(uuid4()), "A", "UTC", PriceList(), Week())
    # Due long before any of another test's.
    due = [
        Webhook(str(uuid4()), owner.id, "https://shop.example", (), "s", long_ago, -1, long_ago + timedelta(day))
        for day in (0, 1)
    ]
    with closing(Database(postgres_url)) as first, closing(Database(postgres_url)) as second:
        with first.writing() as tx:
            shops.add_shop(tx, owner, long_ago)
            for each in due:
                webhooks.add_webhook(tx, each)
        ids, held = [each.id for each in due], then + timedelta(minutes=1)
        with first.writing() as one:
            claimed = webhooks.claim_due(one, ids, 1, "one", then, held, WAITS)
            with second.writing(patient=False) as other:
                beside = [webhooks.claim_due(other, ids, 1, name, then, held, WAITS) for name in ("other", "third")]
        with first.writing() as tx:
            # They are behind their shop's feed for good: no other test shall meet them.
            assert all(webhooks.remove_webhook(tx, owner.id, each) for each in ids)
    assert [(due[0],), (due[1],), ()] == [claimed, *beside]
