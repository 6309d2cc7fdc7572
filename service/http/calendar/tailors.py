"""The tailors of a shop over HTTP: kept by its own references, listed, kept no more."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.callers.headers import IfKnownSchema, RetrySchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.schemas import Listing, Schema, Word
from service.http.values import Choice, Count, Day, Strict
from service.tailoring.garments.alterations import BENCHES
from service.tailoring.workroom.tailors import MINUTES_MOST, Tailor
from service.use_cases.calendar import tailors as cases
from service.use_cases.context import Caller

room = StrictBlueprint("tailors", __name__, description="Who works at the benches")

DAYS_MOST = 366


class TailorAskedSchema(Strict):
    """A tailor: where they work, for how long a day, and when not."""

    benches = fields.List(
        Choice(BENCHES),
        required=True,
        validate=validate.Length(min=1, max=len(BENCHES)),
        metadata={"description": "the benches at which they work"},
    )
    minutes_a_day = Count(
        0,
        MINUTES_MOST,
        required=True,
        metadata={
            "description": "minutes that they work on a usual day, for the worklist; promises do not depend on them"
        },
    )
    days_off = fields.List(
        Day(),
        load_default=list,
        validate=validate.Length(max=DAYS_MOST),
        metadata={"description": "days of the shop's calendar on which they do not work"},
    )


class TailorSchema(Schema):
    """A tailor of the shop."""

    tailor = fields.String(required=True, attribute="ref", metadata={"description": "the shop's own reference"})
    benches = fields.List(Word(BENCHES), required=True, metadata={"description": "the benches at which they work"})
    minutes_a_day = fields.Integer(required=True, metadata={"description": "minutes that they work on a usual day"})
    days_off = fields.List(fields.Date(), required=True, metadata={"description": "days on which they do not work"})


class TailorsSchema(Schema):
    """The shop's tailors, by reference."""

    tailors = fields.List(
        fields.Nested(TailorSchema),
        required=True,
        attribute="rows",
        metadata={"description": "each with benches, minutes and days off, by reference"},
    )


@operation(room, "GET", "/tailors", scope="workroom", answer=TailorsSchema)
def list_tailors(caller: Caller) -> Listing:
    """The shop's tailors."""
    return Listing(cases.list_tailors(context(), caller))


@operation(
    room, "GET", "/tailors/<reference:tailor>", scope="workroom", answer=TailorSchema, refuses=(404,), cacheable=True,
)  # fmt: skip
def read_tailor(caller: Caller, tailor: str) -> Versioned:
    """One tailor; the ETag is for If-Match when they are changed."""
    return _versioned(cases.show_tailor(context(), caller, tailor))


@operation(
    room, "PUT", "/tailors/<reference:tailor>", scope="workroom", body=TailorAskedSchema, headers=IfKnownSchema,
    answer=TailorSchema, refuses=(404, 409, 412, 428), sends=("ETag",),
    example={"benches": ["trousers"], "minutes_a_day": 420},
)  # fmt: skip
def put_tailor(caller: Caller, headers: dict[str, Any], asked: dict[str, Any], tailor: str) -> Versioned:
    """Add a tailor, or change one. The reference is the shop's own: no name is needed.

    Minutes and days off are for the worklist and for who plans the day. Promises go by the benches' minutes: where a
    tailor is away, give the bench fewer on that day (`PUT /v1/workroom/days/{on}`).
    """
    return _versioned(cases.keep_tailor(context(), caller, tailor, version=headers.get("version"), **asked))


def _versioned(tailor: Tailor) -> Versioned:
    return versioned(tailor, cases.version_of(tailor))


@operation(
    room, "DELETE", "/tailors/<reference:tailor>", scope="workroom", headers=RetrySchema, answer=TailorsSchema,
    refuses=(404, 409),
)  # fmt: skip
def delete_tailor(caller: Caller, tailor: str) -> Listing:
    """Remove a tailor; the answer lists those that are left. Orders still say who worked on them."""
    return Listing(cases.drop_tailor(context(), caller, tailor))
