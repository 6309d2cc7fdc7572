"""What is kept of a customer: found whole, erased whole, and forgotten in its time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, delete, select, update

from service.storage.caller_tables import disclosures, outcomes, repeats
from service.storage.sealing import sealing_of
from service.storage.tables import fit_checks, measurement_sets, orders, shops

# What tells of a body.
_BODIES = (measurement_sets, fit_checks)


@dataclass(frozen=True, slots=True)
class Erased:
    """How many of each were erased; of orders and outcomes, how many no longer say whose they are."""

    measurement_sets: int = 0
    fit_checks: int = 0
    orders: int = 0
    outcomes: int = 0


@dataclass(frozen=True, slots=True)
class Forgotten:
    """How many of each had been kept for long enough."""

    measurement_sets: int = 0
    fit_checks: int = 0
    answers: int = 0
    disclosures: int = 0

    def __add__(self, other: Forgotten) -> Forgotten:
        return Forgotten(
            self.measurement_sets + other.measurement_sets,
            self.fit_checks + other.fit_checks,
            self.answers + other.answers,
            self.disclosures + other.disclosures,
        )


def order_ids_of_customer(tx: Connection, shop_id: str, customer_ref: str) -> tuple[str, ...]:
    """A customer's orders, newest first."""
    return tuple(tx.execute(_ids(orders, shop_id, customer_ref).order_by(orders.c.number.desc())).scalars())


def erase_customer(tx: Connection, shop_id: str, customer_ref: str) -> Erased:
    """Erase what tells of a customer's body, and his name from what stays. The shop's row must be locked."""
    # First the answers that were kept for retries: they are found by what they were the making of.
    for table in _BODIES:
        tx.execute(delete(repeats).where(_made(shop_id, _ids(table, shop_id, customer_ref))))
    groups = select(orders.c.group_id).where(_his(orders, shop_id, customer_ref))
    for made in (_ids(orders, shop_id, customer_ref), groups, _ids(outcomes, shop_id, customer_ref)):
        _clear_answers(tx, shop_id, customer_ref, made)
    sets, checks = (tx.execute(delete(table).where(_his(table, shop_id, customer_ref))).rowcount for table in _BODIES)
    # An order that no longer says whose it is is another version of it.
    nameless = {"customer_ref": None, "version": orders.c.version + 1}
    changed = tx.execute(update(orders).where(_his(orders, shop_id, customer_ref)).values(nameless)).rowcount
    unlinked = {"customer_ref": None, "fit_check_id": None}
    told = tx.execute(update(outcomes).where(_his(outcomes, shop_id, customer_ref)).values(unlinked)).rowcount
    tx.execute(update(disclosures).where(_his(disclosures, shop_id, customer_ref)).values(customer_ref=None))
    return Erased(sets, checks, changed, told)


def keep_readings_for(tx: Connection, shop_id: str, days: int) -> bool:
    """Set for how many days a shop keeps what it read; False where there is no such shop."""
    return tx.execute(update(shops).where(shops.c.id == shop_id).values(readings_days=days)).rowcount == 1


def shops_and_days(tx: Connection) -> tuple[tuple[str, int], ...]:
    """Every shop, and for how many days it keeps what it read."""
    rows = tx.execute(select(shops.c.id, shops.c.readings_days).order_by(shops.c.id))
    return tuple((row.id, row.readings_days) for row in rows)


def forget_before(tx: Connection, shop_id: str, readings: datetime, answers: datetime, shown: datetime) -> Forgotten:
    """Forget what a shop read, what it answered and what it showed before those times."""
    sets, checks = measurement_sets, fit_checks
    old = (sets.c.shop_id == shop_id) & (sets.c.recorded_at < readings)
    old_checks = (checks.c.shop_id == shop_id) & (checks.c.made_at < readings)
    for table, its in ((sets, old), (checks, old_checks)):
        tx.execute(delete(repeats).where(_made(shop_id, select(table.c.id).where(its))))
    return Forgotten(
        tx.execute(delete(sets).where(old)).rowcount,
        tx.execute(delete(checks).where(old_checks)).rowcount,
        tx.execute(delete(repeats).where(repeats.c.shop_id == shop_id, repeats.c.kept_at < answers)).rowcount,
        tx.execute(delete(disclosures).where(disclosures.c.shop_id == shop_id, disclosures.c.at < shown)).rowcount,
    )


def _clear_answers(tx: Connection, shop_id: str, customer_ref: str, made: Select[Any]) -> None:
    # Kept all the same: without them a retry would place the order again, or count the outcome twice.
    sealing = sealing_of(tx)
    for row in tx.execute(select(repeats).where(_made(shop_id, made))).all():
        answer = sealing.seal(_nameless(sealing.open(row.answer), customer_ref))
        its = (repeats.c.shop_id == shop_id) & (repeats.c.operation == row.operation) & (repeats.c.key == row.key)
        tx.execute(update(repeats).where(its).values(answer=answer))


def _nameless(answer: Any, customer_ref: str) -> Any:  # noqa: ANN401  JSON
    """An answer without him, however deep he stands in it; of a group only he goes."""
    if isinstance(answer, list):
        return [_nameless(each, customer_ref) for each in answer]
    if not isinstance(answer, dict):
        return answer
    kept = {name: _nameless(value, customer_ref) for name, value in answer.items()}
    if kept.get("customer_ref") != customer_ref:
        return kept
    return kept | {name: None for name in ("customer_ref", "fit_check") if name in kept}


def _made(shop_id: str, things: Select[Any]) -> ColumnElement[bool]:
    return (repeats.c.shop_id == shop_id) & repeats.c.made.in_(things)


def _ids(table: Table, shop_id: str, customer_ref: str) -> Select[Any]:
    return select(table.c.id).where(_his(table, shop_id, customer_ref))


def _his(table: Table, shop_id: str, customer_ref: str) -> ColumnElement[bool]:
    return (table.c.shop_id == shop_id) & (table.c.customer_ref == customer_ref)
