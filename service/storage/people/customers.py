"""What is kept of a customer: found whole, erased whole, and forgotten in its time."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, delete, select, tuple_, update

from service.storage.caller_tables import disclosures, kept_advice, outcomes, repeats
from service.storage.sealing import sealing_of
from service.storage.tables import fit_checks, measurement_sets, order_garments, orders, shops

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
    kept_advice: int = 0

    @property
    def most(self) -> int:
        """Of the kind of which it is most."""
        return int(max(astuple(self)))

    def __add__(self, other: Forgotten) -> Forgotten:
        return Forgotten(
            self.measurement_sets + other.measurement_sets,
            self.fit_checks + other.fit_checks,
            self.answers + other.answers,
            self.disclosures + other.disclosures,
            self.kept_advice + other.kept_advice,
        )


def order_ids_of_customer(tx: Connection, shop_id: str, customer_ref: str) -> tuple[str, ...]:
    """A customer's orders, newest first."""
    return tuple(tx.execute(_ids(orders, shop_id, customer_ref).order_by(orders.c.number.desc())).scalars())


def _forget_pictures(tx: Connection, order_ids: Select[Any]) -> None:
    """Of the pieces of some orders, where pictures of them are: an address may name whose they are."""
    of = order_garments.c
    told = select(of.order_id, of.position, of.details).where(of.order_id.in_(order_ids), of.details.is_not(None))
    for order_id, position, details in tx.execute(told).all():
        left = {name: value for name, value in details.items() if name != "photos"}
        this = (of.order_id == order_id) & (of.position == position)
        tx.execute(update(order_garments).where(this).values(details=left or None))


def erase_customer(tx: Connection, shop_id: str, customer_ref: str) -> Erased:
    """Erase what tells of a customer's body, and his name from what stays. The shop's row must be locked."""
    # First the answers that were kept for retries: they are found by what they were the making of.
    for table in _BODIES:
        tx.execute(delete(repeats).where(_made(shop_id, _ids(table, shop_id, customer_ref))))
    groups = select(orders.c.group_id).where(_his(orders, shop_id, customer_ref))
    for made in (_ids(orders, shop_id, customer_ref), groups, _ids(outcomes, shop_id, customer_ref)):
        _clear_answers(tx, shop_id, customer_ref, repeats.c.made.in_(made))
    # Answers that list orders are of no one thing.
    _clear_answers(tx, shop_id, customer_ref, repeats.c.made.is_(None))
    sets, checks = (tx.execute(delete(table).where(_his(table, shop_id, customer_ref))).rowcount for table in _BODIES)
    _forget_pictures(tx, _ids(orders, shop_id, customer_ref))
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


def forget_before(
    tx: Connection, shop_id: str, readings: datetime, answers: datetime, shown: datetime, now: datetime, most: int
) -> Forgotten:
    """Forget what a shop read, answered and showed before those times, and what was kept until now; so many of each."""
    kept_until = (
        (measurement_sets, measurement_sets.c.recorded_at < readings),
        (fit_checks, fit_checks.c.made_at < readings),
        (repeats, repeats.c.kept_at < answers),
        (disclosures, disclosures.c.at < shown),
        (kept_advice, kept_advice.c.kept_until <= now),
    )
    return Forgotten(*(_forget(tx, shop_id, table, old, most) for table, old in kept_until))


def _forget(tx: Connection, shop_id: str, table: Table, old: ColumnElement[bool], most: int) -> int:
    key = table.primary_key.columns
    rows = tx.execute(select(*key).where(table.c.shop_id == shop_id, old).limit(most)).all()
    if not rows:
        return 0
    if table in _BODIES:
        made = repeats.c.made.in_([row.id for row in rows])
        tx.execute(delete(repeats).where(repeats.c.shop_id == shop_id, made))
    # Asked once more: another may have forgotten a row meanwhile, and its key may stand on a new one.
    tx.execute(delete(table).where(tuple_(*key).in_(rows), old))
    return len(rows)


def _clear_answers(tx: Connection, shop_id: str, customer_ref: str, these: ColumnElement[bool]) -> None:
    # Kept all the same: without them a retry would place the order again, or count the outcome twice.
    sealing = sealing_of(tx)
    for row in tx.execute(select(repeats).where(repeats.c.shop_id == shop_id, these).with_for_update()).all():
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
