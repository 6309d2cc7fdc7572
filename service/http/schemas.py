"""The schema that all of ours are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from typing import Any, ClassVar, NamedTuple, Self, TypeAlias

import marshmallow
from marshmallow import EXCLUDE, fields, missing, validate
from typing_extensions import override


@dataclass(frozen=True, slots=True)
class Listing:
    """Things that an answer lists under one name: the schema's list has the attribute `rows`."""

    rows: Sequence[object]


# What a field reads of a value: `missing` where it has none; and how it writes that, with the value that has it.
_Read: TypeAlias = Callable[[Any], Any]
_Write: TypeAlias = Callable[[Any, Any], Any]


class _Part(NamedTuple):
    """One field of an answer: its name there, what of a value it is, how that is read and written (None: as it is).

    `default` is what it is where there is none; `of` is empty where the field reads the value itself.
    """

    key: str
    of: str
    read: _Read
    write: _Write | None
    default: Any


class Schema(marshmallow.Schema):
    """A schema that never changes once it is made, so that whoever copies what an operation is need not copy it.

    Operations are put together by copying, a status at a time: a quarter of the time that the service took to start.
    In the contract an answer is open: it may have fields that a caller does not know yet. Requests are `Strict`.
    """

    error_messages = {  # noqa: RUF012  as its base has it
        "unknown": "No such field is known here.",
        "type": "It is not an object with named fields.",
    }

    class Meta:
        unknown = EXCLUDE

    def __deepcopy__(self, memo: dict[int, Any]) -> Self:
        return self

    @override
    def _serialize(self, obj: Any, *, many: bool = False) -> Any:
        """As its base, by a plan for each type of value: of 1.4 ms of an order 0.45 are left."""
        if many and obj is not None:
            return [self._serialize(each) for each in obj]
        try:
            return _written(obj, self._plans.get(type(obj)) or self._planned(obj))
        except AttributeError:
            # What a value is made of may be of another type in the next one.
            return _written(
                obj,
                [part._replace(read=self._read_with_care(part.of)) if part.of else part for part in self._planned(obj)],
            )

    def _places(self) -> tuple[str, ...]:
        """Where what is written is looked for: "" is the value itself, else one that it names."""
        return ("",)

    @override
    def _init_fields(self) -> None:
        super()._init_fields()
        # Whoever nests a schema copies it, and may leave some of its fields out.
        self._plans: dict[type, list[_Part]] = {}
        if self.load_fields:
            known = ", ".join(sorted(field.data_key or name for name, field in self.load_fields.items()))
            self.error_messages = self.error_messages | {"unknown": f"No such field is known here. Known are {known}."}

    def _planned(self, value: object) -> list[_Part]:
        made = []
        for name, field in self.dump_fields.items():
            of = (field.attribute or name) if field._CHECK_ATTRIBUTE else ""  # noqa: SLF001
            read = self._read_straight(of, value) if of else _nothing
            if type(field).get_value is not fields.Field.get_value:
                of, read = "", partial(field.get_value, attr=name)
            made.append(_Part(field.data_key or name, of, read, _writer(field, name), field.dump_default))
        self._plans[type(value)] = made
        return made

    def _read_straight(self, attribute: str, value: object) -> _Read:
        """Where values of that one's type have it, the first that does; with care where that is not certain."""
        if "." not in attribute and not isinstance(value, dict):
            for where in self._places():
                read = attrgetter(f"{where}.{attribute}" if where else attribute)
                try:
                    read(value)
                except AttributeError:
                    continue
                return read
        return self._read_with_care(attribute)

    def _read_with_care(self, attribute: str) -> _Read:
        """`missing` where there is no such attribute, or of a dict no such key; a.b.c is one of another."""
        names, places = attribute.split("."), [attrgetter(where) for where in self._places() if where]

        def found(value: object) -> object:
            for name in names:
                value = value.get(name, missing) if isinstance(value, dict) else getattr(value, name, missing)
            return value

        def read(value: object) -> object:
            its = found(value)
            for place in places:
                if its is not missing:
                    break
                its = found(place(value))
            return its

        return read


class AddingSchema(Schema):
    """A schema of a value that adds to others: what it has not itself is read of those that `of` names, in turn."""

    of: ClassVar[str]

    @override
    def _places(self) -> tuple[str, ...]:
        return ("", *self.of.split())


class Word(fields.String):
    """A word of a whole list in an answer: of the same version of the contract no other comes."""

    def __init__(self, words: Sequence[str], *, allow_none: bool = False, **options: Any) -> None:  # noqa: ANN401
        allowed = [*words, *([None] if allow_none else [])]
        super().__init__(required=True, allow_none=allow_none, validate=validate.OneOf(allowed), **options)


class ByHand(fields.List[Any]):
    """A list in an answer whose rows one function writes, and their schema only describes.

    For what has hundreds of small values: a dump costs several times as much (DEVELOPERS.md, Decisions).
    """

    def __init__(self, schema: type[Schema], write: Callable[[Any], dict[str, Any]], **options: Any) -> None:  # noqa: ANN401
        super().__init__(fields.Nested(schema), **options)
        self._write = write

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [self._write(each) for each in value]


def _nothing(_: object) -> None:
    """A field that reads the value itself."""


def _written(value: object, plan: list[_Part]) -> dict[str, Any]:
    made = {}
    for key, _, read, write, default in plan:
        found = read(value)
        if found is missing:
            found = default() if callable(default) else default
            if found is missing:
                continue
        made[key] = found if write is None else write(found, value)
    return made


def _writer(field: fields.Field[Any], name: str) -> _Write | None:
    """How a field writes what it was given: as marshmallow does, without asking again what kind of field it is."""
    way: Any = type(field)._serialize  # noqa: SLF001  what every field is written by
    if way is fields.Field._serialize:  # noqa: SLF001
        return None
    if isinstance(field, fields.Nested) and way is fields.Nested._serialize:  # noqa: SLF001
        dump, many = field.schema.dump, field.schema.many or field.many
        return lambda value, _: None if value is None else dump(value, many=many)
    if isinstance(field, fields.List) and way is fields.List._serialize:  # noqa: SLF001
        each = _writer(field.inner, name) or _as_it_is
        return lambda value, of: None if value is None else [each(one, of) for one in value]
    kind = _passing(field, way)
    return lambda value, of: value if type(value) is kind else way(field, value, name, of)


def _as_it_is(value: object, _: object) -> object:
    return value


def _passing(field: fields.Field[Any], way: object) -> type | None:
    """Of which type values pass as they are."""
    if way is fields.String._serialize:  # noqa: SLF001
        return str
    if isinstance(field, fields.Number) and way is fields.Number._serialize and not field.as_string:  # noqa: SLF001
        return field.num_type
    return None
