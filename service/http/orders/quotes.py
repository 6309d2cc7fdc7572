"""Alteration quotes over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.notices import NoticeSchema, notices
from service.http.operations import context, operation
from service.http.orders.order_answers import OrderLineSchema, PieceSchema, line_documents, piece_document
from service.http.orders.order_sheets import EXAMPLE, SheetSchema, sheet_of
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.shop.work import FollowOnSchema, WorkSchema, caution_texts, follow_on_documents, work_documents
from service.http.values import MoneySchema, money
from service.tailoring.orders.order_sheets import SheetAsked
from service.tailoring.work.prices import Money
from service.use_cases.context import Caller
from service.use_cases.orders.orders import quote

room = StrictBlueprint("quotes", __name__, description="What an order would be; nothing is booked")


class QuoteAskedSchema(SheetSchema):
    """Garments and what would be done to them."""

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> SheetAsked:
        return sheet_of(data)


class QuoteSchema(Schema):
    """Lines, price, minutes and the earliest day; `earliest_rush` is that of a rush, none where no day is free.

    The total is that of a rush where one is asked for, its surcharge among it; the deposit is a part of it.
    `order_of_work` has each line's limits, `follow_ons` what it does elsewhere. A hem that nobody marked is quoted as
    one to be pinned (`hem_not_marked`); `to_look_at` is what the fit check only estimates, neither counted nor charged.
    """

    garments = fields.List(fields.Nested(PieceSchema), required=True)
    lines = fields.List(fields.Nested(OrderLineSchema), required=True)
    order_of_work = fields.List(fields.Nested(WorkSchema), required=True)
    follow_ons = fields.List(fields.Nested(FollowOnSchema), required=True)
    cautions = fields.List(fields.String(), required=True, metadata={"description": "of the benches that work on it"})
    total = fields.Nested(MoneySchema, required=True)
    rush_surcharge = fields.Nested(MoneySchema, required=True)
    deposit = fields.Nested(MoneySchema, required=True)
    minutes = fields.Integer(required=True)
    earliest = fields.Date(required=True)
    earliest_rush = fields.Date(required=True, allow_none=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)
    to_look_at = fields.List(fields.Nested(ToLookAtSchema), required=True)


@operation(
    room, "POST", "/alteration-quotes", scope="order", body=QuoteAskedSchema, answer=QuoteSchema, refuses=(409,),
    example=EXAMPLE,
)  # fmt: skip
def quote_alterations(caller: Caller, asked: SheetAsked) -> dict[str, Any]:
    """What alterations would be: feasibility, minutes, price, order of work, what follows, the earliest day.

    Nothing is booked. What cannot be done is refused with the limit and what serves instead; where several lines
    cannot, `errors` has each of them.
    """
    found = quote(context(), caller, asked)
    lines = found.sheet.lines
    currency, terms = lines[0].price.currency, found.terms
    minor = sum(line.price.minor for line in lines) + terms.rush_minor
    return {
        "garments": [piece_document(piece) for piece in found.sheet.garments],
        "lines": line_documents(lines),
        "order_of_work": work_documents(lines),
        "follow_ons": follow_on_documents(lines),
        "cautions": caution_texts(lines),
        "total": money(Money(minor, currency)),
        "rush_surcharge": money(Money(terms.rush_minor, currency)),
        "deposit": money(Money(terms.deposit_minor, currency)),
        "minutes": sum(line.minutes for line in lines),
        "earliest": found.booking.promised_for.isoformat(),
        "earliest_rush": found.rush_day.isoformat() if found.rush_day else None,
        "warnings": notices(found.sheet.notices),
        "to_look_at": [to_look_at_document(each) for each in found.sheet.to_look_at],
    }
