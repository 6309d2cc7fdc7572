"""The customer's slip: which order, which day, how it stands. Nothing of the person, nothing of his body."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.wording import day_text
from service.tailoring.order_states import State
from service.tailoring.orders import Order

# The workroom's states in words that a customer would use.
CUSTOMER_WORDS: dict[State, str] = {
    "marked": "booked in",
    "accepted": "booked in",
    "in_workroom": "being altered",
    "query": "we have a question: please call the shop",
    "basted_for_fitting": "please come for a fitting",
    "sewn": "sewn, being pressed",
    "pressed": "pressed, last check",
    "ready": "ready: please try it on here",
    "collected": "collected, thank you",
    "cancelled": "cancelled",
}


@dataclass(frozen=True, slots=True)
class Slip:
    """What the customer takes home. `promised` is empty once there is no day to wait for."""

    shop: str
    number: str
    state: str
    promised: str


def slip(order: Order, shop: str) -> Slip:
    """The slip of `order` as it stands."""
    waits = order.state not in {"collected", "cancelled"}
    promised = day_text(order.promised_for) if waits and order.promised_for else ""
    return Slip(shop, order.number, CUSTOMER_WORDS[order.state], promised)
