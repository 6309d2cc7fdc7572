"""The versions of a shop's own men, and the recorded sets that the next one is counted from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from service.storage.caller_tables import own_men
from service.storage.people.measurement_sets import sets_oldest_first
from service.storage.records import read, written
from service.storage.tables import shops
from service.tailoring.body.counted_men import MeasuredCustomer
from service.tailoring.body.own_men import CountedMen, OwnMen


@dataclass(frozen=True, slots=True)
class KeptVersion:
    """A version of a shop's own men, and when it was made."""

    counted: CountedMen
    made_at: datetime


def shops_that_count(tx: Connection) -> tuple[str, ...]:
    """The shops whose own men are counted."""
    return tuple(tx.execute(select(shops.c.id).where(shops.c.own_men_off.is_not(True)).order_by(shops.c.id)).scalars())


def newest_version(tx: Connection, shop_id: str) -> CountedMen | None:
    """The newest version of a shop's own men."""
    newest = select(own_men.c.content).where(own_men.c.shop_id == shop_id).order_by(own_men.c.version.desc()).limit(1)
    content = tx.execute(newest).scalar_one_or_none()
    return None if content is None else read(content, CountedMen)


def find_version(tx: Connection, shop_id: str, version: int) -> OwnMen | None:
    """A shop's own men as they were in that version."""
    one = select(own_men.c.content).where(own_men.c.shop_id == shop_id, own_men.c.version == version)
    content = tx.execute(one).scalar_one_or_none()
    return None if content is None else read(content, CountedMen).own


def versions_of(tx: Connection, shop_id: str) -> tuple[KeptVersion, ...]:
    """Every version of a shop's own men, oldest first."""
    its = select(own_men).where(own_men.c.shop_id == shop_id).order_by(own_men.c.version)
    return tuple(KeptVersion(read(row.content, CountedMen), row.made_at) for row in tx.execute(its))


def next_number(tx: Connection, shop_id: str) -> int:
    """The number of the next version: past those that were given out before a restore, too."""
    return int(tx.execute(select(shops.c.own_men_version).where(shops.c.id == shop_id)).scalar_one()) + 1


def add_version(tx: Connection, shop_id: str, counted: CountedMen, now: datetime) -> None:
    """Keep another version; advice goes by it from now on. The shop's row must be locked."""
    row = {"shop_id": shop_id, "version": counted.own.version, "content": written(counted), "made_at": now}
    tx.execute(insert(own_men).values(row))
    current = {"version": counted.own.version, "away": [list(each) for each in counted.own.away]}
    its = {"own_men": current, "own_men_version": counted.own.version}
    tx.execute(update(shops).where(shops.c.id == shop_id).values(its))


def measured_customers(tx: Connection, shop_id: str) -> Iterator[MeasuredCustomer]:
    """The recorded sets that say whose they are, oldest first, a few at a time."""
    for kept in sets_oldest_first(tx, shop_id):
        if kept.customer_ref is not None:
            yield MeasuredCustomer(kept.customer_ref, kept.recorded_at, kept.readings, kept.age_years)
