"""Which orders wait for their customers."""

from __future__ import annotations

from sqlalchemy import Connection, select

from service.storage.tables import orders
from service.tailoring.orders.waiting import WAITING

# More than a shop has on its rails.
WAITING_MOST = 2_000


def waiting_ids(tx: Connection, shop_id: str) -> tuple[str, ...]:
    """The ids of a shop's orders that are ready and not collected, the earliest numbers first."""
    mine = select(orders.c.id).where(orders.c.shop_id == shop_id, orders.c.state.in_(WAITING))
    return tuple(tx.execute(mine.order_by(orders.c.number).limit(WAITING_MOST)).scalars())
