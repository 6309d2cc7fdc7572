"""Webhooks: where a shop's events are sent, and how far that has come.

A webhook is sent to by one relay at a time: the one whose claim on it stands, until that runs out. A relay that dies
leaves a claim that another takes over in time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, delete, func, insert, select, update

from service.storage.feeds import FIRST, Cursor
from service.storage.tables import feed_epochs, shops, webhooks


@dataclass(frozen=True, slots=True)
class Webhook:
    """Where a shop's events are sent, of which types (all where none is named), signed with which secret.

    `delivered_to` is the number of the last event that was taken there; `failures` are those in a row since. `epoch` is
    the one that the shop's feed is in.
    """

    id: str
    shop_id: str
    url: str
    types: tuple[str, ...]
    secret: str
    created_at: datetime
    delivered_to: int
    next_attempt_at: datetime
    failures: int = 0
    failing_since: datetime | None = None
    last_failure: str | None = None
    disabled_at: datetime | None = None
    epoch: str = FIRST

    @property
    def told_to(self) -> Cursor:
        """The cursor of the last event that was taken there."""
        return Cursor(self.epoch, self.delivered_to)

    @property
    def state(self) -> str:
        """One of `STATES`."""
        if self.disabled_at is not None:
            return "disabled"
        return "failing" if self.failures else "working"


STATES = ("working", "failing", "disabled")


def add_webhook(tx: Connection, webhook: Webhook) -> None:
    """Keep a new webhook."""
    tx.execute(
        insert(webhooks).values(
            id=webhook.id,
            shop_id=webhook.shop_id,
            url=webhook.url,
            types=list(webhook.types),
            secret=webhook.secret,
            created_at=webhook.created_at,
            delivered_to=webhook.delivered_to,
            next_attempt_at=webhook.next_attempt_at,
            failures=webhook.failures,
        )
    )


def find_webhook(tx: Connection, shop_id: str, webhook_id: str) -> Webhook | None:
    """The webhook of that id, if it is this shop's."""
    row = tx.execute(_KNOWN.where(_one(shop_id, webhook_id))).one_or_none()
    return _webhook(row) if row else None


def webhooks_of(tx: Connection, shop_id: str) -> tuple[Webhook, ...]:
    """All of a shop's, oldest first."""
    mine = _KNOWN.where(webhooks.c.shop_id == shop_id).order_by(webhooks.c.created_at, webhooks.c.id)
    return tuple(_webhook(row) for row in tx.execute(mine))


def remove_webhook(tx: Connection, shop_id: str, webhook_id: str) -> bool:
    """Send nothing there any more; False where there is none."""
    return tx.execute(delete(webhooks).where(_one(shop_id, webhook_id))).rowcount == 1


def start_again(tx: Connection, webhook_id: str, after: int, now: datetime) -> None:
    """Send again what comes after a cursor, at once; whoever was sending loses his claim."""
    fresh = {**_WELL, "disabled_at": None, "claim": None, "claimed_until": None}
    tx.execute(
        update(webhooks).where(webhooks.c.id == webhook_id).values(delivered_to=after, next_attempt_at=now, **fresh)
    )


def anything_due(tx: Connection, now: datetime) -> bool:
    """Whether there is a webhook to be sent to that nobody is sending to."""
    return tx.execute(_due(now).limit(1)).first() is not None


def claim_due(tx: Connection, claim: str, now: datetime, until: datetime) -> Webhook | None:
    """Claim the webhook that waited longest, past those that another relay is claiming at this moment."""
    longest = _due(now).order_by(webhooks.c.next_attempt_at).limit(1)
    row = tx.execute(longest.with_for_update(of=webhooks, skip_locked=True)).one_or_none()
    if row is None:
        return None
    tx.execute(update(webhooks).where(webhooks.c.id == row.id).values(claim=claim, claimed_until=until))
    return _webhook(row)


def delivered(tx: Connection, webhook_id: str, claim: str, cursor: int, until: datetime) -> bool:
    """Note how far it has come, and hold the claim for longer; False where the claim is lost."""
    told = update(webhooks).where(_claimed(webhook_id, claim))
    return tx.execute(told.values(delivered_to=cursor, claimed_until=until, **_WELL)).rowcount == 1


def failed(tx: Connection, webhook_id: str, claim: str, why: str, now: datetime, again_at: datetime | None) -> None:
    """Note a failure: the next attempt, or that it was the last (`again_at` None); the claim is given up."""
    told: dict[str, Any] = {
        "failures": webhooks.c.failures + 1,
        "failing_since": func.coalesce(webhooks.c.failing_since, now),
        "last_failure": why,
        "claim": None,
        "claimed_until": None,
    }
    told |= {"disabled_at": now} if again_at is None else {"next_attempt_at": again_at}
    tx.execute(update(webhooks).where(_claimed(webhook_id, claim)).values(**told))


def release(tx: Connection, webhook_id: str, claim: str, now: datetime) -> None:
    """Give a claim up, and go to the end of the queue."""
    given_up = {"claim": None, "claimed_until": None, "next_attempt_at": now}
    tx.execute(update(webhooks).where(_claimed(webhook_id, claim)).values(**given_up))


def drop_claims(tx: Connection) -> None:
    """Take every webhook from whoever was sending to it."""
    tx.execute(update(webhooks).where(webhooks.c.claim.is_not(None)).values(claim=None, claimed_until=None))


def count_disabled(tx: Connection) -> int:
    """How many are sent nothing any more, because that failed for too long."""
    gone = select(func.count()).select_from(webhooks).where(webhooks.c.disabled_at.is_not(None))
    return int(tx.execute(gone).scalar_one())


_EPOCH = (
    select(feed_epochs.c.epoch)
    .where(feed_epochs.c.shop_id == webhooks.c.shop_id)
    .order_by(feed_epochs.c.position.desc())
    .limit(1)
    .scalar_subquery()
)
_KNOWN = select(webhooks, _EPOCH.label("epoch"))
_WELL: dict[str, Any] = {"failures": 0, "failing_since": None, "last_failure": None}


def _due(now: datetime) -> Select[Any]:
    free = webhooks.c.claimed_until.is_(None) | (webhooks.c.claimed_until <= now)
    behind = webhooks.c.delivered_to < shops.c.last_event
    waits = webhooks.c.disabled_at.is_(None) & (webhooks.c.next_attempt_at <= now)
    return _KNOWN.join(shops).where(waits, free, behind)


def _one(shop_id: str, webhook_id: str) -> Any:  # noqa: ANN401  a clause
    return (webhooks.c.shop_id == shop_id) & (webhooks.c.id == webhook_id)


def _claimed(webhook_id: str, claim: str) -> Any:  # noqa: ANN401  a clause
    return (webhooks.c.id == webhook_id) & (webhooks.c.claim == claim)


def _webhook(row: Row[Any]) -> Webhook:
    return Webhook(
        id=row.id,
        shop_id=row.shop_id,
        url=row.url,
        types=tuple(row.types),
        secret=row.secret,
        created_at=row.created_at,
        delivered_to=row.delivered_to,
        next_attempt_at=row.next_attempt_at,
        failures=row.failures,
        failing_since=row.failing_since,
        last_failure=row.last_failure,
        disabled_at=row.disabled_at,
        epoch=row.epoch or FIRST,
    )
