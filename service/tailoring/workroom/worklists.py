"""The day's work at a bench: what is to be done first, and why.

The workroom's calendar says on which day an order's minutes are booked at which bench; the order's state says what of
it is done. What was booked for a day that is over and is not done has fallen behind; where a bench was cut short, who
was promised last gives way (derived here).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.order_states import State, standings
from service.tailoring.workroom.bookings import Claim, giving_way
from service.tailoring.workroom.calendar import FINISHING, Day

Urgency: TypeAlias = Literal["late", "at_risk", "today"]
URGENCIES: tuple[Urgency, ...] = ("late", "at_risk", "today")


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """Where an order stands, as far as a bench must know."""

    order_id: str
    number: int
    state: State
    promised_for: date
    needed_by: date | None
    rush: bool = False


@dataclass(frozen=True, slots=True)
class Booked:
    """Minutes of an order that are booked at a bench on a day; how many of them are hard work, and of the reserve.

    `state` is that of the piece whose they are; None where it is not known whose, and it is where its order is.
    """

    order: OpenOrder
    bench: Bench
    day: date
    minutes: int
    hard: int = 0
    reserve: bool = False
    piece: int | None = None
    state: State | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """An order's work at a bench: the minutes that are to be done by the day, since when, how urgent and why.

    `pieces` are those whose minutes they are; None stands for what was booked for the order as a whole.
    """

    order: OpenOrder
    bench: Bench
    minutes: int
    booked_for: date
    urgency: Urgency
    reasons: tuple[str, ...]
    pieces: tuple[int | None, ...] = ()


def is_to_do(state: State, bench: Bench) -> bool:
    """Whether a piece in `state` has work ahead at `bench`, if it has any there at all."""
    ahead = standings()[state].ahead
    return ahead in {"all", "rest"} or (ahead == "finishing" and bench == FINISHING)


def worklist(booked: Iterable[Booked], day: Day) -> tuple[Job, ...]:
    """The jobs of `day`: late orders first, then those at risk, then what is booked for the day.

    Within each a rush comes before others, then the earliest promise, then the earliest number (common practice, no
    source). A late order stands at every bench at which it has minutes, on whatever day they are booked.
    """
    ahead: dict[str, list[Booked]] = {}
    for each in booked:
        if is_to_do(each.state or each.order.state, each.bench):
            ahead.setdefault(each.order.order_id, []).append(each)
    crowded_out = _crowded_out([each for mine in ahead.values() for each in mine], day)
    jobs = [job for mine in ahead.values() for job in _jobs(mine, day.date, crowded_out)]
    return tuple(sorted(jobs, key=_place))


def _place(job: Job) -> tuple[int, bool, date, int, Bench]:
    order = job.order
    return URGENCIES.index(job.urgency), not order.rush, order.promised_for, order.number, job.bench


def _crowded_out(booked: Sequence[Booked], day: Day) -> dict[int, list[Bench]]:
    """By an order's number, the benches whose minutes of the day do not reach to it."""
    found: dict[int, list[Bench]] = {}
    for bench in BENCHES:
        claims: dict[int, Claim] = {}
        for each in booked:
            if each.bench == bench and each.day == day.date:
                number = each.order.number
                claim = Claim(number, each.minutes, each.hard, each.reserve)
                claims[number] = claims[number].and_more(claim) if number in claims else claim
        for claim in giving_way(day.bench(bench), tuple(claims.values())):
            found.setdefault(claim.number, []).append(bench)
    return found


def _jobs(mine: Sequence[Booked], day: date, crowded_out: Mapping[int, list[Bench]]) -> list[Job]:
    """An order's jobs, a bench each."""
    order = mine[0].order
    is_late = order.promised_for < day
    reasons = _reasons(order, mine, day)
    short = crowded_out.get(order.number)
    if short:
        reasons = (*reasons, f"too few minutes at {_listed(short)}")
    urgency: Urgency = "late" if is_late else "at_risk" if reasons else "today"
    found = []
    for bench in sorted({each.bench for each in mine}):
        here = [each for each in mine if each.bench == bench and (is_late or each.day <= day)]
        if here:
            minutes, since = sum(each.minutes for each in here), min(each.day for each in here)
            pieces = tuple(dict.fromkeys(each.piece for each in sorted(here, key=lambda each: each.piece or 0)))
            found.append(Job(order, bench, minutes, since, urgency, reasons, pieces))
    return found


def _listed(benches: Sequence[Bench]) -> str:
    """Benches in a sentence."""
    *others, last = benches
    return f"{', '.join(others)} and {last}" if others else last


def _reasons(order: OpenOrder, mine: Sequence[Booked], day: date) -> tuple[str, ...]:
    """Why an order is late or at risk, in words; nothing where it is neither."""
    found = []
    if order.promised_for < day:
        found.append(f"promised for {order.promised_for.isoformat()}")
    behind = sorted({each.bench for each in mine if each.day < day})
    if behind:
        since = min(each.day for each in mine if each.day < day)
        found.append(f"work of {since.isoformat()} is not done at {_listed(behind)}")
    asked = [each for each in mine if (each.state or order.state) == "query"]
    if any(each.day <= day for each in asked):
        found.append("the fitter has not answered")
    return tuple(found)
