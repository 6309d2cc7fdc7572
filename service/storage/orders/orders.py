"""Orders: rows to values and back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from service.storage import records
from service.storage.events import announce
from service.storage.line_tables import order_line_changes, order_spells
from service.storage.orders.order_rows import (
    OrderDetails,
    doubts_of,
    event_of,
    event_row,
    line_change_of,
    line_change_row,
    line_of,
    line_row,
    order_details,
    piece_of,
    piece_row,
    piece_state,
    spell_of,
)
from service.storage.orders.tailors import keep_spells
from service.storage.shops import COLUMNS_OF_SHOP, Shop, shop_of_row
from service.storage.statements import Question
from service.storage.tables import order_events, order_garments, order_lines, orders, shops
from service.tailoring.orders.lines.work_of_lines import WorkOfLines
from service.tailoring.orders.order_events import announced
from service.tailoring.orders.orders import Order
from service.tailoring.orders.work_taken import NumberedSpell, PieceAtWork, lines_at_work, pieces_at_work, spells_of
from service.tailoring.work.prices import Terms


class CollectionSlip(NamedTuple):
    """What opens the customer's own view of an order."""

    token: str


@dataclass(frozen=True)
class FiledOrder:
    """An order on file: its id, the version that its ETag names, the customer's token, and the group it belongs to.

    What is made of the order is made once: an answer reads its work in three places.
    """

    id: str
    version: int
    collection_token: str
    order: Order
    group_id: str | None = None

    @cached_property
    def work(self) -> WorkOfLines:
        """Its lines as they are read."""
        return lines_at_work(self.order)

    @cached_property
    def pieces(self) -> tuple[PieceAtWork, ...]:
        """Its pieces, with what the work on each took."""
        return pieces_at_work(self.order)

    @cached_property
    def spells(self) -> tuple[NumberedSpell, ...]:
        """The spells of work on it, oldest first."""
        return spells_of(self.order)

    @property
    def slip(self) -> CollectionSlip:
        """The customer's own view of it."""
        return CollectionSlip(self.collection_token)


# What every order is filed and read by, made once: making a statement takes as long as running it.
_ADD = {table: insert(table) for table in (orders, order_garments, order_lines, order_events, order_line_changes)}
_ONE = select(orders).where(orders.c.id == bindparam("order_id"), orders.c.shop_id == bindparam("of_shop"))
_ONE_HELD = _ONE.with_for_update()
_ASKED_FOR = Question(_ONE)
_BY_TOKEN = Question(select(orders).where(orders.c.collection_token == bindparam("token")))
_VERSION_BY_TOKEN = Question(
    select(*COLUMNS_OF_SHOP, orders.c.id.label("order_id"), orders.c.version.label("order_version"))
    .join_from(orders, shops, shops.c.id == orders.c.shop_id)
    .where(orders.c.collection_token == bindparam("token"))
)
_ROWS_OF = {
    table: Question(select(table).where(table.c.order_id == bindparam("of_order")).order_by(table.c.position))
    for table in (order_garments, order_lines, order_events, order_line_changes, order_spells)
}
_CHANGED = update(orders).where(orders.c.id == bindparam("its_id"))


def add_order(tx: Connection, shop_id: str, filed: FiledOrder) -> None:
    """File a new order."""
    order = filed.order
    its = {
        "id": filed.id,
        "shop_id": shop_id,
        "number": int(order.number),
        "version": filed.version,
        "placed_at": order.placed_at,
        "marked_by": order.marked_by,
        "collection_token": filed.collection_token,
        "group_id": filed.group_id,
    }
    tx.execute(_ADD[orders], its | _changing(order))
    _add_sheet(tx, filed.id, order)
    _add_events(tx, filed.id, order, None)


def file_change(tx: Connection, filed: FiledOrder, changed: Order) -> FiledOrder:
    """File what a change made of an order, and its new events, as its next version.

    The row must be locked (`find_order(lock=True)`).
    """
    if changed == filed.order:
        return filed
    if (changed.garments, changed.lines) != (filed.order.garments, filed.order.lines):
        for table in (order_garments, order_lines):
            tx.execute(delete(table).where(table.c.order_id == filed.id))
        _add_sheet(tx, filed.id, changed)
    elif changed.piece_states != filed.order.piece_states:
        _keep_states(tx, filed.id, changed)
    _add_line_changes(tx, filed.id, changed, len(filed.order.line_changes))
    keep_spells(tx, filed.id, changed, filed.order)
    _add_events(tx, filed.id, changed, filed.order)
    version = filed.version + 1
    tx.execute(_CHANGED, {"its_id": filed.id, "version": version, **_changing(changed)})
    return replace(filed, version=version, order=changed)


def find_order(tx: Connection, shop_id: str, order_id: str, *, lock: bool = False) -> FiledOrder | None:
    """The order of that id, if it is this shop's; `lock` keeps it until the transaction ends."""
    its = {"order_id": order_id, "of_shop": shop_id}
    return _filed_order(tx, tx.execute(_ONE_HELD, its).one_or_none() if lock else _ASKED_FOR.one(tx, **its))


def find_by_token(tx: Connection, token: str) -> tuple[str, FiledOrder] | None:
    """The order whose collection slip has that token, of whatever shop, and that shop's id."""
    row = _BY_TOKEN.one(tx, token=token)
    found = _filed_order(tx, row)
    return (row.shop_id, found) if row and found else None


def find_version(tx: Connection, token: str) -> tuple[str, int, Shop] | None:
    """Of the order whose collection slip has that token its id and version, and its shop."""
    row = _VERSION_BY_TOKEN.one(tx, token=token)
    return None if row is None else (row.order_id, row.order_version, shop_of_row(row))


def _filed_order(tx: Connection, row: Any) -> FiledOrder | None:  # noqa: ANN401  its columns, None of none
    return None if row is None else filed_order(row, lambda table: _rows_of(tx, table, row.id))


def filed_order(row: Any, rows_of: Callable[[Any], Sequence[Any]]) -> FiledOrder:  # noqa: ANN401
    """The order of a row, with its rows in other tables, in turn."""
    details = records.read(row.details or {}, OrderDetails)
    garments = rows_of(order_garments)
    order = Order(
        number=str(row.number),
        piece_states=tuple(piece_state(each, row.state) for each in garments),
        garments=tuple(piece_of(each) for each in garments),
        lines=tuple(line_of(each) for each in rows_of(order_lines)),
        customer_ref=row.customer_ref,
        sale_ref=row.sale_ref,
        needed_by=row.needed_by,
        promised_for=row.promised_for,
        placed_at=row.placed_at,
        marked_by=row.marked_by,
        events=tuple(event_of(each) for each in rows_of(order_events)),
        # An order of before there were terms has none.
        terms=Terms(row.rush_minor or 0, row.deposit_minor or 0, row.round_to_minor),
        rush=row.rush,
        note=row.note or "",
        look_again=doubts_of(row.look_again or (), details),
        # Nothing has become of the lines of an order that is as it was placed.
        line_changes=tuple(map(line_change_of, rows_of(order_line_changes))) if row.version > 1 else (),
        price_reason=details.price_reason,
        tax=details.tax,
        planned_fittings=details.planned_fittings,
        # Nor has anybody worked on it.
        spells=tuple(map(spell_of, rows_of(order_spells))) if row.version > 1 else (),
        assigned=details.assigned,
        dressed=details.dressed,
    )
    return FiledOrder(row.id, row.version, row.collection_token, order, row.group_id)


def _changing(order: Order) -> dict[str, Any]:
    """The columns of an order that changes may touch."""
    return {
        "state": order.state,
        "customer_ref": order.customer_ref,
        "sale_ref": order.sale_ref,
        "needed_by": order.needed_by,
        "promised_for": order.promised_for,
        "rush": order.rush,
        "note": order.note,
        "look_again": list(order.doubts),
        "fitting_on": order.fitting_on,
        "details": records.written(order_details(order)),
        **asdict(order.terms),
    }


def _add_sheet(tx: Connection, order_id: str, order: Order) -> None:
    garments = [
        {"order_id": order_id, "position": i, **piece_row(piece), "state": state, "order_state": order.state}
        for i, (piece, state) in enumerate(zip(order.garments, order.piece_states, strict=True))
    ]
    lines = [{"order_id": order_id, "position": i, **line_row(line)} for i, line in enumerate(order.lines)]
    tx.execute(_ADD[order_garments], garments)
    tx.execute(_ADD[order_lines], lines)


def _rows_of(tx: Connection, table: Any, order_id: str) -> Sequence[Any]:  # noqa: ANN401  one of an order's tables
    return _ROWS_OF[table].all(tx, of_order=order_id)


def _add_line_changes(tx: Connection, order_id: str, order: Order, known: int) -> None:
    """Keep what became of its lines since `known` changes were."""
    rows = [
        {"order_id": order_id, "position": position, **line_change_row(change)}
        for position, change in enumerate(order.line_changes[known:], start=known)
    ]
    if rows:
        tx.execute(_ADD[order_line_changes], rows)


def _keep_states(tx: Connection, order_id: str, order: Order) -> None:
    """Keep where its pieces are, and with each where the order is."""
    its = order_garments.c
    for state in set(order.piece_states):
        positions = [i for i, each in enumerate(order.piece_states) if each == state]
        mine = (its.order_id == order_id) & its.position.in_(positions)
        tx.execute(update(order_garments).where(mine).values(state=state, order_state=order.state))


def _add_events(tx: Connection, order_id: str, order: Order, before: Order | None) -> None:
    """Keep what happened since the order was as `before`, and announce it."""
    known = len(before.events) if before else 0
    rows = [
        {"order_id": order_id, "position": position, **event_row(event)}
        for position, event in enumerate(order.events[known:], start=known)
    ]
    if not rows:
        return
    tx.execute(_ADD[order_events], rows)
    announce(tx, order_id, announced(before, order))
