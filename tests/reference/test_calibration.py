"""What is said against what becomes of it, on men simulated as the service takes them to be: a seeded small bench.

The men, their evidence and the bodies that they may turn out to have are those of `tests.bench.simulated_men`: drawn
from the model, at all ages, and taped with half the allowable error. So this checks the engine's arithmetic and its
choice. Whether real men are so is checked by the tests of measured civilians below and by `test_population_bdims`. 89
and 57 % are computed from ANSUR II.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from service.tailoring.body.population import men
from service.tailoring.body.readings import dimensions, observed
from service.tailoring.sizing.sizing import advise
from tests.bench.calibration import (
    CASES_LEAST,
    POINTS_MOST,
    SHARES,
    against_bayes,
    covered,
    deciles,
    needs_of,
    racks_of,
    told_of_all,
    told_of_each,
)
from tests.bench.civilians import GUESS, agreement, civilian_coverage
from tests.bench.simulated_men import ASKED_FOR, KINDS, SEPARATES, TOLD_BY_MANY, Kind, simulated, taped, told

pytestmark = pytest.mark.lengthy
MEN, BODIES = 500, 64
# For intervals, a body a man: two binomial standard errors of 3,000 are 1.8, 1.5 and 0.8 points.
COUNTED = 3000
# A share is counted on 512 draws, and a tenth that few plans reach holds those that were counted too high: there three
# and a half standard errors are allowed where they are more than three points. Some 200 tenths are judged.
FEW, ERRORS_MOST = 50, 3.5
# Three points can be held to where chance alone moves a tenth by less than a third of that.
SURE_POINTS = 1.0


def allowed_points(tenth):
    """By how much a tenth may miss: three points, and what chance does where it holds few."""
    return POINTS_MOST if tenth.error_points <= SURE_POINTS else max(POINTS_MOST, ERRORS_MOST * tenth.error_points)


@cache
def cases(name):
    return list(simulated(KINDS[name], MEN, BODIES))


@cache
def rows(name, garments):
    return told_of_all(cases(name), ASKED_FOR[garments])


@cache
def counted(name):
    return list(simulated(KINDS[name], COUNTED, 1, seed=7))


EVERY_KIND = pytest.mark.parametrize("name", KINDS)
EVERY_GARMENT = pytest.mark.parametrize("garments", ASKED_FOR)


@EVERY_KIND
@EVERY_GARMENT
def test_every_tenth_of_two_hundred_plans_comes_true_to_three_points(name, garments):
    tenths = [(share, each) for share in range(len(SHARES)) for each in deciles(rows(name, garments), share)]
    judged = [(SHARES[share], each) for share, each in tenths if each.n >= CASES_LEAST]
    assert len(judged) >= len(SHARES)
    assert [] == [(share, each) for share, each in judged if each.off]


@pytest.mark.parametrize("name", TOLD_BY_MANY)
def test_of_men_who_tell_it_themselves_every_tenth_and_every_interval_come_true_to_three_points(name):
    men_of_it = TOLD_BY_MANY[name]()
    for garments in ASKED_FOR.values():
        rows_of_each = told_of_each(men_of_it, garments)
        judged = [e for share in range(len(SHARES)) for e in deciles(rows_of_each, share) if e.n >= FEW]
        assert len([each for each in judged if each.error_points <= SURE_POINTS]) > len(SHARES)
        assert [] == [each for each in judged if abs(each.points) > allowed_points(each)]
    for dimension in dimensions():
        for percent, (_, share) in covered(men_of_it, dimension).items():
            # What fits lies anywhere within a tolerance: flatter than the normal that has its SD, and half of the men
            # lie a little further out.
            flat = 2 if percent == 50 and name == "jacket that fits, as told" else 0
            assert -POINTS_MOST - flat <= 100 * share - percent <= POINTS_MOST, (dimension, percent)


@EVERY_KIND
@EVERY_GARMENT
def test_a_tenth_of_fewer_plans_comes_true_within_its_error(name, garments):
    for share in range(len(SHARES)):
        for each in deciles(rows(name, garments), share):
            if FEW <= each.n < CASES_LEAST:
                assert 0 == pytest.approx(each.points, abs=max(POINTS_MOST, ERRORS_MOST * each.error_points)), each


@EVERY_KIND
@EVERY_GARMENT
def test_over_all_men_it_is_neither_too_sure_nor_too_shy(name, garments):
    stated, done = np.split(rows(name, garments)[:, :-1], 2, axis=1)
    off = 100 * (done - stated).mean(axis=0)
    assert max(abs(off)) < 1


@EVERY_KIND
def test_its_intervals_hold_as_many_men_as_they_say(name):
    for dimension in dimensions():
        for percent, (_, share) in covered(counted(name), dimension).items():
            assert percent == pytest.approx(100 * share, abs=POINTS_MOST), dimension


@EVERY_KIND
def test_the_advised_plan_costs_what_the_best_by_many_draws_costs(name):
    # By 1,024 bodies of each man for the choice and as many others for its cost.
    ratios = against_bayes(KINDS[name], 40, 1024)
    assert {"suit", "jacket", "trousers"} == ratios.keys()
    assert max(ratio for ratio, _ in ratios.values()) <= 1.02


# ---------------------------------------------------------------- measured civilians


@pytest.mark.parametrize("names", [GUESS, ("chest_girth", *GUESS)], ids=["guess", "taped chest"])
def test_on_measured_civilians_its_intervals_hold_as_many_as_they_say(names):
    # Two binomial standard errors at 247 men are 6.4, 5.1 and 2.8 points. The seat errs on the wide side, and these
    # men's waists (they exercise) are smaller and wider apart than the country's: twice as much for those.
    for girth, (n, off_mm, _, shares) in civilian_coverage(names).items():
        assert n > 245
        assert abs(off_mm) < 12.7
        for percent, slack in ((50, 8), (80, 5.5), (95, 3)):
            more = 2 if girth == "waist_girth" else 1
            assert percent == pytest.approx(100 * shares[percent], abs=more * slack), girth


def test_a_civilians_jacket_size_is_found_by_his_tape_and_half_the_time_without():
    # From ANSUR II: a bare guess finds the nearest even size of 57 % of soldiers, a taped chest that of 89 %. These
    # civilians scatter wider (RMSE 41 mm): a guess finds 46 % of them, and it is within one size for nine in ten. Two
    # binomial standard errors are 6.5 and 4 points.
    found = agreement(repeats=2)
    _, tape, tape_near = found["nearest size: tape against true chest"]
    _, guess, guess_near = found["nearest size: guess against true chest"]
    assert 89 == pytest.approx(100 * tape, abs=4)
    assert 46 == pytest.approx(100 * guess, abs=6.5)
    assert guess_near > 0.85
    assert 1 == tape_near
    # The jacket advised weighs lengths and other girths as well.
    assert found["jacket advised: tape against true chest"][1] > 0.88
    assert found["jacket advised: guess against true chest"][1] > 0.47


# ---------------------------------------------------------------- what another reading does

# The order of a usual fitting, and the reverse.
ORDER = ("stature", "chest_girth", "trouser_waist_girth", "hip_girth", "arm_length", "cervical_height")
FITTED = 400


def costs_along(order):
    """[men, readings + 1]: the true cost of the advised suit after each reading, and what it was expected to be."""
    generator = np.random.default_rng(8)
    found = []
    for case in simulated(Kind(taped(order[0])), FITTED, BODIES, seed=9):
        body, costs = case.body, []
        for name in order:
            if name != order[0]:
                # The first body is the man himself; the others are bodies that he might have had before.
                size = float(case.bodies[0][men().names.index(name)])
                body = body.also((observed(told(name, size, generator)),))
            (offer,) = advise(body, replace(SEPARATES, limit=1)).offers
            own = sum(
                garment_offer.costing.exact(needs_of(garment_offer, case.bodies[:1]), garment_offer.at)[
                    0, garment_offer.sizes[int(garment_offer.expected.argmin())]
                ]
                for garment_offer in racks_of(offer)
            )
            costs.append((own, offer.pairs.min()))
        found.append(costs)
    return np.array(found)


@pytest.mark.parametrize("order", [ORDER, ORDER[::-1]], ids=["usual", "reversed"])
def test_another_reading_raises_no_cost_on_average(order):
    # One man's cost may rise when a reading tells that nothing fits him well; over all men it cannot, within two
    # standard errors of the paired difference. The stated cost and the true one alike.
    costs = costs_along(order)
    for of in range(2):
        rise = np.diff(costs[:, :, of], axis=1)
        error = rise.std(axis=0) / np.sqrt(len(rise))
        assert np.all(rise.mean(axis=0) <= 2 * error), ("true", "stated")[of]
    saved = costs[:, 0] - costs[:, -1]
    assert np.all(saved.mean(axis=0) > 2 * saved.std(axis=0) / np.sqrt(len(saved)))
