"""Groups of orders: a wedding party, the staff of a house. All are promised for one day, or none is placed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from service.storage import shops, workroom
from service.storage.database import Transaction
from service.storage.orders import order_groups, orders
from service.storage.orders.order_groups import OrderGroup
from service.storage.orders.orders import FiledOrder
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import BookedMinutes
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.orders.orders import OrderAsked, PlacedOrder, draw_up_order
from service.use_cases.shop.shops import as_now

ORDERS_MOST = 30


@dataclass(frozen=True, slots=True)
class GroupAsked:
    """The orders of a group, and the day by which all of them are needed."""

    orders: tuple[OrderAsked, ...]
    marked_by: str
    group_ref: str | None = None
    needed_by: date | None = None
    rush: bool = False


@dataclass(frozen=True, slots=True)
class FiledGroup:
    """A group with its orders, by number."""

    group: OrderGroup
    orders: tuple[FiledOrder, ...]

    @property
    def promised_for(self) -> date | None:
        """The day on which all of it is ready; of those cancelled nobody waits for one. None where all are."""
        days = [each.order.promised_for for each in self.orders if each.order.state != "cancelled"]
        return max((day for day in days if day is not None), default=None)

    @property
    def is_ready(self) -> bool:
        """Whether all of it may be collected together."""
        states = {each.order.state for each in self.orders} - {"cancelled"}
        return bool(states) and states <= {"ready", "collected"}


def place_group(
    context: ServiceContext,
    caller: Caller,
    asked: GroupAsked,
    idempotent: IdempotentRequest,
    document: Callable[[FiledGroup, tuple[PlacedOrder, ...]], dict[str, Any]],
) -> Answer:
    """Place all orders of a group for one day, that of the last of them, in one transaction; or nothing at all.

    Raises Refusal `group_empty`, `key_used_otherwise`, or as `place_order`, pointing at ("orders", n, …);
    `needed_by_too_early` is said of the whole group.
    """
    if len(asked.orders) < 2:  # noqa: PLR2004  one is no group
        raise Refusal("group_empty", ("orders",))

    def make() -> dict[str, Any]:
        # As in placing: the numbers lock the shop's row before anything is read of its days.
        numbers = [shops.next_order_number(tx, caller.shop.id) for _ in asked.orders]
        now, group_id = as_now(tx, caller), context.new_id()
        drawn = _draw_up(tx, context, now, asked, numbers, group_id, rush=asked.rush)
        together = _last_day(drawn)
        if asked.needed_by is not None and together > asked.needed_by:
            hurried = (
                together if asked.rush else _last_day(_draw_up(tx, context, now, asked, numbers, group_id, rush=True))
            )
            raise Refusal(
                "needed_by_too_early",
                ("needed_by",),
                earliest=together.isoformat(),
                earliest_rush=hurried.isoformat(),
                needed_by=asked.needed_by.isoformat(),
            )
        group = OrderGroup(group_id, asked.group_ref, asked.needed_by, context.now(), asked.marked_by)
        order_groups.add_group(tx, caller.shop.id, group)
        placed = tuple((_for_one_day(each, together, asked.needed_by), taken) for each, taken in drawn)
        for each, taken in placed:
            orders.add_order(tx, caller.shop.id, each.filed)
            workroom.take_minutes(tx, caller.shop.id, each.filed.id, taken)
        return document(FiledGroup(group, tuple(each.filed for each, _ in placed)), tuple(each for each, _ in placed))

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def show_group(context: ServiceContext, caller: Caller, group_id: str) -> FiledGroup:
    """One group with its orders. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        group = order_groups.find_group(tx, caller.shop.id, group_id)
        if group is None:
            raise Refusal("not_found")
        return FiledGroup(group, order_groups.orders_of(tx, group.id))


def _draw_up(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    asked: GroupAsked,
    numbers: list[int],
    group_id: str,
    *,
    rush: bool,
) -> list[tuple[PlacedOrder, tuple[BookedMinutes, ...]]]:
    """The orders of a group, each on the days that those before it leave free."""
    drawn: list[tuple[PlacedOrder, tuple[BookedMinutes, ...]]] = []
    taken: list[BookedMinutes] = []
    for n, each in enumerate(asked.orders):
        wanted = replace(each, sheet=replace(each.sheet, rush=rush), marked_by=asked.marked_by)
        try:
            ready, mine = draw_up_order(tx, context, caller, wanted, numbers[n], group_id, taken)
        except Refusal as refusal:
            raise refusal.within("orders", n) from None
        drawn.append((ready, mine))
        taken += mine
    return drawn


def _last_day(drawn: list[tuple[PlacedOrder, tuple[BookedMinutes, ...]]]) -> date:
    return max(each.filed.order.promised_for for each, _ in drawn if each.filed.order.promised_for)


def _for_one_day(each: PlacedOrder, together: date, needed_by: date | None) -> PlacedOrder:
    order = replace(each.filed.order, promised_for=together, needed_by=needed_by)
    return replace(each, filed=replace(each.filed, order=order))
