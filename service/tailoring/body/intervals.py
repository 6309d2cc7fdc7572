"""Intervals: that a size lies between two ends, told with an error, and the normal that stands for that."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from scipy.special import log_ndtr, ndtr

from service.tailoring.arrays import Vector

ROOT_OF_TAU = 1 / math.sqrt(2 * math.pi)
# As a share of what was known before.
LEAST_SAID = 1e-9
# An interval is no narrower than this share of its error: nothing could tell, and digits would be lost.
LEAST_WIDTH = 0.01


@dataclass(frozen=True, slots=True)
class Interval:
    """That a size, taken with an error of SD `error`, lies from `low` to `high` (mm; from 0, to infinity)."""

    low: float
    high: float
    error: float

    def modelled(self, *, log: bool) -> tuple[float, float, float]:
        """Its ends and its error in the model's space: in mm, or in logs."""
        more = max(0.0, LEAST_WIDTH * self.error - (self.high - self.low)) / 2
        least, most = max(self.low - more, self.low / 2), self.high + more
        if not log:
            return (least if self.low > 0 else -math.inf), most, self.error
        low, high = (math.log(least) if self.low > 0 else -math.inf), math.log(most)
        # The same error in mm is the larger a share the smaller the man, so the ends lie a little lower: by the
        # share's square, which came nearest to the truth on a grid.
        ends = [end for end in (low, high) if math.isfinite(end)]
        share = self.error / math.exp(sum(ends) / len(ends))
        return low - share**2, high - share**2, share


@dataclass(frozen=True, slots=True)
class FittedInterval:
    """An interval of dimension `at`, in the model's space, and the normal (`size`, `variance`) that stands for it."""

    at: int
    low: float
    high: float
    error: float
    size: float
    variance: float

    @property
    def is_open(self) -> bool:
        """Whether it has but one end."""
        return math.isinf(self.low) or math.isinf(self.high)

    def beside(self, mean: float, variance: float) -> FittedInterval:
        """The same by the normal that moves what all else says of the dimension as knowing the interval does.

        `mean` and `variance` are what is known with the normal that stood for it till now.
        """
        known = 1 / variance
        rest = 1 / max(known - 1 / self.variance, LEAST_SAID * known)
        middle = rest * (mean * known - self.size / self.variance)
        size, sd = as_normal(self.low, self.high, middle, math.hypot(math.sqrt(rest), self.error))
        return replace(self, size=size, variance=sd**2 + self.error**2)

    def log_weight(self, sizes: Vector) -> Vector:
        """How much likelier `sizes` are to tell the interval itself than its normal has it, in logs; both ends closed.

        Bounded from above: beyond its ends the interval falls off faster than its normal.
        """
        off = np.abs(sizes - (self.low + self.high) / 2) / self.error
        half = (self.high - self.low) / 2 / self.error
        near, far = log_ndtr(half - off), log_ndtr(-half - off)
        told = near + np.log1p(-np.exp(far - near))
        return cast("Vector", told + (sizes - self.size) ** 2 / (2 * self.variance))


def as_normal(low: float, high: float, mean: float, sd: float) -> tuple[float, float]:
    """Mean and SD of the normal likelihood that moves Normal(mean, sd) as knowing `low < x < high` does.

    Either end may be infinite, not both. The moments of the truncated normal are matched.
    """
    if low > mean:
        # Far out on the right the normal has no digits left: it is looked at from the left.
        size, spread = as_normal(2 * mean - high, 2 * mean - low, mean, sd)
        return 2 * mean - size, spread
    a, b = (low - mean) / sd, (high - mean) / sd
    inside = ndtr(b) - ndtr(a)
    if not inside:
        # What cannot be is taken for the nearest that can.
        return high, sd
    at_a, at_b = (ROOT_OF_TAU * math.exp(-z * z / 2) for z in (a, b))
    shift = (at_a - at_b) / inside
    shrunk = 1 + (_times(a, at_a) - _times(b, at_b)) / inside - shift * shift
    # What must be multiplied to a standard normal to get Normal(shift, shrunk).
    precision = 1 / shrunk - 1
    if precision < LEAST_SAID:
        # It holds all of the belief and says nothing: next to nothing can be reckoned with.
        return mean, sd / math.sqrt(LEAST_SAID)
    return mean + sd * shift / shrunk / precision, sd / math.sqrt(precision)


def _times(z: float, density: float) -> float:
    """An infinite end has no density, and none is left of their product."""
    return z * density if density else 0.0
