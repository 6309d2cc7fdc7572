"""The unit of an order: that in which most of its lengths were said, whoever reads it later."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from marshmallow import pre_dump

from service.http.callers.units import answer_in
from service.http.schemas import AddingSchema
from service.storage.orders.orders import FiledOrder
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.quantities import LengthUnit
from service.use_cases.orders.orders import PlacedOrder

_Shown = TypeVar("_Shown", bound=FiledOrder | PlacedOrder)


class InItsUnitSchema(AddingSchema):
    """An order that is answered in its own unit, where neither query nor body says one."""

    @pre_dump
    def _in_its_unit(self, shown: _Shown, **_: object) -> _Shown:
        order = shown.order if isinstance(shown, FiledOrder) else shown.filed.order
        answer_in(units_of(order.lines))
        return shown


def units_of(lines: Iterable[OrderLine]) -> Iterator[LengthUnit]:
    """The units of the lines' lengths."""
    for line in lines:
        for length in (line.amount.length if line.amount else None, line.target):
            if length is not None:
                yield length.unit
