"""The customer's own view of his order: where it stands and its day, nothing personal."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields

from service.counter.orders import collection_slip
from service.http.operations import desk, operation
from service.http.parsing import Room

room = Room("collection_slips", __name__, description="What the customer may see")


class CollectionSlipSchema(Schema):
    """State and day."""

    state = fields.String(required=True)
    promised_for = fields.Date(required=True)


@operation(
    room, "GET", "/collection-slips/<token:slip>", scope=None, answer=CollectionSlipSchema, refuses=(404,)
)  # fmt: skip
def read_collection_slip(slip: str) -> dict[str, Any]:
    """The customer's own view, by the unguessable token on his slip."""
    state, promised_for = collection_slip(desk(), slip)
    return {"state": state, "promised_for": promised_for.isoformat()}
