"""Alteration orders: quoted, placed with a promised day, found, followed."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any

from service.storage import shops, workroom
from service.storage.database import Transaction
from service.storage.fitting import fit_checks
from service.storage.orders import order_lists, orders
from service.storage.orders.order_lists import OrderFilter, OrderSummary
from service.storage.orders.orders import FiledOrder
from service.storage.shops import Shop
from service.tailoring.fitting.left_open import ToLookAt
from service.tailoring.notices import Notice
from service.tailoring.orders.baskets import Basket, basket_of
from service.tailoring.orders.sheets.order_sheets import SheetAsked, SheetSources, charts_named
from service.tailoring.refusals import Refusal
from service.tailoring.workroom import placing
from service.tailoring.workroom.placing import DrawnOrder, Moment, OrderAsked, Quote, draw_up_order
from service.use_cases.advice.advice_ids import read_advice_id
from service.use_cases.calendar.promises import calendar_now
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.shop.charts import known_charts
from service.use_cases.shop.shops import hold, take_numbers
from service.use_cases.versions import check_version

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class PlacedOrder:
    """A filed order and what the fitter should look at; `to_look_at` is offered, and no line of it."""

    filed: FiledOrder
    notices: tuple[Notice, ...]
    to_look_at: tuple[ToLookAt, ...] = ()


@dataclass(frozen=True, slots=True)
class ChargedOrder:
    """An order's id, and what the till charges for it."""

    id: str
    basket: Basket


@dataclass(frozen=True, slots=True)
class OrderPage:
    """A page of a list; `below` continues it, None at its end."""

    orders: tuple[OrderSummary, ...]
    below: int | None


def quote(context: ServiceContext, caller: Caller, asked: SheetAsked) -> Quote:
    """What an order would be; nothing is booked. Raises Refusal as `placing.quote`."""
    with context.database.reading() as tx:
        return placing.quote(asked, sources_of(tx, context, caller, asked), moment_of(tx, context, caller))


def place_order(
    context: ServiceContext,
    caller: Caller,
    asked: OrderAsked,
    idempotent: IdempotentRequest,
    document: Callable[[PlacedOrder], dict[str, Any]],
) -> Answer:
    """Place an order: number, promised day and booked minutes in one transaction, or nothing at all.

    Raises Refusal as `placing.draw_up_order`, or `key_used_otherwise`.
    """

    def make() -> dict[str, Any]:
        # The number comes first: it locks the shop's row, and with it the days until the minutes are booked.
        (number,), now = take_numbers(tx, caller)
        drawn = draw_up_order(asked, sources_of(tx, context, now, asked.sheet), moment_of(tx, context, now), number)
        return document(file_order(tx, context, caller, drawn))

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def sources_of(tx: Transaction, context: ServiceContext, caller: Caller, asked: SheetAsked | None) -> SheetSources:
    """What a sheet is drawn up from, as far as it is there; of no sheet only the prices.

    Raises Refusal as `read_advice_id`.
    """
    if asked is None:
        return SheetSources(caller.shop.prices, {})
    # What was seen on a customer does not exist for a key that everybody can read.
    named = None if caller.is_page else asked.from_fit_check
    kept = fit_checks.find_fit_check(tx, caller.shop.id, named) if named else None
    check = kept.record if kept else None
    advised = read_advice_id(caller.shop, asked.from_advice, context.now()) if asked.from_advice else None
    charts = known_charts(tx, caller.shop.id, charts_named(asked, check, advised))
    return SheetSources(caller.shop.prices, charts, check, advised)


def moment_of(tx: Transaction, context: ServiceContext, caller: Caller) -> Moment:
    """The day, the time and the shop's calendar as it is in this transaction."""
    return Moment(context.today(caller.shop), context.now(), calendar_now(tx, context, caller.shop))


def file_order(
    tx: Transaction, context: ServiceContext, caller: Caller, drawn: DrawnOrder, group_id: str | None = None
) -> PlacedOrder:
    """File a new order and take its minutes."""
    filed = FiledOrder(context.new_id(), 1, context.new_token(), drawn.order, group_id)
    orders.add_order(tx, caller.shop.id, filed)
    workroom.take_minutes(tx, caller.shop.id, filed.id, drawn.taken)
    return PlacedOrder(filed, drawn.notices, drawn.to_look_at)


def show_order(context: ServiceContext, caller: Caller, order_id: str) -> FiledOrder:
    """One order. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        return known(orders.find_order(tx, caller.shop.id, order_id))


def list_orders(context: ServiceContext, caller: Caller, wanted: OrderFilter, most: int) -> OrderPage:
    """A page of the shop's orders, newest number first."""
    with context.database.reading() as tx:
        found = order_lists.list_orders(tx, caller.shop.id, wanted, most + 1)
    more = len(found) > most
    return OrderPage(found[:most], int(found[most - 1].number) if more else None)


def charges_of(context: ServiceContext, caller: Caller, order_id: str) -> ChargedOrder:
    """The lines for the till's basket. Raises Refusal `not_found`."""
    filed = show_order(context, caller, order_id)
    return ChargedOrder(filed.id, basket_of(filed.order))


def collection_slip(context: ServiceContext, token: str) -> tuple[FiledOrder, Shop]:
    """The order whose slip has that token, and its shop, for the customer's own view. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        found = orders.find_by_token(tx, token)
        shop = shops.find_shop(tx, found[0]) if found else None
    if found is None or shop is None:
        raise Refusal("not_found")
    return found[1], shop


def slip_is_of(context: ServiceContext, token: str) -> Hashable:
    """What the customer's own view is made of: the order's version, and what it says of the shop. None of no slip."""
    with context.database.reading() as tx:
        found = orders.find_version(tx, token)
    if found is None:
        return None
    order_id, version, shop = found
    return order_id, version, shop.name, shop.time_zone, shop.ready_from, shop.ask_at, shop.week.opening, shop.language


def known(filed: FiledOrder | None) -> FiledOrder:
    """An order that is there. Raises Refusal `not_found`."""
    if filed is None:
        raise Refusal("not_found")
    return filed


def held(tx: Transaction, caller: Caller, order_id: str, version: int | None) -> tuple[Caller, FiledOrder]:
    """The shop and its order, locked in the order in which placing locks. Raises `not_found` or `version_stale`."""
    caller = hold(tx, caller)
    filed = known(orders.find_order(tx, caller.shop.id, order_id, lock=True))
    if version is not None:
        check_version(filed.version, version)
    return caller, filed
