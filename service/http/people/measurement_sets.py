"""Measurement sets over HTTP."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import Response, request
from marshmallow import fields, post_load, pre_dump, validate

from service.http.advice.bodies import READINGS_MOST, AgeField, PostureField, tuples
from service.http.advice.plans import EstimateSchema, estimate_document
from service.http.answering import UnitsSchema
from service.http.callers.headers import IdempotencySchema
from service.http.callers.units import answer_in
from service.http.notices import NoticeSchema
from service.http.operations import context, created, idempotent_request, operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import ReadingSchema, Said, said
from service.http.schemas import AddingSchema, ByHand, Schema, Word
from service.http.texts import Reference, Text
from service.http.values import Count, Day, Figure, Id, Strict
from service.tailoring.body.posture import NOTE_NAMES
from service.tailoring.body.readings import SOURCES, Reading
from service.tailoring.quantities import Length
from service.use_cases.context import Caller
from service.use_cases.people import measurement_sets as cases
from service.use_cases.people.measurement_sets import (
    SETS_MOST,
    SetAsked,
    SetsPage,
    ShownSet,
    sets_of_customer,
    show_measurement_set,
)

room = StrictBlueprint(
    "measurement_sets", __name__, description="Readings of a customer, and what they say of the body"
)

EXAMPLE = {
    "readings": [
        {"dimension": "chest_girth", "value": "38 1/4", "unit": "in", "source": "measured", "repeats": [38.5]},
        {"dimension": "stature", "value": 178, "unit": "cm"},
        {"dimension": "body_mass", "value": 78.4, "unit": "kg", "source": "self_reported"},
    ],
    "customer_ref": "C-1042",
    "by": "fitter-1",
    "age_years": 34,
    "posture": [{"note": "low_shoulder", "side": "left", "amount": {"value": "1/4", "unit": "in"}}],
}


class MeasurementSetAskedSchema(Strict):
    """The readings of one customer on one day, taken with their consent; they may hold the tape themselves."""

    readings = fields.List(fields.Nested(ReadingSchema), required=True, validate=validate.Length(1, READINGS_MOST))
    customer_ref = Reference()
    taken_on = Day(metadata={"description": "the shop's local day; today where it is not given"})
    taken_by = Reference(data_key="by", metadata={"description": "who took the readings"})
    age_years = AgeField()
    posture = PostureField()
    note = Text(most=200, metadata={"description": "about cloth, never a diagnosis: 'likes a soft shoulder'"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> SetAsked:
        return SetAsked(**tuples(data))


class KeptPostureSchema(Schema):
    """A note of the posture as it was recorded."""

    note = Word(NOTE_NAMES, attribute="name")
    amount = Said(required=True)
    side = Word(("left", "right"), allow_none=True)


class KeptReadingSchema(Schema):
    """A reading as it was recorded."""

    dimension = fields.String(required=True)
    size = Said(required=True)
    source = Word(SOURCES)
    repeats = fields.List(Said(), required=True)


def reading_document(read: Reading) -> dict[str, Any]:
    """A reading as it was recorded: a customer's sets hold them by the thousand."""
    size, *repeats = said((read.size, *read.repeats))
    return {"dimension": read.dimension, "size": size, "source": read.source, "repeats": repeats}


class MeasurementSetSchema(AddingSchema):
    """A recorded set, and what it says of the body."""

    of = "kept"

    id = fields.UUID(required=True)
    customer_ref = fields.String(required=True, allow_none=True)
    taken_on = fields.Date(required=True)
    by = fields.String(
        required=True, allow_none=True, attribute="taken_by", metadata={"description": "who took the readings"}
    )
    age_years = Figure(required=True, allow_none=True)
    posture = fields.List(fields.Nested(KeptPostureSchema), required=True)
    note = fields.String(required=True)
    recorded_at = fields.DateTime(required=True)
    readings = ByHand(KeptReadingSchema, reading_document, required=True)
    body = ByHand(EstimateSchema, estimate_document, required=True, attribute="estimates")
    warnings = fields.List(fields.Nested(NoticeSchema), required=True, attribute="body.notices")

    @pre_dump
    def _in_its_unit(self, shown: ShownSet, **_: object) -> ShownSet:
        answer_in(each.size.unit for each in shown.kept.readings if isinstance(each.size, Length))
        return shown


class SetsQuerySchema(UnitsSchema):
    """Which page."""

    after = Id(metadata={"description": "the id of the last set of the page before, as `Link` has it"})
    limit = Count(1, SETS_MOST, written=True, load_default=SETS_MOST, metadata={"description": "sets a page"})


class MeasurementSetsSchema(Schema):
    """A page of a customer's sets, newest first."""

    measurement_sets = fields.List(fields.Nested(MeasurementSetSchema), required=True)


@operation(
    room, "POST", "/measurement-sets", scope="measure", body=MeasurementSetAskedSchema, headers=IdempotencySchema,
    answer=MeasurementSetSchema, status=201, sends=("Location", "Answer-Repeated"), example=EXAMPLE,
)  # fmt: skip
def record_measurement_set(caller: Caller, headers: dict[str, Any], asked: SetAsked) -> Response:
    """Record the readings of a customer."""
    answer = cases.record_measurement_set(
        context(), caller, asked, idempotent_request(headers.get("key")), MeasurementSetSchema().dump
    )
    return created(answer, f"/v1/measurement-sets/{answer.document['id']}")


@operation(
    room, "GET", "/measurement-sets/<uuid:set_id>", scope="measure", answer=MeasurementSetSchema, refuses=(404,)
)  # fmt: skip
def read_measurement_set(caller: Caller, set_id: object) -> ShownSet:
    """One measurement set."""
    return show_measurement_set(context(), caller, str(set_id))


@operation(
    room, "GET", "/customers/<reference:customer_ref>/measurement-sets", scope="measure", query=SetsQuerySchema,
    answer=MeasurementSetsSchema, refuses=(404,), sends=("Link",),
)  # fmt: skip
def list_measurement_sets(caller: Caller, query: dict[str, Any], customer_ref: str) -> tuple[SetsPage, dict[str, str]]:
    """A customer's measurement sets, newest first; empty where they are not known. `Link: rel="next"` continues.

    A page ends early where its sets together hold 18,000 readings and repeats.
    """
    after = query.get("after")
    page = sets_of_customer(context(), caller, customer_ref, str(after) if after else None, query["limit"])
    following = urlencode({**request.args.to_dict(), "after": page.after})
    return page, {"Link": f'<{request.path}?{following}>; rel="next"'} if page.after else {}
