"""What of an order's minutes is given back and what is booked in their place: once it moves, or is promised again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.orders import Order, redone
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import BookedMinutes, Work, work_left, work_of
from service.tailoring.workroom.calendar import FINISHING, SEWING, Week


@dataclass(frozen=True, slots=True)
class GivenBack:
    """Minutes that an order gives back: at `benches`, from the day `first` on (None: all of them)."""

    first: date | None = None
    benches: tuple[Bench, ...] = BENCHES


@dataclass(frozen=True, slots=True)
class BookedAgain:
    """Work that is booked, not before a day; a `rush` takes of the minutes that are kept free, too."""

    work: tuple[Work, ...]
    rush: bool
    not_before: date | None = None


@dataclass(frozen=True, slots=True)
class Rebooking:
    """What changes in the calendar: first minutes are given back, then others are booked. None: nothing of the kind."""

    given_back: GivenBack | None = None
    booked_again: BookedAgain | None = None


def after_move(moved: Order, booked: Sequence[BookedMinutes], week: Week, today: date) -> Rebooking:
    """How the calendar follows an order's last move; `booked` is what the order has booked up to now.

    Minutes that are not needed any more are given back; those of a redo, and of what follows a second fitting, are
    booked. Raises Refusal `fitting_day_wrong`.
    """
    tomorrow = today + timedelta(days=1)
    if moved.events[-1].is_redo:
        # What was done today is not undone by it, and a bench and day is booked once by an order.
        worked_today = any(each.date == today for each in booked)
        # The share that is kept free is for redos, as for rushes (common practice, no source).
        again = BookedAgain(work_of(redone(moved)), rush=True, not_before=tomorrow if worked_today else today)
        return Rebooking(GivenBack(tomorrow), again)
    if moved.fitting_on is not None:
        _check_fitting_day(week, today, moved.fitting_on)
        return _what_is_left(moved, booked, today, rush=moved.rush)
    if moved.state == "cancelled":
        return Rebooking(GivenBack(today))
    if moved.ahead == "finishing":
        return Rebooking(GivenBack(tomorrow, SEWING))
    return Rebooking(GivenBack(tomorrow) if moved.ahead == "nothing" else None)


def to_promise_again(order: Order, booked: Sequence[BookedMinutes], today: date, *, from_reserve: bool) -> Rebooking:
    """What is still to be done of an order, booked once more; `from_reserve` as if it were a rush.

    Raises Refusal `nothing_to_promise`.
    """
    if order.ahead == "nothing":
        raise Refusal("nothing_to_promise", (), state=order.state)
    return _what_is_left(order, booked, today, rush=order.rush or from_reserve)


def _what_is_left(order: Order, booked: Sequence[BookedMinutes], today: date, *, rush: bool) -> Rebooking:
    """All of it, where work has not begun; else what it has booked ahead.

    Where nothing was ahead any more, what is done is known to none, and all of it counts.
    """
    whole = work_of(order.lines)
    if order.ahead == "all":
        return Rebooking(GivenBack(), BookedAgain(whole, rush, order.fitting_on))
    ahead = [each for each in booked if each.date >= today]
    if order.ahead == "finishing":
        finishing = work_left(each for each in ahead if each.bench == FINISHING)
        left = finishing or tuple(part for part in whole if part.bench == FINISHING)
    else:
        left = work_left(ahead) or whole
    return Rebooking(GivenBack(today), BookedAgain(left, rush, order.fitting_on))


def _check_fitting_day(week: Week, today: date, fitting_on: date) -> None:
    last = today + timedelta(days=week.horizon_days)
    if not today <= fitting_on <= last:
        raise Refusal("fitting_day_wrong", ("fitting_on",), first=today.isoformat(), last=last.isoformat())
