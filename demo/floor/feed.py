"""Follows the shop's events once for all tablets, and hands them on as server-sent events.

While a tablet listens, one follower here asks for what is new, from the cursor that it was given, and lets the answer
wait until there is something. Work that is begun or paused is no event of the feed: `stir` says that something was
changed from here, so that other tablets look again.
"""

# ruff: noqa: INP001  a module of the demo, beside its script

from __future__ import annotations

import contextlib
import json
import threading
import time
from collections.abc import Callable, Iterator
from urllib.parse import quote

import urllib3

WAIT_SECONDS = 20
# No sooner than that is it asked again where nothing was new: an answer may come before its time.
EVERY_SECONDS = 1.0
HEARTBEAT_SECONDS = 10.0
KEPT = 200


class Feed:
    """What happened, by a number of its own; a tablet that lost the line asks on after the last number."""

    def __init__(self, base_url: str, key: str, pool: urllib3.PoolManager) -> None:
        self._base_url, self._key, self._pool = base_url, key, pool
        self._news = threading.Condition()
        self._said: list[tuple[int, str]] = []
        self._number = 0
        self._listening = 0
        self._cursor: str | None = None
        self._follower: threading.Thread | None = None

    def stir(self) -> None:
        """Say that something was changed from here, and look for events at once."""
        self._say({"kind": "changed_here"})

    def lines(self, is_open: Callable[[], bool]) -> Iterator[str]:
        """Server-sent events for one tablet, until it leaves or is locked."""
        with self._news:
            at = self._number
            self._listening += 1
            if self._follower is None or not self._follower.is_alive():
                self._follower = threading.Thread(target=self._follow, daemon=True)
                self._follower.start()
        try:
            yield "retry: 1000\n\n"
            while is_open():
                with self._news:
                    if self._number == at:
                        self._news.wait(HEARTBEAT_SECONDS)
                    new, at = [said for number, said in self._said if number > at], self._number
                yield "".join(f"data: {said}\n\n" for said in new) or ": here\n\n"
            yield 'data: {"kind": "locked"}\n\n'
        finally:
            with self._news:
                self._listening -= 1

    def _say(self, what: dict[str, object]) -> None:
        with self._news:
            self._number += 1
            self._said = [*self._said, (self._number, json.dumps(what))][-KEPT:]
            self._news.notify_all()

    def _follow(self) -> None:
        """Read the feed on for as long as somebody listens."""
        while True:
            with self._news:
                if not self._listening:
                    self._follower = None
                    return
            began = time.monotonic()
            # With the line down, the next round tries again, from the same cursor.
            with contextlib.suppress(urllib3.exceptions.HTTPError, ValueError, KeyError):
                self._read_on()
            time.sleep(max(0.0, began + EVERY_SECONDS - time.monotonic()))

    def _read_on(self) -> None:
        first = self._cursor is None
        while True:
            after, wait = quote(self._cursor or "0", safe=""), 0 if first else WAIT_SECONDS
            answer = self._pool.request(
                "GET",
                f"{self._base_url}/v1/events?after={after}&limit=100&wait={wait}",
                headers={"Authorization": f"Bearer {self._key}"},
                timeout=wait + 10.0,
            )
            if answer.status != 200:  # noqa: PLR2004
                # A cursor that the service no longer knows: it was restored. Begin at its beginning.
                self._cursor = None if answer.status in (404, 409, 410, 422) else self._cursor
                return
            page = answer.json()
            self._cursor = page["after"]
            if not page["events"]:
                break
            for event in page["events"] if not first else []:
                self._say({"kind": "event", "type": event["type"], **event["data"]})
        if first:
            # What happened before nobody was told: look at all of it.
            self._say({"kind": "began"})
