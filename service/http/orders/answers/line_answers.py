"""Lines of an order as they are answered: as agreed, and what became of them since."""

from __future__ import annotations

from marshmallow import fields, validate

from service.http.orders.answers.bench_answers import CutSchema, LineCheckSchema
from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema, Word
from service.http.values import MoneySchema
from service.tailoring.garments.alterations import BASES, DIRECTIONS, SIDES
from service.tailoring.garments.amounts import INLAY_BASES
from service.tailoring.orders.lines.line_history import LINE_CHANGE_KINDS
from service.tailoring.orders.lines.order_lines import MARKED_WITH, ORIGINS
from service.tailoring.orders.lines.price_reasons import PRICE_KINDS

ORIGIN_WORDS = "asked for, taken from a plan, following from another line, or added on a redo"


class PriceReasonSchema(Schema):
    """Why a price is not the list's: the kind, who allowed it, when and why."""

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
    why = fields.String(required=True, data_key="reason", metadata={"description": "the reason that was given"})


class OrderLineSchema(AddingSchema):
    """A line of work as agreed; `number` is its number on the ticket: piece by piece, in the order of work."""

    of = "line"
    number = fields.Integer(required=True)
    id = fields.Integer(
        required=True,
        metadata={
            "description": "the line's own number within its order, which never changes; `number` may. 0 in a quote"
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
        metadata={"description": "the list's price, where another is charged; null: it is charged"},
    )
    price_reason = fields.Nested(
        PriceReasonSchema, required=True, allow_none=True, metadata={"description": "why it is not the list's price"}
    )
    cloth_cut = fields.Nested(
        CutSchema,
        required=True,
        allow_none=True,
        metadata={"description": "what the bench has cut of it; null: nothing"},
    )
    sewn_by = fields.List(fields.String(), required=True, metadata={"description": "who sewed it, as the bench noted"})
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
        metadata={"description": "how much; null: it has no amount"},
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
    """How a line changed since the order was placed: who changed it, when and why, before and after."""

    of = "line"
    id = fields.Integer(required=True, metadata={"description": "the line, by its own `id` within the order"})
    kind = fields.String(
        required=True,
        validate=validate.OneOf(LINE_CHANGE_KINDS),
        metadata={"description": "whether it was changed, added or struck"},
    )
    at = fields.DateTime(required=True, metadata={"description": "when that was, with the offset from UTC"})
    by = fields.String(required=True, metadata={"description": "who changed it"})
    why = fields.String(required=True, data_key="reason", metadata={"description": "the reason that was given"})
    piece = fields.Integer(required=True, metadata={"description": "the number of the piece that the line is on"})
    alteration = fields.String(
        required=True, metadata={"description": "which alteration the line is, by its word in the catalogue"}
    )
    before = fields.Nested(
        LineWasSchema, required=True, allow_none=True, metadata={"description": "as it was; null: it was added"}
    )
    after = fields.Nested(
        LineWasSchema, required=True, allow_none=True, metadata={"description": "as it is now; null: it was struck"}
    )
