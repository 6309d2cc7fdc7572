"""What benches note of lines, and the check of what is sewn, over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate

from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.order_answers import OrderSchema, PlacedSchema
from service.http.orders.order_sheets import INLAY_WORDS, LINES_MOST, SEAMS_MOST
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema
from service.http.texts import Reference, Text
from service.http.values import Choice, Count, Flag, Strict
from service.tailoring.garments.amounts import INLAY_BASES
from service.tailoring.orders.bench_notes import BenchNote
from service.tailoring.orders.lines.line_checks import LineMeasured
from service.use_cases.context import Caller
from service.use_cases.orders import bench_notes as cases

room = StrictBlueprint("bench_notes", __name__, description="What benches note of lines, and the check of what is sewn")

WORDS_MOST = 200
BY = {"description": "who; the name of the key, where none is given"}


class BenchNoteSchema(Strict):
    """What was cut, found or sewn on one line."""

    number = Count(1, LINES_MOST, required=True, metadata={"description": "the line's number on the ticket"})
    cut_at = fields.Nested(LengthSchema, metadata={"description": "of a leg: the inside leg to its raw edge"})
    is_cut = Flag(
        load_default=False,
        metadata={"description": "the cloth is cut; where `cut_at` is left out, a leg is cut where its line says"},
    )
    cloth_left = fields.Nested(
        LengthSchema,
        metadata={
            "description": "what was left in another seam that was cut, counted as the amount is; it can be"
            " let out by that much"
        },
    )
    inlay_found = fields.Nested(LengthSchema, metadata={"description": "cloth found inside the seam"})
    inlay_basis = Choice(INLAY_BASES, metadata={"description": INLAY_WORDS})
    inlay_seams = Count(1, SEAMS_MOST, metadata={"description": "at how many seams it was found"})
    is_sewn = Flag(
        load_default=False, metadata={"description": "whoever notes it has sewn the line, and may not check it"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> BenchNote:
        return BenchNote(**data)


class BenchNotesSchema(Strict):
    """What the bench notes on lines; all of it is kept, or none."""

    by = Reference(load_default=None, metadata=BY)
    note = Text(most=WORDS_MOST, load_default="", metadata={"description": "words for the history"})
    lines = fields.List(
        fields.Nested(BenchNoteSchema),
        required=True,
        validate=validate.Length(min=1, max=LINES_MOST),
        metadata={"description": "the lines, each once"},
    )


class LineMeasuredSchema(Strict):
    """What one finished line measures; where it has no finished measure, whether it is right."""

    number = Count(1, LINES_MOST, required=True, metadata={"description": "the line's number on the ticket"})
    measured = fields.Nested(LengthSchema, metadata={"description": "the finished measure as it is taped"})
    is_right = Flag(metadata={"description": "whether it is right to the eye; a measure that is off is never right"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> LineMeasured:
        return LineMeasured(**data)


class CheckSchema(Strict):
    """The measures of finished lines, by who took them."""

    by = Reference(load_default=None, metadata=BY)
    note = Text(most=WORDS_MOST, load_default="", metadata={"description": "words for the history"})
    lines = fields.List(
        fields.Nested(LineMeasuredSchema),
        required=True,
        validate=validate.Length(min=1, max=LINES_MOST),
        metadata={"description": "the lines that were checked, each once"},
    )


@operation(
    room, "POST", "/orders/<uuid:order_id>/bench-notes", scope="workroom", body=BenchNotesSchema, headers=IfMatchSchema,
    answer=PlacedSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
    example={"by": "tailor-1", "lines": [{"number": 1, "is_sewn": True}]},
)  # fmt: skip
def note_work(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Note at the bench what was cut, which inlay was found, and who sewed a line.

    Inlay is remembered for the chart's revision: advice, fit checks and orders go no further than what was found.
    """
    done = cases.note_work(context(), caller, str(order_id), asked.pop("lines"), version=headers["version"], **asked)
    return versioned(done, done.filed.version)


@operation(
    room, "POST", "/orders/<uuid:order_id>/checks", scope="workroom", body=CheckSchema, headers=IfMatchSchema,
    answer=OrderSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
    example={"by": "tailor-3", "lines": [{"number": 1, "measured": {"value": "29 3/4", "unit": "in"}}]},
)  # fmt: skip
def check_lines(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Record what finished lines measure, against what they aim at; what is off goes back to the bench, free.

    Whoever sewed a line does not check it, unless the shop has one tailor (`let-check`, an operator's command).
    """
    found = cases.check_lines(context(), caller, str(order_id), asked.pop("lines"), version=headers["version"], **asked)
    return versioned(found, found.version)
