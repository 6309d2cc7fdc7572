"""What of an order's minutes is given back and what is booked in their place: once it moves, or is promised again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.order_moves import redone
from service.tailoring.orders.order_states import Ahead, State, standings
from service.tailoring.orders.orders import Order
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import BookedMinutes, Work, work_left, work_of
from service.tailoring.workroom.calendar import FINISHING, SEWING
from service.tailoring.workroom.weeks import Week


@dataclass(frozen=True, slots=True)
class GivenBack:
    """Minutes that an order gives back: of `pieces` at `benches`, from the day `first` on (None: all of them).

    None among the pieces is for minutes of which it is not known whose they are.
    """

    first: date | None = None
    benches: tuple[Bench, ...] = BENCHES
    pieces: frozenset[int | None] | None = None


@dataclass(frozen=True, slots=True)
class BookedAgain:
    """Work that is booked, not before a day; a `rush` takes of the minutes that are kept free, too."""

    work: tuple[Work, ...]
    rush: bool
    not_before: date | None = None


@dataclass(frozen=True, slots=True)
class Rebooking:
    """What changes in the calendar: first minutes are given back, then others are booked. None: nothing of the kind."""

    given_back: tuple[GivenBack, ...] = ()
    booked_again: BookedAgain | None = None


def after_move(before: Order, moved: Order, booked: Sequence[BookedMinutes], week: Week, today: date) -> Rebooking:
    """How the calendar follows an order's move; `booked` is what the order has booked up to now.

    Of the pieces that moved, minutes that are not needed any more are given back; those of a redo, of what follows a
    second fitting, and of what was found again are booked. Raises Refusal `fitting_day_wrong`.
    """
    tomorrow, to = today + timedelta(days=1), moved.events[-1].to_state
    stood = {each.piece: state for each, state in zip(before.garments, before.piece_states, strict=True)}
    now = {each.piece: state for each, state in zip(moved.garments, moved.piece_states, strict=True)}
    pieces = frozenset(piece for piece, state in now.items() if state != stood.get(piece))
    if moved.events[-1].is_redo:
        # What was done today is not undone by it, and a piece is booked once at a bench and day.
        worked_today = any(each.date == today and each.piece in {*pieces, None} for each in booked)
        # The share that is kept free is for redos, as for rushes (common practice, no source).
        again = BookedAgain(_at_once(redone(moved, pieces)), rush=True, not_before=tomorrow if worked_today else today)
        return Rebooking((GivenBack(tomorrow, pieces=_with_unknown(moved, pieces, "nothing")),), again)
    if to == "basted_for_fitting":
        fitting_on = min(each.fitting_on for each in moved.pieces if each.piece in pieces and each.fitting_on)
        _check_fitting_day(week, today, fitting_on)
        return _what_is_left(moved, pieces, booked, today, rush=moved.rush)
    if any(stood[piece] == "lost" for piece in pieces) and standings()[to].ahead != "nothing":
        return _what_is_left(moved, pieces, booked, today, rush=moved.rush)
    return _no_longer_needed(moved, to, pieces, today)


def day_after_move(before: Order, day: date) -> date:
    """For which day an order is promised that moved and can be ready on `day`: no sooner than its customer was told.

    They hold a slip with their day, and what fails a check in the house is no news to them: an order is not late for
    having been able to be early. What they brought back is promised for the day on which it can be ready.
    """
    told = before.promised_for
    return day if told is None or before.state == "collected" else max(day, told)


def _at_once(lines: Sequence[OrderLine]) -> tuple[Work, ...]:
    """The work of a redo: what is put right was tried on finished, and is not basted for a fitting once more.

    Common practice, no source.
    """
    return tuple(replace(part, phase="close") if part.hard else part for part in work_of(lines))


# In these a piece is not worked on any more, not even today.
_NOT_EVEN_TODAY: frozenset[State] = frozenset({"cancelled", "lost"})


def _no_longer_needed(moved: Order, to: State, pieces: frozenset[int], today: date) -> Rebooking:
    tomorrow, ahead = today + timedelta(days=1), standings()[to].ahead
    if ahead == "finishing":
        return Rebooking((GivenBack(tomorrow, SEWING, _with_unknown(moved, pieces, "finishing", "nothing")),))
    if ahead == "nothing":
        first = today if to in _NOT_EVEN_TODAY else tomorrow
        return Rebooking((GivenBack(first, pieces=_with_unknown(moved, pieces, "nothing")),))
    return Rebooking()


def to_promise_again(order: Order, booked: Sequence[BookedMinutes], today: date, *, from_reserve: bool) -> Rebooking:
    """What is still to be done of an order, booked once more; `from_reserve` as if it were a rush.

    Raises Refusal `nothing_to_promise`.
    """
    pieces = frozenset(each.piece for each in order.pieces if standings()[each.state].ahead != "nothing")
    if not pieces:
        raise Refusal("nothing_to_promise", (), state=order.state)
    return _what_is_left(order, pieces, booked, today, rush=order.rush or from_reserve)


def _with_unknown(order: Order, pieces: frozenset[int], *ahead: Ahead) -> frozenset[int | None]:
    """Those pieces, and the minutes of none known, once every other piece has come as far."""
    others = [state for each, state in zip(order.garments, order.piece_states, strict=True) if each.piece not in pieces]
    return pieces | {None} if all(standings()[state].ahead in ahead for state in others) else frozenset(pieces)


def _what_is_left(
    order: Order, pieces: frozenset[int], booked: Sequence[BookedMinutes], today: date, *, rush: bool
) -> Rebooking:
    """All work of the pieces that have not begun; of the others what they have booked ahead.

    Where nothing was ahead any more, what is done is known to none, and all of it counts.
    """
    ahead = [each for each in booked if each.date >= today]
    # What a release before 0020 booked is of no piece: of it each takes what it can need, in turn.
    unknown = Counter[Bench]()
    for each in ahead:
        unknown[each.bench] += each.minutes if each.piece is None else 0
    if any(each.piece is None for each in booked):
        pieces = frozenset(each.piece for each in order.pieces if standings()[each.state].ahead != "nothing")
    unbegun = frozenset(piece for piece in pieces if _ahead(order, piece) == "all")
    left = [part for part in work_of(order.lines) if part.piece in unbegun]
    for piece in sorted(pieces - unbegun):
        left += _left_of(order, piece, [each for each in ahead if each.piece == piece], unknown)
    back = [GivenBack(pieces=_with_unknown(order, unbegun, "nothing"))] if unbegun else []
    if pieces - unbegun:
        back.append(GivenBack(today, pieces=frozenset({*(pieces - unbegun), None})))
    days = [each.fitting_on for each in order.pieces if each.piece in pieces and each.fitting_on]
    return Rebooking(tuple(back), BookedAgain(tuple(left), rush, max(days, default=None)))


def _left_of(order: Order, piece: int, ahead: Sequence[BookedMinutes], unknown: Counter[Bench]) -> tuple[Work, ...]:
    """What is still to be done of a piece that was begun; what it takes of `unknown` is gone from there."""
    benches = (FINISHING,) if _ahead(order, piece) == "finishing" else BENCHES
    whole = [part for part in work_of(order.lines) if part.piece == piece and part.bench in benches]
    if any(each.piece == piece and each.fitting_on for each in order.pieces):
        # It is basted, and its fitting has its day.
        whole = [replace(part, phase="close") if part.hard else part for part in whole]
    own = work_left(each for each in ahead if each.bench in benches)
    if own or not any(unknown[bench] for bench in benches):
        return own or tuple(whole)
    found = []
    for part in whole:
        minutes = min(part.minutes, unknown[part.bench])
        unknown[part.bench] -= minutes
        found += [replace(part, minutes=minutes)] if minutes else []
    return tuple(found)


def _ahead(order: Order, piece: int) -> Ahead:
    (state,) = (state for each, state in zip(order.garments, order.piece_states, strict=True) if each.piece == piece)
    return standings()[state].ahead


def _check_fitting_day(week: Week, today: date, fitting_on: date) -> None:
    last = today + timedelta(days=week.horizon_days)
    if not today <= fitting_on <= last:
        raise Refusal("fitting_day_wrong", ("fitting_on",), first=today.isoformat(), last=last.isoformat())
