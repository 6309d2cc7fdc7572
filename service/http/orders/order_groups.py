"""Groups of orders over HTTP: several people, each with an order, and one promise."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, post_load, validate

from service.http.operations import RequiredIdempotencySchema, context, created, idempotent_request, operation
from service.http.orders.order_answers import OrderSchema, PlacedSchema
from service.http.orders.order_sheets import EXAMPLE, SheetSchema, sheet_of
from service.http.orders.orders import NOTE_MOST
from service.http.parsing import StrictBlueprint
from service.http.schemas import AddingSchema
from service.http.texts import Reference, Text
from service.http.values import Day, Flag, Strict
from service.tailoring.workroom.placing import GroupAsked, OrderAsked
from service.use_cases.context import Caller
from service.use_cases.orders.order_groups import ORDERS_MOST, FiledGroup, place_group, show_group

room = StrictBlueprint("order_groups", __name__, description="Orders of several people with one promise")

FOLLOW_SCOPES = ("order", "workroom")
HIS = {"garments": EXAMPLE["garments"], "lines": EXAMPLE["lines"], "hems": EXAMPLE["hems"]}


class MemberSchema(SheetSchema):
    """One person's order: its sheet, and whose it is. The day and the haste are the group's."""

    class Meta(SheetSchema.Meta):
        exclude = ("needed_by", "rush")

    customer_ref = Reference()
    sale_ref = Reference()
    note = Text(most=NOTE_MOST)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> OrderAsked:
        return OrderAsked(sheet=sheet_of(data), marked_by="", **data)


class GroupAskedSchema(Strict):
    """A group: its orders, by when all of them are needed, and who marked them."""

    group_ref = Reference(metadata={"description": "the till's own reference for the group"})
    marked_by = Reference(required=True, data_key="by", metadata={"description": "who marked them"})
    needed_by = Day()
    rush = Flag(load_default=False, metadata={"description": "all of it is a rush, each order for its surcharge"})
    orders = fields.List(fields.Nested(MemberSchema), required=True, validate=validate.Length(min=2, max=ORDERS_MOST))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> GroupAsked:
        return GroupAsked(orders=tuple(data.pop("orders")), **data)


class GroupSchema(AddingSchema):
    """A group with its orders. It is `ready` once all of it may be collected; `states` counts its orders by state."""

    of = "group"
    id = fields.UUID(required=True)
    group_ref = fields.String(required=True, allow_none=True)
    needed_by = fields.Date(required=True, allow_none=True)
    promised_for = fields.Date(required=True, allow_none=True)
    placed_at = fields.DateTime(required=True)
    by = fields.String(required=True, attribute="marked_by", metadata={"description": "who marked them"})
    ready = fields.Boolean(required=True, attribute="is_ready")
    states = fields.Dict(keys=fields.String(), values=fields.Integer(), required=True)
    orders = fields.List(fields.Nested(OrderSchema), required=True)


class PlacedGroupSchema(GroupSchema):
    """A new group; each order with what the fitter should check."""

    of = "filed filed.group"
    orders = fields.List(fields.Nested(PlacedSchema), required=True)


PLACED_GROUP = PlacedGroupSchema()


@operation(
    room, "POST", "/order-groups", scope="order", body=GroupAskedSchema, headers=RequiredIdempotencySchema,
    answer=PlacedGroupSchema, status=201, refuses=(409,), sends=("Location", "Answer-Repeated"),
    example={"by": "fitter-1", "group_ref": "party-7", "orders": [HIS, HIS]},
)  # fmt: skip
def place_order_group(caller: Caller, headers: dict[str, Any], asked: GroupAsked) -> Response:
    """Place the orders of several people for one day, all of them or none."""
    answer = place_group(context(), caller, asked, idempotent_request(headers["key"]), PLACED_GROUP.dump)
    return created(answer, f"/v1/order-groups/{answer.document['id']}")


@operation(
    room, "GET", "/order-groups/<uuid:group_id>", scope=FOLLOW_SCOPES, answer=GroupSchema, refuses=(404,),
)  # fmt: skip
def read_order_group(caller: Caller, group_id: object) -> FiledGroup:
    """A group with its orders, how far they are, and the day for all of them."""
    return show_group(context(), caller, str(group_id))
