"""Lengths and masses, and readings of them: how each is read, and written in an answer."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from flask import g
from marshmallow import fields, post_load, validate
from typing_extensions import override

from service.http.values import Choice, Strict, refusals_as_errors
from service.tailoring.body.readings import SOURCES, Reading, dimensions, reading
from service.tailoring.quantities import (
    LENGTH_MOST_MM,
    LENGTH_UNITS,
    MASS_UNITS,
    TEXT_LONGEST,
    Length,
    LengthUnit,
    Mass,
    length,
    signed_length,
)
from service.tailoring.refusals import Refusal

# What a tailor writes: 36, 36.5, 36 1/2, 36-1/2, 36½ (quantities.py reads it; this says it to the contract).
NOTATION = r"^ *(?:[0-9]+\.[0-9]+|[0-9]+|(?:[0-9]+(?: +|-))?[0-9]+/(?:2|4|8|16|32|64)|[0-9]* *[½¼¾⅛⅜⅝⅞]) *$"
# The same with a minus before it, where it is a difference.
SIGNED_NOTATION = r"^ *-? *(?:[0-9]+\.[0-9]+|[0-9]+|(?:[0-9]+(?: +|-))?[0-9]+/(?:2|4|8|16|32|64)|[0-9]* *[½¼¾⅛⅜⅝⅞]) *$"
OUT_UNITS: tuple[LengthUnit, ...] = ("in", "cm")


REPEATS_MOST = 9


class Value(fields.Field[Any]):
    """A number, or a number as a tailor writes it; read by the core together with its unit."""

    text_length = validate.Length(max=TEXT_LONGEST)

    @override
    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return self.text_length(value) if isinstance(value, str) else value


class SignedValue(Value):
    """As `Value`, and it may be negative."""


class LengthSchema(Strict):
    """A length: a number or tailor's notation, and its unit."""

    value = Value(required=True)
    unit = Choice(LENGTH_UNITS, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> Length:
        with refusals_as_errors():
            return length(data["value"], data["unit"])


class SignedLengthSchema(Strict):
    """A difference of two lengths: negative with a minus, as -1.75 or "-1 3/4"."""

    value = SignedValue(required=True)
    unit = Choice(LENGTH_UNITS, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> Length:
        with refusals_as_errors():
            return signed_length(data["value"], data["unit"])


class ReadingSchema(Strict):
    """One reading of one dimension; `repeats` are further readings of it in the same unit."""

    NAMES = frozenset({"dimension", "value", "unit", "source", "repeats"})

    dimension = Choice(tuple(dimensions()), required=True)
    value = Value(required=True)
    unit = Choice((*LENGTH_UNITS, *MASS_UNITS), required=True)
    source = Choice(SOURCES, load_default="measured")
    repeats = fields.List(Value(), load_default=list, validate=validate.Length(max=REPEATS_MOST))

    @override
    def load(self, data: Any, **options: Any) -> Any:
        """As its base; what is plainly right is read straight, for a batch has readings by the ten thousand."""
        return plain_reading(data) or super().load(data, **options)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> Reading:
        with refusals_as_errors():
            return reading(data["dimension"], data["value"], data["unit"], data["source"], tuple(data["repeats"]))


def plain_reading(data: Any) -> Reading | None:  # noqa: ANN401  whatever the body says
    """What a reading says where its fields are of the kinds that they may be of; its schema says what is wrong."""
    if type(data) is not dict or not data.keys() <= ReadingSchema.NAMES:
        return None
    words = [data.get("dimension"), data.get("unit"), data.get("source", "measured")]
    repeats = data.get("repeats", [])
    if type(repeats) is not list or len(repeats) > REPEATS_MOST or not all(type(word) is str for word in words):
        return None
    values = [data.get("value"), *repeats]
    if any(type(value) not in (str, int, float) for value in values):
        return None
    dimension, unit, source = words
    try:
        return reading(dimension, values[0], unit, source, tuple(repeats))
    except Refusal:
        return None


class Out(fields.Field[Any]):
    """A length or mass in an answer, as `written` writes it; what a plan has already written passes.

    With `mm_in` a figure of the core in mm is a length in that unit.
    """

    def __init__(self, *, mm_in: LengthUnit | None = None, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(**options)
        self._mm_in = mm_in

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        if self._mm_in and value is not None:
            return written(Length(value, self._mm_in))
        return written(value) if isinstance(value, Length | Mass) else value


class Said(Out):
    """A length or mass that was read, as it was said; in another unit only where `?units` asks for it."""

    @override
    def _serialize(self, value: Any, *more: Any, **options: Any) -> Any:
        if not isinstance(value, Length | Mass):
            return super()._serialize(value, *more, **options)
        return said([value])[0]


def written(size: Length | Mass) -> dict[str, Any]:
    """A length or mass as every answer writes it: value, unit, mm (kg for mass) and a tailor's text.

    A length is written in the unit of this answer (`callers.units`), or its own where it has none.
    """
    if isinstance(size, Mass):
        return _shown(size)
    asked: LengthUnit | None = g.get("units")
    return _shown(size.written_in(asked) if asked else size)


def said(sizes: Iterable[Length | Mass]) -> list[dict[str, Any]]:
    """Lengths or masses that were read, as they were said; in another unit only where `?units` asks for it."""
    if g.get("units_asked"):
        return [written(size) for size in sizes]
    return [
        _shown(size) if isinstance(size, Mass) else _length_read(size.mm or 0.0, size.unit).copy() for size in sizes
    ]


def _shown(size: Length | Mass) -> dict[str, Any]:
    if isinstance(size, Mass):
        return {"value": size.value, "unit": size.unit, "kg": round(size.kg, 2), "text": size.text}
    return {"value": size.value, "unit": size.unit, "mm": round(size.mm, 1), "text": size.text}


# A tape is read to the eighth or the millimetre: what was read on one customer is read on the next, and of the sets of
# one customer it is most of what is written.
@lru_cache(maxsize=4096, typed=True)
def _length_read(mm: float, unit: LengthUnit) -> dict[str, Any]:
    return _shown(Length(mm, unit))


VALUE_CONTRACT = {
    "oneOf": [
        {"type": "number", "minimum": 0, "maximum": LENGTH_MOST_MM},
        {"type": "string", "pattern": NOTATION, "maxLength": TEXT_LONGEST},
    ],
    "description": "36, 36.5, or as a tailor writes it: '36 1/2', '36-1/2', '36½'",
}
SIGNED_VALUE_CONTRACT = {
    "oneOf": [
        {"type": "number", "minimum": -LENGTH_MOST_MM, "maximum": LENGTH_MOST_MM},
        {"type": "string", "pattern": SIGNED_NOTATION, "maxLength": TEXT_LONGEST},
    ],
    "description": "as a value, and negative with a minus: -1.75, '-1 3/4'",
}
# A length or mass as every answer writes it, by this name in the contract.
QUANTITY = "Quantity"
QUANTITY_CONTRACT = {
    "type": "object",
    "description": "A length, or a mass: as it is shown (`value`, `unit`, `text`), and in millimetres or kilograms.",
    "properties": {
        "value": {"type": "number", "description": "in the unit; inches to the nearest eighth"},
        "unit": {"enum": [*LENGTH_UNITS, *MASS_UNITS], "description": "`?units` chooses it, else the request's unit"},
        "mm": {"type": "number", "description": "of a length, whatever the unit"},
        "kg": {"type": "number", "description": "of a mass, whatever the unit"},
        "text": {"type": "string", "description": "as a tailor writes it", "examples": ["38 1/4 in"]},
    },
    "required": ["value", "unit", "text"],
}
