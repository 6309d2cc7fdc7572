"""What the house tells of an order to others: that it was placed, and how it went on.

An announcement holds the order's number, its state and its day, and nothing of the customer, the staff or the body.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cache

from service.tailoring import tables
from service.tailoring.orders.order_states import OrderEvent, State, moves
from service.tailoring.orders.orders import Order

_BY_KIND = {"onward": "order.moved", "redo": "order.redone", "cancel": "order.cancelled"}


@dataclass(frozen=True, slots=True)
class Announcement:
    """One thing that happened to an order, as others may know it: of which type, when, and where it stands since.

    A type that the table does not describe is a slip of the program (ValueError).
    """

    type: str
    at: datetime
    number: str
    from_state: State | None
    state: State
    promised_for: date | None

    def __post_init__(self) -> None:
        if self.type not in event_types():
            raise ValueError(f"{self.type} stands not in event_types.csv")


@cache
def event_types() -> dict[str, str]:
    """Every type of event and what it means."""
    return {row["type"]: row["words"] for row in tables.rows("orders/event_types")}


def announced(order: Order, event: OrderEvent) -> Announcement:
    """What is told of an event of the order."""
    return Announcement(
        type=_type_of(event),
        at=event.at,
        number=order.number,
        from_state=event.from_state,
        state=event.to_state,
        promised_for=order.promised_for,
    )


def _type_of(event: OrderEvent) -> str:
    if event.kind != "moved":
        return f"order.{event.kind}"
    if event.from_state is None:
        return "order.placed"
    move = moves().get((event.from_state, event.to_state))
    return _BY_KIND[move.kind if move else "onward"]
