"""Typed records of the core as JSON and back, by their own types and at full precision."""

from __future__ import annotations

from typing import Any, TypeVar

from cattrs.cols import namedtuple_dict_structure_factory, namedtuple_dict_unstructure_factory
from cattrs.preconf.json import JsonConverter, make_converter

from service.tailoring.refusals import Fact
from service.tailoring.sizing.plans import PlaceReport

_Record = TypeVar("_Record")


def _converter() -> JsonConverter:
    made = make_converter(detailed_validation=False)
    # By name, like everything else: a place in a row would change its meaning with the next field.
    made.register_structure_hook(PlaceReport, namedtuple_dict_structure_factory(PlaceReport, made))
    made.register_unstructure_hook(PlaceReport, namedtuple_dict_unstructure_factory(PlaceReport, made))
    # What a refusal or a notice says of itself is JSON already; its lists were tuples.
    made.register_structure_hook_func(
        lambda kind: kind == Fact, lambda kept, _: tuple(kept) if isinstance(kept, list) else kept
    )
    made.register_unstructure_hook_func(
        lambda kind: kind == Fact, lambda fact: list(fact) if isinstance(fact, tuple) else fact
    )
    return made


_CONVERTER = _converter()


def written(record: object) -> Any:  # noqa: ANN401  JSON
    """A record as JSON."""
    return _CONVERTER.unstructure(record)


def read(kept: Any, kind: type[_Record]) -> _Record:  # noqa: ANN401  JSON
    """The record that JSON holds. Raises CattrsError, TypeError or ValueError where it is none of that kind."""
    return _CONVERTER.structure(kept, kind)
