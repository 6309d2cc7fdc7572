"""The schema that all of ours are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, ClassVar, Self

import marshmallow
from marshmallow import EXCLUDE, fields, validate
from typing_extensions import override


@dataclass(frozen=True, slots=True)
class Listing:
    """Things that an answer lists under one name: the schema's list has the attribute `rows`."""

    rows: Sequence[object]


class Schema(marshmallow.Schema):
    """A schema that never changes once it is made, so that whoever copies what an operation is need not copy it.

    Operations are put together by copying, a status at a time: a quarter of the time that the service took to start.
    In the contract an answer is open: it may have fields that a caller does not know yet. Requests are `Strict`.
    """

    error_messages = {  # noqa: RUF012  as its base has it
        "unknown": "There is no such name here.",
        "type": "An object with named fields.",
    }

    class Meta:
        unknown = EXCLUDE

    def __deepcopy__(self, memo: dict[int, Any]) -> Self:
        return self


class AddingSchema(Schema):
    """A schema of a value that adds to others: what it has not itself is read of those that `of` names, in turn."""

    of: ClassVar[str]

    @override
    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        # Values of the core have attributes and no keys: asked straight, an order is written in half the time.
        read = super().get_attribute if "." in attr else getattr
        found = read(obj, attr, default)
        for name in self.of.split():
            if found is not default:
                break
            found = read(attrgetter(name)(obj), attr, default)
        return found


class Word(fields.String):
    """A word of a whole list in an answer: of the same version of the contract no other comes."""

    def __init__(self, words: Sequence[str], *, allow_none: bool = False, **options: Any) -> None:  # noqa: ANN401
        allowed = [*words, *([None] if allow_none else [])]
        super().__init__(required=True, allow_none=allow_none, validate=validate.OneOf(allowed), **options)


class ByHand(fields.List[Any]):
    """A list in an answer whose rows one function writes, and their schema only describes.

    For what has hundreds of small values: a dump costs thirty times as much (DEVELOPERS.md, Decisions).
    """

    def __init__(self, schema: type[Schema], write: Callable[[Any], dict[str, Any]], **options: Any) -> None:  # noqa: ANN401
        super().__init__(fields.Nested(schema), **options)
        self._write = write

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [self._write(each) for each in value]
