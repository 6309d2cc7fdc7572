"""The workroom's day: what is to be done at which bench, and how many orders stand where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from service.storage.database import Transaction
from service.storage.orders import tailors, worklists
from service.storage.orders.orders import FiledOrder
from service.storage.orders.tailors import OpenSpell
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.order_states import STATES, State, is_over
from service.tailoring.workroom.job_cards import JobCard, job_card, of_tailor
from service.tailoring.workroom.tailors import Tailor
from service.tailoring.workroom.worklists import Job, is_to_do, worklist
from service.use_cases.calendar.promises import calendar_of
from service.use_cases.calendar.tailors import tailor_of
from service.use_cases.context import Caller, ServiceContext

# An order that is over is not counted: there are ever more of them, and nobody waits for them.
OPEN: tuple[State, ...] = tuple(state for state in STATES if not is_over(state))
AT_THE_BENCHES: tuple[State, ...] = tuple(state for state in STATES if any(is_to_do(state, each) for each in BENCHES))


@dataclass(frozen=True, slots=True)
class TailorsDay:
    """A tailor on a day: the minutes that they work, and what they have in hand now."""

    tailor: Tailor
    minutes: int
    in_hand: OpenSpell | None


@dataclass(frozen=True, slots=True)
class BenchList:
    """A bench's day: its most urgent jobs, and of all its jobs the count and minutes."""

    bench: Bench
    count: int
    minutes: int
    jobs: tuple[JobCard, ...]


@dataclass(frozen=True, slots=True)
class Worklist:
    """What is to be done on a day, bench by bench, and who is there; of one tailor, if it was asked for theirs."""

    day: date
    benches: tuple[BenchList, ...]
    tailors: tuple[TailorsDay, ...] = ()


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


def day_list(
    context: ServiceContext,
    caller: Caller,
    day: date | None,
    bench: Bench | None,
    most: int,
    tailor: str | None = None,
) -> Worklist:
    """What is to be done on `day` (today, where none is given) at a bench, or at each; at most so many jobs a bench.

    Of a tailor only what is given to them. Raises Refusal `tailor_unknown`.
    """
    day = day or context.today(caller.shop)
    with context.database.reading() as tx:
        there = (tailor_of(tx, caller, tailor, ("tailor",)),) if tailor else tailors.tailors_of(tx, caller.shop.id)
        in_hand = tailors.open_spells(tx, caller.shop.id) if there else {}
        calendar = calendar_of(tx, caller.shop, day, day)
        jobs = worklist(worklists.booked_work(tx, caller.shop.id, AT_THE_BENCHES, day), calendar.day(day))
        benches = [each for each in BENCHES if bench in (None, each)]
        found = _lists_of_tailor(tx, jobs, benches, tailor, most) if tailor else _lists(tx, jobs, benches, most)
    return Worklist(day, found, tuple(TailorsDay(each, each.minutes_on(day), in_hand.get(each.ref)) for each in there))


def _lists(tx: Transaction, jobs: Sequence[Job], benches: Sequence[Bench], most: int) -> tuple[BenchList, ...]:
    """Each bench's day; the orders of those jobs are read that are shown."""
    by_bench = {each: [job for job in jobs if job.bench == each] for each in benches}
    filed = worklists.orders_of(tx, {job.order.order_id for mine in by_bench.values() for job in mine[:most]})
    return tuple(
        BenchList(bench, len(mine), sum(job.minutes for job in mine), tuple(_card(job, filed) for job in mine[:most]))
        for bench, mine in by_bench.items()
    )


def _lists_of_tailor(
    tx: Transaction, jobs: Sequence[Job], benches: Sequence[Bench], tailor: str, most: int
) -> tuple[BenchList, ...]:
    """What is given to a tailor; minutes are those that it is planned to take."""
    mine = worklists.assigned_to(tx, {job.order.order_id for job in jobs}, tailor)
    filed = worklists.orders_of(tx, mine)
    cards = [of_tailor(_card(job, filed), tailor) for job in jobs if job.order.order_id in mine]
    by_bench = {each: [card for card in cards if card and card.job.bench == each] for each in benches}
    return tuple(
        BenchList(bench, len(found), sum(card.minutes_planned for card in found), tuple(found[:most]))
        for bench, found in by_bench.items()
    )


def _card(job: Job, filed: Mapping[str, FiledOrder]) -> JobCard:
    order = filed[job.order.order_id]
    return job_card(job, order.order, order.version)


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
