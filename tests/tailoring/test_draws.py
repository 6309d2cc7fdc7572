"""The fixed bodies stand for a belief: as they are, for its normal; weighed, for what was truly told."""

import numpy as np
import pytest
from scipy.stats import norm

from service.tailoring.body import read_body
from service.tailoring.draws import drawn, weights
from service.tailoring.population import Observation
from service.tailoring.quantities import inches
from service.tailoring.wears import Wears, evidence
from tests.tailoring.men import REFERENCE

ANY_MAN = read_body(())
# A grid on which one dimension can be reckoned out: no sampling, no normal in the place of the interval.
GRID = np.linspace(500, 1700, 24_001)


def exact_share_below(limits, seen):
    """Of men in general of whom an interval was told, those below each limit: Bayes' rule on the grid."""
    belief, interval = ANY_MAN.belief, seen.interval
    i = belief.index(seen.dimension)
    men = norm.pdf(np.log(GRID), belief.mean[i], np.sqrt(belief.cov[i, i])) / GRID
    inside = norm.cdf((interval.high - GRID) / interval.error) - norm.cdf((interval.low - GRID) / interval.error)
    told = men * inside
    return [told[limit > GRID].sum() / told.sum() for limit in limits]


@pytest.mark.parametrize(
    ("garment", "label"),
    [
        ("jacket", "40R"),
        ("jacket", "36R"),
        ("jacket", "50R"),
        ("trousers", "30"),
        ("trousers", "44"),
        ("trousers", "50"),
    ],
)
def test_weighed_bodies_are_those_of_the_interval_and_not_of_its_normal(garment, label):
    seen = evidence(Wears(REFERENCE, garment, label, "says"))[0]
    belief = ANY_MAN.also((seen,), ()).belief
    (sizes,) = drawn(belief, [seen.dimension]).T
    weight = weights(belief, {seen.dimension: sizes})
    limits = np.quantile(sizes, [0.1, 0.25, 0.5, 0.75, 0.9])
    found = [np.average(sizes < limit, weights=weight) for limit in limits]
    assert found == pytest.approx(exact_share_below(limits, seen), abs=0.01)


def test_at_an_end_of_the_chart_the_normal_alone_would_be_wrong():
    seen = evidence(Wears(REFERENCE, "trousers", "50", "says"))[0]
    (sizes,) = drawn(ANY_MAN.also((seen,), ()).belief, [seen.dimension]).T
    limits = np.quantile(sizes, [0.1, 0.25, 0.5, 0.75, 0.9])
    away = [np.mean(sizes < limit) for limit in limits] - np.array(exact_share_below(limits, seen))
    assert np.abs(away).max() > 0.03


def test_what_is_no_interval_needs_no_weight():
    seen = Observation("chest_girth", inches(40), inches(1))
    belief = ANY_MAN.also((seen,), ()).belief
    assert weights(belief, {"chest_girth": np.full(4, inches(40))}) is None
