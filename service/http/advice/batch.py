"""Size advice for many men over HTTP: a JSON document, or JSON Lines that stream."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flask import Response, current_app, request
from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.http.advice.bodies import READINGS_MOST, AgeField, tuples
from service.http.advice.plans import (
    ChosenSchema,
    EstimateSchema,
    NextMeasureSchema,
    PlaceSchema,
    PlannedAlterationSchema,
    chosen_document,
)
from service.http.advice.size_advice import CHARTS_MOST, PLANS_MOST, StockSchema, advice_document
from service.http.metrics import count_advice
from service.http.notices import NoticeSchema, notices
from service.http.operations import answered, context, operation
from service.http.parsing import LINES, StrictBlueprint
from service.http.problems import FaultSchema, fault_document
from service.http.schemas import Schema
from service.http.values import Choice, Count, Flag, MoneySchema, ReadingSchema, Reference, Strict, Text
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import WISHES
from service.tailoring.sizing.batch import Answer, Person, Ranked
from service.use_cases.advice.batch import PEOPLE_MOST, WHOLE_MOST, BatchAsked, rank_batch
from service.use_cases.context import Caller

room = StrictBlueprint("batch", __name__, description="Sizes for many men in one call")

BODY_MOST_BYTES = 16 * 1024 * 1024
EXAMPLE = {
    "people": [
        {
            "ref": "staff-1",
            "readings": [
                {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
                {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
            ],
            "age_years": 34,
        },
        {"ref": "staff-2", "readings": [{"dimension": "chest_girth", "value": "40 1/2", "unit": "in"}]},
    ],
    "limit": 2,
}


class PersonSchema(Strict):
    """One of many, by the caller's own reference."""

    ref = Reference(required=True)
    readings = fields.List(fields.Nested(ReadingSchema), required=True, validate=validate.Length(max=READINGS_MOST))
    age_years = AgeField()

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[str, Person]:
        return data["ref"], Person(tuple(data["readings"]), data.get("age_years"))


class BatchAskedSchema(Strict):
    """Many men and one question. As JSON Lines the first line is the question, every other one a man."""

    people = fields.List(fields.Nested(PersonSchema), required=True, validate=validate.Length(1, PEOPLE_MOST))
    charts = fields.List(Text(most=40, least=1), validate=validate.Length(1, CHARTS_MOST))
    wish = Choice(WISHES, load_default="usual")
    stock = fields.Nested(StockSchema)
    garments = fields.List(Choice(GARMENTS), validate=validate.Length(1, len(GARMENTS)))
    limit = Count(1, PLANS_MOST, load_default=1)
    whole = Flag(
        load_default=False,
        metadata={
            "description": f"alterations, reasons, shares, body and next measures too, as one by one; for at most "
            f"{WHOLE_MOST} people: some forty times the work"
        },
    )

    # The field that JSON Lines carry, a line each.
    lines = "people"

    @validates_schema
    def _not_too_many(self, data: dict[str, Any], **_: object) -> None:
        if data.get("whole") and len(data.get("people", ())) > WHOLE_MOST:
            raise ValidationError(f"Whole answers are given to at most {WHOLE_MOST} people at once.", "people")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> BatchAsked:
        return BatchAsked(**tuples(data))


class RankedSchema(Schema):
    """A size of each garment asked for, and what it is expected to cost; a whole answer has the rest of a plan too."""

    jacket = fields.Nested(ChosenSchema, required=True, allow_none=True)
    trousers = fields.Nested(ChosenSchema, required=True, allow_none=True)
    waistcoat = fields.Nested(ChosenSchema, required=True, allow_none=True)
    expected_cost = fields.Nested(MoneySchema, required=True)
    alterations = fields.List(fields.Nested(PlannedAlterationSchema))
    minutes = fields.Integer()
    p_best = fields.Float(validate=validate.Range(0, 1))
    p_no_alteration = fields.Float(validate=validate.Range(0, 1))
    p_fits_after_alteration = fields.Float(validate=validate.Range(0, 1))
    places = fields.List(fields.Nested(PlaceSchema))


class AnswerSchema(Schema):
    """What one man gets: ranked sizes, or why there are none for him. A whole answer is that of a single question."""

    ref = fields.String(required=True)
    plans = fields.List(fields.Nested(RankedSchema), required=True)
    body = fields.List(fields.Nested(EstimateSchema))
    next_measures = fields.List(fields.Nested(NextMeasureSchema))
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)
    problem = fields.Nested(FaultSchema, required=True, allow_none=True)


class AnswersSchema(Schema):
    """Everyone's answer, in the order asked."""

    answers = fields.List(fields.Nested(AnswerSchema), required=True)


@operation(
    room, "POST", "/size-advice/batch", scope="advise", body=BatchAskedSchema, answer=AnswersSchema, example=EXAMPLE,
    body_most=BODY_MOST_BYTES, lines=AnswerSchema,
)  # fmt: skip
def advise_many(caller: Caller, asked: BatchAsked) -> Response:
    """The best sizes for up to 10,000 men in one call, as one by one; with `Accept: application/x-ndjson` a line each.

    `whole` answers have alterations, reasons and shares as well.
    """
    found = rank_batch(context(), caller, asked)
    count_advice(len(asked.people))
    documents = (_document(ref, answer, caller.shop.prices.currency) for ref, answer in found)
    if request.accept_mimetypes.best_match(["application/json", LINES]) == LINES:
        return Response(_lines(documents), content_type=LINES)
    return answered({"answers": list(documents)})


def _lines(documents: Iterator[dict[str, Any]]) -> Iterator[str]:
    dumps = current_app.json.dumps
    return (dumps(document) + "\n" for document in documents)


def _document(ref: str, answer: Answer, currency: str) -> dict[str, Any]:
    told = advice_document(answer.whole) if answer.whole else _ranked_document(answer, currency)
    return {"ref": ref, **told, "problem": fault_document(answer.refusal) if answer.refusal else None}


def _ranked_document(answer: Answer, currency: str) -> dict[str, Any]:
    return {
        "plans": [_ranked(each, currency) for each in answer.ranked],
        "warnings": notices(answer.notices),
    }


def _ranked(each: Ranked, currency: str) -> dict[str, Any]:
    chosen = dict(each.sizes)
    return {
        **{garment: chosen_document(chosen.get(garment)) for garment in GARMENTS},
        "expected_cost": {"minor": each.expected_minor, "currency": currency},
    }
