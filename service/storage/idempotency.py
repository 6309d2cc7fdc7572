"""Answers to creating requests by their key, kept in the transaction of the effect."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.storage.caller_tables import repeats
from service.storage.sealing import sealing_of


@dataclass(frozen=True, slots=True)
class Kept:
    """What was answered under a key, and the digest of the request that it answered."""

    digest: str
    answer: dict[str, Any]


def claim(tx: Connection, shop_id: str, operation: str, key: str, digest: str, now: datetime) -> Kept | None:
    """Take a key for this request, or say what it was answered before.

    Where another transaction holds the key, this waits for its end: a retry gets the first answer and no second
    effect.
    """
    try:
        with tx.begin_nested():
            tx.execute(
                insert(repeats).values(shop_id=shop_id, operation=operation, key=key, digest=digest, kept_at=now)
            )
    except IntegrityError:
        row = tx.execute(select(repeats.c.digest, repeats.c.answer).where(_one(shop_id, operation, key))).one()
        return Kept(row.digest, sealing_of(tx).open(row.answer))
    return None


def keep(tx: Connection, shop_id: str, operation: str, key: str, answer: dict[str, Any]) -> None:
    """Keep the answer under the key that was claimed, and the id of what was made: by it the answer is erased."""
    kept = {"answer": sealing_of(tx).seal(answer), "made": answer.get("id")}
    tx.execute(update(repeats).where(_one(shop_id, operation, key)).values(kept))


def _one(shop_id: str, operation: str, key: str) -> Any:  # noqa: ANN401  a clause
    return (repeats.c.shop_id == shop_id) & (repeats.c.operation == operation) & (repeats.c.key == key)
