"""The six-inch drop, and how little it fits real men: fewer civilians than soldiers.

Sources: drop of 6 for suits sold as a pair (common practice, no source); normal men 4 to 7 in (US Army
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
    ("where", "soldiers", "more"),
    [(lambda off: abs(off) <= 1, 30.0, False), (lambda off: off > 1, 55.8, True), (lambda off: off < -1, 14.2, False)],
    ids=["within an inch", "larger", "smaller"],
)
def test_the_six_inch_drop_fits_fewer_civilians_than_soldiers(where, soldiers, more):
    # Civilians' waists are larger (US health survey of 2015-2016) and their chests are not.
    share = 100 * np.mean(where(waist_against(6)))
    assert (share > soldiers + 5) if more else (share < soldiers - 5)


@pytest.mark.parametrize(("drops", "soldiers"), [((4, 6), 64), ((4, 6, 8), 77)], ids=str)
def test_two_and_three_drops_serve_many_more_and_fewer_civilians_than_soldiers(drops, soldiers):
    served = np.any([abs(waist_against(drop)) <= 1 for drop in drops], axis=0)
    assert 2 * 100 * np.mean(abs(waist_against(6)) <= 1) < 100 * np.mean(served) < soldiers - 10


def test_young_men_have_the_larger_drop():
    # ANSUR II: median drop 5.4 in under 25 years, 3.7 over 45. Civilians of either age have less of it.
    men = many_men()
    drop = (men["chest_girth"] - men["waist_girth"]) / 25.4
    young, old = (np.median(drop[of]) for of in (men["age_years"] < 25, men["age_years"] > 45))
    assert 4 < young < 5.4
    assert 1 < old < 3.7


def test_length_is_nearly_independent_of_chest():
    # ANSUR II: r 0.25, so that every chest needs all three lengths.
    men = many_men()
    assert 0.25 == pytest.approx(np.corrcoef(men["stature"], men["chest_girth"])[0, 1], abs=0.05)


def test_three_civilians_in_ten_have_the_armys_normal_drop():
    # US Army TM 10-227 p. 1-1: 4 to 7 in. It calls it normal; half of the soldiers have it.
    drop = (many_men()["chest_girth"] - many_men()["waist_girth"]) / 25.4
    assert 0.25 < np.mean((4 <= drop) & (drop <= 7)) < 0.35
