"""Webhooks over HTTP: opened, listed, closed, replayed."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import ValidationError, fields, post_load, validate

from service.http.callers.headers import IdempotencySchema, RetrySchema
from service.http.events.events import CursorField
from service.http.operations import context, created, idempotent_request, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Listing, Schema, Word
from service.http.texts import Text
from service.http.values import Choice, Strict
from service.storage.feeds import Cursor
from service.storage.webhooks import STATES, Webhook
from service.tailoring.orders.order_events import event_types
from service.use_cases.context import Caller
from service.use_cases.events import webhooks as cases
from service.use_cases.events.webhooks import WebhookAsked, close_webhook, open_webhook, replay, show_webhook

room = StrictBlueprint("webhooks", __name__, description="What happened to orders, sent to an address")

TYPES = tuple(event_types())


class WebhookAskedSchema(Strict):
    """Where to send events, and which: all types where none is named, from now on where no cursor is given."""

    url = Text(least=1, most=1000, required=True, metadata={"description": "https, and a public address"})
    types = fields.List(Choice(TYPES), load_default=list, validate=validate.Length(max=len(TYPES)))
    after = CursorField(metadata={"description": "send what came after this cursor, too; 0: all events"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> WebhookAsked:
        if len(set(data["types"])) != len(data["types"]):
            raise ValidationError({"types": ["A type is given twice."]})
        return WebhookAsked(data["url"], tuple(data["types"]), Cursor.read(data["after"]) if "after" in data else None)


class ReplaySchema(Strict):
    """From where to send again."""

    after = CursorField(required=True, metadata={"description": "what came after this cursor is sent; 0: all events"})


class WebhookSchema(Schema):
    """Where events are sent, how far that has come, and what failed last."""

    id = fields.UUID(required=True)
    url = fields.String(required=True)
    types = fields.List(Word(TYPES), required=True)
    state = fields.String(required=True, validate=validate.OneOf(STATES))
    created_at = fields.DateTime(required=True)
    delivered_to = fields.String(
        required=True, attribute="cursor.text", metadata={"description": "the cursor of the last event taken"}
    )
    failures = fields.Integer(required=True, metadata={"description": "how many attempts in a row have failed"})
    failing_since = fields.DateTime(required=True, allow_none=True)
    last_failure = fields.String(required=True, allow_none=True)
    next_attempt_at = fields.DateTime(required=True, allow_none=True, attribute="tried_again_at")


class OpenedWebhookSchema(WebhookSchema):
    """A new webhook with the secret that its events are signed by; it is shown here only."""

    secret = fields.String(required=True, allow_none=True)


class WebhooksSchema(Schema):
    """All of the shop's webhooks."""

    webhooks = fields.List(fields.Nested(WebhookSchema), required=True, attribute="rows")


@operation(
    room, "POST", "/webhooks", scope="admin", body=WebhookAskedSchema, headers=IdempotencySchema,
    answer=OpenedWebhookSchema, status=201, refuses=(409,), sends=("Location", "Answer-Repeated"),
    example={"url": "https://shop.example/events", "types": ["order.placed", "order.moved"]},
)  # fmt: skip
def create_webhook(caller: Caller, headers: dict[str, Any], asked: WebhookAsked) -> Response:
    """Send the shop's events to an address. Only this answer holds the secret that signs them."""
    answer = open_webhook(context(), caller, asked, idempotent_request(headers.get("key")), WebhookSchema().dump)
    return created(answer, f"/v1/webhooks/{answer.document['id']}")


@operation(room, "GET", "/webhooks", scope="admin", answer=WebhooksSchema)
def list_webhooks(caller: Caller) -> Listing:
    """All of the shop's webhooks, oldest first."""
    return Listing(cases.list_webhooks(context(), caller))


@operation(room, "GET", "/webhooks/<uuid:webhook_id>", scope="admin", answer=WebhookSchema, refuses=(404,))
def read_webhook(caller: Caller, webhook_id: object) -> Webhook:
    """One webhook: how far it has come, and what failed last."""
    return show_webhook(context(), caller, str(webhook_id))


@operation(
    room, "DELETE", "/webhooks/<uuid:webhook_id>", scope="admin", headers=RetrySchema,
    answer=WebhooksSchema, refuses=(404,),
)  # fmt: skip
def delete_webhook(caller: Caller, webhook_id: object) -> Listing:
    """Close a webhook; the answer lists those that are left."""
    close_webhook(context(), caller, str(webhook_id))
    return Listing(cases.list_webhooks(context(), caller))


@operation(
    room, "POST", "/webhooks/<uuid:webhook_id>/replays", scope="admin", body=ReplaySchema, headers=RetrySchema,
    answer=WebhookSchema, refuses=(404, 409),
)  # fmt: skip
def replay_webhook(caller: Caller, asked: dict[str, Any], webhook_id: object) -> Webhook:
    """Send again what came after a cursor, at once; a disabled webhook works again."""
    return replay(context(), caller, str(webhook_id), Cursor.read(asked["after"]))
