"""A drop that the shop lacks: said where it clearly serves better, and only there."""

from dataclasses import replace

import pytest

from service.tailoring.body.body import read_body
from service.tailoring.garments.charts import reference_charts
from service.tailoring.quantities import inches
from service.tailoring.sizing.size_advice import size_advice
from tests.tailoring.men import QUESTION, REFERENCE, read

PAIRS = replace(REFERENCE, code="six", sold="pairs", drop_mm=inches(6))


def advised(chest, waist, **asked):
    taped = {"chest_girth": chest, "natural_waist_girth": waist, "trouser_waist_girth": waist, "stature": 70}
    body = read_body(tuple(read(name, inches(size), times=2) for name, size in taped.items()))
    return size_advice(body, replace(QUESTION, **asked))


@pytest.mark.parametrize(("chest", "waist", "drop"), [(42, 38, 4), (42, 34, 8), (42, 41, 1)])
def test_of_suits_in_pairs_of_six_inches_the_customers_own_drop_is_named(chest, waist, drop):
    other = advised(chest, waist, charts=(PAIRS,)).serves.other_drop
    assert inches(drop) == pytest.approx(other.drop.mm)
    assert str(waist) == other.labels["trousers"]
    assert other.saves.minor >= QUESTION.prices.plain_hem_minor


def test_whom_the_drop_fits_hears_of_no_other():
    assert advised(42, 36, charts=(PAIRS,)).serves.other_drop is None


def test_where_all_drops_are_on_offer_there_is_no_other():
    for waist in range(32, 44, 2):
        assert advised(42, waist, charts=tuple(reference_charts().values())).serves.other_drop is None


def test_what_another_drop_saves_is_what_it_costs_less_as_a_chart():
    """The block of that drop, asked for by itself, costs so much less than the one of six inches."""
    six, four = (advised(42, 39, charts=(reference_charts()[code],)) for code in ("reference", "reference_full"))
    other = six.serves.other_drop
    saved = six.plans[0].expected_cost.minor - four.plans[0].expected_cost.minor
    assert other.drop.mm == pytest.approx(inches(4))
    assert other.saves.minor == pytest.approx(saved, abs=60)
    assert ("reference_full",) == other.charts


def test_the_shops_other_chart_of_that_drop_is_named():
    full = replace(reference_charts()["reference_full"], code="full")
    found = advised(42, 39).looking_further((full,)).serves.other_drop
    assert "full" in found.charts
    assert "full" in found.words


def test_a_question_of_trousers_alone_has_no_drop():
    assert advised(42, 38, charts=(PAIRS,), garments=("trousers",)).serves.other_drop is None
