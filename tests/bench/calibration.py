"""What the service says of itself against what becomes of it: stated shares and intervals, observed ones, their gap.

Three parts. Simulated men are drawn from the model as the service believes in it, of all ages, and tape readings err by
half the allowable error. So the first two parts check the engine's arithmetic and its choice, not whether men are so.
That is what the third is for: measured civilians.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from service.tailoring.body.population import men
from service.tailoring.body.readings import dimensions
from service.tailoring.garments.charts import LENGTH_CLASSES
from service.tailoring.sizing.offers import ChartOffer
from service.tailoring.sizing.sizing import Advice, advise
from tests.bench import own_men
from tests.bench.civilians import GUESS, agreement, civilian_coverage, civilians
from tests.bench.simulated_men import (
    ASKED_FOR,
    BOUNDS,
    KINDS,
    SEED,
    SEPARATES,
    SUIT,
    TOLD_BY_MANY,
    Case,
    Kind,
    drawn_from,
    simulated,
)

SHARES = ("p_best", "p_no_alteration", "p_fits_after_alteration", "p_within_one_size")
# A decile is judged where so many plans stand in it; it is flagged where it is off by more points than this.
CASES_LEAST, POINTS_MOST = 200, 3.0


def needs_of(garment_offer: object, bodies: np.ndarray) -> np.ndarray:
    """What the rack's garment should measure, less ideal ease, on each of `bodies` [N, places]."""
    places = [garment_offer.costing.places[i] for i in garment_offer.at]
    columns = [men().names.index(place.dimension) for place in places]
    return bodies[:, columns] * np.array([place.share for place in places])


def racks_of(offer: ChartOffer) -> list:
    """The racks that are there."""
    return list(offer.garment_offers.values())


def said_and_done(case: Case, advice: Advice) -> tuple[np.ndarray, np.ndarray]:
    """The four shares as stated of each plan [plans, 4]; and on which of the bodies each came true [plans, N, 4]."""
    (offer,) = advice.offers
    garment_offers = racks_of(offer)
    needs = [needs_of(garment_offer, case.bodies) for garment_offer in garment_offers]
    costs = [
        garment_offer.costing.exact(need, garment_offer.at)
        for garment_offer, need in zip(garment_offers, needs, strict=True)
    ]
    least = sum(
        cost[:, garment_offer.sizes].min(axis=1) for garment_offer, cost in zip(garment_offers, costs, strict=True)
    )
    done = []
    for plan in advice.plans:
        sizes = [place_of(offer, garment_offer, plan) for garment_offer in garment_offers]
        total = sum(cost[:, size] for cost, size in zip(costs, sizes, strict=True))
        bare = fits = near = np.ones(len(case.bodies), dtype=bool)
        for garment_offer, need, size in zip(garment_offers, needs, sizes, strict=True):
            residual = (garment_offer.costing.spare_mm[size, garment_offer.at] - need).T
            bare = bare & garment_offer.costing.untouched(residual, garment_offer.at)
            fits = fits & garment_offer.costing.curable(residual, garment_offer.at)
        for garment_offer, need, cost, size in zip(garment_offers, needs, costs, sizes, strict=True):
            best = np.array(garment_offer.sizes)[cost[:, garment_offer.sizes].argmin(axis=1)]
            residual = garment_offer.costing.spare_mm[np.ix_(best, garment_offer.at)].T - need.T
            its = garment_offer.costing.curable(residual, garment_offer.at)
            near = near & its & within_one_size(offer.chart.sizes[garment_offer.garment], size)[best]
        # The least bad of what does not fit is nobody's best.
        best = (total <= least + 1e-6) & fits
        done.append(np.column_stack([best, bare, fits, best | near]))
    return np.array([[getattr(plan.shares, share) for share in SHARES] for plan in advice.plans]), np.array(done)


def within_one_size(sizes: list, size: int) -> np.ndarray:
    """Which of the `sizes` of a chart are the one at `size`, or next to it in girth and in length at most."""
    girths = sorted({each.body_mm for each in sizes})
    at = np.array([(girths.index(each.body_mm), LENGTH_CLASSES.index(each.length_class)) for each in sizes])
    return (abs(at - at[size]) <= 1).all(axis=1)


def place_of(offer: ChartOffer, garment_offer: object, plan: object) -> int:
    """Where the plan's size of this rack stands in the chart."""
    label = plan.chosen.get(garment_offer.garment).label
    return [size.label for size in offer.chart.sizes[garment_offer.garment]].index(label)


def told_of_all(cases: list[Case], garments: tuple[str, ...]) -> np.ndarray:
    """[plans, 9]: what is said and done of the three best plans for each of `cases`, and last the man's number."""
    question, rows = replace(SEPARATES, garments=garments), []
    for number, case in enumerate(cases):
        stated, done = said_and_done(case, advise(case.body, question))
        rows.append(np.column_stack([stated, done.mean(axis=1), np.full(len(stated), number)]))
    return np.concatenate(rows)


def told_of_each(cases: list[Case], garments: tuple[str, ...]) -> np.ndarray:
    """The same where every body of a case is a man's own: a row a plan and man."""
    question, rows, first = replace(SEPARATES, garments=garments), [], 0
    for case in cases:
        stated, done = said_and_done(case, advise(case.body, question))
        numbers = np.arange(first, first := first + len(case.bodies))
        for said, true in zip(stated, done, strict=True):
            rows.append(np.column_stack([np.tile(said, (len(numbers), 1)), true, numbers]))
    return np.concatenate(rows)


@dataclass(frozen=True, slots=True)
class Decile:
    """The plans whose stated share lies in one tenth: how many, stated and observed mean, the gap and its error.

    Gap and standard error are in points. The plans of a man stand or fall together: the error is that of men.
    """

    tenth: int
    n: int
    stated: float
    observed: float
    points: float
    error_points: float

    @property
    def off(self) -> bool:
        """Whether it holds plans enough and misses by too much."""
        return self.n >= CASES_LEAST and abs(self.points) > POINTS_MOST


def deciles(rows: np.ndarray, share: int) -> list[Decile]:
    """One of the four shares in `rows`, by tenths of what was stated."""
    stated, done, man = rows[:, share], rows[:, share + len(SHARES)], rows[:, -1].astype(int)
    which = np.minimum((stated * 10).astype(int), 9)
    found = []
    for tenth in np.unique(which).tolist():
        here = which == tenth
        gap = 100 * (done[here] - stated[here])
        sums = np.bincount(man[here], weights=gap - gap.mean())
        error = float(np.sqrt(np.sum(sums**2))) / len(gap)
        found.append(
            Decile(tenth, len(gap), float(stated[here].mean()), float(done[here].mean()), float(gap.mean()), error)
        )
    return found


def covered(cases: list[Case], dimension: str) -> dict[int, tuple[int, float]]:
    """By nominal interval, how many bodies there are and what share lies within the middle ± so many stated SDs."""
    i = men().names.index(dimension)
    off = [abs(c.bodies[:, i] - c.body.belief.median(dimension)) / c.body.belief.sd(dimension) for c in cases]
    off = np.concatenate(off)
    return {percent: (len(off), float(np.mean(off < bound))) for percent, bound in BOUNDS.items()}


def costs_and_best(case: Case, draws: int, generator: np.random.Generator) -> np.ndarray:
    """By garment [2]: the advised size's mean true cost and that of the size that is best by as many drawn bodies.

    The best is chosen on one half of the draws and both are judged on the other, so that it owes nothing to luck.
    """
    advice = advise(case.body, replace(SEPARATES, limit=1))
    (offer,) = advice.offers
    bodies = drawn_from(case.body, 2 * draws, generator)
    found = []
    for garment in SUIT:
        garment_offer = offer.garment_offers[garment]
        cost = garment_offer.costing.exact(needs_of(garment_offer, bodies), garment_offer.at)[:, garment_offer.sizes]
        chosen, judged = cost[:draws].mean(axis=0), cost[draws:].mean(axis=0)
        advised = garment_offer.sizes.index(place_of(offer, garment_offer, advice.plans[0]))
        found.append((judged[advised], judged[int(chosen.argmin())]))
    return np.array(found)


def against_bayes(kind: Kind, how_many: int, draws: int = 4096) -> dict[str, tuple[float, float]]:
    """By suit and garment, the advised plan's mean true cost by that of the Bayes choice; how often they agree."""
    generator = np.random.default_rng(SEED + 1)
    # Bodies of its own: the case needs none.
    cases = simulated(replace(kind, own=False), how_many, 1, SEED + 2)
    found = np.array([costs_and_best(case, draws, generator) for case in cases])
    suit = found.sum(axis=1, keepdims=True)
    by = {"suit": suit[:, 0], "jacket": found[:, 0], "trousers": found[:, 1]}
    return {
        name: (float(costs[:, 0].mean() / costs[:, 1].mean()), float(np.mean(costs[:, 0] == costs[:, 1])))
        for name, costs in by.items()
    }


def main() -> None:
    flagged = _shares_told(how_many=4000, bodies=16)
    flagged += _intervals_told(how_many=6000)
    print(f"\n{flagged} rows (deciles of at least {CASES_LEAST} plans) off by more than {POINTS_MOST:g} points\n")
    print("advised plan's mean true cost by that of the Bayes choice (target at most 1.02); same choice")
    for name, kind in KINDS.items():
        ratios = against_bayes(kind, 200)
        words = ", ".join(f"{of} x{ratio:.4f} {same:4.0%}" for of, (ratio, same) in ratios.items())
        print(f"  {name:32} {words}")
    _civilians_told()
    own_men.main()


def _shares_told(how_many: int, bodies: int) -> int:
    flagged = 0
    for name in (*KINDS, *TOLD_BY_MANY):
        cases = TOLD_BY_MANY[name]() if name in TOLD_BY_MANY else list(simulated(KINDS[name], how_many, bodies))
        for of, garments in ASKED_FOR.items():
            rows = (told_of_each if name in TOLD_BY_MANY else told_of_all)(cases, garments)
            for i, share in enumerate(SHARES):
                print(f"\n{name}; {of}; {share}\n  decile         n  stated  observed  points (standard error)")
                for each in deciles(rows, i):
                    flagged += each.off
                    print(
                        f"  {each.tenth / 10:.1f}-{(each.tenth + 1) / 10:.1f} {each.n:9d}  {each.stated:6.3f}  "
                        f"{each.observed:8.3f}  {each.points:+6.1f} ({each.error_points:.1f}){' *' * each.off}"
                    )
    return flagged


def _intervals_told(how_many: int) -> int:
    flagged = 0
    print("\nwithin the middle ± so many stated SDs, share of men in %: nominal 50, 80, 95")
    for name in (*KINDS, *TOLD_BY_MANY):
        cases = TOLD_BY_MANY[name]() if name in TOLD_BY_MANY else list(simulated(KINDS[name], how_many, 1))
        print(f"  {name}, {sum(len(case.bodies) for case in cases)} men")
        for dimension in dimensions():
            shares = {percent: 100 * share for percent, (_, share) in covered(cases, dimension).items()}
            off = any(abs(share - percent) > POINTS_MOST for percent, share in shares.items())
            flagged += off
            print(f"    {dimension:22}" + "".join(f"{share:7.1f}" for share in shares.values()) + " *" * off)
    return flagged


def _civilians_told() -> None:
    print(f"\n{len(civilians())} measured civilians: girths not read (mean error, RMSE in mm; % within 50, 80, 95)")
    for names in (GUESS, ("stature", "chest_girth"), ("chest_girth", *GUESS)):
        print(f"  read: {', '.join(names)}, age")
        for girth, (n, off, rmse, shares) in civilian_coverage(names).items():
            words = "".join(f"{100 * share:7.1f}" for share in shares.values())
            print(f"    {girth:14} n {n}  {off:+6.1f} {rmse:6.1f} {words}")
    print("same chest size; within one size (by the nearest size, computed from ANSUR II: guess 57 %, tape 89 %)")
    for name, (n, same, near) in agreement().items():
        print(f"  {name:44} n {n}  {same:6.1%}  {near:6.1%}")


if __name__ == "__main__":
    main()
