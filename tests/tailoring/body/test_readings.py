import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.body.readings import Reading, dimensions, observed, reading, tape_sd
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.refusals import Refusal

LENGTHS = sorted(name for name, known in dimensions().items() if not known.is_mass)


def refused(*given_values):
    with pytest.raises(Refusal) as caught:
        reading(*given_values)
    return caught.value.code, caught.value.at


@pytest.mark.parametrize(
    ("dimension", "allowable_mm"),
    [
        ("chest_girth", 14),
        ("waist_girth", 12),
        ("hip_girth", 12),
        ("neck_girth", 6),
        ("stature", 6),
        ("inside_leg_length", 10),
        ("thigh_girth", 6),
        ("biacromial_breadth", 8),
        ("back_waist_length", 5),
        ("wrist_girth", 3),
        ("shoulder_length", 3),
    ],
)
def test_trained_staff_err_by_half_the_published_allowable_error(dimension, allowable_mm):
    # ANSUR II, allowable observer errors: NATICK/TR-11/017 app. G (read second-hand).
    assert allowable_mm / 2 == tape_sd(dimension)
    assert allowable_mm / 2 == observed(reading(dimension, 500, "mm")).sd


def test_scales_err_by_half_a_kilogram():
    # common practice, no source
    seen = observed(reading("body_mass", 80, "kg"))
    assert ("body_mass", 80.0, 0.5) == (seen.dimension, seen.size, seen.sd)


@pytest.mark.parametrize("dimension", sorted(dimensions()))
def test_a_man_who_tapes_himself_errs_twice_as_far(dimension):
    unit = "kg" if dimension == "body_mass" else "cm"
    own, staff = (observed(reading(dimension, 80, unit, source)) for source in ("self_measured", "measured"))
    assert (staff.size, 2 * staff.sd) == (own.size, own.sd)


def test_a_man_says_that_he_is_taller_than_he_is():
    # 12.2 mm (Merrill and Richardson 2009), and more the more of his height he has lost (1946 British birth cohort).
    young, old = (observed(reading("stature", 1800, "mm", "self_reported"), age) for age in (30, 80))
    assert (1787.8, 28) == (pytest.approx(young.size), young.sd)
    assert (1769, 34) == (pytest.approx(old.size), old.sd)


def test_a_mans_word_for_his_height_at_an_unknown_age_is_that_of_all_ages():
    young, any_age, old = (
        observed(reading("stature", 1800, "mm", "self_reported"), age).size for age in (30, None, 80)
    )
    assert old < any_age < young


@pytest.mark.parametrize("true_kg", [60, 88, 140])
def test_a_light_man_says_more_and_a_heavy_one_less_than_he_weighs(true_kg):
    # By a twentieth of what he is off the middle of 88 kg, with an SD of a twentieth of his weight.
    said = true_kg - 0.05 * (true_kg - 88)
    seen = observed(reading("body_mass", said, "kg", "self_reported"))
    assert (true_kg, 0.05 * true_kg / 0.95) == (pytest.approx(seen.size), pytest.approx(seen.sd))


def test_a_guessed_girth_is_worse_than_his_own_taping():
    guess, taped = (observed(reading("waist_girth", 34, "in", s)) for s in ("self_reported", "self_measured"))
    assert guess.sd > taped.sd


def test_a_trouser_label_speaks_of_a_larger_waist():
    # A trouser waist label 36 measured 37 to 41 in on seven makers (common practice, no source).
    seen = observed(reading("trouser_waist_girth", 36, "in", "label"))
    assert 37 < seen.size / 25.4 < 41
    assert seen.size - 1.5 * seen.sd < inches(37)
    assert seen.size + 3 * seen.sd > inches(41)


def test_a_label_is_a_far_weaker_witness_than_the_tape():
    for name in LENGTHS:
        if dimensions()[name].label_sd_mm is not None:
            assert observed(reading(name, 36, "in", "label")).sd > 2 * tape_sd(name)


@given(st.sampled_from(LENGTHS), st.integers(2, 9))
def test_repeats_shrink_the_error_by_the_root_of_their_number(dimension, times):
    one = observed(reading(dimension, 80, "cm"))
    many = observed(reading(dimension, 80, "cm", "measured", (80,) * (times - 1)))
    assert one.sd / math.sqrt(times) == pytest.approx(many.sd)
    assert one.size == pytest.approx(many.size)


def test_repeats_are_averaged():
    assert 910 == observed(reading("chest_girth", 900, "mm", "measured", (910, "920"))).size


@given(st.sampled_from(LENGTHS), st.integers(20 * 8, 60 * 8))
def test_the_unit_in_which_it_was_written_does_not_matter(dimension, eighths):
    inch, cm, mm = (
        observed(reading(dimension, size, unit))
        for size, unit in ((eighths / 8, "in"), (eighths * 2.54 / 8, "cm"), (eighths * 25.4 / 8, "mm"))
    )
    assert inch.size == pytest.approx(cm.size, rel=1e-12)
    assert inch.size == pytest.approx(mm.size, rel=1e-12)
    assert inch.sd == cm.sd == mm.sd


def test_a_reading_keeps_how_it_was_written():
    taken = reading("chest_girth", "38 1/4", "in", "measured", ("38½",))
    assert Reading("chest_girth", Length(971.55, "in"), "measured", (Length(977.9, "in"),)) == taken
    assert (971.55, 977.9) == taken.sizes
    assert Mass(80.0, "kg") == reading("body_mass", 80, "kg").size


@pytest.mark.parametrize(
    ("asked", "code", "at"),
    [
        (("ear_girth", 10, "cm"), "dimension_unknown", ("dimension",)),
        (("chest_girth", 10, "ell"), "unit_unknown", ("unit",)),
        (("chest_girth", 80, "kg"), "unit_unknown", ("unit",)),
        (("body_mass", 80, "cm"), "unit_unknown", ("unit",)),
        (("chest_girth", "wide", "cm"), "quantity_unreadable", ("value",)),
        (("chest_girth", "36,5", "in"), "quantity_unreadable", ("value",)),
        (("chest_girth", -1, "cm"), "quantity_negative", ("value",)),
        (("chest_girth", 36, "in", "hearsay"), "source_unknown", ("source",)),
        (("stature", 180, "cm", "label"), "label_not_sized", ("source",)),
        (("chest_girth", 36, "in", "measured", (36, "x")), "quantity_unreadable", ("repeats", 1)),
    ],
    ids=str,
)
def test_what_cannot_be_read_is_refused_where_it_stands(asked, code, at):
    assert (code, at) == refused(*asked)


def test_every_dimension_has_bounds_words_and_a_source():
    for known in dimensions().values():
        assert 0 < known.least < known.most
        assert known.words
        assert known.source
        assert known.error_sd > 0
