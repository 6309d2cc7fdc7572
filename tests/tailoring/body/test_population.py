import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.body.population import AGE, Observation, men
from tests.tailoring.men import drawn_men, read_dimensions

MODEL = men()


def seen(sizes, names, sd_share=0.01):
    return [Observation(name, sizes[name], sizes[name] * sd_share) for name in names]


def test_the_survey_is_the_one_that_is_cited():
    # Gordon et al. 2014, NATICK/TR-15/007: 4,082 men aged 17 to 58; mean stature 1756 mm, chest 1059 mm.
    document = tables.document("body/population_men")
    assert (4082, 28) == (document["n"], len(document["variable"]))
    belief = MODEL.believe([])
    assert 1756 == pytest.approx(belief.median("stature"), abs=0.5)
    chest = belief.index("chest_girth")
    assert 1059 == pytest.approx(np.exp(MODEL.mean[chest] + MODEL.cov[chest, chest] / 2), abs=2)


def test_every_dimension_stands_on_a_column_and_names_its_source():
    columns = {variable["name"] for variable in tables.document("body/population_men")["variable"]}
    for row in tables.rows("body/dimensions"):
        assert row["column"] in columns
        assert row["source"]


def test_the_covariance_is_one_that_men_can_have():
    assert np.array_equal(MODEL.cov, MODEL.cov.T)
    # Two dimensions may share a column: never negative, hardly zero.
    assert np.linalg.eigvalsh(MODEL.cov).min() > -1e-9


def test_without_a_reading_the_belief_is_the_survey_with_its_wider_scatter():
    belief = MODEL.believe([])
    i = belief.index("stature")
    # ANSUR II: SD of stature 68.6 mm; the scatter outside survey teams is 1.25 times as wide.
    assert 68.55 * 1.25 == pytest.approx(belief.sd("stature"), rel=0.001)
    assert MODEL.mean[i] == belief.mean[i]
    assert frozenset() == belief.read


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


def test_what_was_not_read_scatters_wider_by_the_files_factor():
    looks = [Observation("stature", 1750, 3)]
    plain = np.diag(MODEL.cov - np.outer(row := MODEL.cov[MODEL.names.index("stature")], row) / (row[1] + 9))
    belief = MODEL.believe(looks)
    for dimension, factor in (("chest_girth", 1.4), ("waist_girth", 1.3), ("hip_girth", 1.2), ("arm_length", 1.25)):
        i = belief.index(dimension)
        assert plain[i] * factor**2 == pytest.approx(belief.cov[i, i], rel=1e-9)
    i = belief.index("stature")
    assert plain[i] == pytest.approx(belief.cov[i, i], rel=1e-9)


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
    # A sum is no look at either part: what was not read itself keeps its wider scatter.
    assert {"chest_girth"} == belief.read


@pytest.mark.parametrize(("years", "grown_mm"), [(54, 0), (58, 6)])
def test_past_54_the_waist_alone_grows_by_a_millimetre_and_a_half_a_year(years, grown_mm):
    plain = MODEL.mean
    aged = MODEL.believe([Observation(AGE, years, 1e6)])  # An age that tells nothing but the shift.
    for name in ("waist_girth", "trouser_waist_girth"):
        i = aged.index(name)
        assert np.exp(plain[i]) + grown_mm == pytest.approx(np.exp(aged.mean[i]), abs=0.01)
    i = aged.index("chest_girth")
    assert plain[i] == pytest.approx(aged.mean[i])


def test_many_drawn_men_have_the_surveys_mean_and_covariance():
    # The model is its own generator: what it says of a man given two readings is what such drawn men are.
    generator = np.random.default_rng(20140101)
    drawn = generator.multivariate_normal(MODEL.mean, MODEL.cov, 200_000, method="eigh")
    stature, hip = (MODEL.names.index(name) for name in ("stature", "hip_girth"))
    near = np.abs(drawn[:, stature] - 1800) < 5
    belief = MODEL.believe([Observation("stature", 1800, 5 / math.sqrt(3))])
    assert drawn[near, hip].mean() == pytest.approx(belief.mean[hip], abs=0.003)
    assert drawn[near, hip].std() == pytest.approx(math.sqrt(belief.cov[hip, hip]) / 1.2, rel=0.03)
