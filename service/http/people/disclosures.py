"""Who was shown what of whom, over HTTP."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import request
from marshmallow import fields

from service.http.answering import UnitsSchema
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.texts import Reference
from service.http.values import Count
from service.use_cases.context import Caller
from service.use_cases.people import disclosures as cases
from service.use_cases.people.disclosures import PAGE_MOST, DisclosurePage

room = StrictBlueprint("disclosures", __name__, description="Who was shown what about a customer")

NUMBER_MOST = 2**53


class DisclosuresQuerySchema(UnitsSchema):
    """Of whom, and which page."""

    customer_ref = Reference(metadata={"description": "of this customer only"})
    after = Count(1, NUMBER_MOST, written=True, metadata={"description": "the cursor of the next page"})
    limit = Count(1, PAGE_MOST, written=True, load_default=20, metadata={"description": "disclosures a page"})


class DisclosureSchema(Schema):
    """Something recorded about a customer was shown: when, to which key, and what."""

    at = fields.DateTime(required=True)
    key = fields.UUID(
        required=True, attribute="key_id", metadata={"description": "the first part of the key that asked"}
    )
    key_name = fields.String(required=True)
    what = fields.String(
        required=True,
        metadata={
            "description": "measurement_set, measurement_sets, fit_check, advice (from a recorded set, or what was"
            " bought last), history, export, erasure"
        },
    )
    thing = fields.UUID(
        required=True, allow_none=True, metadata={"description": "the id of what was shown; null: it was not one thing"}
    )
    customer_ref = fields.String(
        required=True, allow_none=True, metadata={"description": "null: none was given, or they were erased"}
    )


class DisclosuresSchema(Schema):
    """Disclosures, newest first."""

    disclosures = fields.List(fields.Nested(DisclosureSchema), required=True)


@operation(
    room, "GET", "/disclosures", scope="admin", query=DisclosuresQuerySchema, answer=DisclosuresSchema, sends=("Link",),
)  # fmt: skip
def list_disclosures(caller: Caller, query: dict[str, Any]) -> tuple[DisclosurePage, dict[str, str]]:
    """Who was shown what about whom, newest first; `Link: rel="next"` continues."""
    page = cases.list_disclosures(context(), caller, query.get("customer_ref"), query.get("after"), query["limit"])
    following = urlencode({**request.args.to_dict(), "after": page.below})
    return page, {"Link": f'<{request.path}?{following}>; rel="next"'} if page.below is not None else {}
