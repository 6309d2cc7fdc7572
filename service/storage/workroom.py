"""The workroom's days: minutes kept by the shop and minutes booked by orders."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any, TypeAlias

from sqlalchemy import Connection, delete, insert, select
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import bookings, orders, workroom_days
from service.tailoring.alterations import Bench
from service.tailoring.workroom import Taken

Minutes: TypeAlias = dict[date, dict[Bench, int]]


def minutes_from(tx: Connection, shop_id: str, first: date) -> tuple[Minutes, Minutes]:
    """Minutes booked and minutes kept by the shop, by day and bench, from `first` on."""
    table = workroom_days
    booked: Minutes = defaultdict(dict)
    kept: Minutes = defaultdict(dict)
    for row in tx.execute(select(table).where(table.c.shop_id == shop_id, table.c.day >= first)):
        booked[row.day][row.bench] = row.booked_minutes
        if row.kept_minutes is not None:
            kept[row.day][row.bench] = row.kept_minutes
    return booked, kept


def take_minutes(tx: Connection, shop_id: str, order_id: str, taken: Iterable[Taken]) -> None:
    """Book minutes for an order. The shop's row must be locked (`shops.next_order_number`)."""
    for each in taken:
        row = {"day": each.date, "bench": each.bench, "minutes": each.minutes}
        tx.execute(insert(bookings).values(order_id=order_id, **row))
        _add_booked(tx, shop_id, each.date, each.bench, each.minutes)


def free_minutes(tx: Connection, shop_id: str, order_id: str) -> None:
    """Give back the minutes of an order. The shop's row must be locked (`shops.lock_shop`)."""
    mine = bookings.c.order_id == order_id
    for row in tx.execute(select(bookings).where(mine)).all():
        _add_booked(tx, shop_id, row.day, row.bench, -row.minutes)
    tx.execute(delete(bookings).where(mine))


def bookings_of(tx: Connection, order_id: str) -> tuple[Taken, ...]:
    """The minutes that an order has booked, by day and bench."""
    mine = select(bookings).where(bookings.c.order_id == order_id).order_by(bookings.c.day, bookings.c.bench)
    return tuple(Taken(row.day, row.bench, row.minutes) for row in tx.execute(mine))


def booked_by_order(tx: Connection, shop_id: str, first: date) -> Minutes:
    """What the orders themselves have booked, for checking the sums kept beside the days."""
    found: Minutes = defaultdict(lambda: defaultdict(int))
    both = select(bookings).join(orders).where(orders.c.shop_id == shop_id, bookings.c.day >= first)
    for row in tx.execute(both):
        found[row.day][row.bench] += row.minutes
    return found


def _add_booked(tx: Connection, shop_id: str, day: date, bench: str, minutes: int) -> None:
    # Both databases know the same upsert, each by its own insert.
    fresh: Any = postgresql.insert if tx.dialect.name == "postgresql" else sqlite.insert
    row = fresh(workroom_days).values(shop_id=shop_id, day=day, bench=bench, booked_minutes=minutes)
    together = workroom_days.c.booked_minutes + minutes
    tx.execute(row.on_conflict_do_update(index_elements=["shop_id", "day", "bench"], set_={"booked_minutes": together}))
