"""The rack: which sizes of which charts are there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from service.tailoring.garments.chart_faults import labels_near
from service.tailoring.garments.charts import PLURALS, Chart, Garment
from service.tailoring.refusals import Refusal


class Racked(NamedTuple):
    """A size on the rack: its label, and the chart that it is of; None: of every chart that is asked for."""

    label: str
    chart: str | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """Sizes on the rack, by garment; of a garment that is not named, every size of every chart."""

    by_garment: Mapping[Garment, tuple[Racked, ...]] = field(default_factory=dict)

    @classmethod
    def of_labels(cls, labels: Mapping[Garment, Iterable[str]]) -> Stock:
        """Sizes on the rack by label alone."""
        return cls({garment: tuple(map(Racked, some)) for garment, some in labels.items()})

    def labels(self, garment: Garment, chart: str) -> frozenset[str] | None:
        """The labels of one garment that are there of a chart; None: every size."""
        racked = self.by_garment.get(garment)
        return None if racked is None else frozenset(each.label for each in racked if each.chart in (None, chart))

    def has(self, garment: Garment, chart: str, label: str) -> bool:
        """Whether a size is there."""
        labels = self.labels(garment, chart)
        return labels is None or label in labels


def check_stock(stock: Stock, charts: Sequence[Chart]) -> None:
    """Refuse a size on the rack that no chart has: it is a slip, not an empty rack.

    Raises Refusal `label_unknown`, or `chart_not_asked` for a chart that is not among `charts`.
    """
    for garment, where in PLURALS.items():
        racked = stock.by_garment.get(garment) or ()
        by_chart = {chart.code: {size.label for size in chart.sizes[garment]} for chart in charts if racked}
        known = set[str]().union(*by_chart.values())
        for position, (label, chart) in enumerate(racked):
            at = ("stock", where, position)
            if chart is not None and chart not in by_chart:
                raise Refusal("chart_not_asked", (*at, "chart"), given=chart, asked=", ".join(by_chart))
            if label not in (known if chart is None else by_chart[chart]):
                codes = chart or ", ".join(by_chart)
                near = labels_near(sorted(known if chart is None else by_chart[chart]), label)
                raise Refusal("label_unknown", (*at, "label"), given=label, chart=codes, garment=garment, allowed=near)
