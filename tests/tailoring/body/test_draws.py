"""The fixed bodies stand for a belief: for its normal, and of an interval for what was truly told."""

import numpy as np
import pytest
from scipy.stats import norm

from service.tailoring.body.body import read_body
from service.tailoring.body.draws import drawn
from service.tailoring.body.intervals import Interval
from service.tailoring.body.population import Observation
from service.tailoring.body.readings import Reading
from service.tailoring.body.wears import Wears, evidence
from service.tailoring.quantities import Length, inches
from tests.bench.simulated_men import would_tell
from tests.tailoring.men import REFERENCE

ANY_MAN = read_body(())
# A grid on which one dimension can be reckoned out: no sampling, no normal in the place of the interval.
GRID = np.linspace(500, 1700, 24_001)


def exact_share_below(limits, seen):
    """Of men in general of whom an interval was told, those below each limit: Bayes' rule on the grid."""
    belief = ANY_MAN.belief
    i = belief.index(seen.dimension)
    men = norm.pdf(np.log(GRID), belief.mean[i], np.sqrt(belief.cov[i, i])) / GRID
    told = men * would_tell(GRID, seen.interval)
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
def test_bodies_are_those_of_the_interval_and_not_of_its_normal(garment, label):
    seen = evidence(Wears(REFERENCE, garment, label, "says"))[0]
    belief = ANY_MAN.also((seen,), ()).belief
    bodies, weight = drawn(belief, [seen.dimension])
    (sizes,) = bodies
    limits = np.quantile(sizes, [0.1, 0.25, 0.5, 0.75, 0.9])
    found = [np.average(sizes < limit, weights=weight) for limit in limits]
    assert found == pytest.approx(exact_share_below(limits, seen), abs=0.012)


def test_at_an_end_of_the_chart_the_normal_alone_would_be_wrong():
    seen = evidence(Wears(REFERENCE, "trousers", REFERENCE.sizes["trousers"][-1].label, "says"))[0]
    belief = ANY_MAN.also((seen,), ()).belief
    limits = belief.median(seen.dimension) + belief.sd(seen.dimension) * np.array([-1.3, -0.7, 0, 0.7, 1.3])
    away = norm.cdf([-1.3, -0.7, 0, 0.7, 1.3]) - exact_share_below(limits, seen)
    assert np.abs(away).max() > 0.03


def test_two_intervals_are_met_together():
    seen = evidence(Wears(REFERENCE, "jacket", "34S", "says"))
    belief = ANY_MAN.also(seen, ()).belief
    names = [each.dimension for each in seen]
    bodies, weight = drawn(belief, names)
    # The men themselves: those of many whom the two intervals fit.
    many = np.random.default_rng(7).multivariate_normal(ANY_MAN.belief.mean, ANY_MAN.belief.cov, 2_000_000)
    columns = [ANY_MAN.belief.index(name) for name in names]
    # Arms are no logarithms.
    men = np.column_stack([np.exp(many[:, columns[0]]), many[:, columns[1]]])
    likely = np.ones(len(men))
    for size, each in zip(men.T, seen, strict=True):
        likely *= would_tell(size, each.interval)
    for column in range(2):
        for q in (0.1, 0.5, 0.9):
            limit = np.quantile(bodies[column], q)
            exact = np.average(men[:, column] < limit, weights=likely)
            assert np.average(bodies[column] < limit, weights=weight) == pytest.approx(exact, abs=0.015)


def test_what_contradicts_the_tape_still_leaves_bodies():
    taped = read_body((Reading("chest_girth", Length(inches(52))),))
    belief = taped.also(evidence(Wears(REFERENCE, "jacket", "34S", "says")), ()).belief
    bodies, weight = drawn(belief, ["chest_girth", "arm_length"])
    # Nearer to the tape, which is the surer.
    assert inches(43) < np.median(bodies[0]) < inches(52)
    assert 0 < weight.sum() < np.inf
    assert 1 == weight.max()


def test_where_nothing_is_left_all_count_alike():
    taped = read_body((Reading("chest_girth", Length(inches(52))),))
    impossible = Observation("chest_girth", 105, 5, looked=False, interval=Interval(0, 110, 1))
    bodies, weight = drawn(taped.also((impossible,), ()).belief, ["chest_girth"])
    assert np.isfinite(bodies).all()
    assert (weight == 1).all()


def test_where_nothing_is_an_interval_all_count_alike():
    seen = Observation("chest_girth", inches(40), inches(1))
    belief = ANY_MAN.also((seen,), ()).belief
    bodies, weight = drawn(belief, ["chest_girth"])
    assert (weight == 1).all()
    assert np.median(bodies) == pytest.approx(belief.median("chest_girth"), rel=0.002)


FEW_GARMENTS = [
    [("jacket", "40R"), ("jacket", "46R")],
    [("jacket", "38R"), ("jacket", "42R"), ("trousers", "34")],
    [("waistcoat", "40R"), ("jacket", "44R"), ("trousers", "32")],
    [("jacket", "36R")] * 8,
    [("jacket", "40R"), ("trousers", "34"), ("waistcoat", "40R")],
]


@pytest.mark.parametrize("worn", FEW_GARMENTS, ids=["two jackets", "three", "at odds", "eight times", "a suit"])
def test_however_many_garments_fit_many_bodies_count(worn):
    # Where a handful carried all the weight, shares would be those of a handful.
    told = [seen for garment, label in worn for seen in evidence(Wears(REFERENCE, garment, label, "fits"))]
    _, weight = drawn(ANY_MAN.also(tuple(told), ()).belief, ["chest_girth", "waist_girth"])
    assert weight.sum() ** 2 / (weight**2).sum() > 0.8 * len(weight)


@pytest.mark.parametrize("readings", [(), (("chest_girth", 41),), (("arm_length", 25), ("hip_girth", 42))])
@pytest.mark.parametrize("hows", [("says",), ("fits",), ("says", "fits")])
def test_the_normals_that_stand_for_intervals_have_the_middle_and_the_spread_of_the_bodies(readings, hows):
    # Expected costs and shares speak of the same man: expectation propagation against the cut normals themselves.
    taped = read_body(tuple(Reading(name, Length(inches(size))) for name, size in readings))
    told = [seen for how in hows for seen in evidence(Wears(REFERENCE, "jacket", "40R", how))]
    belief = taped.also(tuple(told), ()).belief
    names = ["chest_girth", "waist_girth", "hip_girth", "arm_length", "trouser_waist_girth"]
    bodies, weight = drawn(belief, names, 8192)
    for name, sizes in zip(names, bodies, strict=True):
        i = belief.index(name)
        seen = np.log(sizes) if belief.logs[i] else sizes
        middle = np.average(seen, weights=weight)
        spread = np.sqrt(np.average((seen - middle) ** 2, weights=weight))
        assert belief.mean[i] == pytest.approx(middle, abs=0.02 * spread)
        assert np.sqrt(belief.cov[i, i]) == pytest.approx(spread, rel=0.04)
