"""The six-inch drop, and how little it fits real men.

Sources: drop of 6 for suits sold as a pair (trade press; common practice, no source); normal men 4 to 7 in (US Army
TM 10-227); 4,082 men of ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), navel waist: 30.0 % within 1 in of chest
label - 6, 55.8 % larger, 14.2 % smaller; drops 4 and 6 serve 64 %, drops 4, 6 and 8 serve 77 %.
"""

import numpy as np
import pytest

from service.tailoring import tables
from service.tailoring.garments.charts import ChartHead, chart, reference_chart
from service.tailoring.quantities import Length, inches
from tests.reference.published import many_men


def waist_against(drop_in):
    """How far (in) each man's waist is from what a suit of this drop has for his chest's label."""
    chest, waist = many_men()["chest_girth"] / 25.4, many_men()["waist_girth"] / 25.4
    label = 2 * np.round(chest / 2)  # The nearest even chest size.
    return waist - (label - drop_in)


def test_the_six_inch_drop_of_a_36_is_a_30():
    head = ChartHead("six", "Reference block sold in pairs", sold="pairs", drop=Length(inches(6), "in"))
    pairs = chart(head, tables.rows("garments/reference_chart"))
    for length_class in "SRL":
        with_it = [
            t.label
            for t in pairs.sizes["trousers"]
            if pairs.sold_together(pairs.size("jacket", f"36{length_class}"), t)
        ]
        assert ["30"] == with_it


def test_every_jacket_of_the_reference_block_has_trousers_six_inches_below():
    waists = {size.body_mm for size in reference_chart().sizes["trousers"]}
    for jacket in reference_chart().sizes["jacket"]:
        assert any(abs(jacket.body_mm - inches(6) - waist) < 0.01 for waist in waists)


@pytest.mark.parametrize(
    ("where", "percent"),
    [(lambda off: abs(off) <= 1, 30.0), (lambda off: off > 1, 55.8), (lambda off: off < -1, 14.2)],
    ids=["within an inch", "larger", "smaller"],
)
def test_the_six_inch_drop_fits_three_men_in_ten(where, percent):
    # The model is a normal in logs, the survey is men: two points are allowed between them.
    assert percent == pytest.approx(100 * np.mean(where(waist_against(6))), abs=2)


@pytest.mark.parametrize(("drops", "percent"), [((4, 6), 64), ((4, 6, 8), 77)], ids=str)
def test_two_and_three_drops_serve_many_more(drops, percent):
    served = np.any([abs(waist_against(drop)) <= 1 for drop in drops], axis=0)
    assert percent == pytest.approx(100 * np.mean(served), abs=2)


def test_young_men_have_the_larger_drop():
    # ANSUR II: median drop 5.4 in under 25 years, 3.7 over 45.
    men = many_men()
    drop = (men["chest_girth"] - men["waist_girth"]) / 25.4
    young, old = drop[men["age_years"] < 25], drop[men["age_years"] > 45]
    assert 5.4 == pytest.approx(np.median(young), abs=0.3)
    assert 3.7 == pytest.approx(np.median(old), abs=0.4)


def test_length_is_nearly_independent_of_chest():
    # ANSUR II: r 0.25, so that every chest needs all three lengths.
    men = many_men()
    assert 0.25 == pytest.approx(np.corrcoef(men["stature"], men["chest_girth"])[0, 1], abs=0.03)


def test_half_of_all_men_have_the_armys_normal_drop():
    # US Army TM 10-227 p. 1-1: 4 to 7 in. It calls it normal; the survey's model says how many have it.
    drop = (many_men()["chest_girth"] - many_men()["waist_girth"]) / 25.4
    assert 0.45 < np.mean((4 <= drop) & (drop <= 7)) < 0.6
