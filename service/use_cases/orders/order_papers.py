"""What is printed of an order: the order, its shop, and its place in a group."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from service.storage.orders import order_groups, orders
from service.storage.orders.order_groups import GroupPlace
from service.storage.orders.orders import FiledOrder
from service.storage.shops import Shop
from service.tongues.tags import BRITISH
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.orders import known

# How much of the pressing and of the cautions is printed: what a trained hand must be reminded of, or all of it.
Detail: TypeAlias = Literal["short", "full"]
DETAILS: tuple[Detail, ...] = ("short", "full")


@dataclass(frozen=True, slots=True)
class OrderOnPaper:
    """An order as it is printed, in the name of its shop; `group` is its place among orders for one day."""

    filed: FiledOrder
    shop: Shop
    group: GroupPlace | None = None
    language: str = BRITISH


def order_on_paper(context: ServiceContext, caller: Caller, order_id: str) -> OrderOnPaper:
    """One order, to be printed. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        filed = known(orders.find_order(tx, caller.shop.id, order_id))
        return OrderOnPaper(filed, caller.shop, order_groups.place_in_group(tx, filed))
