"""Doing a thing once: the same key and the same request get the same answer, and no second effect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from service.storage import repeats
from service.storage.database import Transaction
from service.tailoring.refusals import Refusal


@dataclass(frozen=True, slots=True)
class Errand:
    """A creating request as it can be known again: its operation, its caller's key for it, its digest."""

    operation: str
    key: str | None
    digest: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The document that a creating request is answered with; `repeated` when it was kept from before."""

    document: dict[str, Any]
    repeated: bool = False


def once(tx: Transaction, shop_id: str, errand: Errand, now: datetime, make: Callable[[], dict[str, Any]]) -> Answer:
    """Make the effect and keep its answer in this transaction, or give the answer kept before.

    Raises Refusal `key_used_otherwise` where the key stood on another request.
    """
    if errand.key is None:
        return Answer(make())
    kept = repeats.claim(tx, shop_id, errand.operation, errand.key, errand.digest, now)
    if kept is None:
        document = make()
        repeats.keep(tx, shop_id, errand.operation, errand.key, document)
        return Answer(document)
    if kept.digest != errand.digest:
        raise Refusal("key_used_otherwise", operation=errand.operation)
    return Answer(kept.answer, repeated=True)
