"""Orders going out: as one order, a list, and as quotes share their lines."""

from __future__ import annotations

from marshmallow import fields, validate
from typing_extensions import override

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.notices import Facts, NoticeSchema
from service.http.orders.answers.bench_answers import SpellSchema
from service.http.orders.answers.line_answers import LineChangeSchema, OrderLineSchema, PriceReasonSchema
from service.http.orders.answers.piece_answers import OrderPieceSchema
from service.http.orders.dressed import DressedSchema
from service.http.orders.order_units import InItsUnitSchema
from service.http.schemas import ByHand, Schema, Word
from service.http.shop.work import FollowOnSchema, WorkSchema
from service.http.values import MoneySchema, TaxIncluded
from service.storage.orders.orders import CollectionSlip
from service.tailoring.orders.order_states import EVENT_KINDS, STATES


class OrderEventSchema(Schema):
    """What happened to the order: when, by whom, from where to where, and what was noted.

    A move of some of the pieces names them in `facts`; `from` and `to` are then their states. `facts` also say what an
    amendment changed, and how the promise moved (`promised_before`, `promised_for`).
    """

    at = fields.DateTime(required=True)
    by = fields.String(required=True)
    from_state = Word(STATES, allow_none=True, data_key="from")
    to_state = Word(STATES, data_key="to")
    kind = fields.String(required=True, validate=validate.OneOf(EVENT_KINDS))
    note = fields.String(required=True)
    facts = Facts(keys=fields.String(), required=True)


class SlipPath(fields.String):
    """The address of a slip."""

    _CHECK_ATTRIBUTE = False

    @override
    def _serialize(self, value: object, attr: str | None, obj: CollectionSlip, **_: object) -> str:
        return f"/v1/collection-slips/{obj.token}"


class SlipSchema(Schema):
    """Where the customer sees how far their order has come."""

    token = fields.String(required=True)
    path = SlipPath(required=True)


class SummarySchema(Schema):
    """An order as a list shows it."""

    id = fields.UUID(required=True)
    number = fields.String(required=True)
    state = fields.String(required=True, validate=validate.OneOf(STATES))
    customer_ref = fields.String(required=True, allow_none=True)
    sale_ref = fields.String(required=True, allow_none=True)
    needed_by = fields.Date(required=True, allow_none=True)
    promised_for = fields.Date(required=True, allow_none=True)
    rush = fields.Boolean(required=True)
    group = fields.UUID(required=True, allow_none=True, attribute="group_id")


class PlannedFittingSchema(Schema):
    """A fitting that a promise leaves room for: what is basted is tried on before it is closed."""

    piece = fields.Integer(required=True, metadata={"description": "the number of the piece, as on its tag"})
    on = fields.Date(required=True, metadata={"description": "the day on which the customer tries it on"})


class OrderSchema(InItsUnitSchema, SummarySchema):
    """An order, whole, with its history. `question` is what the workroom waits to be answered."""

    of = "order"
    note = fields.String(required=True)
    look_again = fields.List(
        fields.String(),
        required=True,
        attribute="doubts",
        metadata={"description": "what the fitting left in doubt and no line covers"},
    )
    dressed = fields.Nested(
        DressedSchema, required=True, metadata={"description": "what the customer had on at the fitting"}
    )
    question = fields.String(required=True, allow_none=True, attribute="open_question")
    fitting_on = fields.Date(required=True, allow_none=True)
    planned_fittings = fields.List(
        fields.Nested(PlannedFittingSchema),
        required=True,
        attribute="fittings_ahead",
        metadata={"description": "fittings that the promise leaves room for, and that are still to come"},
    )

    prices_include_tax = TaxIncluded(required=True, attribute="tax.included")
    total = fields.Nested(MoneySchema, required=True)
    price_reason = fields.Nested(
        PriceReasonSchema,
        required=True,
        allow_none=True,
        metadata={"description": "why the whole order costs another price than listed"},
    )
    deposit = fields.Nested(MoneySchema, required=True)
    minutes = fields.Integer(required=True)
    minutes_taken = fields.Integer(
        required=True,
        metadata={"description": "minutes that all work on it took: the sum of its spells, struck lines included"},
    )
    spells = fields.List(
        fields.Nested(SpellSchema),
        required=True,
        metadata={"description": "who worked on it, when and for how long, oldest first"},
    )
    placed_at = fields.DateTime(required=True)
    by = fields.String(required=True, attribute="marked_by", metadata={"description": "who marked it"})
    garments = fields.List(fields.Nested(OrderPieceSchema), required=True, attribute="pieces")
    lines = fields.List(fields.Nested(OrderLineSchema), required=True, attribute="work.lines")
    order_of_work = fields.List(fields.Nested(WorkSchema), required=True, attribute="work.order_of_work")
    follow_ons = fields.List(fields.Nested(FollowOnSchema), required=True, attribute="work.follow_ons")
    line_changes = fields.List(
        fields.Nested(LineChangeSchema),
        required=True,
        metadata={"description": "what became of its lines since it was placed, oldest first"},
    )
    events = fields.List(fields.Nested(OrderEventSchema), required=True)
    may_move_to = fields.List(Word(STATES), required=True)
    collection_slip = fields.Nested(SlipSchema, required=True, attribute="slip")


class PlacedSchema(OrderSchema):
    """A new order, or one that was amended, and what the fitter should check.

    `to_look_at` is what its fit check only estimates: offered, and neither booked nor charged.
    """

    of = "filed filed.order"
    warnings = fields.List(fields.Nested(NoticeSchema), required=True, attribute="notices")
    to_look_at = ByHand(ToLookAtSchema, to_look_at_document, required=True)


class OrdersSchema(Schema):
    """A page of orders, newest first; the header Link says where the next page is."""

    orders = fields.List(fields.Nested(SummarySchema), required=True, attribute="rows")


# Made once: a schema takes longer to make than an order to write.
ORDER, PLACED = OrderSchema(), PlacedSchema()
