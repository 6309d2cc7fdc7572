"""Webhooks: where a shop's events are sent, and how far that has come.

A webhook is sent to by one relay at a time: the one whose claim on it stands, until that runs out. A relay that dies
leaves a claim that another takes over in time.

A webhook whose receiver answers slowly, or failed last, is a slow one: relays keep lanes free of those. What a clock
that ran ahead left behind, a time further away than any can be, counts for nothing once the clock is right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, TypeAlias

from sqlalchemy import ColumnElement, Connection, Row, case, delete, func, insert, literal, select, update

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
    took_ms: int | None = None

    @property
    def cursor(self) -> Cursor:
        """That of the last event that was taken there."""
        return Cursor(self.epoch, self.delivered_to)

    @property
    def tried_again_at(self) -> datetime | None:
        """When it is tried again after a failure; none where no failure is waited after."""
        return self.next_attempt_at if self.state == "failing" else None

    @property
    def is_slow(self) -> bool:
        """Whether sending there may take long: it failed last, or its receiver took its time."""
        return self.failures > 0 or (self.took_ms or 0) >= SLOW_MS

    @property
    def state(self) -> str:
        """One of `STATES`."""
        if self.disabled_at is not None:
            return "disabled"
        return "failing" if self.failures else "working"


SLOW_MS = 1000
# No relay claims for longer: a receiver may take a minute, and a claim is for twice that.
CLAIM_LONGEST = timedelta(minutes=5)
# So much the clocks of machines may differ.
CLOCKS_DIFFER = timedelta(minutes=1)
# After so many failures in a row, how long the next attempt is waited for.
Waits: TypeAlias = Mapping[int, timedelta]
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
    fresh = {**_WELL, **_FREE, "disabled_at": None}
    tx.execute(
        update(webhooks).where(webhooks.c.id == webhook_id).values(delivered_to=after, next_attempt_at=now, **fresh)
    )


def next_due(tx: Connection, now: datetime, waits: Waits, *, slow: bool, most: int) -> list[str]:
    """Ids of webhooks to be sent to, the slow ones or the others, in their turn; at most so many.

    Shops take turns: first the one to which the fewest are sending, and of its webhooks the one that waited longest.
    """
    is_slow = (webhooks.c.failures > 0) | (func.coalesce(webhooks.c.took_ms, 0) >= SLOW_MS)
    held = select(webhooks.c.shop_id, func.count().label("lanes")).where(webhooks.c.claimed_until > now)
    served = held.group_by(webhooks.c.shop_id).subquery()
    # A time to come is one of a clock that ran ahead: it has waited at least since that was set right.
    waited = (case((webhooks.c.next_attempt_at > now, 0), else_=1), webhooks.c.next_attempt_at)
    nth = func.row_number().over(partition_by=webhooks.c.shop_id, order_by=waited)
    due = select(webhooks.c.id).join(shops).outerjoin(served, served.c.shop_id == webhooks.c.shop_id)
    turn = func.coalesce(served.c.lanes, 0) + nth
    asked = due.where(*_due(now, waits), is_slow if slow else ~is_slow).order_by(turn, *waited).limit(most)
    return list(tx.execute(asked).scalars())


def claim_due(
    tx: Connection, ids: Sequence[str], most: int, claim: str, now: datetime, until: datetime, waits: Waits
) -> tuple[Webhook, ...]:
    """Claim the first of the webhooks that are still due, past those that another relay is claiming at this moment."""
    turn = case({each: turn for turn, each in enumerate(ids)}, value=webhooks.c.id)
    due = _KNOWN.join(shops).where(webhooks.c.id.in_(ids), *_due(now, waits)).order_by(turn).limit(most)
    rows = tx.execute(due.with_for_update(of=webhooks, skip_locked=True)).all()
    taken = [row.id for row in rows]
    tx.execute(update(webhooks).where(webhooks.c.id.in_(taken)).values(claim=claim, claimed_until=until))
    return tuple(_webhook(row) for row in rows)


def delivered(tx: Connection, webhook_id: str, claim: str, number: int, took_ms: int | None, until: datetime) -> bool:
    """Note how far it has come, and hold the claim for longer; False where the claim is lost."""
    return _note(tx, webhook_id, claim, {"delivered_to": number, "claimed_until": until, **_took(took_ms)})


def done(tx: Connection, webhook_id: str, claim: str, number: int, took_ms: int | None, now: datetime) -> bool:
    """Note how far it has come, give the claim up, and go to the end of the queue; False where the claim is lost."""
    return _note(tx, webhook_id, claim, {"delivered_to": number, "next_attempt_at": now, **_FREE, **_took(took_ms)})


def failed(tx: Connection, webhook_id: str, claim: str, why: str, now: datetime, again_at: datetime | None) -> None:
    """Note a failure: the next attempt, or that it was the last (`again_at` None); the claim is given up."""
    told: dict[str, Any] = {
        "failures": webhooks.c.failures + 1,
        "failing_since": func.coalesce(webhooks.c.failing_since, now),
        "last_failure": why,
    }
    told |= {"disabled_at": now} if again_at is None else {"next_attempt_at": again_at}
    _note(tx, webhook_id, claim, told | _FREE)


def release(tx: Connection, webhook_id: str, claim: str, now: datetime) -> None:
    """Give a claim up, and go to the end of the queue."""
    _note(tx, webhook_id, claim, {"next_attempt_at": now, **_FREE})


def drop_claims(tx: Connection) -> None:
    """Take every webhook from whoever was sending to it."""
    tx.execute(update(webhooks).where(webhooks.c.claim.is_not(None)).values(**_FREE))


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
_FREE: dict[str, Any] = {"claim": None, "claimed_until": None}


def _note(tx: Connection, webhook_id: str, claim: str, told: dict[str, Any]) -> bool:
    return tx.execute(update(webhooks).where(_claimed(webhook_id, claim)).values(**told)).rowcount == 1


def _took(ms: int | None) -> dict[str, Any]:
    """What an exchange that went well changes; where nothing was sent, nothing is known of the receiver."""
    return {} if ms is None else {"took_ms": ms, **_WELL}


def _due(now: datetime, waits: Waits) -> tuple[ColumnElement[bool], ...]:
    claimed = webhooks.c.claimed_until
    free = claimed.is_(None) | (claimed <= now) | (claimed > now + CLAIM_LONGEST)
    behind = webhooks.c.delivered_to < shops.c.last_event
    again_at = webhooks.c.next_attempt_at
    # Only a failure is waited after, and never longer than the table says.
    last = {failures: literal(now + wait + CLOCKS_DIFFER, again_at.type) for failures, wait in waits.items()}
    out_of_reach = again_at > case(last, value=webhooks.c.failures, else_=literal(now, again_at.type))
    waits_no_more = (webhooks.c.failures == 0) | (again_at <= now) | out_of_reach
    return webhooks.c.disabled_at.is_(None), waits_no_more, free, behind


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
        took_ms=row.took_ms,
    )
