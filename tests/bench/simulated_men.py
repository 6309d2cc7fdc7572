"""Simulated men, drawn from the model as the service believes in it: what is got to know of each, and asked for him."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from service.tailoring.body.body import Body, read_body
from service.tailoring.body.intervals import Interval
from service.tailoring.body.population import AGE, Observation, men
from service.tailoring.body.readings import Reading, dimensions, observed
from service.tailoring.body.wears import SAID_SD_MM, How, Wears, evidence
from service.tailoring.garments.charts import reference_chart
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.sizing.offers import Question
from service.tailoring.work.prices import PriceList

SEED = 20121018
SUIT = ("jacket", "trousers")
ASKED_FOR = {"suit": SUIT, "jacket": ("jacket",), "trousers": ("trousers",), "waistcoat": ("waistcoat",)}
SEPARATES = Question((reference_chart(),), PriceList(), garments=SUIT)
# Two-sided normal bounds of the central 50, 80 and 95 %.
BOUNDS = {50: 0.6745, 80: 1.2816, 95: 1.96}
# So many bodies are drawn at a time where most are not kept.
TRIED = 1024
# Where each man has but his own body, so many are looked at: a tenth of 200 plans is known to three points only.
CHOOSERS, CHOOSERS_AT_A_TIME = 400_000, 20_000
# Of these one in thirty says of some jacket that it fits.
ASKED = 8_000_000
# A bias that goes with the size is a small share of it: so many rounds find what was said.
SETTLING = 6


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

    `own`: the evidence errs exactly as it is taken to, so that the man himself may be held against the statement, as
    bodies drawn from the belief may be.
    """

    gather: Callable[[np.ndarray, np.random.Generator], Body | None]
    own: bool = True


def in_mm(y: np.ndarray) -> np.ndarray:
    """Bodies of the model's space in mm (kg, years)."""
    return np.where(men().logs, np.exp(np.where(men().logs, y, 0.0)), y)


def any_men(generator: np.random.Generator, how_many: int) -> np.ndarray:
    """Men [N, dimensions] in the model's space, each of an age that is as frequent as among civilians."""
    builds = men().builds
    counts = generator.multinomial(how_many, builds.shares)
    found = []
    for years, count in zip(builds.ages, counts, strict=True):
        if count:
            mean, cov = builds.at(years)
            found.append(generator.multivariate_normal(mean, cov, count, method="eigh"))
    return generator.permutation(np.concatenate(found))


def told(
    dimension: str, size: float, generator: np.random.Generator, source: str = "measured", age: float | None = None
) -> Reading:
    """A reading of a true `size` with the bias and the error that the service takes its source to have."""
    unit, given = (Mass if dimensions()[dimension].is_mass else Length), size
    # What he says is what the service takes for the true size: the bias may go with the size.
    for _ in range(SETTLING):
        given += size - observed(Reading(dimension, unit(given), source), age).size
    sd = observed(Reading(dimension, unit(given), source), age).sd
    seen = size + generator.normal(0, sd)
    for _ in range(SETTLING):
        given += seen - observed(Reading(dimension, unit(given), source), age).size
    return Reading(dimension, unit(given), source)


def taped(*names: str) -> Callable[[np.ndarray, np.random.Generator], Body | None]:
    """Readings of `names` by trained staff."""

    def gather(y: np.ndarray, generator: np.random.Generator) -> Body | None:
        size = dict(zip(men().names, in_mm(y).tolist(), strict=True))
        return usable(read_body(tuple(told(name, size[name], generator) for name in names)), len(names))

    return gather


def reported(y: np.ndarray, generator: np.random.Generator) -> Body | None:
    """His own word for his height and weight, and his age."""
    size = dict(zip(men().names, in_mm(y).tolist(), strict=True))
    age = size[AGE]
    said = tuple(told(name, size[name], generator, "self_reported", age) for name in ("stature", "body_mass"))
    return usable(read_body(said, age), 3)


def chosen(bodies: np.ndarray, generator: np.random.Generator) -> np.ndarray:
    """For each of `bodies` [N, dimensions] in mm, which jacket he says is his: the size nearest his chest and his arm
    as he takes them to be.
    """
    jackets = reference_chart().sizes["jacket"]
    chest, arm = (
        bodies[:, men().names.index(name)] + generator.normal(0, SAID_SD_MM, len(bodies))
        for name in ("chest_girth", "arm_length")
    )
    girths = np.unique([each.body_mm for each in jackets])
    nearest = girths[np.abs(girths - chest[:, None]).argmin(axis=1)]
    off = np.abs(np.array([each.mm("sleeve") for each in jackets]) - inches(1.5) - arm[:, None])
    off[nearest[:, None] != np.array([each.body_mm for each in jackets])] = np.inf
    return off.argmin(axis=1)


def who_wears(jacket: int, how: How = "says") -> Body:
    """A man of whom that is all that is known."""
    label = reference_chart().sizes["jacket"][jacket].label
    return read_body(()).also(evidence(Wears(reference_chart(), "jacket", label, how)))


def labelled(y: np.ndarray, generator: np.random.Generator) -> Body:
    """The jacket that he says is his."""
    return who_wears(int(chosen(in_mm(y)[None], generator)[0]))


def anybody(generator: np.random.Generator, how_many: int) -> np.ndarray:
    """Bodies [N, dimensions] in mm of men of whom nothing was read, as the service takes them to be: one normal."""
    return in_mm(generator.multivariate_normal(men().mean, men().cov, how_many, method="eigh"))


def choosers(how_many: int = CHOOSERS) -> list[Case]:
    """So many men who say what they wear, those of one label together: of all of them the same is known."""
    generator, by_label = np.random.default_rng(SEED + 5), defaultdict(list)
    for _ in range(how_many // CHOOSERS_AT_A_TIME):
        bodies = anybody(generator, CHOOSERS_AT_A_TIME)
        labels = chosen(bodies, generator)
        for label in np.unique(labels).tolist():
            by_label[label].append(bodies[labels == label])
    return [Case(who_wears(label), np.concatenate(found), own=True) for label, found in sorted(by_label.items())]


def wearers(how_many: int = ASKED) -> list[Case]:
    """Those of so many men who say of a jacket that it fits them, each asked of every one; of one jacket together.

    A man may say it of several and then counts as several: the errors of what is counted are a little larger than told.
    """
    generator, by_label = np.random.default_rng(SEED + 6), defaultdict(list)
    known = [who_wears(jacket, "fits") for jacket in range(len(reference_chart().sizes["jacket"]))]
    chest = men().names.index("chest_girth")
    around = [next(o.interval for o in intervals_of(body) if o.dimension == "chest_girth") for body in known]
    # Only whose chest comes near it need be asked: five errors off, one in three million says that it fits.
    near = np.array([(each.low - 5 * each.error, each.high + 5 * each.error) for each in around])
    for _ in range(how_many // CHOOSERS_AT_A_TIME):
        bodies = anybody(generator, CHOOSERS_AT_A_TIME)
        bodies = bodies[bodies[:, chest].argsort()]
        for jacket, (first, last) in enumerate(np.searchsorted(bodies[:, chest], near)):
            by_label[jacket].append(those_who_tell(bodies[first:last], known[jacket], generator))
    return [Case(known[jacket], np.concatenate(found), own=True) for jacket, found in by_label.items()]


def usable(body: Body, observations: int) -> Body | None:
    """A body within the model of whom no reading was set aside."""
    return None if body.outside or len(body.observations) < observations else body


KINDS = {
    "3 tape readings": Kind(taped("chest_girth", "trouser_waist_girth", "stature")),
    "6 tape readings": Kind(
        taped("chest_girth", "waist_girth", "hip_girth", "arm_length", "cervical_height", "inside_leg_length")
    ),
    "height, weight, age as he says": Kind(reported),
    "chest label worn, as believed": Kind(labelled, own=False),
}
# Told by many men, each with but his own body.
TOLD_BY_MANY = {"chest label worn, as chosen": choosers, "jacket that fits, as told": wearers}


def would_tell(sizes: np.ndarray, interval: Interval) -> np.ndarray:
    """How likely men of these `sizes` in mm are to tell that interval."""
    return ndtr((interval.high - sizes) / interval.error) - ndtr((interval.low - sizes) / interval.error)


def those_who_tell(bodies: np.ndarray, body: Body, generator: np.random.Generator) -> np.ndarray:
    """Those of `bodies` [N, dimensions] in mm who would have told every interval that is known of a body."""
    at = np.arange(len(bodies))
    for seen in intervals_of(body):
        likely = would_tell(bodies[at, men().names.index(seen.dimension)], seen.interval)
        at = at[generator.random(len(at)) < likely]
    return bodies[at]


def intervals_of(body: Body) -> list[Observation]:
    """What was told of a body as an interval."""
    return [seen for seen in body.observations if seen.interval]


def drawn_from(body: Body, many: int, generator: np.random.Generator) -> np.ndarray:
    """Bodies [many, dimensions] in mm that may be his.

    Of an interval those that would have told it are kept: not as the engine does it, and slower.
    """
    told, kept = intervals_of(body), []
    base = men().believe([seen for seen in body.observations if not seen.interval])
    while sum(map(len, kept)) < many:
        tried = max(many, TRIED) if told else many
        bodies = in_mm(generator.multivariate_normal(base.mean, base.cov, tried, method="eigh"))
        kept.append(those_who_tell(bodies, body, generator))
    return np.concatenate(kept)[:many]


def simulated(kind: Kind, how_many: int, bodies: int, seed: int = SEED) -> Iterator[Case]:
    """`how_many` men of whom the evidence is usable, each with so many `bodies`; the same for ever."""
    generator, found = np.random.default_rng(seed), 0
    while found < how_many:
        for y in any_men(generator, TRIED):
            body = kind.gather(y, generator)
            if body is None:
                continue
            found += 1
            own = [in_mm(y)[None]] if kind.own else []
            drawn = [drawn_from(body, bodies - len(own), generator)] if bodies > len(own) else []
            yield Case(body, np.concatenate([*own, *drawn]), own=bool(own))
            if found == how_many:
                return
