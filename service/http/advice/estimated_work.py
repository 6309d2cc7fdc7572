"""Alterations that are only estimated, on their way out: fit checks, quotes and orders offer them and order none."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.advice.plans import amount_document
from service.http.quantities import Out
from service.http.schemas import Schema
from service.http.values import MoneySchema, money
from service.tailoring.fitting.left_open import ToLookAt
from service.tailoring.garments.alterations import BASES, DIRECTIONS, SIDES
from service.tailoring.garments.charts import GARMENTS


class ToLookAtSchema(Schema):
    """An alteration that is only estimated, neither taped nor seen. An order has it where `take_up` names it."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    place = fields.String(required=True)
    point = fields.String(required=True, allow_none=True, metadata={"description": "the fit point to look at"})
    alteration = fields.String(required=True)
    amount = Out(required=True, allow_none=True)
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    minutes = fields.Integer(required=True)
    price = fields.Nested(MoneySchema, required=True)
    words = fields.String(required=True)


def to_look_at_document(each: ToLookAt) -> dict[str, Any]:
    """An alteration that is only estimated."""
    return {
        "garment": each.garment,
        "place": each.place,
        "point": each.point,
        "alteration": each.alteration,
        **amount_document(each.amount),
        "minutes": each.minutes,
        "price": money(each.price),
        "words": each.words,
    }
