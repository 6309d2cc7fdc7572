"""Which size of a chart a label names: as the chart writes it, in a short form, or in a size system."""

from __future__ import annotations

from service.tailoring.garments.charts import LENGTH_CLASSES, Chart, Garment
from service.tailoring.labels.designation_systems import systems
from service.tailoring.labels.named_sizes import LENGTHS_OF, Meaning, Ranges, ranges_of
from service.tailoring.labels.short_forms import short_form
from service.tailoring.quantities import inches
from service.tailoring.refusals import Refusal

# A size of a chart is cut for a girth within this much of the middle of what a label of another system says.
NEAR_MM = inches(1)


def label_in(chart: Chart, garment: Garment, label: str, system: str | None = None) -> str:
    """The chart's own label of the size that `label` names.

    Without a system it is as the chart writes it, or that in a short form. With one, it is the size that is cut for the
    girth and the height that the system's label says; the regular length where it says no height.
    Raises Refusal `label_unknown`, and with a system what `named_sizes.ranges_of` does.
    """
    if system is None:
        short = short_form(label).text
        own = [size.label for size in chart.sizes[garment] if size.label in (label, short)]
        return label if label in own or not own else short
    ranges = ranges_of(system, garment, label)
    _, (least, most) = Meaning((system,), ranges).girth
    middle, wanted = (least + most) / 2, _length_class(ranges)
    near = [
        (abs(size.body_mm - middle), size.label)
        for size in chart.sizes[garment]
        if size.length_class == wanted and abs(size.body_mm - middle) <= NEAR_MM
    ]
    if not near:
        raise Refusal("label_unknown", ("label",), given=label, chart=chart.code, garment=garment)
    return min(near)[1]


def _length_class(ranges: Ranges) -> str:
    """The class whose wearers are of the height that is said."""
    if "stature" not in ranges:
        return "regular"
    middle = sum(ranges["stature"]) / 2
    (lengths,) = (part for part in systems()[LENGTHS_OF].parts if part.name == "length")
    off = [abs(bound.middle - middle) for cell in lengths.cells for bound in cell.bounds]
    return LENGTH_CLASSES[off.index(min(off))]
