"""Notices on their way out."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.http.schemas import Schema
from service.tailoring.notices import Notice


class NoticeSchema(Schema):
    """Something to look at: a stable code, where in the request it points, and the words."""

    code = fields.String(required=True)
    pointer = fields.String(required=True)
    text = fields.String(required=True)
    facts = fields.Dict(keys=fields.String())


def notices(found: tuple[Notice, ...]) -> list[dict[str, Any]]:
    """Notices as every answer writes them."""
    return [
        {
            "code": each.code,
            "pointer": "".join(f"/{part}" for part in each.at),
            "text": each.text,
            "facts": dict(each.facts),
        }
        for each in found
    ]
