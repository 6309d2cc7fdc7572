"""Lines of an order changed, added and struck over HTTP, each with who and why."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.order_answers import PlacedSchema
from service.http.orders.order_sheets import GARMENTS_MOST, INLAY_WORDS, LINES_MOST, SEAMS_MOST, HemSchema, LineSchema
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema
from service.http.texts import Reference, Text
from service.http.values import Choice, Count, Flag, Strict, refusals_as_errors
from service.tailoring.garments.alterations import BASES, DIRECTIONS, SIDES
from service.tailoring.garments.amounts import INLAY_BASES
from service.tailoring.orders.line_changes import LineChangesAsked
from service.tailoring.orders.lines.line_edits import LineEdit
from service.tailoring.orders.lines.order_lines import MARKED_WITH
from service.tailoring.orders.lines.price_reasons import PRICE_KINDS_ASKED, PriceAsked
from service.use_cases.context import Caller
from service.use_cases.orders import line_changes as cases

room = StrictBlueprint("line_changes", __name__, description="Lines of an order changed, added and struck")

WHY_MOST = 200
PRICE_MOST_MINOR = 100_000_000
PRICE_WORDS = (
    "`override`: another price; `goodwill` and `discount`: less, by `minor` or `percent`; `waived`: free; "
    "`as_listed`: the list's price again"
)


class PriceAskedSchema(Strict):
    """A price that is not the list's: another price, so much or a percentage off, or free.

    The reason is that of the change. The list's price stays beside it.
    """

    kind = Choice(PRICE_KINDS_ASKED, required=True, metadata={"description": PRICE_WORDS})
    minor = Count(
        0,
        PRICE_MOST_MINOR,
        metadata={"description": "of an override the price, else what is taken off, in minor units"},
    )
    percent = Count(1, 100, metadata={"description": "what goodwill or a discount takes off, in percent"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> PriceAsked:
        with refusals_as_errors():
            return PriceAsked(**data)


class LineEditSchema(Strict):
    """What changes on a line; what is left out stays. With an amount alone, the finished measure follows.

    With a finished measure (`target`) alone, the amount follows. On a pinned leg, either one plans its hem again.
    """

    number = Count(1, LINES_MOST, required=True, metadata={"description": "the line's number on the ticket"})
    amount = fields.Nested(LengthSchema, metadata={"description": "the whole amount from now on, not the difference"})
    basis = Choice(BASES, metadata={"description": "what the amount counts; as it was, where it is left out"})
    direction = Choice(DIRECTIONS, metadata={"description": "in or out; as it was, where it is left out"})
    side = Choice(SIDES, metadata={"description": "on which side; as it was, where it is left out"})
    target = fields.Nested(LengthSchema, metadata={"description": "the finished measure aimed at from now on"})
    inlay_seen = fields.Nested(LengthSchema, metadata={"description": "cloth seen inside the seam"})
    inlay_basis = Choice(INLAY_BASES, metadata={"description": INLAY_WORDS})
    inlay_seams = Count(1, SEAMS_MOST, metadata={"description": "at how many seams it was seen"})
    note = Text(most=200, metadata={"description": "words for the bench, in place of the earlier ones"})
    marked_with = Choice(MARKED_WITH, metadata={"description": "with what the new amount is marked on the cloth"})
    undone_first = Flag(metadata={"description": "an old alteration at the same seam is undone first"})

    price = fields.Nested(
        PriceAskedSchema, metadata={"description": "what it costs from now on, and why not the list's"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> LineEdit:
        return LineEdit(**data)


class LineChangesSchema(Strict):
    """Lines to change, add and strike, by the numbers of the version that was read; all of it, or nothing.

    `hems` pin legs again: each leg that is pinned takes the place of its hem. A leg that is cut is hemmed from where it
    is cut.
    """

    change = fields.List(
        fields.Nested(LineEditSchema),
        load_default=list,
        validate=validate.Length(max=LINES_MOST),
        metadata={"description": "lines that are changed, by their numbers"},
    )
    add = fields.List(
        fields.Nested(LineSchema),
        load_default=list,
        validate=validate.Length(max=LINES_MOST),
        metadata={"description": "lines that are added, at today's prices"},
    )
    strike = fields.List(
        Count(1, LINES_MOST),
        load_default=list,
        validate=validate.Length(max=LINES_MOST),
        metadata={"description": "numbers of lines that are dropped; a line whose cloth is cut stays"},
    )
    hems = fields.List(
        fields.Nested(HemSchema),
        load_default=list,
        validate=validate.Length(max=GARMENTS_MOST),
        metadata={"description": "legs that are pinned again"},
    )
    price = fields.Nested(
        PriceAskedSchema,
        metadata={"description": "what the whole order costs from now on, spread over its lines by their prices"},
    )
    add_follow_ons = Flag(
        load_default=True,
        metadata={"description": "true: what a changed or added line makes necessary elsewhere becomes a line too"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Any:  # noqa: ANN401  signed or not
        parts: dict[str, Any] = {name: tuple(data.pop(name)) for name in ("change", "add", "strike", "hems")}
        price = data.pop("price", None)
        if price is None and not any(parts.values()):
            raise ValidationError({"change": ["Say what is changed, added, struck, pinned or priced."]})
        changes = LineChangesAsked(**parts, add_follow_ons=data.pop("add_follow_ons"), price=price)
        return {"asked": changes, **data} if data else changes


class SignedLineChangesSchema(LineChangesSchema):
    """As above, with who changes it and why."""

    by = Reference(load_default=None, metadata={"description": "who; the name of the key, where none is given"})
    why = Text(
        most=WHY_MOST,
        least=1,
        required=True,
        data_key="reason",
        metadata={"description": "why, for the history and the ticket"},
    )


@operation(
    room, "POST", "/orders/<uuid:order_id>/line-changes", scope=("order", "workroom"), body=SignedLineChangesSchema,
    headers=IfMatchSchema, answer=PlacedSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
    example={
        "by": "fitter-1", "reason": "a quarter more off, at the second fitting",
        "change": [{"number": 1, "amount": {"value": "1 1/4", "unit": "in"}}],
    },
)  # fmt: skip
def change_lines(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], order_id: object) -> Versioned:
    """Change, add and strike lines before the work, in a query, at a second fitting, or on a redo.

    A price alone can be changed until the order is collected. Minutes, prices and the promised day follow in the same
    transaction; each line's history is kept.
    """
    changed = cases.change_lines(context(), caller, str(order_id), version=headers["version"], **asked)
    return versioned(changed, changed.filed.version)
