import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.body.population import AGE, Observation
from service.tailoring.body.readings import dimensions, reading
from tests.tailoring.men import drawn_men, read, read_dimensions, readings_of

CHEST = reading("chest_girth", 36, "in", "measured", (36,))
SLIP = reading("chest_girth", 92, "in")


def codes(body):
    return [(notice.code, notice.at) for notice in body.notices]


def test_a_slip_tells_nothing_of_the_body():
    body = read_body((SLIP, reading("stature", 175, "cm")))
    assert [("did_you_mean", ("readings", 0))] == codes(body)
    assert ["stature"] == [seen.dimension for seen in body.observations]
    assert frozenset({"stature"}) == body.belief.read


def test_one_who_gives_nothing_is_any_man():
    body = read_body(())
    assert ((), (), False) == (body.observations, body.notices, body.outside)
    assert body.knows("chest_girth")


def test_his_age_is_evidence_too():
    young, old = (read_body((CHEST,), age).belief.median("waist_girth") for age in (20, 50))
    # Median drop falls from 5.4 in under 25 years to 3.7 over 45 (ANSUR II), among civilians faster.
    assert 20 < old - young < 100


def test_of_a_man_whose_age_is_not_known_all_ages_are_believed():
    tall = (read("stature", 1760), read("body_mass", 85))
    young, any_age, old = (read_body(tall, age).belief for age in (20, None, 75))
    assert young.median("waist_girth") < any_age.median("waist_girth") < old.median("waist_girth")
    assert any_age.sd("waist_girth") > old.sd("waist_girth")


@pytest.mark.parametrize("kg", [157, 175, 190])
def test_a_very_large_man_is_taken_at_his_word(kg):
    # Weights of men of the US health survey whose waists lie between 1,300 and 1,700 mm.
    body = read_body((read("stature", 1880), read("body_mass", kg)), 45)
    assert not body.outside
    assert "body_mass" in body.belief.read
    assert 1300 < body.belief.median("waist_girth") < 1700


@pytest.mark.parametrize(
    ("sizes", "age", "words"),
    [
        ({"stature": 1750}, 86, "age in years 86"),
        ({"stature": 1750}, 16, "age in years 16"),
        ({"stature": 1600, "body_mass": 144}, None, "body mass index 56"),
        ({"stature": 1800, "body_mass": 50}, None, "body mass index 15"),
        ({"stature": 2090}, None, "standing height in mm 2090"),
        ({"stature": 1490}, None, "standing height in mm 1490"),
        ({"body_mass": 205}, None, "body mass in kg 205"),
        ({"body_mass": 38}, None, "body mass in kg 38"),
    ],
)
def test_beyond_the_men_surveyed_nothing_is_predicted_and_the_tape_is_asked_for(sizes, age, words):
    body = read_body(tuple(read(name, size) for name, size in sizes.items()), age)
    notice = body.notices[-1]
    assert body.outside
    assert ("outside_model", ()) == (notice.code, notice.at)
    assert words in notice.text
    assert "Take the tape" in notice.text
    assert set(sizes) == set(body.belief.names)
    assert not body.knows("chest_girth")


@pytest.mark.parametrize(
    ("sizes", "age"),
    [
        ({"stature": 1500}, 17),
        ({"stature": 2080}, 85),
        ({"stature": 1910, "body_mass": 200}, None),
        ({"stature": 1581, "body_mass": 40}, 17),
    ],
)
def test_at_the_edge_of_the_domain_it_still_speaks(sizes, age):
    body = read_body(tuple(read(name, size) for name, size in sizes.items()), age)
    assert (False, True) == (body.outside, body.knows("chest_girth"))


def test_outside_the_model_what_was_taped_stands_by_itself():
    body = read_body((CHEST, reading("waist_girth", 40, "in", "measured", (40,))), 90)
    assert 36 * 25.4 == pytest.approx(body.belief.median("chest_girth"))
    assert 7 / 2**0.5 == pytest.approx(body.belief.sd("chest_girth"))
    assert 0 == body.belief.cov[0, 1]
    assert {"chest_girth", "waist_girth"} == set(body.belief.names)


def test_outside_the_model_two_readings_are_weighed_by_their_errors():
    body = read_body((read("arm_length", 600, times=1), read("arm_length", 620, source="self_measured")), 90)
    # SD 4 and 8 mm: four parts to one.
    assert 604 == pytest.approx(body.belief.median("arm_length"))


def test_more_evidence_joins_the_same_body():
    body = read_body((CHEST,))
    also = body.also((Observation("waist_girth", 800, 6),))
    together = read_body((CHEST, reading("waist_girth", 800, "mm")))
    assert np.array_equal(together.belief.mean, also.belief.mean)
    assert body.belief.sd("waist_girth") > also.belief.sd("waist_girth")
    assert 1 == len(body.observations)


def test_a_body_outside_the_model_stays_outside_with_more_evidence():
    body = read_body((CHEST,), 90).also((Observation("waist_girth", 800, 6),))
    assert (True, {"chest_girth", "waist_girth"}) == (body.outside, set(body.belief.names))


def test_the_age_is_no_reading_of_his():
    assert AGE not in dimensions()
    assert AGE not in read_body((CHEST,), 90).belief.names


@settings(max_examples=50)
@given(drawn_men, read_dimensions, st.randoms(use_true_random=False))
def test_the_order_of_readings_does_not_matter(sizes, names, chance):
    readings = list(readings_of({name: sizes[name] for name in names}))
    one = read_body(tuple(readings))
    chance.shuffle(readings)
    other = read_body(tuple(readings))
    assert one.outside == other.outside
    for name in one.belief.names:
        assert one.belief.median(name) == pytest.approx(other.belief.median(name), rel=1e-9)
        assert one.belief.sd(name) == pytest.approx(other.belief.sd(name), rel=1e-6)


@settings(max_examples=50)
@given(drawn_men, st.sampled_from(sorted(dimensions())), st.integers(2, 5))
def test_repeats_make_him_better_known(sizes, name, times):
    once, often = (read_body((read(name, sizes[name], times=n),)).belief for n in (1, times))
    assert often.sd(name) < once.sd(name)
