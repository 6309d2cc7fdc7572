"""What the till charges for an order, going out."""

from __future__ import annotations

from marshmallow import fields, validate
from typing_extensions import override

from service.http.orders.answers.line_answers import PriceReasonSchema
from service.http.schemas import AddingSchema, Schema
from service.http.values import MoneySchema, TaxIncluded
from service.tailoring.orders.baskets import ChargeOfLine
from service.tailoring.orders.charges import RUSH
from service.tailoring.orders.order_states import STATES

ROUNDING = (
    "By the plain hem, raised by a modifier, rush and deposit: half up to whole multiples of to_minor. Fixed and "
    "banded prices stand as they are. Half of one, for one side of a pair, is rounded up to a whole minor unit. "
    "The total is the sum of the lines and is not rounded again."
)


class ChargedAlteration(fields.String):
    """The alteration that is charged for; none where it is the rush."""

    _CHECK_ATTRIBUTE = False

    @override
    def _serialize(self, value: object, attr: str | None, obj: ChargeOfLine, **_: object) -> str | None:
        return None if obj.charge.code == RUSH else obj.charge.code


class ChargeSchema(AddingSchema):
    """A line for the till's basket; `number` is the line's on the ticket, none for a rush surcharge."""

    of = "charge"
    alteration = ChargedAlteration(
        required=True, allow_none=True, metadata={"description": "what is charged for; null for the rush surcharge"}
    )
    words = fields.String(required=True)
    number = fields.Integer(required=True, allow_none=True, attribute="line")
    piece = fields.Integer(required=True, allow_none=True)
    quantity = fields.Integer(required=True, dump_default=1)
    amount = fields.Nested(MoneySchema, required=True)
    list_amount = fields.Nested(
        MoneySchema,
        required=True,
        allow_none=True,
        metadata={"description": "the list's price, where another is charged; null: it is charged"},
    )
    price_reason = fields.Nested(
        PriceReasonSchema,
        required=True,
        allow_none=True,
        metadata={"description": "why this line costs another price; that of the whole order is beside the total"},
    )
    tax_category = fields.String(required=True)


class TaxSchema(Schema):
    """The tax on what is charged at one rate."""

    category = fields.String(required=True, metadata={"description": "the tax category of its charges"})
    percent = fields.Float(required=True, metadata={"description": "the rate of its category, in percent"})
    charged = fields.Nested(MoneySchema, required=True, metadata={"description": "the sum of its charges"})
    tax = fields.Nested(
        MoneySchema,
        required=True,
        metadata={"description": "the tax: within that sum, or on top where it is not included"},
    )


class RoundingSchema(Schema):
    """How the amounts were rounded when the order was placed."""

    to_minor = fields.Integer(required=True, allow_none=True, attribute="round_to_minor")
    words = fields.String(required=True, dump_default=ROUNDING)


class PieceHandedOverSchema(Schema):
    """A piece of the order at the counter: collected, or still in the shop's hands."""

    piece = fields.Integer(required=True, metadata={"description": "its number on the ticket"})
    garment = fields.String(required=True, metadata={"description": "jacket, trousers, waistcoat or shirt"})
    state = fields.String(
        required=True,
        validate=validate.OneOf(STATES),
        metadata={"description": "where it is: collected, or how far its work is"},
    )
    collected_at = fields.DateTime(
        required=True,
        allow_none=True,
        metadata={"description": "when the customer took it away; null: it is still here"},
    )


class ChargesSchema(AddingSchema):
    """What the till charges for an order; the deposit is a part of what is to pay, the balance the rest of it."""

    of = "basket basket.order"
    order = fields.UUID(required=True, attribute="id")
    number = fields.String(required=True)
    sale_ref = fields.String(required=True, allow_none=True)
    charges = fields.List(fields.Nested(ChargeSchema), required=True)
    pieces = fields.List(
        fields.Nested(PieceHandedOverSchema),
        required=True,
        metadata={"description": "what was collected and what is still here; pieces cancelled or lost are not charged"},
    )
    total = fields.Nested(MoneySchema, required=True)
    price_reason = fields.Nested(
        PriceReasonSchema,
        required=True,
        allow_none=True,
        metadata={"description": "why the whole order costs another price than listed"},
    )
    prices_include_tax = TaxIncluded(required=True, attribute="tax.included")
    taxes = fields.List(
        fields.Nested(TaxSchema), required=True, metadata={"description": "the tax by category, where a rate is known"}
    )
    to_pay = fields.Nested(
        MoneySchema, required=True, metadata={"description": "the total, with the tax that is not in it"}
    )
    deposit = fields.Nested(MoneySchema, required=True)
    balance = fields.Nested(MoneySchema, required=True)
    rounding = fields.Nested(RoundingSchema, required=True, attribute="terms")
