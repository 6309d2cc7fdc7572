"""Bodies and plans on their way out, as size advice and fit checks share them.

They are written by hand, once, beside their schemas: an answer holds hundreds of small values, and a test validates
every answer against the contract that the schemas make.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from marshmallow import fields, validate

from service.http.advice.serving import (
    ChosenSizeSchema,
    ConfidenceSchema,
    ServesField,
    ServingSchema,
    chosen_document,
    confidence_document,
    share_field,
)
from service.http.notices import NoticeSchema
from service.http.quantities import Out, written
from service.http.schemas import Schema, Word
from service.http.values import MoneySchema, TaxIncluded, money
from service.tailoring.body.body import Body
from service.tailoring.body.estimates import Estimate, estimates
from service.tailoring.body.readings import dimensions
from service.tailoring.garments.alterations import BASES, DIRECTIONS, SIDES
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import LENGTH_UNITS, MASS_UNITS, Length, Mass
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.plans import PlaceReport, Plan, PlannedAlteration


class EstimateSchema(Schema):
    """One dimension of the body: read or estimated, with its standard deviation."""

    dimension = fields.String(required=True)
    read = fields.Boolean(required=True)
    value = fields.Float(required=True)
    unit = Word((*LENGTH_UNITS, *MASS_UNITS))
    text = fields.String(required=True)
    mm = fields.Float(metadata={"description": "of a length: the middle estimate, in millimetres"})
    sd_mm = fields.Float()
    kg = fields.Float(metadata={"description": "of the body mass: the middle estimate, in kilograms"})
    sd_kg = fields.Float()


class PlannedAlterationSchema(Schema):
    """An alteration of a plan, its amount in four parts."""

    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    alteration = fields.String(required=True)
    amount = Out(required=True, allow_none=True, metadata={"description": "null: the alteration has no amount"})
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    minutes = fields.Integer(required=True)
    price = fields.Nested(MoneySchema, required=True)
    subject_to_inlay = fields.Boolean(
        required=True, metadata={"description": "true: cloth is let out that was not seen, so it cannot be promised"}
    )
    seen = fields.Boolean(
        required=True,
        metadata={
            "description": "true: it was taped or checked there; false: only estimated, so check before it is sewn"
        },
    )
    arithmetic = fields.String(
        required=True,
        metadata={"description": "how the amount follows from what was seen; empty where it is the amount"},
    )


class PlaceSchema(Schema):
    """Why: body, garment and ease at one place (mm). `tolerance_mm` bounds the residual: ease less ideal ease."""

    garment = Word(GARMENTS)
    place = fields.String(required=True)
    dimension = fields.String(required=True)
    body_mm = fields.Float(required=True)
    sd_mm = fields.Float(required=True)
    garment_mm = fields.Float(required=True)
    ease_mm = fields.Float(required=True)
    ideal_ease_mm = fields.Float(required=True)
    residual_mm = fields.Float(required=True)
    tolerance_mm = fields.List(fields.Float(), required=True, validate=validate.Length(equal=2))
    verdict = fields.String(required=True, validate=validate.OneOf(["right", "too_much", "too_little"]))
    alteration = fields.String(required=True, allow_none=True)
    seen = fields.Boolean(required=True, metadata={"description": "true: it was taped or checked there"})
    misfit = fields.Boolean(required=True, metadata={"description": "true: no alteration of this size puts it right"})
    p_misfit = share_field("how likely (0 to 1) that is")


class AdviceIdField(fields.String):
    """A plan, signed."""

    def __init__(self) -> None:
        words = "the plan, signed by the shop and good for 14 days, for an order (`from_advice`). It names no person"
        super().__init__(metadata={"description": f"{words}. Only where `advice_ids` was asked for"})


class RankingSchema(Schema):
    """Money that only ranks sizes and is never charged. What the customer pays is in `price`."""

    expected_cost = fields.Nested(
        MoneySchema,
        required=True,
        metadata={"description": "work and misfit, weighed over what is known of the customer"},
    )


class GainSchema(Schema):
    """Money that only ranks what to measure next, and is never charged."""

    gain = fields.Nested(
        MoneySchema,
        required=True,
        metadata={"description": "by how much the expected cost of the best size would fall, on average"},
    )


class PlanSchema(Schema):
    """A size, or a pair, with the alterations that make it fit."""

    jacket = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    trousers = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    waistcoat = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    alterations = fields.List(fields.Nested(PlannedAlterationSchema), required=True)
    price = fields.Nested(
        MoneySchema, required=True, metadata={"description": "what the customer pays for the alterations together"}
    )
    ranking = fields.Nested(RankingSchema, required=True)
    minutes = fields.Integer(required=True)
    serves = ServesField(required=True)
    confidence = fields.Nested(
        ConfidenceSchema, required=True, metadata={"description": "how sure the plan is, together and by garment"}
    )
    places = fields.List(fields.Nested(PlaceSchema), required=True)
    advice_id = AdviceIdField()


class NextMeasureSchema(Schema):
    """A measure worth taking now, and what it is expected to save."""

    dimension = fields.String(required=True)
    ranking = fields.Nested(GainSchema, required=True)


class PopulationVersion(fields.Integer):
    """By which version of the shop's own men a customer was judged."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        words = "the version of the shop's own customers by which the customer was judged; 0: customers in general"
        super().__init__(metadata={"description": words}, **options)


class JudgedSchema(Schema):
    """What size advice and fit checks have in common."""

    serves = fields.Nested(
        ServingSchema, required=True, allow_none=True, metadata={"description": "of the first plan; none without one"}
    )
    body = fields.List(fields.Nested(EstimateSchema), required=True)
    plans = fields.List(fields.Nested(PlanSchema), required=True)
    prices_include_tax = TaxIncluded(required=True)
    next_measures = fields.List(fields.Nested(NextMeasureSchema), required=True)
    population_version = PopulationVersion(required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


def body_document(body: Body) -> list[dict[str, Any]]:
    """Every dimension that is known, read or estimated."""
    return estimate_documents(estimates(body))


def estimate_documents(found: Iterable[Estimate]) -> list[dict[str, Any]]:
    """What is known of a body, a row a dimension."""
    return [estimate_document(each) for each in found]


def plan_document(plan: Plan, *, reasons: bool = True) -> dict[str, Any]:
    """A plan with its reasons, place by place, or without them."""
    return {
        **{garment: chosen_document(plan.chosen.get(garment)) for garment in GARMENTS},
        "alterations": [alteration_document(each) for each in plan.alterations],
        "price": {**money(plan.expected_cost), "minor": sum(each.price.minor for each in plan.alterations)},
        "ranking": {"expected_cost": money(plan.expected_cost)},
        "minutes": plan.minutes,
        "serves": plan.serves,
        "confidence": confidence_document(plan),
        **({"places": [_place(each) for each in plan.places]} if reasons else {}),
    }


def next_documents(found: tuple[NextMeasure, ...]) -> list[dict[str, Any]]:
    """The measures worth taking, best first."""
    return [{"dimension": each.dimension, "ranking": {"gain": money(each.gain)}} for each in found]


def estimate_document(each: Estimate) -> dict[str, Any]:
    """What is known of one dimension."""
    is_mass = dimensions()[each.dimension].is_mass
    shown = written(Mass(each.middle) if is_mass else Length(each.middle, "in"))
    spread = {"sd_kg": round(each.sd, 2)} if is_mass else {"sd_mm": round(each.sd, 1)}
    return {"dimension": each.dimension, "read": each.read, **shown, **spread}


def alteration_document(each: PlannedAlteration) -> dict[str, Any]:
    """An alteration of a plan."""
    return {
        "garment": each.garment,
        "alteration": each.code,
        **amount_document(each.amount),
        "minutes": each.minutes,
        "price": money(each.price),
        "subject_to_inlay": each.subject_to_inlay,
        "seen": each.seen,
        "arithmetic": each.arithmetic,
    }


def amount_document(amount: Amount | None) -> dict[str, Any]:
    """An amount in its four parts, all null: the alteration has no amount."""
    if amount is None:
        return dict.fromkeys(("amount", "basis", "direction", "side"))
    return {
        "amount": written(amount.length),
        "basis": amount.basis,
        "direction": amount.direction,
        "side": amount.side,
    }


def _place(each: PlaceReport) -> dict[str, Any]:
    return {
        "garment": each.garment,
        "place": each.place,
        "dimension": each.dimension,
        "body_mm": round(each.body_mm, 1),
        "sd_mm": round(each.sd_mm, 1),
        "garment_mm": round(each.garment_mm, 1),
        "ease_mm": round(each.ease_mm, 1),
        "ideal_ease_mm": round(each.ideal_ease_mm, 1),
        "residual_mm": round(each.residual_mm, 1),
        "tolerance_mm": [round(edge, 1) for edge in each.tolerance_mm],
        "verdict": each.verdict,
        "alteration": each.alteration,
        "misfit": each.misfit,
        "p_misfit": each.p_misfit,
        "seen": each.seen,
    }
