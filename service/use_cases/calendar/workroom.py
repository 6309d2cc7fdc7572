"""The workroom's calendar: shown, set, and what becomes of orders when minutes fall away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from service.storage import shops, workroom
from service.storage.database import Transaction
from service.storage.orders import order_lists, orders
from service.storage.orders.order_lists import OrderSummary
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.calendar import Day, KeptDay
from service.tailoring.workroom.risks import Shortage, may_be_at_risk, short_benches, shortages
from service.tailoring.workroom.weeks import Week
from service.use_cases.calendar.promises import calendar_of, promise_order_anew, settle_group
from service.use_cases.calendar.public_holidays import public_holidays
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.shops import hold, replace_own
from service.use_cases.versions import check_version

# The calendar is set for days up to two years ahead.
REACH_DAYS = 731
USUAL_DAYS = 28
# So many orders are promised anew in one transaction.
ANEW_MOST = 200


@dataclass(frozen=True, slots=True)
class AtRisk:
    """An order whose promise cannot be kept as it is booked, and where."""

    order: OrderSummary
    shortages: tuple[Shortage, ...]


@dataclass(frozen=True, slots=True)
class DaySet:
    """A day as it is now that its minutes were set, and the orders that this puts at risk."""

    day: Day
    at_risk: tuple[AtRisk, ...]


@dataclass(frozen=True, slots=True)
class PromisedAnew:
    """An order that was promised for another day, or for the same by other minutes."""

    order: OrderSummary
    before: date

    @property
    def is_too_late(self) -> bool:
        """Whether it is ready only after the day that it is needed by: the customer must be told."""
        return self.order.needed_by is not None and self.order.promised_for > self.order.needed_by


def show_days(
    context: ServiceContext, caller: Caller, first: date | None, last: date | None, most: int
) -> tuple[Day, ...]:
    """The days from `first` (today) to `last` (four weeks on), `most` of them; none where `last` is before `first`."""
    first = first or context.today(caller.shop)
    asked = (last - first).days + 1 if last else USUAL_DAYS
    count = min(asked, most, (date.max - first).days + 1)
    if count < 1:
        return ()
    with context.database.reading() as tx:
        calendar = calendar_of(tx, caller.shop, first, first + timedelta(days=count - 1))
    return tuple(calendar.day(first + timedelta(days=n)) for n in range(count))


def set_day(context: ServiceContext, caller: Caller, on: date, kept: KeptDay, version: int) -> tuple[DaySet, int]:
    """Set a date's minutes; what came of it, and the calendar's version.

    Of a bench that is not named the week's minutes hold. Raises Refusal `version_stale` or `day_out_of_reach`.
    """
    with context.database.writing() as tx:
        caller = hold(tx, caller)
        check_version(caller.shop.week_version, version)
        today = context.today(caller.shop)
        last = today + timedelta(days=REACH_DAYS)
        if not today <= on <= last:
            raise Refusal("day_out_of_reach", (), first=today.isoformat(), last=last.isoformat())
        workroom.keep_day(tx, caller.shop.id, on, kept)
        shops.count_calendar(tx, caller.shop.id, version + 1)
        day = calendar_of(tx, caller.shop, on, on).day(on)
        found = _at_risk(tx, context, caller)
    touched = tuple(each for each in found if any(short.day == on for short in each.shortages))
    return DaySet(day, touched), version + 1


def replace_week(context: ServiceContext, caller: Caller, week: Week, version: int) -> int:
    """Put another week in the shop's place; the calendar's version. What is promised stays promised.

    Raises Refusal `version_stale` or `country_unknown`.
    """
    today = context.today(caller.shop)
    public_holidays(week.country, week.subdivision, today, today)
    return replace_own(context, caller, week, version, lambda shop: (shop.week, shop.week_version), shops.replace_week)


def list_at_risk(context: ServiceContext, caller: Caller) -> tuple[AtRisk, ...]:
    """The orders for whose booked minutes there is no room any more, by number."""
    with context.database.reading() as tx:
        return _at_risk(tx, context, caller)


def promise_at_risk(
    context: ServiceContext, caller: Caller, by: str | None, reason: str, *, from_reserve: bool = False
) -> tuple[PromisedAnew, ...]:
    """Book every order that is at risk again, rushes first, then as they were promised; all of them or none.

    Raises Refusal `no_free_day`.
    """
    signed = caller.signs(by)
    with context.database.writing() as tx:
        caller = hold(tx, caller)
        found = sorted(_at_risk(tx, context, caller)[:ANEW_MOST], key=lambda each: _right(each.order))
        before = {}
        for each in found:
            filed = orders.find_order(tx, caller.shop.id, each.order.id, lock=True)
            if filed is None:
                continue
            before[filed.id] = each.order.promised_for
            changed = promise_order_anew(tx, context, caller, filed, signed, reason, from_reserve=from_reserve)
            settle_group(tx, context, caller, orders.file_change(tx, filed, changed), signed)
        now = {order.id: order for order in order_lists.summaries(tx, caller.shop.id, tuple(before))}
    return tuple(PromisedAnew(now[order_id], day) for order_id, day in before.items())


def _right(order: OrderSummary) -> tuple[bool, date, int]:
    return not order.rush, order.promised_for, int(order.number)


def _at_risk(tx: Transaction, context: ServiceContext, caller: Caller) -> tuple[AtRisk, ...]:
    short = short_benches(calendar_of(tx, caller.shop, context.today(caller.shop)))
    found = shortages(short, workroom.claims_on(tx, caller.shop.id, {on for on, _ in short}))
    orders_short = order_lists.summaries(tx, caller.shop.id, tuple(found))
    return tuple(AtRisk(order, found[order.id]) for order in orders_short if may_be_at_risk(order.state))
