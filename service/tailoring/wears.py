"""What he wears already: a size that he says is his, or a garment that fits him, in a named chart.

Both tell an interval, not a measure. It is taken as a normal with the interval's own standard deviation, and the
answer says so: the tape is still worth asking for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from service.tailoring.charts import Chart, Garment, GarmentSize
from service.tailoring.fit_evidence import observation
from service.tailoring.notices import Notice
from service.tailoring.places import places
from service.tailoring.population import Observation
from service.tailoring.quantities import inches

How: TypeAlias = Literal["says", "fits"]

HOWS: tuple[How, ...] = ("says", "fits")

# The girth that a label speaks of.
LABELLED: dict[Garment, str] = {
    "jacket": "chest_girth",
    "trousers": "trouser_waist_girth",
    "waistcoat": "chest_girth",
}
# A man's word for his size is an inch out as often as not, and so is his sleeve (common practice, no source).
SAID_SD_MM = inches(1)
# The standard deviation of a uniform interval is its width by the root of twelve.
ROOT_OF_TWELVE = math.sqrt(12)


@dataclass(frozen=True, slots=True)
class Wears:
    """A size of a chart that he wears, and how that is known. Raises Refusal `label_unknown`."""

    chart: Chart
    garment: Garment
    label: str
    how: How

    def __post_init__(self) -> None:
        self.chart.size(self.garment, self.label)

    @property
    def size(self) -> GarmentSize:
        """The size that he wears."""
        return self.chart.size(self.garment, self.label)


def evidence(wears: Wears) -> tuple[Observation, ...]:
    """What a worn size says of the body; none of it counts as having read a dimension."""
    return _fits(wears) if wears.how == "fits" else _says(wears)


def notices(worn: tuple[Wears, ...]) -> tuple[Notice, ...]:
    """That a label is not a measure, and how it was taken."""
    return tuple(
        Notice(
            "label_is_an_interval",
            ("wears", i),
            f"{each.garment} {each.label} of {each.chart.code} tells a range; it is taken as a normal of that spread.",
        )
        for i, each in enumerate(worn)
    )


def _says(wears: Wears) -> tuple[Observation, ...]:
    """The body that his size is cut for, to within half a step and what a man's word is worth."""
    sd = math.hypot(_step_mm(wears) / ROOT_OF_TWELVE, SAID_SD_MM)
    girth = Observation(LABELLED[wears.garment], wears.size.body_mm, sd, looked=False)
    if wears.garment != "jacket":
        return (girth,)
    sleeve = observation("jacket", wears.size, "sleeve", 0.0, SAID_SD_MM, looked=False)
    return (girth, sleeve) if sleeve else (girth,)


def _fits(wears: Wears) -> tuple[Observation, ...]:
    """At every place the residual lies somewhere in the tolerance; an uncut leg tells nothing."""
    found = []
    for place in places(wears.garment):
        if place.name == "inside_leg" and wears.chart.unfinished:
            continue
        middle, width = (place.low_mm + place.high_mm) / 2, place.high_mm - place.low_mm
        seen = observation(wears.garment, wears.size, place.name, middle, width / ROOT_OF_TWELVE, looked=False)
        found += [seen] if seen else []
    return tuple(found)


def _step_mm(wears: Wears) -> float:
    """From his size to the next: the width of the interval that a label stands for."""
    bodies = sorted({size.body_mm for size in wears.chart.sizes(wears.garment)})
    steps = [larger - smaller for smaller, larger in pairwise(bodies)]
    return min(steps, default=inches(2))
