"""How much a document may hold, as its schema declares it, checked before the schema reads any of it.

A schema reads every element of a list before it counts them. So its bounds are taken out of it once, as a tree, and
one walk over the parsed document holds them against it: what is over-full is one fault, and nothing of it is read.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from marshmallow import Schema, ValidationError, fields, validate

from service.http.quantities import Value
from service.http.refusals.of_fields import plain
from service.http.strict_json import DEPTH_MOST, TOO_DEEP, check_text
from service.tailoring.refusals import Refusal, Where

# Fields that a schema does not know are each told by name, if they are this few.
UNKNOWN_MOST = 20

# A path from the inside out: nobody needs it of what is right, so it is spelt out for faults alone.
_Path: TypeAlias = "tuple[_Path, str | int] | None"


@dataclass(frozen=True, slots=True)
class Bounds:
    """What one part of a document may hold: a text or list so much, an object these fields, a list such elements."""

    length: validate.Length | None = None
    members: Mapping[str, Bounds] | None = None
    elements: Bounds | None = None

    @property
    def most(self) -> int | None:
        """The greatest length; None where there is none."""
        return None if self.length is None else self.length.max or self.length.equal


_FREE = Bounds()


@functools.cache
def bounds_of(schema: Schema) -> Bounds:
    """The bounds that a schema declares, of itself and all inside of it."""
    return Bounds(
        members={field.data_key or name: _of_field(field) for name, field in schema.load_fields.items()},
    )


def check_bounds(document: Any, bounds: Bounds) -> None:  # noqa: ANN401  whatever was parsed
    """Hold a parsed document to its bounds.

    Raises Refusal `json_unreadable` (too deep, or a text that cannot be written), or one together of `field_wrong` for
    all that is over-full, each with its path.
    """
    faults = list(_faults(document, bounds))
    if faults:
        raise Refusal.together("field_wrong", faults)


def over_full(bounds: Bounds, at: Where) -> Refusal:
    """The fault of a list with more elements than anybody counted."""
    return _too_long(range((bounds.most or 0) + 1), bounds, at)


def _of_field(field: fields.Field[Any]) -> Bounds:
    match field:
        case fields.Nested():
            return bounds_of(field.schema)
        case fields.List():
            return Bounds(length=_length_of(field), elements=_of_field(field.inner))
        case Value():
            return Bounds(length=field.text_length)
        case fields.String():
            return Bounds(length=_length_of(field))
        case _:
            return _FREE


def _length_of(field: fields.Field[Any]) -> validate.Length | None:
    return next((each for each in field.validators if isinstance(each, validate.Length)), None)


def _faults(document: Any, bounds: Bounds) -> Iterator[Refusal]:  # noqa: ANN401  whatever was parsed
    waiting: list[tuple[Any, Bounds, _Path, int]] = [(document, bounds, None, 0)]
    while waiting:
        value, bounds, path, depth = waiting.pop()
        if isinstance(value, str):
            check_text(value)
            if bounds.most is not None and len(value) > bounds.most:
                yield _too_long(value, bounds, _where(path))
        elif bounds is _FREE:
            _check_free(value, depth)
        elif isinstance(value, list | dict):
            if depth == DEPTH_MOST:
                raise Refusal("json_unreadable", words=TOO_DEEP)
            if fault := _over_full(value, bounds, path):
                yield fault
                continue
            for key, inner, of in _parts(value, bounds):
                # What is plainly right need not wait: most of a batch is short texts.
                if not isinstance(inner, str) or not inner.isascii() or (of.most is not None and len(inner) > of.most):
                    waiting.append((inner, of, (path, key), depth + 1))


def _check_free(value: Any, depth: int) -> None:  # noqa: ANN401  whatever was parsed
    """Hold to its depth, and to what can be written, what no bound is declared of.

    Level by level, for there may be much of it: part by part it was most of what the dearest wrong request cost.
    """
    level = [value]
    while level:
        texts, inner = {each for each in level if isinstance(each, str)}, list[Any]()
        for each in level:
            if isinstance(each, dict):
                texts.update(each)
                inner.extend(each.values())
            elif isinstance(each, list):
                inner.extend(each)
            else:
                continue
            if depth == DEPTH_MOST:
                raise Refusal("json_unreadable", words=TOO_DEEP)
        for text in texts:
            check_text(text)
        level, depth = inner, depth + 1


def _over_full(value: list[Any] | dict[str, Any], bounds: Bounds, path: _Path) -> Refusal | None:
    if isinstance(value, list):
        is_right = bounds.most is None or len(value) <= bounds.most
        return None if is_right else _too_long(value, bounds, _where(path))
    if bounds.members is None or len(value) <= len(bounds.members) + UNKNOWN_MOST:
        return None
    words = f"It has {len(value)} fields, of which at most {len(bounds.members)} are known."
    return Refusal("field_wrong", _where(path), words=words)


def _parts(value: list[Any] | dict[str, Any], bounds: Bounds) -> list[tuple[str | int, Any, Bounds]]:
    """What is inside, but for numbers and the like: they hold nothing."""
    if isinstance(value, list):
        of = bounds.elements or _FREE
        return [(at, inner, of) for at, inner in enumerate(value) if isinstance(inner, str | list | dict)]
    members = bounds.members or {}
    for name in value:
        if name not in members:
            check_text(name)
    return [
        (name, inner, members.get(name, _FREE)) for name, inner in value.items() if isinstance(inner, str | list | dict)
    ]


def _too_long(value: Any, bounds: Bounds, at: Where) -> Refusal:  # noqa: ANN401  whatever has a length
    """In the words of the bound itself: the schema would say the same."""
    words = ""
    try:
        (bounds.length or validate.Length())(value)
    except ValidationError as error:
        words = plain(str(error.messages[0]))
    return Refusal("field_wrong", at, words=words)


def _where(path: _Path) -> Where:
    parts: list[str | int] = []
    while path is not None:
        path, part = path
        parts.append(part)
    return tuple(reversed(parts))
