"""The web server's worker: what never becomes a request is refused as clearly as what does.

A request has so many seconds to arrive whole, however it dribbles in. What is wrong on the wire is answered with a
problem document. Nothing of a request gets into the log: not its address, not its headers.
"""

from __future__ import annotations

import os
import resource
import time
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, cast

import orjson
from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException
from gunicorn.workers.sync import SyncWorker
from typing_extensions import override

from service.http.guards import GUARDS
from service.http.heartbeat import WORKER
from service.http.parsing import SlowCaller
from service.http.problems import MEDIA_TYPE, refusal_document
from service.http.wire.arrivals import Arrival
from service.http.wire.caller import Caller, KeptBack
from service.http.wire.connections import Connections
from service.starting import made_to_last
from service.tailoring.refusals import Refusal
from service.tongues.tags import BRITISH

if TYPE_CHECKING:
    from flask import Flask

# Less than the server waits for a sign of life.
BEAT_SECONDS = 1.0

# How many may be connected to one worker: more are no shop's callers, and each costs a file number.
CONNECTIONS_MOST = 500
# The service's files and connections to its database.
FILES_KEPT = 100


class CarefulWorker(SyncWorker):
    """Answers one request at a time, as gunicorn's sync worker does, and waits for all callers at once."""

    read_seconds = 15.0
    is_ending = False
    wsgi: Callable[..., Any]

    @override
    def load_wsgi(self) -> None:
        """Let an answer that takes its time say that it is being made, and learn that the server ends."""
        with made_to_last():
            super().load_wsgi()
        application = self.wsgi
        self._know_longest_bodies(cast("Flask", application))
        self.wsgi = lambda environ, start: application({**environ, WORKER: self}, start)

    def keep_back(self, connection: object, seconds: float, has_another: Callable[[], bool]) -> None:
        """Let an answer that is being made wait, once: what is made anew goes out as it is."""
        if isinstance(connection, Caller) and not connection.is_answered_anew and self.alive and not self.is_ending:
            connection.kept_back = KeptBack(time.monotonic() + seconds, partial(self._surely, has_another))

    def _surely(self, has_another: Callable[[], bool]) -> bool:
        self.notify()
        try:
            return has_another()
        except Exception:
            # Whoever asks anew is told what is wrong.
            self.log.exception("fault in looking for another answer")
            return True

    @override
    def handle_exit(self, sig: Any, frame: Any) -> None:
        self.is_ending = True
        super().handle_exit(sig, frame)

    @override
    def run(self) -> None:
        connections = Connections(self._answer, self._refuse, self.read_seconds, _connections_most())
        for listener in self.sockets:
            listener.settimeout(0)
            connections.listen(listener, partial(self._accept, listener, connections))
        # What wakes the loop when a signal came.
        connections.listen(self.PIPE[0], partial(os.read, self.PIPE[0], 4096))
        while self.alive and self.is_parent_alive():
            self.notify()
            connections.turn(BEAT_SECONDS)
        for listener in self.sockets:
            connections.unlisten(listener)
            # Left open, it would go on taking callers whom nobody will answer.
            listener.close()
        connections.dismiss_idle()
        until = time.monotonic() + self.cfg.graceful_timeout
        while len(connections) and time.monotonic() < until:
            self.notify()
            connections.turn(min(BEAT_SECONDS, until - time.monotonic()))
        connections.close()

    def _accept(self, listener: Any, connections: Connections) -> None:  # noqa: ANN401  a socket
        try:
            inner, address = listener.accept()
        except (BlockingIOError, InterruptedError, ConnectionAbortedError):
            return
        connections.welcome(Caller(inner, address, Arrival(self._longest_body)))

    def _know_longest_bodies(self, application: Flask) -> None:
        # Longer bodies than others are taken at few addresses; only there are they waited for.
        self._body_most: dict[str, int] = {
            rule.rule: most
            for rule in application.url_map.iter_rules()
            if (most := getattr(application.view_functions[rule.endpoint], "body_most", None))
        }
        self._body_most_elsewhere: int = application.config["MAX_CONTENT_LENGTH"]

    def _longest_body(self, address: bytes) -> int:
        return self._body_most.get(address.decode("latin-1"), self._body_most_elsewhere)

    def _answer(self, caller: Caller) -> None:
        self.notify()
        # Of the listener only its name is asked for, and the connection has that too.
        self.handle(caller, caller, caller.address)

    def _refuse(self, caller: Caller) -> None:
        self.handle_error(None, caller, caller.address, SlowCaller())

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
            return Refusal("request_wrong", words="The request can be read in more than one way.")
        case _:
            return Refusal("fault")


def _connections_most() -> int:
    """As many as there are file numbers for."""
    files, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return CONNECTIONS_MOST if files == resource.RLIM_INFINITY else max(1, min(CONNECTIONS_MOST, files - FILES_KEPT))


def _written(refusal: Refusal) -> bytes:
    document = refusal_document(refusal)
    body = orjson.dumps(document)
    first = f"HTTP/1.1 {document['status']} {document['title']}"
    headers = {
        **GUARDS,
        "Content-Type": MEDIA_TYPE,
        "Content-Language": BRITISH,
        "Content-Length": str(len(body)),
        "Connection": "close",
    }
    head = [first, *(f"{name}: {value}" for name, value in headers.items()), "", ""]
    return "\r\n".join(head).encode("ascii") + body
