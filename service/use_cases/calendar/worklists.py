"""The workroom's day: what is to be done at which bench, and how many orders stand where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from service.storage.orders import worklists
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.order_states import STATES, State, is_over
from service.tailoring.workroom.worklists import Job, NumberedLine, is_to_do, lines_at, worklist
from service.use_cases.calendar.promises import calendar_of
from service.use_cases.context import Caller, ServiceContext

# An order that is over is not counted: there are ever more of them, and nobody waits for them.
OPEN: tuple[State, ...] = tuple(state for state in STATES if not is_over(state))
AT_THE_BENCHES: tuple[State, ...] = tuple(state for state in STATES if any(is_to_do(state, each) for each in BENCHES))


class JobAtBench(NamedTuple):
    """A job, and those of the order's lines that are done at the bench."""

    job: Job
    lines: tuple[NumberedLine, ...]


@dataclass(frozen=True, slots=True)
class BenchList:
    """A bench's day: its most urgent jobs, and of all its jobs the count and minutes."""

    bench: Bench
    count: int
    minutes: int
    jobs: tuple[JobAtBench, ...]


@dataclass(frozen=True, slots=True)
class Worklist:
    """What is to be done on a day, bench by bench."""

    day: date
    benches: tuple[BenchList, ...]


class StateCount(NamedTuple):
    """How many orders are in a state, and how many pieces of open orders."""

    state: State
    orders: int
    pieces: int


@dataclass(frozen=True, slots=True)
class Counts:
    """Open orders by state, those promised for days that are over, for the day itself, and for the six days after."""

    day: date
    states: tuple[StateCount, ...]
    late: int
    due: int
    due_in_a_week: int


def day_list(context: ServiceContext, caller: Caller, day: date | None, bench: Bench | None, most: int) -> Worklist:
    """What is to be done on `day` (today, where none is given) at a bench, or at each; at most so many jobs a bench."""
    day = day or context.today(caller.shop)
    with context.database.reading() as tx:
        calendar = calendar_of(tx, caller.shop, day, day)
        jobs = worklist(worklists.booked_work(tx, caller.shop.id, AT_THE_BENCHES, day), calendar.day(day))
        by_bench = {each: [job for job in jobs if job.bench == each] for each in BENCHES if bench in (None, each)}
        shown = {job.order.order_id for mine in by_bench.values() for job in mine[:most]}
        lines = worklists.lines_of(tx, shown)
    return Worklist(
        day,
        tuple(
            BenchList(
                each,
                len(mine),
                sum(job.minutes for job in mine),
                tuple(JobAtBench(job, lines_at(lines[job.order.order_id], each)) for job in mine[:most]),
            )
            for each, mine in by_bench.items()
        ),
    )


def count_open_orders(context: ServiceContext, caller: Caller) -> Counts:
    """How many orders stand where, and how many are late."""
    day = context.today(caller.shop)
    shop_id = caller.shop.id
    waiting = tuple(state for state in OPEN if state not in {"ready", "stored"})
    with context.database.reading() as tx:
        counted = worklists.count_orders(tx, shop_id, OPEN)
        pieces = worklists.count_pieces(tx, shop_id, OPEN)
        return Counts(
            day=day,
            states=tuple(StateCount(state, counted.get(state, 0), pieces.get(state, 0)) for state in OPEN),
            late=worklists.count_promised(tx, shop_id, waiting, None, day - timedelta(days=1)),
            due=worklists.count_promised(tx, shop_id, waiting, day, day),
            due_in_a_week=worklists.count_promised(
                tx, shop_id, waiting, day + timedelta(days=1), day + timedelta(days=6)
            ),
        )
