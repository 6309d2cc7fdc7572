"""The relay: takes events to webhooks, each shop's in the order of its feed, each at least once.

A webhook is told of one event after the other, and of none before the one before it was taken. What is told twice
(after a crash, or by a replay) has the same `webhook-id`. Any number of relays may run.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import timedelta
from threading import Event

import orjson
from standardwebhooks import Webhook as Signer

from service.delivery.posting import NotSent, Poster
from service.delivery.retries import wait_after
from service.storage.database import DatabaseUnavailable
from service.storage.events import FiledEvent
from service.storage.webhooks import Webhook
from service.use_cases.context import ServiceContext
from service.use_cases.events.deliveries import Due, claim_next, note_delivered, note_failed, put_back
from service.use_cases.events.events import envelope

log = logging.getLogger(__name__)

CONTENT_TYPE = "application/cloudevents+json; charset=utf-8"
GONE = 410
# A claim outlives the longest exchange, so that no two relays send to one webhook.
CLAIM_TIMES = 2


@dataclass(frozen=True, slots=True)
class Relay:
    """One relay: its means, how it posts, and what tells it to stop."""

    context: ServiceContext
    poster: Poster
    stop: Event

    def run(self, idle_seconds: float = 1.0) -> None:
        """Deliver until told to stop; what is in hand is finished."""
        while not self.stop.is_set():
            try:
                busy = self.deliver_next()
            except DatabaseUnavailable as away:
                log.warning("database away", exc_info=away)
                busy = False
            if not busy:
                self.stop.wait(idle_seconds)

    def deliver_next(self) -> bool:
        """Take what is due to the webhook that waited longest; False where nothing is due."""
        due = claim_next(self.context, self._held)
        if due is None:
            return False
        failures = due.webhook.failures
        for event in due.events:
            if self.stop.is_set():
                break
            wanted = not due.webhook.types or event.said.type in due.webhook.types
            if not wanted and event is not due.events[-1]:
                continue  # noted with the next one that is wanted
            if wanted and not self._told(due, event, failures):
                return True
            failures = 0
            if not note_delivered(self.context, due, event.number, self._held):
                log.warning("the webhook is another relay's now", extra={"webhook": due.webhook.id})
                return True
        put_back(self.context, due)
        return True

    def _told(self, due: Due, event: FiledEvent, failures: int) -> bool:
        """Whether the webhook took the event; if not, that is noted as one more failure."""
        try:
            status = self.poster.post(due.webhook.url, *self._letter(due.webhook, event))
        except NotSent as fault:
            why, gone = str(fault), False
        else:
            if 200 <= status <= 299:  # noqa: PLR2004  what counts as taken
                return True
            why, gone = f"it answered {status}", status == GONE
        wait = None if gone else wait_after(failures + 1)
        note_failed(self.context, due, why, wait)
        again = {"again_seconds": wait.total_seconds()} if wait else {}
        log.warning("not taken" if wait else "disabled", extra={"webhook": due.webhook.id, "why": why, **again})
        return False

    def _letter(self, webhook: Webhook, event: FiledEvent) -> tuple[dict[str, str], bytes]:
        document = envelope(event)
        body = orjson.dumps(document)
        now = self.context.now()
        headers = {
            "Content-Type": CONTENT_TYPE,
            "User-Agent": "fitting-service",
            "webhook-id": document["id"],
            "webhook-timestamp": str(int(now.timestamp())),
            "webhook-signature": Signer(webhook.secret).sign(document["id"], now, body.decode()),
        }
        return headers, body

    @property
    def _held(self) -> timedelta:
        return timedelta(seconds=CLAIM_TIMES * self.poster.seconds)
