"""What is booked at the benches for orders that are not done, and how many orders there are in each state."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from functools import partial
from typing import Any

from sqlalchemy import Connection, Row, Table, case, func, null, or_, select

from service.storage import records
from service.storage.line_tables import order_line_changes, order_spells
from service.storage.orders.order_rows import OrderDetails
from service.storage.orders.orders import FiledOrder, filed_order
from service.storage.tables import bookings, order_events, order_garments, order_lines, orders
from service.tailoring.orders.order_states import State
from service.tailoring.workroom.worklists import Booked, OpenOrder

# What an order is made of, beside its row.
_PARTS = (order_garments, order_lines, order_events, order_line_changes, order_spells)
_BOOKED = ("bench", "day", "minutes", "hard_minutes", "reserve", "piece")
# Where the order was when it was written where its piece is (`order_rows.piece_state`).
_WRITTEN = order_garments.c.order_state.label("written_at")


def booked_work(tx: Connection, shop_id: str, states: Collection[State], day: date) -> tuple[Booked, ...]:
    """Minutes of orders in `states` that are booked up to `day`, and all of those whose promised day is over.

    In no order. It reads the open orders of the shop, and none of those that are over, however many.
    """
    piece = (order_garments.c.order_id == orders.c.id) & (order_garments.c.piece == bookings.c.piece)
    wanted = (
        select(orders, *(bookings.c[name] for name in _BOOKED), order_garments.c.state.label("piece_state"), _WRITTEN)
        .select_from(orders.join(bookings).outerjoin(order_garments, piece))
        .where(orders.c.shop_id == shop_id, orders.c.state.in_(sorted(states)))
        .where(or_(bookings.c.day <= day, orders.c.promised_for < day))
    )
    return tuple(
        Booked(
            OpenOrder(row.id, row.number, row.state, row.promised_for, row.needed_by, row.rush),
            *(row.bench, row.day, row.minutes, row.hard_minutes, row.reserve, row.piece or None),
            state=row.piece_state if row.written_at == row.state else None,
        )
        for row in tx.execute(wanted)
    )


def orders_of(tx: Connection, order_ids: Collection[str]) -> dict[str, FiledOrder]:
    """Those orders, whole, by id: a query for each table, however many they are."""
    parts: dict[Table, dict[str, list[Row[Any]]]] = {}
    for table in _PARTS:
        rows = tx.execute(
            select(table).where(table.c.order_id.in_(order_ids)).order_by(table.c.order_id, table.c.position)
        )
        found = parts.setdefault(table, {})
        for row in rows:
            found.setdefault(row.order_id, []).append(row)
    return {
        row.id: filed_order(row, partial(_of, parts, row.id))
        for row in tx.execute(select(orders).where(orders.c.id.in_(order_ids)))
    }


def _of(parts: Mapping[Table, Mapping[str, list[Row[Any]]]], order_id: str, table: Table) -> list[Row[Any]]:
    return parts[table].get(order_id, [])


def assigned_to(tx: Connection, order_ids: Collection[str], tailor: str) -> set[str]:
    """Which of those orders have work that is given to a tailor."""
    asked = select(orders.c.id, orders.c.details).where(orders.c.id.in_(order_ids))
    return {
        row.id
        for row in tx.execute(asked)
        if any(each.tailor == tailor for each in records.read(row.details or {}, OrderDetails).assigned)
    }


def count_orders(tx: Connection, shop_id: str, states: Collection[State]) -> dict[State, int]:
    """How many orders there are in each of `states`."""
    asked = (
        select(orders.c.state, func.count())
        .where(orders.c.shop_id == shop_id, orders.c.state.in_(sorted(states)))
        .group_by(orders.c.state)
    )
    return {row[0]: row[1] for row in tx.execute(asked)}


def count_promised(tx: Connection, shop_id: str, states: Collection[State], first: date | None, last: date) -> int:
    """How many orders in `states` are promised for the days from `first` (or ever) to `last`.

    Read by state, as above: by day it would meet every order that was ever late.
    """
    its = orders.c.promised_for
    day = func.nullif(its, null(), type_=its.type)
    asked = (
        select(func.count())
        .select_from(orders)
        .where(orders.c.shop_id == shop_id, orders.c.state.in_(sorted(states)), day <= last)
    )
    return int(tx.execute(asked if first is None else asked.where(day >= first)).scalar_one())


def count_pieces(tx: Connection, shop_id: str, states: Collection[State]) -> dict[State, int]:
    """How many pieces there are in each state, of orders in `states`."""
    its = order_garments.c
    state = case((its.order_state == orders.c.state, func.coalesce(its.state, orders.c.state)), else_=orders.c.state)
    asked = (
        select(state, func.count())
        .select_from(orders.join(order_garments))
        .where(orders.c.shop_id == shop_id, orders.c.state.in_(sorted(states)))
        .group_by(state)
    )
    return {row[0]: row[1] for row in tx.execute(asked)}
