"""A customer's history over HTTP."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import request
from marshmallow import fields, validate
from typing_extensions import override

from service.http.answering import UnitsSchema
from service.http.operations import context, operation
from service.http.orders.outcomes import OutcomeSchema
from service.http.parsing import StrictBlueprint
from service.http.people.measurement_sets import KeptPostureSchema, KeptReadingSchema
from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema, Word
from service.http.texts import Whole
from service.http.values import Count, Figure, MoneySchema
from service.tailoring.fitting.fit_checks import DECISIONS
from service.tailoring.garments.alterations import ALTERED, SIDES
from service.tailoring.orders.order_states import STATES
from service.use_cases.context import Caller
from service.use_cases.people.histories import HISTORY_KINDS, PAGE_MOST, HistoryPage, show_history

room = StrictBlueprint("histories", __name__, description="What a customer has had here, newest first")

PLACE_LONGEST = 60
PLACE = "^[0-9]{1,17}[.][0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}$"


class HistoryQuerySchema(UnitsSchema):
    """Which page."""

    after = fields.String(
        validate=[validate.Length(1, PLACE_LONGEST), Whole(PLACE, "As the page before says.")],
        metadata={"description": "the cursor of the next page, as `Link` has it"},
    )
    limit = Count(1, PAGE_MOST, written=True, load_default=20, metadata={"description": "entries a page"})


class MeasuredSchema(Schema):
    """Readings that were taken of the customer."""

    taken_on = fields.Date(required=True, metadata={"description": "the shop's local day"})
    by = fields.String(
        required=True, allow_none=True, attribute="taken_by", metadata={"description": "who took the readings"}
    )
    age_years = Figure(required=True, allow_none=True, metadata={"description": "the customer's age then, in years"})
    note = fields.String(required=True, metadata={"description": "what was noted, about the cloth"})
    posture = fields.List(
        fields.Nested(KeptPostureSchema), required=True, metadata={"description": "what was noted of the posture"}
    )
    readings = fields.List(
        fields.Nested(KeptReadingSchema), required=True, metadata={"description": "the readings as they were taken"}
    )


class TriedOnSchema(Schema):
    """A size that was tried on."""

    garment = fields.String(required=True, metadata={"description": "jacket, trousers or waistcoat"})
    chart = fields.String(required=True, metadata={"description": "the chart's code"})
    label = fields.String(required=True, metadata={"description": "the size's label in that chart"})


class TriedOn(fields.List[Any]):
    """The sizes that were tried on, of a fit check's record."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(fields.Nested(TriedOnSchema), **options)

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [{"garment": garment, "chart": size.chart, "label": size.label} for garment, size in value.items()]


class CheckedSchema(Schema):
    """A fit check: what was tried on, and what was decided. Its id opens the whole of it."""

    decision = Word(DECISIONS, attribute="record.decision", metadata={"description": "what was advised"})
    tried_on = TriedOn(required=True, attribute="record.worn", metadata={"description": "the sizes that were tried on"})


class PastPieceSchema(Schema):
    """A piece of an order: what was bought here has its chart and label."""

    piece = fields.Integer(required=True, attribute="tagged.piece", metadata={"description": "the number on its tag"})
    garment = Word(
        ALTERED, attribute="tagged.garment", metadata={"description": "jacket, trousers, waistcoat or shirt"}
    )
    chart = fields.String(
        required=True, allow_none=True, attribute="tagged.chart", metadata={"description": "the chart's code"}
    )
    label = fields.String(
        required=True, allow_none=True, attribute="tagged.label", metadata={"description": "the size's label"}
    )
    cloth = fields.String(
        required=True, attribute="tagged.cloth", metadata={"description": "what it is made of, in words of the order"}
    )
    brought_in = fields.Boolean(
        required=True, attribute="tagged.is_brought_in", metadata={"description": "bought elsewhere"}
    )
    state = Word(STATES, metadata={"description": "where the piece is"})


class PastLineSchema(AddingSchema):
    """An alteration as it was agreed."""

    of = "line"
    number = fields.Integer(required=True, metadata={"description": "its number on the ticket"})
    piece = fields.Integer(
        required=True, metadata={"description": "the number of the piece that it is on, as on its tag"}
    )
    alteration = fields.String(required=True, metadata={"description": "the alteration's code"})
    words = fields.String(required=True, metadata={"description": "what was done, in plain words"})
    amount = Out(
        required=True, allow_none=True, attribute="line.amount.length", dump_default=None,
        metadata={"description": "how much was agreed; none where it has no amount"},
    )  # fmt: skip
    basis = fields.String(
        required=True, allow_none=True, attribute="line.amount.basis", dump_default=None,
        metadata={"description": "what the amount is of: girth, per_side, per_leg or length"},
    )  # fmt: skip
    direction = fields.String(
        required=True, allow_none=True, attribute="line.amount.direction", dump_default=None,
        metadata={"description": "decrease or increase"},
    )  # fmt: skip
    side = Word(
        SIDES, allow_none=True, attribute="line.amount.side", dump_default=None,
        metadata={"description": "on which side, where it has one"},
    )  # fmt: skip
    target = Out(required=True, allow_none=True, metadata={"description": "the finished measure aimed at"})


class OrderedSchema(AddingSchema):
    """An alteration order in short; its id opens the whole of it."""

    of = "order"
    number = fields.String(required=True, metadata={"description": "the number on its ticket"})
    state = Word(STATES, metadata={"description": "how far the order is, by where its pieces are"})
    promised_for = fields.Date(
        required=True,
        allow_none=True,
        metadata={
            "description": "the day for which it is promised, by the calendar of the shop; null: no day is promised"
        },
    )
    total = fields.Nested(MoneySchema, required=True, metadata={"description": "what all of it costs"})
    garments = fields.List(
        fields.Nested(PastPieceSchema),
        required=True,
        attribute="order.pieces",
        metadata={"description": "the garments of the order, each with its work"},
    )
    lines = fields.List(
        fields.Nested(PastLineSchema),
        required=True,
        attribute="work.lines",
        metadata={"description": "its alterations, with the amounts that were agreed"},
    )


class HistoryEntrySchema(Schema):
    """One entry of a customer's history: the part that its `kind` names is filled, the others are null."""

    kind = Word(HISTORY_KINDS, metadata={"description": "what happened; it names the part that is filled"})
    at = fields.DateTime(required=True, metadata={"description": "when it was recorded"})
    id = fields.UUID(required=True, metadata={"description": "the id of the set, the check, the order or the outcome"})
    measured = fields.Nested(
        MeasuredSchema, required=True, allow_none=True, metadata={"description": "readings that were taken"}
    )
    checked = fields.Nested(CheckedSchema, required=True, allow_none=True, metadata={"description": "a fit check"})
    ordered = fields.Nested(
        OrderedSchema, required=True, allow_none=True, metadata={"description": "an alteration order"}
    )
    reported = fields.Nested(
        OutcomeSchema, required=True, allow_none=True, metadata={"description": "what became of what was sold"}
    )


class HistorySchema(Schema):
    """A page of a customer's history, newest first; the header Link says where the next page is."""

    customer_ref = fields.String(required=True, metadata={"description": "whose history it is"})
    entries = fields.List(
        fields.Nested(HistoryEntrySchema), required=True, metadata={"description": "what happened, newest first"}
    )


@operation(
    room, "GET", "/customers/<reference:customer_ref>/history", scope="measure", query=HistoryQuerySchema,
    answer=HistorySchema, refuses=(404,), sends=("Link",),
)  # fmt: skip
def read_history(caller: Caller, query: dict[str, Any], customer_ref: str) -> tuple[HistoryPage, dict[str, str]]:
    """What a customer has had here: readings, fit checks, orders with sizes and agreed amounts, outcomes; newest first.

    Empty where they are not known. `Link: rel="next"` continues. Each reading of it is recorded as a disclosure.
    """
    page = show_history(context(), caller, customer_ref, query.get("after"), query["limit"])
    following = urlencode({**request.args.to_dict(), "after": page.after})
    return page, {"Link": f'<{request.path}?{following}>; rel="next"'} if page.after else {}
