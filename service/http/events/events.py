"""The feed of events over HTTP, and what the contract says of the events that webhooks are sent."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import Response, request
from marshmallow import fields, validate

from service.http.answering import UnitsSchema, answered
from service.http.heartbeat import may_wait
from service.http.operations import context, lasting_context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema, Word
from service.http.texts import Whole
from service.http.values import Count
from service.storage.feeds import Cursor
from service.tailoring.orders.order_events import event_types
from service.tailoring.orders.order_states import STATES
from service.use_cases.context import Caller
from service.use_cases.events import events as cases
from service.use_cases.events.events import PAGE_MOST, envelope

room = StrictBlueprint("events", __name__, description="What happened to orders, page by page")

CURSOR = r"^(0|[a-z0-9]{1,16}-(0|[1-9][0-9]{0,15}))$"
CURSOR_LONGEST = 33
CURSOR_WORDS = "A cursor as an answer gave it, or 0."
START = "0"
WAIT_MOST_SECONDS = 25
CLOUD_EVENTS = "application/cloudevents+json"


class CursorField(fields.String):
    """A cursor as an answer gave it, or 0 for the beginning of the feed."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(
            validate=[validate.Length(max=CURSOR_LONGEST), Whole(CURSOR, CURSOR_WORDS)],
            **options,
        )


class EventsQuerySchema(UnitsSchema):
    """From where to go on."""

    after = CursorField(
        load_default=START, metadata={"description": "the cursor of the last event known; 0, or nothing: all events"}
    )
    limit = Count(1, PAGE_MOST, written=True, load_default=PAGE_MOST, metadata={"description": "events a page"})
    wait = Count(
        0,
        WAIT_MOST_SECONDS,
        written=True,
        load_default=0,
        metadata={
            "description": "seconds that the answer may wait where there is no event yet: it comes with the first one,"
            " or empty after them; sooner where many are waiting, or the server is stopping"
        },
    )


class PieceMovedSchema(Schema):
    """A piece of the order that moved."""

    piece = fields.Integer(required=True, metadata={"description": "its number on the order"})
    garment = fields.String(required=True, metadata={"description": "jacket, trousers, waistcoat or shirt"})
    from_state = fields.String(
        required=True, data_key="from", validate=validate.OneOf(STATES), metadata={"description": "where it was"}
    )
    state = fields.String(required=True, validate=validate.OneOf(STATES), metadata={"description": "where it is now"})


class EventDataSchema(Schema):
    """The order as others may know it: nothing about the customer, the staff or the body."""

    order = fields.UUID(required=True)
    number = fields.String(required=True)
    from_state = Word(STATES, allow_none=True, data_key="from")
    state = fields.String(required=True, validate=validate.OneOf(STATES))
    promised_for = fields.Date(required=True, allow_none=True)
    pieces = fields.List(
        fields.Nested(PieceMovedSchema),
        required=True,
        metadata={
            "description": "the pieces that moved, all or some of the order's; empty for other kinds of events, or from"
            " before pieces moved one by one"
        },
    )


class CloudEventSchema(Schema):
    """An event in the envelope of CloudEvents 1.0: its `id` is the same however often it is sent."""

    specversion = fields.String(required=True, validate=validate.OneOf(["1.0"]))
    id = fields.String(required=True)
    source = fields.String(required=True, metadata={"description": "the shop that it happened in, as a URN of its id"})
    type = fields.String(
        required=True,
        validate=validate.OneOf(list(event_types())),
        metadata={"description": " ".join(f"`{name}`: {words}" for name, words in event_types().items())},
    )
    subject = fields.String(required=True, metadata={"description": "the order that it happened to, by its id"})
    time = fields.DateTime(required=True)
    datacontenttype = fields.String(required=True)
    cursor = fields.String(
        required=True,
        metadata={
            "description": "where it is in the feed: go on after it. EPOCH-NUMBER; the number counts the shop's events"
            " without a gap, the epoch changes when the service is restored from a backup"
        },
    )
    data = fields.Nested(EventDataSchema, required=True)


class EventsSchema(Schema):
    """A page of the feed, oldest first."""

    events = fields.List(fields.Nested(CloudEventSchema), required=True)
    after = fields.String(required=True, metadata={"description": "the cursor to go on from"})
    epoch = fields.String(
        required=True, metadata={"description": "it changes when the service is restored from a backup"}
    )


@operation(
    room, "GET", "/events", scope=("order", "workroom"), query=EventsQuerySchema, answer=EventsSchema, refuses=(409,),
    sends=("Link",),
)  # fmt: skip
def list_events(caller: Caller, query: dict[str, Any]) -> Response:
    """What happened to the shop's orders after a cursor; ask again with the answer's `after`, and `wait` for the next.

    A cursor past the last event (`cursor_ahead`), or from before the service was restored from a backup
    (`cursor_of_before`), is refused, and the refusal says what to do.
    """
    page = cases.list_events(context(), caller, Cursor.read(query["after"]), query["limit"])
    if query["wait"] and not page.events:
        means = lasting_context()
        may_wait(query["wait"], lambda: cases.has_happened(means, caller, page.after))
    told = {"events": [envelope(event) for event in page.events], "after": page.after.text, "epoch": page.after.epoch}
    response = answered(told)
    if page.more:
        following = urlencode({**request.args.to_dict(), "after": page.after.text})
        response.headers["Link"] = f'<{request.path}?{following}>; rel="next"'
    return response


def webhooks_contract() -> dict[str, Any]:
    """What a webhook is sent, a part for each type of event, as OpenAPI 3.1 says it."""
    return {name: {"post": _sent(name, words)} for name, words in event_types().items()}


def _sent(name: str, words: str) -> dict[str, Any]:
    signed = {
        "webhook-id": "the event's `id`; a second delivery of it has the same",
        "webhook-timestamp": "when it was sent, in seconds since 1970",
        "webhook-signature": "by the webhook's secret, as Standard Webhooks has it",
    }
    return {
        "operationId": f"receive_{name.replace('.', '_')}",
        "summary": words,
        "description": f"{words} Sent to every webhook that asked for `{name}`, signed as Standard Webhooks"
        f" 1.0 has it.",
        "tags": ["webhooks"],
        "security": [],
        "parameters": [
            {"in": "header", "name": header, "required": True, "description": said, "schema": {"type": "string"}}
            for header, said in signed.items()
        ],
        "requestBody": {
            "required": True,
            "content": {CLOUD_EVENTS: {"schema": {"$ref": "#/components/schemas/CloudEvent"}}},
        },
        "responses": {
            "2XX": {"description": "It is taken; the next one may come"},
            "410": {"description": "Send nothing there any more"},
            "default": {"description": "It is sent again later, before any other"},
        },
    }
