"""Webhooks: opened, shown, closed, and sent to again from an earlier event."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Any
from urllib.parse import SplitResult, urlsplit

from service.storage import feeds, shops, webhooks
from service.storage.database import Transaction
from service.storage.feeds import Cursor
from service.storage.webhooks import Webhook
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.events.addresses import is_public
from service.use_cases.events.events import number_after
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once

WEBHOOKS_MOST = 20


@dataclass(frozen=True, slots=True)
class WebhookAsked:
    """Where to send which types of event (all where none is named), from after which cursor (None: from now on)."""

    url: str
    types: tuple[str, ...] = ()
    after: Cursor | None = None


def open_webhook(
    context: ServiceContext,
    caller: Caller,
    asked: WebhookAsked,
    idempotent: IdempotentRequest,
    document: Callable[[Webhook], dict[str, Any]],
) -> Answer:
    """Send the shop's events there. The answer's `secret` signs them, and is given with this answer only.

    Raises Refusal `webhook_url_wrong`, `cursor_ahead`, `cursor_of_before`, `webhooks_too_many` or `key_used_otherwise`.
    """
    _check_url(asked.url, anywhere=context.webhooks_anywhere)

    def make() -> dict[str, Any]:
        shops.lock_shop(tx, caller.shop.id)
        if len(webhooks.webhooks_of(tx, caller.shop.id)) >= WEBHOOKS_MOST:
            raise Refusal("webhooks_too_many", most=WEBHOOKS_MOST)
        webhook = Webhook(
            id=context.new_id(),
            shop_id=caller.shop.id,
            url=asked.url,
            types=asked.types,
            secret=_secret(context.new_token()),
            created_at=context.now(),
            delivered_to=_number(tx, caller, asked.after),
            next_attempt_at=context.now(),
        )
        webhooks.add_webhook(tx, webhook)
        return document(_webhook_of(tx, caller, webhook.id))

    with context.database.writing() as tx:
        answer = answer_once(tx, caller.shop.id, idempotent, context.now(), make)
        # Kept beside the key of the request is the answer without its secret.
        opened = webhooks.find_webhook(tx, caller.shop.id, answer.document["id"])
    return Answer(answer.document | {"secret": opened.secret if opened else None}, answer.repeated)


def list_webhooks(context: ServiceContext, caller: Caller) -> tuple[Webhook, ...]:
    """All of the shop's, oldest first."""
    with context.database.reading() as tx:
        return webhooks.webhooks_of(tx, caller.shop.id)


def show_webhook(context: ServiceContext, caller: Caller, webhook_id: str) -> Webhook:
    """One of them. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        return _webhook_of(tx, caller, webhook_id)


def close_webhook(context: ServiceContext, caller: Caller, webhook_id: str) -> None:
    """Send nothing there any more, and forget its secret. Raises Refusal `not_found`."""
    with context.database.writing() as tx:
        if not webhooks.remove_webhook(tx, caller.shop.id, webhook_id):
            raise Refusal("not_found")


def replay(context: ServiceContext, caller: Caller, webhook_id: str, after: Cursor) -> Webhook:
    """Send again what comes after a cursor; a webhook that was disabled is tried again.

    Raises Refusal `not_found`, `cursor_ahead` or `cursor_of_before`.
    """
    with context.database.writing() as tx:
        known = _webhook_of(tx, caller, webhook_id)
        webhooks.start_again(tx, known.id, _number(tx, caller, after), context.now())
        return _webhook_of(tx, caller, webhook_id)


def _secret(token: str) -> str:
    """A secret as Standard Webhooks writes them: the key is the token's own bytes."""
    return f"whsec_{b64encode(token.encode()).decode()}"


def _number(tx: Transaction, caller: Caller, after: Cursor | None) -> int:
    feed = feeds.feed_of(tx, caller.shop.id)
    return feed.last if after is None else number_after(feed, after)


def _webhook_of(tx: Transaction, caller: Caller, webhook_id: str) -> Webhook:
    found = webhooks.find_webhook(tx, caller.shop.id, webhook_id)
    if found is None:
        raise Refusal("not_found")
    return found


def _check_url(url: str, *, anywhere: bool) -> None:
    """A first look, so that a caller learns of a slip at once; whoever sends checks every address again."""
    parts = _parts(url)
    if parts is None:
        right = "as https://shop.example/events, without a password"
    elif anywhere:
        return
    elif parts.scheme != "https":
        right = "https"
    elif not _may_be_public(parts.hostname or ""):
        right = "a public address"
    else:
        return
    raise Refusal("webhook_url_wrong", ("url",), right=right)


def _parts(url: str) -> SplitResult | None:
    """The parts of an address that can be sent to: host and perhaps port, no name or password, no fragment."""
    try:
        parts = urlsplit(url)
        whole = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        return None
    plain = url.isascii() and " " not in url and "\\" not in url
    return parts if whole and plain and "@" not in parts.netloc and not parts.fragment else None


def _may_be_public(host: str) -> bool:
    """Whether a host may have a public address; a name is looked up when it is sent to."""
    try:
        ip_address(host.partition("%")[0])
    except ValueError:
        return "." in host.rstrip(".") and not host.rstrip(".").endswith((".localhost", ".local", ".internal"))
    return is_public(host)
