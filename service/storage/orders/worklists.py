"""What is booked at the benches for orders that are not done, and how many orders there are in each state."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from sqlalchemy import Connection, case, func, null, or_, select

from service.storage.tables import bookings, order_garments, order_lines, orders
from service.tailoring.orders.order_states import State
from service.tailoring.workroom.worklists import BenchLine, Booked, OpenOrder

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


def lines_of(tx: Connection, order_ids: Collection[str]) -> dict[str, tuple[BenchLine, ...]]:
    """By order, its lines in their order."""
    its = order_lines.c
    asked = select(its.order_id, its.piece, its.alteration, its.side, its.minutes).where(its.order_id.in_(order_ids))
    found: dict[str, list[BenchLine]] = {each: [] for each in order_ids}
    for row in tx.execute(asked.order_by(its.order_id, its.position)):
        found[row.order_id].append(BenchLine(row.piece, row.alteration, row.side, row.minutes))
    return {each: tuple(lines) for each, lines in found.items()}


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
