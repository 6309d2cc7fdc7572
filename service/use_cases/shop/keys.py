"""Keys: given out once in clear, kept as a hash, checked in constant time, replaced with an overlap.

A web key stands in the source of a page where anybody reads it. It asks for advice only, from the origins that it was
given for, and what the shop has recorded of its customers does not exist for it.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from dataclasses import replace
from datetime import datetime, timedelta

from service.storage import keys, shops
from service.storage.database import DatabaseUnavailable
from service.storage.keys import Key
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext

SCOPES = ("measure", "advise", "order", "workroom", "admin")
# Nobody's secret: comparing with it makes an unknown key take as long as a wrong one.
_NO_HASH = hashlib.sha256(b"").hexdigest()
# An origin as browsers write it (RFC 6454): scheme and host in small letters, a port only where it is no default.
_ORIGIN = re.compile(r"https?://[a-z0-9](?:[a-z0-9.-]{0,200}[a-z0-9])?(?::[1-9][0-9]{1,4})?")
# When a key was used last is known to the hour: most requests write nothing for it.
_USE_STEP = timedelta(hours=1)


def give_key(
    context: ServiceContext,
    shop_id: str,
    name: str,
    scopes: frozenset[str],
    *,
    origins: tuple[str, ...] = (),
    per_minute: int | None = None,
    lasts: timedelta | None = None,
) -> str:
    """A new key of a shop, in clear for the only time; with origins it is a web key.

    Raises Refusal `shop_unknown`, `scope_unknown`, `origin_wrong` or `web_key_scope`.
    """
    unknown = sorted(scopes - set(SCOPES))
    if unknown or not scopes:
        raise Refusal("scope_unknown", ("scopes",), given=unknown, allowed=SCOPES)
    wrong = [origin for origin in origins if not _ORIGIN.fullmatch(origin)]
    if wrong:
        raise Refusal("origin_wrong", ("origins",), given=wrong[0])
    if origins and scopes != {"advise"}:
        raise Refusal("web_key_scope", ("scopes",), given=sorted(scopes))
    now = context.now()
    with context.database.writing() as tx:
        if shops.find_shop(tx, shop_id) is None:
            raise Refusal("shop_unknown", ("shop",), given=shop_id)
        key_id, secret = context.new_id(), context.new_token()
        origins = tuple(sorted(set(origins)))
        ends = now + lasts if lasts else None
        keys.add_key(tx, Key(key_id, shop_id, name, _hash(secret), scopes, origins, per_minute, now, ends))
    return f"{key_id}.{secret}"


def rotate_key(context: ServiceContext, key_id: str, overlap: timedelta, lasts: timedelta | None = None) -> str:
    """A new key in the place of one, in clear for the only time; the old one still serves for `overlap`.

    Without `lasts`, the new one lives as long as the old one was to live. Raises Refusal `key_unknown`.
    """
    now = context.now()
    with context.database.writing() as tx:
        found = keys.find_key(tx, key_id, lock=True)
        if found is None or not in_use(found[0], now):
            raise Refusal("key_unknown", ("key",))
        old, _ = found
        if lasts is None and old.expires_at and old.created_at:
            lasts = old.expires_at - old.created_at
        secret = context.new_token()
        ends = now + lasts if lasts else None
        new = replace(
            old, id=context.new_id(), secret_hash=_hash(secret), created_at=now, expires_at=ends, last_used_at=None
        )
        keys.add_key(tx, new)
        keys.end_key(tx, old.id, min(now + overlap, old.expires_at or now + overlap))
    return f"{new.id}.{secret}"


def revoke_key(context: ServiceContext, key_id: str) -> None:
    """Take a key out of use at once. Raises Refusal `key_unknown`."""
    with context.database.writing() as tx:
        if not keys.revoke_key(tx, key_id, context.now()):
            raise Refusal("key_unknown", ("key",))


def list_keys(context: ServiceContext, shop_id: str) -> tuple[Key, ...]:
    """A shop's keys, in use or not, oldest first. Raises Refusal `shop_unknown`."""
    with context.database.reading() as tx:
        if shops.find_shop(tx, shop_id) is None:
            raise Refusal("shop_unknown", ("shop",), given=shop_id)
        return keys.keys_of_shop(tx, shop_id)


def in_use(key: Key, now: datetime) -> bool:
    """Whether a key is neither revoked nor past its end."""
    return key.revoked_at is None and (key.expires_at is None or now < key.expires_at)


def identify(context: ServiceContext, presented: str) -> Caller:
    """Who holds this key. Raises Refusal `key_unknown` for a wrong, unknown or revoked one alike, or `key_expired`."""
    key_id, _, secret = presented.partition(".")
    with context.database.reading() as tx:
        found = keys.find_key(tx, key_id)
    known = hmac.compare_digest(_hash(secret), found[0].secret_hash if found else _NO_HASH)
    if found is None or not known or found[0].revoked_at is not None:
        raise Refusal("key_unknown")
    key, shop = found
    now = context.now()
    if not in_use(key, now):
        raise Refusal("key_expired", expired_at=key.expires_at.isoformat() if key.expires_at else None)
    _note_use(context, key, now)
    return Caller(key.id, shop, key.scopes, key.origins, key.per_minute, key.name)


def is_page(context: ServiceContext, origin: str) -> bool:
    """Whether pages of that origin hold a web key in use: they may be told that they may ask."""
    if not _ORIGIN.fullmatch(origin):
        return False
    with context.database.reading() as tx:
        return keys.origin_in_use(tx, origin, context.now())


def _note_use(context: ServiceContext, key: Key, now: datetime) -> None:
    if key.last_used_at is not None and now - key.last_used_at < _USE_STEP:
        return
    try:
        with context.database.writing(patient=False) as tx:
            keys.note_use(tx, key.id, now)
    except DatabaseUnavailable:
        # Nobody's question waits for this note: another use within the hour will leave it.
        return


def _hash(secret: str) -> str:
    # The secret is random and long: a plain hash is as good as a slow one, and is asked for on every request.
    return hashlib.sha256(secret.encode()).hexdigest()
