"""Fit checks over HTTP."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from flask import Response
from marshmallow import ValidationError, fields, post_load, validate

from service.http.advice.bodies import take_known
from service.http.advice.plans import JudgedSchema, PlanSchema, estimate_documents, next_documents, plan_document
from service.http.advice.serving import serving_document
from service.http.advice.short_views import ShortFitCheckSchema, ViewQuerySchema, short_fit_check
from service.http.advice.size_advice import QuestionSchema
from service.http.callers.headers import IdempotencySchema
from service.http.callers.units import answer_in, unit_of_request
from service.http.contract.contract_words import one_of
from service.http.fitting.diagnosis import DiagnosisSchema, diagnosis_document
from service.http.fitting.left_open import LEFT_OPEN, LeftOpenSchema
from service.http.fitting.options import ChoiceSchema, RuleAppliedSchema, choice_documents, ruled_documents
from service.http.fitting.remedies import RemedySchema, remedy_document
from service.http.notices import notices
from service.http.operations import context, created, idempotent_request, operation
from service.http.orders.dressed import DRESSED, DressedAskedSchema, DressedSchema
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema
from service.http.schemas import Schema, Word
from service.http.texts import Reference, Text
from service.http.values import SHORT, Choice, Count, Strict
from service.tailoring.fitting.fit_check_records import FitCheckRecord, RecordedVerdict
from service.tailoring.fitting.fit_checks import DECISIONS
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.alterations import SIDES
from service.tailoring.garments.charts import GARMENTS, Garment
from service.use_cases.context import Caller
from service.use_cases.fitting.fit_checks import FitCheckAsked, WornAsked, make_fit_check, show_fit_check

room = StrictBlueprint("fit_checks", __name__, description="What was seen on a worn suit, and what follows")

PRICE_MOST_MINOR = 10**9
EXAMPLE = {
    "worn": {"jacket": {"chart": "reference", "label": "38R"}, "trousers": {"chart": "reference", "label": "32"}},
    "observations": [
        {"point": "front_closure", "spare": {"value": "1 1/2", "unit": "in"}},
        {"point": "jacket_cuff", "spare": {"value": "3/4", "unit": "in"}, "side": "both"},
    ],
    "readings": [{"dimension": "stature", "value": 175, "unit": "cm"}],
    "dressed": {"shoes": "own", "heel": {"value": 1, "unit": "in"}, "shirt_cuff": "double", "pockets": "empty"},
    "customer_ref": "C-1042",
}


class WornSizeSchema(Strict):
    """A size that is worn."""

    chart = Text(most=40, least=1, required=True)
    label = Text(most=20, least=1, required=True)

    @post_load
    def _made(self, data: dict[str, str], **_: object) -> WornAsked:
        return WornAsked(**data)


class WornSchema(Strict):
    """What the customer is wearing: at least one garment, of one chart."""

    jacket = fields.Nested(WornSizeSchema)
    trousers = fields.Nested(WornSizeSchema)
    waistcoat = fields.Nested(WornSizeSchema)

    @post_load
    def _made(self, data: dict[Garment, WornAsked], **_: object) -> dict[Garment, WornAsked]:
        if not data:
            raise ValidationError("Give a jacket, trousers, a waistcoat, or several of them.")
        return data


class SightingSchema(Strict):
    """What was seen at a fit point: an appearance, or an amount that is `spare` or `short`; one of the three.

    A point may be seen twice a side: named, and measured.
    """

    point = Choice(tuple(fit_points()), required=True)
    seen = Text(most=40, least=1)
    spare = fields.Nested(LengthSchema)
    short = fields.Nested(LengthSchema)
    side = Choice(SIDES)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Sighting:
        if len(data.keys() & {"seen", "spare", "short"}) != 1:
            raise ValidationError("Give one of seen, spare and short.")
        amount_mm = data["spare"].mm if "spare" in data else -data["short"].mm if "short" in data else None
        return Sighting(data["point"], data.get("seen"), amount_mm, data.get("side"))


class SoldAtSchema(Strict):
    """What the worn garments are sold at, in minor units of the shop's currency."""

    jacket = Count(1, PRICE_MOST_MINOR)
    trousers = Count(1, PRICE_MOST_MINOR)
    waistcoat = Count(1, PRICE_MOST_MINOR)

    @post_load
    def _made(self, data: dict[Garment, int], **_: object) -> tuple[tuple[Garment, int], ...]:
        return tuple(data.items())


class FitCheckAskedSchema(QuestionSchema):
    """What is worn, what was seen, and what is known of the customer."""

    worn = fields.Nested(WornSchema, required=True)
    observations = fields.List(fields.Nested(SightingSchema), required=True, validate=validate.Length(max=120))
    customer_ref = Reference()
    dressed = fields.Nested(
        DressedAskedSchema, metadata={"description": "what else they have on; it moves what is right"}
    )
    sold_at = fields.Nested(
        SoldAtSchema, metadata={"description": "for the rule that weighs the alterations against the price"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> FitCheckAsked:
        asked = take_known(data)
        return FitCheckAsked(sightings=asked.pop("observations"), unit=unit_of_request(), **asked)


class VerdictSchema(Schema):
    """The verdict at one fit point and side; `watch`: not right, but can be worn."""

    point = fields.String(required=True)
    garment = Word(GARMENTS)
    words = fields.String(required=True)
    core = fields.Boolean(required=True, metadata={"description": "true: it is checked at every fitting"})
    side = Word(SIDES, allow_none=True)
    verdict = fields.String(required=True, validate=validate.OneOf(["right", "too_much", "too_little", "not_judged"]))
    watch = fields.Boolean(required=True)
    causes = fields.List(fields.String(), required=True)
    remedies = fields.List(fields.Nested(RemedySchema), required=True, metadata={"description": "best first"})


class FitCheckSchema(JudgedSchema, DiagnosisSchema, LeftOpenSchema):
    """The decision at the mirror: keep, alter, swap or undecided, with what each costs, side by side."""

    id = fields.UUID(required=True)
    decision = fields.String(required=True, validate=validate.OneOf(DECISIONS))
    decided_by = fields.String(
        required=True, metadata={"description": "`cost`, `cause`, or the code of the rule that overrides the cost"}
    )
    swap_rules = fields.List(
        fields.Nested(RuleAppliedSchema), required=True, metadata={"description": "those that apply"}
    )
    comparison = fields.List(fields.Nested(ChoiceSchema), required=True, metadata={"description": "side by side"})
    verdicts = fields.List(fields.Nested(VerdictSchema), required=True)
    dressed = fields.Nested(DressedSchema, required=True, metadata={"description": "what else they had on"})
    keeping = fields.Nested(PlanSchema, required=True, metadata={"description": "the plan that keeps what is worn"})


# The whole answer, or the short view of it.
CHECKED = one_of(FitCheckSchema, ShortFitCheckSchema)


@operation(
    room, "POST", "/fit-checks", scope="advise", body=FitCheckAskedSchema, headers=IdempotencySchema,
    query=ViewQuerySchema, answer=CHECKED, status=201, sends=("Location", "Answer-Repeated"), example=EXAMPLE,
)  # fmt: skip
def check_fit(caller: Caller, headers: dict[str, Any], query: dict[str, Any], asked: FitCheckAsked) -> Response:
    """Judge a worn suit: the verdict at each fit point, its likely causes, and keep, alter or swap."""
    answer = make_fit_check(context(), caller, asked, idempotent_request(headers.get("key")), fit_check_document)
    # Kept is the whole; a retry is shown as the first was, for its query is the same.
    shown = replace(answer, document=_viewed(answer.document, query))
    return created(shown, f"/v1/fit-checks/{answer.document['id']}")


@operation(
    room, "GET", "/fit-checks/<uuid:check_id>", scope="advise", query=ViewQuerySchema, answer=CHECKED, refuses=(404,),
    cacheable=True,
)  # fmt: skip
def read_fit_check(caller: Caller, query: dict[str, Any], check_id: object) -> dict[str, Any]:
    """A fit check as it was made, in the unit that is asked for."""
    kept = show_fit_check(context(), caller, str(check_id))
    return _viewed(fit_check_document(kept.id, kept.record), query)


def _viewed(whole: dict[str, Any], query: dict[str, Any]) -> dict[str, Any]:
    return short_fit_check(whole) if query["view"] == SHORT else whole


def fit_check_document(check_id: str, record: FitCheckRecord) -> dict[str, Any]:
    """A fit check, whole, as its record has it."""
    answer_in((record.unit,))
    return {
        "id": check_id,
        "decision": record.decision,
        "decided_by": record.decided_by or "cost",
        "swap_rules": ruled_documents(record.rules),
        "comparison": choice_documents(record.choices),
        "verdicts": [_verdict(each) for each in record.verdicts],
        **diagnosis_document(record),
        "dressed": DRESSED.dump(record.dressed),
        **LEFT_OPEN.dump(record),
        "serves": serving_document(record.served),
        "body": estimate_documents(record.body),
        "plans": [plan_document(plan) for plan in record.plans],
        "prices_include_tax": record.prices_include_tax,
        "keeping": plan_document(record.keeping),
        "next_measures": next_documents(record.next_measures),
        "population_version": record.population_version,
        "warnings": notices(record.notices),
    }


def _verdict(each: RecordedVerdict) -> dict[str, Any]:
    return {
        "point": each.point,
        "garment": each.garment,
        "words": each.words,
        "core": each.core,
        "side": each.side,
        "verdict": each.verdict or "not_judged",
        "watch": each.watch,
        "causes": list(each.causes),
        "remedies": [remedy_document(one) for one in each.remedies],
    }
