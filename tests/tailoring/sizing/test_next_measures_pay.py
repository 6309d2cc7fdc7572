"""Whether the question asked first is the one that pays: simulated men are taped and dressed, and their true costs met.

A man is drawn from what the service believes of him at the start; the tape errs by half the allowable error. Every
dimension is tried on every man as the one next measure, so that what is asked first is held against every fixed order,
man by man. Seeded: the same men for ever.
"""

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from service.tailoring.body.population import men
from service.tailoring.body.readings import dimensions, observed
from service.tailoring.sizing.next_measures import next_measures
from service.tailoring.sizing.offers import wanted_mm
from service.tailoring.sizing.sizing import advise
from tests.bench.calibration import needs_of
from tests.bench.simulated_men import Kind, simulated, taped, told
from tests.tailoring.men import QUESTION

pytestmark = pytest.mark.lengthy
MEN = 450
STARTS = {
    "height and weight": ("stature", "body_mass"),
    "chest": ("chest_girth",),
    "chest and waist": ("chest_girth", "waist_girth"),
}
SUIT = replace(QUESTION, garments=("jacket", "trousers"), limit=1)


def best_sizes(belief, offer):
    """The advised size of each rack: separates are chosen one by one."""
    found = {}
    for garment, garment_offer in offer.garment_offers.items():
        mean, sd = wanted_mm(belief, garment_offer.costing, garment_offer.at)
        found[garment] = garment_offer.sizes[
            int(garment_offer.costing.expected(mean, sd, garment_offer.at, garment_offer.sizes).argmin())
        ]
    return found


def true_costs(offer, body_mm):
    """What every size of each rack costs on this very body."""
    return {
        garment: garment_offer.costing.exact(needs_of(garment_offer, body_mm[None]), garment_offer.at)[0]
        for garment, garment_offer in offer.garment_offers.items()
    }


def paid(offer, cost_of, belief):
    """What the advised suit costs on the body whose costs these are."""
    return sum(float(cost_of[garment][size]) for garment, size in best_sizes(belief, offer).items())


def taped_now(body, name, body_mm, generator):
    """What is believed once one more dimension of this body has been taped."""
    reading = told(name, float(body_mm[men().names.index(name)]), generator)
    return body.also((observed(reading),)).belief


@cache
def costs_after(start):
    """[men, 2 + dimensions]: the true cost as things stand, after the first question, and after each dimension."""
    generator = np.random.default_rng(1234)
    names, rows = tuple(dimensions()), []
    # The man himself, with the wider scatter of what was not read: as the service takes men to be.
    for case in simulated(Kind(taped(*STARTS[start])), MEN, 1, seed=4321):
        (body_mm,) = case.bodies
        advice = advise(case.body, SUIT)
        (offer,) = advice.offers
        cost_of = true_costs(offer, body_mm)

        now = paid(offer, cost_of, case.body.belief)
        after = [paid(offer, cost_of, taped_now(case.body, name, body_mm, generator)) for name in names]
        asked = next_measures(case.body, SUIT, [offer])
        first = names.index(asked[0].dimension) if asked else None
        rows.append([now, now if first is None else after[first], *after])
    return np.array(rows)


def over(costs):
    """By dimension, how much more a man costs on average where it is always asked, and the standard error of that."""
    more = costs[:, 2:] - costs[:, 1:2]
    return more.mean(axis=0), more.std(axis=0) / np.sqrt(len(more))


def test_over_all_starts_what_is_asked_first_saves_more_than_any_fixed_question():
    more, error = over(np.concatenate([costs_after(start) for start in STARTS]))
    assert np.all(more > 2 * error)


@pytest.mark.parametrize("start", STARTS)
def test_what_is_asked_first_saves(start):
    costs = costs_after(start)
    saved = costs[:, 0] - costs[:, 1]
    assert saved.mean() > 2 * saved.std() / np.sqrt(MEN)
    assert saved.mean() > 0.1 * costs[:, 0].mean()


@pytest.mark.parametrize("start", STARTS)
def test_from_one_start_no_fixed_question_saves_more(start):
    more, error = over(costs_after(start))
    assert np.all(more >= -2 * error)


@pytest.mark.parametrize("start", STARTS)
def test_from_one_start_nearly_every_fixed_question_saves_less(start):
    # Where one question is best for nearly every man, always asking it is as good, and its near copies are nearly.
    more, error = over(costs_after(start))
    assert np.sum(more > 2 * error) >= len(more) - 4


# What any first question may be, and what a fixed order would ask: all triples of these.
ASKED_ABOUT = (
    "chest_girth",
    "trouser_waist_girth",
    "waist_girth",
    "hip_girth",
    "thigh_girth",
    "arm_length",
    "cervical_height",
    "back_width",
)


def test_three_questions_in_turn_save_more_than_any_fixed_order_of_three():
    # Over all starts, by three standard errors. (Over 2,100 men it is by seven and more.)
    generator = np.random.default_rng(31)
    fixed, more = tuple(combinations(ASKED_ABOUT, 3)), []
    for start in STARTS.values():
        for case in simulated(Kind(taped(*start)), 220, 1, seed=32):
            (body_mm,) = case.bodies
            (offer,) = advise(case.body, SUIT).offers
            cost_of = true_costs(offer, body_mm)
            answers = {
                name: observed(told(name, float(body_mm[men().names.index(name)]), generator)) for name in dimensions()
            }
            body = case.body
            for _ in range(3):
                asked = next_measures(body, SUIT, advise(body, SUIT).offers)
                body = body.also((answers[asked[0].dimension],)) if asked else body
            ours = paid(offer, cost_of, body.belief)
            orders = (case.body.also(tuple(answers[name] for name in order)) for order in fixed)
            more.append([paid(offer, cost_of, other.belief) - ours for other in orders])
    each = np.array(more)
    assert np.all(each.mean(axis=0) > 3 * each.std(axis=0) / np.sqrt(len(each)))


# The chest should always be asked here. Five nodes lie a size apart where the chest is uncertain by 40 mm: all of them
# meet a size in the same phase, and two men in five are asked for their waist instead.
def test_from_height_and_weight_the_first_question_saves_as_much_as_the_chest():
    generator = np.random.default_rng(77)
    more = []
    for case in simulated(Kind(taped("stature", "body_mass")), 800, 4, seed=78):
        (offer,) = advise(case.body, SUIT).offers
        first = next_measures(case.body, SUIT, [offer])[0].dimension
        if first == "chest_girth":
            more.append(0.0)
            continue
        bodies = [(true_costs(offer, body_mm), body_mm) for body_mm in case.bodies]
        chest, asked = (
            np.mean([paid(offer, cost, taped_now(case.body, name, body_mm, generator)) for cost, body_mm in bodies])
            for name in ("chest_girth", first)
        )
        more.append(float(chest - asked))
    assert np.mean(more) >= -2 * np.std(more) / np.sqrt(len(more))
