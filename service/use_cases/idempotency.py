"""Doing a thing once: the same key and the same request get the same answer, and no second effect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from service.storage import idempotency
from service.storage.database import Transaction
from service.tailoring.refusals import Refusal


@dataclass(frozen=True, slots=True)
class IdempotentRequest:
    """A creating request as it can be known again: its operation, its caller's key for it, its digest."""

    operation: str
    key: str | None
    digest: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The document that a creating request is answered with; `repeated` when it was kept from before."""

    document: dict[str, Any]
    repeated: bool = False


def answer_once(
    tx: Transaction, shop_id: str, idempotent: IdempotentRequest, now: datetime, make: Callable[[], dict[str, Any]]
) -> Answer:
    """Make the effect and keep its answer in this transaction, or give the answer kept before.

    Raises Refusal `key_used_otherwise` where the key stood on another request.
    """
    if idempotent.key is None:
        return Answer(make())
    kept = idempotency.claim(tx, shop_id, idempotent.operation, idempotent.key, idempotent.digest, now)
    if kept is None:
        document = make()
        idempotency.keep(tx, shop_id, idempotent.operation, idempotent.key, document)
        return Answer(document)
    if kept.digest != idempotent.digest:
        raise Refusal("key_used_otherwise", operation=idempotent.operation)
    return Answer(kept.answer, repeated=True)
