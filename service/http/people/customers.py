"""A customer's own data over HTTP: given to him whole, erased whole."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from marshmallow import fields

from service.http.fitting.fit_checks import FitCheckSchema
from service.http.operations import context, operation
from service.http.orders.order_answers import OrderSchema, order_document
from service.http.orders.outcomes import OutcomeSchema, outcome_document
from service.http.parsing import StrictBlueprint
from service.http.people.disclosures import DisclosureSchema
from service.http.people.measurement_sets import SetSchema, set_document
from service.http.schemas import Schema
from service.use_cases.context import Caller
from service.use_cases.people.customers import erase_customer, export_customer

room = StrictBlueprint(
    "customers", __name__, description="What is kept of a customer, for him to have and to have erased"
)


class ExportSchema(Schema):
    """All that is kept under a customer's reference."""

    customer_ref = fields.String(required=True)
    exported_at = fields.DateTime(required=True)
    measurement_sets = fields.List(fields.Nested(SetSchema), required=True)
    fit_checks = fields.List(fields.Nested(FitCheckSchema), required=True)
    orders = fields.List(fields.Nested(OrderSchema), required=True)
    outcomes = fields.List(fields.Nested(OutcomeSchema), required=True)
    disclosures = fields.List(fields.Nested(DisclosureSchema), required=True)


class ErasedSchema(Schema):
    """How many of each were erased; of orders and outcomes, how many no longer say whose they are."""

    measurement_sets = fields.Integer(required=True)
    fit_checks = fields.Integer(required=True)
    orders = fields.Integer(required=True)
    outcomes = fields.Integer(required=True)


DISCLOSURES = DisclosureSchema(many=True)


@operation(
    room, "GET", "/customers/<reference:customer_ref>/export", scope="admin", answer=ExportSchema, refuses=(404,)
)
def export(caller: Caller, customer_ref: str) -> dict[str, Any]:
    """All that is kept of a customer, whole, for him; empty where he is not known."""
    kept = export_customer(context(), caller, customer_ref)
    return {
        "customer_ref": kept.customer_ref,
        "exported_at": kept.exported_at.isoformat(),
        "measurement_sets": [set_document(each) for each in kept.measurement_sets],
        "fit_checks": [each.answer for each in kept.fit_checks],
        "orders": [order_document(each) for each in kept.orders],
        "outcomes": [outcome_document(each) for each in kept.outcomes],
        "disclosures": DISCLOSURES.dump(kept.disclosures),
    }


@operation(room, "DELETE", "/customers/<reference:customer_ref>", scope="admin", answer=ErasedSchema, refuses=(404,))
def erase(caller: Caller, customer_ref: str) -> dict[str, Any]:
    """Erase a customer: readings and fit checks go, orders stay without him. It may be asked again."""
    return asdict(erase_customer(context(), caller, customer_ref))
