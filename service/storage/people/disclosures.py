"""Who was shown what of whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, TypeAlias

from sqlalchemy import Connection, insert, select

from service.storage.caller_tables import disclosures, keys

Shown: TypeAlias = Literal["measurement_set", "measurement_sets", "fit_check", "advice", "history", "export", "erasure"]


@dataclass(frozen=True, slots=True)
class Disclosure:
    """What was shown to whom: the key and its name, when, what, its id where it is one thing, and of whom."""

    number: int
    key_id: str
    key_name: str
    at: datetime
    what: Shown
    thing: str | None
    customer_ref: str | None


def add_disclosure(
    tx: Connection,
    shop_id: str,
    key_id: str,
    at: datetime,
    what: Shown,
    *,
    thing: str | None = None,
    customer_ref: str | None = None,
) -> None:
    """Keep who was shown what, in the transaction that reads it."""
    row = {"shop_id": shop_id, "key_id": key_id, "at": at, "what": what, "thing": thing, "customer_ref": customer_ref}
    tx.execute(insert(disclosures).values(row))


def list_disclosures(
    tx: Connection, shop_id: str, customer_ref: str | None, below: int | None = None, most: int | None = None
) -> tuple[Disclosure, ...]:
    """A shop's disclosures, of one customer where he is named, newest first; from below a number on."""
    asked = select(disclosures, keys.c.name.label("key_name")).join(keys).where(disclosures.c.shop_id == shop_id)
    if customer_ref is not None:
        asked = asked.where(disclosures.c.customer_ref == customer_ref)
    if below is not None:
        asked = asked.where(disclosures.c.number < below)
    newest = asked.order_by(disclosures.c.number.desc()).limit(most)
    return tuple(
        Disclosure(row.number, row.key_id, row.key_name, row.at, row.what, row.thing, row.customer_ref)
        for row in tx.execute(newest)
    )
