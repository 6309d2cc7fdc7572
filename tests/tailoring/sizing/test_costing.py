from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import WISHES, places
from service.tailoring.quantities import Length, inches
from service.tailoring.sizing.costing import costed_together, costing
from service.tailoring.sizing.place_costs import FACED_CLOTH_MM, cure_minor
from service.tailoring.work.prices import PriceBand, PriceList
from tests.tailoring.men import REFERENCE, block

PRICES = PriceList()
FEW = block(("36R", "40R", "40L", "46R", "30", "34", "38"), unfinished=False)
FINISHED = block(("34R", "40S", "44L", "28", "33", "42"), unfinished=False, worked_buttonholes=True)


def of(garment, chart=FEW, wish="usual", held=()):
    return costing(chart, garment, wish, PRICES, held)


def every_size(costs):
    return list(range(len(costs.spare_mm)))


def cost_at(costs, place, residual_mm):
    """What one place costs at a residual, in minor units of money."""
    at = [each.name for each in costs.places].index(place)
    need = np.array([[costs.spare_mm[0, at] - residual_mm]])
    return float(costs.exact(need, [at])[0, 0])


@pytest.mark.parametrize("garment", GARMENTS)
@pytest.mark.parametrize("chart", [FEW, REFERENCE, FINISHED], ids=["finished", "uncut", "worked cuffs"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_expected_cost_is_the_mean_of_the_true_costs_of_many_bodies(garment, chart, seed):
    # Closed form against 60,000 drawn bodies: within 1 % for every size.
    generator = np.random.default_rng(seed)
    costs = of(garment, chart)
    sizes = np.linspace(0, len(costs.spare_mm) - 1, 5).astype(int)
    at = list(range(len(costs.places)))
    mean = costs.spare_mm[generator.choice(sizes)] + generator.normal(0, 25, len(at))
    sd = generator.uniform(3, 45, len(at))
    draws = mean + sd * generator.standard_normal((60_000, len(at)))
    drawn = costs.exact(draws, at).mean(axis=0)
    expected = costs.expected(mean, sd, at, every_size(costs))
    assert drawn[sizes] == pytest.approx(expected[sizes], rel=0.01)


@pytest.mark.parametrize("chart", [FEW, REFERENCE], ids=["finished", "uncut"])
def test_where_another_size_is_brought_nothing_costs_more_than_at_the_limit_of_its_cures(chart):
    # The closed form against 60,000 drawn bodies, each of whose seats and thighs lies at its limit at the most.
    generator = np.random.default_rng(4)
    costs = of("trousers", chart)
    at, swapped = list(range(len(costs.places))), costs.cured_by_another_size
    assert ["seat", "thigh"] == [costs.places[i].name for i in swapped]
    mean, sd = costs.spare_mm[1] + generator.normal(0, 30, len(at)), np.full(len(at), 40.0)
    draws = mean + sd * generator.standard_normal((60_000, len(at)))
    expected = costs.expected(mean, sd, at, every_size(costs), swapped)
    for size in (0, 1, -1):
        spare = costs.spare_mm[size]
        near = np.where(
            np.isin(at, swapped), spare - np.clip(spare - draws, costs.bounds[:, 0], costs.bounds[:, 4]), draws
        )
        assert costs.exact(near, at)[:, size].mean() == pytest.approx(expected[size], rel=0.01)
    assert np.all(expected <= costs.expected(mean, sd, at, every_size(costs)) + 1e-6)


@pytest.mark.parametrize("garment", ["jacket", "waistcoat"])
def test_a_size_that_no_needle_changes_leaves_no_other(garment):
    # A coat's chest is let out by nothing: who is between two chests has one of them, whatever else is seen.
    assert () == of(garment).cured_by_another_size


@settings(max_examples=60)
@given(st.floats(-150, 150), st.sampled_from(GARMENTS))
def test_a_body_known_exactly_costs_what_it_costs(off_mm, garment):
    costs = of(garment)
    at = list(range(len(costs.places)))
    need = costs.spare_mm[1] - off_mm
    exact = costs.exact(need[None, :], at)[0]
    known = costs.expected(need, np.zeros(len(at)), at, every_size(costs))
    # On a knot the two sides differ by the price of the needle; a thousandth of a millimetre decides.
    residual = costs.spare_mm - need
    near_a_knot = np.abs(residual[..., None] - costs.knots).min(axis=(1, 2)) < 0.01
    assert exact[~near_a_knot] == pytest.approx(known[~near_a_knot], rel=1e-4, abs=0.05)


@given(st.floats(-200, 200), st.floats(1, 60), st.sampled_from(GARMENTS))
def test_no_size_costs_less_than_nothing(off_mm, sd_mm, garment):
    costs = of(garment)
    at = list(range(len(costs.places)))
    expected = costs.expected(costs.spare_mm[0] + off_mm, np.full(len(at), sd_mm), at, every_size(costs))
    assert np.all(expected >= -1e-6)


@pytest.mark.parametrize("garment", GARMENTS)
@pytest.mark.parametrize("chart", [FEW, REFERENCE], ids=["finished", "uncut"])
def test_the_stretches_of_every_place_follow_each_other(garment, chart):
    assert np.all(np.diff(of(garment, chart).knots, axis=1) >= 0)


@pytest.mark.parametrize("garment", GARMENTS)
def test_the_further_from_the_ideal_the_dearer(garment):
    costs = of(garment)
    for place in costs.places:
        for way in (1, -1):
            steps = [cost_at(costs, place.name, way * mm) for mm in (0, 2, 5, 30, 80, 200, 300)]
            assert all(nearer <= further + 1e-9 for nearer, further in pairwise(steps))
            assert steps[-2] < steps[-1]


@pytest.mark.parametrize("garment", GARMENTS)
def test_the_middle_of_the_tolerance_costs_nothing_and_its_edge_next_to_nothing(garment):
    costs = of(garment)
    for place in costs.places:
        assert 0 == cost_at(costs, place.name, 0)
        cures = costs.low_cures[costs.places.index(place)], costs.high_cures[costs.places.index(place)]
        for edge, cure in zip((place.low_mm, place.high_mm), cures, strict=True):
            # 0.4 of a plain hem, and no less than half of what would cure it (common practice, no source).
            worth = max(0.4 * PRICES.plain_hem_minor, 0.5 * cure_minor(cure, PRICES, 0) if cure else 0)
            assert worth == pytest.approx(cost_at(costs, place.name, edge * 0.9999), rel=0.001)


def test_outside_the_tolerance_the_cure_and_its_risk_are_paid_and_beyond_it_the_misfit():
    costs = of("trousers")
    waist = next(place for place in costs.places if place.name == "waist")
    into = alteration("trouser_waist_in")
    cure = cure_minor(into, PRICES, 0)
    misfit = waist.misfit_hems * PRICES.plain_hem_minor
    assert cure == pytest.approx(cost_at(costs, "waist", waist.high_mm + 0.01), rel=0.001)
    # Half way to its limit an alteration risks a quarter of the misfit, at its limit the whole of it.
    for part in (0.5, 0.9999):
        at = waist.high_mm + part * into.decrease_most_mm
        assert cure + part**2 * misfit == pytest.approx(cost_at(costs, "waist", at), rel=0.001)
    beyond = cost_at(costs, "waist", waist.high_mm + into.decrease_most_mm + inches(1))
    further = waist.misfit_hems_per_mm * inches(1) * PRICES.plain_hem_minor
    assert cure + misfit + further == pytest.approx(beyond)


def test_a_cure_costs_its_price_and_its_minutes():
    hem = alteration("trouser_hem")
    # A plain hem at 12.00 and 20 minutes at 0.25: the default price list.
    assert 1200 + 20 * 25 == cure_minor(hem, PRICES, 0)


@pytest.mark.parametrize("place", ["chest", "shoulder", "back_length"])
def test_what_cannot_be_let_out_is_a_misfit_at_once(place):
    # Swap, do not ticket: shoulder, chest too small, jacket too short (common practice, no source; US Army TM 10-227).
    costs = of("jacket")
    at = next(each for each in costs.places if each.name == place)
    assert cost_at(costs, place, at.low_mm - 0.1) >= at.misfit_hems * PRICES.plain_hem_minor


def test_a_cuff_with_worked_holes_is_moved_at_the_shoulder():
    # Trade press: worked buttonholes forbid the cuff.
    sleeve = [place.name for place in of("jacket", FINISHED).places].index("sleeve")
    worked, plain = of("jacket", FINISHED), of("jacket", FEW)
    assert "jacket_sleeve_shorten_at_shoulder" == worked.high_cures[sleeve].code
    assert "jacket_sleeve_lengthen_at_shoulder" == worked.low_cures[sleeve].code
    assert "jacket_sleeve_shorten_at_cuff" == plain.high_cures[sleeve].code


def test_an_uncut_leg_fits_whoever_it_can_be_hemmed_for():
    costs = of("trousers", REFERENCE)
    hem = cure_minor(alteration("trouser_hem"), PRICES, 0)
    # 1 1/2 in is kept below the edge (US Navy Uniform Regulations art. 3501.94); 14 in can be hemmed away.
    assert hem == pytest.approx(cost_at(costs, "inside_leg", inches(2)), rel=0.01)
    assert cost_at(costs, "inside_leg", inches(0.25)) > 2 * hem
    # The more is cut off, the less well knee and taper hang; what no hem can take is far dearer.
    by_spare = [cost_at(costs, "inside_leg", inches(spare)) for spare in (2, 4, 8, 13.9, 14.25)]
    assert sorted(by_spare) == by_spare
    assert by_spare[-1] - by_spare[-2] > 4 * PRICES.plain_hem_minor


def test_an_uncut_leg_with_little_cloth_is_turned_in_by_less_or_faced_and_costs_a_little_more():
    costs = of("trousers", REFERENCE)
    least = inches(min(float(row["inside_turn_in"]) for row in tables.rows("hems/shorter_turns")))
    hem, faced = (cost_at(costs, "inside_leg", mm) for mm in (inches(2), least + 0.01))
    assert hem < faced < 2 * hem
    leg = [place.name for place in costs.places].index("inside_leg")
    assert [False, True] == [bool(costs.curable(np.array([[mm]]), [leg])[0]) for mm in (least - 0.01, least + 0.01)]


def test_the_hem_of_an_uncut_leg_is_no_needle():
    costs = of("trousers", REFERENCE)
    at = list(range(len(costs.places)))
    residual = np.zeros((len(at), 1))
    leg = [place.name for place in costs.places].index("inside_leg")
    residual[leg, 0] = inches(4)
    assert costs.untouched(residual, at).tolist() == [True]
    residual[leg, 0] = inches(0.25)
    assert costs.untouched(residual, at).tolist() == [False]


BANDED = PriceList(
    fixed_minor=(("trouser_waist_in", 2500),),
    bands=(
        PriceBand("trouser_waist_in", Length(inches(1), "in"), 3500),
        PriceBand("trouser_waist_in", Length(inches(2), "in"), 6000),
        PriceBand("trouser_waist_out", Length(inches(1 / 2), "in"), 4000),
        PriceBand("trouser_hem", Length(inches(1), "in"), 1300),
        PriceBand("trouser_hem", Length(inches(4), "in"), 1900),
        # Nobody can take in so much: no amount is over it.
        PriceBand("jacket_waist_in", Length(inches(20), "in"), 99_000),
    ),
)


def test_a_price_by_the_amount_is_what_the_amount_that_is_sewn_costs():
    # The same body a millimetre apart under both lists: they differ by the prices of what a plan would order.
    for garment, chart in (("trousers", FEW), ("trousers", REFERENCE), ("jacket", FEW)):
        plain, banded = (costing(chart, garment, "usual", each) for each in (PRICES, BANDED))
        for i, place in enumerate(plain.places):
            for residual in np.arange(-120.0, 400.0, 1.0):
                cure = (plain.low_cures if residual < 0 else plain.high_cures)[i]
                if not plain.unfinished[i] and place.low_mm <= residual <= place.high_mm:
                    continue
                dearer = 0
                if cure and not (plain.unfinished[i] and residual < FACED_CLOTH_MM):
                    most = cure.increase_most_mm if residual < 0 else cure.decrease_most_mm
                    sewn = min(np.floor(abs(residual) / place.parts / inches(1 / 8) + 0.5) * inches(1 / 8), most)
                    before, after = (each.price(cure.code, cure.plain_hems, sewn).minor for each in (PRICES, BANDED))
                    dearer = after - before
                found = cost_at(banded, place.name, residual) - cost_at(plain, place.name, residual)
                assert dearer == pytest.approx(found, abs=1e-6)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_price_by_the_amount_is_expected_as_it_is_met(seed):
    # Closed form against 60,000 drawn bodies, as above, with stretches that the bands have split.
    generator = np.random.default_rng(seed)
    costs = costing(FEW, "trousers", "usual", BANDED)
    at = list(range(len(costs.places)))
    mean = costs.spare_mm[1] + generator.normal(0, 25, len(at))
    sd = generator.uniform(3, 45, len(at))
    draws = mean + sd * generator.standard_normal((60_000, len(at)))
    assert costs.exact(draws, at).mean(axis=0) == pytest.approx(
        costs.expected(mean, sd, at, every_size(costs)), rel=0.01
    )


@pytest.mark.parametrize(("low", "high"), [(5, 20), (-20, -5), (-5, 20)])
def test_a_band_of_the_shops_own_may_leave_the_ideal_out(low, high):
    held = (("trousers", "waist", low, high),)
    plain, costs = of("trousers"), of("trousers", held=held)
    waist = [place.name for place in costs.places].index("waist")
    # What is altered is altered to the band, not out of it: its nearest edge is the new ideal.
    aim = min(max(low, 0), high)
    assert plain.ideal_mm[waist] + aim == pytest.approx(costs.ideal_mm[waist])
    assert (low - aim, high - aim) == pytest.approx(tuple(costs.bounds[waist, (1, 3)]))
    for residual in (low - 9 - aim, (low + high) / 2 - aim, high + 9 - aim):
        need = np.array([costs.spare_mm[0, waist] - residual])
        known = costs.expected(need, np.zeros(1), [waist], every_size(costs))
        assert costs.exact(need[None], [waist])[0] == pytest.approx(known, abs=0.05)
        assert costs.untouched(np.array([[residual]]), [waist]) == (low <= residual + aim <= high)


@given(st.floats(-250, 250), st.sampled_from(GARMENTS))
def test_what_needs_no_needle_fits(residual_mm, garment):
    costs = of(garment)
    residual = np.array([[residual_mm]])
    for one in range(len(costs.places)):
        untouched, curable = costs.untouched(residual, [one]), costs.curable(residual, [one])
        assert not untouched[0] or curable[0]


@pytest.mark.parametrize("garment", GARMENTS)
def test_an_easier_wish_wants_a_larger_garment(garment):
    for closer, easier in pairwise(WISHES):
        spare, less = of(garment, wish=closer).spare_mm, of(garment, wish=easier).spare_mm
        assert np.all(spare >= less)
        assert np.any(spare > less)


def test_a_place_that_was_seen_is_held_to_its_fit_point():
    band = (("jacket", "chest", -5.0, 8.0),)
    held, free = of("jacket", held=band), of("jacket")
    assert cost_at(free, "chest", 20) < cost_at(held, "chest", 20)
    assert cost_at(held, "waist", 20) == cost_at(free, "waist", 20)


def test_arrays_are_built_once_a_revision_wish_and_price_list():
    assert of("jacket") is of("jacket")
    assert of("jacket") is not of("jacket", wish="easy")


def test_every_place_names_a_cure_that_exists_and_its_source():
    for garment in GARMENTS:
        for place in places(garment):
            for code in filter(None, (place.too_little_cure, place.too_much_cure)):
                assert (place.garment, place.basis) == (alteration(code).garment, alteration(code).basis)
            assert place.low_mm < 0 < place.high_mm
            assert place.ideal_mm["close"] <= place.ideal_mm["usual"] <= place.ideal_mm["easy"]
    assert all(row["source"] for row in tables.rows("garments/places"))


@pytest.mark.parametrize("first", [True, False], ids=["found in the first", "found in the second"])
def test_inlay_that_was_found_in_one_chart_is_not_counted_on_in_another_costed_beside_it(first):
    lets_out = of("trousers").low_cures[0]
    found = replace(FEW, code="found", inlays=((lets_out.code, inches(1 / 8)),))
    charts = (found, FEW) if first else (FEW, found)
    together = costed_together(charts, "trousers", "usual", PRICES)
    for chart in charts:
        alone, among = costing(chart, "trousers", "usual", PRICES), together[chart].among
        at = list(range(len(alone.places)))
        need = alone.spare_mm[2] + inches(3 / 4), np.full(len(at), 10.0)
        assert alone.expected(*need, at).tolist() == among.expected(*need, at)[together[chart].sizes].tolist()


def test_a_price_that_no_band_changes_is_the_same_for_every_amount():
    prices = PriceList(bands=(PriceBand("jacket_chest_in", Length(inches(1), "in"), 9000),))
    for chart in (FEW, FINISHED):
        plain, banded = (costing(chart, "trousers", "usual", each) for each in (PRICES, prices))
        assert plain.coefficients.tolist() == banded.coefficients.tolist()
