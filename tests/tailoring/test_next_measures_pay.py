"""Whether the question asked first is the one that pays: simulated men are taped and dressed, and their true costs met.

A man is drawn from what the service believes of him at the start; the tape errs by half the allowable error. Every
dimension is tried on every man as the one next measure, so that what is asked first is held against every fixed order,
man by man. Seeded: the same men for ever.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from service.tailoring.next_measures import next_measures
from service.tailoring.population import men
from service.tailoring.readings import dimensions, observed
from service.tailoring.sizing import Question, advise, needs
from tests.bench.calibration import Kind, needs_of, simulated, taped, told
from tests.tailoring.men import QUESTION

MEN = 500
STARTS = {
    "height and weight": ("stature", "body_mass"),
    "chest": ("chest_girth",),
    "chest and waist": ("chest_girth", "waist_girth"),
}
SUIT = replace(QUESTION, garments=("jacket", "trousers"), limit=1)


def best_sizes(belief, bay):
    """The advised size of each rack: separates are chosen one by one."""
    found = {}
    for garment, rack in bay.racks.items():
        mean, sd = needs(belief, rack.costing, rack.at)
        found[garment] = rack.sizes[int(rack.costing.expected(mean, sd, rack.at, rack.sizes).argmin())]
    return found


def true_costs(bay, body_mm):
    """What every size of each rack costs on this very body."""
    return {
        garment: rack.costing.exact(needs_of(rack, body_mm[None]), rack.at)[0] for garment, rack in bay.racks.items()
    }


@cache
def costs_after(start):
    """[men, 3 + dimensions]: true cost as things stand, after the first question, expected then; after each dimension."""
    generator = np.random.default_rng(1234)
    names, rows = tuple(dimensions()), []
    # The man himself, with the wider scatter of what was not read: as the service takes men to be.
    for case in simulated(Kind(taped(*STARTS[start])), MEN, 1, seed=4321):
        (body_mm,) = case.bodies
        advice = advise(case.body, SUIT)
        (bay,) = advice.bays
        cost_of = true_costs(bay, body_mm)

        def paid(belief, cost_of=cost_of, bay=bay):
            return sum(float(cost_of[garment][size]) for garment, size in best_sizes(belief, bay).items())

        now = paid(case.body.belief)
        after = []
        for name in names:
            reading = told(name, float(body_mm[men().names.index(name)]), generator)
            after.append(paid(case.body.also((observed(reading),)).belief))
        asked = next_measures(case.body, SUIT, [bay])
        first = names.index(asked[0].dimension) if asked else None
        rows.append([now, now if first is None else after[first], -1 if first is None else first, *after])
    return np.array(rows)
