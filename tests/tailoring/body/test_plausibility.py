import math
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.plausibility import plausible, repeats_wanted, within_bounds
from service.tailoring.body.population import AGE, Observation, men
from service.tailoring.body.readings import dimensions, observed, reading
from service.tailoring.refusals import Refusal
from tests.tailoring.men import drawn_men, read_dimensions, readings_of

CHEST, WAIST = reading("chest_girth", 36, "in"), reading("waist_girth", 30, "in")
STATURE = reading("stature", 175, "cm")


def said(readings, known=()):
    trusted, notices = plausible(tuple(readings), known)
    return trusted, [(notice.code, notice.at) for notice in notices]


def test_what_goes_together_is_trusted_without_a_word():
    assert ([0, 1, 2], []) == said([CHEST, WAIST, STATURE])


@pytest.mark.parametrize(
    ("dimension", "number", "given_unit", "meant_unit"),
    [
        ("chest_girth", 92, "in", "cm"),
        ("chest_girth", 38, "cm", "in"),
        ("chest_girth", 98, "mm", "cm"),
        ("waist_girth", 34, "cm", "in"),
        ("stature", 70, "cm", "in"),
        ("stature", 178, "in", "cm"),
        ("stature", 178, "mm", "cm"),
        ("body_mass", 12, "kg", "st"),
        ("neck_girth", 39, "in", "cm"),
        ("inside_leg_length", 32, "cm", "in"),
    ],
)
def test_a_number_that_no_man_measures_is_left_out_and_the_likely_unit_asked_about(
    dimension, number, given_unit, meant_unit
):
    # Inch and centimetre slips are the commonest fault (common practice, no source).
    trusted, (notice,) = plausible((reading(dimension, number, given_unit),), ())
    assert ([], "did_you_mean", ("readings", 0)) == (trusted, notice.code, notice.at)
    assert f"did you mean {number} {meant_unit}?" in notice.text


def test_a_slip_is_found_among_good_readings_and_they_are_kept():
    readings = [STATURE, reading("chest_girth", 92, "in"), WAIST]
    assert ([0, 2], [("did_you_mean", ("readings", 1))]) == said(readings)


@pytest.mark.parametrize("order", list(permutations(range(4))), ids=str)
def test_a_slip_that_only_the_others_betray_discredits_none_of_them_in_any_order(order):
    # 150 kg is possible by itself; with a chest of 36 in it may be 150 lb: that is asked, and his number taken.
    readings = [CHEST, WAIST, STATURE, reading("body_mass", 150, "kg")]
    given_readings = [readings[i] for i in order]
    at = order.index(3)
    assert ([0, 1, 2, 3], [("did_you_mean", ("readings", at))]) == said(given_readings)
    _, (notice,) = plausible(tuple(given_readings), ())
    assert (("given", "150 kg"), ("meant", "150 lb")) == notice.facts


def test_readings_that_contradict_each_other_are_kept_and_pointed_out():
    trusted, notices = said([reading("chest_girth", 50, "in"), reading("hip_girth", 34, "in")])
    assert [0, 1] == trusted
    assert [("reading_unlikely", ("readings", 0)), ("reading_unlikely", ("readings", 1))] == notices


def test_the_words_say_what_the_others_suggest():
    _, (first, _) = plausible((reading("chest_girth", 50, "in"), reading("hip_girth", 34, "in")), ())
    assert "50 in does not go with the other readings, which suggest about 3" in first.text


@pytest.mark.parametrize(
    "absurd", [("stature", 900, "mm"), ("chest_girth", 450, "mm"), ("body_mass", 2, "kg"), ("neck_girth", 9000, "mm")]
)
def test_a_value_of_no_man_in_any_unit_is_refused_where_it_stands(absurd):
    with pytest.raises(Refusal) as caught:
        plausible((WAIST, reading(*absurd)), ())
    assert ("reading_out_of_bounds", ("readings", 1, "value")) == (caught.value.code, caught.value.at)
    assert absurd[0] == caught.value.facts["dimension"]


def test_an_age_is_heard_with_the_readings():
    age = (Observation(AGE, 18, 0.5),)
    assert ([0], []) == said([reading("waist_girth", 800, "mm")], age)


def so_far_off(dimension, sds, known=()):
    """A reading that lies so many SDs from what is known, the tape's own error among them."""
    belief = men().believe(known)
    i = belief.index(dimension)
    size = belief.median(dimension)
    for _ in range(50):  # the error of a log depends on the size itself
        given = reading(dimension, float(size), "kg" if dimensions()[dimension].is_mass else "mm")
        sd = observed(given).sd / (size if belief.logs[i] else 1.0)
        off = belief.mean[i] + sds * math.sqrt(belief.cov[i, i] + sd**2)
        size = math.exp(off) if belief.logs[i] else off
    return given


@pytest.mark.parametrize("way", [-1, 1])
@pytest.mark.parametrize("dimension", ["chest_girth", "waist_girth", "stature"])
@pytest.mark.parametrize("age", [None, 25, 60])
def test_a_reading_is_pointed_out_from_four_standard_deviations_of_men_of_his_age(dimension, way, age):
    known = () if age is None else (Observation(AGE, age, 0.5),)
    assert ([0], []) == said([so_far_off(dimension, way * 3.95, known)], known)
    _, notices = said([so_far_off(dimension, way * 4.05, known)], known)
    assert 1 == len(notices)


@pytest.mark.parametrize("age", [18, 75])
def test_a_weight_that_only_a_heavy_mans_girths_bear_out_is_held_against_men_of_his_age_first(age):
    # So heavy, a man is likelier to have said pounds, though his girths go with it: at four SDs of men as old as he is.
    known = (Observation(AGE, age, 0.5),)
    slips = []
    for sds in (3.95, 4.05):
        heavy = so_far_off("body_mass", sds, known)
        belief = men().believe((*known, observed(heavy)))
        girths = [reading(name, float(belief.median(name)), "mm") for name in ("chest_girth", "waist_girth")]
        slips.append([code for code, at in said([heavy, *girths], known)[1] if at == ("readings", 0)])
    assert [[], ["did_you_mean"]] == slips


@pytest.mark.parametrize("dimension", dimensions())
def test_the_least_and_the_most_that_a_man_measures_are_within_bounds_and_nothing_beyond(dimension):
    known = dimensions()[dimension]
    unit = "kg" if known.is_mass else "mm"
    measured = [reading(dimension, size, unit) for size in (known.least, known.most)]
    beyond = [reading(dimension, size, unit) for size in (known.least - 0.01, known.most + 0.01)]
    assert [True, True, False, False] == [within_bounds(each) for each in (*measured, *beyond)]


@pytest.mark.parametrize("dimension", ["chest_girth", "waist_girth", "trouser_waist_girth"])
def test_the_girths_that_statistics_cannot_check_are_read_twice(dimension):
    # Two readings of chest and waist: common practice, no source.
    once, twice = reading(dimension, 90, "cm"), reading(dimension, 90, "cm", "measured", (90.5,))
    (notice,) = repeats_wanted((once,), [0])
    assert ("second_reading_advised", ("readings", 0)) == (notice.code, notice.at)
    assert [] == repeats_wanted((twice,), [0])
    assert [] == repeats_wanted((once, reading(dimension, 90.5, "cm")), [0, 1])


def test_no_second_reading_is_asked_of_what_a_man_says_himself():
    assert [] == repeats_wanted((reading("chest_girth", 90, "cm", "self_reported"),), [0])


@pytest.mark.parametrize("dimension", [name for name, known in dimensions().items() if not known.is_mass])
def test_repeats_apart_by_more_than_the_allowable_error_call_for_a_third(dimension):
    allowable = dimensions()[dimension].allowable_error
    apart, within = (reading(dimension, 800, "mm", "measured", (800 + allowable + more,)) for more in (0.5, -0.5))
    (notice,) = repeats_wanted((apart,), [0])
    assert ("repeats_disagree", ("readings", 0)) == (notice.code, notice.at)
    assert [] == repeats_wanted((within,), [0])


def test_a_reading_set_aside_asks_for_no_repeat():
    assert [] == repeats_wanted((reading("chest_girth", 92, "in"),), [])


@settings(max_examples=60)
@given(drawn_men, read_dimensions)
def test_a_man_of_the_survey_is_hardly_ever_doubted(sizes, names):
    # Within 1.5 SD on every axis nobody lies four SDs from what the rest of him suggests.
    readings = readings_of({name: sizes[name] for name in names})
    assert (list(range(len(names))), []) == said(readings)


@settings(max_examples=40)
@given(drawn_men, read_dimensions, st.integers(0, 5), st.randoms(use_true_random=False))
def test_doubts_do_not_depend_on_the_order_of_readings(sizes, names, spoilt, chance):
    spoil = names[spoilt % len(names)]
    readings = list(readings_of({name: sizes[name] * (1.3 if name == spoil else 1) for name in names}))
    shuffled = readings.copy()
    chance.shuffle(shuffled)

    def doubted(these):
        trusted, notices = plausible(tuple(these), ())
        codes = {(notice.code, these[notice.at[1]].dimension) for notice in notices}
        return {these[i].dimension for i in trusted}, codes

    assert doubted(readings) == doubted(shuffled)
