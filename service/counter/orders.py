"""Alteration orders: quoted, placed with a promised day, found, followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, Unpack

from service.counter.desk import Caller, Desk
from service.counter.order_sheet import Sheet, SheetAsked, draw_up
from service.counter.repeats import Answer, Errand, once
from service.counter.versions import check_version
from service.storage import orders, shops, workroom
from service.storage.database import Transaction
from service.storage.orders import FiledOrder, OrderFilter, OrderSummary
from service.storage.shops import Shop
from service.tailoring.notices import Notice
from service.tailoring.order_states import MoveFacts, State
from service.tailoring.orders import Charge, charges, move, place
from service.tailoring.refusals import Refusal
from service.tailoring.workroom import Booking, book, work_of

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class OrderAsked:
    """An order sheet, whose it is and who marked it."""

    sheet: SheetAsked
    marked_by: str
    customer_ref: str | None = None
    sale_ref: str | None = None


@dataclass(frozen=True, slots=True)
class Quote:
    """What an order would be: its lines and notices, and the day it could be promised for; nothing is booked."""

    sheet: Sheet
    booking: Booking


@dataclass(frozen=True, slots=True)
class PlacedOrder:
    """A filed order and what the fitter should look at."""

    filed: FiledOrder
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class OrderPage:
    """A page of a list; `below` continues it, None at its end."""

    orders: tuple[OrderSummary, ...]
    below: int | None


def quote(desk: Desk, caller: Caller, asked: SheetAsked) -> Quote:
    """Feasibility, price, minutes and the earliest day. Raises Refusal as `draw_up` and `book`."""
    with desk.database.reading() as tx:
        sheet = draw_up(tx, caller, asked)
        return Quote(sheet, _booking(tx, desk, caller, sheet, asked.needed_by))


def place_order(
    desk: Desk, caller: Caller, asked: OrderAsked, errand: Errand, document: Callable[[PlacedOrder], dict[str, Any]]
) -> Answer:
    """Place an order: number, promised day and booked minutes in one transaction, or nothing at all.

    Raises Refusal as `quote`, or `key_used_otherwise`.
    """

    def make() -> dict[str, Any]:
        # The number comes first: it locks the shop's row, and with it the days until the minutes are booked.
        number = shops.next_order_number(tx, caller.shop.id)
        sheet = draw_up(tx, caller, asked.sheet)
        booking = _booking(tx, desk, caller, sheet, asked.sheet.needed_by)
        order = place(
            sheet.garments,
            sheet.lines,
            number=str(number),
            customer_ref=asked.customer_ref,
            sale_ref=asked.sale_ref,
            needed_by=asked.sheet.needed_by,
            promised_for=booking.promised_for,
            placed_at=desk.now(),
            marked_by=asked.marked_by,
            terms=caller.shop.prices.terms(sum(line.price.minor for line in sheet.lines)),
        )
        filed = FiledOrder(desk.new_id(), 1, desk.new_token(), order)
        orders.add_order(tx, caller.shop.id, filed)
        workroom.take_minutes(tx, caller.shop.id, filed.id, booking.taken)
        return document(PlacedOrder(filed, sheet.notices))

    with desk.database.writing() as tx:
        return once(tx, caller.shop.id, errand, desk.now(), make)


def show_order(desk: Desk, caller: Caller, order_id: str) -> FiledOrder:
    """One order. Raises Refusal `not_found`."""
    with desk.database.reading() as tx:
        return _known(orders.find_order(tx, caller.shop.id, order_id))


def list_orders(desk: Desk, caller: Caller, wanted: OrderFilter, most: int) -> OrderPage:
    """A page of the shop's orders, newest number first."""
    with desk.database.reading() as tx:
        found = orders.list_orders(tx, caller.shop.id, wanted, most + 1)
    more = len(found) > most
    return OrderPage(found[:most], int(found[most - 1].number) if more else None)


def move_order(
    desk: Desk,
    caller: Caller,
    order_id: str,
    to: State,
    by: str,
    *,
    note: str = "",
    version: int | None = None,
    **said: Unpack[MoveFacts],
) -> FiledOrder:
    """Move an order along; a cancelled one gives its minutes back.

    Raises Refusal `not_found`, `version_stale` or as `orders.move`.
    """
    with desk.database.writing() as tx:
        # Locked in the order in which placing locks: the shop, then its order.
        shops.lock_shop(tx, caller.shop.id)
        filed = _known(orders.find_order(tx, caller.shop.id, order_id, lock=True))
        if version is not None:
            check_version(filed.version, version)
        changed = move(filed.order, to, by, desk.now(), note, **said)
        if changed.state == "cancelled":
            workroom.free_minutes(tx, caller.shop.id, filed.id)
        return orders.file_change(tx, filed, changed)


def charges_of(desk: Desk, caller: Caller, order_id: str) -> tuple[FiledOrder, tuple[Charge, ...]]:
    """The lines for the till's basket. Raises Refusal `not_found`."""
    filed = show_order(desk, caller, order_id)
    return filed, charges(filed.order)


def collection_slip(desk: Desk, token: str) -> tuple[FiledOrder, Shop]:
    """The order whose slip has that token, and its shop, for the customer's own view. Raises Refusal `not_found`."""
    with desk.database.reading() as tx:
        found = orders.find_by_token(tx, token)
        shop = shops.find_shop(tx, found[0]) if found else None
    if found is None or shop is None:
        raise Refusal("not_found")
    return found[1], shop


def _booking(tx: Transaction, desk: Desk, caller: Caller, sheet: Sheet, needed_by: date | None) -> Booking:
    today = desk.today(caller.shop)
    week = caller.shop.week
    booked, kept = workroom.minutes_from(tx, caller.shop.id, week.first_day(today))
    return book(work_of(sheet.lines), week.days(today, booked, kept), needed_by)


def _known(filed: FiledOrder | None) -> FiledOrder:
    if filed is None:
        raise Refusal("not_found")
    return filed
