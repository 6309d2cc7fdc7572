"""A shop's own men: how far the men whom it has measured lie from men in general, and the population moved there.

What is kept of them are sums over whole groups of customers, never a customer. A group is closed once and for good: the
difference between two versions is a sum over at least `GROUP_LEAST` of them, whoever came, came back or was erased in
between. One customer counts once for a dimension (again when their first set is long forgotten), for no more than
`MOST_SDS`, and what the sums come to is told in `STEPS` only.

How old they are moves the ages of which men are when nobody says theirs. All else is held against men of the same age,
where it was said. How far the shop's men then lie off is shrunk by how many there are, and by how far they differ from
chance (an empirical Bayes estimate of the spread among shops, by moments: Efron & Morris 1973, JASA 68:117, from
memory). Shops are taken to differ as men of one age do, so what was never taped in a shop moves with what was.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache, lru_cache
from typing import cast

import numpy as np

from service.tailoring.arrays import Matrix, Vector
from service.tailoring.body.builds import AGE
from service.tailoring.body.own_men import Away, CountedMen, OwnMen, Tally
from service.tailoring.body.plausibility import within_bounds
from service.tailoring.body.population import Population, men
from service.tailoring.body.readings import Reading, tape_sd

# So many customers are behind a version, and so many behind whatever is added to a figure.
CUSTOMERS_LEAST, GROUP_LEAST = 200, 50
# No customer counts for more, however odd (common practice, no source).
MOST_SDS = 2.5
# Figures are told in steps of so many SDs of men: the 200th customer moves a mean by half of one at most.
STEPS = 0.025
VERSIONS_HELD = 256
# Of whose age their spread is the measure.
MIDDLE_YEARS = 45.0


@dataclass(frozen=True, slots=True)
class MeasuredCustomer:
    """What one set says of a customer: whose it is, when it was recorded, what was read, and an age."""

    customer_ref: str
    at: datetime
    readings: tuple[Reading, ...]
    age_years: float | None


def next_version(
    before: CountedMen | None, sets: Iterable[MeasuredCustomer], version: int, now: datetime
) -> CountedMen | None:
    """The next version, of that number, by all `sets` that are kept, oldest first; None where too few are new.

    A customer counts by the first set in which a dimension was taped; who was counted before is not counted again.
    """
    so_far = {each.dimension: each for each in before.tallies} if before else {}
    customers, found = _counted(so_far, sets)
    if before is None and customers < CUSTOMERS_LEAST:
        return None
    new = {name: sizes for name, sizes in found.items() if len(sizes) >= GROUP_LEAST}
    if not new:
        return None
    for name, sizes in new.items():
        known = so_far.get(name, Tally(name, 0, 0.0, now))
        total = known.sds + math.fsum(sizes)
        so_far[name] = replace(known, customers=known.customers + len(sizes), sds=total, until=now)
    tallies = tuple(so_far[name] for name in men().names if name in so_far)
    return CountedMen(OwnMen(version, away_of(tallies)), tallies)


def _counted(so_far: Mapping[str, Tally], sets: Iterable[MeasuredCustomer]) -> tuple[int, dict[str, list[float]]]:
    """How many customers were measured; and by dimension, how far those lie who were not counted yet."""
    seen: set[tuple[str, str]] = set()
    of_each: dict[str, list[float]] = {}
    customers: set[str] = set()
    for each in sets:
        for name, size in _sizes(each).items():
            customers.add(each.customer_ref)
            if (each.customer_ref, name) in seen:
                continue
            seen.add((each.customer_ref, name))
            if name in so_far and each.at <= so_far[name].until:
                continue
            off = _off(name, size, each.age_years)
            of_each.setdefault(name, []).append(min(max(off, -MOST_SDS), MOST_SDS))
    return len(customers), of_each


def _off(name: str, size: float, age_years: float | None) -> float:
    """How far a size lies from men of that age, in SDs; an age, from men of all ages."""
    model = men()
    i = model.names.index(name)
    mean, _ = model.of_age(None if name == AGE else age_years)
    return float(((math.log(size) if model.logs[i] else size) - mean[i]) / _sds()[i])


def _sizes(of: MeasuredCustomer) -> dict[str, float]:
    """What staff measured of a customer, by dimension, the first where one was read twice, and the age that was said.

    Nothing where staff measured nothing.
    """
    found: dict[str, float] = {}
    for given in of.readings:
        if given.source == "measured" and within_bounds(given):
            found.setdefault(given.dimension, sum(given.sizes) / len(given.sizes))
    return found | ({AGE: of.age_years} if found and of.age_years is not None else {})


def away_of(tallies: tuple[Tally, ...]) -> Away:
    """How far a shop's men lie off, at every dimension, whether it was counted or not; in steps."""
    model, sds = men(), _sds()
    found = dict.fromkeys(model.names, 0.0)
    for each in tallies:
        if each.dimension == AGE:
            chance = 1 / each.customers
            off = each.sds / each.customers
            found[AGE] = off * max(0.0, 1 - chance / off**2) if off else 0.0
    counted = [each for each in tallies if each.dimension != AGE]
    if counted:
        alike = model.of_age(MIDDLE_YEARS)[1] / np.outer(sds, sds)
        found |= dict(zip(model.names[1:], _moved_together(counted, alike, sds)[1:].tolist(), strict=True))
    return tuple((name, round(round(each / STEPS) * STEPS, 3)) for name, each in found.items())


def _moved_together(tallies: list[Tally], alike: Matrix, sds: Vector) -> Vector:
    """How far off at every dimension [dimensions], by the tallies of some and by how they go together (`alike`)."""
    model = men()
    at = [model.names.index(each.dimension) for each in tallies]
    counts = np.array([each.customers for each in tallies], dtype=np.float64)
    off = np.array([each.sds for each in tallies]) / counts
    among = alike[np.ix_(at, at)]
    # A shop's hands are not the survey's: that error no number of customers makes smaller.
    size = np.where(model.logs, np.exp(np.where(model.logs, model.mean, 0.0)), 1.0)[at]
    hands = np.array([tape_sd(each.dimension) for each in tallies]) / size / sds[at]
    # Whoever was read at the rarer of two dimensions is taken to have been read at the other.
    chance = among / np.maximum(counts[:, None], counts) + np.diag(hands**2)
    spread = _spread_among_shops(off, chance, among)
    return cast("Vector", spread * alike[:, at] @ np.linalg.solve(spread * among + chance, off))


def _spread_among_shops(off: Vector, chance: Matrix, among: Matrix) -> float:
    """By how much shops' middles vary, as a share of the variance of men: what this shop shows beyond chance."""
    certain = np.linalg.inv(chance)
    return max(0.0, float(off @ certain @ off - len(off)) / float(np.trace(certain @ among)))


@cache
def _sds() -> Vector:
    """The SD of every dimension among men of one age; of the age, among all."""
    found = np.sqrt(men().of_age(MIDDLE_YEARS)[1].diagonal())
    found[0] = math.sqrt(men().cov[0, 0])
    return found


@lru_cache(maxsize=VERSIONS_HELD)
def population_of(own: OwnMen) -> Population:
    """Men in general with the middles of a shop's own; what men of an age vary by is everybody's."""
    model = men()
    sds = dict(own.away)
    off = np.array([sds.get(name, 0.0) for name in model.names]) * _sds()
    return model.moved(own.version, off)


def shown(counted: CountedMen) -> tuple[tuple[str, int, float], ...]:
    """Every dimension that was counted: how many customers, and how far off their middle is, in mm (kg, years)."""
    general, moved = men().believe(()), population_of(counted.own).believe(())
    return tuple(
        (each.dimension, each.customers, moved.median(each.dimension) - general.median(each.dimension))
        for each in counted.tallies
    )
