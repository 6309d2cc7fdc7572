"""US Army TM 10-227, Fitting of Army Uniforms: its figures against the table of fit points and against what is advised.

Paragraph 1-4b (the normal drop), page 3-11 (trousers and coat on the man), page 4-11 (button), slacks (each leg).
"""

from dataclasses import replace

import pytest

from service.tailoring.body.body import read_body
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.fit_points import fit_points, try_on_steps
from service.tailoring.fitting.sightings import Sighting, judge
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from tests.tailoring.men import QUESTION, REFERENCE, read, sizes_of


def verdict(code, size_in):
    point = fit_points()[code]
    judged = judge(point, Sighting(code, amount_mm=inches(size_in)))
    return "watched" if judged.watch else judged.verdict


@pytest.mark.parametrize(("drop_in", "worn"), [(3, False), (4, True), (5, True), (6, True), (7, True), (9, False)])
def test_the_normal_drop_is_four_to_seven_inches(drop_in, worn):
    # "The normal drop ranges from four to seven inches."
    assert worn == (verdict("drop", drop_in) in ("right", "watched"))


@pytest.mark.parametrize(
    ("shown_in", "expected"), [(0.25, "right"), (0.5, "right"), (0, "too_little"), (1, "too_much")]
)
def test_a_quarter_to_half_an_inch_of_shirt_collar_shows_at_the_back(shown_in, expected):
    assert expected == verdict("shirt_collar", shown_in)


def test_the_trouser_waist_has_about_half_an_inch_of_ease():
    point = fit_points()["trouser_waist"]
    assert inches(0.5) == point.band.right_mm
    assert ["right", "too_little", "too_much"] == [verdict("trouser_waist", size) for size in (0.5, -0.25, 2)]
    waist = next(place for place in places("trousers") if place.name == "waist")
    assert inches(0.5) == waist.ideal_mm["usual"]


@pytest.mark.parametrize(("ease_in", "worn"), [(1, False), (4, True), (7, True), (8, False)])
def test_the_coat_has_four_to_seven_inches_of_looseness_at_the_waist(ease_in, worn):
    # The Army cuts for drape; a civilian jacket is called right up to 5 in, and is worn up to 7.
    assert worn == (verdict("jacket_waist", ease_in) in ("right", "watched"))


@pytest.mark.parametrize(
    ("above_in", "expected"), [(-0.5, "right"), (0.5, "right"), (-1, "too_little"), (1, "too_much")]
)
def test_the_band_is_at_the_top_of_the_hip_bone_half_an_inch_more_or_less(above_in, expected):
    assert expected == verdict("trouser_rise", above_in)


def test_the_collar_neither_gaps_nor_do_side_pockets_spread():
    assert ["right", "too_much"] == [verdict("collar_gap", size) for size in (0, 0.5)]
    assert ["right", "too_little"] == [verdict("trouser_pockets", size) for size in (0, 0.5)]


def test_a_vent_that_spreads_says_that_waist_or_hips_are_snug():
    point = fit_points()["jacket_vents"]
    judged = judge(point, Sighting("jacket_vents", amount_mm=inches(1)))
    assert "too_little" == judged.verdict
    assert any("seat or waist tight" in cause for cause in judged.causes)


def test_the_hem_of_the_coat_meets_the_tip_of_the_thumb():
    assert ["right", "too_little", "too_much"] == [verdict("jacket_front_length", size) for size in (0, -2, 2)]


def test_the_button_is_about_an_inch_below_the_natural_waist():
    # Page 4-11 says so of the bottom button; it is the edge of what is right for the one that fastens.
    assert ["right", "too_much"] == [verdict("button_height", size) for size in (1, 2)]


def test_both_legs_are_measured_and_marked():
    point = fit_points()["leg_lengths"]
    assert point.core
    assert 7 == point.step == try_on_steps()[-1].number
    assert "both sides" in try_on_steps()[-1].words


def test_the_seat_is_sewn_before_the_waist():
    # "If the seat needs to be altered, the crotch must also be altered": one stage, and the waist after it.
    seat, fork, waist = (catalogue()[f"trouser_{part}_in"].stage for part in ("seat", "fork", "waist"))
    assert seat == fork < waist


def test_of_two_sizes_the_one_that_fits_the_seat_is_taken_and_its_waist_altered():
    # A man with the seat of a 36 and the waist of a 34, in the 34 and in the 36.
    seat_mm = REFERENCE.size("trousers", "36").mm("seat") - inches(2.5)
    body = read_body(
        (
            read("hip_girth", seat_mm, times=2),
            read("trouser_waist_girth", inches(34), times=2),
            read("thigh_girth", REFERENCE.size("trousers", "36").mm("thigh") - inches(1.75), times=2),
            read("stature", 1780),
        )
    )
    asked = replace(QUESTION, charts=(REFERENCE,))
    tight = (Sighting("trouser_seat", "smiles_under_seat"), Sighting("trouser_waist", amount_mm=inches(0.5)))
    swapped = check_fit(body, asked, Worn(REFERENCE, {"trousers": "34"}), tight)
    loose = (Sighting("trouser_seat", "right"), Sighting("trouser_waist", amount_mm=inches(2.5)))
    kept = check_fit(body, asked, Worn(REFERENCE, {"trousers": "36"}), loose)
    assert ("swap", "alter") == (swapped.decision, kept.decision)
    assert sizes_of(kept.plans[0])[1] == "36"
    assert "trouser_waist_in" in [each.code for each in kept.keeping.alterations]
    assert int(sizes_of(swapped.plans[0])[1]) > 34
