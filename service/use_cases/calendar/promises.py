"""Promising days: the shop's calendar as it stands, the minutes of an order booked, given back and booked again."""

from __future__ import annotations

from datetime import date, timedelta

from service.storage import workroom
from service.storage.database import Transaction
from service.storage.orders import order_groups, orders
from service.storage.orders.orders import FiledOrder
from service.storage.shops import Shop
from service.tailoring.orders.orders import Order, move_with_day, promise_anew, redone
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import Booking, Work, promise, work_left, work_of
from service.tailoring.workroom.calendar import FINISHING, SEWING, Calendar
from service.use_cases.calendar.public_holidays import public_holidays
from service.use_cases.context import Caller, ServiceContext


def calendar_of(tx: Transaction, shop: Shop, first: date, last: date | None = None) -> Calendar:
    """The shop's calendar from `first` on, to `last` or as far as anything may be promised."""
    held, kept = workroom.days_from(tx, shop.id, first, last)
    week = shop.week
    # A fitting may be as far ahead as a first day, and the horizon begins there.
    until = last or first + timedelta(days=2 * week.horizon_days)
    return Calendar(week, kept, public_holidays(week.country, week.subdivision, first, until), held)


def book_order(tx: Transaction, context: ServiceContext, caller: Caller, order_id: str, order: Order) -> Booking:
    """Book the whole work of an order anew. The shop must be held (`shops.hold`). Raises Refusal as `promise`."""
    workroom.free_minutes(tx, caller.shop.id, order_id)
    today = context.today(caller.shop)
    calendar = calendar_of(tx, caller.shop, today)
    booking = promise(work_of(order.lines), calendar, today, order.needed_by, rush=order.rush)
    workroom.take_minutes(tx, caller.shop.id, order_id, booking.taken)
    return booking


def book_move(tx: Transaction, context: ServiceContext, caller: Caller, filed: FiledOrder, moved: Order) -> Order:
    """Let the calendar follow a move; the order, promised for another day where the move makes it so.

    Minutes that are not needed any more are given back; those of a redo, and of what follows a second fitting, are
    booked, and the order is promised for the day on which they end. Raises Refusal `fitting_day_wrong` or
    `no_free_day`.
    """
    shop_id, today = caller.shop.id, context.today(caller.shop)
    tomorrow = today + timedelta(days=1)
    if moved.events[-1].is_redo:
        # The share that is kept free is for redos, as for rushes (common practice, no source).
        workroom.free_minutes(tx, shop_id, filed.id, tomorrow)
        # What was done today is not undone by it, and a bench and day is booked once by an order.
        worked_today = any(each.date == today for each in workroom.bookings_of(tx, filed.id))
        first = tomorrow if worked_today else today
        booking = _book_again(tx, context, caller, filed.id, work_of(redone(moved)), rush=True, not_before=first)
        return move_with_day(filed.order, moved, booking.promised_for)
    if moved.fitting_on is not None:
        _check_fitting_day(caller.shop, today, moved.fitting_on)
        work = _left(tx, caller, filed.id, moved, today)
        booking = _book_again(tx, context, caller, filed.id, work, rush=moved.rush, not_before=moved.fitting_on)
        return move_with_day(filed.order, moved, booking.promised_for)
    if moved.state == "cancelled":
        workroom.free_minutes(tx, shop_id, filed.id, today)
    elif moved.ahead == "finishing":
        workroom.free_minutes(tx, shop_id, filed.id, tomorrow, SEWING)
    elif moved.ahead == "nothing":
        workroom.free_minutes(tx, shop_id, filed.id, tomorrow)
    return moved


def promise_order_anew(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    filed: FiledOrder,
    by: str,
    reason: str,
    *,
    from_reserve: bool = False,
) -> Order:
    """Book again what is still to be done of an order, and promise it for the day on which that ends.

    The day that it is needed by does not hold it up: the shop tells the customer. Raises Refusal `nothing_to_promise`
    or `no_free_day`.
    """
    order = filed.order
    if order.ahead == "nothing":
        raise Refusal("nothing_to_promise", (), state=order.state)
    work = _left(tx, caller, filed.id, order, context.today(caller.shop))
    rush = order.rush or from_reserve
    booking = _book_again(tx, context, caller, filed.id, work, rush=rush, not_before=order.fitting_on)
    return promise_anew(order, booking.promised_for, by, context.now(), reason)


def settle_group(tx: Transaction, context: ServiceContext, filed: FiledOrder, by: str) -> FiledOrder:
    """Promise a group's orders for one day again after one of them was booked anew; that one as it then is."""
    if filed.group_id is None:
        return filed
    members = {each.id: each for each in order_groups.orders_of(tx, filed.group_id, lock=True)}
    waiting = [each for each in members.values() if each.order.ahead != "nothing"]
    days = order_groups.last_days(tx, [each.id for each in waiting])
    # Who has nothing booked any more is ready to be done with: his own day is none that the others wait for.
    if days:
        together = max(days.values())
        for each in waiting:
            changed = promise_anew(each.order, together, by, context.now(), "one day for the whole group")
            members[each.id] = orders.file_change(tx, each, changed)
    return members[filed.id]


def _book_again(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    work: tuple[Work, ...],
    *,
    rush: bool,
    not_before: date | None = None,
) -> Booking:
    today = context.today(caller.shop)
    calendar = calendar_of(tx, caller.shop, today)
    booking = promise(work, calendar, today, rush=rush, not_before=not_before)
    workroom.take_minutes(tx, caller.shop.id, order_id, booking.taken)
    return booking


def _left(tx: Transaction, caller: Caller, order_id: str, order: Order, today: date) -> tuple[Work, ...]:
    """Give back what an order has booked ahead, and say what of its work is still to be done.

    Where work has begun that is what it had booked ahead; where nothing was ahead any more, nobody knows what is
    done, and all of it counts.
    """
    whole = work_of(order.lines)
    if order.ahead == "all":
        workroom.free_minutes(tx, caller.shop.id, order_id)
        return whole
    freed = workroom.free_minutes(tx, caller.shop.id, order_id, today)
    if order.ahead == "finishing":
        finishing = [each for each in freed if each.bench == FINISHING]
        return work_left(finishing) or tuple(part for part in whole if part.bench == FINISHING)
    return work_left(freed) or whole


def _check_fitting_day(shop: Shop, today: date, fitting_on: date) -> None:
    last = today + timedelta(days=shop.week.horizon_days)
    if not today <= fitting_on <= last:
        raise Refusal("fitting_day_wrong", ("fitting_on",), first=today.isoformat(), last=last.isoformat())
