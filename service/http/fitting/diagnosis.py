"""Causes of what was seen, with their evidence and their cures, on their way out."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.fitting.remedies import RemedySchema, remedy_document
from service.http.schemas import Schema, Word
from service.tailoring.fitting.diagnosis import WeightedSighting
from service.tailoring.fitting.fit_check_records import FitCheckRecord, RecordedCause
from service.tailoring.garments.alterations import SIDES
from service.tailoring.garments.charts import GARMENTS


class EvidenceSchema(Schema):
    """What one observation, a note of posture or the tape says about a cause.

    The weight is the natural logarithm of how much likelier it is where the cause is present; negative: it speaks
    against it.
    """

    pointer = fields.String(
        required=True, metadata={"description": "JSON pointer to it in the request; empty: the tape"}
    )
    point = fields.String(required=True, allow_none=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    text = fields.String(required=True)
    weight = fields.Float(required=True)


class PlannedRemedySchema(RemedySchema):
    """What cures it; `planned`: the first plan has it."""

    planned = fields.Boolean(required=True)


class CauseSchema(Schema):
    """What may be behind it: how likely after everything that was seen together, and on what evidence."""

    cause = fields.String(required=True)
    garment = Word(GARMENTS)
    words = fields.String(required=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf(["left", "right", None]))
    probability = fields.Float(required=True, validate=validate.Range(0, 1))
    prior = fields.Float(
        required=True,
        validate=validate.Range(0, 1),
        metadata={"description": "how likely (0 to 1) it was before anything was seen"},
    )
    speaks_for = fields.List(fields.Nested(EvidenceSchema), required=True)
    speaks_against = fields.List(fields.Nested(EvidenceSchema), required=True)
    remedies = fields.List(fields.Nested(PlannedRemedySchema), required=True, metadata={"description": "best first"})
    source = fields.String(required=True)


class LookNextSchema(Schema):
    """A point that was not checked, and how much a check there is expected to settle."""

    point = fields.String(required=True)
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf(["left", "right", None]))
    words = fields.String(required=True)
    bits = fields.Float(required=True)


class DiagnosisSchema(Schema):
    """What may be behind everything that was seen, and what would tell it apart."""

    causes = fields.List(
        fields.Nested(CauseSchema),
        required=True,
        metadata={
            "description": "likeliest first, on all that was seen; empty: nothing wrong was seen that has a cause"
        },
    )
    look_next = fields.List(
        fields.Nested(LookNextSchema), required=True, metadata={"description": "what would distinguish the causes"}
    )


def diagnosis_document(record: FitCheckRecord) -> dict[str, Any]:
    """The diagnosis of a fit check; a remedy is planned where the advised plan has it."""
    planned = {line.code for line in record.plans[0].alterations}
    return {
        "causes": [_cause(each, planned) for each in record.causes],
        "look_next": [
            {"point": each.point, "side": each.side, "words": each.words, "bits": round(each.bits, 3)}
            for each in record.look_next
        ],
    }


def _cause(each: RecordedCause, planned: set[str]) -> dict[str, Any]:
    return {
        "cause": each.cause,
        "garment": each.garment,
        "words": each.words,
        "side": each.side,
        "probability": round(each.probability, 4),
        "prior": each.prior,
        "speaks_for": [_evidence(one) for one in each.speaks_for],
        "speaks_against": [_evidence(one) for one in each.speaks_against],
        "remedies": [{**remedy_document(cure.words), "planned": cure.alteration in planned} for cure in each.remedies],
        "source": each.source,
    }


def _evidence(each: WeightedSighting) -> dict[str, Any]:
    return {
        "pointer": "".join(f"/{part}" for part in each.at),
        "point": each.point,
        "side": each.side,
        "text": each.text,
        "weight": round(each.weight, 3),
    }
