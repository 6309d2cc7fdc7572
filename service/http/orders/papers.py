"""Papers over HTTP: the ticket for the bench, the slip for the customer, the drawing for the fitter, by Accept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from flask import Response, current_app, request
from marshmallow import fields, validate

from service.http.answering import UnitsSchema
from service.http.callers.languages import VARIES_BY, language, language_asked
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.values import Choice
from service.tailoring.orders.order_states import STATES
from service.tailoring.refusals import Refusal
from service.tongues.tags import BRITISH, TAGS
from service.use_cases.context import Caller
from service.use_cases.fitting.fit_checks import show_fit_check
from service.use_cases.orders.order_papers import DETAILS, OrderOnPaper, order_on_paper

room = StrictBlueprint("papers", __name__, description="What is printed of an order or a fit check")

FOLLOW_SCOPES = ("order", "workroom")
TEXT: dict[str, Any] = {"type": "string"}
BYTES: dict[str, Any] = {"type": "string", "format": "binary"}
# What a ticket and a slip are printed as beside plain text.
PRINTED: dict[str, dict[str, Any]] = {
    "application/pdf": BYTES,
    "image/svg+xml": TEXT,
    "application/octet-stream": BYTES,
}


def _word(**options: Any) -> fields.String:  # noqa: ANN401  marshmallow's own
    return fields.String(required=True, **options)


def _words() -> fields.List[Any]:
    return fields.List(fields.String(), required=True)


class DetailSchema(UnitsSchema):
    """How much of the pressing and of the cautions is printed."""

    detail = Choice(
        DETAILS,
        load_default="short",
        metadata={
            "description": "short: what a trained hand is reminded of; full: every step of pressing, cautions whole"
        },
    )


class PrintedMeasureSchema(Schema):
    """A length both ways, signed where it is a change, and what it is a measure of."""

    text = _word()
    of = _word()
    is_rounded = fields.Boolean(
        required=True, metadata={"description": "true: its inches are rounded, so mm and cm decide"}
    )


class TicketLineSchema(Schema):
    """A line of work as it is printed; what is empty is not printed."""

    number = fields.Integer(required=True)
    alteration = _word()
    words = _word()
    side = _word()
    change = fields.List(fields.Nested(PrintedMeasureSchema), required=True)
    finished = fields.Nested(PrintedMeasureSchema, required=True, allow_none=True)
    notices = _words()
    mark_again = fields.Boolean(required=True)
    after = fields.List(fields.Integer(), required=True)
    inlay = _word()
    second_reading = fields.Boolean(required=True)
    marked = _word()
    note = _word()
    caution = _word()
    minutes = fields.Integer(required=True)
    price = _word()
    not_pinned = fields.Boolean(required=True, metadata={"description": "a hem without a measure until it is marked"})
    cut = fields.Nested(
        PrintedMeasureSchema, required=True, allow_none=True, metadata={"description": "where the leg is cut"}
    )
    was = _word(
        metadata={"description": "its amount and finished measure before it was changed; printed struck through"}
    )


class TicketGarmentSchema(Schema):
    """A garment with its work, in the order in which it is sewn."""

    place = _word()
    tag = _word()
    garment = _word()
    size = _word()
    brought_in = _word(metadata={"description": "that it was bought elsewhere; empty of what the shop sold"})
    style = _word()
    cloth = _word()
    pattern = _word()
    lining = _word()
    cuffs = _word()
    must_keep = _word()
    faults_seen = _word()
    measured = _word(metadata={"description": "what was measured on the piece itself, place by place"})
    fitted_in = _word(metadata={"description": "what the customer had on at the fitting, as far as it counts here"})
    pictures = _word(metadata={"description": "how many pictures of it the order names"})
    pins_left_in = fields.Integer(required=True)
    lines = fields.List(fields.Nested(TicketLineSchema), required=True)
    pins = _word(metadata={"description": "how many pins are in this piece, of how many in the order"})
    status = _word(
        metadata={"description": "what is still to be done, where it is ahead of the order or partly redone"}
    )
    read_first = fields.List(
        fields.String(), required=True, metadata={"description": "what to know first when this piece is on its own"}
    )
    pressing = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "three lines: heat, cloth, what is special about this piece"},
    )
    finishing = fields.List(
        fields.String(), required=True, metadata={"description": "the rules of its pressing, with `detail=full`"}
    )
    steps = fields.List(
        fields.String(), required=True, metadata={"description": "the order of its pressing, with `detail=full`"}
    )
    checks = fields.List(
        fields.String(), required=True, metadata={"description": "what is signed on this piece's own page"}
    )


class TicketNoticeSchema(Schema):
    """What must be checked first, and at which lines."""

    numbers = fields.List(
        fields.Integer(), required=True, metadata={"description": "numbers of the lines that it is about"}
    )
    text = _word()


class TicketSchema(Schema):
    """The ticket as words: the same that every format prints."""

    shop = _word()
    number = _word()
    state = _word()
    rush = _word()
    group = _word(metadata={"description": "its place in a group of orders, in words"})
    alerts = _words()
    placed = _word()
    promised = _word()
    needed_by = _word()
    customer_ref = _word()
    sale_ref = _word()
    by = _word(metadata={"description": "who marked it"})
    note = _word()
    answers = _words()
    look_again = _words()
    changes = fields.List(
        fields.String(), required=True, metadata={"description": "lines that were changed, added or struck since"}
    )
    notices = fields.List(fields.Nested(TicketNoticeSchema), required=True)
    fittings = _words()
    garments = fields.List(fields.Nested(TicketGarmentSchema), required=True)
    rounding = _word()
    pins_in = fields.Integer(required=True)
    checks = _words()
    minutes = _words()
    total = _word()
    deposit = _word()
    balance = _word()
    cautions = _words()
    language = _word(
        validate=validate.OneOf(TAGS), metadata={"description": "the language that its words are in (RFC 5646)"}
    )


class CustomerSlipSchema(Schema):
    """The customer's slip in words: it names no person."""

    shop = _word()
    number = _word()
    state = _word(validate=validate.OneOf(STATES))
    state_words = _word(metadata={"description": "the state in words for the customer"})
    promised_for = fields.Date(required=True, allow_none=True)
    day = _word()
    hour = _word(metadata={"description": "from what time on that day it may be collected, where the shop says so"})
    fittings = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "days on which a piece is tried on before then, in words"},
    )
    garments = _words()
    work = fields.List(
        fields.String(), required=True, metadata={"description": "what is done to each piece; only on the paper"}
    )
    total = _word(metadata={"description": "what all of it costs; only on the paper"})
    deposit = _word(metadata={"description": "the part that is paid when the order is placed; only on the paper"})
    balance = _word(metadata={"description": "what is to be paid at collection"})
    ask_at = _word(metadata={"description": "where a customer may ask, as the shop says it"})
    advice = _words()
    says = _word(metadata={"description": "what its QR code holds"})
    language = _word(
        validate=validate.OneOf(TAGS), metadata={"description": "the language that its words are in (RFC 5646)"}
    )


@operation(
    room, "GET", "/orders/<uuid:order_id>/ticket", scope=FOLLOW_SCOPES, answer=TEXT, media="text/plain",
    also={**PRINTED, "application/json": TicketSchema}, refuses=(404, 406), sends=("Vary", "Content-Language"),
    query=DetailSchema,
)  # fmt: skip
def print_ticket(caller: Caller, query: dict[str, Any], order_id: object) -> Response:
    """The paper that travels with the pieces, by Accept.

    Plain text of 42 columns, PDF on A5 (a piece a page), SVG, JSON, or (application/octet-stream) bytes for a receipt
    printer. It is the bench's: in the language of the shop, whatever the caller reads, unless `lang` says another.
    """
    paper = order_on_paper(context(), caller, str(order_id))
    said_in = language_asked() or paper.shop.language or BRITISH
    response = printed("ticket", replace(paper, language=said_in), query["detail"])
    response.headers["Content-Language"] = said_in
    return response


@operation(
    room, "GET", "/orders/<uuid:order_id>/customer-slip", scope=FOLLOW_SCOPES, answer=TEXT, media="text/plain",
    also={**PRINTED, "application/json": CustomerSlipSchema}, refuses=(404, 406), sends=("Vary", "Content-Language"),
)  # fmt: skip
def print_customer_slip(caller: Caller, order_id: object) -> Response:
    """The slip that the customer takes home, in the formats of the ticket, by Accept; PDF on A6. It names no person."""
    return in_language("customer_slip", order_on_paper(context(), caller, str(order_id)))


@operation(
    room, "GET", "/fit-checks/<uuid:check_id>/drawing", scope="advise", answer=TEXT, media="image/svg+xml",
    also={"text/plain": TEXT}, refuses=(404, 406), sends=("Vary",),
)  # fmt: skip
def draw_fit_check(caller: Caller, check_id: object) -> Response:
    """The figure from the front, the side and the back, each judged point marked by a shape and in words, by Accept.

    An SVG that prints on a page of A4 across, or the same as plain text.
    """
    return printed("drawing", show_fit_check(context(), caller, str(check_id)))


def in_language(paper: str, of: OrderOnPaper) -> Response:
    """A customer's paper in the language that is asked for, that the caller reads, or that the shop speaks."""
    said_in = language(of.shop.language)
    response = printed(paper, replace(of, language=said_in))
    response.headers["Content-Language"] = said_in
    response.vary.add(VARIES_BY)
    return response


def printed(paper: str, *of: object) -> Response:
    """A paper `of` what it is printed from, in the first format that the caller likes best.

    Raises Refusal `not_acceptable`.
    """
    printers = current_app.extensions["papers"][paper]
    asked = request.accept_mimetypes
    # Some say in which letters they read, as if there were others.
    offered = {media: media for media in printers} | {f"{media}; charset=utf-8": media for media in printers}
    # Who says nothing takes anything.
    best = asked.best_match(list(offered)) if asked else next(iter(printers))
    media = offered.get(best or "")
    if media is None:
        raise Refusal("not_acceptable", served=tuple(printers))
    kind = f"{media}; charset=utf-8" if media.startswith("text/") else media
    response = Response(printers[media](*of), content_type=kind)
    response.headers["Vary"] = "Accept"
    return response
