"""The relay: takes events to webhooks, each shop's in the order of its feed, each at least once.

A webhook is told of one event after the other, and of none before the one before it was taken. What is told twice
(after a crash, or by a replay) has the same `webhook-id`. Any number of relays may run.

One relay sends to several webhooks side by side, each in a lane of its own. Shops take turns, and a webhook keeps a
lane for so many seconds. Slow receivers have lanes apart, and one that turns out to be slow is counted among them
soon: no shop waits for another's.
"""

from __future__ import annotations

import logging
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from datetime import timedelta
from threading import Event
from time import monotonic

import orjson
from standardwebhooks import Webhook as Signer

from service.delivery.posting import NotSent, Poster
from service.delivery.retries import wait_after, waits
from service.storage.database import DatabaseUnavailable
from service.storage.events import FiledEvent
from service.storage.webhooks import SLOW_MS, Webhook
from service.use_cases.context import ServiceContext
from service.use_cases.events.deliveries import Due, claim_next, note_delivered, note_done, note_failed, put_back
from service.use_cases.events.events import envelope
from service.use_cases.orders.waiting import remind_of_waiting

log = logging.getLogger(__name__)

CONTENT_TYPE = "application/cloudevents+json; charset=utf-8"
GONE = 410
LANES = 16
# All lanes together, by those of one kind: receivers that were quick till now and do not answer may fill the rest.
ALL_TIMES = 4
# Lanes that are free again at nearly the same moment are given to the next ones together: one question for all.
TOGETHER_SECONDS = 0.02
# After so long another webhook has its turn in the lane; what has begun is finished.
TURN_SECONDS = 2.0
# A claim outlives the longest exchange, so that no two relays send to one webhook.
CLAIM_TIMES = 2
# So often orders that wait for their customers are looked for: what counts for them are days.
REMIND_SECONDS = 600.0


@dataclass(frozen=True, slots=True)
class _Lane:
    """A lane in use: whether its receiver was slow before, and from when on it is, if it is still sent to."""

    was_slow: bool
    slow_from: float

    @property
    def is_slow(self) -> bool:
        return self.was_slow or monotonic() > self.slow_from


@dataclass(frozen=True, slots=True)
class Relay:
    """One relay: its means, how it posts, what tells it to stop, and its lanes.

    It sends to `lanes` webhooks with quick receivers at once, to as many with slow ones, and to `ALL_TIMES` as many
    together.
    """

    context: ServiceContext
    poster: Poster
    stop: Event
    lanes: int = LANES
    turn_seconds: float = TURN_SECONDS

    def run(self, idle_seconds: float = 1.0) -> None:
        """Deliver until told to stop; what is in hand is finished."""
        busy: dict[Future[None], _Lane] = {}
        remind_at = monotonic()
        with ThreadPoolExecutor(ALL_TIMES * self.lanes, "lane") as pool:
            while not self.stop.is_set():
                busy = {future: lane for future, lane in busy.items() if not future.done()}
                for due in self._taken(list(busy.values())):
                    busy[pool.submit(self._deliver, due)] = _Lane(
                        due.webhook.is_slow, monotonic() + self.turn_seconds + SLOW_MS / 1000
                    )
                if monotonic() >= remind_at:
                    self.remind()
                    remind_at = monotonic() + REMIND_SECONDS
                # New events are looked for while lanes are busy, too.
                wait(busy, idle_seconds, FIRST_COMPLETED) if busy else self.stop.wait(idle_seconds)
                self.stop.wait(TOGETHER_SECONDS)

    def remind(self) -> None:
        """Say which orders wait for their customers: no request comes of what does not happen."""
        try:
            remind_of_waiting(self.context)
        except DatabaseUnavailable as away:
            log.warning("database away", exc_info=away)

    def deliver_next(self) -> bool:
        """Take what is due to the webhook whose turn it is; False where nothing is due."""
        taken = self._claimed(1, 0) or self._claimed(0, 1)
        for due in taken:
            self._deliver(due)
        return bool(taken)

    def _taken(self, busy: list[_Lane]) -> tuple[Due, ...]:
        slow = sum(lane.is_slow for lane in busy)
        left = ALL_TIMES * self.lanes - len(busy)
        quick_most = min(left, self.lanes - (len(busy) - slow))
        try:
            return self._claimed(quick_most, min(left - quick_most, self.lanes - slow))
        except DatabaseUnavailable as away:
            log.warning("database away", exc_info=away)
            return ()

    def _claimed(self, quick_most: int, slow_most: int) -> tuple[Due, ...]:
        return claim_next(self.context, self._held, waits(), quick_most, slow_most)

    def _deliver(self, due: Due) -> None:
        """Send to one webhook for as long as its turn lasts. Whatever goes wrong, no other webhook hears of it."""
        try:
            self._send(due)
        except DatabaseUnavailable as away:
            # The claim runs out, and what was told without a note of it is told again.
            log.warning("database away", exc_info=away)

    def _send(self, due: Due) -> None:
        if not due.events:
            # Behind by numbers that no event has: there is nothing to tell, and it would be due for ever.
            note_done(self.context, due, due.last, None)
            return
        ends_at = monotonic() + self.turn_seconds
        failures = due.webhook.failures
        for event in due.events:
            if self.stop.is_set():
                break
            is_last = event is due.events[-1]
            wanted = not due.webhook.types or event.said.type in due.webhook.types
            if not wanted and not is_last:
                continue  # noted with the next one that is wanted
            began = monotonic()
            if wanted and not self._deliver_one(due, event, failures):
                return
            failures = 0
            took_ms = int(1000 * (monotonic() - began)) if wanted else None
            if is_last or self.stop.is_set() or monotonic() >= ends_at:
                note_done(self.context, due, event.number, took_ms)
                return
            if not note_delivered(self.context, due, event.number, took_ms, self._held):
                log.warning("the webhook is another relay's now", extra={"webhook": due.webhook.id})
                return
        put_back(self.context, due)

    def _deliver_one(self, due: Due, event: FiledEvent, failures: int) -> bool:
        """Whether the webhook took the event; if not, that is noted as one more failure."""
        gone = False
        try:
            status = self.poster.post(due.webhook.url, *self._letter(due.webhook, event))
        except NotSent as fault:
            why = str(fault)
        except Exception as fault:
            log.error("fault", exc_info=fault, extra={"webhook": due.webhook.id})  # noqa: TRY400
            why = "internal error"
        else:
            if 200 <= status <= 299:  # noqa: PLR2004  what counts as taken
                return True
            why, gone = f"it answered {status}", status == GONE
        wait_for = None if gone else wait_after(failures + 1)
        note_failed(self.context, due, why, wait_for)
        again = {"again_seconds": wait_for.total_seconds()} if wait_for else {}
        log.warning("not taken" if wait_for else "disabled", extra={"webhook": due.webhook.id, "why": why, **again})
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
