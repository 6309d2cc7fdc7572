"""The fit points, as a fitter works down them, and a shop's own rows among them."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.callers.headers import IfMatchSchema
from service.http.fitting.fit_point_rows import EXAMPLE, FitPointRowsSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema, Word
from service.http.texts import TableWords
from service.http.values import Figure
from service.tailoring.fitting.fit_point_tables import fit_point_table
from service.tailoring.fitting.fit_points import BEYONDS, SIDES_SAID, VERDICTS
from service.tailoring.fitting.own_fit_points import OwnPoint
from service.tailoring.garments.alterations import BASES
from service.tailoring.garments.charts import GARMENTS
from service.use_cases.context import Caller
from service.use_cases.shop.shops import replace_fit_points

room = StrictBlueprint("fit_points", __name__, description="What is checked on a worn garment")


class BandSchema(Schema):
    """Amounts between which a point is right (ok), or can still be worn (watch); a short amount is below zero."""

    right = Out(required=True, attribute="right_mm", mm_in="in")
    ok_low = Out(required=True, attribute="ok.least", mm_in="in")
    ok_high = Out(required=True, attribute="ok.most", mm_in="in")
    watch_low = Out(required=True, attribute="watch.least", mm_in="in")
    watch_high = Out(required=True, attribute="watch.most", mm_in="in")
    ok_mm = fields.List(Figure(digits=1), required=True)
    watch_mm = fields.List(Figure(digits=1), required=True)


class AppearanceSchema(AddingSchema):
    """An appearance, its verdict, its likely causes and what cures it, best first: alterations by code, or words."""

    of = "look"
    seen = fields.String(required=True, attribute="name")
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    causes = fields.List(fields.String(), required=True)
    remedies = fields.List(fields.String(), required=True)
    own = fields.Boolean(required=True, metadata={"description": "true: the shop has set it"})
    source = fields.String(required=True)


class FitPointSchema(AddingSchema):
    """A place that a fitter checks on the worn garment."""

    of = "point"
    point = fields.String(required=True, attribute="code")
    garment = Word(GARMENTS)
    step = fields.Integer(
        required=True, metadata={"description": "the step of the fitting in which it is checked, from 1"}
    )
    core = fields.Boolean(required=True, metadata={"description": "true: it is checked at every fitting"})
    words = fields.String(required=True)
    how = TableWords(required=True)
    sided = fields.Boolean(required=True, metadata={"description": "true: an observation must name a side"})
    sides = fields.String(
        required=True,
        validate=validate.OneOf(SIDES_SAID),
        metadata={
            "description": "none: it takes no side; each: left, right or both must be given; either: a side may be "
            "given, without it both are meant; odd_one: the side that differs"
        },
    )
    amount = fields.String(
        required=True, metadata={"description": "what is measured there, in words; empty: it is judged by eye"}
    )
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    band = fields.Nested(BandSchema, required=True, allow_none=True)
    beyond = fields.String(
        required=True,
        validate=validate.OneOf(BEYONDS),
        metadata={"description": "what follows beyond the watch band"},
    )
    appearances = fields.List(fields.Nested(AppearanceSchema), required=True)
    own = fields.Boolean(required=True, metadata={"description": "true: the shop judges it by its own figures"})
    source = fields.String(required=True)


class TryOnStepSchema(AddingSchema):
    """One step of a fitting, why it is taken then, and the points that are checked in it."""

    of = "step"
    step = fields.Integer(required=True, attribute="number")
    words = fields.String(required=True)
    reason = fields.String(required=True)
    points = fields.List(fields.String(), required=True)
    source = fields.String(required=True)


class FitPointsSchema(Schema):
    """Every fit point in the order of looking, and the try-on step by step."""

    fit_points = fields.List(fields.Nested(FitPointSchema), required=True)
    try_on = fields.List(fields.Nested(TryOnStepSchema), required=True)


@operation(
    room, "GET", "/fit-points", scope="advise", answer=FitPointsSchema, kept_by_key=True,
    made_of=lambda caller: (caller.shop.fit_points, caller.shop.fit_points_version),
)  # fmt: skip
def list_fit_points(caller: Caller) -> Versioned:
    """Every fit point, in the order of checking, with its bands and appearances; the ETag is for If-Match."""
    return versioned(fit_point_table(caller.shop.fit_points), caller.shop.fit_points_version)


@operation(
    room, "PUT", "/fit-points", scope="admin", body=FitPointRowsSchema, headers=IfMatchSchema,
    answer=FitPointsSchema, refuses=(412, 428), sends=("ETag",), example=EXAMPLE,
)  # fmt: skip
def put_fit_points(caller: Caller, headers: dict[str, Any], own: tuple[OwnPoint, ...]) -> Versioned:
    """Replace the shop's own fit points; a point that is left out goes back to the standard figures."""
    version = replace_fit_points(context(), caller, own, headers["version"])
    return versioned(fit_point_table(own), version)
