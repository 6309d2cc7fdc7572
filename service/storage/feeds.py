"""Which feed of events a shop's is: its epochs, and the cursors in it.

A database that goes on from a backup would use cursors a second time, for other events. So it begins a new epoch then:
the feed is the same as before up to where the epoch began, and another one after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, literal, select

from service.storage.tables import feed_epochs, shops

# The epoch of a database that never went on from a backup. Ids of its events do not name it.
FIRST = "first"


@dataclass(frozen=True, slots=True)
class Cursor:
    """A place in a shop's feed: the number of the last event that is known, and the epoch in which it was read.

    Without an epoch it is the beginning, which every feed has.
    """

    epoch: str | None
    number: int

    @classmethod
    def read(cls, text: str) -> Cursor:
        """A cursor as it was given out, `EPOCH-NUMBER`, or `0` for the beginning."""
        epoch, _, number = text.rpartition("-")
        return cls(epoch or None, int(number))

    @property
    def text(self) -> str:
        """As it is given out."""
        return "0" if self.epoch is None else f"{self.epoch}-{self.number}"


@dataclass(frozen=True, slots=True)
class Feed:
    """A shop's feed: its last event's number, and each epoch with the number after which it began, oldest first."""

    last: int
    epochs: tuple[tuple[str, int], ...]

    @property
    def epoch(self) -> str:
        """The epoch that it is in."""
        return self.epochs[-1][0]

    def at(self, number: int) -> Cursor:
        """The cursor of a number, as it is given out now."""
        return Cursor(self.epoch, number)

    def epoch_of(self, number: int) -> str:
        """The epoch in which an event happened."""
        return next(name for name, began_after in reversed(self.epochs) if began_after < number)

    def shared_with(self, cursor: Cursor) -> int:
        """Up to which number whoever read as far as `cursor` has read what stands in this feed.

        Of an epoch that this database never was in nothing is known: then from the beginning.
        """
        names = [name for name, _ in self.epochs]
        if cursor.epoch not in names:
            return 0
        following = names.index(cursor.epoch) + 1
        end = self.epochs[following][1] if following < len(names) else self.last
        return min(cursor.number, end)


def feed_of(tx: Connection, shop_id: str) -> Feed:
    """The feed of a shop as it is now."""
    last = last_of(tx, shop_id)
    begun = select(feed_epochs.c.epoch, feed_epochs.c.began_after).where(feed_epochs.c.shop_id == shop_id)
    rows = tx.execute(begun.order_by(feed_epochs.c.position))
    # Numbers begin at 1: every event comes after 0.
    return Feed(last, ((FIRST, 0), *((row.epoch, row.began_after) for row in rows)))


def last_of(tx: Connection, shop_id: str) -> int:
    """The number of a shop's last event."""
    return int(tx.execute(select(shops.c.last_event).where(shops.c.id == shop_id)).scalar_one())


def begin_epoch(tx: Connection, epoch: str, now: datetime) -> int:
    """Begin an epoch in the feed of every shop, whose rows must be locked; how many they are."""
    before: Any = select(func.count()).where(feed_epochs.c.shop_id == shops.c.id).scalar_subquery()
    begun = select(shops.c.id, before + 1, literal(epoch), shops.c.last_event, literal(now, feed_epochs.c.at.type))
    names = ["shop_id", "position", "epoch", "began_after", "at"]
    return tx.execute(insert(feed_epochs).from_select(names, begun)).rowcount
