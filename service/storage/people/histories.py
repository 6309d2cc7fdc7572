"""A customer's history: their orders and outcomes by time, and what of them says which sizes they bought."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, select

from service.storage.columns import further
from service.storage.orders.orders import FiledOrder, find_order
from service.storage.orders.outcomes import outcomes_of_customer
from service.storage.tables import order_garments, orders
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.orders.last_bought import Bought


def orders_of_customer(
    tx: Connection, shop_id: str, customer_ref: str, most: int, last: tuple[datetime, str] | None
) -> tuple[FiledOrder, ...]:
    """A customer's orders, newest first; those after the last one of a page, by its time and id."""
    its = orders.c
    theirs = select(its.id).where(its.shop_id == shop_id, its.customer_ref == customer_ref)
    rest = theirs.where(further(its.placed_at, its.id, last)).order_by(its.placed_at.desc(), its.id).limit(most)
    found = (find_order(tx, shop_id, order_id) for order_id in tx.execute(rest).scalars().all())
    return tuple(filed for filed in found if filed is not None)


def sizes_bought(tx: Connection, shop_id: str, customer_ref: str) -> tuple[list[Bought], list[Bought]]:
    """The sizes that a customer bought here, and those that went back; none of what was brought in."""
    piece, its = order_garments.c, orders.c
    sold = (
        select(piece.garment, piece.chart, piece.label, piece.brought_in, its.placed_at, its.id)
        .select_from(orders.join(order_garments))
        .where(its.shop_id == shop_id, its.customer_ref == customer_ref, its.state == "collected")
        .where(piece.chart.is_not(None), piece.label.is_not(None), piece.garment.in_(GARMENTS))
    )
    bought = [
        Bought(row.garment, row.chart, row.label, row.placed_at.date(), "order", row.id)
        for row in tx.execute(sold)
        if not row.brought_in
    ]
    gone: list[Bought] = []
    for filed in outcomes_of_customer(tx, shop_id, customer_ref):
        told = filed.outcome
        first = Bought(told.garment, told.sold.chart, told.sold.label, told.on, "outcome", filed.id)
        (bought if told.result in {"kept", "altered"} else gone).append(first)
        if told.swapped_to is not None:
            to = told.swapped_to
            bought.append(Bought(told.garment, to.chart, to.label, told.on, "outcome", filed.id))
    return bought, gone
