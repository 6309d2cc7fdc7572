"""Groups of orders that are promised for one day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, func, insert, select, update

from service.storage.orders.orders import FiledOrder, find_order
from service.storage.tables import bookings, order_groups, orders


@dataclass(frozen=True, slots=True)
class OrderGroup:
    """Several people's orders that are served together; `group_ref` is the till's own reference for them."""

    id: str
    group_ref: str | None
    needed_by: date | None
    placed_at: datetime
    marked_by: str


@dataclass(frozen=True, slots=True)
class GroupPlace:
    """Which of a group's orders one is, counted from 1 by number; of those cancelled only itself is counted."""

    group_ref: str | None
    place: int
    of: int


def add_group(tx: Connection, shop_id: str, group: OrderGroup) -> None:
    """File a new group; its orders are filed after it, each with its id."""
    tx.execute(
        insert(order_groups).values(
            id=group.id,
            shop_id=shop_id,
            group_ref=group.group_ref,
            needed_by=group.needed_by,
            placed_at=group.placed_at,
            marked_by=group.marked_by,
        )
    )


def find_group(tx: Connection, shop_id: str, group_id: str) -> OrderGroup | None:
    """The group of that id, if it is this shop's."""
    one = select(order_groups).where(order_groups.c.id == group_id, order_groups.c.shop_id == shop_id)
    row = tx.execute(one).one_or_none()
    if row is None:
        return None
    return OrderGroup(row.id, row.group_ref, row.needed_by, row.placed_at, row.marked_by)


def orders_of(tx: Connection, group_id: str, *, lock: bool = False) -> tuple[FiledOrder, ...]:
    """The orders of a group by number; `lock` keeps them until the transaction ends."""
    mine = select(orders.c.id, orders.c.shop_id).where(orders.c.group_id == group_id).order_by(orders.c.number)
    found = (find_order(tx, row.shop_id, row.id, lock=lock) for row in tx.execute(mine).all())
    return tuple(filed for filed in found if filed is not None)


def leave_group(tx: Connection, order_id: str) -> None:
    """Let an order belong to no group any more; its row must be locked."""
    tx.execute(update(orders).where(orders.c.id == order_id).values(group_id=None))


def place_in_group(tx: Connection, filed: FiledOrder) -> GroupPlace | None:
    """The order's place in its group; None where it has none."""
    if filed.group_id is None:
        return None
    ref = tx.execute(select(order_groups.c.group_ref).where(order_groups.c.id == filed.group_id)).scalar_one()
    among = (orders.c.state != "cancelled") | (orders.c.id == filed.id)
    mine = select(orders.c.id).where(orders.c.group_id == filed.group_id, among).order_by(orders.c.number)
    ids = [row.id for row in tx.execute(mine)]
    return GroupPlace(ref, ids.index(filed.id) + 1, len(ids))


def last_days(tx: Connection, order_ids: Sequence[str]) -> dict[str, date]:
    """By order, the last day on which it has minutes booked; an order without any is left out."""
    last = select(bookings.c.order_id, func.max(bookings.c.day)).where(bookings.c.order_id.in_(order_ids))
    return {row[0]: row[1] for row in tx.execute(last.group_by(bookings.c.order_id))}
