"""How sure a plan is said to be, against the same spelt out size by size on bodies drawn afresh.

Every combination that is sold is costed on each fresh body, exactly; what is near a size is read off the labels.
"""

from dataclasses import replace

import numpy as np
import pytest

from service.tailoring.body.body import read_body
from service.tailoring.body.draws import DRAWS
from service.tailoring.body.population import men
from service.tailoring.garments.charts import reference_charts
from service.tailoring.quantities import inches
from service.tailoring.sizing.sizing import Sizing, advise
from tests.bench.simulated_men import drawn_from
from tests.tailoring.men import QUESTION, REFERENCE, read

FRESH = 2000
# The shares are counted on so many points; both counts err, and of some thirty shares one may err by three errors.
ERRORS = 3.5
SIX = replace(REFERENCE, code="six", sold="pairs", drop_mm=inches(6))
LENGTHS = ("XS", "S", "R", "L", "XL")
KNOWN = {
    "height and weight": (read("stature", 1780), read("body_mass", 76)),
    "chest, waist and height": (read("chest_girth", 972), read("trouser_waist_girth", 838), read("stature", 1780)),
    "a large man": (read("stature", 1780), read("body_mass", 128)),
}


def numbers_of(label):
    """A label as its number and the place of its length."""
    digits = "".join(letter for letter in label if letter.isdigit())
    return int(digits), LENGTHS.index(label[len(digits) :] or "R")


def is_near(label, other, step):
    (size, length), (its, its_length) = numbers_of(label), numbers_of(other)
    return abs(size - its) <= step and abs(length - its_length) <= 1


class Spelt:
    """One offer on fresh bodies: each size's cost [N, sizes], and whether it fits once altered [N, sizes]."""

    def __init__(self, offer, bodies):
        self.offer, self.costs, self.fits, self.bare = offer, {}, {}, {}
        for garment, of in offer.garment_offers.items():
            places = [of.costing.places[i] for i in of.at]
            columns = [men().names.index(place.dimension) for place in places]
            need = bodies[:, columns] * np.array([place.share for place in places])
            residual = (of.costing.spare_mm[:, of.at][None] - need[:, None]).transpose(2, 0, 1)
            self.costs[garment] = of.costing.exact(need, of.at)
            self.fits[garment] = of.costing.curable(residual, of.at)
            self.bare[garment] = of.costing.untouched(residual, of.at)

    def labels(self, garment):
        return [size.label for size in self.offer.chart.sizes[garment]]

    def best(self, garments):
        """The least cost [N] and, by garment, the size [N] of it."""
        if len(garments) == 1 or self.offer.chart.sold == "separates":
            at = {garment: self.costs[garment].argmin(axis=1) for garment in garments}
        else:
            jacket, trousers = (self.costs[garment] for garment in garments)
            sizes = self.offer.chart.sizes
            sold = np.array(
                [[self.offer.chart.sold_together(a, b) for b in sizes["trousers"]] for a in sizes["jacket"]]
            )
            sums = [np.where(sold, one[:, None] + other, np.inf) for one, other in zip(jacket, trousers, strict=True)]
            pairs = np.array([np.unravel_index(each.argmin(), each.shape) for each in sums])
            at = dict(zip(garments, pairs.T, strict=True))
        return sum(self.costs[garment][np.arange(len(at[garment])), at[garment]] for garment in garments), at


def spelt_out(spelt, plan, garments):
    """The four shares of a plan's `garments`, counted size by size."""
    every = np.arange(FRESH)
    found = [each.best(garments) for each in spelt]
    which = np.argmin([least for least, _ in found], axis=0)
    least = np.min([least for least, _ in found], axis=0)
    same, within = np.ones((2, FRESH), dtype=bool)
    for garment in garments:
        chosen = plan.chosen[garment].label
        step = 2 if garment == "jacket" else 1
        labels = [each.labels(garment) for each in spelt]
        near = np.array([[is_near(chosen, label, step) for label in of] for of in labels])
        best = np.array([at[garment] for _, at in found])[which, every]
        fits = np.array([each.fits[garment] for each in spelt])[which, every, best]
        same &= np.array([[label == chosen for label in of] for of in labels])[which, best] & fits
        within &= near[which, best] & fits
    (own,) = (each for each in spelt if each.offer.chart.code == plan.chosen[garments[0]].chart)
    sizes = {garment: own.labels(garment).index(plan.chosen[garment].label) for garment in garments}
    cost = sum(own.costs[garment][:, size] for garment, size in sizes.items())
    bare, fits = (np.all([of[g][:, size] for g, size in sizes.items()], axis=0) for of in (own.bare, own.fits))
    best = (cost <= least + 1) & fits
    return [float(each.mean()) for each in (best | same, bare, fits, best | within)]


@pytest.mark.parametrize("known", KNOWN)
@pytest.mark.parametrize(
    "charts", [(REFERENCE,), tuple(reference_charts().values()), (SIX,)], ids=["one", "four drops", "in pairs"]
)
def test_every_share_is_that_of_bodies_drawn_afresh(known, charts):
    body = read_body(KNOWN[known])
    sizing = Sizing(body, replace(QUESTION, charts=charts, limit=2))
    bodies = drawn_from(body, FRESH, np.random.default_rng(3))
    spelt = [Spelt(offer, bodies) for offer in sizing.offers]
    for plan in sizing.advice().plans:
        stated = [(plan.shares, ("jacket", "trousers"))]
        stated += [(shares, (garment,)) for garment, shares in plan.garment_shares.items()]
        for shares, garments in stated:
            said = (shares.p_best, shares.p_no_alteration, shares.p_fits_after_alteration, shares.p_within_one_size)
            for share, counted in zip(said, spelt_out(spelt, plan, garments), strict=True):
                error = np.sqrt(counted * (1 - counted) * (1 / DRAWS + 1 / FRESH))
                assert counted == pytest.approx(share, abs=ERRORS * error + 2 / DRAWS), (garments, said)


def test_each_garment_is_surer_than_all_of_them_and_near_is_surer_than_the_very_size():
    plan = advise(read_body(KNOWN["height and weight"]), QUESTION).plans[0]
    assert {"jacket", "trousers"} == plan.garment_shares.keys()
    for alone in plan.garment_shares.values():
        assert plan.shares.p_best < alone.p_best < alone.p_within_one_size
        assert plan.shares.p_fits_after_alteration <= alone.p_fits_after_alteration
    assert plan.shares.p_within_one_size > 2 * plan.shares.p_best


def test_a_garment_that_serves_is_told_from_one_that_does_not():
    # A chest of 40 in with a waist of 50: no coat of any drop on offer closes, the trousers are to be had.
    taped = {
        "chest_girth": 40,
        "waist_girth": 50,
        "natural_waist_girth": 50,
        "trouser_waist_girth": 44,
        "hip_girth": 46,
    }
    body = read_body(tuple(read(name, inches(size), times=2) for name, size in taped.items()))
    plan = advise(body, QUESTION).plans[0]
    assert {"jacket"} == {each.garment for each in plan.beyond}
    assert "no" == plan.serves == plan.serves_of("jacket")
    assert "no" != plan.serves_of("trousers")
    assert 0 == plan.garment_shares["jacket"].p_best < plan.garment_shares["trousers"].p_best
