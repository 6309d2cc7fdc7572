"""Fixed bodies of one belief: the same quasi-random points for ever, so that the same question has the same answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import cast

import numpy as np
from scipy.special import ndtr, ndtri

from service.tailoring.population import Belief, Matrix, Vector

DRAWS = 512


def drawn(belief: Belief, dimensions: Sequence[str], points: int = DRAWS) -> Matrix:
    """Bodies that the belief holds for possible: [points, dimensions], in mm (kg, years)."""
    at = [belief.index(name) for name in dimensions]
    cov = belief.cov[np.ix_(at, at)]
    # Dimensions of one column are all but copies of each other once read: a billionth keeps the root real.
    root = np.linalg.cholesky(cov + np.diag(np.diag(cov) * 1e-9))
    y = belief.mean[at] + _normals(len(at), points) @ root.T
    logs = belief.logs[at]
    return cast("Matrix", np.where(logs, np.exp(np.where(logs, y, 0.0)), y))


def weights(belief: Belief, sizes: Mapping[str, Vector]) -> Vector | None:
    """What each drawn body [N] counts for, where an interval was taken as a normal; None where none was.

    The interval's own likelihood by that of the normal. `sizes` [N] in mm, by dimension.
    """
    if not belief.intervals:
        return None
    found = np.ones(len(sizes[belief.intervals[0].dimension]))
    for seen in belief.intervals:
        size, interval = sizes[seen.dimension], seen.interval
        if interval is None:
            continue
        inside = ndtr((interval.high - size) / interval.error) - ndtr((interval.low - size) / interval.error)
        off = np.log(size / seen.size) * seen.size if belief.logs[belief.index(seen.dimension)] else size - seen.size
        found *= inside * np.exp(np.square(off / seen.sd) / 2)
    return found


@cache
def _normals(dimensions: int, points: int) -> Matrix:
    """Standard normal points [points, dimensions]: an unscrambled Sobol net moved off zero."""
    # Half a second of imports that no start should wait for.
    from scipy.stats.qmc import Sobol  # noqa: PLC0415

    return cast("Matrix", ndtri(Sobol(dimensions, scramble=False).random(points) + 0.5 / points))
