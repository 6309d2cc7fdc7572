"""The work of a sheet going out: its order, its limits and its cautions, and what follows of each line."""

from __future__ import annotations

from marshmallow import fields, validate

from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema
from service.http.texts import TableWords
from service.tailoring.garments.alterations import BENCHES, DIRECTIONS, SIDES
from service.tailoring.orders.lines.work_of_lines import FEASIBLE
from service.tailoring.work.knock_ons import KINDS

KIND_WORDS = "a line that follows by so much; a place to mark again once this is sewn; a place to check"


class SewnBeforeSchema(Schema):
    """A line that is sewn before, and why."""

    number = fields.Integer(required=True, attribute="line")
    reason = TableWords(required=True)


class InlaySchema(Schema):
    """The cloth that ready-made garments usually have there."""

    where = fields.String(required=True)
    least = Out(required=True, attribute="usual_mm.least", mm_in="in")
    most = Out(required=True, attribute="usual_mm.most", mm_in="in")
    basis = fields.String(required=True)
    source = fields.String(required=True)


class WorkSchema(AddingSchema):
    """A line as the workroom sees it.

    `feasibility`: advice goes to the usual limit, an order to `most`; work that is done or not done has no amount.
    `usual_inlay` is there where cloth is let out.
    """

    of = "line alteration"
    number = fields.Integer(required=True)
    piece = fields.Integer(required=True)
    alteration = fields.String(required=True, attribute="alteration.code")
    stage = fields.Integer(required=True)
    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    difficulty = fields.Integer(required=True, validate=validate.Range(1, 5))
    feasibility = fields.String(required=True, validate=validate.OneOf(FEASIBLE))
    usual_most = Out(required=True, allow_none=True)
    most = Out(required=True, allow_none=True)
    limited_by = TableWords(required=True)
    subject_to_inlay = fields.Boolean(required=True)
    usual_inlay = fields.Nested(InlaySchema, required=True, allow_none=True)
    after = fields.List(fields.Nested(SewnBeforeSchema), required=True)
    caution = TableWords(required=True)


class FollowOnSchema(AddingSchema):
    """What a line does elsewhere.

    `direction` makes up for it, by `least` to `most` where that is known; `numbers` are those of the lines that it
    touches, and `met` says that one of them makes up for it.
    """

    of = "follow_on follow_on.knock_on"
    number = fields.Integer(required=True, metadata={"description": "the number of the line that does it"})
    kind = fields.String(required=True, validate=validate.OneOf(KINDS), metadata={"description": KIND_WORDS})
    alterations = fields.List(
        fields.String(),
        required=True,
        attribute="touches",
        metadata={"description": "alterations that work there, the likeliest first"},
    )
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    least = Out(required=True, allow_none=True)
    most = Out(required=True, allow_none=True)
    numbers = fields.List(fields.Integer(), required=True, attribute="lines")
    met = fields.Boolean(required=True)
    text = TableWords(required=True, attribute="words")
    source = fields.String(required=True)
