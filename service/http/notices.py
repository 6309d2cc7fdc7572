"""Notices on their way out."""

from __future__ import annotations

from typing import Any

from marshmallow import fields
from typing_extensions import override

from service.http.callers.languages import speech
from service.http.schemas import Schema
from service.tailoring.notices import Notice


class Pointer(fields.String):
    """A path into the request, as a JSON pointer."""

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> str:
        return "".join(f"/{part}" for part in value)


class Facts(fields.Dict):
    """The figures behind a notice, by name."""

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> dict[str, Any]:
        return dict(value)


class SaidWords(fields.String):
    """A sentence, in the language of the answer."""

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> str:
        return speech().sentence(value)


class NoticeSchema(Schema):
    """Something to check: a stable code, what in the request it is about, and the words."""

    code = fields.String(required=True)
    pointer = Pointer(required=True, attribute="at")
    text = SaidWords(
        required=True, metadata={"description": "the notice in a sentence, in the language of `Content-Language`"}
    )
    facts = Facts(keys=fields.String())


def notices(found: tuple[Notice, ...]) -> list[dict[str, Any]]:
    """Notices as every answer writes them."""
    return [
        {
            "code": each.code,
            "pointer": "".join(f"/{part}" for part in each.at),
            "text": speech().sentence(each.text),
            "facts": dict(each.facts),
        }
        for each in found
    ]
