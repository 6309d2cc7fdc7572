"""The feed: what happened to the shop's orders, and the envelope in which it is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from service.storage import events, feeds
from service.storage.events import FiledEvent
from service.storage.feeds import FIRST, Cursor, Feed
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class EventPage:
    """A page of the feed; `after` is the cursor to go on from, `more` whether something is there already."""

    events: tuple[FiledEvent, ...]
    after: Cursor
    more: bool


def list_events(context: ServiceContext, caller: Caller, after: Cursor, most: int) -> EventPage:
    """The shop's events after a cursor, oldest first. A cursor stays good until the service is restored from a backup.

    Raises Refusal `cursor_ahead` or `cursor_of_before`.
    """
    with context.database.reading() as tx:
        feed = feeds.feed_of(tx, caller.shop.id)
        number = number_after(feed, after)
        found = events.list_events(tx, feed, caller.shop.id, number, most + 1)
    page = found[:most]
    return EventPage(page, page[-1].cursor if page else feed.at(number), len(found) > most)


def has_happened(context: ServiceContext, caller: Caller, after: Cursor) -> bool:
    """Whether there is something in the shop's feed after its last event of before."""
    with context.database.reading() as tx:
        return feeds.last_of(tx, caller.shop.id) != after.number


def number_after(feed: Feed, after: Cursor) -> int:
    """The number of the event that a cursor stands for in this feed.

    Raises Refusal `cursor_ahead` where it is past the last one, `cursor_of_before` where it is of another epoch: events
    that it has seen are gone.
    """
    if after.epoch not in (None, feed.epoch):
        go_on = feed.at(feed.shared_with(after)).text
        raise Refusal("cursor_of_before", ("after",), go_on=go_on, epoch=feed.epoch)
    if after.number > feed.last:
        raise Refusal("cursor_ahead", ("after",), last=feed.at(feed.last).text)
    return after.number


def envelope(event: FiledEvent) -> dict[str, Any]:
    """An event as a CloudEvent (CloudEvents 1.0, JSON format), the same in the feed and to a webhook."""
    said = event.said
    return {
        "specversion": "1.0",
        "id": _id(event),
        "source": f"urn:uuid:{event.shop_id}",
        "type": said.type,
        "subject": event.order_id,
        "time": said.at.isoformat(),
        "datacontenttype": "application/json",
        "cursor": event.cursor.text,
        "data": {
            "order": event.order_id,
            "number": said.number,
            "from": said.from_state,
            "state": said.state,
            "promised_for": said.promised_for.isoformat() if said.promised_for else None,
            "pieces": [
                {"piece": each.piece, "garment": each.garment, "from": each.from_state, "state": each.state}
                for each in said.pieces
            ],
        },
    }


def _id(event: FiledEvent) -> str:
    """For ever this event's, whatever the feed's epoch is later; no other event gets it after a restore."""
    name = "" if event.epoch == FIRST else f"{event.epoch}-"
    return f"{event.shop_id}-{name}{event.number}"
