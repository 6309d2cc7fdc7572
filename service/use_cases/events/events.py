"""The feed: what happened to the shop's orders, and the envelope in which it is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from service.storage import events
from service.storage.events import FiledEvent
from service.use_cases.context import Caller, ServiceContext

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class EventPage:
    """A page of the feed; `after` is the cursor to go on from, `more` whether something is there already."""

    events: tuple[FiledEvent, ...]
    after: int
    more: bool


def list_events(context: ServiceContext, caller: Caller, after: int, most: int) -> EventPage:
    """The shop's events after a cursor, oldest first. A cursor stays good for ever."""
    with context.database.reading() as tx:
        found = events.list_events(tx, caller.shop.id, after, most + 1)
    page = found[:most]
    return EventPage(page, page[-1].cursor if page else after, len(found) > most)


def envelope(event: FiledEvent) -> dict[str, Any]:
    """An event as a CloudEvent (CloudEvents 1.0, JSON format), the same in the feed and to a webhook."""
    said = event.said
    return {
        "specversion": "1.0",
        "id": f"{event.shop_id}-{event.cursor}",
        "source": f"urn:uuid:{event.shop_id}",
        "type": said.type,
        "subject": event.order_id,
        "time": said.at.isoformat(),
        "datacontenttype": "application/json",
        "cursor": event.cursor,
        "data": {
            "order": event.order_id,
            "number": said.number,
            "from": said.from_state,
            "state": said.state,
            "promised_for": said.promised_for.isoformat() if said.promised_for else None,
        },
    }
