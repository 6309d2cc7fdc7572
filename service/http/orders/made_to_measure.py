"""The hand-over to a maker to measure over HTTP, in every format of a paper, by Accept."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, post_load, validate

from service.http.advice.bodies import KnownSchema, take_known
from service.http.advice.size_advice import CHARTS_MOST, EXAMPLE, StockSchema
from service.http.operations import context, operation
from service.http.orders.papers import PRINTED, TEXT, printed
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.texts import Reference, Text
from service.http.values import Choice, Id
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import WISHES
from service.tailoring.sizing.plans import SERVES
from service.use_cases.context import Caller
from service.use_cases.fitting.made_to_measure import HandOverAsked, hand_over

room = StrictBlueprint("made_to_measure", __name__, description="The sheet for a maker, where no size serves")

NOTE_LONGEST = 500


class HandOverAskedSchema(KnownSchema):
    """For whom, in which garments, and the fit check on a suit that was tried on, where there was one."""

    charts = fields.List(Text(most=40, least=1), validate=validate.Length(1, CHARTS_MOST))
    wish = Choice(WISHES, load_default="usual")
    stock = fields.Nested(StockSchema)
    garments = fields.List(Choice(GARMENTS), validate=validate.Length(1, len(GARMENTS)))
    fit_check = Id(metadata={"description": "a fit check: what was seen on the worn suit is printed"})
    customer_ref = Reference()
    note = Text(most=NOTE_LONGEST, metadata={"description": "a note to the maker"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> HandOverAsked:
        if data.get("fit_check"):
            data["fit_check"] = str(data["fit_check"])
        return HandOverAsked(**take_known(data))


class SheetReadingSchema(Schema):
    """A dimension in words, its size both ways, and how it was got."""

    of = fields.String(required=True)
    size = fields.String(required=True)
    how = fields.String(required=True)


class HandOverSheetSchema(Schema):
    """The sheet as words: the same that every format prints; what is empty is not printed."""

    shop = fields.String(required=True)
    number = fields.String(required=True, metadata={"description": "what its codes hold"})
    day = fields.String(required=True)
    customer_ref = fields.String(required=True)
    garments = fields.String(required=True)
    age = fields.String(required=True)
    serves = fields.String(required=True, validate=validate.OneOf(SERVES))
    readings = fields.List(fields.Nested(SheetReadingSchema), required=True)
    to_take = fields.List(fields.String(), required=True)
    posture = fields.List(fields.String(), required=True)
    seen = fields.List(fields.String(), required=True)
    nearest = fields.List(fields.String(), required=True)
    wrong = fields.List(fields.String(), required=True)
    note = fields.String(required=True)
    checks = fields.List(fields.String(), required=True)


@operation(
    room, "POST", "/made-to-measure-sheets", scope="advise", body=HandOverAskedSchema, answer=TEXT, media="text/plain",
    also={**PRINTED, "application/json": HandOverSheetSchema}, refuses=(406,), sends=("Vary",),
    example={"readings": EXAMPLE["readings"], "note": "The cloth is chosen."},
)  # fmt: skip
def print_made_to_measure_sheet(caller: Caller, asked: HandOverAsked) -> Response:
    """The sheet for a maker to measure, in the formats of the ticket, by Accept; PDF on A5. Nothing of it is kept.

    It has the readings, what is still to be taped, posture, what was seen, and the nearest size with where it stays
    wrong.
    """
    return printed("made_to_measure", hand_over(context(), caller, asked), caller.shop.name)
