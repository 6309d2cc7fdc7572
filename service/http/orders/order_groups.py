"""Groups of orders over HTTP: several people, each with an order, and one promise."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, post_load, validate
from typing_extensions import override

from service.http.answering import UnitsSchema
from service.http.callers.headers import IfMatchSchema, RequiredIdempotencySchema
from service.http.operations import Versioned, context, created, idempotent_request, operation, versioned
from service.http.orders.answers.order_answers import PLACED, OrderSchema, PlacedSchema
from service.http.orders.order_sheets import EXAMPLE, SheetSchema, sheet_of
from service.http.orders.orders import NOTE_MOST
from service.http.orders.papers import PRINTED, TEXT, printed
from service.http.parsing import StrictBlueprint
from service.http.schemas import AddingSchema, Schema
from service.http.texts import Reference, Text
from service.http.values import Day, Flag, Strict
from service.tailoring.workroom.placing import GroupAsked, OrderAsked
from service.use_cases.context import Caller
from service.use_cases.orders.group_members import join_group, leave_group
from service.use_cases.orders.order_groups import ORDERS_MOST, FiledGroup, place_group, show_group

room = StrictBlueprint("order_groups", __name__, description="Orders of several people with one promise")

FOLLOW_SCOPES = ("order", "workroom")
HIS = {"garments": EXAMPLE["garments"], "lines": EXAMPLE["lines"], "hems": EXAMPLE["hems"]}


class MemberSchema(SheetSchema):
    """One person's order: its sheet, and whose it is. Day and rush are the group's."""

    class Meta(SheetSchema.Meta):
        exclude = ("needed_by", "rush")

    customer_ref = Reference()
    sale_ref = Reference()
    note = Text(most=NOTE_MOST)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> OrderAsked:
        return OrderAsked(sheet=sheet_of(data), marked_by="", **data)


class GroupAskedSchema(Strict):
    """A group: its orders, by when all of them are needed, and who marked the orders."""

    group_ref = Reference(metadata={"description": "the till's own reference for the group"})
    marked_by = Reference(required=True, data_key="by", metadata={"description": "who marked the orders"})
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
    by = fields.String(required=True, attribute="marked_by", metadata={"description": "who marked the orders"})
    ready = fields.Boolean(required=True, attribute="is_ready")
    states = fields.Dict(keys=fields.String(), values=fields.Integer(), required=True)
    orders = fields.List(fields.Nested(OrderSchema), required=True)


class PlacedGroupSchema(GroupSchema):
    """A new group; each order with what the fitter should check."""

    of = "filed filed.group"
    orders = fields.List(fields.Nested(PlacedSchema), required=True)


PLACED_GROUP = PlacedGroupSchema()


class GroupPieceOnPaperSchema(Schema):
    """A piece of somebody of a group, as the sheet has it."""

    what = fields.String(required=True, metadata={"description": "the piece with its size and cloth, as on its tag"})
    state = fields.String(required=True, metadata={"description": "how far the piece is, in words"})
    work = fields.String(required=True, metadata={"description": "what is done to the piece, in words"})


class GroupMemberOnPaperSchema(Schema):
    """One person of a group, as the sheet has them."""

    place = fields.String(required=True, metadata={"description": "which of the group, as 2 of 6"})
    number = fields.String(required=True, metadata={"description": "the number of the order, as on its ticket"})
    wearer = fields.String(required=True, metadata={"description": "the customer, by the shop's own reference"})
    state = fields.String(required=True, metadata={"description": "how far the order is, in words"})
    pieces = fields.List(
        fields.Nested(GroupPieceOnPaperSchema),
        required=True,
        metadata={"description": "each piece, with a box to tick when it is counted"},
    )
    total = fields.String(required=True, metadata={"description": "what its customer pays for it, in words"})
    note = fields.String(required=True, metadata={"description": "words on the order as a whole; empty: none"})


class GroupSheetSchema(Schema):
    """The sheet of a group as words: the same that every format prints; what is empty is not printed."""

    shop = fields.String(required=True, metadata={"description": "the shop, by the name that its customers know"})
    number = fields.String(required=True, metadata={"description": "what its codes hold"})
    group = fields.String(required=True, metadata={"description": "which group, by the till's reference"})
    promised = fields.String(required=True, metadata={"description": "the day for all of it, in words"})
    needed_by = fields.String(required=True, metadata={"description": "by when all of it is needed, in words"})
    placed = fields.String(required=True, metadata={"description": "the day on which it was placed, in words"})
    by = fields.String(required=True, metadata={"description": "who marked it"})
    counts = fields.String(required=True, metadata={"description": "how many people and pieces, and what is ready"})
    members = fields.List(
        fields.Nested(GroupMemberOnPaperSchema),
        required=True,
        metadata={"description": "everybody whose order is not cancelled, by number"},
    )
    total = fields.String(required=True, metadata={"description": "what all of it costs"})
    checks = fields.List(
        fields.String(), required=True, metadata={"description": "what is signed for the group, in words"}
    )


class JoiningOrderSchema(MemberSchema):
    """One more order of a group: its sheet, whose it is, and who marked it. Day and rush are the group's."""

    marked_by = Reference(required=True, data_key="by", metadata={"description": "who marked it"})

    @post_load
    @override
    def _made(self, data: dict[str, Any], **_: object) -> OrderAsked:
        return OrderAsked(sheet=sheet_of(data), **data)


class LeavingQuerySchema(UnitsSchema):
    """Who lets an order leave its group, and why."""

    by = Reference(metadata={"description": "who; the name of the key, where none is given"})
    said = Text(most=200, data_key="reason", load_default="", metadata={"description": "why, for the history"})


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


@operation(
    room, "POST", "/order-groups/<uuid:group_id>/members", scope="order", body=JoiningOrderSchema,
    headers=RequiredIdempotencySchema, answer=PlacedSchema, status=201, refuses=(404, 409),
    sends=("Location", "Answer-Repeated"), example={"by": "fitter-1", "customer_ref": "C-1043", **HIS},
)  # fmt: skip
def join_order_group(caller: Caller, headers: dict[str, Any], asked: OrderAsked, group_id: object) -> Response:
    """Add one person's order to a group. The whole group is promised for the day of the last order, or it is refused.

    Once the work of others has begun their day is kept: an order that would put it off is refused (`group_day_kept`).
    It takes the group's `needed_by`, and is a rush where the others are.
    """
    retry = idempotent_request(headers["key"])
    answer = join_group(context(), caller, str(group_id), asked, retry, PLACED.dump)
    return created(answer, f"/v1/orders/{answer.document['id']}")


@operation(
    room, "DELETE", "/order-groups/<uuid:group_id>/members/<uuid:order_id>", scope="order", query=LeavingQuerySchema,
    headers=IfMatchSchema, answer=OrderSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
)  # fmt: skip
def leave_order_group(
    caller: Caller, headers: dict[str, Any], query: dict[str, Any], group_id: object, order_id: object
) -> Versioned:
    """Take an order out of its group before work on it begins; it goes on alone, and the others without it.

    It is not cancelled: to cancel it, move it to `cancelled`.
    """
    by, said, version = query.get("by"), query["said"], headers["version"]
    filed = leave_group(context(), caller, str(group_id), str(order_id), by, said=said, version=version)
    return versioned(filed, filed.version)


@operation(
    room, "GET", "/order-groups/<uuid:group_id>/sheet", scope=FOLLOW_SCOPES, answer=TEXT, media="text/plain",
    also={**PRINTED, "application/json": GroupSheetSchema}, refuses=(404, 406), sends=("Vary",),
)  # fmt: skip
def print_group_sheet(caller: Caller, group_id: object) -> Response:
    """One sheet for a group: everybody's pieces, work, day and price, in the formats of the ticket; PDF on A4."""
    return printed("group_sheet", show_group(context(), caller, str(group_id)), caller.shop.name)
