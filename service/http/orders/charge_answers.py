"""What the till charges for an order, going out."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.http.schemas import Schema
from service.http.values import MoneySchema, money
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.order_lines import OrderLine, line_numbers
from service.tailoring.orders.orders import Charge
from service.tailoring.work.prices import Money

ROUNDING = (
    "By the plain hem, raised by a modifier, rush and deposit: half up to whole multiples of to_minor. Fixed and "
    "banded prices stand as they are. Half of one, for one side of a pair, is rounded up to a whole minor unit. "
    "The total is the sum of the lines and is not rounded again."
)


class ChargeSchema(Schema):
    """A line for the till's basket; `line` is its number on the ticket, none for a rush surcharge."""

    code = fields.String(required=True)
    words = fields.String(required=True)
    line = fields.Integer(required=True, allow_none=True)
    piece = fields.Integer(required=True, allow_none=True)
    quantity = fields.Integer(required=True)
    amount = fields.Nested(MoneySchema, required=True)
    tax_category = fields.String(required=True)


class RoundingSchema(Schema):
    """How the amounts were rounded when the order was placed: to what, none where it is not known, and in words."""

    to_minor = fields.Integer(required=True, allow_none=True)
    words = fields.String(required=True)


class ChargesSchema(Schema):
    """What the till charges for an order, tax as the shop's prices have it; the deposit is a part of the total."""

    order = fields.UUID(required=True)
    number = fields.String(required=True)
    sale_ref = fields.String(required=True, allow_none=True)
    charges = fields.List(fields.Nested(ChargeSchema), required=True)
    total = fields.Nested(MoneySchema, required=True)
    deposit = fields.Nested(MoneySchema, required=True)
    balance = fields.Nested(MoneySchema, required=True)
    rounding = fields.Nested(RoundingSchema, required=True)


def charges_document(filed: FiledOrder, found: tuple[Charge, ...]) -> dict[str, Any]:
    """What the till charges for an order."""
    order = filed.order
    numbers, currency = line_numbers(order.lines), order.total.currency
    total = sum(charge.amount.minor for charge in found)
    # Nothing is paid down on what is not charged.
    deposit = min(total, order.deposit.minor)
    return {
        "order": filed.id,
        "number": order.number,
        "sale_ref": order.sale_ref,
        "charges": [_charge(charge, order.lines, numbers) for charge in found],
        "total": money(Money(total, currency)),
        "deposit": money(Money(deposit, currency)),
        "balance": money(Money(total - deposit, currency)),
        "rounding": {"to_minor": order.terms.round_to_minor, "words": ROUNDING},
    }


def _charge(charge: Charge, lines: tuple[OrderLine, ...], numbers: dict[int, int]) -> dict[str, Any]:
    at = charge.position
    return {
        "code": charge.code,
        "words": charge.words,
        "line": None if at is None else numbers[at],
        "piece": None if at is None else lines[at].piece,
        "quantity": 1,
        "amount": money(charge.amount),
        "tax_category": charge.tax_category,
    }
