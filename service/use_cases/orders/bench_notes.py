"""What benches note of an order's lines, and the check of what is sewn: one transaction each."""

from __future__ import annotations

from collections.abc import Sequence

from service.storage import charts
from service.storage.database import Transaction
from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder
from service.tailoring.garments.found_inlays import InlayFound
from service.tailoring.orders.bench_notes import BenchNote, check_work, noted
from service.tailoring.orders.lines.line_checks import LineMeasured
from service.tailoring.orders.lines.line_history import Signed
from service.use_cases.calendar.promises import book_move, settle_group
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.orders import PlacedOrder, held


def note_work(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    notes: Sequence[BenchNote],
    by: str | None,
    *,
    note: str,
    version: int,
) -> PlacedOrder:
    """Note what was cut, found and sewn; inlay that was found is remembered for the revision of the piece's chart.

    Raises Refusal `not_found`, `version_stale`, or as `noted`.
    """
    signed = Signed(caller.signs(by), context.now(), note)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        done = noted(filed.order, notes, signed)
        for found in done.inlays:
            _remember(tx, context, caller, filed, found)
        return PlacedOrder(orders.file_change(tx, filed, done.order), done.notices)


def check_lines(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    found: Sequence[LineMeasured],
    by: str | None,
    *,
    note: str,
    version: int,
) -> FiledOrder:
    """Keep the measures of finished lines; what is off goes back to the bench, and is booked and promised again.

    Raises Refusal `not_found`, `version_stale`, or as `check_work` and `book_move`.
    """
    signed = Signed(caller.signs(by), context.now(), note)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        checked = check_work(filed.order, found, signed, by_anyone=caller.shop.checked_by_anyone)
        if checked.piece_states != filed.order.piece_states:
            checked = book_move(tx, context, caller, filed, checked)
        return settle_group(tx, context, caller, orders.file_change(tx, filed, checked), signed.by, no_sooner=True)


def _remember(tx: Transaction, context: ServiceContext, caller: Caller, filed: FiledOrder, found: InlayFound) -> None:
    """Of the revision by which the piece was sold; the reference blocks are nobody's garments."""
    revision = charts.revision_at(tx, caller.shop.id, found.chart, filed.order.placed_at)
    if revision is not None:
        charts.remember_inlay(tx, caller.shop.id, context.new_id(), revision, found)
