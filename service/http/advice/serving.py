"""A size as it is chosen, and whether it serves: on their way out, as every answer about sizes shares them."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from marshmallow import fields, validate

from service.http.quantities import Out, written
from service.http.schemas import Schema, Word
from service.http.values import MoneySchema, money
from service.tailoring.garments.charts import GARMENTS, LENGTH_CLASSES, ChartSize
from service.tailoring.sizing.other_drops import OtherDrop
from service.tailoring.sizing.plans import SERVES, PlaceReport, Plan
from service.tailoring.sizing.serving import BY, CHANGES, Instead, Serving
from service.tailoring.sizing.shares import Shares

SKU_ANSWERED = "the shop's article number of this size, for its basket; null: the chart gives none"
BEST = (
    "the chance (0 to 1) that no other size on offer is better, and the best fits once altered. A size is a girth and "
    "a length: its cuts and drops count together"
)
GTIN_ANSWERED = "the GTIN of this size, 8, 12, 13 or 14 digits as the chart gives it; null: it gives none"


def share_field(words: str) -> fields.Float:
    """A share, from nothing to all."""
    return fields.Float(required=True, validate=validate.Range(0, 1), metadata={"description": words})


class ServesField(fields.String):
    """Whether a size can be made to fit."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        words = (
            "`no`: a place stays wrong, or more likely than not, and no alteration cures it; `doubtful`: that all of a "
            "garment is right once altered is less likely than not. Of several garments the worst counts"
        )
        super().__init__(validate=validate.OneOf(SERVES), metadata={"description": words}, **options)


class HowSureSchema(Schema):
    """How sure a choice is. Each figure is a chance, 0 to 1, given what is known of the customer."""

    best = share_field(BEST)
    within_one_size = fields.Float(
        required=True,
        allow_none=True,
        validate=validate.Range(0, 1),
        metadata={
            "description": "the chance (0 to 1) that the best size is this one, or a size larger or smaller, or a "
            "length longer or shorter, whatever its drop; null in fit checks from before it was counted"
        },
    )
    no_alteration = share_field(
        "the chance (0 to 1) that nothing has to be altered; the hem of an uncut leg is not counted"
    )
    fits_altered = share_field("the chance (0 to 1) that every place is right once altered")


class GarmentConfidenceSchema(HowSureSchema):
    """How sure one garment's size is, among all sizes of it on offer."""

    serves = ServesField(required=True)


class ConfidenceSchema(Schema):
    """How sure a plan is: all its garments together, and each by itself."""

    together = fields.Nested(HowSureSchema, required=True, metadata={"description": "all garments of the plan at once"})
    jacket = fields.Nested(
        GarmentConfidenceSchema,
        required=True,
        allow_none=True,
        metadata={"description": "null where the plan has no jacket, and in fit checks from before it was counted"},
    )
    trousers = fields.Nested(
        GarmentConfidenceSchema, required=True, allow_none=True, metadata={"description": "as `jacket`"}
    )
    waistcoat = fields.Nested(
        GarmentConfidenceSchema, required=True, allow_none=True, metadata={"description": "as `jacket`"}
    )


class ChosenSizeSchema(Schema):
    """A size of a chart's revision."""

    chart = fields.String(required=True)
    revision = fields.Integer(required=True)
    label = fields.String(required=True)
    sku = fields.String(required=True, allow_none=True, metadata={"description": SKU_ANSWERED})
    gtin = fields.String(required=True, allow_none=True, metadata={"description": GTIN_ANSWERED})


class BeyondSchema(Schema):
    """A place at which the size stays wrong whatever is altered."""

    garment = Word(GARMENTS)
    place = fields.String(required=True)
    dimension = fields.String(required=True)
    residual_mm = fields.Float(required=True)
    p_misfit = share_field("how likely (0 to 1) it stays wrong")


class UnjudgedSchema(Schema):
    """A place that was not judged: nothing is known of its dimension."""

    garment = Word(GARMENTS)
    place = fields.String(required=True)
    dimension = fields.String(required=True)


class InsteadSchema(Schema):
    """What would serve in place of one garment. Made to measure, it has no size."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    found_in = fields.String(required=True, validate=validate.OneOf(BY))
    change = fields.String(
        required=True,
        validate=validate.OneOf(CHANGES),
        metadata={"description": "how it differs from the garment of the first plan"},
    )
    size = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    length_class = fields.String(required=True, allow_none=True, validate=validate.OneOf([*LENGTH_CLASSES, None]))
    words = fields.String(required=True)


class OtherDropSchema(Schema):
    """A drop that would serve clearly better than those of the charts asked for."""

    drop = Out(required=True, metadata={"description": "chest less waist of the bodies that it is cut for"})
    jacket = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "the label that serves best in it, as the chart writes it"},
    )
    trousers = fields.String(required=True, allow_none=True, metadata={"description": "the same for the trousers"})
    waistcoat = fields.String(required=True, allow_none=True, metadata={"description": "the same for the waistcoat"})
    saves = fields.Nested(
        MoneySchema,
        required=True,
        metadata={"description": "what it is expected to save in alterations and in what they cannot cure"},
    )
    charts = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "the shop's charts of that drop that were not asked for; empty: none has it"},
    )
    words = fields.String(required=True, metadata={"description": "the same in a sentence"})


class ServingSchema(Schema):
    """Whether the first plan serves, where it stays wrong, what would serve instead, and a drop that serves better."""

    serves = ServesField(required=True)
    beyond = fields.List(fields.Nested(BeyondSchema), required=True)
    unjudged = fields.List(fields.Nested(UnjudgedSchema), required=True)
    instead = fields.List(fields.Nested(InsteadSchema), required=True)
    other_drop = fields.Nested(
        OtherDropSchema,
        required=True,
        allow_none=True,
        metadata={"description": "null: the drops on offer serve as well"},
    )


def chosen_document(chosen: ChartSize | None) -> dict[str, Any] | None:
    """A size, or none."""
    if chosen is None:
        return None
    return {
        "chart": chosen.chart,
        "revision": chosen.revision,
        "label": chosen.label,
        "sku": chosen.sku,
        "gtin": chosen.gtin,
    }


def confidence_document(plan: Plan) -> dict[str, Any]:
    """How sure a plan is, together and garment by garment."""
    alone = {
        garment: {**_shares(shares), "serves": plan.serves_of(garment)}
        for garment, shares in plan.garment_shares.items()
    }
    return {"together": _shares(plan.shares), **{garment: alone.get(garment) for garment in GARMENTS}}


def _shares(of: Shares) -> dict[str, float | None]:
    return {
        "best": of.p_best,
        "within_one_size": of.p_within_one_size,
        "no_alteration": of.p_no_alteration,
        "fits_altered": of.p_fits_after_alteration,
    }


def serving_document(serving: Serving | None) -> dict[str, Any] | None:
    """Whether the first plan serves, and what would instead."""
    if serving is None:
        return None
    return {
        "serves": serving.serves,
        "beyond": [_beyond(each) for each in serving.beyond],
        "unjudged": [asdict(each) for each in serving.unjudged],
        "instead": [_instead(each) for each in serving.instead],
        "other_drop": _other_drop(serving.other_drop) if serving.other_drop else None,
    }


def _beyond(each: PlaceReport) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "place": each.place,
        "dimension": each.dimension,
        "residual_mm": round(each.residual_mm, 1),
        "p_misfit": each.p_misfit,
    }


def _other_drop(each: OtherDrop) -> dict[str, Any]:
    return {
        "drop": written(each.drop),
        **{garment: each.labels.get(garment) for garment in GARMENTS},
        "saves": money(each.saves),
        "charts": list(each.charts),
        "words": each.words,
    }


def _instead(each: Instead) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "found_in": each.by,
        "change": each.change,
        "size": chosen_document(each.size),
        "length_class": each.length_class,
        "words": each.words,
    }
