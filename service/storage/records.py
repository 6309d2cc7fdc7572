"""Typed records of the core as JSON and back, by their own types and at full precision."""

from __future__ import annotations

from typing import Any, TypeVar

from cattrs.preconf.json import JsonConverter, make_converter

from service.tailoring.refusals import Fact

_Record = TypeVar("_Record")


def converter() -> JsonConverter:
    """What converts every record of the core; a room of rows with a form of its own adds to one."""
    made = make_converter(detailed_validation=False)
    # What a refusal or a notice says of itself is JSON already; its lists were tuples.
    made.register_structure_hook_func(
        lambda kind: kind == Fact, lambda kept, _: tuple(kept) if isinstance(kept, list) else kept
    )
    made.register_unstructure_hook_func(
        lambda kind: kind == Fact, lambda fact: list(fact) if isinstance(fact, tuple) else fact
    )
    return made


_CONVERTER = converter()


def written(record: object) -> Any:  # noqa: ANN401  JSON
    """A record as JSON."""
    return _CONVERTER.unstructure(record)


def read(kept: Any, kind: type[_Record]) -> _Record:  # noqa: ANN401  JSON
    """The record that JSON holds. Raises CattrsError, TypeError or ValueError where it is none of that kind."""
    return _CONVERTER.structure(kept, kind)
