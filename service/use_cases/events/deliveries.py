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
# So many more webhooks are thought of than are claimed: other relays claim at the same time.
SPARE = 16


@dataclass(frozen=True, slots=True)
class Due:
    """A claimed webhook and the next events of its shop, oldest first, wanted there or not.

    `last` is the number of the shop's last event.
    """

    claim: str
    webhook: Webhook
    events: tuple[FiledEvent, ...]
    last: int


def claim_next(
    context: ServiceContext, held: timedelta, waits: Waits, quick_most: int, slow_most: int
) -> tuple[Due, ...]:
    """Claim webhooks for `held`, shops in turn: at most so many whose receivers are quick, and so many slow ones."""
    taken: list[Due] = []
    for slow, most in ((False, quick_most), (True, slow_most)):
        while most > 0 and (ids := _next_due(context, waits, slow=slow, most=most)):
            found = _claimed(context, held, waits, ids, most)
            taken += found
            if found:
                break
            # Other relays took all of them first; there may be more.
    return tuple(taken)


def _next_due(context: ServiceContext, waits: Waits, *, slow: bool, most: int) -> list[str]:
    with context.database.reading() as tx:
        return webhooks.next_due(tx, context.now(), waits, slow=slow, most=most + SPARE)


def _claimed(context: ServiceContext, held: timedelta, waits: Waits, ids: list[str], most: int) -> list[Due]:
    now, claim = context.now(), context.new_id()
    with context.database.writing() as tx:
        taken = webhooks.claim_due(tx, ids, most, claim, now, now + held, waits)
        return [_due(tx, claim, each) for each in taken]


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


def _due(tx: Transaction, claim: str, webhook: Webhook) -> Due:
    feed = feeds.feed_of(tx, webhook.shop_id)
    found = events.list_events(tx, feed, webhook.shop_id, webhook.delivered_to, BATCH_MOST)
    return Due(claim, webhook, found, feed.last)
