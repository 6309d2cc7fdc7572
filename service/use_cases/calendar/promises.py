"""Promising days: the shop's calendar as it stands, the minutes of an order booked, given back and booked again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from service.storage import workroom
from service.storage.database import Transaction
from service.storage.orders import order_groups, orders
from service.storage.orders.orders import FiledOrder
from service.storage.shops import Shop
from service.tailoring.garments.alterations import Bench
from service.tailoring.orders.orders import Order, move_with_day, promise_anew, with_fittings_planned
from service.tailoring.orders.planned_fittings import PlannedFitting
from service.tailoring.workroom.bookings import promise, work_of
from service.tailoring.workroom.calendar import BookedAtBench, Calendar, KeptDay
from service.tailoring.workroom.changed_work import after_line_changes
from service.tailoring.workroom.rebookings import Rebooking, after_move, day_after_move, to_promise_again
from service.use_cases.calendar.public_holidays import public_holidays
from service.use_cases.context import Caller, ServiceContext


def calendar_now(tx: Transaction, context: ServiceContext, shop: Shop, *, outlasts: bool = False) -> Calendar:
    """The shop's calendar from today on, as far as anything may be promised, and the hour that it is.

    Its days are read as they are asked for, so it serves as long as the transaction; one that `outlasts` it has read
    them all.
    """
    at = context.local_time(shop)
    read = workroom.days_from if outlasts else workroom.days_ahead
    return replace(_calendar(shop, at.date(), None, *read(tx, shop.id, at.date())), asked_at=at)


def calendar_of(tx: Transaction, shop: Shop, first: date, last: date | None = None) -> Calendar:
    """The shop's calendar from `first` on, to `last` or as far as anything may be promised, whatever the hour."""
    return _calendar(shop, first, last, *workroom.days_from(tx, shop.id, first, last or date.max))


def _calendar(
    shop: Shop,
    first: date,
    last: date | None,
    held: Mapping[date, Mapping[Bench, BookedAtBench]],
    kept: Mapping[date, KeptDay],
) -> Calendar:
    week = shop.week
    # A fitting may be as far ahead as a first day, and the horizon begins there.
    until = last or first + timedelta(days=2 * week.horizon_days)
    return Calendar(week, kept, public_holidays(week.country, week.subdivision, first, until), held)


@dataclass(frozen=True, slots=True)
class _Booked:
    """What was booked again: for which day the order is promised, and the fittings of the pieces that it was of."""

    day: date
    fittings: tuple[PlannedFitting, ...]
    pieces: frozenset[int]

    def planned(self, order: Order) -> Order:
        """The order with the fittings that this left room for."""
        return with_fittings_planned(order, self.fittings, self.pieces)


def book_order(tx: Transaction, context: ServiceContext, caller: Caller, before: FiledOrder, order: Order) -> Order:
    """Book the whole work of an order anew; the order for its day. The shop must be held (`shops.hold`).

    Raises Refusal as `promise`.
    """
    workroom.free_minutes(tx, caller.shop.id, before.id)
    calendar = calendar_now(tx, context, caller.shop)
    booking = promise(work_of(order.lines), calendar, context.today(caller.shop), order.needed_by, rush=order.rush)
    workroom.take_minutes(tx, caller.shop.id, before.id, booking.taken)
    return move_with_day(before.order, with_fittings_planned(order, booking.fittings), booking.promised_for)


def book_move(tx: Transaction, context: ServiceContext, caller: Caller, filed: FiledOrder, moved: Order) -> Order:
    """Let the calendar follow a move; the order, promised for another day where the move makes it so.

    Raises Refusal `fitting_day_wrong` or `no_free_day`.
    """
    booked, today = workroom.bookings_of(tx, filed.id), context.today(caller.shop)
    wanted = after_move(filed.order, moved, booked, caller.shop.week, today)
    found = _rebook(tx, context, caller, filed.id, wanted)
    return move_with_day(filed.order, found.planned(moved), day_after_move(filed.order, found.day)) if found else moved


def book_line_changes(
    tx: Transaction, context: ServiceContext, caller: Caller, filed: FiledOrder, changed: Order
) -> Order:
    """Let the calendar follow lines that are others; the order, promised for another day where they make it so.

    Of an order whose work has begun the day that it is needed by does not hold it up: the shop tells the customer.
    Raises Refusal `needed_by_too_early` or `no_free_day`.
    """
    booked, today = workroom.bookings_of(tx, filed.id), context.today(caller.shop)
    wanted = after_line_changes(filed.order, changed, booked, today)
    if wanted.booked_again and changed.is_unbegun:
        return book_order(tx, context, caller, filed, changed)
    found = _rebook(tx, context, caller, filed.id, wanted)
    return move_with_day(filed.order, found.planned(changed), found.day) if found else changed


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
    booked, today = workroom.bookings_of(tx, filed.id), context.today(caller.shop)
    wanted = to_promise_again(filed.order, booked, today, from_reserve=from_reserve)
    found = _rebook(tx, context, caller, filed.id, wanted)
    if found is None:
        return filed.order
    fittings = found.planned(filed.order).planned_fittings
    return promise_anew(filed.order, found.day, by, context.now(), reason, fittings)


def settle_group(
    tx: Transaction, context: ServiceContext, caller: Caller, filed: FiledOrder, by: str, *, no_sooner: bool = False
) -> FiledOrder:
    """Promise a group's orders for one day again after one of them was booked anew; that one as it then is.

    `no_sooner`: their customers keep at least the day that they were told, as `day_after_move` has it of one.
    """
    if filed.group_id is None:
        return filed
    members = {each.id: each for each in order_groups.orders_of(tx, filed.group_id, lock=True)}
    waiting = [each for each in members.values() if each.order.ahead != "nothing"]
    days = order_groups.last_days(tx, [each.id for each in waiting])
    # Who has nothing booked any more is ready to be done with: his own day is none that the others wait for.
    if days:
        last = max(days.values())
        together = calendar_of(tx, caller.shop, last).hand_over_on(last)
        if no_sooner:
            together = max(day_after_move(each.order, together) for each in waiting)
        for each in waiting:
            changed = promise_anew(each.order, together, by, context.now(), "one day for the whole group")
            members[each.id] = orders.file_change(tx, each, changed)
    return members[filed.id]


def _rebook(
    tx: Transaction, context: ServiceContext, caller: Caller, order_id: str, wanted: Rebooking
) -> _Booked | None:
    """Give back and book as is wanted; the day for which all of the order is promised, None where nothing is booked.

    Raises Refusal `no_free_day`.
    """
    for back in wanted.given_back:
        workroom.free_minutes(tx, caller.shop.id, order_id, back.first, back.benches, back.pieces)
    again = wanted.booked_again
    if again is None:
        return None
    today = context.today(caller.shop)
    calendar = calendar_now(tx, context, caller.shop)
    booking = promise(again.work, calendar, today, rush=again.rush, not_before=again.not_before)
    # Its other pieces keep the minutes that they have.
    kept = [each.date for each in workroom.bookings_of(tx, order_id)]
    workroom.take_minutes(tx, caller.shop.id, order_id, booking.taken)
    day = calendar.hand_over_on(max([booking.promised_for, *kept]))
    return _Booked(day, booking.fittings, frozenset(part.piece for part in again.work))
