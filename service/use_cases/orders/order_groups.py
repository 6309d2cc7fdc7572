"""Groups of orders: a wedding party, the staff of a house. All are promised for one day, or none is placed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.storage.orders import order_groups
from service.storage.orders.order_groups import OrderGroup
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.order_states import STATES, is_over
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.placing import GroupAsked, draw_up_group
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.orders.orders import PlacedOrder, file_order, moment_of, sources_of
from service.use_cases.shop.shops import take_numbers

ORDERS_MOST = 30
# Nobody comes for an order that is over without being collected.
NEVER_COLLECTED = frozenset(state for state in STATES if is_over(state)) - {"collected"}


@dataclass(frozen=True, slots=True)
class FiledGroup:
    """A group with its orders, by number."""

    group: OrderGroup
    orders: tuple[FiledOrder, ...]

    @property
    def promised_for(self) -> date | None:
        """The day on which all of it is ready; of those cancelled nobody waits for one. None where all are."""
        days = [each.order.promised_for for each in self.orders if each.order.state not in NEVER_COLLECTED]
        return max((day for day in days if day is not None), default=None)

    @property
    def states(self) -> dict[str, int]:
        """How many of its orders are in which state."""
        return dict(Counter(each.order.state for each in self.orders))

    @property
    def is_ready(self) -> bool:
        """Whether all of it may be collected together."""
        states = {each.order.state for each in self.orders} - NEVER_COLLECTED
        return bool(states) and states <= {"ready", "stored", "collected"}


@dataclass(frozen=True, slots=True)
class PlacedGroup:
    """A new group, and each of its orders with what the fitter should look at."""

    filed: FiledGroup
    orders: tuple[PlacedOrder, ...]


def place_group(
    context: ServiceContext,
    caller: Caller,
    asked: GroupAsked,
    idempotent: IdempotentRequest,
    document: Callable[[PlacedGroup], dict[str, Any]],
) -> Answer:
    """Place all orders of a group for one day, that of the last of them, in one transaction; or nothing at all.

    Raises Refusal `group_empty`, `key_used_otherwise`, or as `place_order`, pointing at ("orders", n, …);
    `needed_by_too_early` is said of the whole group.
    """
    if len(asked.orders) < 2:  # noqa: PLR2004  one is no group
        raise Refusal("group_empty", ("orders",))

    def make() -> dict[str, Any]:
        # As in placing: the numbers lock the shop's row before anything is read of its days.
        numbers, now = take_numbers(tx, caller, len(asked.orders))
        sources = [sources_of(tx, context, now, each.sheet) for each in asked.orders]
        drawn = draw_up_group(asked, sources, moment_of(tx, context, now), numbers)
        group = OrderGroup(context.new_id(), asked.group_ref, asked.needed_by, context.now(), asked.marked_by)
        order_groups.add_group(tx, caller.shop.id, group)
        placed = tuple(file_order(tx, context, caller, each, group.id) for each in drawn)
        return document(PlacedGroup(FiledGroup(group, tuple(each.filed for each in placed)), placed))

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def show_group(context: ServiceContext, caller: Caller, group_id: str) -> FiledGroup:
    """One group with its orders. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        group = order_groups.find_group(tx, caller.shop.id, group_id)
        if group is None:
            raise Refusal("not_found")
        return FiledGroup(group, order_groups.orders_of(tx, group.id))
