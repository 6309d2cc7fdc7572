"""What benches did, going out with an order: cloth that is cut, checks, spells of work."""

from __future__ import annotations

from marshmallow import fields

from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema, Word
from service.tailoring.garments.alterations import BENCHES
from service.tailoring.orders.lines.work_done import SPELL_ENDS


class CutSchema(Schema):
    """That the cloth of a line is cut, which cannot be undone."""

    by = fields.String(required=True, metadata={"description": "who cut it"})
    at = fields.DateTime(required=True, metadata={"description": "when that was, with the offset from UTC"})
    length = Out(required=True, allow_none=True, metadata={"description": "of a leg: the inside leg to its raw edge"})
    left = Out(required=True, allow_none=True, metadata={"description": "the cloth that stayed in another seam"})


class LineCheckSchema(Schema):
    """A line as it was found when it was sewn."""

    by = fields.String(required=True, metadata={"description": "who measured it"})
    at = fields.DateTime(required=True, metadata={"description": "when that was, with the offset from UTC"})
    is_right = fields.Boolean(
        required=True, metadata={"description": "whether it is right; else the order went back to the bench"}
    )
    measured = Out(
        required=True,
        allow_none=True,
        metadata={"description": "its finished measure as it was taped; null: it was judged by eye"},
    )
    target = Out(required=True, allow_none=True, metadata={"description": "the finished measure aimed at then"})
    off_mm = fields.Float(
        required=True,
        allow_none=True,
        metadata={"description": "by how many mm it measured more than aimed at; negative where less"},
    )


class SpellSchema(AddingSchema):
    """A stretch of a tailor's work, on a line or on a piece as a whole."""

    of = "spell"
    tailor = fields.String(required=True, metadata={"description": "the tailor, by the shop's own reference"})
    piece = fields.Integer(required=True, metadata={"description": "the piece that was worked on"})
    number = fields.Integer(
        required=True,
        allow_none=True,
        metadata={"description": "the line's number now; null: a piece as a whole, or a line that was struck"},
    )
    bench = Word(BENCHES, metadata={"description": "the bench at which it was"})
    since = fields.DateTime(required=True, metadata={"description": "when it was begun"})
    until = fields.DateTime(
        required=True, allow_none=True, metadata={"description": "when it was over; null: it is in hand"}
    )
    ended = Word(
        SPELL_ENDS, allow_none=True, metadata={"description": "whether it was paused or done; null: it is in hand"}
    )
    minutes = fields.Integer(required=True, metadata={"description": "minutes that it took; 0: it is in hand"})
