"""Measurement sets: recorded, read back, and what they say of the body."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.counter.desk import Caller, Desk
from service.counter.repeats import Answer, Errand, once
from service.storage import measurement_sets
from service.storage.database import Transaction
from service.storage.measurement_sets import MeasurementSet
from service.tailoring.body import Body, read_body
from service.tailoring.readings import Reading
from service.tailoring.refusals import Refusal

SETS_MOST = 100


@dataclass(frozen=True, slots=True)
class SetAsked:
    """A measurement set as a caller records it; `taken_on` is today where it is not said."""

    readings: tuple[Reading, ...]
    customer_ref: str | None = None
    taken_on: date | None = None
    taken_by: str | None = None
    age_years: float | None = None
    posture: str = ""


@dataclass(frozen=True, eq=False)
class ShownSet:
    """A measurement set with what it says of the body."""

    kept: MeasurementSet
    body: Body


def record_measurement_set(
    desk: Desk, caller: Caller, asked: SetAsked, errand: Errand, document: Callable[[ShownSet], dict[str, Any]]
) -> Answer:
    """Keep the readings of one customer. Raises Refusal `reading_out_of_bounds` or `taken_in_future`."""
    today = desk.today(caller.shop)
    if asked.taken_on and asked.taken_on > today:
        raise Refusal("taken_in_future", ("taken_on",), today=today.isoformat())
    body = read_body(asked.readings, asked.age_years)

    def make() -> dict[str, Any]:
        kept = MeasurementSet(
            id=desk.new_id(),
            customer_ref=asked.customer_ref,
            taken_on=asked.taken_on or today,
            taken_by=asked.taken_by,
            age_years=asked.age_years,
            readings=asked.readings,
            posture=asked.posture,
            recorded_at=desk.now(),
        )
        measurement_sets.add_measurement_set(tx, caller.shop.id, kept)
        return document(ShownSet(kept, body))

    with desk.database.writing() as tx:
        return once(tx, caller.shop.id, errand, desk.now(), make)


def show_measurement_set(desk: Desk, caller: Caller, set_id: str) -> ShownSet:
    """One set. Raises Refusal `not_found`."""
    with desk.database.reading() as tx:
        kept = measurement_sets.find_measurement_set(tx, caller.shop.id, set_id)
    if kept is None:
        raise Refusal("not_found")
    return ShownSet(kept, read_body(kept.readings, kept.age_years))


def sets_of_customer(desk: Desk, caller: Caller, customer_ref: str) -> tuple[ShownSet, ...]:
    """A customer's sets, newest first; empty where he is not known."""
    with desk.database.reading() as tx:
        kept = measurement_sets.sets_of_customer(tx, caller.shop.id, customer_ref, SETS_MOST)
    return tuple(ShownSet(each, read_body(each.readings, each.age_years)) for each in kept)


def body_asked(
    tx: Transaction, caller: Caller, readings: tuple[Reading, ...], set_id: str | None, age_years: float | None
) -> tuple[Body, MeasurementSet | None]:
    """The body that a question is about: a recorded set's readings, those inline, or both together.

    Raises Refusal `set_unknown` or `reading_out_of_bounds`.
    """
    if set_id is None:
        return read_body(readings, age_years), None
    kept = measurement_sets.find_measurement_set(tx, caller.shop.id, set_id)
    if kept is None:
        raise Refusal("set_unknown", ("measurement_set",))
    # Inline readings come first, so that notices point at them; those of the set follow.
    return read_body((*readings, *kept.readings), kept.age_years if age_years is None else age_years), kept
