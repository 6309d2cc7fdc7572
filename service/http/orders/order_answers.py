"""Orders going out: as one order, a list, and as quotes share their lines."""

from __future__ import annotations

from marshmallow import fields, validate
from typing_extensions import override

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.notices import Facts, NoticeSchema
from service.http.orders.bench_answers import CutSchema, LineCheckSchema, SpellSchema
from service.http.orders.dressed import DressedSchema
from service.http.orders.order_units import InItsUnitSchema
from service.http.orders.piece_answers import OrderPieceSchema
from service.http.schemas import AddingSchema, ByHand, Schema, Word
from service.http.shop.work import FollowOnSchema, WorkSchema
from service.http.values import MoneySchema, Out, TaxIncluded
from service.storage.orders.orders import CollectionSlip
from service.tailoring.garments.alterations import BASES, DIRECTIONS, SIDES
from service.tailoring.garments.amounts import INLAY_BASES
from service.tailoring.orders.lines.line_history import LINE_CHANGE_KINDS
from service.tailoring.orders.lines.order_lines import MARKED_WITH, ORIGINS
from service.tailoring.orders.lines.price_reasons import PRICE_KINDS
from service.tailoring.orders.order_states import EVENT_KINDS, STATES

ORIGIN_WORDS = "asked for, taken from a plan, follows of another line, or added when it was redone"


class PriceReasonSchema(Schema):
    """Why a price is not the list's: of what kind, who allowed it, when and why."""

    kind = fields.String(
        required=True,
        validate=validate.OneOf(PRICE_KINDS),
        metadata={"description": "another price, goodwill, a discount, or waived"},
    )
    minor = fields.Integer(
        required=True,
        allow_none=True,
        metadata={"description": "of an override the price, else what is taken off, in minor units"},
    )
    percent = fields.Integer(required=True, allow_none=True, metadata={"description": "what is taken off, in percent"})
    by = fields.String(required=True, metadata={"description": "who allowed it"})
    at = fields.DateTime(required=True, metadata={"description": "when that was, with the offset from UTC"})
    why = fields.String(required=True, metadata={"description": "the reason that was given"})


class OrderLineSchema(AddingSchema):
    """A line of work as agreed; `number` is its number on the ticket: piece by piece, in the order of work."""

    of = "line"
    number = fields.Integer(required=True)
    id = fields.Integer(
        required=True,
        metadata={
            "description": "the line's own number within its order, whatever changes; `number` may shift. 0 in a quote"
        },
    )

    piece = fields.Integer(required=True)
    alteration = fields.String(required=True)
    words = fields.String(required=True)
    amount = Out(required=True, allow_none=True, attribute="line.amount.length", dump_default=None)
    basis = Word(BASES, allow_none=True, attribute="line.amount.basis", dump_default=None)
    direction = Word(DIRECTIONS, allow_none=True, attribute="line.amount.direction", dump_default=None)
    side = Word(SIDES, allow_none=True, attribute="line.amount.side", dump_default=None)
    target = Out(required=True, allow_none=True)
    cut = Out(
        required=True,
        allow_none=True,
        metadata={"description": "where the leg is cut, with all the cloth that its hem takes; of a hem with pins"},
    )
    inlay_seen = Out(required=True, allow_none=True)
    inlay_basis = Word(INLAY_BASES, allow_none=True)
    inlay_seams = fields.Integer(required=True, allow_none=True)
    subject_to_inlay = fields.Boolean(required=True)
    to_be_pinned = fields.Boolean(required=True, metadata={"description": "a hem without a length until it is marked"})
    look_again = fields.List(
        fields.String(), required=True, metadata={"description": "what contradicts the amount; it is printed"}
    )
    minutes = fields.Integer(required=True)
    price = fields.Nested(MoneySchema, required=True)
    list_price = fields.Nested(
        MoneySchema,
        required=True,
        allow_none=True,
        metadata={"description": "the list's price, where another is charged; else none"},
    )
    price_reason = fields.Nested(
        PriceReasonSchema, required=True, allow_none=True, metadata={"description": "why it is not the list's price"}
    )
    cloth_cut = fields.Nested(
        CutSchema, required=True, allow_none=True, metadata={"description": "that the bench has cut its cloth"}
    )
    sewn_by = fields.List(
        fields.String(), required=True, metadata={"description": "who sewed at it, as the bench noted"}
    )
    checks = fields.List(
        fields.Nested(LineCheckSchema),
        required=True,
        metadata={"description": "how it was found when it was sewn, oldest first"},
    )
    assigned_to = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "the tailor whose line it is, or whose the piece is at its bench"},
    )
    minutes_taken = fields.Integer(
        required=True,
        metadata={"description": "minutes that work on this line alone took: its spells that are over"},
    )
    at_work = fields.List(
        fields.String(), required=True, metadata={"description": "the tailors who have this line in hand"}
    )
    note = fields.String(required=True)
    marked_with = Word(MARKED_WITH, allow_none=True)
    undone_first = fields.Boolean(required=True)
    origin = fields.String(required=True, validate=validate.OneOf(ORIGINS), metadata={"description": ORIGIN_WORDS})
    seen = fields.Boolean(
        required=True,
        metadata={
            "description": "true: it was taped or checked there; false: only estimated, so check before it is sewn"
        },
    )


class LineWasSchema(Schema):
    """What a line was before a change, or is after it."""

    amount = Out(
        required=True,
        allow_none=True,
        attribute="amount.length",
        dump_default=None,
        metadata={"description": "how much; none where it has no amount"},
    )
    direction = fields.String(
        required=True,
        allow_none=True,
        attribute="amount.direction",
        dump_default=None,
        metadata={"description": "in or out"},
    )
    side = fields.String(
        required=True,
        allow_none=True,
        attribute="amount.side",
        dump_default=None,
        metadata={"description": "on which side, where it has one"},
    )
    target = Out(required=True, allow_none=True, metadata={"description": "the finished measure aimed at"})
    cut = Out(required=True, allow_none=True, metadata={"description": "where the leg is cut, of a pinned hem"})
    note = fields.String(required=True, metadata={"description": "words for the bench"})
    minutes = fields.Integer(required=True, metadata={"description": "its minutes at the bench"})
    price = fields.Nested(MoneySchema, required=True, metadata={"description": "what it costs the customer"})


class LineChangeSchema(AddingSchema):
    """What became of a line since the order was placed: who changed it, when and why, before and after."""

    of = "line"
    id = fields.Integer(required=True, metadata={"description": "the line, by its own `id` within the order"})
    kind = fields.String(
        required=True,
        validate=validate.OneOf(LINE_CHANGE_KINDS),
        metadata={"description": "whether it was changed, added or struck"},
    )
    at = fields.DateTime(required=True, metadata={"description": "when that was, with the offset from UTC"})
    by = fields.String(required=True, metadata={"description": "who changed it"})
    why = fields.String(required=True, metadata={"description": "the reason that was given"})
    piece = fields.Integer(required=True, metadata={"description": "the number of the piece that the line is on"})
    alteration = fields.String(
        required=True, metadata={"description": "which alteration the line is, by its word in the catalogue"}
    )
    before = fields.Nested(
        LineWasSchema, required=True, allow_none=True, metadata={"description": "as it was; none where it was added"}
    )
    after = fields.Nested(
        LineWasSchema, required=True, allow_none=True, metadata={"description": "as it is since; none where struck"}
    )


class EventSchema(Schema):
    """What happened to the order: when, by whom, from where to where, and what was said.

    A move of some of the pieces names them in `facts`, and is from their state to theirs. `facts` say as well what an
    amendment changed, and where the promise went (`promised_before`, `promised_for`).
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
    """Where the customer sees how far their order is."""

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
        metadata={"description": "what the fitting left in doubt, and no line has"},
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
        metadata={"description": "minutes that all work on it took: the sum of its spells, whatever became of a line"},
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
    events = fields.List(fields.Nested(EventSchema), required=True)
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
