import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.body.builds import AGE, BLOCK
from service.tailoring.body.population import Observation, men
from tests.bench.simulated_men import any_men
from tests.tailoring.men import drawn_men, read_dimensions

MODEL = men()


def seen(sizes, names, sd_share=0.01):
    return [Observation(name, sizes[name], sizes[name] * sd_share) for name in names]


def test_the_surveys_are_the_ones_that_are_cited():
    # Gordon et al. 2014, NATICK/TR-15/007: 4,082 soldiers; NHANES 2015-2016: 2,794 men of 17 years and over.
    document = tables.document("body/population_men")
    assert (4082, 2794) == tuple(document["source"][of]["n"] for of in ("soldiers", "civilians"))
    # 24 columns beside the block of stature, mass and waist and the age.
    assert 24 == len(document["column"])


@pytest.mark.parametrize(
    ("years", "stature_mm", "mass_kg", "waist_mm"),
    # Weighted medians of the men of those decades, US health survey of 2015-2016 (the waist at the iliac crest).
    [(25, 1762, 81.4, 907), (45, 1769, 90.3, 1016), (65, 1742, 87.0, 1052), (75, 1736, 85.1, 1053)],
)
def test_men_of_an_age_are_as_the_survey_of_civilians_has_them(years, stature_mm, mass_kg, waist_mm):
    belief = MODEL.believe([Observation(AGE, years, 0.5)])
    assert stature_mm == pytest.approx(belief.median("stature"), rel=0.01)
    # Weights are not quite normal in logs: young men's lie lower in the middle.
    assert mass_kg == pytest.approx(belief.median("body_mass"), rel=0.035)
    assert waist_mm == pytest.approx(belief.median("waist_girth"), rel=0.035)


def test_every_dimension_stands_on_a_column_and_names_its_source():
    columns = {column["name"] for column in tables.document("body/population_men")["column"]} | set(BLOCK)
    for row in tables.rows("body/dimensions"):
        assert row["column"] in columns
        assert row["source"]


def test_the_covariance_is_one_that_men_can_have():
    assert np.array_equal(MODEL.cov, MODEL.cov.T)
    # Two dimensions may share a column: never negative, hardly zero.
    assert np.linalg.eigvalsh(MODEL.cov).min() > -1e-9


def test_without_a_reading_the_belief_is_men_of_all_ages():
    belief = MODEL.believe([])
    assert np.array_equal(MODEL.mean, belief.mean)
    assert np.array_equal(MODEL.cov, belief.cov)
    assert frozenset() == belief.read


def test_men_of_all_ages_are_those_of_each_age_as_frequent_as_they_are():
    # Drawn age by age: the mixture has the moments that are told, though it is no normal.
    drawn = any_men(np.random.default_rng(5), 200_000)
    assert MODEL.mean == pytest.approx(drawn.mean(axis=0), rel=0.002, abs=0.004)
    assert np.diag(MODEL.cov) == pytest.approx(drawn.var(axis=0), rel=0.02)


def test_whoever_is_older_than_eighty_counts_as_eighty():
    # The survey counts all of 80 and over as 80.
    old, older = (MODEL.believe([Observation(AGE, years, 0.5)]) for years in (80, 85))
    assert old.mean[1:] == pytest.approx(older.mean[1:])


def test_an_exact_reading_is_believed():
    belief = MODEL.believe([Observation("chest_girth", 914.4, 0.01)])
    assert 914.4 == pytest.approx(belief.median("chest_girth"), abs=0.01)
    assert 0.01 == pytest.approx(belief.sd("chest_girth"), rel=0.01)


def test_one_reading_is_weighed_against_the_survey_by_the_textbook_formula():
    # Normal prior and normal error in logs: precision-weighted mean.
    i = MODEL.names.index("chest_girth")
    prior, error = float(MODEL.cov[i, i]), (20 / 1000) ** 2
    belief = MODEL.believe([Observation("chest_girth", 1000, 20)])
    weight = prior / (prior + error)
    assert weight * math.log(1000) + (1 - weight) * MODEL.mean[i] == pytest.approx(belief.mean[i], rel=1e-12)
    assert prior * error / (prior + error) == pytest.approx(belief.cov[i, i], rel=1e-9)


@settings(max_examples=40)
@given(drawn_men, read_dimensions, st.randoms(use_true_random=False))
def test_the_order_of_observations_does_not_matter(sizes, names, chance):
    looks = seen(sizes, names)
    shuffled = looks.copy()
    chance.shuffle(shuffled)
    one, other = MODEL.believe(looks), MODEL.believe(shuffled)
    assert one.mean == pytest.approx(other.mean, rel=1e-9)
    assert one.cov == pytest.approx(other.cov, rel=1e-6, abs=1e-12)


@settings(max_examples=40)
@given(drawn_men, read_dimensions)
def test_another_reading_never_widens_what_is_known(sizes, names):
    *before, last = seen(sizes, names)
    less, more = MODEL.believe(before), MODEL.believe([*before, last])
    assert np.all(np.diag(more.cov) <= np.diag(less.cov) * (1 + 1e-9))


def test_four_looks_say_as_much_as_one_of_half_the_error():
    four = MODEL.believe([Observation("hip_girth", 1000, 12)] * 4)
    one = MODEL.believe([Observation("hip_girth", 1000, 6)])
    assert one.mean == pytest.approx(four.mean, rel=1e-9)
    assert one.cov == pytest.approx(four.cov, rel=1e-6)


def test_a_chest_that_is_large_for_his_weight_is_carried_high():
    # The build is one factor: with the chest the shoulders and the neck are larger and the seat is smaller.
    plain = [Observation("stature", 1760, 3), Observation("body_mass", 85, 0.5), Observation(AGE, 40, 0.5)]
    middle = MODEL.believe(plain)
    high = MODEL.believe([*plain, Observation("chest_girth", middle.median("chest_girth") + 60, 7)])
    moved = {name: high.median(name) - middle.median(name) for name in ("shoulder_width", "neck_girth", "hip_girth")}
    assert moved["shoulder_width"] > 2
    assert moved["neck_girth"] > 2
    assert moved["hip_girth"] < -5
    assert all(high.sd(name) < middle.sd(name) for name in moved)


def test_the_waist_at_the_navel_tells_of_the_waist_of_the_trousers_and_keeps_its_scatter():
    belief = MODEL.believe([Observation("waist_girth", 860, 6)])
    assert 860 == pytest.approx(belief.median("trouser_waist_girth"), rel=0.01)
    # The bridge's own scatter (10 mm: common practice, no source) stays.
    assert belief.sd("trouser_waist_girth") > 10


def test_a_sum_is_evidence_on_its_parts():
    # Sums are taken to first order: near what the single dimensions say (here 130 mm) it is all but exact.
    drop = Observation("drop", 152.4, 1.0, (("chest_girth", 1.0), ("trouser_waist_girth", -1.0)))
    chest = Observation("chest_girth", 1000, 3)
    belief = MODEL.believe([chest, drop])
    assert 152.4 == pytest.approx(belief.median("chest_girth") - belief.median("trouser_waist_girth"), abs=1.5)
    assert belief.sd("trouser_waist_girth") < MODEL.believe([chest]).sd("trouser_waist_girth") / 4
    # A sum is no look at either part.
    assert {"chest_girth"} == belief.read


def test_many_drawn_men_have_the_models_mean_and_covariance():
    # The model is its own generator: what it says of a man given two readings is what such drawn men are.
    generator = np.random.default_rng(20140101)
    drawn = generator.multivariate_normal(MODEL.mean, MODEL.cov, 200_000, method="eigh")
    stature, hip = (MODEL.names.index(name) for name in ("stature", "hip_girth"))
    near = np.abs(drawn[:, stature] - 1800) < 5
    belief = MODEL.believe([Observation("stature", 1800, 5 / math.sqrt(3))])
    assert drawn[near, hip].mean() == pytest.approx(belief.mean[hip], abs=0.003)
    assert drawn[near, hip].std() == pytest.approx(math.sqrt(belief.cov[hip, hip]), rel=0.03)
