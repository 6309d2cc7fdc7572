"""The day's work at a bench: what is to be done first, and why.

The workroom's calendar says on which day an order's minutes are booked at which bench; the order's state says what of
it is done. What was booked for a day that is over and is not done has fallen behind (derived here).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from service.tailoring.alterations import Bench, Side, alteration
from service.tailoring.order_lines import line_numbers
from service.tailoring.order_states import State
from service.tailoring.workroom import FINISHING

Urgency: TypeAlias = Literal["late", "at_risk", "today"]
URGENCIES: tuple[Urgency, ...] = ("late", "at_risk", "today")

# States in which nothing is to be done at a bench any more, and the one in which only finishing is.
_DONE: frozenset[State] = frozenset({"pressed", "ready", "collected", "cancelled"})
_SEWN: State = "sewn"


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an order stands, as far as a bench must know."""

    order_id: str
    number: int
    state: State
    promised_for: date
    needed_by: date | None


@dataclass(frozen=True, slots=True)
class Booked:
    """Minutes of an order that are booked at a bench on a day."""

    order: Standing
    bench: Bench
    day: date
    minutes: int


@dataclass(frozen=True, slots=True)
class BenchLine:
    """A line of an order, as far as a bench must know; its side where it has one."""

    piece: int
    alteration: str
    side: Side | None
    minutes: int


@dataclass(frozen=True, slots=True)
class Job:
    """An order's work at a bench: the minutes that are to be done by the day, since when, how urgent and why."""

    order: Standing
    bench: Bench
    minutes: int
    booked_for: date
    urgency: Urgency
    reasons: tuple[str, ...]


def is_to_do(state: State, bench: Bench) -> bool:
    """Whether an order in `state` has work ahead at `bench`, if it has any there at all."""
    return state not in _DONE and (state != _SEWN or bench == FINISHING)


def worklist(booked: Iterable[Booked], day: date) -> tuple[Job, ...]:
    """The jobs of `day`: late orders first, then those at risk, then what is booked for the day.

    Within each the earliest promise comes first, then the earliest number (common practice, no source).
    A late order stands at every bench at which it has minutes, on whatever day they are booked.
    """
    ahead: dict[str, list[Booked]] = {}
    for each in booked:
        if is_to_do(each.order.state, each.bench):
            ahead.setdefault(each.order.order_id, []).append(each)
    jobs = [job for mine in ahead.values() for job in _jobs(mine, day)]
    rank = {urgency: position for position, urgency in enumerate(URGENCIES)}
    return tuple(sorted(jobs, key=lambda job: (rank[job.urgency], job.order.promised_for, job.order.number, job.bench)))


def lines_at(lines: Sequence[BenchLine], bench: Bench) -> tuple[tuple[int, BenchLine], ...]:
    """The lines of an order that are done at a bench, by their numbers on its ticket.

    The press that every piece gets is no line unless it was ordered as one.
    """
    numbers = line_numbers(lines)
    mine = (
        (numbers[position], line) for position, line in enumerate(lines) if alteration(line.alteration).bench == bench
    )
    return tuple(sorted(mine, key=lambda each: each[0]))


def _jobs(mine: Sequence[Booked], day: date) -> list[Job]:
    """An order's jobs, a bench each."""
    order = mine[0].order
    is_late = order.promised_for < day
    reasons = _reasons(order, mine, day)
    urgency: Urgency = "late" if is_late else "at_risk" if reasons else "today"
    found = []
    for bench in sorted({each.bench for each in mine}):
        here = [each for each in mine if each.bench == bench and (is_late or each.day <= day)]
        if here:
            minutes, since = sum(each.minutes for each in here), min(each.day for each in here)
            found.append(Job(order, bench, minutes, since, urgency, reasons))
    return found


def _reasons(order: Standing, mine: Sequence[Booked], day: date) -> tuple[str, ...]:
    """Why an order is late or at risk, in words; nothing where it is neither."""
    found = []
    if order.promised_for < day:
        found.append(f"promised for {order.promised_for.isoformat()}")
    behind = sorted({each.bench for each in mine if each.day < day})
    if behind:
        since = min(each.day for each in mine if each.day < day)
        found.append(f"{' and '.join(behind)} work of {since.isoformat()} is not done")
    if order.state == "query" and any(each.day <= day for each in mine):
        found.append("the fitter has not answered")
    return tuple(found)
