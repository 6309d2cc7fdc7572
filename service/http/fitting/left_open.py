"""What a fit check leaves open, on its way out: to be looked at, to be looked at again, left to the fitter."""

from __future__ import annotations

from marshmallow import fields, validate

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.fitting.remedies import RemedySchema, remedy_document
from service.http.quantities import Out
from service.http.schemas import ByHand, Schema
from service.tailoring.fitting.left_open import CONTRADICTS
from service.tailoring.garments.alterations import SIDES
from service.tailoring.garments.charts import GARMENTS


class LookAgainSchema(Schema):
    """Evidence of lower rank that differs from the amount by more than the tolerance; the amount stays.

    Amounts are as the point reads them: spare is positive, short negative.
    """

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    place = fields.String(required=True)
    point = fields.String(required=True, allow_none=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    seen = fields.String(required=True)
    seen_amount = Out(
        required=True,
        allow_none=True,
        attribute="seen_mm",
        mm_in="in",
        metadata={"description": "null: seen without an amount"},
    )
    other_amount = Out(required=True, attribute="other_mm", mm_in="in")
    other = fields.String(required=True, validate=validate.OneOf(CONTRADICTS))
    words = fields.String(required=True)


class LeftToFitterSchema(Schema):
    """A point that was seen wrong, for which there is no set amount, or no size that cures it."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    point = fields.String(required=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    verdict = fields.String(required=True, validate=validate.OneOf(["too_much", "too_little"]))
    seen = fields.String(required=True)
    why = fields.String(required=True)
    remedies = ByHand(RemedySchema, remedy_document, required=True, metadata={"description": "best first"})
    look_again = fields.Boolean(
        required=True,
        metadata={
            "description": "true: what else was worn may cause it, as `why` says; it is not sewn before it is checked"
        },
    )


class LeftOpenSchema(Schema):
    """What a fit check leaves open."""

    to_look_at = ByHand(
        ToLookAtSchema,
        to_look_at_document,
        required=True,
        metadata={"description": "estimated on what is worn; not ordered by itself"},
    )
    look_again = fields.List(fields.Nested(LookAgainSchema), required=True)
    left_to_fitter = fields.List(
        fields.Nested(LeftToFitterSchema), required=True, metadata={"description": "why it is undecided"}
    )


LEFT_OPEN = LeftOpenSchema()
