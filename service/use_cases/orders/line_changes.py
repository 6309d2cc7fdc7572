"""Lines of an order changed, added and struck once its work is in question: one transaction with minutes and day."""

from __future__ import annotations

from service.storage.database import Transaction
from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.line_changes import (
    LineChangesAsked,
    LinesChanged,
    sheet_of_order,
    with_lines_changed,
)
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines_open import check_lines_open, check_touched
from service.use_cases.calendar.promises import book_line_changes, settle_group
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.orders import PlacedOrder, held, sources_of


def change_lines(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    asked: LineChangesAsked,
    by: str | None,
    *,
    why: str,
    version: int,
) -> PlacedOrder:
    """Change lines of an order, and let minutes, prices and day follow; or leave all of it as it was.

    Raises Refusal `not_found`, `version_stale`, or as `check_lines_open`, `with_lines_changed` and `promise`.
    """
    signed = Signed(caller.signs(by), context.now(), why)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        check_lines_open(filed.order, asked)
        changed = lines_changed(tx, context, caller, filed, asked, signed)
        if changed.order == filed.order:
            return PlacedOrder(filed, changed.notices)
        check_touched(filed.order, changed.order)
        order = book_line_changes(tx, context, caller, filed, changed.order)
        return PlacedOrder(
            settle_group(tx, context, caller, orders.file_change(tx, filed, order), signed.by), changed.notices
        )


def lines_changed(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    filed: FiledOrder,
    asked: LineChangesAsked,
    signed: Signed,
) -> LinesChanged:
    """The order as its lines are wanted; nothing is filed or booked. Raises Refusal as `with_lines_changed`."""
    return with_lines_changed(filed.order, asked, sources_of(tx, context, caller, sheet_of_order(filed.order)), signed)
