"""Traces by OpenTelemetry, where the operator names a collector. Imports nothing of ours.

A request is a span, named by its operation; it carries on the trace of whoever sent a `traceparent` (W3C Trace
Context). Its facts are those of the log: addresses and bodies are none of them.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from opentelemetry import trace
    from opentelemetry.sdk.trace import TracerProvider

FAULTS_FROM = 500


class TracesMissing(Exception):
    """A collector is named, and the packages that would send to it are not installed."""


@dataclass(frozen=True, slots=True)
class Span:
    """A request that is being answered."""

    _span: trace.Span

    def end(self, operation: str, method: str, rule: str, status: int, code: str | None, request_id: str) -> None:
        """It was answered; `rule` is the address with its parts by name."""
        from opentelemetry.trace import StatusCode  # noqa: PLC0415  as in open_tracer

        self._span.update_name(operation)
        self._span.set_attributes(
            {
                "http.request.method": method,
                "http.route": rule,
                "http.response.status_code": status,
                "fitting.request_id": request_id,
                **({"error.type": code} if code else {}),
            }
        )
        if status >= FAULTS_FROM:
            self._span.set_status(StatusCode.ERROR)
        self._span.end()


@dataclass(frozen=True, slots=True)
class Tracer:
    """Begins spans, and sends them in batches from a thread of its own; one that cannot be sent is dropped."""

    _provider: TracerProvider

    def begin(self, traceparent: str) -> Span:
        """A request came in, perhaps as a part of somebody's trace."""
        from opentelemetry.trace import SpanKind  # noqa: PLC0415
        from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator  # noqa: PLC0415

        around = TraceContextTextMapPropagator().extract({"traceparent": traceparent})
        tracer = self._provider.get_tracer("fitting")
        return Span(tracer.start_span("request", context=around, kind=SpanKind.SERVER))

    def flush(self) -> None:
        """Send what has not been sent yet."""
        self._provider.force_flush()

    def close(self) -> None:
        """Send what can be sent at once, and let go of the thread."""
        self._provider.shutdown()


def check_installed() -> None:
    """Raises TracesMissing where the packages of the extra are not there."""
    try:
        importlib.import_module("opentelemetry.exporter.otlp.proto.http.trace_exporter")
    except ImportError as missing:
        raise TracesMissing("FITTING_TRACES_URL needs the extra packages: pip install '.[traces]'") from missing


def open_tracer(url: str) -> Tracer:
    """A tracer that sends to an OTLP collector by HTTP. Raises TracesMissing."""
    check_installed()
    # Here and not above: the packages are an extra, and whoever names no collector does without them.
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter  # noqa: PLC0415
    from opentelemetry.sdk.resources import Resource  # noqa: PLC0415
    from opentelemetry.sdk.trace import TracerProvider  # noqa: PLC0415
    from opentelemetry.sdk.trace.export import BatchSpanProcessor  # noqa: PLC0415

    sender = OTLPSpanExporter(endpoint=f"{url.rstrip('/')}/v1/traces", timeout=5)
    provider = TracerProvider(resource=Resource({"service.name": "fitting"}))
    provider.add_span_processor(BatchSpanProcessor(sender))
    return Tracer(provider)
