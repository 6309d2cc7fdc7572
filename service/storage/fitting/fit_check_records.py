"""Records of fit checks as JSON and back: what of their form is other than their types say."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeAlias, TypeVar

from cattrs import override
from cattrs.cols import namedtuple_dict_structure_factory, namedtuple_dict_unstructure_factory
from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn
from cattrs.preconf.json import JsonConverter

from service.storage.records import converter
from service.tailoring.fitting.fit_check_records import FitCheckRecord, RecordedChoice
from service.tailoring.garments.charts import ChartSize, Garment
from service.tailoring.sizing.plans import PlaceReport

_Record = TypeVar("_Record")
_Sizes: TypeAlias = dict[Garment, ChartSize]


def _converter() -> JsonConverter:
    made = converter()
    # By name, like everything else: a place in a row would change its meaning with the next field.
    made.register_structure_hook(PlaceReport, namedtuple_dict_structure_factory(PlaceReport, made))
    made.register_unstructure_hook(PlaceReport, namedtuple_dict_unstructure_factory(PlaceReport, made))
    # A size without article numbers is in rows as it was before there were any.
    made.register_unstructure_hook(ChartSize, make_dict_unstructure_fn(ChartSize, made, _cattrs_omit_if_default=True))
    # Sizes by garment stand in rows as lists: of a choice as pairs, of what was worn with the names of the two. What
    # is made last finds all that was registered before it.
    pairs = _as_list(made, lambda garment, size: [garment, size])
    sizes = override(unstruct_hook=pairs.write, struct_hook=pairs.read)
    made.register_unstructure_hook(RecordedChoice, make_dict_unstructure_fn(RecordedChoice, made, sizes=sizes))
    made.register_structure_hook(RecordedChoice, make_dict_structure_fn(RecordedChoice, made, sizes=sizes))
    named = _as_list(made, lambda garment, size: {"garment": garment, "size": size})
    worn = override(unstruct_hook=named.write, struct_hook=named.read)
    unsaid = override(omit_if_default=True)
    made.register_unstructure_hook(
        FitCheckRecord,
        make_dict_unstructure_fn(
            FitCheckRecord, made, worn=worn, prices_include_tax=unsaid, unit=unsaid, dressed=unsaid
        ),
    )
    made.register_structure_hook(FitCheckRecord, make_dict_structure_fn(FitCheckRecord, made, worn=worn))
    return made


class _Hooks(NamedTuple):
    write: Callable[[_Sizes], list[Any]]
    read: Callable[[list[Any], object], _Sizes]


def _as_list(made: JsonConverter, item: Callable[[Garment, Any], Any]) -> _Hooks:
    """Sizes by garment as a list of `item`s, as every release before wrote and reads them."""

    def write(sizes: _Sizes) -> list[Any]:
        return [item(garment, made.unstructure(size)) for garment, size in sizes.items()]

    def read(kept: list[Any], _: object) -> _Sizes:
        pairs = ((each["garment"], each["size"]) if isinstance(each, dict) else each for each in kept)
        return made.structure(dict(pairs), _Sizes)

    return _Hooks(write, read)


_CONVERTER = _converter()


def written(record: object) -> Any:  # noqa: ANN401  JSON
    """A record of a fit check, or a part of one, as JSON."""
    return _CONVERTER.unstructure(record)


def read(kept: Any, kind: type[_Record]) -> _Record:  # noqa: ANN401  JSON
    """The record that JSON holds. Raises CattrsError, TypeError or ValueError where it is none of that kind."""
    return _CONVERTER.structure(kept, kind)
