"""Orders in lists: a few words of each, found by what the fewest share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Row, func, null, select

from service.storage.tables import orders
from service.tailoring.orders.order_states import State


@dataclass(frozen=True, slots=True)
class OrderSummary:
    """An order as a list shows it."""

    id: str
    number: str
    state: State
    customer_ref: str | None
    sale_ref: str | None
    needed_by: date | None
    promised_for: date
    rush: bool = False
    group_id: str | None = None


@dataclass(frozen=True, slots=True)
class OrderFilter:
    """Which orders to list; what is None does not matter. `below` is the last number of the page before."""

    number: int | None = None
    state: str | None = None
    customer_ref: str | None = None
    sale_ref: str | None = None
    promised_for: date | None = None
    group_id: str | None = None
    below: int | None = None


# What an order is looked for by: that which the fewest orders share stands first.
_FEWEST_FIRST = ("group_id", "number", "sale_ref", "customer_ref", "promised_for", "state")


def list_orders(tx: Connection, shop_id: str, wanted: OrderFilter, most: int) -> tuple[OrderSummary, ...]:
    """Orders of a shop, newest number first.

    However many there are, a page is read from one index, in its order.
    """
    asked = select(orders).where(orders.c.shop_id == shop_id)
    said = [column for column in _FEWEST_FIRST if getattr(wanted, column) is not None]
    for position, column in enumerate(said):
        # Only the first may choose the index. A planner without statistics could as well take the one for a state,
        # which a million orders may be in.
        its = orders.c[column]
        tested = its if position == 0 else func.nullif(its, null(), type_=its.type)
        asked = asked.where(tested == getattr(wanted, column))
    if wanted.below is not None:
        asked = asked.where(orders.c.number < wanted.below)
    return tuple(_summary(row) for row in tx.execute(asked.order_by(orders.c.number.desc()).limit(most)))


def summaries(tx: Connection, shop_id: str, order_ids: Sequence[str]) -> tuple[OrderSummary, ...]:
    """Those orders of a shop, by number."""
    asked = select(orders).where(orders.c.shop_id == shop_id, orders.c.id.in_(order_ids)).order_by(orders.c.number)
    return tuple(_summary(row) for row in tx.execute(asked))


def _summary(row: Row[Any]) -> OrderSummary:
    return OrderSummary(
        id=row.id,
        number=str(row.number),
        state=row.state,
        customer_ref=row.customer_ref,
        sale_ref=row.sale_ref,
        needed_by=row.needed_by,
        promised_for=row.promised_for,
        rush=row.rush,
        group_id=row.group_id,
    )
