"""Whether the service lives, and whether it can work."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.storage.database import DatabaseUnavailable

room = StrictBlueprint("health", __name__, description="For load balancers and monitoring")


class HealthSchema(Schema):
    """A word."""

    status = fields.String(required=True)


@operation(room, "GET", "/health/live", scope=None, answer=HealthSchema, counted=False)
def check_liveness() -> dict[str, Any]:
    """The process answers."""
    return {"status": "live"}


@operation(room, "GET", "/health/ready", scope=None, answer=HealthSchema, counted=False)
def check_readiness() -> dict[str, Any]:
    """The database answers too, and has the tables that this release needs."""
    if not context().database.has_tables():
        raise DatabaseUnavailable("it did not answer the health check")
    return {"status": "ready"}
