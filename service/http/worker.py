"""The web server's worker: what never becomes a request is refused as clearly as what does.

A request has so many seconds to arrive whole, however it dribbles in. What is wrong on the wire is answered with a
problem document. Nothing of a request gets into the log: not its address, not its headers.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import orjson
from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException
from gunicorn.workers.sync import SyncWorker
from typing_extensions import override

from service.http.guards import GUARDS
from service.http.heartbeat import WORKER
from service.http.parsing import SlowCaller
from service.http.problems import MEDIA_TYPE, refusal_document
from service.tailoring.refusals import Refusal

# Long enough for an answer to the slowest phone, short enough that a worker does not hang on one that never reads.
WRITE_SECONDS = 10.0


class TimedSocket:
    """A caller's socket whose request must have arrived in so many seconds from now. Raises SlowCaller."""

    def __init__(self, inner: Any, seconds: float) -> None:  # noqa: ANN401  a socket
        self._inner = inner
        self._until = time.monotonic() + seconds
        self._is_over = False

    def shutdown(self, how: int) -> None:
        """Say that the answer is over; what still comes in is read for no longer than the server wants to."""
        self._is_over = True
        self._inner.shutdown(how)

    def recv(self, size: int) -> bytes:
        """Some bytes of the request."""
        if self._is_over:
            return bytes(self._inner.recv(size))
        left = self._until - time.monotonic()
        if left <= 0:
            raise SlowCaller
        self._inner.settimeout(left)
        try:
            return bytes(self._inner.recv(size))
        except TimeoutError:
            raise SlowCaller from None

    def sendall(self, data: bytes) -> None:
        """Send an answer, or some of it."""
        self._inner.settimeout(WRITE_SECONDS)
        self._inner.sendall(data)

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401  whatever a socket has
        return getattr(self._inner, name)


class CarefulWorker(SyncWorker):
    """A sync worker that waits for nobody for long and says what was wrong on the wire."""

    read_seconds = 15.0
    is_ending = False
    wsgi: Callable[..., Any]

    @override
    def load_wsgi(self) -> None:
        """Let an answer that takes its time say that it is being made, and learn that the server ends."""
        super().load_wsgi()
        application = self.wsgi
        self.wsgi = lambda environ, start: application({**environ, WORKER: self}, start)

    @override
    def handle_exit(self, sig: Any, frame: Any) -> None:
        self.is_ending = True
        super().handle_exit(sig, frame)

    @override
    def handle(self, listener: Any, client: Any, addr: Any) -> None:
        super().handle(listener, TimedSocket(client, self.read_seconds), addr)

    @override
    def handle_error(self, req: Any, client: Any, addr: Any, exc: BaseException) -> None:
        refusal = refusal_of(exc)
        if refusal.code == "fault":
            self.log.error("fault in the web server", exc_info=exc)
        else:
            self.log.warning("refused on the wire", extra={"fault": [type(exc).__name__]})
        try:
            client.sendall(_written(refusal))
        except OSError:
            self.log.debug("nobody waited for the refusal")


def refusal_of(error: BaseException) -> Refusal:
    """What went wrong on the wire, as a refusal."""
    match error:
        case SlowCaller():
            return Refusal("too_slow")
        case LimitRequestLine():
            return Refusal("address_too_long")
        case LimitRequestHeaders():
            return Refusal("headers_too_large")
        case ParseException():
            return Refusal("request_wrong", words="It is no HTTP request that can be read in one way only.")
        case _:
            return Refusal("fault")


def _written(refusal: Refusal) -> bytes:
    document = refusal_document(refusal)
    body = orjson.dumps(document)
    first = f"HTTP/1.1 {document['status']} {document['title']}"
    headers = {**GUARDS, "Content-Type": MEDIA_TYPE, "Content-Length": str(len(body)), "Connection": "close"}
    head = [first, *(f"{name}: {value}" for name, value in headers.items()), "", ""]
    return "\r\n".join(head).encode("ascii") + body
