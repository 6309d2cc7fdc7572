"""Alteration quotes over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.callers.units import answer_in
from service.http.notices import NoticeSchema
from service.http.operations import context, operation
from service.http.orders.answers.line_answers import OrderLineSchema
from service.http.orders.answers.order_answers import PlannedFittingSchema
from service.http.orders.answers.piece_answers import PieceSchema
from service.http.orders.order_sheets import EXAMPLE, SheetSchema, sheet_of
from service.http.orders.order_units import units_of
from service.http.parsing import StrictBlueprint
from service.http.schemas import ByHand, Schema
from service.http.shop.work import FollowOnSchema, WorkSchema
from service.http.values import MoneySchema, TaxIncluded
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.workroom.placing import Quote
from service.use_cases.context import Caller
from service.use_cases.orders.orders import quote

room = StrictBlueprint(
    "quotes", __name__, description="What an order would cost and when it could be ready; nothing is booked"
)


class QuoteAskedSchema(SheetSchema):
    """Garments and what would be done to them."""

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> SheetAsked:
        return sheet_of(data)


class QuoteSchema(Schema):
    """Lines, price, minutes and the earliest day; `earliest_rush` is that of a rush; null: no day is free.

    The total includes the surcharge where a rush is asked for; the deposit is a part of it.
    `order_of_work` has each line's limits, `follow_ons` what it does elsewhere. A hem that is not marked is quoted as
    one to be pinned (`hem_not_marked`); `to_look_at` is what the fit check only estimates, neither counted nor charged.
    """

    garments = fields.List(fields.Nested(PieceSchema), required=True, attribute="sheet.garments")
    lines = fields.List(fields.Nested(OrderLineSchema), required=True, attribute="work.lines")
    order_of_work = fields.List(fields.Nested(WorkSchema), required=True, attribute="work.order_of_work")
    follow_ons = fields.List(fields.Nested(FollowOnSchema), required=True, attribute="work.follow_ons")
    cautions = fields.List(
        fields.String(),
        required=True,
        attribute="work.cautions",
        metadata={"description": "what the benches mind with this work, in words"},
    )
    prices_include_tax = TaxIncluded(required=True, attribute="tax.included")
    total = fields.Nested(MoneySchema, required=True)
    rush_surcharge = fields.Nested(MoneySchema, required=True)
    deposit = fields.Nested(MoneySchema, required=True)
    minutes = fields.Integer(required=True)
    earliest = fields.Date(required=True, attribute="booking.promised_for")
    earliest_rush = fields.Date(required=True, allow_none=True, attribute="rush_day")
    planned_fittings = fields.List(
        fields.Nested(PlannedFittingSchema),
        required=True,
        attribute="booking.fittings",
        metadata={"description": "fittings that `earliest` leaves room for"},
    )
    warnings = fields.List(fields.Nested(NoticeSchema), required=True, attribute="sheet.notices")
    to_look_at = ByHand(ToLookAtSchema, to_look_at_document, required=True, attribute="sheet.to_look_at")


@operation(
    room, "POST", "/alteration-quotes", scope=("advise", "order"), body=QuoteAskedSchema, answer=QuoteSchema,
    refuses=(409,), example=EXAMPLE, for_pages=True,
)  # fmt: skip
def quote_alterations(caller: Caller, asked: SheetAsked) -> Quote:
    """Quote alterations: feasibility, minutes, price, order of work, what follows, the earliest day.

    Nothing is booked. What cannot be done is refused with the limit and what serves instead; where several lines
    cannot, `errors` has each of them. A web key cannot use `from_fit_check`: fit checks are about customers.
    """
    quoted = quote(context(), caller, asked)
    answer_in(units_of(quoted.sheet.lines))
    return quoted
