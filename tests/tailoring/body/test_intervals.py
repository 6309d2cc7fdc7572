"""An interval and the normal that stands for it, against sums over a fine grid."""

import math

import numpy as np
import pytest
from scipy.special import ndtr

from service.tailoring.body.body import read_body
from service.tailoring.body.intervals import Interval, as_normal
from service.tailoring.body.readings import reading
from service.tailoring.body.wears import interval_seen
from service.tailoring.quantities import inches


def moments(grid, weight):
    mean = np.average(grid, weights=weight)
    return mean, math.sqrt(np.average((grid - mean) ** 2, weights=weight))


def normal(grid, mean, sd):
    return np.exp(-0.5 * ((grid - mean) / sd) ** 2)


@pytest.mark.parametrize(
    ("low", "high"), [(-1, 1), (-0.2, 0.1), (-math.inf, -1.5), (0.5, math.inf), (2, 3), (7.5, 9), (-9, -7.5), (11, 12)]
)
def test_the_normal_moves_a_belief_as_knowing_the_interval_does(low, high):
    mean, sd = 5.0, 2.0
    low, high = mean + low * sd, mean + high * sd
    grid = np.linspace(max(low, mean - 40 * sd), min(high, mean + 40 * sd), 2_000_001)
    # The tail is weighed against its own nearest point, which has digits where the normal itself has none left.
    nearest = min(max(mean, low), high)
    weight = np.exp(-0.5 * (((grid - mean) / sd) ** 2 - ((nearest - mean) / sd) ** 2))
    exact = moments(grid, weight)
    size, spread = as_normal(low, high, mean, sd)
    precision = 1 / sd**2 + 1 / spread**2
    moved = (mean / sd**2 + size / spread**2) / precision
    assert exact == pytest.approx((moved, precision**-0.5), rel=1e-4)


@pytest.mark.parametrize(("low", "high"), [(-math.inf, 12), (-12, math.inf), (-9, 9), (-40, 40)])
def test_an_interval_that_holds_all_of_a_belief_says_nothing(low, high):
    size, sd = as_normal(low, high, 0.0, 1.0)
    precision = 1 + 1 / sd**2
    assert (0, 1) == pytest.approx((size / sd**2 / precision, precision**-0.5), abs=1e-6)


def test_what_cannot_be_is_taken_for_the_nearest_that_can():
    assert (100.0, 1.0) == as_normal(90, 100, 1000, 1)
    assert (900.0, 1.0) == as_normal(900, 910, 0, 1)


@pytest.mark.parametrize("low", [38, 39, 40, 41, 42])
@pytest.mark.parametrize("width", [1, 2, 3])
def test_beside_a_tape_an_interval_says_what_it_adds_to_the_tape(low, width):
    # The chest taped once at 41 in; half an inch of error on the interval's ends.
    taped = read_body((reading("chest_girth", 41, "in"),))
    interval = Interval(inches(low), inches(low + width), inches(0.5))
    both = taped.also((interval_seen("chest_girth", interval),)).belief
    i = both.index("chest_girth")
    grid = np.linspace(inches(34), inches(50), 100_001)
    likely = ndtr((interval.high - grid) / interval.error) - ndtr((interval.low - grid) / interval.error)
    tape = normal(np.log(grid), taped.belief.mean[i], math.sqrt(taped.belief.cov[i, i])) / grid
    mean, sd = moments(np.log(grid), tape * likely)
    assert mean == pytest.approx(both.mean[i], abs=0.15 * sd)
    assert sd == pytest.approx(math.sqrt(both.cov[i, i]), rel=0.02)


def test_the_same_interval_told_again_says_little_more():
    # Of two alike and without an error the second says nothing: as a normal of its own it would take 0.71 off the SD.
    sharp = interval_seen("arm_length", Interval(600, 640, 0.5))
    once, twice = (read_body(()).also((sharp,) * times).belief for times in (1, 2))
    assert 0.85 * once.sd("arm_length") < twice.sd("arm_length") < once.sd("arm_length")
