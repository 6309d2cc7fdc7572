"""Changes of an order: moved along, amended, promised for another day."""

from __future__ import annotations

from datetime import date
from typing import TypedDict, Unpack

from service.storage.database import Transaction
from service.storage.orders import orders
from service.storage.orders.orders import FiledOrder
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.order_lines import LineAsked, OrderLine
from service.tailoring.orders.order_states import MoveFacts, State
from service.tailoring.orders.orders import Amendment, Order, amend, check_amendable, move, move_with_day
from service.use_cases.calendar.promises import book_move, book_order, promise_order_anew, settle_group
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.order_hems import HEM_CODES, HemAsked
from service.use_cases.orders.order_sheet import THE_ONLY_ONE, SheetAsked, draw_up
from service.use_cases.orders.orders import PlacedOrder, known
from service.use_cases.shop.shops import hold
from service.use_cases.versions import check_version


class AmendmentAsked(TypedDict, total=False):
    """What is to be another of an order; what is not named stays.

    `lines` are all its lines from now on. `hems` take the place of the hems of the pieces that they pin.
    """

    garments: tuple[GarmentPiece, ...]
    lines: tuple[LineAsked, ...]
    hems: tuple[HemAsked, ...]
    needed_by: date | None
    note: str
    rush: bool


def move_order(
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    to: State,
    by: str | None,
    *,
    note: str = "",
    version: int | None = None,
    **said: Unpack[MoveFacts],
) -> FiledOrder:
    """Move an order along, and let the calendar follow: a cancelled one gives its minutes back, a redo books again.

    Raises Refusal `not_found`, `version_stale`, or as `orders.move` and `book_move`.
    """
    signed = caller.signs(by)
    with context.database.writing() as tx:
        caller, filed = _held(tx, caller, order_id, version)
        moved = move(filed.order, to, signed, context.now(), note, **said)
        changed = book_move(tx, context, caller, filed, moved)
        return settle_group(tx, context, orders.file_change(tx, filed, changed), signed)


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
        caller, filed = _held(tx, caller, order_id, version)
        order = filed.order
        check_amendable(order)
        changes: Amendment = {name: asked[name] for name in ("needed_by", "note", "rush") if name in asked}  # type: ignore[assignment]
        notices = order.notices
        if asked.keys() & {"garments", "lines", "hems"}:
            sheet = draw_up(tx, caller, _sheet_asked(order, asked))
            changes |= {"garments": sheet.garments, "lines": sheet.lines}
            notices = sheet.notices
        wanted = amend(order, signed, context.now(), said, **_with_terms(caller, order, changes))
        if wanted == order:
            return PlacedOrder(filed, notices)
        if _needs_booking(order, wanted):
            booking = book_order(tx, context, caller, filed.id, wanted)
            wanted = move_with_day(order, wanted, booking.promised_for)
        return PlacedOrder(settle_group(tx, context, orders.file_change(tx, filed, wanted), signed), notices)


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
        caller, filed = _held(tx, caller, order_id, version)
        changed = promise_order_anew(tx, context, caller, filed, signed, reason, from_reserve=from_reserve)
        return settle_group(tx, context, orders.file_change(tx, filed, changed), signed)


def _held(tx: Transaction, caller: Caller, order_id: str, version: int | None) -> tuple[Caller, FiledOrder]:
    """The shop and its order, locked in the order in which placing locks. Raises `not_found` or `version_stale`."""
    caller = hold(tx, caller)
    filed = known(orders.find_order(tx, caller.shop.id, order_id, lock=True))
    if version is not None:
        check_version(filed.version, version)
    return caller, filed


def _sheet_asked(order: Order, asked: AmendmentAsked) -> SheetAsked:
    """The whole sheet as it is wanted now: what is not named is asked for as it stands."""
    garments, hems = asked.get("garments", order.garments), asked.get("hems", ())
    if "lines" in asked:
        return SheetAsked(garments, asked["lines"], hems)
    pinned = {hem.piece for hem in hems}
    if THE_ONLY_ONE in pinned:
        pinned |= {piece.piece for piece in garments if piece.garment == "trousers"}
    lines = tuple(
        _as_asked(line) for line in order.lines if not (line.alteration in HEM_CODES.values() and line.piece in pinned)
    )
    # What follows of these lines was decided when they were asked for.
    return SheetAsked(garments, lines, hems, add_follow_ons=False)


def _as_asked(line: OrderLine) -> LineAsked:
    """A line as it would be asked for again."""
    return LineAsked(
        piece=line.piece,
        alteration=line.alteration,
        amount=line.amount,
        target=line.target,
        inlay_seen=line.inlay_seen,
        note=line.note,
        marked_with=line.marked_with,
        undone_first=line.undone_first,
        origin=line.origin,
        seen=line.seen,
    )


def _with_terms(caller: Caller, order: Order, changes: Amendment) -> Amendment:
    """Terms are agreed anew where what they follow from is another: the lines, or the haste."""
    lines, rush = changes.get("lines", order.lines), changes.get("rush", order.rush)
    if (lines, rush) == (order.lines, order.rush):
        return changes
    return {**changes, "terms": caller.shop.prices.terms(sum(line.price.minor for line in lines), rush=rush)}


def _needs_booking(order: Order, wanted: Order) -> bool:
    """A day that is wanted no sooner than it is promised needs no other; nor do words."""
    sooner = wanted.needed_by is not None and order.promised_for is not None and wanted.needed_by < order.promised_for
    return sooner or wanted.rush != order.rush or wanted.lines != order.lines
