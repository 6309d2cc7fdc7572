"""One caller at the other end of a connection, and what is kept for them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from service.http.wire.arrivals import Arrival

RECEIVED_AT_ONCE = 256 * 1024
# What may wait to be sent to one caller; with more, the worker waits for them, for so long.
WAITING_MOST_BYTES = 1024 * 1024
WRITE_SECONDS = 10.0
_SHUT_WRITING = 1  # socket.SHUT_WR; only `delivery` reaches out
_GO_AHEAD = b"HTTP/1.1 100 Continue\r\n\r\n"


@dataclass(frozen=True, slots=True)
class KeptBack:
    """Until when an answer is kept back, and what tells whether there is another one by now. It raises nothing."""

    until: float
    has_another: Callable[[], bool]


class Caller:
    """One connection. To the server's own code it is a socket that has all of the request, and never waits for it."""

    def __init__(self, inner: Any, address: Any, arrival: Arrival) -> None:  # noqa: ANN401  a socket, and the peer
        inner.settimeout(0)
        self.inner = inner
        self.address = address
        self.arrival = arrival
        self.number = inner.fileno()
        self.until = 0.0
        self.waiting = bytearray()
        self.unread = 0
        self.watched_for = 0
        # The answer that is made goes out later, or another in its place; once only.
        self.kept_back: KeptBack | None = None
        self.is_answered_anew = False
        self._read = 0

    @property
    def held(self) -> int:
        """Bytes that are kept for the caller."""
        return len(self.arrival.received) + len(self.waiting)

    def receive(self) -> bool:
        """Take what has come. Whether it was something: false where the caller has hung up."""
        try:
            data = self.inner.recv(RECEIVED_AT_ONCE)
        except (BlockingIOError, InterruptedError):
            return True
        self.arrival.feed(data)
        if self.arrival.waits_for_go_ahead:
            self.arrival.waits_for_go_ahead = False
            self.sendall(_GO_AHEAD)
        return bool(data)

    def recv(self, size: int) -> bytes:
        """Some bytes of the request; none when there are no more."""
        found = bytes(self.arrival.received[self._read : self._read + size])
        self._read += len(found)
        return found

    def send(self, _go_ahead: bytes) -> None:
        """What the server would send before a body is read: it was sent, or the body is there."""

    def sendall(self, data: bytes) -> None:
        """Send an answer, or some of it; what cannot go yet waits for `flush`. Raises OSError."""
        self.waiting += data
        if self.kept_back is not None:
            return
        self.flush()
        if len(self.waiting) > WAITING_MOST_BYTES:
            rest, self.waiting = self.waiting, bytearray()
            self.inner.settimeout(WRITE_SECONDS)
            try:
                self.inner.sendall(rest)
            finally:
                self.inner.settimeout(0)

    def flush(self) -> None:
        """Send of what waits as much as can go now. Raises OSError where the caller has gone."""
        try:
            while self.waiting:
                del self.waiting[: self.inner.send(self.waiting)]
        except (BlockingIOError, InterruptedError):
            pass

    def forget_answer(self) -> None:
        """Have the request answered from its beginning, and at once."""
        self.waiting.clear()
        self.kept_back, self.is_answered_anew, self._read = None, True, 0

    def leave(self) -> None:
        """Tell the caller that this was all."""
        self.arrival.received.clear()
        self.inner.shutdown(_SHUT_WRITING)

    def shutdown(self, _how: int) -> None:
        """The server's own code has done; the loop ends the connection when the answer has gone out."""

    def settimeout(self, _seconds: float | None) -> None:
        """Nothing is waited for."""

    def close(self) -> None:
        """As `shutdown`."""

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401  whatever else a socket has
        return getattr(self.inner, name)
