"""Measurement sets: the readings of one customer on one day, as one document, so that it is erased whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any, cast

from sqlalchemy import Connection, Row, insert, select

from service.storage.columns import further
from service.storage.sealing import sealing_of
from service.storage.tables import measurement_sets
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import Reading
from service.tailoring.quantities import MASS_UNITS, Length, LengthUnit, Mass

_AT_A_TIME = 200


@dataclass(frozen=True, slots=True)
class MeasurementSet:
    """Readings of one customer, taken on one day by one fitter, with his notes of the posture as cloth."""

    id: str
    customer_ref: str | None
    taken_on: date
    taken_by: str | None
    age_years: float | None
    readings: tuple[Reading, ...]
    posture: tuple[PostureNote, ...]
    note: str
    recorded_at: datetime


def add_measurement_set(tx: Connection, shop_id: str, kept: MeasurementSet) -> None:
    """Keep a measurement set."""
    content = {
        "taken_on": kept.taken_on.isoformat(),
        "taken_by": kept.taken_by,
        "age_years": kept.age_years,
        "readings": [_reading_content(reading) for reading in kept.readings],
        "posture": [_note_content(each) for each in kept.posture],
        "note": kept.note,
    }
    tx.execute(
        insert(measurement_sets).values(
            id=kept.id,
            shop_id=shop_id,
            customer_ref=kept.customer_ref,
            content=sealing_of(tx).seal(content),
            recorded_at=kept.recorded_at,
        )
    )


def find_measurement_set(tx: Connection, shop_id: str, set_id: str) -> MeasurementSet | None:
    """The set of that id, if it is this shop's."""
    one = select(measurement_sets).where(measurement_sets.c.id == set_id, measurement_sets.c.shop_id == shop_id)
    row = tx.execute(one).one_or_none()
    return _measurement_set(tx, row) if row else None


def sets_of_customer(
    tx: Connection, shop_id: str, customer_ref: str, most: int, last: tuple[datetime, str] | None = None
) -> Iterator[MeasurementSet]:
    """A customer's sets, newest first; those after the last one of a page, by its time and id. Opened one by one."""
    table = measurement_sets
    theirs = select(table).where(table.c.shop_id == shop_id, table.c.customer_ref == customer_ref)
    rest = theirs.where(further(table.c.recorded_at, table.c.id, last))
    newest = rest.order_by(table.c.recorded_at.desc(), table.c.id).limit(most)
    return (_measurement_set(tx, row) for row in tx.execute(newest))


def sets_oldest_first(tx: Connection, shop_id: str) -> Iterator[MeasurementSet]:
    """All sets of a shop that say whose they are, a few in memory at a time."""
    table = measurement_sets
    named = select(table).where(table.c.shop_id == shop_id, table.c.customer_ref.is_not(None))
    rows = tx.execute(named.order_by(table.c.recorded_at, table.c.id).execution_options(yield_per=_AT_A_TIME))
    return (_measurement_set(tx, row) for row in rows)


def _measurement_set(tx: Connection, row: Row[Any]) -> MeasurementSet:
    content = sealing_of(tx).open(row.content)
    return MeasurementSet(
        id=row.id,
        customer_ref=row.customer_ref,
        taken_on=date.fromisoformat(content["taken_on"]),
        taken_by=content["taken_by"],
        age_years=content["age_years"],
        readings=tuple(_reading(each) for each in content["readings"]),
        posture=tuple(_note(each) for each in content["posture"]),
        note=content["note"],
        recorded_at=row.recorded_at,
    )


def _note_content(note: PostureNote) -> dict[str, Any]:
    return {"name": note.name, "mm": note.amount.mm, "unit": note.amount.unit, "side": note.side}


def _note(content: dict[str, Any]) -> PostureNote:
    return PostureNote(content["name"], Length(content["mm"], content["unit"]), content["side"])


def _reading_content(reading: Reading) -> dict[str, Any]:
    return {
        "dimension": reading.dimension,
        "sizes": list(reading.sizes),
        "unit": reading.size.unit,
        "source": reading.source,
    }


def _reading(content: dict[str, Any]) -> Reading:
    unit = content["unit"]
    size, *repeats = (_size(size, unit) for size in content["sizes"])
    return Reading(content["dimension"], size, content["source"], tuple(repeats))


# A tape is read to the eighth or the millimetre: making each size anew was a third of opening a set.
@lru_cache(maxsize=4096, typed=True)
def _size(size: float, unit: str) -> Length | Mass:
    return Mass(size, unit) if unit in MASS_UNITS else Length(size, cast("LengthUnit", unit))
