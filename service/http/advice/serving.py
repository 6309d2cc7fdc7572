"""A size as it is chosen, and whether it serves: on their way out, as every answer about sizes shares them."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from marshmallow import fields, validate

from service.http.schemas import Schema
from service.tailoring.garments.charts import GARMENTS, LENGTH_CLASSES, ChartSize
from service.tailoring.sizing.plans import SERVES, PlaceReport
from service.tailoring.sizing.serving import BY, CHANGES, Instead, Serving


def share_field(words: str) -> fields.Float:
    """A share, from nothing to all."""
    return fields.Float(required=True, validate=validate.Range(0, 1), metadata={"description": words})


class ChosenSchema(Schema):
    """A size of a chart's revision."""

    chart = fields.String(required=True)
    revision = fields.Integer(required=True)
    label = fields.String(required=True)


class ServesField(fields.String):
    """Whether a size can be made to fit."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        words = "`no`: a place stays wrong, expected or more likely than not, and no alteration cures it"
        super().__init__(validate=validate.OneOf(SERVES), metadata={"description": words}, **options)


class BeyondSchema(Schema):
    """A place at which the size stays wrong whatever is sewn."""

    garment = fields.String(required=True)
    place = fields.String(required=True)
    dimension = fields.String(required=True)
    residual_mm = fields.Float(required=True)
    p_misfit = share_field("how likely it stays wrong")


class UnjudgedSchema(Schema):
    """A place that was not judged: nothing is known of its dimension."""

    garment = fields.String(required=True)
    place = fields.String(required=True)
    dimension = fields.String(required=True)


class InsteadSchema(Schema):
    """What would serve in the place of one garment. Made to measure it has no size."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    by = fields.String(required=True, validate=validate.OneOf(BY))
    change = fields.String(
        required=True,
        validate=validate.OneOf(CHANGES),
        metadata={"description": "how it differs from the garment of the first plan"},
    )
    size = fields.Nested(ChosenSchema, required=True, allow_none=True)
    length_class = fields.String(required=True, allow_none=True, validate=validate.OneOf([*LENGTH_CLASSES, None]))
    words = fields.String(required=True)


class ServingSchema(Schema):
    """Whether the first plan serves, where it stays wrong, and what would serve instead."""

    serves = ServesField(required=True)
    beyond = fields.List(fields.Nested(BeyondSchema), required=True)
    unjudged = fields.List(fields.Nested(UnjudgedSchema), required=True)
    instead = fields.List(fields.Nested(InsteadSchema), required=True)


def chosen_document(chosen: ChartSize | None) -> dict[str, Any] | None:
    """A size, or none."""
    if chosen is None:
        return None
    return {"chart": chosen.chart, "revision": chosen.revision, "label": chosen.label}


def serving_document(serving: Serving | None) -> dict[str, Any] | None:
    """Whether the first plan serves, and what would instead."""
    if serving is None:
        return None
    return {
        "serves": serving.serves,
        "beyond": [_beyond(each) for each in serving.beyond],
        "unjudged": [asdict(each) for each in serving.unjudged],
        "instead": [_instead(each) for each in serving.instead],
    }


def _beyond(each: PlaceReport) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "place": each.place,
        "dimension": each.dimension,
        "residual_mm": round(each.residual_mm, 1),
        "p_misfit": each.p_misfit,
    }


def _instead(each: Instead) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "by": each.by,
        "change": each.change,
        "size": chosen_document(each.size),
        "length_class": each.length_class,
        "words": each.words,
    }
