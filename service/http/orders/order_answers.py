"""Orders going out: as one order, a list, and as quotes share their lines."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.advice.estimated_work import ToLookAtSchema, to_look_at_document
from service.http.notices import NoticeSchema, notices
from service.http.schemas import Schema
from service.http.shop.work import FollowOnSchema, WorkSchema, follow_on_documents, work_documents
from service.http.values import MoneySchema, Out, money, written
from service.storage.orders.orders import FiledOrder
from service.tailoring.fitting.left_open import ToLookAt
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.notices import Notice
from service.tailoring.orders.order_lines import ORIGINS, OrderLine, line_numbers
from service.tailoring.orders.order_states import EVENT_KINDS, STATES, OrderEvent

ORIGIN_WORDS = "asked for, taken from a plan, follows of another line, or added when it was redone"


class PieceSchema(Schema):
    """A garment of the order."""

    piece = fields.Integer(required=True)
    garment = fields.String(required=True)
    chart = fields.String(required=True, allow_none=True)
    label = fields.String(required=True, allow_none=True)
    cloth = fields.String(required=True)
    pattern = fields.String(required=True)
    worked_buttonholes = fields.Boolean(required=True)
    pins_left_in = fields.Integer(required=True)
    style = fields.String(required=True)
    lining = fields.String(required=True, allow_none=True)
    repeat = Out(required=True, allow_none=True)
    must_keep = fields.String(required=True)
    faults_seen = fields.String(required=True)
    hemmed = fields.Boolean(required=True)
    pleats = fields.Integer(required=True, allow_none=True)
    crease = fields.Boolean(required=True, allow_none=True)


class OrderLineSchema(Schema):
    """A line of work as agreed; `number` is its number on the ticket: piece by piece, in the order of work."""

    number = fields.Integer(required=True)

    piece = fields.Integer(required=True)
    alteration = fields.String(required=True)
    words = fields.String(required=True)
    amount = Out(required=True, allow_none=True)
    basis = fields.String(required=True, allow_none=True)
    direction = fields.String(required=True, allow_none=True)
    side = fields.String(required=True, allow_none=True)
    target = Out(required=True, allow_none=True)
    inlay_seen = Out(required=True, allow_none=True)
    inlay_basis = fields.String(required=True, allow_none=True)
    inlay_seams = fields.Integer(required=True, allow_none=True)
    subject_to_inlay = fields.Boolean(required=True)
    to_be_pinned = fields.Boolean(required=True, metadata={"description": "a hem without a length until it is marked"})
    look_again = fields.List(
        fields.String(), required=True, metadata={"description": "what contradicts the amount; it is printed"}
    )
    minutes = fields.Integer(required=True)
    price = fields.Nested(MoneySchema, required=True)
    note = fields.String(required=True)
    marked_with = fields.String(required=True, allow_none=True)
    undone_first = fields.Boolean(required=True)
    origin = fields.String(required=True, validate=validate.OneOf(ORIGINS), metadata={"description": ORIGIN_WORDS})
    seen = fields.Boolean(
        required=True, metadata={"description": "somebody taped or looked there; else look before it is sewn"}
    )


class EventSchema(Schema):
    """What happened to the order: when, by whom, from where to where, and what was said.

    `facts` say what an amendment changed, and where the promise went (`promised_before`, `promised_for`).
    """

    at = fields.DateTime(required=True)
    by = fields.String(required=True)
    from_state = fields.String(required=True, allow_none=True, data_key="from")
    to_state = fields.String(required=True, data_key="to")
    kind = fields.String(required=True, validate=validate.OneOf(EVENT_KINDS))
    note = fields.String(required=True)
    facts = fields.Dict(keys=fields.String(), required=True)


class SlipSchema(Schema):
    """Where the customer sees his order."""

    token = fields.String(required=True)
    path = fields.String(required=True)


class SummarySchema(Schema):
    """An order as a list shows it."""

    id = fields.UUID(required=True)
    number = fields.String(required=True)
    state = fields.String(required=True, validate=validate.OneOf(STATES))
    customer_ref = fields.String(required=True, allow_none=True)
    sale_ref = fields.String(required=True, allow_none=True)
    needed_by = fields.Date(required=True, allow_none=True)
    promised_for = fields.Date(required=True, allow_none=True)
    rush = fields.Boolean(required=True)
    group = fields.UUID(required=True, allow_none=True, attribute="group_id")


class OrderSchema(SummarySchema):
    """An order, whole, with its history. `question` is what the workroom waits to be answered."""

    note = fields.String(required=True)
    look_again = fields.List(
        fields.String(), required=True, metadata={"description": "what the fitting left in doubt, and no line has"}
    )
    question = fields.String(required=True, allow_none=True)
    fitting_on = fields.Date(required=True, allow_none=True)

    total = fields.Nested(MoneySchema, required=True)
    deposit = fields.Nested(MoneySchema, required=True)
    minutes = fields.Integer(required=True)
    placed_at = fields.DateTime(required=True)
    marked_by = fields.String(required=True)
    garments = fields.List(fields.Nested(PieceSchema), required=True)
    lines = fields.List(fields.Nested(OrderLineSchema), required=True)
    order_of_work = fields.List(fields.Nested(WorkSchema), required=True)
    follow_ons = fields.List(fields.Nested(FollowOnSchema), required=True)
    events = fields.List(fields.Nested(EventSchema), required=True)
    may_move_to = fields.List(fields.String(), required=True)
    collection_slip = fields.Nested(SlipSchema, required=True)


class PlacedSchema(OrderSchema):
    """A new order, or one that was amended, and what the fitter should look at.

    `to_look_at` is what its fit check only estimates: offered, and neither booked nor charged.
    """

    warnings = fields.List(fields.Nested(NoticeSchema), required=True)
    to_look_at = fields.List(fields.Nested(ToLookAtSchema), required=True)


class OrdersSchema(Schema):
    """A page of orders, newest first; the header Link says where the next page is."""

    orders = fields.List(fields.Nested(SummarySchema), required=True, attribute="rows")


def order_document(filed: FiledOrder) -> dict[str, Any]:
    """An order, whole."""
    order = filed.order
    return {
        "id": filed.id,
        "number": order.number,
        "state": order.state,
        "customer_ref": order.customer_ref,
        "sale_ref": order.sale_ref,
        "needed_by": _day(order.needed_by),
        "promised_for": _day(order.promised_for),
        "rush": order.rush,
        "group": filed.group_id,
        "note": order.note,
        "look_again": list(order.look_again),
        "question": order.open_question,
        "fitting_on": _day(order.fitting_on),
        "total": money(order.total),
        "deposit": money(order.deposit),
        "minutes": order.minutes,
        "placed_at": order.placed_at.isoformat(),
        "marked_by": order.marked_by,
        "garments": [piece_document(piece) for piece in order.garments],
        "lines": line_documents(order.lines),
        "order_of_work": work_documents(order.lines),
        "follow_ons": follow_on_documents(order.lines),
        "events": [_event(event) for event in order.events],
        "may_move_to": list(order.may_move_to),
        "collection_slip": {
            "token": filed.collection_token,
            "path": f"/v1/collection-slips/{filed.collection_token}",
        },
    }


def placed_document(
    filed: FiledOrder, looked_at: tuple[Notice, ...], estimated: tuple[ToLookAt, ...] = ()
) -> dict[str, Any]:
    """An order, whole, what the fitter should look at, and what is only estimated."""
    offered = [to_look_at_document(each) for each in estimated]
    return {**order_document(filed), "warnings": notices(looked_at), "to_look_at": offered}


def piece_document(piece: GarmentPiece) -> dict[str, Any]:
    """A garment of the order."""
    return {
        "piece": piece.piece,
        "garment": piece.garment,
        "chart": piece.chart,
        "label": piece.label,
        "cloth": piece.cloth,
        "pattern": piece.pattern,
        "worked_buttonholes": piece.worked_buttonholes,
        "pins_left_in": piece.pins_left_in,
        "style": piece.style,
        "lining": piece.lining,
        "repeat": written(piece.repeat) if piece.repeat else None,
        "must_keep": piece.must_keep,
        "faults_seen": piece.faults_seen,
        "hemmed": piece.hemmed,
        "pleats": piece.pleats,
        "crease": piece.crease,
    }


def line_documents(lines: tuple[OrderLine, ...]) -> list[dict[str, Any]]:
    """The lines in the caller's order, each with its number on the ticket."""
    numbers = line_numbers(lines)
    return [_line(line, numbers[position]) for position, line in enumerate(lines)]


def _line(line: OrderLine, number: int) -> dict[str, Any]:
    amount = line.amount
    return {
        "number": number,
        "piece": line.piece,
        "alteration": line.alteration,
        "words": alteration(line.alteration).words,
        "amount": written(amount.length) if amount else None,
        "basis": amount.basis if amount else None,
        "direction": amount.direction if amount else None,
        "side": amount.side if amount else None,
        "target": written(line.target) if line.target else None,
        "inlay_seen": written(line.inlay_seen) if line.inlay_seen else None,
        "inlay_basis": line.inlay_basis,
        "inlay_seams": line.inlay_seams,
        "subject_to_inlay": line.subject_to_inlay,
        "to_be_pinned": line.to_be_pinned,
        "look_again": list(line.look_again),
        "minutes": line.minutes,
        "price": money(line.price),
        "note": line.note,
        "marked_with": line.marked_with,
        "undone_first": line.undone_first,
        "origin": line.origin,
        "seen": line.seen,
    }


def _event(event: OrderEvent) -> dict[str, Any]:
    return {
        "at": event.at.isoformat(),
        "by": event.by,
        "from": event.from_state,
        "to": event.to_state,
        "kind": event.kind,
        "note": event.note,
        "facts": dict(event.facts),
    }


def _day(day: Any) -> str | None:  # noqa: ANN401  a date or none
    return None if day is None else str(day.isoformat())
