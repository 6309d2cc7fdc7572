"""Keys: given out once in clear, kept as a hash, checked in constant time."""

from __future__ import annotations

import hashlib
import hmac

from service.counter.desk import Caller, Desk
from service.storage import shops
from service.storage.shops import Key
from service.tailoring.refusals import Refusal

SCOPES = ("measure", "advise", "order", "workroom", "admin")
# Nobody's secret: comparing with it makes an unknown key take as long as a wrong one.
_NO_HASH = hashlib.sha256(b"").hexdigest()


def give_key(desk: Desk, shop_id: str, name: str, scopes: frozenset[str]) -> str:
    """A new key of a shop, in clear for the only time. Raises Refusal `shop_unknown` or `scope_unknown`."""
    unknown = sorted(scopes - set(SCOPES))
    if unknown or not scopes:
        raise Refusal("scope_unknown", ("scopes",), given=unknown, allowed=SCOPES)
    key_id, secret = desk.new_id(), desk.new_token()
    with desk.database.writing() as tx:
        if shops.find_shop(tx, shop_id) is None:
            raise Refusal("shop_unknown", ("shop",), given=shop_id)
        shops.add_key(tx, Key(key_id, shop_id, name, _hash(secret), scopes), desk.now())
    return f"{key_id}.{secret}"


def revoke_key(desk: Desk, key_id: str) -> None:
    """Take a key out of use at once. Raises Refusal `key_unknown`."""
    with desk.database.writing() as tx:
        if not shops.revoke_key(tx, key_id, desk.now()):
            raise Refusal("key_unknown", ("key",))


def identify(desk: Desk, presented: str) -> Caller:
    """Who holds this key. Raises Refusal `key_unknown` for a wrong, unknown or revoked one alike."""
    key_id, _, secret = presented.partition(".")
    with desk.database.reading() as tx:
        found = shops.find_key(tx, key_id)
    known = hmac.compare_digest(_hash(secret), found[0].secret_hash if found else _NO_HASH)
    if found is None or not known or found[0].revoked_at is not None:
        raise Refusal("key_unknown")
    key, shop = found
    return Caller(key.id, shop, key.scopes)


def _hash(secret: str) -> str:
    # The secret is random and long: a plain hash is as good as a slow one, and is asked for on every request.
    return hashlib.sha256(secret.encode()).hexdigest()
