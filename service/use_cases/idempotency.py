"""Doing a thing once: the same key and the same request get the same answer, and no second effect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from service.storage import idempotency
from service.storage.database import Transaction
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext


@dataclass(frozen=True, slots=True)
class IdempotentRequest:
    """A creating or changing request as it can be known again: its operation, its caller's key for it, its digest.

    `said_in` is asked once its answer is made, for the language that the answer has its words in.
    """

    operation: str
    key: str | None
    digest: str
    said_in: Callable[[], str | None] = lambda: None


@dataclass(frozen=True, slots=True)
class Answer:
    """The document that such a request is answered with; `repeated` when it was kept before, with its language then."""

    document: dict[str, Any]
    repeated: bool = False
    said_in: str | None = None


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
        idempotency.keep(tx, shop_id, idempotent.operation, idempotent.key, document, idempotent.said_in())
        return Answer(document)
    if kept.digest != idempotent.digest:
        raise Refusal("key_used_otherwise", operation=idempotent.operation)
    return Answer(kept.answer, repeated=True, said_in=kept.said_in)


def change_once(
    context: ServiceContext,
    caller: Caller,
    idempotent: IdempotentRequest,
    make: Callable[[ServiceContext], dict[str, Any]],
) -> Answer:
    """Let a whole use case, or several, make their changes once, or give the answer kept before.

    What `make` reads and writes with the context that it is handed is one transaction with the keeping of its answer.
    Raises Refusal as `answer_once`, and whatever `make` raises: then no change is made, and no answer kept.
    """
    with context.database.writing() as tx:
        within = replace(context, database=context.database.joining(tx))
        return answer_once(tx, caller.shop.id, idempotent, context.now(), lambda: make(within))
