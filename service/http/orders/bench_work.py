"""Work of orders given to tailors, begun, paused and ended, over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.callers.headers import IfMatchSchema, RetrySchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.bench_answers import SpellSchema
from service.http.orders.answers.order_answers import OrderSchema
from service.http.orders.order_sheets import GARMENTS_MOST, LINES_MOST
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.texts import Reference, Text, Whole
from service.http.values import Choice, Count, Strict
from service.tailoring.workroom.spells import DOINGS
from service.use_cases.context import Caller
from service.use_cases.orders import bench_work as cases
from service.use_cases.orders.bench_work import WorkAsked, WorkDone

room = StrictBlueprint("bench_work", __name__, description="Work given to tailors, begun, paused and ended")

WORDS_MOST = 200
CHANGED = (404, 409, 412, 428)
TICKET_WORDS = "Up to 15 digits, as in the ticket's code."


class AssignmentSchema(Strict):
    """Whose work it is to be: single lines, or all that is done on pieces at the tailor's benches."""

    by = Reference(load_default=None, metadata={"description": "who; the name of the key, where none is given"})
    tailor = Reference(
        required=True,
        allow_none=True,
        metadata={"description": "a tailor of the shop; null: no tailor's from now on"},
    )
    lines = fields.List(
        Count(1, LINES_MOST),
        load_default=list,
        validate=validate.Length(max=LINES_MOST),
        metadata={"description": "numbers of lines on the ticket"},
    )
    pieces = fields.List(
        Count(1, GARMENTS_MOST),
        load_default=list,
        validate=validate.Length(max=GARMENTS_MOST),
        metadata={"description": "numbers of pieces: all that is done on them at the tailor's benches"},
    )
    note = Text(most=WORDS_MOST, load_default="", metadata={"description": "words for the history"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        if not (data["lines"] or data["pieces"]):
            raise ValidationError("Name lines, pieces or both.", "lines")
        return data


class WorkAskedSchema(Strict):
    """What a tailor does, as it is typed or scanned at a bench: the ticket's code and a word."""

    do = Choice(DOINGS, required=True, metadata={"description": "begin, pause or end"})
    ticket = fields.String(
        validate=[validate.Length(max=15), Whole(r"^[0-9]+$", TICKET_WORDS)],
        metadata={
            "description": "the order's number, as in its ticket's code; to pause or end what is in hand it may be"
            " left out"
        },
    )
    piece = Count(
        1,
        GARMENTS_MOST,
        metadata={"description": "the piece worked on as a whole; it may be left out where there is only one"},
    )
    number = Count(1, LINES_MOST, metadata={"description": "the line's number on the ticket, where it is one line"})
    at = fields.AwareDateTime(metadata={"description": "when it was, if it was not now; with its offset from UTC"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> WorkAsked:
        if "piece" in data and "number" in data:
            raise ValidationError("A line names its piece: give one or the other.", "piece")
        if data["do"] == "begin" and "ticket" not in data:
            raise ValidationError("Say the order's number, as in its ticket's code.", "ticket")
        ticket = data.pop("ticket", None)
        return WorkAsked(ticket=int(ticket) if ticket else None, **data)


class WorkSpellSchema(SpellSchema):
    """A spell of work, and the order that it is on as it is now."""

    of = "numbered numbered.spell"
    order = fields.UUID(required=True, attribute="filed.id", metadata={"description": "the order's id"})
    ticket = fields.String(
        required=True, attribute="filed.order.number", metadata={"description": "the order's number on its ticket"}
    )
    version = fields.Integer(
        required=True, attribute="filed.version", metadata={"description": "the order's version now, for If-Match"}
    )
    order_minutes = fields.Integer(
        required=True, attribute="filed.order.minutes", metadata={"description": "minutes planned for the whole order"}
    )
    order_minutes_taken = fields.Integer(
        required=True,
        attribute="filed.order.minutes_taken",
        metadata={"description": "minutes that the whole order has taken so far"},
    )


class WorkDoneSchema(Schema):
    """What came of it: the spell that was begun, paused or ended, and the one that was put down for it."""

    tailor = fields.String(
        required=True, attribute="tailor.ref", metadata={"description": "the tailor, by the shop's own reference"}
    )
    spell = fields.Nested(WorkSpellSchema, required=True, metadata={"description": "the spell, as it is now"})
    put_down = fields.Nested(
        WorkSpellSchema,
        required=True,
        allow_none=True,
        metadata={"description": "the work that was paused to begin this; null: none"},
    )


@operation(
    room, "POST", "/orders/<uuid:order_id>/assignments", scope="workroom", body=AssignmentSchema, headers=IfMatchSchema,
    answer=OrderSchema, refuses=CHANGED, sends=("ETag",),
    example={"by": "fitter-1", "tailor": "tailor-1", "pieces": [1]},
)  # fmt: skip
def assign_work(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Give lines and pieces of an order to a tailor of the shop; a line's own tailor comes before its piece's."""
    done = cases.assign_work(context(), caller, str(order_id), version=headers["version"], **asked)
    return versioned(done, done.version)


@operation(
    room, "POST", "/tailors/<reference:tailor>/work", scope="workroom", body=WorkAskedSchema, headers=RetrySchema,
    answer=WorkDoneSchema, refuses=(404, 409), example={"do": "begin", "ticket": "1001", "number": 1},
)  # fmt: skip
def work_at_bench(caller: Caller, asked: WorkAsked, tailor: str) -> WorkDone:
    """Begin, pause or end a tailor's work on a line or a piece; each change makes a new version of the order.

    A tailor has one thing in hand: to begin another pauses it. Work that is ended counts as sewn by them, so somebody
    else checks it. Work left open over midnight must first be paused or ended with `at`, the time at which it was put
    down.
    """
    return cases.work(context(), caller, tailor, asked)
