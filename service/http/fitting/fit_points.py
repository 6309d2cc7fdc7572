"""The fit points, as a fitter works down them, and a shop's own rows among them."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, validate

from service.http.fitting.fit_point_rows import EXAMPLE, FitPointRowsSchema
from service.http.operations import IfMatchSchema, answered, context, operation, version_read
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.values import Out, written
from service.tailoring.fitting.fit_points import (
    BEYONDS,
    SIDES_SAID,
    VERDICTS,
    Appearance,
    Band,
    FitPoint,
    try_on_steps,
)
from service.tailoring.fitting.own_fit_points import OwnPoint, shops_table
from service.tailoring.garments.alterations import BASES
from service.tailoring.quantities import Length
from service.use_cases.context import Caller
from service.use_cases.shop.shops import replace_fit_points

room = StrictBlueprint("fit_points", __name__, description="What is looked at on a worn garment")


class BandSchema(Schema):
    """Amounts between which a point is right (ok), or still worn (watch); a short amount is below zero."""

    right = Out(required=True)
    ok_low = Out(required=True)
    ok_high = Out(required=True)
    watch_low = Out(required=True)
    watch_high = Out(required=True)
    ok_mm = fields.List(fields.Float(), required=True)
    watch_mm = fields.List(fields.Float(), required=True)


class AppearanceSchema(Schema):
    """A named look, its verdict, its likely causes and what cures it, best first: alterations by code, or words."""

    seen = fields.String(required=True)
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    causes = fields.List(fields.String(), required=True)
    remedies = fields.List(fields.String(), required=True)
    own = fields.Boolean(required=True, metadata={"description": "the shop has set it"})
    source = fields.String(required=True)


class FitPointSchema(Schema):
    """A place a fitter looks at."""

    point = fields.String(required=True)
    garment = fields.String(required=True)
    step = fields.Integer(required=True, metadata={"description": "the step of the try-on in which it is looked at"})
    core = fields.Boolean(required=True, metadata={"description": "left out of no fitting"})
    words = fields.String(required=True)
    how = fields.String(required=True)
    sided = fields.Boolean(required=True, metadata={"description": "a side must be said"})
    sides = fields.String(
        required=True,
        validate=validate.OneOf(SIDES_SAID),
        metadata={
            "description": "none: it takes no side; each: left, right or both must be said; either: a side may be "
            "said, without it both are meant; odd_one: the side that differs"
        },
    )
    amount = fields.String(required=True, metadata={"description": "what is measured there; empty: judged by eye"})
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    band = fields.Nested(BandSchema, required=True, allow_none=True)
    beyond = fields.String(
        required=True, validate=validate.OneOf(BEYONDS), metadata={"description": "what follows outside the watch band"}
    )
    appearances = fields.List(fields.Nested(AppearanceSchema), required=True)
    own = fields.Boolean(required=True, metadata={"description": "the shop has a row of its own"})
    source = fields.String(required=True)


class TryOnStepSchema(Schema):
    """One step of a fitting, why it is taken then, and the points that are looked at in it."""

    step = fields.Integer(required=True)
    words = fields.String(required=True)
    reason = fields.String(required=True)
    points = fields.List(fields.String(), required=True)
    source = fields.String(required=True)


class FitPointsSchema(Schema):
    """Every fit point in the order of looking, and the try-on step by step."""

    fit_points = fields.List(fields.Nested(FitPointSchema), required=True)
    try_on = fields.List(fields.Nested(TryOnStepSchema), required=True)


@operation(room, "GET", "/fit-points", scope="advise", answer=FitPointsSchema, sends=("ETag",))
def list_fit_points(caller: Caller) -> Response:
    """Every fit point, in the order of looking, with its bands and appearances; its ETag is for If-Match."""
    return _answered(caller.shop.fit_points, caller.shop.fit_points_version)


@operation(
    room, "PUT", "/fit-points", scope="admin", body=FitPointRowsSchema, headers=IfMatchSchema,
    answer=FitPointsSchema, refuses=(412, 428), sends=("ETag",), example=EXAMPLE,
)  # fmt: skip
def put_fit_points(caller: Caller, headers: dict[str, Any], own: tuple[OwnPoint, ...]) -> Response:
    """Judge by other points from now on; a point that is left out has the table's figures again."""
    return _answered(own, replace_fit_points(context(), caller, own, version_read(headers)))


def _answered(own: tuple[OwnPoint, ...], version: int) -> Response:
    table = shops_table(own)
    mine = {each.point: each for each in own}
    document = {
        "fit_points": [_point(point, table.looks[code], mine.get(code)) for code, point in table.points.items()],
        "try_on": [
            {
                "step": step.number,
                "words": step.words,
                "reason": step.reason,
                "points": [code for code, point in table.points.items() if point.step == step.number],
                "source": step.source,
            }
            for step in try_on_steps()
        ],
    }
    return answered(document, ETag=f'"{version}"')


def _point(point: FitPoint, looks: tuple[Appearance, ...], mine: OwnPoint | None) -> dict[str, Any]:
    said = {each.name for each in mine.looks} if mine else set()
    return {
        "point": point.code,
        "garment": point.garment,
        "step": point.step,
        "core": point.core,
        "words": point.words,
        "how": point.how,
        "sided": point.sided,
        "sides": point.sides,
        "amount": point.amount,
        "basis": point.basis,
        "band": point.band and _band(point.band),
        "beyond": point.beyond,
        "appearances": [
            {
                "seen": each.name,
                "verdict": each.verdict,
                "causes": list(each.causes),
                "remedies": list(each.remedies),
                "own": each.name in said,
                "source": each.source,
            }
            # A look that speaks of two places is one look.
            for each in {each.name: each for each in looks}.values()
        ],
        "own": mine is not None,
        "source": point.source,
    }


def _band(band: Band) -> dict[str, Any]:
    edges = {
        "right": band.right_mm,
        "ok_low": band.ok_mm[0],
        "ok_high": band.ok_mm[1],
        "watch_low": band.watch_mm[0],
        "watch_high": band.watch_mm[1],
    }
    return {
        **{name: written(Length(mm, "in")) for name, mm in edges.items()},
        "ok_mm": [round(edge, 1) for edge in band.ok_mm],
        "watch_mm": [round(edge, 1) for edge in band.watch_mm],
    }
