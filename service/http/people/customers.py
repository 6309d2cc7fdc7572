"""A customer's own data over HTTP: given to him whole, erased whole."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import asdict
from itertools import chain
from typing import Any

from flask import Response, current_app, request, stream_with_context
from marshmallow import fields

from service.http.callers.headers import RetrySchema
from service.http.fitting.fit_checks import FitCheckSchema, fit_check_document
from service.http.heartbeat import beat
from service.http.operations import context, operation
from service.http.orders.answers.order_answers import ORDER, OrderSchema
from service.http.orders.outcomes import OutcomeSchema
from service.http.parsing import StrictBlueprint
from service.http.people.disclosures import DisclosureSchema
from service.http.people.measurement_sets import MeasurementSetSchema
from service.http.schemas import Schema
from service.use_cases.context import Caller
from service.use_cases.people import customers as cases
from service.use_cases.people.customers import CustomersData

room = StrictBlueprint("customers", __name__, description="What is kept about a customer: exported for them, or erased")


log = logging.getLogger(__name__)
LISTS = ("measurement_sets", "fit_checks", "orders", "outcomes", "disclosures")


class ExportSchema(Schema):
    """All that is kept under a customer's reference."""

    customer_ref = fields.String(required=True)
    exported_at = fields.DateTime(required=True)
    measurement_sets = fields.List(fields.Nested(MeasurementSetSchema), required=True)
    fit_checks = fields.List(fields.Nested(FitCheckSchema), required=True)
    orders = fields.List(fields.Nested(OrderSchema), required=True)
    outcomes = fields.List(fields.Nested(OutcomeSchema), required=True)
    disclosures = fields.List(fields.Nested(DisclosureSchema), required=True)
    complete = fields.Boolean(required=True, metadata={"description": "false: it could not be finished; ask again"})


class ErasedSchema(Schema):
    """How many of each were erased, and how many orders and outcomes no longer say whose they are."""

    measurement_sets = fields.Integer(required=True)
    fit_checks = fields.Integer(required=True)
    orders = fields.Integer(required=True)
    outcomes = fields.Integer(required=True)


SETS, OUTCOMES, DISCLOSURES = MeasurementSetSchema(many=True), OutcomeSchema(many=True), DisclosureSchema(many=True)


@operation(
    room, "GET", "/customers/<reference:customer_ref>/export", scope="admin", answer=ExportSchema, refuses=(404,)
)
def export_customer(caller: Caller, customer_ref: str) -> Response:
    """All that is kept about a customer, for them to have; empty where they are not known.

    It is sent while it is put together. Where it cannot be finished, it is a whole document all the same, with
    `complete` false: ask for it again.
    """
    kept = cases.export_customer(context(), caller, customer_ref)
    pages = _pages(kept)
    # What fails before anything has left is refused as everywhere.
    first = next(pages)
    return Response(stream_with_context(_whole(kept, chain([first], pages))), content_type="application/json")


def _pages(kept: CustomersData) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Which list, and some of its documents; every list is named, in the order of `LISTS`."""
    documents: dict[str, Iterator[list[dict[str, Any]]]] = {
        "measurement_sets": (SETS.dump(page) for page in kept.measurement_sets),
        "fit_checks": ([fit_check_document(each.id, each.record) for each in page] for page in kept.fit_checks),
        "orders": (ORDER.dump(page, many=True) for page in kept.orders),
        "outcomes": (OUTCOMES.dump(page) for page in kept.outcomes),
        "disclosures": (DISCLOSURES.dump(page) for page in kept.disclosures),
    }
    for name in LISTS:
        yield name, next(documents[name], [])
        for page in documents[name]:
            beat()
            yield name, page


def _whole(kept: CustomersData, pages: Iterator[tuple[str, list[dict[str, Any]]]]) -> Iterator[bytes]:
    """The document, a page at a time, and however it came to its end whether that was all."""
    yield _written({"customer_ref": kept.customer_ref, "exported_at": kept.exported_at.isoformat()})[:-1]
    written, separator, complete = 0, b"", False
    try:
        for name, page in pages:
            if written == 0 or name != LISTS[written - 1]:
                yield b'%b,"%b":[' % (b"]" if written else b"", name.encode())
                written, separator = written + 1, b""
            if page:
                yield separator + b",".join(map(_written, page))
                separator = b","
        complete = True
    except Exception:
        log.exception("fault", extra={"operation": request.endpoint, "method": request.method})
    left = b"".join(b',"%b":[]' % name.encode() for name in LISTS[written:])
    yield b'%b%b,"complete":%b}' % (b"]" if written else b"", left, b"true" if complete else b"false")


def _written(document: dict[str, Any]) -> bytes:
    return current_app.json.dumps(document).encode()


@operation(
    room, "DELETE", "/customers/<reference:customer_ref>", scope="admin", headers=RetrySchema, answer=ErasedSchema,
    refuses=(404,),
)  # fmt: skip
def erase_customer(caller: Caller, customer_ref: str) -> dict[str, Any]:
    """Erase a customer: readings and fit checks are deleted, orders stay without a reference. It is safe to repeat."""
    return asdict(cases.erase_customer(context(), caller, customer_ref))
