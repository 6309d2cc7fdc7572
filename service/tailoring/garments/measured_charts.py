"""A chart as it is read: every measure a length in the chart's own unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.tailoring.garments.charts import Chart, Garment, GarmentSize, LengthClass
from service.tailoring.quantities import Length, LengthUnit


@dataclass(frozen=True, slots=True)
class MeasuredSize:
    """One size, the body that it is cut for, its finished measures by place, and its article numbers."""

    label: str
    length_class: LengthClass
    body: Length
    measures: Mapping[str, Length]
    sku: str | None
    gtin: str | None


@dataclass(frozen=True, slots=True)
class MeasuredChart:
    """A chart with its drop, for pairs, and its sizes by garment."""

    chart: Chart
    drop: Length | None
    sizes: Mapping[Garment, tuple[MeasuredSize, ...]]


def measured(chart: Chart) -> MeasuredChart:
    """The chart in its own unit."""
    drop = None if chart.drop_mm is None else Length(chart.drop_mm, chart.unit)
    sizes = {garment: tuple(_size(size, chart.unit) for size in sizes) for garment, sizes in chart.sizes.items()}
    return MeasuredChart(chart, drop, sizes)


def _size(size: GarmentSize, unit: LengthUnit) -> MeasuredSize:
    measures = {place: Length(mm, unit) for place, mm in size.measures}
    return MeasuredSize(size.label, size.length_class, Length(size.body_mm, unit), measures, size.sku, size.gtin)
