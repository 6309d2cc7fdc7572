"""Work given to tailors, and begun, put down and ended by them: one transaction each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from service.storage.database import Transaction
from service.storage.orders import order_lists, orders, tailors
from service.storage.orders.order_lists import OrderFilter
from service.storage.orders.orders import FiledOrder
from service.storage.orders.tailors import OpenSpell
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.work_done import Spell
from service.tailoring.orders.work_taken import NumberedSpell, spells_of
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.assignments import assign
from service.tailoring.workroom.spells import Doing, Moment, WorkOn, begun, end_paused, put_down, work_named
from service.tailoring.workroom.tailors import Tailor
from service.use_cases.calendar.tailors import tailor_of
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.orders.orders import held, known
from service.use_cases.shop.shops import hold


@dataclass(frozen=True, slots=True)
class WorkAsked:
    """What a tailor does: begins, pauses or ends work, of the order whose ticket it is, on a piece or a line.

    Pausing and ending is of what they have in hand, where no ticket is named. `at` is when, if it was not now.
    """

    do: Doing
    ticket: int | None = None
    piece: int | None = None
    number: int | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class SpellOfOrder:
    """A spell of work, and its order as it is now."""

    filed: FiledOrder
    numbered: NumberedSpell


@dataclass(frozen=True, slots=True)
class WorkDone:
    """What came of it: the spell that was begun, paused or ended, and the one that was put down for it."""

    tailor: Tailor
    spell: SpellOfOrder
    put_down: SpellOfOrder | None = None


def assign_work(  # noqa: PLR0913  all that an assignment says, by name
    context: ServiceContext,
    caller: Caller,
    order_id: str,
    tailor: str | None,
    by: str | None,
    *,
    lines: Sequence[int],
    pieces: Sequence[int],
    note: str,
    version: int,
) -> FiledOrder:
    """Give lines and pieces of an order to a tailor, or to none.

    Raises Refusal `not_found`, `version_stale`, `tailor_unknown`, or as `assign`.
    """
    signed = Signed(caller.signs(by), context.now(), note)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        whose = tailor_of(tx, caller, tailor, ("tailor",)) if tailor else None
        return orders.file_change(tx, filed, assign(filed.order, whose, lines, pieces, signed))


def work(context: ServiceContext, caller: Caller, ref: str, asked: WorkAsked) -> WorkDone:
    """Begin, pause or end a tailor's work; what they had in hand is put down when they begin another.

    Raises Refusal `not_found`, `ticket_unknown`, or as `Moment`, `work_named`, `begun` and `end_paused`.
    """
    with context.database.writing() as tx:
        caller = hold(tx, caller)
        tailor = tailor_of(tx, caller, ref)
        moment = Moment(context.now(), ZoneInfo(caller.shop.time_zone), asked.at)
        open_now = tailors.open_spells(tx, caller.shop.id).get(ref)
        if asked.do == "begin":
            return _begin(tx, caller, tailor, asked, moment, open_now)
        return _put_down(tx, caller, tailor, asked, moment, open_now)


def _begin(
    tx: Transaction, caller: Caller, tailor: Tailor, asked: WorkAsked, moment: Moment, open_now: OpenSpell | None
) -> WorkDone:
    filed = _ticketed(tx, caller, asked)
    on, at = work_named(filed.order, tailor, asked.piece, asked.number), moment.at
    before = None
    if open_now is not None:
        if open_now.order_id == filed.id and WorkOn.of(open_now.spell) == on:
            return WorkDone(tailor, _last(filed, tailor.ref, on))
        before = _over(tx, caller, open_now, moment, "pause")
        at = max(at, open_now.spell.since)
        filed = before.filed if before.filed.id == filed.id else filed
    else:
        moment.check_after(tailors.last_end(tx, caller.shop.id, tailor.ref))
    filed = orders.file_change(tx, filed, begun(filed.order, tailor, on, at))
    return WorkDone(tailor, _last(filed, tailor.ref, on), before)


def _put_down(
    tx: Transaction, caller: Caller, tailor: Tailor, asked: WorkAsked, moment: Moment, open_now: OpenSpell | None
) -> WorkDone:
    if asked.ticket is None:
        if open_now is None:
            raise Refusal("nothing_begun")
        return WorkDone(tailor, _over(tx, caller, open_now, moment, asked.do))
    filed = _ticketed(tx, caller, asked)
    in_hand = open_now is not None and open_now.order_id == filed.id
    if open_now is not None and in_hand and asked.piece is None and asked.number is None:
        return WorkDone(tailor, _over(tx, caller, open_now, moment, asked.do))
    on = work_named(filed.order, tailor, asked.piece, asked.number)
    if open_now is not None and in_hand and WorkOn.of(open_now.spell) == on:
        return WorkDone(tailor, _over(tx, caller, open_now, moment, asked.do))
    if asked.do == "pause":
        raise Refusal("nothing_begun")
    signed = Signed(tailor.ref, moment.at, "")
    filed = orders.file_change(tx, filed, end_paused(filed.order, tailor.ref, on, signed))
    return WorkDone(tailor, _last(filed, tailor.ref, on))


def _over(tx: Transaction, caller: Caller, now: OpenSpell, moment: Moment, doing: Doing) -> SpellOfOrder:
    """The spell that was in hand, over now."""
    filed = known(orders.find_order(tx, caller.shop.id, now.order_id, lock=True))
    at = moment.end_of(now.spell, now.number)
    changed = put_down(filed.order, now.spell.tailor, doing, at, Signed(now.spell.tailor, moment.at, ""))
    return _last(orders.file_change(tx, filed, changed), now.spell.tailor, WorkOn.of(now.spell))


def _last(filed: FiledOrder, ref: str, on: WorkOn) -> SpellOfOrder:
    def mine(each: Spell) -> bool:
        return each.tailor == ref and WorkOn.of(each) == on

    return SpellOfOrder(filed, [each for each in spells_of(filed.order) if mine(each.spell)][-1])


def _ticketed(tx: Transaction, caller: Caller, asked: WorkAsked) -> FiledOrder:
    """The order of that ticket, locked. Raises Refusal `ticket_unknown`."""
    found = order_lists.list_orders(tx, caller.shop.id, OrderFilter(number=asked.ticket), 1)
    filed = orders.find_order(tx, caller.shop.id, found[0].id, lock=True) if found else None
    if filed is None:
        raise Refusal("ticket_unknown", ("ticket",), given=str(asked.ticket))
    return filed
