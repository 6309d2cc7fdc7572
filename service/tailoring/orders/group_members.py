"""Who belongs to a group of orders: a member may leave it until the work on their order begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.order_states import OrderEvent, is_over
from service.tailoring.orders.orders import Order, move_with_day
from service.tailoring.refusals import Refusal


def left_group(order: Order, signed: Signed, own_day: date | None) -> Order:
    """An order that goes on by itself from now on, promised for the day on which its own work ends.

    Raises Refusal `group_left_too_late` once its work has begun.
    """
    if not order.is_unbegun:
        raise Refusal("group_left_too_late", (), state=order.state)
    event = OrderEvent(
        signed.now, signed.by, order.state, order.state, signed.why, (("changed", ("group",)),), "amended"
    )
    alone = replace(order, events=(*order.events, event))
    return move_with_day(order, alone, own_day) if own_day else alone


def day_of_all(orders: Sequence[Order]) -> date | None:
    """The day for which those that are not over are promised together."""
    days = [each.promised_for for each in orders if not is_over(each.state) and each.promised_for]
    return max(days, default=None)


def check_day_kept(others: Sequence[Order], together: date | None) -> None:
    """Raises Refusal `group_day_kept` where all would be promised for a later day, and the work of one has begun.

    A latecomer is welcome; that the others wait for one once their cloth is cut is not (common practice, no source).
    """
    promised = day_of_all(others)
    begun = any(not each.is_unbegun and not is_over(each.state) for each in others)
    if begun and promised and together and together > promised:
        raise Refusal("group_day_kept", (), promised=promised.isoformat(), earliest=together.isoformat())


def check_joinable(orders: tuple[Order, ...], most: int) -> None:
    """Raises Refusal `group_full`, or `group_over` where no order of a group is open any more."""
    if len(orders) >= most:
        raise Refusal("group_full", (), most=most)
    if all(is_over(order.state) for order in orders):
        raise Refusal("group_over")
