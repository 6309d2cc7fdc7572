"""Deliveries: which webhooks are next, what each has still to be told, and how telling it went.

Whoever sends holds a claim on the webhook. Nothing of the network happens inside a transaction.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from service.storage import events, feeds, webhooks
from service.storage.database import Transaction
from service.storage.events import FiledEvent
from service.storage.webhooks import Waits, Webhook
from service.use_cases.context import ServiceContext

BATCH_MOST = 50


@dataclass(frozen=True, slots=True)
class Due:
    """A claimed webhook and the next events of its shop, oldest first, wanted there or not."""

    claim: str
    webhook: Webhook
    events: tuple[FiledEvent, ...]


def claim_next(
    context: ServiceContext, held: timedelta, waits: Waits, most: int = 1, slow_most: int = 1
) -> tuple[Due, ...]:
    """Claim webhooks for `held`, shops in turn: at most so many, and of slow ones at most `slow_most`."""
    now = context.now()
    with context.database.reading() as tx:
        if most < 1 or not webhooks.anything_due(tx, now, waits):
            return ()
        ids = webhooks.next_due(tx, now, waits, slow=False, most=most)
        slow_most = min(slow_most, most - len(ids))
        if slow_most > 0:
            ids += webhooks.next_due(tx, now, waits, slow=True, most=slow_most)
    if not ids:
        return ()
    claim = context.new_id()
    with context.database.writing() as tx:
        taken = webhooks.claim_due(tx, ids, claim, now, now + held, waits)
        return tuple(Due(claim, each, _following(tx, each)) for each in taken)


def note_delivered(context: ServiceContext, due: Due, number: int, took_ms: int | None, held: timedelta) -> bool:
    """It was told of all up to the event of that number; False where the claim is lost, and no more may be sent.

    `took_ms` is how long the exchange took, None where the event was not wanted and nothing was sent.
    """
    with context.database.writing() as tx:
        return webhooks.delivered(tx, due.webhook.id, due.claim, number, took_ms, context.now() + held)


def note_done(context: ServiceContext, due: Due, number: int, took_ms: int | None) -> bool:
    """As above, and no more is sent under this claim: another may claim it."""
    with context.database.writing() as tx:
        return webhooks.done(tx, due.webhook.id, due.claim, number, took_ms, context.now())


def note_failed(context: ServiceContext, due: Due, why: str, wait: timedelta | None) -> None:
    """It could not be told: try again after `wait`, or never (None)."""
    now = context.now()
    with context.database.writing() as tx:
        webhooks.failed(tx, due.webhook.id, due.claim, why, now, None if wait is None else now + wait)


def put_back(context: ServiceContext, due: Due) -> None:
    """Done with it for now, and nothing was sent; another may claim it."""
    with context.database.writing() as tx:
        webhooks.release(tx, due.webhook.id, due.claim, context.now())


def _following(tx: Transaction, webhook: Webhook) -> tuple[FiledEvent, ...]:
    feed = feeds.feed_of(tx, webhook.shop_id)
    return events.list_events(tx, feed, webhook.shop_id, webhook.delivered_to, BATCH_MOST)
