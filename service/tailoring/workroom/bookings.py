"""Promising a day: the work of an order laid onto the workroom's days, and who must give way when minutes fall away."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Protocol, cast

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES, Bench, alteration
from service.tailoring.orders.planned_fittings import PlannedFitting
from service.tailoring.refusals import Refusal
from service.tailoring.work.hard_alterations import is_hard
from service.tailoring.work.order_of_work import must_precede, order_of_work
from service.tailoring.workroom.calendar import FINISHING, BenchDay, BookedAtBench, Calendar, Day
from service.tailoring.workroom.fitting_days import FittingDays, Phase

# Stages of work of which only the bench is still known: what is left of an order that has been begun.
_SEWING_STAGE, _FINISHING_STAGE = 1, 11


class Worked(Protocol):
    """What the calendar must know of an order's line: which piece, what is done to it, and for how long."""

    @property
    def piece(self) -> int: ...

    @property
    def alteration(self) -> str: ...

    @property
    def minutes(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes of one alteration of one piece at its bench; `hard` work needs skilled minutes.

    Of what is fitted before it is closed, the `phase` is which half it is.
    """

    bench: Bench
    minutes: int
    stage: int
    piece: int = 1
    hard: bool = False
    alteration: str = ""
    phase: Phase = "whole"


@dataclass(frozen=True, slots=True)
class BookedMinutes:
    """Minutes that a piece of an order takes at one bench on one day, at least one; `hard` of them are of hard work.

    `piece` is None where it is not known: releases before 0020 booked an order as a whole.
    """

    date: date
    bench: Bench
    minutes: int
    hard: int = 0
    reserve: bool = False
    piece: int | None = 1


@dataclass(frozen=True, slots=True)
class Booking:
    """The minutes that an order takes, by day, bench and piece, and the day for which it is promised.

    That is the day on which its last work ends, or the next on which the shop is open; `fittings` are its fitting days.
    """

    taken: tuple[BookedMinutes, ...]
    promised_for: date
    fittings: tuple[PlannedFitting, ...] = ()


@dataclass(frozen=True, slots=True)
class Claim:
    """What one order has booked at a bench on a day, with its number; `done` where none of it is still to be done."""

    number: int
    minutes: int
    hard: int = 0
    reserve: bool = False
    done: bool = False

    def and_more(self, other: Claim) -> Claim:
        """Two pieces' claims as their order's."""
        reserve, done = self.reserve or other.reserve, self.done and other.done
        return Claim(self.number, self.minutes + other.minutes, self.hard + other.hard, reserve, done)


def work_of(lines: Sequence[Worked]) -> tuple[Work, ...]:
    """The work of an order in the order in which it is done.

    Every piece that is worked on is pressed before it is handed over (common practice, no source), for the catalogue's
    minutes and at no charge, unless its press is a line of its own.
    """
    sewn = [lines[position] for position in order_of_work([line.alteration for line in lines])]
    found = [_work(line.piece, line.alteration, line.minutes) for line in sewn]
    by_line = {(line.piece, line.alteration) for line in lines}
    for piece, garment in {line.piece: alteration(line.alteration).garment for line in lines}.items():
        press = presses()[garment]
        if (piece, press) not in by_line:
            found.append(_work(piece, press, alteration(press).minutes))
    return tuple(found)


def work_left(taken: Iterable[BookedMinutes]) -> tuple[Work, ...]:
    """What is still to be done of an order that has been begun, by the minutes that it had booked ahead."""
    found = []
    for each in taken:
        stage = _FINISHING_STAGE if each.bench == FINISHING else _SEWING_STAGE
        found += [
            Work(each.bench, minutes, stage, each.piece or 1, hard)
            for minutes, hard in ((each.hard, True), (each.minutes - each.hard, False))
            if minutes
        ]
    return tuple(sorted(found, key=lambda work: work.stage))


def promise(
    work: Sequence[Work],
    calendar: Calendar,
    today: date,
    needed_by: date | None = None,
    *,
    rush: bool = False,
    not_before: date | None = None,
) -> Booking:
    """The earliest minutes for `work` that is asked for `today`; a rush begins sooner and takes of the reserve too.

    Raises Refusal `no_free_day` as `book`, or `needed_by_too_early` where `needed_by` is before the promised day, with
    the `earliest` and the `earliest_rush`.
    """
    first, after = calendar.first_day(today, rush=rush), calendar.week.fitting_after_days
    days = calendar.days(max(first, not_before or first))
    booking = book(with_fittings(work) if after else work, days, reserve=rush, fitting_after=after)
    booking = replace(booking, promised_for=calendar.hand_over_on(booking.promised_for))
    if needed_by is not None and needed_by < booking.promised_for:
        hurried = booking.promised_for if rush else rush_day(work, calendar, today, not_before)
        raise Refusal(
            "needed_by_too_early",
            ("needed_by",),
            earliest=booking.promised_for.isoformat(),
            earliest_rush=hurried.isoformat() if hurried else None,
            needed_by=needed_by.isoformat(),
        )
    return booking


def rush_day(work: Sequence[Work], calendar: Calendar, today: date, not_before: date | None = None) -> date | None:
    """The day that a rush could be promised for; None where none is free."""
    try:
        return promise(work, calendar, today, rush=True, not_before=not_before).promised_for
    except Refusal:
        return None


def with_fittings(work: Sequence[Work]) -> tuple[Work, ...]:
    """The work with a fitting in it: what is hard and not begun yet is basted first, and closed after it."""
    found: list[Work] = []
    for part in work:
        basting = part.minutes // 2 if part.hard and part.alteration and part.phase == "whole" else 0
        baste = replace(part, minutes=basting, phase="baste")
        close = replace(part, minutes=part.minutes - basting, phase="close")
        found += (baste, close) if basting else (part,)
    return tuple(found)


def book(work: Sequence[Work], days: Iterable[Day], *, reserve: bool = False, fitting_after: int = 0) -> Booking:
    """The earliest minutes for `work`, in the order in which it is done, on `days`, which come in date order.

    Work begins on the day on which what goes before it ends: lower stages of its piece, and what the order of work
    puts before it on any piece; what is closed after a fitting, on the day of the fitting. The pieces go side by side,
    long work is split over days, and hard work takes skilled minutes only. Raises Refusal `no_free_day` when the days
    run out.
    """
    left = [part.minutes for part in work]
    before = _before(work)
    fittings = FittingDays(work, fitting_after)
    taken: dict[tuple[date, Bench, int], BookedMinutes] = {}
    last: date | None = None
    for day in days:
        if last is not None and day.date <= last:
            raise ValueError("days must come in date order")
        last = day.date
        fittings.begin(last, is_open=day.is_open)
        room = _Room(day, reserve=reserve)
        for position, part in enumerate(work):
            if left[position] and not any(left[earlier] for earlier in before[position]):
                count = 0 if fittings.holds_up(part) else room.take(part, left[position])
                if count:
                    left[position] -= count
                    its = (day.date, part.bench, part.piece)
                    so_far = taken.get(its, BookedMinutes(day.date, part.bench, 0, 0, reserve, part.piece))
                    hard = so_far.hard + (count if part.hard else 0)
                    taken[its] = replace(so_far, minutes=so_far.minutes + count, hard=hard)
        if not any(left):
            planned = tuple(PlannedFitting(piece, on) for piece, on in sorted(fittings.found.items()))
            return Booking(tuple(taken.values()), day.date, planned)
        fittings.end(last, zip(work, left, strict=True))
    waiting = {part.bench for part, minutes in zip(work, left, strict=True) if minutes}
    benches_short = tuple(bench for bench in BENCHES if bench in waiting)
    raise Refusal("no_free_day", (), benches=benches_short, until=last.isoformat() if last else None)


class _Room:
    """What may still be worked on a day: at each bench, and of a day that has begun at each piece."""

    def __init__(self, day: Day, *, reserve: bool) -> None:
        self._benches, self._left, self._reserve = dict(day.benches), day.left, reserve
        self._worked: dict[int, int] = {}
        self._taken: dict[Bench, int] = {}

    def take(self, part: Work, wanted: int) -> int:
        """The minutes that a part of the work gets, of those wanted."""
        bench = self._benches.get(part.bench, BenchDay())
        count = min(wanted, bench.free(hard=part.hard, reserve=self._reserve))
        if self._left is not None:
            # A piece is in one pair of hands at a time, and a bench has no more hands than it had this morning. What
            # was booked for today before today is done in its turn; what may be of today is still to be done.
            ahead = bench.held.minutes if self._left.is_all_ahead else bench.held.reserve
            ahead = max(ahead, self._taken.get(part.bench, 0))
            count = min(count, self._left.minutes - self._worked.get(part.piece, 0))
            count = max(0, min(count, self._left.share(bench.minutes) - ahead))
        hard = count if part.hard else 0
        self._benches[part.bench] = replace(bench, held=bench.held.plus(count, hard=hard, reserve=self._reserve))
        self._worked[part.piece] = self._worked.get(part.piece, 0) + count
        self._taken[part.bench] = self._taken.get(part.bench, 0) + count
        return count


def with_taken(calendar: Calendar, taken: Iterable[BookedMinutes]) -> Calendar:
    """The calendar once more minutes are booked."""
    held: dict[date, Mapping[Bench, BookedAtBench]] = {}
    for each in taken:
        benches = held[each.date] = dict(held.get(each.date) or calendar.held.get(each.date, {}))
        so_far = benches.get(each.bench, BookedAtBench())
        benches[each.bench] = so_far.plus(each.minutes, hard=each.hard, reserve=each.reserve)
    before = cast("MutableMapping[date, Mapping[Bench, BookedAtBench]]", calendar.held)  # it is not changed
    return replace(calendar, held=ChainMap(held, before))


def giving_way(bench: BenchDay, claims: Sequence[Claim]) -> tuple[Claim, ...]:
    """Of those who have booked at a bench on a day, those for whom there are not minutes enough.

    Rushes and redos keep theirs first, then the lower number: who was promised first (common practice, no source).
    """
    minutes, skilled, out = bench.minutes, bench.skilled, []
    for claim in sorted(claims, key=lambda claim: (not claim.reserve, claim.number)):
        if claim.minutes <= minutes and claim.hard <= skilled:
            minutes, skilled = minutes - claim.minutes, skilled - claim.hard
        else:
            out.append(claim)
    return tuple(out)


@cache
def presses() -> dict[str, str]:
    """By garment, the catalogue's alteration that presses it."""
    return {row["garment"]: row["alteration"] for row in tables.rows("workroom/pressing")}


def _work(piece: int, code: str, minutes: int) -> Work:
    doing = alteration(code)
    return Work(doing.bench, minutes, doing.stage, piece, is_hard(code), doing.code)


def _before(work: Sequence[Work]) -> list[list[int]]:
    """For each part, the positions of those that must have ended before it begins."""
    return [
        [earlier for earlier in range(position) if _precedes(work[earlier], part)] for position, part in enumerate(work)
    ]


def _precedes(earlier: Work, part: Work) -> bool:
    in_order = (earlier.alteration, part.alteration) in must_precede()
    if earlier.piece == part.piece and "baste" in {earlier.phase, part.phase}:
        # All that is basted is basted before the fitting, whatever else is done meanwhile.
        return earlier.phase == part.phase and (in_order or earlier.stage != part.stage)
    if earlier.piece == part.piece:
        return in_order or earlier.stage != part.stage
    # Of two jackets neither waits for the other; a shirt's cuff is done before the jacket's is judged.
    return in_order and alteration(earlier.alteration).garment != alteration(part.alteration).garment
