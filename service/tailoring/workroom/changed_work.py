"""How the calendar follows lines that are changed, added or struck while an order is at work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from service.tailoring.garments.alterations import Bench
from service.tailoring.orders.orders import Order
from service.tailoring.workroom.bookings import BookedMinutes, Work, work_left, work_of
from service.tailoring.workroom.rebookings import BookedAgain, GivenBack, Rebooking


def after_line_changes(before: Order, after: Order, booked: Sequence[BookedMinutes], today: date) -> Rebooking:
    """What is booked in the place of what was ahead: less what was struck, and what was added.

    Of an order whose work has not begun it is all of its work. Where no minutes change, nothing is booked again, and
    where none are left to come the day stays.
    """
    whole, was = work_of(after.lines), work_of(before.lines)
    if Counter(whole) == Counter(was):
        return Rebooking()
    if after.ahead == "all":
        return Rebooking(GivenBack(), BookedAgain(whole, after.rush, after.fitting_on))
    left = work_left(each for each in booked if each.date >= today)
    less, more = _less_and_more(was, whole)
    work = tuple(sorted((*_without(left, less), *more), key=lambda each: each.stage))
    return Rebooking(GivenBack(today), BookedAgain(work, after.rush, after.fitting_on) if work else None)


def _less_and_more(was: Sequence[Work], now: Sequence[Work]) -> tuple[Counter[tuple[Bench, bool]], list[Work]]:
    """Minutes that are not needed any more, by bench and whether they are of hard work; and work that is added."""
    less: Counter[tuple[Bench, bool]] = Counter()
    more: list[Work] = []
    minutes = _minutes(was)
    minutes.subtract(_minutes(now))
    for part, surplus in minutes.items():
        bench, hard, *_ = part
        if surplus > 0:
            less[bench, hard] += surplus
    for work in now:
        wanted = min(work.minutes, -minutes[_part(work)])
        if wanted > 0:
            more.append(replace(work, minutes=wanted))
            minutes[_part(work)] += wanted
    return less, more


def _part(work: Work) -> tuple[Bench, bool, int, str]:
    return (work.bench, work.hard, work.piece, work.alteration)


def _minutes(work: Sequence[Work]) -> Counter[tuple[Bench, bool, int, str]]:
    """Minutes of each alteration of each piece: of two legs apart, those of both."""
    found: Counter[tuple[Bench, bool, int, str]] = Counter()
    for each in work:
        found[_part(each)] += each.minutes
    return found


def _without(left: Sequence[Work], less: Counter[tuple[Bench, bool]]) -> list[Work]:
    """What was ahead, without minutes that are not needed; what was done of them already is not given back."""
    found = []
    for work in left:
        taken = min(work.minutes, less[work.bench, work.hard])
        less[work.bench, work.hard] -= taken
        if work.minutes > taken:
            found.append(replace(work, minutes=work.minutes - taken))
    return found
