"""Callers' connections, all in one loop: many are waited for at once, and none is waited for by the worker.

A caller arrives, is answered, and leaves. A request is answered when it is there whole; what does not fit into the
network at once is sent on while others are answered. Each has so many seconds, and where there are too many, or they
hold too much, whoever was waited for longest or holds most goes first.
"""

from __future__ import annotations

import selectors
import time
from collections.abc import Callable
from typing import Any

from service.http.wire.caller import RECEIVED_AT_ONCE, Caller

# How long an answer may take to be read, and how long a caller may take to hang up after it.
SEND_SECONDS = 30.0
LEAVE_SECONDS = 2.0
# An answer that may wait: how often it is looked whether there is another, which costs a statement each time; and how
# many may be kept back at once. More go out as they are.
LOOK_SECONDS = 0.5
KEPT_BACK_MOST = 100
# What all may hold together, received or not yet sent; who holds less than so much is not asked to hold less.
HELD_MOST_BYTES = 64 * 1024 * 1024
LARGE_BYTES = 64 * 1024
# What a caller may send on after the answer.
UNREAD_MOST_BYTES = 1024 * 1024


class Connections:
    """Everybody who is connected. `answer` answers a request that is whole, `refuse` one that took too long.

    Neither raises anything: who has gone is answered all the same.
    """

    def __init__(
        self, answer: Callable[[Caller], None], refuse: Callable[[Caller], None], read_seconds: float, most: int
    ) -> None:
        self._answer = answer
        self._refuse = refuse
        self._read_seconds = read_seconds
        self._most = most
        self._selector = selectors.DefaultSelector()
        # In each, whoever must be done first comes first.
        self._arriving: dict[int, Caller] = {}
        self._later: dict[int, Caller] = {}
        self._sending: dict[int, Caller] = {}
        self._leaving: dict[int, Caller] = {}

    def listen(self, source: Any, ready: Callable[[], object]) -> None:  # noqa: ANN401  a socket or a pipe
        """Call `ready` in each turn in which there is something to be taken from the source."""
        self._selector.register(source, selectors.EVENT_READ, ready)

    def unlisten(self, source: Any) -> None:  # noqa: ANN401
        """Take nothing more from it."""
        self._selector.unregister(source)

    def __len__(self) -> int:
        return sum(len(room) for room in self._rooms())

    def welcome(self, caller: Caller) -> None:
        """Somebody new. Who has sent all already, as most have, is answered at once."""
        caller.until = time.monotonic() + self._read_seconds
        self._arriving[caller.number] = caller
        self._make_room()
        self._arrives(caller)

    def turn(self, seconds: float) -> None:
        """Wait so long for whatever happens, see to it, and let go of whoever had their time."""
        now = time.monotonic()
        firsts = [next(iter(each.values())).until for each in self._rooms() if each]
        for key, _ in self._selector.select(max(0.0, min([seconds, *(until - now for until in firsts)]))):
            if isinstance(key.data, Caller):
                self._see_to(key.data)
            else:
                key.data()
        # By the time before the wait: what came by then was seen to, however long that took.
        self._end_all_until(now)

    def dismiss_idle(self) -> None:
        """Let go of whoever has sent nothing yet; what was kept back goes out."""
        for caller in list(self._later.values()):
            self._end(caller)
        for caller in [each for each in self._arriving.values() if not each.arrival.received]:
            self._forget(caller)

    def close(self) -> None:
        """Let go of all."""
        for room in self._rooms():
            for caller in list(room.values()):
                self._forget(caller)
        self._selector.close()

    def _rooms(self) -> tuple[dict[int, Caller], ...]:
        return self._arriving, self._later, self._sending, self._leaving

    def _see_to(self, caller: Caller) -> None:
        # Who was let go of in this very turn is in none.
        ways = (self._arrives, self._hangs_up, self._goes_out, self._hangs_up)
        for room, seen_to in zip(self._rooms(), ways, strict=True):
            if room.get(caller.number) is caller:
                seen_to(caller)
                return

    def _arrives(self, caller: Caller) -> None:
        try:
            is_there = caller.receive()
        except OSError:
            self._forget(caller)
            return
        if not is_there and not caller.arrival.received:
            self._forget(caller)
        elif caller.arrival.whole:
            self._answer(caller)
            self._answered(caller)
        else:
            self._watch(caller, selectors.EVENT_READ)
            self._hold_less(caller)

    def _answered(self, caller: Caller) -> None:
        del self._arriving[caller.number]
        if caller.kept_back is not None and len(self._later) < KEPT_BACK_MOST:
            self._wait(caller)
        else:
            self._send(caller)

    def _wait(self, caller: Caller) -> None:
        caller.until = time.monotonic() + LOOK_SECONDS
        self._later[caller.number] = caller
        self._watch(caller, selectors.EVENT_READ)

    def _look(self, caller: Caller) -> None:
        """Whoever waits is answered anew where there is another answer, and as they were where their time is over."""
        kept = self._later.pop(caller.number).kept_back
        if kept is not None and kept.has_another():
            caller.forget_answer()
            self._arriving[caller.number] = caller
            self._answer(caller)
            self._answered(caller)
        elif kept is not None and time.monotonic() < kept.until:
            self._wait(caller)
        else:
            self._send(caller)

    def _send(self, caller: Caller) -> None:
        caller.kept_back = None
        caller.arrival.received.clear()
        caller.until = time.monotonic() + SEND_SECONDS
        self._sending[caller.number] = caller
        self._goes_out(caller)

    def _goes_out(self, caller: Caller) -> None:
        try:
            caller.flush()
            if caller.waiting:
                self._watch(caller, selectors.EVENT_WRITE)
                self._hold_less(caller)
                return
            caller.leave()
        except OSError:
            self._forget(caller)
            return
        del self._sending[caller.number]
        # A connection closed while the caller still sends would take the answer along: they hang up first.
        caller.until = time.monotonic() + LEAVE_SECONDS
        self._leaving[caller.number] = caller
        self._watch(caller, selectors.EVENT_READ)

    def _hangs_up(self, caller: Caller) -> None:
        try:
            unread = len(caller.inner.recv(RECEIVED_AT_ONCE))
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            unread = 0
        caller.unread += unread
        if not unread or caller.unread > UNREAD_MOST_BYTES:
            self._forget(caller)

    def _end_all_until(self, now: float) -> None:
        for room in self._rooms():
            while room and (first := next(iter(room.values()))).until <= now:
                (self._look if room is self._later else self._end)(first)

    def _end(self, caller: Caller) -> None:
        if self._later.pop(caller.number, None) is caller:
            self._send(caller)
        elif self._arriving.get(caller.number) is caller:
            self._refuse(caller)
            self._answered(caller)
        else:
            self._forget(caller)

    def _make_room(self) -> None:
        while len(self) > self._most:
            self._end(next(iter((self._leaving or self._later or self._arriving or self._sending).values())))

    def _hold_less(self, caller: Caller) -> None:
        if caller.held < LARGE_BYTES:
            return
        callers = [each for room in self._rooms() for each in room.values()]
        if sum(each.held for each in callers) > HELD_MOST_BYTES:
            self._end(max(callers, key=lambda each: each.held))

    def _watch(self, caller: Caller, events: int) -> None:
        if caller.watched_for == 0:
            self._selector.register(caller.inner, events, caller)
        elif caller.watched_for != events:
            self._selector.modify(caller.inner, events, caller)
        caller.watched_for = events

    def _forget(self, caller: Caller) -> None:
        for room in self._rooms():
            if room.get(caller.number) is caller:
                del room[caller.number]
        if caller.watched_for:
            self._selector.unregister(caller.inner)
            caller.watched_for = 0
        caller.inner.close()
