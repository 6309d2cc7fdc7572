"""Orders that are ready and not collected, over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.http.answering import UnitsSchema
from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.order_answers import OrderSchema, SummarySchema
from service.http.parsing import StrictBlueprint
from service.http.schemas import AddingSchema, Schema
from service.http.texts import Reference, Text
from service.http.values import Count, Strict
from service.use_cases.context import Caller
from service.use_cases.orders import waiting as cases
from service.use_cases.orders.waiting import WaitingList

room = StrictBlueprint("waiting", __name__, description="What is ready and not collected")

FOLLOW_SCOPES = ("order", "workroom")
DAYS_MOST = 3_660


class WaitingQuerySchema(UnitsSchema):
    """For how long they wait at least."""

    days = Count(
        0,
        DAYS_MOST,
        written=True,
        metadata={
            "description": "ready for so many days at least; the shop's `remind_after_days`, where none is given"
        },
    )


class WaitingOrderSchema(AddingSchema, SummarySchema):
    """An order that is ready, or stored, and not collected."""

    of = "filed filed.order"
    ready_since = fields.DateTime(required=True, metadata={"description": "when it became ready"})
    days = fields.Integer(
        required=True, metadata={"description": "for how many days it has been waiting, by the shop's calendar"}
    )
    reminded_at = fields.DateTime(
        required=True,
        allow_none=True,
        metadata={"description": "when the event `order.waiting` was sent for it; null: not yet"},
    )


class WaitingListSchema(Schema):
    """The orders that are waiting for their customers, the longest first; 200 at most."""

    day = fields.Date(required=True, metadata={"description": "the shop's today"})
    orders = fields.List(
        fields.Nested(WaitingOrderSchema),
        required=True,
        metadata={"description": "ready orders that were not collected, the longest waiting first"},
    )


class ReminderSchema(Strict):
    """Who reminded the customer that their order is waiting, and how."""

    by = Reference(load_default=None, metadata={"description": "who; the name of the key, where none is given"})
    note = Text(most=200, load_default="", metadata={"description": "how, for the history: by telephone, in writing"})


@operation(
    room, "POST", "/orders/<uuid:order_id>/reminders", scope=FOLLOW_SCOPES, body=ReminderSchema, headers=IfMatchSchema,
    answer=OrderSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
    example={"by": "fitter-1", "note": "by telephone"},
)  # fmt: skip
def remind_customer(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Record that a customer was reminded of their order; by the shop's rule it can be given up some days after.

    Where the relay runs, the event `order.waiting` is sent once, after `remind_after_days`.
    """
    filed = cases.remind_customer(context(), caller, str(order_id), version=headers["version"], **asked)
    return versioned(filed, filed.version)


@operation(
    room, "GET", "/orders/waiting", scope=FOLLOW_SCOPES, query=WaitingQuerySchema, answer=WaitingListSchema,
)  # fmt: skip
def list_waiting_orders(caller: Caller, query: dict[str, Any]) -> WaitingList:
    """What is ready and not collected after so many days, longest first.

    An order with a piece still in the workroom is not listed: it waits for the workroom, not for its customer.
    """
    return cases.list_waiting(context(), caller, query.get("days"))
