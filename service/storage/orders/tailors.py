"""The tailors of a shop, and what each has in hand."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from service.storage.line_tables import order_spells, tailors
from service.storage.orders.order_rows import spell_of, spell_row
from service.storage.tables import orders
from service.tailoring.orders.lines.work_done import Spell
from service.tailoring.orders.orders import Order
from service.tailoring.workroom.tailors import Tailor


class OpenSpell(NamedTuple):
    """What a tailor has in hand: of which order, by its id and number, and the spell."""

    order_id: str
    number: str
    spell: Spell


def keep_tailor(tx: Connection, shop_id: str, tailor: Tailor) -> None:
    """Keep a tailor as they are from now on. The shop's row must be locked."""
    said = {
        "benches": list(tailor.benches),
        "minutes_a_day": tailor.minutes_a_day,
        "days_off": [day.isoformat() for day in tailor.days_off],
    }
    one = (tailors.c.shop_id == shop_id) & (tailors.c.ref == tailor.ref)
    if tx.execute(update(tailors).where(one).values(said)).rowcount == 0:
        tx.execute(insert(tailors).values(shop_id=shop_id, ref=tailor.ref, **said))


def drop_tailor(tx: Connection, shop_id: str, ref: str) -> None:
    """Keep a tailor no more; what they have done says their reference still, as it says who else did what."""
    tx.execute(delete(tailors).where(tailors.c.shop_id == shop_id, tailors.c.ref == ref))


def find_tailor(tx: Connection, shop_id: str, ref: str) -> Tailor | None:
    """The shop's tailor of that reference."""
    row = tx.execute(select(tailors).where(tailors.c.shop_id == shop_id, tailors.c.ref == ref)).one_or_none()
    return _tailor(row) if row else None


def tailors_of(tx: Connection, shop_id: str) -> tuple[Tailor, ...]:
    """The shop's tailors, by reference."""
    rows = tx.execute(select(tailors).where(tailors.c.shop_id == shop_id))
    return tuple(sorted(map(_tailor, rows), key=lambda each: each.ref))


def open_spells(tx: Connection, shop_id: str) -> dict[str, OpenSpell]:
    """By tailor, what they have in hand."""
    asked = (
        select(order_spells, orders.c.number)
        .select_from(order_spells.join(orders, orders.c.id == order_spells.c.order_id))
        .where(order_spells.c.shop_id == shop_id, order_spells.c.until.is_(None))
    )
    return {row.tailor: OpenSpell(row.order_id, str(row.number), spell_of(row)) for row in tx.execute(asked)}


def last_end(tx: Connection, shop_id: str, ref: str) -> datetime | None:
    """When the tailor's last spell was over."""
    its = order_spells.c
    found: datetime | None = tx.execute(
        select(func.max(its.until, type_=its.until.type)).where(its.shop_id == shop_id, its.tailor == ref)
    ).scalar_one()
    return found


def keep_spells(tx: Connection, order_id: str, order: Order, before: Order) -> None:
    """Keep the spells that have begun or ended since the order was as `before`."""
    shop = select(orders.c.shop_id).where(orders.c.id == order_id).scalar_subquery()
    its = order_spells.c
    for position, spell in enumerate(order.spells):
        if position >= len(before.spells):
            row = {"order_id": order_id, "position": position, "shop_id": shop, **spell_row(spell)}
            tx.execute(insert(order_spells).values(row))
        elif spell != before.spells[position]:
            one = (its.order_id == order_id) & (its.position == position)
            tx.execute(update(order_spells).where(one).values(until=spell.until, ended=spell.ended))


def _tailor(row: Row[Any]) -> Tailor:
    days = tuple(date.fromisoformat(day) for day in row.days_off)
    return Tailor(row.ref, tuple(row.benches), row.minutes_a_day, days)
