"""What is told to others: rows in the transaction of what happened, numbered without a gap in each shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, Row, bindparam, func, insert, select, update

from service.storage.feeds import Cursor, Feed
from service.storage.tables import events, orders, shops, webhooks
from service.tailoring.orders.order_events import Announcement, PieceMoved


@dataclass(frozen=True, slots=True)
class FiledEvent:
    """An announcement on file: its number in the shop's feed, its cursor, and the order that it is about.

    `epoch` is the one in which it happened, which `cursor` need not name: that is the feed's own of today.
    """

    shop_id: str
    number: int
    epoch: str
    cursor: Cursor
    order_id: str
    said: Announcement


# Made once: making a statement takes as long as running it.
_BUMPED = (
    update(shops)
    .where(shops.c.id == select(orders.c.shop_id).where(orders.c.id == bindparam("of_order")).scalar_subquery())
    .values(last_event=shops.c.last_event + bindparam("more"))
    .returning(shops.c.id, shops.c.last_event)
)
_ADD = insert(events)


def announce(tx: Connection, order_id: str, said: Sequence[Announcement]) -> None:
    """Put announcements at the end of the feed of the order's shop.

    The shop's row is held until the transaction ends: whoever reads a cursor never finds a smaller one later.
    """
    shop_id, last = tx.execute(_BUMPED, {"of_order": order_id, "more": len(said)}).one()
    rows = [
        {
            "shop_id": shop_id,
            "cursor": cursor,
            "type": each.type,
            "at": each.at,
            "order_id": order_id,
            "number": int(each.number),
            "from_state": each.from_state,
            "state": each.state,
            "promised_for": each.promised_for,
            "pieces": [piece._asdict() for piece in each.pieces],
        }
        for cursor, each in enumerate(said, start=last - len(said) + 1)
    ]
    tx.execute(_ADD, rows)


def list_events(tx: Connection, feed: Feed, shop_id: str, after: int, most: int) -> tuple[FiledEvent, ...]:
    """The shop's events after the one of that number in its feed, oldest first."""
    mine = select(events).where(events.c.shop_id == shop_id, events.c.cursor > after)
    return tuple(_event(row, feed) for row in tx.execute(mine.order_by(events.c.cursor).limit(most)))


def oldest_unsent(tx: Connection) -> datetime | None:
    """Of the events that some working webhook has still to be told of, when the first one happened."""
    following = events.c.cursor == webhooks.c.delivered_to + 1
    waiting = select(events.c.at).join(webhooks, (webhooks.c.shop_id == events.c.shop_id) & following)
    oldest = waiting.where(webhooks.c.disabled_at.is_(None)).order_by(events.c.at).limit(1)
    found: datetime | None = tx.execute(oldest).scalar_one_or_none()
    return found


def count_unsent(tx: Connection) -> int:
    """How many events the working webhooks have still to be told of, each counted for each."""
    waiting = select(func.sum(shops.c.last_event - webhooks.c.delivered_to)).join(shops)
    return int(tx.execute(waiting.where(webhooks.c.disabled_at.is_(None))).scalar_one() or 0)


def _event(row: Row[tuple[object, ...]], feed: Feed) -> FiledEvent:
    # An event of before 0020 was of the whole order, and has none.
    pieces = tuple(PieceMoved(**each) for each in row.pieces or ())
    said = Announcement(row.type, row.at, str(row.number), row.from_state, row.state, row.promised_for, pieces)
    return FiledEvent(row.shop_id, row.cursor, feed.epoch_of(row.cursor), feed.at(row.cursor), row.order_id, said)
