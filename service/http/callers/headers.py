"""Headers that a request has: the key by which it is known again, and the version that its caller read."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate
from typing_extensions import override

from service.http.schemas import Schema
from service.http.texts import Whole

KEY_WORDS = "Up to 200 letters, digits and signs of ASCII, without spaces."


def _key(words: str, *, required: bool = False) -> fields.String:
    """The header of a caller's key."""
    right, said = [validate.Length(min=1, max=200), Whole(r"^[\x21-\x7e]+$", KEY_WORDS)], {"description": words}
    return fields.String(data_key="Idempotency-Key", required=required, validate=right, metadata=said)


class IdempotencySchema(Schema):
    """The caller's key for a creating request: a retry with it creates nothing twice."""

    key = _key("unguessable and new for each thing that is created; a retry repeats it")


class RequiredIdempotencySchema(IdempotencySchema):
    """As above, and it must be there."""

    key = _key("unguessable and new for each thing that is created; a retry repeats it", required=True)


class RetrySchema(IdempotencySchema):
    """The caller's key for a changing request: a retry with it changes nothing twice."""

    key = _key("unguessable and new for each change; a retry repeats it and gets the same answer")


VERSION = Whole(r'^(?:W/)?"[0-9]{1,9}"$', 'The ETag as it was read, in its quotation marks: "3".')


class IfMatchSchema(RetrySchema):
    """The version that the caller read. A proxy that compresses answers makes their ETags weak: `W/` is let pass."""

    version = fields.String(
        data_key="If-Match",
        required=True,
        validate=VERSION,
        metadata={
            "description": "the ETag that was read; 428 where it is missing, 412 where it is stale",
            "example": '"1"',
        },
    )

    @post_load
    def _number(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        return data | {"version": int(data["version"].removeprefix("W/").strip('"'))}


class IfKnownSchema(IfMatchSchema):
    """The version that the caller read, of what is there already; what is new has none."""

    version = fields.String(
        data_key="If-Match",
        validate=VERSION,
        metadata={
            "description": "the ETag that was read, of what exists already: 428 where it is missing, 412"
            " where it is stale",
            "example": '"1"',
        },
    )

    @post_load
    @override
    def _number(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        return super()._number(data) if "version" in data else data
