"""Every request has an id, is logged in a line, counted and timed, by its operation and never by its address.

Addresses hold customers' references and slip tokens. An id that a proxy gave is kept, so that its log and ours meet.
"""

from __future__ import annotations

import logging
import re
import time

from flask import Flask, Response, current_app, g, request

from service import logs
from service.http import metrics
from service.http.operations import context
from service.traces import Tracer

log = logging.getLogger(__name__)

HEADER = "X-Request-Id"
GIVEN = re.compile(r"[A-Za-z0-9._-]{8,64}")
# Asked every few seconds by watchmen: counted, and not logged.
QUIET = {"health.check_liveness", "health.check_readiness", "metrics.read_metrics"}


def watch(app: Flask) -> None:
    """Follow every request of the application."""
    app.before_request(_begin)
    app.after_request(_end)
    app.teardown_request(lambda _fault: logs.follow())


def _begin() -> None:
    given = request.headers.get(HEADER, "")
    g.request_id = given if GIVEN.fullmatch(given) else context().new_id()
    g.began = time.perf_counter()
    tracer: Tracer | None = current_app.extensions["tracer"]
    g.span = tracer.begin(request.headers.get("traceparent", "")) if tracer else None
    logs.follow(request_id=g.request_id)


def _end(response: Response) -> Response:
    response.headers.add(HEADER, g.request_id)
    operation = request.endpoint or "none"
    seconds = time.perf_counter() - g.began
    code = g.get("refused_with")
    metrics.count(operation, response.status_code, code, seconds)
    if g.span is not None:
        rule = request.url_rule.rule if request.url_rule else ""
        g.span.end(operation, request.method, rule, response.status_code, code, g.request_id)
    if operation not in QUIET:
        said = {
            "operation": operation,
            "method": request.method,
            "status": response.status_code,
            "milliseconds": round(1000 * seconds, 1),
        }
        log.info("answered", extra=said | ({"code": code} if code else {}))
    return response
