"""A chart as it is sent: over HTTP, or in a file of the same shape."""

from __future__ import annotations

from typing import Any, NamedTuple

import orjson
from marshmallow import ValidationError, fields, post_load, validate

from service.http.problems import leaves
from service.http.quantities import Value
from service.http.texts import Text
from service.http.values import Choice, Flag, Strict
from service.tailoring.garments.article_numbers import GTIN_LONGEST, SKU_LONGEST
from service.tailoring.garments.charts import (
    GARMENTS,
    LABEL_LONGEST,
    LENGTH_CLASSES,
    OPTIONAL,
    REQUIRED,
    SIZES_MOST,
    SOLD,
    ChartHead,
)
from service.tailoring.quantities import LENGTH_UNITS, length
from service.tailoring.refusals import Refusal

TITLE_LONGEST = 80
SKU_WORDS = "the shop's own article number of this size; plans say it, so that a basket can be filled"
GTIN_WORDS = "its GTIN, 8, 12, 13 or 14 digits as on the label; its check digit is verified"
# Every place that a garment has, in the order of the trade's own tables.
PLACES = tuple(dict.fromkeys(place for garment in GARMENTS for place in (*REQUIRED[garment], *OPTIONAL[garment])))
EXAMPLE = {
    "title": "Everyday separates",
    "unit": "in",
    "sold": "separates",
    "sizes": [
        {
            "garment": "jacket", "label": f"{body}R", "body": body, "length_class": "regular",
            "chest": body + 4, "waist": body - 2, "sleeve": sleeve, "back_length": back,
        }
        for body, sleeve, back in ((36, "24 1/2", "29 1/2"), (38, "24 3/4", "29 3/4"), (40, "25", "30"))
    ] + [
        {"garment": "trousers", "label": str(body), "body": body, "waist": f"{body} 3/4", "inside_leg": 36}
        for body in (30, 32, 34)
    ],
}  # fmt: skip


class ChartAsked(NamedTuple):
    """A chart's head, still without its code, and its rows."""

    head: dict[str, Any]
    rows: list[dict[str, Any]]

    def named(self, code: str) -> ChartHead:
        """The head under a code. Raises Refusal `quantity_*` pointing at ("drop",)."""
        drop = self.head.get("drop")
        try:
            read = None if drop is None else length(drop, self.head["unit"])
        except Refusal as refusal:
            raise Refusal(refusal.code, ("drop",), **refusal.facts) from None
        return ChartHead(**{**self.head, "code": code, "drop": read})


_Cells = Strict.from_dict({place: Value() for place in PLACES}, name="Cells")


class SizeAskedSchema(_Cells):  # type: ignore[misc, valid-type]  # made of the table of places
    """One size: its garment and label, the body it is cut for, and finished measures in the chart's unit."""

    garment = Choice(GARMENTS, required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)
    body = Value(required=True, metadata={"description": "the chest, or the waist of trousers, that it is cut for"})
    length_class = Choice(LENGTH_CLASSES, load_default="regular")
    sku = Text(most=SKU_LONGEST, least=1, metadata={"description": SKU_WORDS})
    gtin = Text(most=GTIN_LONGEST, least=1, metadata={"description": GTIN_WORDS, "example": "4006381333931"})


class ChartAskedSchema(Strict):
    """A chart: what it says of all its sizes, and the sizes. All its lengths are in its unit."""

    title = Text(most=TITLE_LONGEST, least=1, required=True)
    unit = Choice(LENGTH_UNITS, required=True)
    sold = Choice(SOLD, required=True)
    drop = Value(metadata={"description": "for pairs: chest less waist of the bodies that they are cut for"})
    unfinished = Flag(load_default=True, metadata={"description": "trousers are sold with the leg uncut"})
    worked_buttonholes = Flag(load_default=False, metadata={"description": "cuffs cannot be moved"})
    sizes = fields.List(fields.Nested(SizeAskedSchema), required=True, validate=validate.Length(1, SIZES_MOST))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> ChartAsked:
        return ChartAsked({name: value for name, value in data.items() if name != "sizes"}, data["sizes"])


def chart_of_json(text: bytes) -> ChartAsked:
    """A chart from a JSON document. Raises Refusal `json_unreadable` or `field_wrong`, with every fault."""
    try:
        read: ChartAsked = ChartAskedSchema().load(orjson.loads(text))
    except orjson.JSONDecodeError as error:
        raise Refusal("json_unreadable", words=str(error)) from error
    except ValidationError as error:
        parts = tuple(leaves(error.messages, ()))
        words = "; ".join(f"/{'/'.join(map(str, at))}: {part.facts.get('words')}" for at, part in parts)
        raise Refusal("field_wrong", words=words) from error
    return read
