"""What the house tells of an order to others: that it was placed, and how it went on.

An announcement holds the order's number, its state and its day, and nothing of the customer, the staff or the body.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import NamedTuple

from service.tailoring import tables
from service.tailoring.orders.order_states import OrderEvent, State, moves
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import pieces_of


class PieceMoved(NamedTuple):
    """A piece that moved, what it is, and where it is since."""

    piece: int
    garment: str
    from_state: State
    state: State


@dataclass(frozen=True, slots=True)
class Announcement:
    """One thing that happened to an order, as others may know it: of which type, when, and where it is since.

    `pieces` are those that moved; the order's own state is as all of its pieces are.
    A type that the table does not describe is a slip of the program (ValueError).
    """

    type: str
    at: datetime
    number: str
    from_state: State | None
    state: State
    promised_for: date | None
    pieces: tuple[PieceMoved, ...] = ()

    def __post_init__(self) -> None:
        if self.type not in event_types():
            raise ValueError(f"{self.type} stands not in event_types.csv")


@cache
def event_types() -> dict[str, str]:
    """Every type of event and what it means."""
    return {row["type"]: row["words"] for row in tables.rows("orders/event_types")}


def announced(before: Order | None, order: Order) -> tuple[Announcement, ...]:
    """What is told of the order's new events, those that it had not `before`: None where it is new itself."""
    known = len(before.events) if before else 0
    return tuple(
        Announcement(
            type=_type_of(event),
            at=event.at,
            number=order.number,
            from_state=before.state if before else None,
            state=order.state,
            promised_for=order.promised_for,
            pieces=_pieces_moved(order, event),
        )
        for event in order.events[known:]
    )


def _pieces_moved(order: Order, event: OrderEvent) -> tuple[PieceMoved, ...]:
    start = event.from_state
    if event.kind != "moved" or start is None:
        return ()
    moved = pieces_of(event, order.garments)
    return tuple(
        PieceMoved(each.piece, each.garment, start, event.to_state) for each in order.garments if each.piece in moved
    )


@cache
def _by_kind() -> dict[str, str]:
    return {row["kind"]: row["event"] for row in tables.rows("orders/move_kinds")}


def _type_of(event: OrderEvent) -> str:
    if event.kind != "moved":
        return f"order.{event.kind}"
    if event.from_state is None:
        return "order.placed"
    move = moves().get((event.from_state, event.to_state))
    return _by_kind()[move.kind if move else "onward"]
