"""What became of what was sold, over HTTP, and what counts of it tell."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, post_load, validate

from service.http.answering import UnitsSchema
from service.http.callers.headers import RequiredIdempotencySchema
from service.http.operations import context, created, idempotent_request, operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema, Out
from service.http.schemas import AddingSchema, Schema, Word
from service.http.texts import Reference, Text
from service.http.values import Choice, Day, Figure, Id, Number, Strict, refusals_as_errors
from service.storage.orders.outcomes import FiledOutcome
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST
from service.tailoring.orders.outcomes import (
    RESULTS,
    AlteredBy,
    KeptShares,
    Outcome,
    SizeSold,
    return_reasons,
)
from service.use_cases.context import Caller
from service.use_cases.orders.outcomes import OutcomeAsked, count_outcomes, show_outcome, tell_outcome

room = StrictBlueprint(
    "outcomes", __name__, description="What was kept, swapped, returned or altered, and the figures that come of it"
)

ALTERATIONS_MOST = 20
EXAMPLE = {
    "garment": "jacket",
    "sold": {"chart": "reference", "label": "40R"},
    "result": "swapped",
    "swapped_to": {"chart": "reference", "label": "42R"},
    "reason": "too_tight",
    "place": "chest",
    "on": "2026-03-02",
    "advised": {"chart": "reference", "label": "40R", "p_best": 0.71},
    "sale_ref": "S-77",
}
# Tills report, and so do web shops' own machines.
REPORTS = ("order", "advise")


class NamedSizeSchema(Strict):
    """A size of a chart."""

    chart = Text(most=40, least=1, required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> SizeSold:
        return SizeSold(**data)


class AdvisedSchema(Strict):
    """What a plan had advised for this garment, and how sure it was, where the caller kept that."""

    chart = Text(most=40, least=1, required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)
    p_best = Number(validate=validate.Range(0, 1))


class AlteredBySchema(Strict):
    """An alteration that was done, and by how much where that is known."""

    alteration = Text(most=64, least=1, required=True)
    amount = fields.Nested(LengthSchema)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> AlteredBy:
        return AlteredBy(**data)


class OutcomeAskedSchema(Strict):
    """What became of one garment. Each result asks for its own part: swapped to what, returned why, altered how."""

    garment = Choice(GARMENTS, required=True)
    sold = fields.Nested(NamedSizeSchema, required=True)
    result = Choice(RESULTS, required=True)
    on = Day(required=True, metadata={"description": "the shop's local day"})
    swapped_to = fields.Nested(NamedSizeSchema)
    reason = Choice(tuple(return_reasons()))
    place = Text(
        most=40, least=1, metadata={"description": "where on the garment it was too tight, too long and so on"}
    )
    alterations = fields.List(fields.Nested(AlteredBySchema), validate=validate.Length(1, ALTERATIONS_MOST))
    advised = fields.Nested(AdvisedSchema)
    fit_check = Id(metadata={"description": "what it came of; its first plan is what was advised"})
    order = Id(metadata={"description": "the order of the work on it"})
    customer_ref = Reference()
    sale_ref = Reference()

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> OutcomeAsked:
        links = {name: data.pop(name, None) for name in ("customer_ref", "sale_ref", "fit_check", "order")}
        links |= {name: str(links[name]) for name in ("fit_check", "order") if links[name]}
        advised = data.pop("advised", None)
        if advised:
            data |= {"p_best": advised.pop("p_best", None), "advised": SizeSold(**advised)}
        with refusals_as_errors():
            return OutcomeAsked(Outcome(**data | {"alterations": tuple(data.get("alterations", ()))}), **links)


class SoldSchema(Schema):
    """A size of a chart."""

    chart = fields.String(required=True)
    label = fields.String(required=True)


class AlterationDoneSchema(Schema):
    """An alteration that was done."""

    alteration = fields.String(required=True)
    amount = Out(required=True, allow_none=True)


class OutcomeSchema(AddingSchema):
    """An outcome as it was reported."""

    of = "outcome"
    id = fields.UUID(required=True)
    garment = Word(GARMENTS)
    sold = fields.Nested(SoldSchema, required=True)
    result = Word(RESULTS)
    on = fields.Date(required=True)
    swapped_to = fields.Nested(SoldSchema, required=True, allow_none=True)
    reason = Word(tuple(return_reasons()), allow_none=True)
    place = fields.String(required=True, allow_none=True)
    alterations = fields.List(fields.Nested(AlterationDoneSchema), required=True)
    advised = fields.Nested(SoldSchema, required=True, allow_none=True)
    p_best = Figure(required=True, allow_none=True)
    fit_check = fields.UUID(required=True, allow_none=True)
    order = fields.UUID(required=True, allow_none=True)
    customer_ref = fields.String(required=True, allow_none=True)
    sale_ref = fields.String(required=True, allow_none=True)
    reported_at = fields.DateTime(required=True, attribute="told_at")


class SharesQuerySchema(UnitsSchema):
    """Which sizes, since when."""

    garment = Choice(GARMENTS, metadata={"description": "of this garment only"})
    chart = Text(most=40, least=1, metadata={"description": "of this chart only"})
    since = Day(metadata={"description": "reported on this day or later"})


class CountedShareSchema(Schema):
    """A share as it was counted, with its 95 % interval."""

    count = fields.Integer(required=True)
    of = fields.Integer(required=True)
    share = Figure(required=True, allow_none=True)
    low = Figure(required=True, allow_none=True, attribute="interval.least", dump_default=None)
    high = Figure(required=True, allow_none=True, attribute="interval.most", dump_default=None)


class KeptShareSchema(Schema):
    """What was reported of one size."""

    garment = Word(GARMENTS)
    sold = fields.Nested(SoldSchema, required=True)
    counts = fields.Dict(keys=fields.String(), values=fields.Integer(), required=True, attribute="results")
    kept = fields.Nested(CountedShareSchema, required=True)
    kept_as_advised = fields.Nested(CountedShareSchema, required=True)


class KeptSharesSchema(Schema):
    """Sizes by garment, chart and label; reports are counted, not garments."""

    reports = fields.Integer(required=True)
    sizes = fields.List(fields.Nested(KeptShareSchema), required=True)


@operation(
    room, "POST", "/outcomes", scope=REPORTS, body=OutcomeAskedSchema, headers=RequiredIdempotencySchema,
    answer=OutcomeSchema, status=201, sends=("Location", "Answer-Repeated"), example=EXAMPLE,
)  # fmt: skip
def report_outcome(caller: Caller, headers: dict[str, Any], asked: OutcomeAsked) -> Response:
    """Report what became of a garment: kept, swapped, returned or altered."""
    answer = tell_outcome(context(), caller, asked, idempotent_request(headers["key"]), OutcomeSchema().dump)
    return created(answer, f"/v1/outcomes/{answer.document['id']}")


@operation(
    room, "GET", "/outcomes/<uuid:outcome_id>", scope=REPORTS, answer=OutcomeSchema, refuses=(404,),
)  # fmt: skip
def read_outcome(caller: Caller, outcome_id: object) -> FiledOutcome:
    """One outcome, as it was reported."""
    return show_outcome(context(), caller, str(outcome_id))


@operation(
    room, "GET", "/kept-shares", scope="admin", query=SharesQuerySchema, answer=KeptSharesSchema,
)  # fmt: skip
def count_kept_shares(caller: Caller, query: dict[str, Any]) -> KeptShares:
    """For each size, how much of what was sold was kept, with counts and intervals."""
    return count_outcomes(context(), caller, **query)
