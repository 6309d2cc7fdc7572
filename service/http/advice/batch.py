"""Size advice for many men over HTTP: a JSON document, or JSON Lines that stream."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Response, current_app, g, request, stream_with_context
from marshmallow import ValidationError, fields, missing, post_load, pre_load, validate
from typing_extensions import override

from service.http.advice.batch_costs import charge_of_json, shape_of_json
from service.http.advice.bodies import READINGS_MOST, AgeField, PopulationVersionField, tuples
from service.http.advice.plans import (
    EstimateSchema,
    NextMeasureSchema,
    PlaceSchema,
    PlannedAlterationSchema,
    PopulationVersion,
    RankingSchema,
)
from service.http.advice.serving import ChosenSizeSchema, ConfidenceSchema, ServesField, ServingSchema, chosen_document
from service.http.advice.size_advice import CHARTS_MOST, PLANS_MOST, StockSchema, advice_document
from service.http.heartbeat import beat, is_stopping
from service.http.metrics import count_advice
from service.http.notices import NoticeSchema, notices
from service.http.operations import context, operation
from service.http.parsing import LINES, StrictBlueprint
from service.http.problems import FaultSchema, fault_document
from service.http.quantities import ReadingSchema, plain_reading
from service.http.schemas import Schema
from service.http.texts import Reference, Text
from service.http.values import Choice, Count, Flag, MoneySchema, Strict, TaxIncluded
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import WISHES
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.batch import Answer, Person
from service.tailoring.sizing.batch_costs import check_affordable
from service.tailoring.sizing.ranking import Ranked
from service.use_cases.advice.batch import PEOPLE_MOST, BatchAsked, rank_batch
from service.use_cases.context import Caller

log = logging.getLogger(__name__)
room = StrictBlueprint("batch", __name__, description="Sizes for many people in one call")

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

    @override
    def load(self, data: Any, **options: Any) -> Any:
        """As its base; who is plainly right is read straight, for a batch has ten thousand of them."""
        return self._plain(data) or super().load(data, **options)

    def _plain(self, data: Any) -> tuple[str, Person] | None:  # noqa: ANN401  whatever the body says
        if type(data) is not dict or not data.keys() <= self.fields.keys() or type(data.get("readings")) is not list:
            return None
        readings = [plain_reading(each) for each in data["readings"]]
        if len(readings) > READINGS_MOST or None in readings:
            return None
        try:
            said = {name: self.fields[name].deserialize(data.get(name, missing)) for name in ("ref", "age_years")}
        except ValidationError:
            return None
        known = {name: value for name, value in said.items() if value is not missing}
        made: tuple[str, Person] = self._made({**known, "readings": readings})
        return made

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[str, Person]:
        beat()
        if is_stopping():
            raise Refusal("service_ending", answered=0)
        return data["ref"], Person(tuple(data["readings"]), data.get("age_years"))


class BatchAskedSchema(Strict):
    """Many people and one question. As JSON Lines the first line is the question, every other one a person."""

    people = fields.List(fields.Nested(PersonSchema), required=True, validate=validate.Length(1, PEOPLE_MOST))
    charts = fields.List(Text(most=40, least=1), validate=validate.Length(1, CHARTS_MOST))
    wish = Choice(WISHES, load_default="usual")
    stock = fields.Nested(StockSchema)
    garments = fields.List(Choice(GARMENTS), validate=validate.Length(1, len(GARMENTS)))
    limit = Count(1, PLANS_MOST, load_default=1)
    whole = Flag(
        load_default=False,
        metadata={
            "description": "alterations, reasons, shares, body and next measures too, as in single advice;"
            " it costs far more points"
        },
    )

    # The field that JSON Lines carry, a line each.
    lines = "people"

    population_version = PopulationVersionField()

    @pre_load
    def _affordable(self, data: Any, **_: object) -> Any:  # noqa: ANN401  whatever the body says
        """Refuse what is too dear whatever its charts, before any of its readings is read."""
        if isinstance(data, dict) and isinstance(data.get("people"), list):
            check_affordable([shape_of_json(person) for person in data["people"]], charge_of_json(data))
        return data

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> BatchAsked:
        return BatchAsked(**tuples(data))


class RankedSchema(Schema):
    """A size for each garment asked for, and what it is expected to cost; a whole answer has the rest of a plan too."""

    jacket = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    trousers = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    waistcoat = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    ranking = fields.Nested(RankingSchema, required=True)
    price = fields.Nested(MoneySchema)
    alterations = fields.List(fields.Nested(PlannedAlterationSchema))
    minutes = fields.Integer()
    serves = ServesField()
    confidence = fields.Nested(ConfidenceSchema, metadata={"description": "of a whole answer: how sure the plan is"})
    places = fields.List(fields.Nested(PlaceSchema))


class AnswerSchema(Schema):
    """The advice for one person: ranked sizes, or why there are none. A whole answer is that of a single question."""

    ref = fields.String(required=True)
    plans = fields.List(fields.Nested(RankedSchema), required=True)
    serves = fields.Nested(ServingSchema, allow_none=True)
    prices_include_tax = TaxIncluded()
    body = fields.List(fields.Nested(EstimateSchema))
    next_measures = fields.List(fields.Nested(NextMeasureSchema))
    population_version = PopulationVersion()
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)
    problem = fields.Nested(FaultSchema, required=True, allow_none=True)


class AnswersSchema(Schema):
    """Everyone's answer, in the order asked."""

    answers = fields.List(fields.Nested(AnswerSchema), required=True)


class LinesEndSchema(Schema):
    """Always the last line: whether everybody is answered above it. Without it, the answer was cut off on its way."""

    complete = fields.Boolean(required=True)
    answered = fields.Integer(
        required=True, metadata={"description": "how many lines are above, from the first person"}
    )
    problem = fields.Nested(
        FaultSchema, required=True, allow_none=True, metadata={"description": "why the others are not answered"}
    )


@dataclass(frozen=True, slots=True)
class BatchSeconds:
    """How long a batch may take: as a document, of which a proxy waits for the first byte, and as lines."""

    document: float = 25.0
    lines: float = 60.0


@operation(
    room, "POST", "/size-advice/batch", scope="advise", body=BatchAskedSchema, answer=AnswersSchema, example=EXAMPLE,
    body_most=BODY_MOST_BYTES, lines={"oneOf": [AnswerSchema, LinesEndSchema]}, is_batch=True,
)  # fmt: skip
def advise_sizes(caller: Caller, asked: BatchAsked) -> Response:
    """The best sizes for up to 10,000 people in one call; with `Accept: application/x-ndjson` a line each.

    A batch may come to 100,000 points; a single size advice comes to 100. Everybody costs 1 for each value
    read, and for each chart 5 (10 where it has more than 220 sizes; the reference blocks count as one chart). Whoever
    has a `label`, or one dimension in two readings, costs 10 more, 5 a chart and a tenth of the square of the number of
    readings; so does, once, each set of dimensions, sources and repeats that people were read by.
    `whole` answers have alterations, reasons and shares as well; in them everybody costs that, 30 more, 30 a chart and
    10 for each of `limit`. Lines are sent while the rest is worked out, for at most 60 seconds, and the last
    one always says whether the answer is complete; a document is made within 25 seconds or refused. A few batches are
    answered at a time; others are asked to try again.
    """
    some = rank_batch(context(), caller, asked)
    seconds: BatchSeconds = current_app.extensions["batch_seconds"]
    currency = caller.shop.prices.currency
    if request.accept_mimetypes.best_match(["application/json", LINES]) == LINES:
        pieces = _pieces(some, currency, len(asked.people), seconds.lines)
        return Response(stream_with_context(lines_to_the_end(pieces)), content_type=LINES)
    # Put together as bytes: as documents they would take ten times the memory.
    made = b",".join(each for piece in _pieces(some, currency, len(asked.people), seconds.document) for each in piece)
    return Response(b'{"answers":[%b]}' % made, content_type="application/json")


def _pieces(
    some: Iterator[list[tuple[str, Answer]]], currency: str, people: int, seconds: float
) -> Iterator[list[bytes]]:
    """The answers' documents, some at a time. Raises Refusal `batch_out_of_time` or `service_ending` between two."""
    answered = 0
    for answers in some:
        beat()
        yield [_written(_document(ref, answer, currency)) for ref, answer in answers]
        answered += len(answers)
        count_advice(len(answers))
        if answered < people and is_stopping():
            raise Refusal("service_ending", answered=answered)
        if answered < people and time.perf_counter() - g.began > seconds:
            raise Refusal("batch_out_of_time", answered=answered, people=people, within=seconds)


def lines_to_the_end(pieces: Iterator[list[bytes]]) -> Iterator[bytes]:
    """A line each, and at the end, however it came, a line that says whether that was everybody."""
    answered, problem = 0, None
    try:
        for piece in pieces:
            yield b"\n".join([*piece, b""])
            answered += len(piece)
    except Refusal as refusal:
        problem = fault_document(refusal)
    except Exception:
        log.exception("fault", extra={"operation": request.endpoint, "method": request.method})
        problem = fault_document(Refusal("fault"))
    yield _written({"complete": problem is None, "answered": answered, "problem": problem}) + b"\n"


def _written(document: dict[str, Any]) -> bytes:
    return current_app.json.dumps(document).encode()


def _document(ref: str, answer: Answer, currency: str) -> dict[str, Any]:
    told = advice_document(answer.whole) if answer.whole else _ranked_document(answer, currency)
    return {"ref": ref, **told, "problem": fault_document(answer.refusal) if answer.refusal else None}


def _ranked_document(answer: Answer, currency: str) -> dict[str, Any]:
    return {
        "plans": [_ranked(each, currency) for each in answer.ranked],
        "population_version": answer.population_version,
        "warnings": notices(answer.notices),
    }


def _ranked(each: Ranked, currency: str) -> dict[str, Any]:
    return {
        **{garment: chosen_document(each.sizes.get(garment)) for garment in GARMENTS},
        "ranking": {"expected_cost": {"minor": each.expected_minor, "currency": currency}},
    }
