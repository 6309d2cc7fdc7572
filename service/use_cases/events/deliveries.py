"""Deliveries: which webhook is next, what it has still to be told, and how telling it went.

Whoever sends holds a claim on the webhook. Nothing of the network happens inside a transaction.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from service.storage import events, feeds, webhooks
from service.storage.events import FiledEvent
from service.storage.webhooks import Webhook
from service.use_cases.context import ServiceContext

BATCH_MOST = 50


@dataclass(frozen=True, slots=True)
class Due:
    """A claimed webhook and the next events of its shop, oldest first, wanted there or not."""

    claim: str
    webhook: Webhook
    events: tuple[FiledEvent, ...]


def claim_next(context: ServiceContext, held: timedelta) -> Due | None:
    """Claim the webhook that waited longest, for `held`; None where nothing is due."""
    with context.database.reading() as tx:
        if not webhooks.anything_due(tx, context.now()):
            return None
    claim = context.new_id()
    with context.database.writing() as tx:
        webhook = webhooks.claim_due(tx, claim, context.now(), context.now() + held)
        if webhook is None:
            return None
        feed = feeds.feed_of(tx, webhook.shop_id)
        following = events.list_events(tx, feed, webhook.shop_id, webhook.delivered_to, BATCH_MOST)
        return Due(claim, webhook, following)


def note_delivered(context: ServiceContext, due: Due, number: int, held: timedelta) -> bool:
    """It was told of all up to the event of that number; False where the claim is lost, and no more may be sent."""
    with context.database.writing() as tx:
        return webhooks.delivered(tx, due.webhook.id, due.claim, number, context.now() + held)


def note_failed(context: ServiceContext, due: Due, why: str, wait: timedelta | None) -> None:
    """It could not be told: try again after `wait`, or never (None)."""
    now = context.now()
    with context.database.writing() as tx:
        webhooks.failed(tx, due.webhook.id, due.claim, why, now, None if wait is None else now + wait)


def put_back(context: ServiceContext, due: Due) -> None:
    """Done with it for now; another may claim it."""
    with context.database.writing() as tx:
        webhooks.release(tx, due.webhook.id, due.claim, context.now())
