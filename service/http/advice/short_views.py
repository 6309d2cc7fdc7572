"""The short view of advice and fit checks: sizes, alterations, price and how sure it is, and nothing of the reasons.

Made of the whole answer's document, so that both say the same; what only the reasons need may be left out of it.
"""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.advice.plans import AdviceIdField, PopulationVersion
from service.http.advice.serving import BEST, ServesField, share_field
from service.http.answering import UnitsSchema
from service.http.schemas import Schema, Word
from service.http.values import VIEWS, Choice, MoneySchema, TaxIncluded
from service.tailoring.fitting.fit_checks import DECISIONS
from service.tailoring.garments.alterations import SIDES
from service.tailoring.garments.charts import GARMENTS

_NAMED = ("chart", "label", "sku", "gtin")
_SAID = ("price", "serves")
_WHERE_ASKED = ("advice_id",)
_SURE = ("best", "within_one_size", "fits_altered")


class ViewQuerySchema(UnitsSchema):
    """How much of the answer is wanted."""

    view = Choice(
        VIEWS,
        load_default=VIEWS[0],
        metadata={"description": "`short`: sizes, alterations, price and how sure; `whole`: with all reasons"},
    )


class ShortSizeSchema(Schema):
    """A size of a chart."""

    chart = fields.String(required=True, metadata={"description": "the chart's code"})
    label = fields.String(required=True, metadata={"description": "as it is on the garment"})
    sku = fields.String(metadata={"description": "the shop's article number; left out where the chart gives none"})
    gtin = fields.String(metadata={"description": "its GTIN; left out where the chart gives none"})


class ShortAlterationSchema(Schema):
    """An alteration of the plan."""

    alteration = fields.String(
        required=True, metadata={"description": "its word in the catalogue (`GET /v1/alterations`)"}
    )
    text = fields.String(
        required=True, allow_none=True, metadata={"description": "its amount as a tailor writes it; null: it has none"}
    )
    side = Word(SIDES, allow_none=True, metadata={"description": "on which side; null: it has none"})


class ShortConfidenceSchema(Schema):
    """How sure a plan is, in short. Each figure is a chance, 0 to 1, given what is known of the customer."""

    best = share_field(BEST)
    within_one_size = fields.Float(
        required=True,
        allow_none=True,
        validate=validate.Range(0, 1),
        metadata={
            "description": "the chance (0 to 1) that the best size is this or a neighbouring one; null: not counted"
        },
    )
    fits_altered = share_field("the chance (0 to 1) that every place is right once altered")


class ShortPlanSchema(Schema):
    """Sizes, what is altered, what that costs the customer, and how sure it is."""

    jacket = fields.Nested(ShortSizeSchema, metadata={"description": "left out: none was asked for"})
    trousers = fields.Nested(ShortSizeSchema, metadata={"description": "as `jacket`"})
    waistcoat = fields.Nested(ShortSizeSchema, metadata={"description": "as `jacket`"})
    alterations = fields.List(
        fields.Nested(ShortAlterationSchema), required=True, metadata={"description": "empty: as it hangs"}
    )
    price = fields.Nested(
        MoneySchema, required=True, metadata={"description": "what the customer pays for the alterations together"}
    )
    serves = ServesField(required=True)
    confidence = fields.Nested(
        ShortConfidenceSchema,
        required=True,
        metadata={"description": "how sure the plan is, its garments together; the whole view has each by itself"},
    )
    advice_id = AdviceIdField()


class ShortAdviceSchema(Schema):
    """Size advice in short."""

    plans = fields.List(fields.Nested(ShortPlanSchema), required=True, metadata={"description": "best first"})
    prices_include_tax = TaxIncluded(required=True)
    measure_next = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "the dimension most worth measuring now; null: none is"},
    )
    population_version = PopulationVersion()
    warnings = fields.List(
        fields.String(), required=True, metadata={"description": "codes of warnings; the whole view has the words"}
    )


class WrongPointSchema(Schema):
    """A fit point that is not right."""

    point = fields.String(required=True, metadata={"description": "the fit point (`GET /v1/fit-points`)"})
    side = Word(SIDES, allow_none=True, metadata={"description": "on which side; null: it has none"})
    verdict = Word(("too_much", "too_little"), metadata={"description": "too much or too little cloth there"})


class ShortFitCheckSchema(ShortAdviceSchema):
    """A fit check in short: what to do, and which points are wrong."""

    id = fields.UUID(required=True, metadata={"description": "for the whole view, the drawing and an order"})
    decision = Word(DECISIONS, metadata={"description": "keep, alter or swap; undecided: left to the fitter"})
    decided_by = fields.String(
        required=True, metadata={"description": "`cost`, `cause`, or the code of the rule that decided"}
    )
    wrong = fields.List(
        fields.Nested(WrongPointSchema), required=True, metadata={"description": "points that are not right"}
    )


def short_advice(whole: dict[str, Any]) -> dict[str, Any]:
    """Of the document of size advice what the short view has."""
    worth = whole["next_measures"]
    return {
        "plans": [_plan(plan) for plan in whole["plans"]],
        "prices_include_tax": whole["prices_include_tax"],
        "measure_next": worth[0]["dimension"] if worth else None,
        # In short only where it is not men in general.
        **({"population_version": whole["population_version"]} if whole["population_version"] else {}),
        "warnings": list(dict.fromkeys(each["code"] for each in whole["warnings"])),
    }


def short_fit_check(whole: dict[str, Any]) -> dict[str, Any]:
    """Of the document of a fit check what the short view has."""
    wrong = (each for each in whole["verdicts"] if each["verdict"] in ("too_much", "too_little"))
    return {
        "id": str(whole["id"]),
        "decision": whole["decision"],
        "decided_by": whole["decided_by"],
        "wrong": [{part: each[part] for part in ("point", "side", "verdict")} for each in wrong],
        **short_advice(whole),
    }


def _plan(plan: dict[str, Any]) -> dict[str, Any]:
    sizes = {garment: plan[garment] for garment in GARMENTS if plan[garment]}
    return {
        **{garment: {name: size[name] for name in _NAMED if size[name]} for garment, size in sizes.items()},
        "alterations": [
            {
                "alteration": each["alteration"],
                "text": each["amount"] and each["amount"]["text"],
                "side": each["side"],
            }
            for each in plan["alterations"]
        ],
        **{part: plan[part] for part in _SAID},
        **{part: plan[part] for part in _WHERE_ASKED if part in plan},
        "confidence": {part: plan["confidence"]["together"][part] for part in _SURE},
    }
