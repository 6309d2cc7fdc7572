"""What he wears already: a size that he says is his, or a garment that fits him, in a named chart.

Both tell an interval, not a measure. It is taken as a normal with the interval's own standard deviation, and the
answer says so: the tape is still worth asking for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from scipy.special import ndtr

from service.tailoring.charts import Chart, Garment, GarmentSize
from service.tailoring.fit import ROOT_OF_TAU
from service.tailoring.fit_evidence import observation
from service.tailoring.notices import Notice
from service.tailoring.places import places
from service.tailoring.population import Interval, Observation, men
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
    """The body that his size is cut for, and for a jacket the arm that its length class is cut for."""
    step = [size.body_mm for size in wears.chart.sizes(wears.garment)]
    girth = _nearest(LABELLED[wears.garment], wears.size.body_mm, step)
    sleeve = wears.size.mm("sleeve")
    if sleeve is None:
        return (girth,)
    arm = next(each for each in places("jacket") if each.name == "sleeve")
    classes = [size.mm("sleeve") or 0.0 for size in wears.chart.jackets if size.body_mm == wears.size.body_mm]
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
    """That `dimension` lies in an `interval`: a normal in the model's space.

    It moves men in general as knowing the interval does. Shares are counted on bodies of the interval itself.
    """
    model = men()
    low, high, error = interval.low, interval.high, interval.error
    i = model.names.index(dimension)
    mean, spread = float(model.mean[i]), float(model.multiplier[i]) * math.sqrt(float(model.cov[i, i]))
    if not model.logs[i]:
        size, sd = interval_as_normal(low or -math.inf, high, mean, math.hypot(spread, error))
        return Observation(dimension, size, math.hypot(sd, error), looked=False, interval=interval)
    relative = error / math.exp(mean)
    lowest, highest = (math.log(end) if end else -math.inf for end in (low, high))
    at, sd = interval_as_normal(lowest, highest, mean, math.hypot(spread, relative))
    size, sd = math.exp(at), math.exp(at) * math.hypot(sd, relative)
    return Observation(dimension, size, sd, looked=False, interval=interval)


def interval_as_normal(low: float, high: float, mean: float, sd: float) -> tuple[float, float]:
    """Mean and SD of the normal likelihood that moves Normal(mean, sd) as knowing `low < x < high` does.

    Either end may be infinite, not both. The moments of the truncated normal are matched.
    """
    a, b = (low - mean) / sd, (high - mean) / sd
    inside = ndtr(b) - ndtr(a)
    at_a, at_b = (ROOT_OF_TAU * math.exp(-z * z / 2) for z in (a, b))
    shift = (at_a - at_b) / inside
    shrunk = 1 + (_times(a, at_a) - _times(b, at_b)) / inside - shift * shift
    # What must be multiplied to a standard normal to get Normal(shift, shrunk).
    precision = 1 / shrunk - 1
    return mean + sd * shift / shrunk / precision, sd / math.sqrt(precision)


def _times(z: float, density: float) -> float:
    """An infinite end has no density, and none is left of their product."""
    return z * density if density else 0.0


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
