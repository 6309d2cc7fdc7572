"""What a fit check leaves open, on its way out: to be looked at, to be looked at again, left to the fitter."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.schemas import Schema
from service.http.values import Out, written
from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.fitting.left_open import CONTRADICTS, LeftToFitter, LookAgain
from service.tailoring.garments.alterations import SIDES
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import Length


class LookAgainSchema(Schema):
    """Evidence of lower rank that contradicts the amount decided by more than the tolerance; the amount stays.

    Amounts are as the point reads them: spare is positive, short negative.
    """

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    place = fields.String(required=True)
    point = fields.String(required=True, allow_none=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    seen = fields.String(required=True)
    seen_amount = Out(required=True, allow_none=True, metadata={"description": "none: a look without an amount"})
    other_amount = Out(required=True)
    other = fields.String(required=True, validate=validate.OneOf(CONTRADICTS))
    words = fields.String(required=True)


class LeftToFitterSchema(Schema):
    """A point that was seen wrong, and of which the house has no amount, or no size that cures it."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    point = fields.String(required=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    verdict = fields.String(required=True, validate=validate.OneOf(["too_much", "too_little"]))
    seen = fields.String(required=True)
    why = fields.String(required=True)
    remedies = fields.List(fields.String(), required=True, metadata={"description": "best first"})


class LeftOpenSchema(Schema):
    """What a fit check leaves open."""

    to_look_at = fields.List(
        fields.Nested(ToLookAtSchema), required=True, metadata={"description": "estimated on what is worn; no line"}
    )
    look_again = fields.List(fields.Nested(LookAgainSchema), required=True)
    left_to_fitter = fields.List(
        fields.Nested(LeftToFitterSchema), required=True, metadata={"description": "why it is undecided"}
    )


def left_open_document(record: FitCheckRecord) -> dict[str, Any]:
    """The three lists of a fit check."""
    return {
        "to_look_at": [to_look_at_document(each) for each in record.to_look_at],
        "look_again": [_look_again(each) for each in record.look_again],
        "left_to_fitter": [_left(each) for each in record.left_to_fitter],
    }


def _look_again(each: LookAgain) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "place": each.place,
        "point": each.point,
        "side": each.side,
        "seen": each.seen,
        "seen_amount": None if each.seen_mm is None else written(Length(each.seen_mm, "in")),
        "other_amount": written(Length(each.other_mm, "in")),
        "other": each.other,
        "words": each.words,
    }


def _left(each: LeftToFitter) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "point": each.point,
        "side": each.side,
        "verdict": each.verdict,
        "seen": each.seen,
        "why": each.why,
        "remedies": list(each.remedies),
    }
