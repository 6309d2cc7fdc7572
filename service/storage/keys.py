"""The keys that callers hold: of a secret only its hash, of a web key the origins of the pages that may use it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, bindparam, insert, or_, select, update

from service.storage.caller_tables import key_origins, keys
from service.storage.shops import COLUMNS_OF_SHOP, Shop, shop_of_row
from service.storage.statements import Question
from service.storage.tables import shops

_ONE = select(*COLUMNS_OF_SHOP, keys).join(shops).where(keys.c.id == bindparam("key_id"))
_ONE_HELD = _ONE.with_for_update(of=keys)
_ASKED_FOR = Question(_ONE)
_ORIGINS = Question(select(key_origins.c.origin).where(key_origins.c.key_id == bindparam("key_id")))


@dataclass(frozen=True, slots=True)
class Key:
    """A caller's key: only the hash of its secret is kept.

    `origins` are the pages' origins of a web key, empty for a secret one; `per_minute` is how often it may ask, None
    for the service's own figure.
    """

    id: str
    shop_id: str
    name: str
    secret_hash: str
    scopes: frozenset[str]
    origins: tuple[str, ...] = ()
    per_minute: int | None = None
    created_at: datetime | None = None
    expires_at: datetime | None = None
    last_used_at: datetime | None = None
    revoked_at: datetime | None = None


def add_key(tx: Connection, key: Key) -> None:
    """Keep a new key."""
    row = {name: value for name, value in asdict(key).items() if name != "origins"}
    tx.execute(insert(keys).values(**row | {"scopes": sorted(key.scopes), "publishable": bool(key.origins)}))
    if key.origins:
        tx.execute(insert(key_origins), [{"key_id": key.id, "origin": origin} for origin in key.origins])


def find_key(tx: Connection, key_id: str, *, lock: bool = False) -> tuple[Key, Shop] | None:
    """A key and its shop, in use or not; with `lock` the key stays as it is until the transaction ends."""
    row = tx.execute(_ONE_HELD, {"key_id": key_id}).one_or_none() if lock else _ASKED_FOR.one(tx, key_id=key_id)
    return (_key(tx, row), shop_of_row(row)) if row else None


def keys_of_shop(tx: Connection, shop_id: str) -> tuple[Key, ...]:
    """A shop's keys, in use or not, oldest first."""
    its = select(keys).where(keys.c.shop_id == shop_id).order_by(keys.c.created_at, keys.c.id)
    return tuple(_key(tx, row) for row in tx.execute(its).all())


def origin_in_use(tx: Connection, origin: str, now: datetime) -> bool:
    """Whether pages of that origin hold a web key that is in use, of whatever shop."""
    held = select(keys.c.id).join(key_origins).where(key_origins.c.origin == origin, _in_use(now))
    return tx.execute(held.limit(1)).one_or_none() is not None


def revoke_key(tx: Connection, key_id: str, now: datetime) -> bool:
    """Take a key out of use; False where there is none in use."""
    done = tx.execute(update(keys).where(keys.c.id == key_id, keys.c.revoked_at.is_(None)).values(revoked_at=now))
    return done.rowcount == 1


def end_key(tx: Connection, key_id: str, expires_at: datetime) -> None:
    """Let a key end at a time."""
    tx.execute(update(keys).where(keys.c.id == key_id).values(expires_at=expires_at))


def note_use(tx: Connection, key_id: str, now: datetime) -> None:
    """Keep when a key was used last."""
    tx.execute(update(keys).where(keys.c.id == key_id).values(last_used_at=now))


def _in_use(now: datetime) -> ColumnElement[bool]:
    return keys.c.revoked_at.is_(None) & or_(keys.c.expires_at.is_(None), keys.c.expires_at > now)


def _key(tx: Connection, row: Any) -> Key:  # noqa: ANN401  its columns
    return Key(
        id=row.id,
        shop_id=row.shop_id,
        name=row.name,
        secret_hash=row.secret_hash,
        scopes=frozenset(row.scopes),
        origins=tuple(_origins(tx, row.id)) if row.publishable else (),
        per_minute=row.per_minute,
        created_at=row.created_at,
        expires_at=row.expires_at,
        last_used_at=row.last_used_at,
        revoked_at=row.revoked_at,
    )


def _origins(tx: Connection, key_id: str) -> Sequence[str]:
    return sorted(row.origin for row in _ORIGINS.all(tx, key_id=key_id))
