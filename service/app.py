"""The application: the one place that joins the parts. Importing opens nothing and reads no environment."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import quote
from zoneinfo import ZoneInfo

from flask import Flask
from typing_extensions import override
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.routing import BaseConverter, ValidationError

from service.http.advice.batch import BatchSeconds
from service.http.api import join
from service.http.callers.batch_slots import BatchSlots, slots_of
from service.http.callers.rate_limits import RateLimits, Rates
from service.http.metrics import FOLDER as SHARED_FOLDER
from service.http.texts import REFERENCE, REFERENCE_LONGEST, composed
from service.papers.papers import (
    COLLECTION_SLIPS,
    CUSTOMER_SLIPS,
    DRAWINGS,
    GROUP_SHEETS,
    MADE_TO_MEASURE,
    TICKETS,
    Printer,
    ToPrint,
)
from service.papers.slips import ShopCounter
from service.papers.tickets import group_words
from service.settings import Settings
from service.tailoring.garments.charts import reference_charts
from service.traces import open_tracer
from service.use_cases.context import ServiceContext, open_context
from service.use_cases.orders.order_papers import Detail, OrderOnPaper
from service.use_cases.shop.charts import ADDRESSES


class Reference(BaseConverter):
    """A caller's own reference in a path."""

    regex = REFERENCE
    longest = REFERENCE_LONGEST
    part_isolating = False  # 2026/00123 is one: a server decodes %2F before it finds the operation

    @override
    def to_python(self, value: str) -> str:
        if len(value) > REFERENCE_LONGEST:
            raise ValidationError
        return composed(value)

    @override
    def to_url(self, value: str) -> str:
        return quote(value, safe="")


class Token(BaseConverter):
    """An unguessable token in a path."""

    regex = "[A-Za-z0-9_-]{16,64}"


class KeptCode(BaseConverter):
    """A code of kept advice in a path, as it is read out."""

    regex = "[A-Za-z2-7]{4}-?[A-Za-z2-7]{4}"


class ChartCode(BaseConverter):
    """A chart's code in a path; a word that is an address of its own is none."""

    regex = rf"(?!(?:{'|'.join(ADDRESSES)})$)[A-Za-z0-9._-]{{1,40}}"


class DayInPath(BaseConverter):
    """A day in a path, as 2026-03-02; one that no calendar has is no address."""

    regex = "[0-9]{4}-[0-9]{2}-[0-9]{2}"

    @override
    def to_python(self, value: str) -> date:
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise ValidationError from None


class Service(Flask):
    """A Flask whose views are all plain functions: to ask each step of a request whether it is takes 10 us of it."""

    @override
    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        return func


def create_app(settings: Settings | None = None, context: ServiceContext | None = None) -> Flask:
    """The service as a WSGI application; settings from the environment, and its own desk, where none is given."""
    app = Service("service", static_folder=None)
    app.url_map.merge_slashes = False  # //v1 is no address, rather than a redirect
    app.url_map.converters |= {
        "reference": Reference,
        "token": Token,
        "keptcode": KeptCode,
        "chartcode": ChartCode,
        "day": DayInPath,
    }
    settings = settings or Settings.read(os.environ)
    app.extensions["context"] = means = context or open_context(settings)
    rates = Rates(settings.key_per_minute, settings.web_per_minute, settings.address_per_minute)
    app.extensions["tracer"] = open_tracer(settings.traces_url) if settings.traces_url else None
    shared = Path(os.environ[SHARED_FOLDER]) if SHARED_FOLDER in os.environ else None
    app.extensions["rate_limits"] = RateLimits(rates, settings.limits_url, shared, now=lambda: means.now().timestamp())
    app.extensions["batch_slots"] = BatchSlots(shared, slots_of(settings.workers))
    app.extensions["batch_seconds"] = BatchSeconds()
    if settings.trusted_proxies:
        # A caller's address is what the nearest of our own proxies saw; what it was told itself is anybody's word.
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.trusted_proxies, x_proto=0)  # type: ignore[method-assign]  # Flask's own way
    papers = {"ticket": TICKETS, "customer_slip": CUSTOMER_SLIPS, "collection_slip": COLLECTION_SLIPS}
    app.extensions["papers"] = {
        name: {media: _printing(printer, settings.public_url) for media, printer in printers.items()}
        for name, printers in papers.items()
    } | {"drawing": DRAWINGS, "made_to_measure": MADE_TO_MEASURE, "group_sheet": GROUP_SHEETS}
    join(app)
    # Units and reference blocks, once a process: a first advice would wait for them for a quarter of a second.
    reference_charts()
    return app


def _printing(printer: Printer, public_url: str) -> Callable[..., bytes]:
    """A printer of papers for orders as they are filed."""

    def printed(paper: OrderOnPaper, detail: Detail = "short") -> bytes:
        filed, shop, place = paper.filed, paper.shop, paper.group
        address = f"{public_url}/v1/collection-slips/{filed.collection_token}" if public_url else None
        group = group_words(place.group_ref, place.place, place.of, filed.order.customer_ref) if place else ""
        counter = ShopCounter(shop.ready_from, shop.ask_at, shop.week.opening)
        zone = ZoneInfo(shop.time_zone)
        return printer(ToPrint(filed.order, shop.name, zone, address, counter, group, detail, paper.language))

    return printed
