"""The model of men against 2,528 men of 18 to over 80 years whom it never saw.

Source: National Health and Nutrition Examination Survey 2017-2018 (National Center for Health Statistics; public
domain), as the package `nhanes` carries it: used by tests only, never for fitting. It has no sample weights.
"""

import pytest

from service.tailoring.body.body import read_body
from tests.bench.civilians import (
    BANDS,
    DECADES,
    groups,
    large_men,
    measured_body,
    said_body,
    surveyed,
    told_waists,
    who_said,
)
from tests.tailoring.men import read


def measured(name):
    return told_waists(measured_body, surveyed(), groups(surveyed())[name])


def said(name):
    return told_waists(said_body, who_said(), groups(who_said())[name])


def test_the_sample_is_the_published_one():
    assert 2528 == len(surveyed())


def test_nearly_every_man_is_answered():
    assert measured("all").answered > 0.99
    assert said("all").answered > 0.99


def test_waists_told_from_height_weight_and_age_are_near_and_unbiased():
    found = measured("all")
    assert 0 == pytest.approx(found.bias, abs=5)
    assert found.rmse < 48


@pytest.mark.parametrize("decade", DECADES)
def test_waists_are_unbiased_at_every_age(decade):
    assert 0 == pytest.approx(measured(decade).bias, abs=10)


@pytest.mark.parametrize("band", BANDS)
def test_waists_are_unbiased_at_every_build(band):
    assert 0 == pytest.approx(measured(band).bias, abs=20 if band == "index above 40" else 10)


def test_intervals_hold_as_many_men_as_they_say():
    for percent, share in measured("all").covered.items():
        assert percent == pytest.approx(share, abs=3)


@pytest.mark.parametrize("decade", DECADES)
def test_intervals_hold_as_many_men_as_they_say_at_every_age(decade):
    found = measured(decade)
    for percent, share in found.covered.items():
        # Three points, and two binomial standard errors of so few men.
        error = 200 * (percent / 100 * (1 - percent / 100) / found.men) ** 0.5
        assert percent == pytest.approx(share, abs=3 + error)


def test_from_what_men_say_of_themselves_waists_are_unbiased_and_intervals_hold_as_many_as_they_say():
    found = said("all")
    assert 0 == pytest.approx(found.bias, abs=6)
    for percent, share in found.covered.items():
        assert percent == pytest.approx(share, abs=3)


def test_men_above_130_kg_are_answered_with_a_waist_that_is_near():
    many, known, near = large_men()
    assert many > 100
    assert known > 0.9 * many
    assert near >= 0.95


def test_nobody_who_gives_his_true_weight_is_asked_whether_he_meant_another_unit():
    asked = [man for man in surveyed() if any(each.code == "did_you_mean" for each in measured_body(man).notices)]
    assert [] == asked


def test_within_the_domain_there_is_always_an_estimate():
    for years, stature, mass in ((17, 1500, 40), (85, 2080, 200), (17, 1910, 200), (85, 1500, 120), (40, 1580, 41)):
        body = read_body((read("stature", stature), read("body_mass", mass)), years)
        assert not body.outside
        assert 550 < body.belief.median("waist_girth") < 1900
        assert 0.03 < body.belief.sd("waist_girth") / body.belief.median("waist_girth") < 0.08
