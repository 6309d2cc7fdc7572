"""Answers to creating requests by their key, kept in the transaction of the effect."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, bindparam, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.caller_tables import repeats
from service.storage.sealing import sealing_of

# Made once: making a statement takes as long as running it.
_CLAIM: dict[str, Any] = {
    name: dialect.insert(repeats).on_conflict_do_nothing().returning(repeats.c.key)
    for name, dialect in (("postgresql", postgresql), ("sqlite", sqlite))
}
_ITS = (
    (repeats.c.shop_id == bindparam("of_shop"))
    & (repeats.c.operation == bindparam("of_operation"))
    & (repeats.c.key == bindparam("of_key"))
)
_KEPT = select(repeats.c.digest, repeats.c.answer, repeats.c.said_in).where(_ITS)
_KEEP = update(repeats).where(_ITS)


@dataclass(frozen=True, slots=True)
class Kept:
    """What was answered under a key, in which language, and the digest of the request that it answered."""

    digest: str
    answer: dict[str, Any]
    said_in: str | None


def claim(tx: Connection, shop_id: str, operation: str, key: str, digest: str, now: datetime) -> Kept | None:
    """Take a key for this request, or say what it was answered before.

    Where another transaction holds the key, this waits for its end: a retry gets the first answer and no second
    effect.
    """
    row = {"shop_id": shop_id, "operation": operation, "key": key, "digest": digest, "kept_at": now}
    if tx.execute(_CLAIM[tx.dialect.name], row).one_or_none() is not None:
        return None
    kept = tx.execute(_KEPT, _one(shop_id, operation, key)).one()
    return Kept(kept.digest, sealing_of(tx).open(kept.answer), kept.said_in)


def keep(tx: Connection, shop_id: str, operation: str, key: str, answer: dict[str, Any], said_in: str | None) -> None:
    """Keep the answer under the key that was claimed, and the id of what was made: by it the answer is erased.

    `said_in` is the language of its words; none where it has none.
    """
    kept = {"answer": sealing_of(tx).seal(answer), "made": answer.get("id"), "said_in": said_in}
    tx.execute(_KEEP, kept | _one(shop_id, operation, key))


def _one(shop_id: str, operation: str, key: str) -> dict[str, str]:
    return {"of_shop": shop_id, "of_operation": operation, "of_key": key}
