"""What is ready and is not collected: from when on it waits too long, that it is reminded of once, and given up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING

from service.tailoring.orders.order_states import OrderEvent, State
from service.tailoring.refusals import Refusal

if TYPE_CHECKING:
    # Every shop has the rule in its week, and commands of the console read shops: orders bring half of the core.
    from service.tailoring.orders.orders import Order

# In these an order is there for its customer.
WAITING: tuple[State, ...] = ("ready", "stored")


@dataclass(frozen=True, slots=True)
class WaitingRule:
    """After how many days that an order is ready it is reminded of, and how long after that it may be given up.

    None: the shop has no such rule.
    """

    remind_after_days: int | None = None
    give_up_after_days: int | None = None


def ready_since(order: Order) -> datetime | None:
    """When an order that waits for its customer came to be ready; None where it does not wait."""
    if order.state not in WAITING:
        return None
    turns = [event.at for event in order.events if event.kind == "moved" and event.to_state == "ready"]
    return max(turns, default=order.placed_at)


def reminded_at(order: Order) -> datetime | None:
    """When it was said that it waits, since it last was ready; None where it was not."""
    if ready_since(order) is None:
        return None
    found = None
    for event in order.events:
        # By their order: two may happen at one moment.
        if event.kind == "waiting":
            found = event.at
        elif event.kind == "moved" and event.to_state == "ready":
            found = None
    return found


def is_to_remind(order: Order, rule: WaitingRule, today: date, zone: tzinfo) -> bool:
    """Whether it waits for so long that it is to be reminded of, and was not yet."""
    since = ready_since(order)
    if since is None or rule.remind_after_days is None or reminded_at(order) is not None:
        return False
    return since.astimezone(zone).date() + timedelta(days=rule.remind_after_days) <= today


def reminded(order: Order, by: str, now: datetime, zone: tzinfo, note: str = "") -> Order:
    """The order with an event that says since when it waits, and that its customer was told.

    An order of which a part is still in work waits for the house, and not for its customer. Raises Refusal
    `not_waiting`.
    """
    since = ready_since(order)
    if since is None:
        raise Refusal("not_waiting", (), state=order.state)
    days = (("ready_since", since.astimezone(zone).date().isoformat()),)
    return replace(order, events=(*order.events, OrderEvent(now, by, order.state, order.state, note, days, "waiting")))


def check_give_up(order: Order, rule: WaitingRule, today: date, zone: tzinfo) -> None:
    """Raises Refusal `give_up_unreminded` or `give_up_too_soon` where the shop's rule does not let it be given up."""
    if rule.give_up_after_days is None:
        return
    said = reminded_at(order)
    if said is None:
        raise Refusal("give_up_unreminded", ("to",), days=rule.give_up_after_days)
    first = said.astimezone(zone).date() + timedelta(days=rule.give_up_after_days)
    if today < first:
        raise Refusal("give_up_too_soon", ("to",), days=rule.give_up_after_days, first=first.isoformat())
