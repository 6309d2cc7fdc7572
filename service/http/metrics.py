"""What the service counts for its watchmen, in Prometheus' text format: nothing of a person, no label without bounds.

Under gunicorn each worker counts in files of its own, and whichever is asked adds all of them up (gunicorn.conf.py
names the folder). What stands in the database is read there, once for all workers of all machines.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from flask import Response
from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector
from typing_extensions import override

from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.storage.database import DatabaseUnavailable
from service.use_cases.context import ServiceContext
from service.use_cases.figures import Figures, figures

log = logging.getLogger(__name__)
room = StrictBlueprint("metrics", __name__, description="For load balancers and monitoring")

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
MEDIA = "text/plain"
# An answer takes milliseconds; what takes a second is a batch or a fault.
SECONDS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0)

own = CollectorRegistry()
answers = Counter("fitting_answers", "Answers by operation and status", ("operation", "status"), registry=own)
refusals = Counter("fitting_refusals", "Refusals by code", ("code",), registry=own)
seconds = Histogram(
    "fitting_answer_seconds", "Time to answer, by operation", ("operation",), buckets=SECONDS, registry=own
)
advice = Counter("fitting_advice", "Customers advised, one by one and in batches", registry=own)
orders = Counter("fitting_orders_placed", "Orders placed; a repeated request places none", registry=own)
booked = Counter("fitting_booked_minutes", "Minutes booked at the benches by the orders placed", registry=own)


@contextmanager
def _counting() -> Iterator[None]:
    """What cannot be counted is answered all the same: an order that is placed is no fault because a file is gone.

    A file that could not grow once is left with a size that the library then writes beyond.
    """
    try:
        yield
    except (OSError, ValueError, IndexError) as error:
        log.warning("not counted", exc_info=error)


def count(name: str, status: int, code: str | None, took_seconds: float) -> None:
    """Count an answer to an operation."""
    with _counting():
        answers.labels(name, str(status)).inc()
        seconds.labels(name).observe(took_seconds)
        if code is not None:
            refusals.labels(code).inc()


def count_advice(men: int = 1) -> None:
    """Count men who were advised."""
    with _counting():
        advice.inc(men)


def count_order(minutes: int) -> None:
    """Count an order that was placed, and its minutes."""
    with _counting():
        orders.inc()
        booked.inc(minutes)


@operation(
    room, "GET", "/metrics", scope=None, answer={"type": "string"}, media=MEDIA, counted=False,
)  # fmt: skip
def read_metrics() -> Response:
    """Counts and times of all workers, and what waits in the database."""
    registry = CollectorRegistry()
    folder = os.environ.get(FOLDER)
    if folder is None:
        registry.register(own)
    elif Path(folder).is_dir():  # where it was cleared away, what is in the database is told all the same
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call]  # it has no types
    registry.register(_InDatabase(context()))
    return Response(generate_latest(registry), content_type=f"{MEDIA}; version=0.0.4; charset=utf-8")


class _InDatabase(Collector):
    """What stands in the database now; that it is away is a figure too."""

    def __init__(self, means: ServiceContext) -> None:
        self._desk = means

    @override
    def collect(self) -> Iterator[GaugeMetricFamily]:
        try:
            found = figures(self._desk)
        except DatabaseUnavailable:
            yield GaugeMetricFamily("fitting_database_up", "Whether the database answers", 0)
            return
        yield GaugeMetricFamily("fitting_database_up", "Whether the database answers", 1)
        yield from _gauges(found)


def _gauges(found: Figures) -> Iterator[GaugeMetricFamily]:
    waiting = "Events that working webhooks have still to be sent"
    yield GaugeMetricFamily("fitting_relay_waiting_events", waiting, found.waiting_events)
    lag = "Age of the oldest of them; grows where no relay runs or a receiver fails"
    yield GaugeMetricFamily("fitting_relay_lag_seconds", lag, found.relay_lag_seconds)
    disabled = "Webhooks that are sent nothing any more, because they failed for too long"
    yield GaugeMetricFamily("fitting_webhooks_disabled", disabled, found.webhooks_disabled)
