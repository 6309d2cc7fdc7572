"""Alteration orders: quoted, placed with a promised day, found, followed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.storage import shops, workroom
from service.storage.database import Transaction
from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder, OrderFilter, OrderSummary
from service.storage.shops import Shop
from service.tailoring.notices import Notice
from service.tailoring.orders.orders import Charge, charges, place
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import Terms
from service.tailoring.workroom.bookings import BookedMinutes, Booking, promise, rush_day, with_taken, work_of
from service.use_cases.calendar.promises import calendar_of
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.orders.order_sheet import Sheet, SheetAsked, draw_up
from service.use_cases.shop.shops import as_now

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class OrderAsked:
    """An order sheet, whose it is and who marked it."""

    sheet: SheetAsked
    marked_by: str
    customer_ref: str | None = None
    sale_ref: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Quote:
    """What an order would be: its lines, notices and terms, and the days it could be promised for; nothing is booked.

    `rush_day` is the day of a rush; None where none is free.
    """

    sheet: Sheet
    terms: Terms
    booking: Booking
    rush_day: date | None


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


def quote(context: ServiceContext, caller: Caller, asked: SheetAsked) -> Quote:
    """Feasibility, price, minutes and the earliest day. Raises Refusal as `draw_up` and `book`."""
    with context.database.reading() as tx:
        sheet = draw_up(tx, caller, asked)
        today = context.today(caller.shop)
        calendar, work = calendar_of(tx, caller.shop, today), work_of(sheet.lines)
        booking = promise(work, calendar, today, asked.needed_by, rush=asked.rush)
        terms = caller.shop.prices.terms(sum(line.price.minor for line in sheet.lines), rush=asked.rush)
        return Quote(sheet, terms, booking, rush_day(work, calendar, today))


def place_order(
    context: ServiceContext,
    caller: Caller,
    asked: OrderAsked,
    idempotent: IdempotentRequest,
    document: Callable[[PlacedOrder], dict[str, Any]],
) -> Answer:
    """Place an order: number, promised day and booked minutes in one transaction, or nothing at all.

    Raises Refusal as `quote`, or `key_used_otherwise`.
    """

    def make() -> dict[str, Any]:
        number = shops.next_order_number(tx, caller.shop.id)
        ready, taken = draw_up_order(tx, context, as_now(tx, caller), asked, number)
        orders.add_order(tx, caller.shop.id, ready.filed)
        workroom.take_minutes(tx, caller.shop.id, ready.filed.id, taken)
        return document(ready)

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def draw_up_order(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    asked: OrderAsked,
    number: int,
    group_id: str | None = None,
    taken: Sequence[BookedMinutes] = (),
) -> tuple[PlacedOrder, tuple[BookedMinutes, ...]]:
    """An order ready to be filed, and the minutes to be booked for it; those in `taken` are as good as booked.

    The number comes first: it locks the shop's row, and with it the days until the minutes are booked. Raises Refusal
    as `quote`.
    """
    sheet, today = draw_up(tx, caller, asked.sheet), context.today(caller.shop)
    needed_by, rush = asked.sheet.needed_by, asked.sheet.rush
    calendar = with_taken(calendar_of(tx, caller.shop, today), taken)
    booking = promise(work_of(sheet.lines), calendar, today, needed_by, rush=rush)
    order = place(
        sheet.garments,
        sheet.lines,
        number=str(number),
        customer_ref=asked.customer_ref,
        sale_ref=asked.sale_ref,
        needed_by=needed_by,
        promised_for=booking.promised_for,
        placed_at=context.now(),
        marked_by=asked.marked_by,
        terms=caller.shop.prices.terms(sum(line.price.minor for line in sheet.lines), rush=rush),
        rush=rush,
        note=asked.note,
    )
    filed = FiledOrder(context.new_id(), 1, context.new_token(), order, group_id)
    return PlacedOrder(filed, sheet.notices), booking.taken


def show_order(context: ServiceContext, caller: Caller, order_id: str) -> FiledOrder:
    """One order. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        return known(orders.find_order(tx, caller.shop.id, order_id))


def list_orders(context: ServiceContext, caller: Caller, wanted: OrderFilter, most: int) -> OrderPage:
    """A page of the shop's orders, newest number first."""
    with context.database.reading() as tx:
        found = orders.list_orders(tx, caller.shop.id, wanted, most + 1)
    more = len(found) > most
    return OrderPage(found[:most], int(found[most - 1].number) if more else None)


def charges_of(context: ServiceContext, caller: Caller, order_id: str) -> tuple[FiledOrder, tuple[Charge, ...]]:
    """The lines for the till's basket. Raises Refusal `not_found`."""
    filed = show_order(context, caller, order_id)
    return filed, charges(filed.order)


def collection_slip(context: ServiceContext, token: str) -> tuple[FiledOrder, Shop]:
    """The order whose slip has that token, and its shop, for the customer's own view. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        found = orders.find_by_token(tx, token)
        shop = shops.find_shop(tx, found[0]) if found else None
    if found is None or shop is None:
        raise Refusal("not_found")
    return found[1], shop


def known(filed: FiledOrder | None) -> FiledOrder:
    """An order that is there. Raises Refusal `not_found`."""
    if filed is None:
        raise Refusal("not_found")
    return filed
