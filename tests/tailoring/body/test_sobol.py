"""The net is scipy's, point for point: one made by others from the same direction numbers."""

import numpy as np
import pytest
from scipy.stats.qmc import Sobol

from service.tailoring.body.sobol import net


@pytest.mark.parametrize(("dimensions", "points"), [(1, 512), (7, 1), (16, 512), (160, 2048)])
def test_the_points_are_scipys(dimensions, points):
    assert np.array_equal(Sobol(dimensions, scramble=False).random(points), net(dimensions, points))


def test_more_dimensions_than_the_table_has_are_refused():
    with pytest.raises(ValueError, match="160 dimensions"):
        net(161, 8)
