"""Intervals: that a size lies between two ends, told with an error, and the normal that stands for that."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtr

ROOT_OF_TAU = 1 / math.sqrt(2 * math.pi)
# As a share of what was known before.
LEAST_SAID = 1e-9


@dataclass(frozen=True, slots=True)
class Interval:
    """That a size, taken with an error of SD `error`, lies from `low` to `high` (mm; from 0, to infinity)."""

    low: float
    high: float
    error: float

    def modelled(self, *, log: bool) -> tuple[float, float, float]:
        """Its ends and its error in the model's space: in mm, or in logs."""
        if not log:
            return self.low or -math.inf, self.high, self.error
        low, high = (math.log(end) if end else -math.inf for end in (self.low, self.high))
        # The same error in mm is the larger a share the smaller the man, so the ends lie a little lower: by the
        # share's square, which came nearest to the truth on a grid.
        ends = [end for end in (low, high) if math.isfinite(end)]
        share = self.error / math.exp(sum(ends) / len(ends))
        return low - share**2, high - share**2, share


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
    # What must be multiplied to a standard normal to get Normal(shift, shrunk). An interval that holds all of the
    # belief says nothing: next to nothing can be reckoned with.
    precision = max(1 / shrunk - 1, LEAST_SAID)
    return mean + sd * shift / shrunk / precision, sd / math.sqrt(precision)


def _times(z: float, density: float) -> float:
    """An infinite end has no density, and none is left of their product."""
    return z * density if density else 0.0
