"""Changes of an order: moved along, amended, promised for another day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Unpack
from zoneinfo import ZoneInfo

from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.line_changes import LineChangesAsked, lines_again
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines_open import check_touched_by_move
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.order_states import MoveFacts, State
from service.tailoring.orders.waiting import check_give_up
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.amendments import AmendmentAsked, amended, sheet_wanted
from service.use_cases.calendar.promises import (
    book_line_changes,
    book_move,
    book_order,
    promise_order_anew,
    settle_group,
)
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.line_changes import lines_changed
from service.use_cases.orders.orders import PlacedOrder, held, sources_of


def move_order(  # noqa: PLR0913  all that a move says, by name
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    to: State,
    by: str | None,
    *,
    note: str = "",
    pieces: Sequence[int] = (),
    version: int | None = None,
    line_changes: LineChangesAsked | None = None,
    **said: Unpack[MoveFacts],
) -> FiledOrder:
    """Move an order along, or some of its pieces, and let the calendar follow.

    What is cancelled gives its minutes back, a redo books again. An answer, a second fitting and a redo may change
    lines with it: `line_changes`.
    Raises Refusal `not_found`, `version_stale`, or as `order_moves.move`, `check_touched_by_move` and `book_move`.
    """
    signed = caller.signs(by)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        order, why = filed.order, Signed(signed, context.now(), said.get("answer") or said.get("reason") or note)
        if line_changes is not None:
            try:
                order = lines_changed(tx, context, caller, filed, line_changes, why).order
            except Refusal as refusal:
                raise refusal.within("line_changes") from None
            said["redo_lines"] = lines_again(filed.order, order, said.get("redo_lines"))
        if to == "given_up":
            today, zone = context.today(caller.shop), ZoneInfo(caller.shop.time_zone)
            check_give_up(order, caller.shop.week.waiting, today, zone)
        moved = move(order, to, signed, context.now(), note, pieces=pieces, **said)
        if line_changes is not None:
            check_touched_by_move(filed.order, moved)
            if not moved.events[-1].is_redo:
                book_line_changes(tx, context, caller, filed, order)
        changed = orders.file_change(tx, filed, book_move(tx, context, caller, filed, moved))
        return settle_group(tx, context, caller, changed, signed, no_sooner=True)


def amend_order(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    asked: AmendmentAsked,
    by: str | None,
    *,
    said: str = "",
    version: int,
) -> PlacedOrder:
    """Change an order whose work has not begun: quoted and booked anew in one transaction, or left as it was.

    Raises Refusal `not_found`, `version_stale`, `amendment_too_late`, or as `draw_up` and `promise`.
    """
    signed = caller.signs(by)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        sources = sources_of(tx, context, caller, sheet_wanted(filed.order, asked))
        wanted = amended(filed.order, asked, sources, Signed(signed, context.now(), said))
        order = wanted.order
        if order == filed.order:
            return PlacedOrder(filed, wanted.notices)
        if wanted.needs_booking:
            order = book_order(tx, context, caller, filed, order)
        return PlacedOrder(
            settle_group(tx, context, caller, orders.file_change(tx, filed, order), signed), wanted.notices
        )


def promise_order(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    by: str | None,
    reason: str,
    *,
    from_reserve: bool = False,
    version: int,
) -> FiledOrder:
    """Book again what is still to be done of an order and promise it for the day that comes of it.

    Raises Refusal `not_found`, `version_stale`, `nothing_to_promise` or `no_free_day`.
    """
    signed = caller.signs(by)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        changed = promise_order_anew(tx, context, caller, filed, signed, reason, from_reserve=from_reserve)
        return settle_group(tx, context, caller, orders.file_change(tx, filed, changed), signed)
