"""Alteration orders over HTTP: placed, listed, read, moved, ticketed and charged."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import Response, request
from marshmallow import post_load

from service.http.answering import UnitsSchema
from service.http.callers.headers import RequiredIdempotencySchema
from service.http.metrics import count_order
from service.http.operations import Versioned, context, created, idempotent_request, operation, versioned
from service.http.orders.answers.charge_answers import ChargesSchema
from service.http.orders.answers.order_answers import PLACED, OrderSchema, OrdersSchema, PlacedSchema
from service.http.orders.order_sheets import EXAMPLE, SheetSchema, sheet_of
from service.http.parsing import StrictBlueprint
from service.http.schemas import Listing
from service.http.texts import Reference, Text
from service.http.values import Choice, Count, Day, Id
from service.storage.orders.order_lists import OrderFilter
from service.tailoring.orders.order_states import STATES
from service.tailoring.workroom.placing import OrderAsked
from service.use_cases.context import Caller
from service.use_cases.orders import orders as cases
from service.use_cases.orders.orders import PAGE_MOST, ChargedOrder, charges_of, show_order

room = StrictBlueprint("orders", __name__, description="Alteration orders, from marking to collection")

NUMBER_MOST = 2**53
# Who places orders may follow them, and so may the bench that sews them.
FOLLOW_SCOPES = ("order", "workroom")
NOTE_MOST = 500


class OrderAskedSchema(SheetSchema):
    """An order: its sheet, whose it is in the caller's own references, and who marked it."""

    customer_ref = Reference()
    sale_ref = Reference()
    marked_by = Reference(required=True, data_key="by", metadata={"description": "who marked it"})
    note = Text(most=NOTE_MOST, metadata={"description": "words on the order as a whole"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> OrderAsked:
        return OrderAsked(sheet=sheet_of(data), **data)


class OrdersQuerySchema(UnitsSchema):
    """Which orders to list."""

    number = Count(1, NUMBER_MOST, written=True, metadata={"description": "the number on its ticket"})
    state = Choice(STATES, metadata={"description": "only orders in this state"})
    customer_ref = Reference(metadata={"description": "the customer, by the caller's own reference"})
    sale_ref = Reference(metadata={"description": "the sale, by the caller's own reference"})
    promised_for = Day(metadata={"description": "the day that it is promised for"})
    group_id = Id(data_key="group", metadata={"description": "the group that it belongs to"})
    below = Count(
        1, NUMBER_MOST, written=True, data_key="after", metadata={"description": "the cursor of the next page"}
    )
    limit = Count(1, PAGE_MOST, written=True, load_default=20, metadata={"description": "orders a page"})


@operation(
    room, "POST", "/orders", scope="order", body=OrderAskedSchema, headers=RequiredIdempotencySchema,
    answer=PlacedSchema, status=201, refuses=(409,), sends=("Location", "ETag", "Answer-Repeated"),
    example={**EXAMPLE, "by": "fitter-1", "customer_ref": "C-1042", "sale_ref": "S-77"},
)  # fmt: skip
def place_order(caller: Caller, headers: dict[str, Any], asked: OrderAsked) -> Response:
    """Place an order: it gets a number, booked minutes and a promised day, or is refused and nothing is kept."""
    answer = cases.place_order(context(), caller, asked, idempotent_request(headers["key"]), PLACED.dump)
    if not answer.repeated:
        count_order(answer.document["minutes"])
    return created(answer, f"/v1/orders/{answer.document['id']}", ETag='"1"')


@operation(
    room, "GET", "/orders", scope=FOLLOW_SCOPES, query=OrdersQuerySchema, answer=OrdersSchema, sends=("Link",),
)  # fmt: skip
def list_orders(caller: Caller, query: dict[str, Any]) -> tuple[Listing, dict[str, str]]:
    """The shop's orders, newest first; `Link: rel="next"` continues."""
    if "group_id" in query:
        query["group_id"] = str(query["group_id"])
    page = cases.list_orders(
        context(), caller, OrderFilter(**{k: v for k, v in query.items() if k != "limit"}), query["limit"]
    )
    following = urlencode({**request.args.to_dict(), "after": page.below})
    link = {"Link": f'<{request.path}?{following}>; rel="next"'} if page.below is not None else {}
    return Listing(page.orders), link


@operation(
    room, "GET", "/orders/<uuid:order_id>", scope=FOLLOW_SCOPES, answer=OrderSchema, refuses=(404,), cacheable=True,
)  # fmt: skip
def read_order(caller: Caller, order_id: object) -> Versioned:
    """One order, whole; its ETag is the version for If-Match."""
    filed = show_order(context(), caller, str(order_id))
    return versioned(filed, filed.version)


@operation(room, "GET", "/orders/<uuid:order_id>/charges", scope="order", answer=ChargesSchema, refuses=(404,))
def list_charges(caller: Caller, order_id: object) -> ChargedOrder:
    """The lines for the till's basket; none once the order is cancelled. A redo adds none: it is free."""
    return charges_of(context(), caller, str(order_id))
