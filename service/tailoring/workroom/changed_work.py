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
    where none are left to come the day stays. Pieces whose minutes do not change keep theirs.
    """
    whole, was = work_of(after.lines), work_of(before.lines)
    now, then = Counter(whole), Counter(was)
    pieces = {each.piece for each in (now - then) + (then - now)}
    if not pieces:
        return Rebooking()
    if after.is_unbegun:
        return Rebooking((GivenBack(),), BookedAgain(whole, after.rush))
    left = work_left(each for each in booked if each.date >= today and each.piece in {*pieces, None})
    less, more = _less_and_more(was, whole)
    work = tuple(sorted((*_without(left, less), *more), key=lambda each: each.stage))
    fittings = [each.fitting_on for each in after.pieces if each.piece in pieces and each.fitting_on]
    again = BookedAgain(work, after.rush, max(fittings, default=None)) if work else None
    return Rebooking((GivenBack(today, pieces=frozenset({*pieces, None})),), again)


def _less_and_more(was: Sequence[Work], now: Sequence[Work]) -> tuple[Counter[tuple[Bench, bool, int]], list[Work]]:
    """Minutes not needed any more, by bench, whether they are of hard work, and piece; and work that is added."""
    less: Counter[tuple[Bench, bool, int]] = Counter()
    more: list[Work] = []
    minutes = _minutes(was)
    minutes.subtract(_minutes(now))
    for part, surplus in minutes.items():
        bench, hard, piece, _ = part
        if surplus > 0:
            less[bench, hard, piece] += surplus
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


def _without(left: Sequence[Work], less: Counter[tuple[Bench, bool, int]]) -> list[Work]:
    """What was ahead, without minutes that are not needed; what was done of them already is not given back."""
    found = []
    for work in left:
        taken = min(work.minutes, less[work.bench, work.hard, work.piece])
        less[work.bench, work.hard, work.piece] -= taken
        if work.minutes > taken:
            found.append(replace(work, minutes=work.minutes - taken))
    return found
