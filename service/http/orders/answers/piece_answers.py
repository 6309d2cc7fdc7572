"""Garments of an order going out: as they were asked for, and where each of them is."""

from __future__ import annotations

from typing import Any

from marshmallow import fields
from typing_extensions import override

from service.http.quantities import Out, written
from service.http.schemas import AddingSchema, Schema, Word
from service.tailoring.garments.alterations import ALTERED, BENCHES
from service.tailoring.garments.pieces import LININGS, PATTERNS
from service.tailoring.orders.order_states import MOVE_KINDS, STATES


class MeasureShownSchema(Schema):
    """What a place of the piece measures, taken on the piece itself."""

    place = fields.String(required=True, metadata={"description": "where it was measured"})
    size = Out(required=True, metadata={"description": "what it measures there"})


class MeasuresOnPiece(fields.List[Any]):
    """Measures taken on a piece, by place."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(fields.Nested(MeasureShownSchema), **options)

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [{"place": place, "size": written(size)} for place, size in value]


class PieceSchema(Schema):
    """A garment of the order."""

    piece = fields.Integer(required=True)
    garment = Word(ALTERED)
    chart = fields.String(required=True, allow_none=True)
    label = fields.String(required=True, allow_none=True)
    cloth = fields.String(required=True)
    pattern = Word(PATTERNS)
    worked_buttonholes = fields.Boolean(required=True)
    pins_left_in = fields.Integer(required=True)
    style = fields.String(required=True)
    lining = Word(LININGS, allow_none=True)
    repeat = Out(required=True, allow_none=True)
    must_keep = fields.String(required=True)
    faults_seen = fields.String(required=True)
    hemmed = fields.Boolean(required=True)
    pleats = fields.Integer(required=True, allow_none=True)
    crease = fields.Boolean(required=True, allow_none=True)
    measures_on_piece = MeasuresOnPiece(
        required=True, attribute="measures", metadata={"description": "measures taken on the piece itself"}
    )
    photos = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "pictures of it, by the shop's own addresses or references; never fetched"},
    )
    brought_in = fields.Boolean(
        required=True, attribute="is_brought_in", metadata={"description": "bought elsewhere: the deposit may differ"}
    )


class AssignedSchema(Schema):
    """Whose work a piece is at a bench, unless a line is given to somebody else."""

    bench = Word(BENCHES, metadata={"description": "the bench of that work: `trousers`, `jackets` or `finishing`"})
    tailor = fields.String(required=True, metadata={"description": "the tailor, by the shop's own reference"})


class NextMoveSchema(Schema):
    """A move that a piece may make now, and what it needs."""

    to = Word(STATES, attribute="to_state", metadata={"description": "the state that it leads to"})
    kind = Word(
        MOVE_KINDS,
        metadata={
            "description": "what it is: `redo` does work again, free of charge; `cancel` ends it; `onward` is"
            " the usual way"
        },
    )
    needs = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "the fields that a move there must have, by name"},
    )


class OrderPieceSchema(AddingSchema, PieceSchema):
    """A garment of the order, and where it is: each piece moves on its own."""

    of = "where_it_is where_it_is.tagged"
    state = Word(STATES, metadata={"description": "where this piece is"})
    since = fields.DateTime(required=True, metadata={"description": "when it came into its state"})
    may_move_to = fields.List(
        Word(STATES),
        required=True,
        metadata={"description": "the states to which a move that names this piece may take it"},
    )
    next_moves = fields.List(
        fields.Nested(NextMoveSchema),
        required=True,
        metadata={"description": "the same moves, each with what a request for it must hold"},
    )
    pins_in = fields.Integer(required=True, metadata={"description": "pins that are in it now"})
    pins_to_count = fields.Integer(
        required=True, metadata={"description": "pins that the next count of this piece must find"}
    )
    question = fields.String(
        required=True, allow_none=True, metadata={"description": "what the workroom asked about it and waits to hear"}
    )
    fitting_on = fields.Date(
        required=True, allow_none=True, metadata={"description": "the day of the second fitting that it waits for"}
    )
    where = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "the place that its last move named: where it is stored, or was looked for"},
    )
    minutes = fields.Integer(
        required=True, metadata={"description": "minutes that its lines are planned to take; pressing comes on top"}
    )
    minutes_taken = fields.Integer(
        required=True,
        metadata={"description": "minutes that all work on it took, pressing included: its spells that are over"},
    )
    assigned = fields.List(
        fields.Nested(AssignedSchema),
        required=True,
        metadata={"description": "for each bench, whose work the piece is there, unless a line says otherwise"},
    )
    at_work = fields.List(
        fields.String(), required=True, metadata={"description": "the tailors who have it, or a line of it, in hand"}
    )
