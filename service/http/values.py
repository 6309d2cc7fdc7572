"""Values that pass over the counter: words, counts, days, ids, money, and how each is read and written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any
from uuid import UUID

from marshmallow import RAISE, ValidationError, fields, validate
from typing_extensions import override

from service.http.schemas import Schema
from service.tailoring.refusals import Refusal, Where
from service.tailoring.work.prices import Money


class Strict(Schema):
    """A schema that refuses what it does not know."""

    class Meta:
        unknown = RAISE


@contextmanager
def refusals_as_errors() -> Iterator[None]:
    """Let the core's refusal of a part stand among the schema's errors, at its path."""
    try:
        yield
    except Refusal as refusal:
        # A fault is kept until all are told; what was in hand where it was found would be walked by the collector.
        refusal.__context__ = None
        raise ValidationError(_nested(refusal.at, refusal.with_traceback(None))) from None


def _nested(at: Where, refusal: Refusal) -> dict[str, Any]:
    found: Any = [refusal]
    for part in reversed(at or ("_schema",)):
        found = {part: found}
    return dict(found)


# How much of an answer is wanted: with all reasons, or what a screen shows.
VIEWS = ("whole", "short")
SHORT = "short"


class Choice(fields.String):
    """One of a few words."""

    def __init__(self, words: tuple[str, ...], **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(validate=validate.OneOf(words), **options)


class Count(fields.Integer):
    """A whole number between bounds: a JSON number, or in a query (`written`) ASCII digits."""

    def __init__(self, least: int, most: int, *, written: bool = False, **options: Any) -> None:  # noqa: ANN401
        super().__init__(validate=validate.Range(least, most), **options)
        self._written = written

    @override
    def _validated(self, value: Any) -> int:
        if self._written:
            right = isinstance(value, str) and value.isascii() and value.isdigit()
        else:
            right = isinstance(value, int) or (isinstance(value, float) and value.is_integer())
        if not right:
            raise self.make_error("invalid", input=value)
        return super()._validated(value)


class Number(fields.Float):
    """A JSON number; never text that looks like one."""

    @override
    def _validated(self, value: Any) -> float:
        if not isinstance(value, int | float):
            raise self.make_error("invalid", input=value)
        return super()._validated(value)


class Flag(fields.Boolean):
    """True or false, and nothing that merely counts as such."""

    @override
    def _deserialize(self, value: Any, *_: Any, **__: Any) -> bool:
        if not isinstance(value, bool):
            raise self.make_error("invalid", input=value)
        return value


class Day(fields.Date):
    """A day as 2026-03-02, and in no other of ISO 8601's ways."""

    @override
    def _deserialize(self, value: Any, *_: Any, **__: Any) -> date:
        try:
            day = date.fromisoformat(value)
        except (TypeError, ValueError):
            raise self.make_error("invalid", input=value, obj_type=self.OBJ_TYPE) from None
        if day.isoformat() != value:
            raise self.make_error("invalid", input=value, obj_type=self.OBJ_TYPE)
        return day


class Id(fields.UUID):
    """An id of the service's own, as it was given out: 36 characters."""

    @override
    def _validated(self, value: Any) -> UUID:
        found = super()._validated(value)
        if str(found) != str(value).lower():
            raise self.make_error("invalid_uuid")
        return found


class MoneySchema(Schema):
    """An amount in minor units and its ISO 4217 currency."""

    minor = fields.Integer(required=True)
    currency = fields.String(required=True, validate=validate.Regexp("^[A-Z]{3}$"))


class TaxIncluded(fields.Boolean):
    """Whether the prices of an answer have their tax in them, as the shop's price list says."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        words = "whether the prices include tax; null: the shop's price list does not say"
        super().__init__(allow_none=True, metadata={"description": words}, **options)


class Figure(fields.Float):
    """A number as the core has it, a whole one as such; rounded to so many digits where that is said."""

    def __init__(self, *, digits: int | None = None, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(**options)
        self._digits = digits

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return value if value is None or self._digits is None else round(value, self._digits)


def money(amount: Money) -> dict[str, Any]:
    """Money as every answer writes it."""
    return {"minor": amount.minor, "currency": amount.currency}
