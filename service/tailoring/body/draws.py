"""Fixed bodies of one belief: the same quasi-random points for ever, so that the same question has the same answer."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import cast

import numpy as np
from scipy.special import ndtr, ndtri

from service.tailoring.arrays import Matrix, Vector
from service.tailoring.body.population import Belief
from service.tailoring.body.sobol import net

DRAWS = 512
# Where a label is all that is known, shares of many sizes are to be told apart.
DRAWS_OF_INTERVALS = 2048
# An interval that leaves less of what was believed leaves nothing.
_LEAST = 1e-300


def drawn(belief: Belief, dimensions: Sequence[str], points: int | None = None) -> tuple[Matrix, Vector]:
    """Bodies that the belief holds for possible [dimensions, points], in mm (kg, years), and what each counts for.

    As many as are needed where no number is said.

    Intervals are themselves here, not the normals that stand for them in the belief. One with an open end is a cut of
    what was read with an error, met one after the other (the GHK simulator of cut normals, from memory): no normal has
    its long tail. By one with two ends the bodies of its normal are weighed.
    """
    points = points or (DRAWS_OF_INTERVALS if belief.intervals else DRAWS)
    base = belief.besides or belief
    cuts = [each for each in belief.intervals if each.is_open]
    weighed = [each for each in belief.intervals if not each.is_open]
    asked = [base.index(name) for name in dimensions]
    looked = list(dict.fromkeys([*asked, *(each.at for each in weighed)]))
    at = [*(each.at for each in cuts), *looked]
    mean, cov = base.mean[at], base.cov[np.ix_(at, at)]
    # Dimensions of one column are all but copies of each other once read: a billionth keeps the root real.
    error = [*(each.error for each in cuts), *(0.0 for _ in looked)]
    root = np.linalg.cholesky(cov + np.diag(np.square(error) + np.diag(cov) * 1e-9))
    normals, weight = _normals(len(at), points), np.zeros(points)
    for k, each in enumerate(cuts):
        middle = mean[k] + root[k, :k] @ normals[:k]
        cut, within = _cut_normals(normals[k], (each.low - middle) / root[k, k], (each.high - middle) / root[k, k])
        normals = np.vstack([normals[:k], cut, normals[k + 1 :]])
        weight += within
    bodies = cast("Matrix", mean[len(cuts) :, None] + root[len(cuts) :] @ normals)
    for each in weighed:
        weight += each.log_weight(bodies[looked.index(each.at)])
    bodies = bodies[: len(asked)]
    logged = base.logs[asked]
    bodies[logged] = np.exp(bodies[logged])
    # What two sources say that cannot both be leaves no body: then all count alike.
    most = weight.max()
    return bodies, np.exp(weight - most) if np.isfinite(most) else np.ones(points)


def _cut_normals(normals: Vector, low: Vector, high: Vector) -> tuple[Vector, Vector]:
    """Standard normal points moved between `low` and `high` [points], and how likely it is to be there, in logs."""
    # Far out on the right the normal has no digits left: it is looked at from the left.
    side = np.where(low > 0, -1.0, 1.0)
    least, most = ndtr(np.where(side > 0, low, -high)), ndtr(np.where(side > 0, high, -low))
    share = least + ndtr(side * normals) * (most - least)
    within = np.where(most - least < _LEAST, -np.inf, np.log(np.maximum(most - least, _LEAST)))
    return cast("Vector", side * ndtri(np.maximum(share, _LEAST))), within


@cache
def _normals(dimensions: int, points: int) -> Matrix:
    """Standard normal points [dimensions, points]: an unscrambled Sobol net moved off zero."""
    return cast("Matrix", np.ascontiguousarray(ndtri(net(dimensions, points) + 0.5 / points).T))
