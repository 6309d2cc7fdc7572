"""What cures a fault, on its way out: an alteration of the catalogue and how it is read, or words alone."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.http.schemas import Schema
from service.http.texts import in_words
from service.tailoring.fitting.causes import alteration_of, remedy_in_words


class RemedySchema(Schema):
    """What cures it: an alteration of the catalogue, or words alone."""

    alteration = fields.String(required=True, allow_none=True)
    text = fields.String(required=True)


def remedy_document(remedy: str) -> dict[str, Any]:
    """A remedy as the tables have it, for an answer."""
    return {"alteration": alteration_of(remedy), "text": in_words(remedy_in_words(remedy))}
