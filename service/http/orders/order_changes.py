"""Changes of an order over HTTP: moved along, amended, promised for another day."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate

from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.order_answers import OrderSchema, PlacedSchema
from service.http.orders.line_changes import LineChangesSchema
from service.http.orders.order_sheets import (
    GARMENTS_MOST,
    LINES_MOST,
    PINS_MOST,
    GarmentSchema,
    HemSchema,
    LineSchema,
    numbered,
)
from service.http.orders.orders import NOTE_MOST
from service.http.parsing import StrictBlueprint
from service.http.texts import Reference, Text
from service.http.values import Choice, Count, Day, Flag, Strict
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.order_states import STATES
from service.use_cases.context import Caller
from service.use_cases.orders import order_changes as cases

room = StrictBlueprint("order_changes", __name__, description="Orders moved along, amended and promised again")

WORDS_MOST = 200
CHANGED = (404, 409, 412, 428)
PIECES = (
    "numbers of the pieces that move. Where none are named: all that may go there; to be collected, cancelled or lost"
    " all that are not over, or none; a redo moves the pieces of `redo_lines`, or those that are where the order is"
)
PINS_OUT = "pins that came out; at pressing and again at hand-over all of them are counted"


class MoveSchema(Strict):
    """Where the order goes, who moves it, and what that move needs (a refusal names what is missing)."""

    to = Choice(STATES, required=True)
    by = Reference(metadata={"description": "who; the name of the key, where none is given"})
    pieces = fields.List(
        Count(1, GARMENTS_MOST),
        load_default=list,
        validate=validate.Length(max=GARMENTS_MOST),
        metadata={"description": PIECES},
    )
    note = Text(most=WORDS_MOST)
    pins_in = Count(0, PINS_MOST, metadata={"description": "pins that went in, of the one piece that moves"})
    pins_out = Count(0, PINS_MOST, metadata={"description": PINS_OUT})
    pins_lost = Count(0, PINS_MOST, metadata={"description": "pins that are given up; at a count, with who searched"})
    searched_by = Reference(metadata={"description": "who searched, for pins or a lost piece, and signs for it"})
    swept_with_magnet = Flag(
        metadata={"description": "true: the piece was swept with a magnet; without that, no pin is given up"}
    )
    tried_on = Flag()
    reason = Text(most=WORDS_MOST)
    cloth_cut = Flag()
    question = Text(most=NOTE_MOST, metadata={"description": "what the workroom asks the fitter"})
    answer = Text(most=NOTE_MOST, metadata={"description": "what the fitter answers"})
    fitting_on = Day(metadata={"description": "the day of the second fitting; what follows it is booked after it"})
    where = Text(most=WORDS_MOST, metadata={"description": "where pieces are stored, were looked for, or were found"})
    decided_by = Reference(metadata={"description": "who decided that pieces are given up or written off"})
    redo_lines = fields.List(
        Count(1, LINES_MOST),
        validate=validate.Length(min=1, max=LINES_MOST),
        metadata={"description": "numbers of the lines that are done again; all, where they are left out"},
    )

    line_changes = fields.Nested(
        LineChangesSchema,
        metadata={"description": "lines that are another from then on: with an answer, after a fitting, or on a redo"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        if "fitting_on" in data:
            data["fitting_on"] = data["fitting_on"].isoformat()
        return data


class AmendmentSchema(Strict):
    """What changes from now on; what is left out stays.

    `lines` are all lines of the order from now on but its hems, which stay as they were pinned. `hems` take the place
    of the hems of the pieces that they pin; with `lines` they are all its hems.
    """

    by = Reference(metadata={"description": "who; the name of the key, where none is given"})
    said = Text(most=WORDS_MOST, data_key="reason", metadata={"description": "why, for the history"})
    garments = fields.List(fields.Nested(GarmentSchema), validate=validate.Length(min=1, max=GARMENTS_MOST))
    lines = fields.List(fields.Nested(LineSchema), validate=validate.Length(max=LINES_MOST))
    hems = fields.List(fields.Nested(HemSchema), validate=validate.Length(max=GARMENTS_MOST))
    needed_by = Day(allow_none=True)
    note = Text(most=NOTE_MOST)
    rush = Flag()

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        if "garments" in data:
            data["garments"] = numbered(data["garments"])
        return {name: tuple(value) if name in {"lines", "hems"} else value for name, value in data.items()}


class PromiseSchema(Strict):
    """Who promises another day, and why; `from_reserve` may use the minutes kept for rushes and redos."""

    by = Reference(metadata={"description": "who; the name of the key, where none is given"})
    reason = Text(most=WORDS_MOST, least=1, required=True)
    from_reserve = Flag(load_default=False)


@operation(
    room, "POST", "/orders/<uuid:order_id>/moves", scope="workroom", body=MoveSchema, headers=IfMatchSchema,
    answer=OrderSchema, refuses=CHANGED, sends=("ETag",), example={"to": "accepted", "by": "tailor-1"},
)  # fmt: skip
def move_order(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Move an order along, or some of its pieces; a move that is not allowed is refused with those that are.

    The order's own state follows from its pieces. Cancelled work gives its minutes back; a redo, and what follows a
    second fitting, is booked and promised again.
    """
    by = asked.pop("by", None)
    return _versioned(cases.move_order(context(), caller, str(order_id), by=by, version=headers["version"], **asked))


@operation(
    room, "PATCH", "/orders/<uuid:order_id>", scope="order", body=AmendmentSchema, headers=IfMatchSchema,
    answer=PlacedSchema, refuses=CHANGED, sends=("ETag",), example={"by": "fitter-1", "note": "telephone first"},
)  # fmt: skip
def amend_order(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Amend an order whose work has not begun: it is priced, booked and promised again, or refused as a whole."""
    by, said = asked.pop("by", None), asked.pop("said", "")
    changed = cases.amend_order(context(), caller, str(order_id), asked, by, said=said, version=headers["version"])  # type: ignore[arg-type]  # its very names
    return versioned(changed, changed.filed.version)


@operation(
    room, "POST", "/orders/<uuid:order_id>/promises", scope="workroom", body=PromiseSchema, headers=IfMatchSchema,
    answer=OrderSchema, refuses=CHANGED, sends=("ETag",), example={"by": "tailor-1", "reason": "the coat maker is ill"},
)  # fmt: skip
def promise_order(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Book again what is still to be done on an order, and promise it for the day that this gives."""
    by = asked.pop("by", None)
    return _versioned(cases.promise_order(context(), caller, str(order_id), by, version=headers["version"], **asked))


def _versioned(filed: FiledOrder) -> Versioned:
    return versioned(filed, filed.version)
