"""Orders that are ready and not collected: listed, and reminded of by an event, once each time that they are ready."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from service.storage import shops
from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder
from service.storage.orders.waiting import waiting_ids
from service.storage.shops import Shop
from service.tailoring.orders.waiting import is_to_remind, ready_since, reminded, reminded_at
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.orders import held

LIST_MOST = 200
# Who signs an event that no person makes.
BY_ITSELF = "waiting"


@dataclass(frozen=True, slots=True)
class WaitingOrder:
    """An order that waits for its customer: since when it is ready, for how many days, and when that was said."""

    filed: FiledOrder
    ready_since: datetime
    days: int
    reminded_at: datetime | None


@dataclass(frozen=True, slots=True)
class WaitingList:
    """The orders that wait, those that are ready for longest first."""

    day: date
    orders: tuple[WaitingOrder, ...]


def list_waiting(context: ServiceContext, caller: Caller, least_days: int | None) -> WaitingList:
    """Orders that are ready and not collected after so many days, those of the shop's rule where none is said."""
    today, zone = context.today(caller.shop), ZoneInfo(caller.shop.time_zone)
    rule = caller.shop.week.waiting
    least = least_days if least_days is not None else rule.remind_after_days or 0
    with context.database.reading() as tx:
        found = [orders.find_order(tx, caller.shop.id, each) for each in waiting_ids(tx, caller.shop.id)]
    rows = []
    for filed in found:
        since = ready_since(filed.order) if filed else None
        if filed is not None and since is not None:
            days = (today - since.astimezone(zone).date()).days
            rows += [WaitingOrder(filed, since, days, reminded_at(filed.order))] if days >= least else []
    return WaitingList(today, tuple(sorted(rows, key=lambda each: each.ready_since)[:LIST_MOST]))


def remind_customer(
    context: ServiceContext, caller: Caller, order_id: str, by: str | None, note: str = "", *, version: int
) -> FiledOrder:
    """Keep that a customer was told that their order waits, by whom; it is given up only so long after.

    Raises Refusal `not_found`, `version_stale` or `not_waiting`.
    """
    signed, zone = caller.signs(by), ZoneInfo(caller.shop.time_zone)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        return orders.file_change(tx, filed, reminded(filed.order, signed, context.now(), zone, note))


def remind_of_waiting(context: ServiceContext) -> int:
    """Say of every order that waits longer than its shop's rule that it waits; how many were new to it."""
    with context.database.reading() as tx:
        known = shops.every_shop(tx)
    return sum(_remind(context, shop) for shop in known if shop.week.waiting.remind_after_days is not None)


def _remind(context: ServiceContext, shop: Shop) -> int:
    zone, count = ZoneInfo(shop.time_zone), 0

    def due(filed: FiledOrder | None) -> bool:
        return filed is not None and is_to_remind(filed.order, shop.week.waiting, context.today(shop), zone)

    with context.database.reading() as tx:
        ids = [each for each in waiting_ids(tx, shop.id) if due(orders.find_order(tx, shop.id, each))]
    for order_id in ids:
        with context.database.writing() as tx:
            shops.lock_shop(tx, shop.id)
            filed = orders.find_order(tx, shop.id, order_id, lock=True)
            # Asked again, for it may have been collected meanwhile.
            if filed and due(filed):
                orders.file_change(tx, filed, reminded(filed.order, BY_ITSELF, context.now(), zone))
                count += 1
    return count
