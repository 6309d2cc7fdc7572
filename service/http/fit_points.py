"""The fit points, as a fitter works down them."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields

from service.counter.desk import Caller
from service.http.operations import operation
from service.http.parsing import Room
from service.http.values import Out, written
from service.tailoring.fit_points import FitPoint, appearances, fit_points
from service.tailoring.quantities import Length

room = Room("fit_points", __name__, description="What is looked at on a worn garment")


class BandSchema(Schema):
    """Amounts between which a point is right; a short amount is below zero, in mm."""

    right = Out(required=True)
    ok_mm = fields.List(fields.Float(), required=True)
    watch_mm = fields.List(fields.Float(), required=True)


class AppearanceSchema(Schema):
    """A named look, its verdict, its likely causes and what cures it."""

    seen = fields.String(required=True)
    verdict = fields.String(required=True)
    causes = fields.List(fields.String(), required=True)
    remedies = fields.List(fields.String(), required=True)
    source = fields.String(required=True)


class FitPointSchema(Schema):
    """A place a fitter looks at."""

    point = fields.String(required=True)
    garment = fields.String(required=True)
    words = fields.String(required=True)
    how = fields.String(required=True)
    sided = fields.Boolean(required=True)
    amount = fields.String(required=True, metadata={"description": "what is measured there; empty: judged by eye"})
    band = fields.Nested(BandSchema, required=True, allow_none=True)
    appearances = fields.List(fields.Nested(AppearanceSchema), required=True)
    source = fields.String(required=True)


class FitPointsSchema(Schema):
    """Every fit point, in the order of looking."""

    fit_points = fields.List(fields.Nested(FitPointSchema), required=True)


@operation(room, "GET", "/fit-points", scope="advise", answer=FitPointsSchema)
def list_fit_points(_caller: Caller) -> dict[str, Any]:
    """Every fit point, in the order of looking, with its bands and appearances."""
    return {"fit_points": [_point(point) for point in fit_points().values()]}


def _point(point: FitPoint) -> dict[str, Any]:
    looks = {each.name: each for each in appearances(point.code)}
    band = point.band
    return {
        "point": point.code,
        "garment": point.garment,
        "words": point.words,
        "how": point.how,
        "sided": point.sided,
        "amount": point.amount,
        "band": band
        and {
            "right": written(Length(band.right_mm, "in")),
            "ok_mm": [round(edge, 1) for edge in band.ok_mm],
            "watch_mm": [round(edge, 1) for edge in band.watch_mm],
        },
        "appearances": [
            {
                "seen": each.name,
                "verdict": each.verdict,
                "causes": list(each.causes),
                "remedies": list(each.remedies),
                "source": each.source,
            }
            for each in looks.values()
        ],
        "source": point.source,
    }
