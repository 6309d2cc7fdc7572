"""The shop's ease: how much more than the body its garments are to measure, and how far from that is still right."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate

from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out, SignedLengthSchema
from service.http.schemas import Schema, Word
from service.http.values import Choice, Strict, refusals_as_errors
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.ease import EaseRow, check_each_once, ease_table, own_ease
from service.tailoring.garments.places import OwnEase, places
from service.use_cases.context import Caller
from service.use_cases.shop.shops import replace_ease_table

room = StrictBlueprint("ease_table", __name__, description="Ideal ease and tolerance, place by place")

ROWS_MOST = sum(len(places(garment)) for garment in GARMENTS)
EXAMPLE = {
    "rows": [
        {
            "garment": "jacket", "place": "chest",
            "close": {"value": 3, "unit": "in"}, "usual": {"value": "3 1/2", "unit": "in"},
            "easy": {"value": "4 1/2", "unit": "in"},
            "low": {"value": "-1/2", "unit": "in"}, "high": {"value": "1 1/2", "unit": "in"},
        }
    ]
}  # fmt: skip


class EaseRowSchema(Strict):
    """One place: ease by wish, and the tolerance below it (low, zero or less) and above it (high)."""

    garment = Choice(GARMENTS, required=True)
    place = fields.String(required=True, validate=validate.Length(1, 40))
    close = fields.Nested(SignedLengthSchema, required=True)
    usual = fields.Nested(SignedLengthSchema, required=True)
    easy = fields.Nested(SignedLengthSchema, required=True)
    low = fields.Nested(SignedLengthSchema, required=True)
    high = fields.Nested(SignedLengthSchema, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> OwnEase:
        with refusals_as_errors():
            return own_ease(EaseRow(**data))


class EaseTableSchema(Strict):
    """The places at which the shop has its own ease; every other place has the standard figures."""

    rows = fields.List(fields.Nested(EaseRowSchema), required=True, validate=validate.Length(max=ROWS_MOST))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[OwnEase, ...]:
        rows = tuple(data["rows"])
        with refusals_as_errors():
            check_each_once(rows)
        return rows


class EaseShownSchema(Schema):
    """One place as it is judged; `own` where the shop has set it."""

    garment = Word(GARMENTS)
    place = fields.String(required=True)
    words = fields.String(required=True)
    own = fields.Boolean(required=True)
    close = Out(required=True)
    usual = Out(required=True)
    easy = Out(required=True)
    low = Out(required=True)
    high = Out(required=True)


class EaseTableShownSchema(Schema):
    """Every place of every garment, as advice judges it."""

    rows = fields.List(fields.Nested(EaseShownSchema), required=True)


@operation(room, "GET", "/ease-table", scope="advise", answer=EaseTableShownSchema, kept_by_key=True)
def read_ease_table(caller: Caller) -> Versioned:
    """Every place with its ease and tolerance, the shop's own where it has set them; the ETag is for If-Match."""
    return versioned(ease_table(caller.shop.ease), caller.shop.ease_version)


@operation(
    room, "PUT", "/ease-table", scope="admin", body=EaseTableSchema, headers=IfMatchSchema,
    answer=EaseTableShownSchema, refuses=(412, 428), sends=("ETag",), example=EXAMPLE,
)  # fmt: skip
def put_ease_table(caller: Caller, headers: dict[str, Any], ease: tuple[OwnEase, ...]) -> Versioned:
    """Replace the shop's own ease; a place that is left out goes back to the standard figures."""
    version = replace_ease_table(context(), caller, ease, headers["version"])
    return versioned(ease_table(ease), version)
