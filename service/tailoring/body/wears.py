"""What he wears already: a size that he says is his, or a garment that fits him, in a named chart.

Both tell an interval, not a measure. Estimates and expected costs take it as a normal of the interval's own spread, and
the answer says so: the tape is still worth asking for. Shares are counted on bodies of the interval itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Literal, TypeAlias

from service.tailoring.body.intervals import Interval, as_normal
from service.tailoring.body.population import Observation, men
from service.tailoring.garments.charts import Chart, Garment, GarmentSize
from service.tailoring.garments.places import places
from service.tailoring.notices import Notice
from service.tailoring.quantities import inches
from service.tailoring.refusals import Where

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
# That a garment fits is seen without pins or tape: half an inch out at each place (common practice, no source).
FITS_SD_MM = inches(1 / 2)


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


def notice(worn: Wears, at: Where) -> Notice:
    """That a label is not a measure, and how it was taken."""
    words = f"{worn.garment} {worn.label} of {worn.chart.code} gives a range, not one measure, and is used as a range."
    return Notice("label_is_an_interval", at, words)


def last_bought_notice(wears: Wears, source: str, source_id: str, on: date) -> Notice:
    """That a size is taken as worn because it was bought last and kept, and what says so."""
    return Notice(
        "worn_as_last_bought",
        ("wears_last_bought",),
        f"{wears.garment} {wears.label} of {wears.chart.code} was bought last and kept ({source} of {on.isoformat()}):"
        " it gives a range, not one measure, and is used as a range.",
        (
            ("garment", wears.garment),
            ("chart", wears.chart.code),
            ("label", wears.label),
            ("source", source),
            ("id", source_id),
            ("on", on.isoformat()),
        ),
    )


def _says(wears: Wears) -> tuple[Observation, ...]:
    """The body that his size is cut for, and for a jacket the arm that its length class is cut for."""
    step = [size.body_mm for size in wears.chart.sizes[wears.garment]]
    girth = _nearest(LABELLED[wears.garment], wears.size.body_mm, step)
    sleeve = wears.size.mm("sleeve")
    if sleeve is None:
        return (girth,)
    arm = next(each for each in places("jacket") if each.name == "sleeve")
    classes = [size.mm("sleeve") or 0.0 for size in wears.chart.sizes["jacket"] if size.body_mm == wears.size.body_mm]
    if len(set(classes)) == 1:
        return (girth,)  # no other length was there to choose
    ease = arm.ideal_mm["usual"]
    return (girth, _nearest(arm.dimension, sleeve - ease, [each - ease for each in classes]))


def _nearest(dimension: str, size: float, sizes: list[float]) -> Observation:
    """That of `sizes` this one lies nearest to what he takes his `dimension` for.

    Whoever lies beyond a chart wears the last of it: the outer sizes are open. A lone size counts as a step of 2 in.
    """
    steps = sorted(set(sizes))
    middles = [(smaller + larger) / 2 for smaller, larger in pairwise(steps)]
    at = steps.index(size)
    low, high = (0.0, *middles)[at], (*middles, math.inf)[at]
    if not middles:
        low, high = size - inches(1), size + inches(1)
    return interval_seen(dimension, Interval(low, high, SAID_SD_MM))


def interval_seen(dimension: str, interval: Interval) -> Observation:
    """That `dimension` lies in an `interval`: the normal that moves men in general as knowing the interval does."""
    model = men()
    i = model.names.index(dimension)
    low, high, error = interval.modelled(log=bool(model.logs[i]))
    spread = math.sqrt(float(model.cov[i, i]))
    size, sd = as_normal(low, high, float(model.mean[i]), math.hypot(spread, error))
    sd = math.hypot(sd, error)
    if model.logs[i]:
        size, sd = math.exp(size), math.exp(size) * sd
    return Observation(dimension, size, sd, looked=False, interval=interval)


def _fits(wears: Wears) -> tuple[Observation, ...]:
    """At every place the residual lies somewhere in the tolerance; an uncut leg tells nothing."""
    found = []
    for place in places(wears.garment):
        garment_mm = wears.size.mm(place.name)
        if garment_mm is None or (place.name == "inside_leg" and wears.chart.unfinished):
            continue
        # What fits him sits as he likes it: as most do.
        spare_mm = garment_mm - place.ideal_mm["usual"]
        low, high = ((spare_mm - edge_mm) / place.share for edge_mm in (place.high_mm, place.low_mm))
        found.append(interval_seen(place.dimension, Interval(low, high, FITS_SD_MM / place.share)))
    return tuple(found)
