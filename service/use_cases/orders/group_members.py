"""Members of a group: who joins is promised with the others, who leaves goes on alone; one transaction each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from service.storage.orders import order_groups, orders
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.group_members import check_day_kept, check_joinable, left_group
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.order_states import is_over
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.placing import OrderAsked, draw_up_order
from service.use_cases.calendar.promises import calendar_of, settle_group
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.orders.order_groups import ORDERS_MOST
from service.use_cases.orders.orders import PlacedOrder, file_order, held, moment_of, sources_of
from service.use_cases.shop.shops import take_numbers


def join_group(
    context: ServiceContext,
    caller: Caller,
    group_id: str,
    asked: OrderAsked,
    idempotent: IdempotentRequest,
    document: Callable[[PlacedOrder], dict[str, Any]],
) -> Answer:
    """Place one more order of a group; all of it is promised for the day of the last. In haste where the others are.

    Raises Refusal `not_found`, `group_full`, `group_over`, `group_day_kept`, or as `place_order`.
    """

    def make() -> dict[str, Any]:
        # As in placing: the number locks the shop's row before anything is read of its days.
        (number,), now = take_numbers(tx, caller)
        group = order_groups.find_group(tx, caller.shop.id, group_id)
        if group is None:
            raise Refusal("not_found")
        members = [each.order for each in order_groups.orders_of(tx, group.id, lock=True)]
        check_joinable(tuple(members), ORDERS_MOST)
        rush = all(each.rush for each in members if not is_over(each.state))
        wanted = replace(asked, sheet=replace(asked.sheet, needed_by=group.needed_by, rush=rush))
        drawn = draw_up_order(wanted, sources_of(tx, context, now, wanted.sheet), moment_of(tx, context, now), number)
        placed = file_order(tx, context, now, drawn, group.id)
        filed = settle_group(tx, context, now, placed.filed, asked.marked_by)
        check_day_kept(members, filed.order.promised_for)
        return document(replace(placed, filed=filed))

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def leave_group(
    context: ServiceContext,
    caller: Caller,
    group_id: str,
    order_id: str,
    by: str | None,
    *,
    said: str = "",
    version: int,
) -> FiledOrder:
    """Take an order out of its group, whose other orders are promised without it; it goes on alone.

    Raises Refusal `not_found`, `version_stale` or `group_left_too_late`.
    """
    signed = Signed(caller.signs(by), context.now(), said)
    with context.database.writing() as tx:
        caller, filed = held(tx, caller, order_id, version)
        if filed.group_id != group_id:
            raise Refusal("not_found")
        last = order_groups.last_days(tx, [filed.id]).get(filed.id)
        own_day = calendar_of(tx, caller.shop, last).hand_over_on(last) if last else None
        alone = orders.file_change(tx, filed, left_group(filed.order, signed, own_day))
        order_groups.leave_group(tx, filed.id)
        others = order_groups.orders_of(tx, group_id, lock=True)
        if others:
            settle_group(tx, context, caller, others[0], signed.by)
        return replace(alone, group_id=None)
