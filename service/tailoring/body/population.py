"""The population of men: a multivariate normal over the dimensions, and its conditioning on what was read.

What men of an age are like is `builds`'. `tables/dimensions.csv` bridges each dimension to one of the survey's columns.
A dimension that the survey did not take where we take it (the trouser waist) is its column plus an offset and scatter
of its own. Girths and mass live in logs; the other lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from service.tailoring import tables
from service.tailoring.arrays import Array, Matrix, Vector
from service.tailoring.body.builds import AGE, Builds, Logs, builds_of, logged
from service.tailoring.body.intervals import FittedInterval, Interval

# A look at the dimensions, what was seen of it, and its variance.
_Row: TypeAlias = tuple[Vector, float, float]

SUM_PASSES = 3
# Garments that suit a man settle after a few; what contradicts itself takes longer.
INTERVAL_PASSES = 20
SETTLED = 1e-3
# Moments by age that are kept: whoever asks says an age in whole years.
AGES_KEPT = 128


@dataclass(frozen=True, slots=True)
class Observation:
    """A noisy look at one dimension: `size` in mm (kg for mass, years for age), its error's SD in the same unit.

    `dimension` may also be a weighted sum: `weights` then names each part, and `size` is the sum's. `looked`: it
    counts as having read the dimension. `interval` is what was truly given where `size` and `sd` are only the normal
    nearest to it.
    """

    dimension: str
    size: float
    sd: float
    weights: tuple[tuple[str, float], ...] = ()
    looked: bool = True
    interval: Interval | None = None


def _in_order(seen: Observation) -> tuple[str, float, float]:
    return seen.dimension, seen.size, seen.sd


@dataclass(frozen=True, slots=True)
class Domain:
    """Where the survey has men enough to speak: closed ranges."""

    age_years: tuple[float, float]
    bmi: tuple[float, float]
    stature_mm: tuple[float, float]
    mass_kg: tuple[float, float]


class Moments(NamedTuple):
    """Mean and SD [..., dimensions] of dimensions in mm (kg, years), those of the lognormal where one lives in logs."""

    mean: Array
    sd: Array

    @classmethod
    def of(cls, logs: Logs, mean: Array, variance: Array) -> Moments:
        """Of a mean and variance [..., dimensions] in the model's space."""
        in_logs = np.where(logs, variance, 0.0)
        middle = np.where(logs, np.exp(np.where(logs, mean, 0.0) + in_logs / 2), mean)
        return cls(middle, np.where(logs, middle * np.sqrt(np.expm1(in_logs)), np.sqrt(variance)))


@dataclass(frozen=True, eq=False)
class Belief:
    """What is known of one man: a normal over the model's space.

    `names` are the dimensions in order; `mean` and `cov` are in the model's space (log where `logs`).
    `read` tells which dimensions were looked at directly, `intervals` what was taken as a normal and is none, and
    `besides` what is believed without those that have an open end; None where there are none of these.
    """

    names: tuple[str, ...]
    logs: Logs
    mean: Vector
    cov: Matrix
    read: frozenset[str]
    intervals: tuple[FittedInterval, ...] = ()
    besides: Belief | None = None

    def index(self, dimension: str) -> int:
        """Where `dimension` stands in the arrays."""
        return self.names.index(dimension)

    def median(self, dimension: str) -> float:
        """The middle estimate, in mm (kg for mass)."""
        return self._told[dimension][0]

    def sd(self, dimension: str) -> float:
        """Its standard deviation in the same unit, to first order for a logged dimension."""
        return self._told[dimension][1]

    @cached_property
    def moments(self) -> Moments:
        """Mean and SD of every dimension."""
        return Moments.of(self.logs, self.mean, self.cov.diagonal())

    @cached_property
    def _told(self) -> dict[str, tuple[float, float]]:
        """Median and SD of every dimension: what a plan is spelled out with asks for them again and again."""
        median = np.where(self.logs, np.exp(np.where(self.logs, self.mean, 0.0)), self.mean)
        sd = np.sqrt(np.maximum(self.cov.diagonal(), 0.0)) * np.where(self.logs, median, 1.0)
        return dict(zip(self.names, zip(median.tolist(), sd.tolist(), strict=True), strict=True))


@dataclass(frozen=True, eq=False)
class Population:
    """The model over `names`, each on its survey column: mean and covariance before anything is read, at any age.

    Two dimensions on one column are one girth at two levels: reading either narrows both. `version` counts the versions
    of a shop's own men (0: men in general), who of an age lie `moved_of_age` from men of it.
    """

    names: tuple[str, ...]
    columns: tuple[str, ...]
    logs: Logs
    mean: Vector
    cov: Matrix
    builds: Builds
    domain: Domain
    version: int = 0
    moved_of_age: Vector | None = None

    def believe(self, observations: Sequence[Observation]) -> Belief:
        """Condition the population on `observations`, in any order and number. An age is taken as it is given.

        Readings take one solve. Sums of logged dimensions are not linear, nor are intervals normal: they take a few.
        """
        looked = [seen for seen in observations if seen.looked and not seen.weights]
        # In one order, however they came: shares and costs are then the same to the last digit.
        vague = sorted((seen for seen in observations if not seen.looked and not seen.weights), key=_in_order)
        summed = [seen for seen in observations if seen.weights]
        rows = self._rows(seen for seen in looked if seen.dimension != AGE)
        mean, cov = self._update(*self.of_age(age_of(observations)), rows)
        read = frozenset(seen.dimension for seen in looked)
        rows = self._rows(seen for seen in vague if not seen.interval)
        ranges = [self._taken(seen, seen.interval) for seen in vague if seen.interval]
        taken = self._settled(mean, cov, rows, ranges, summed)
        besides = None
        if any(each.is_open for each in taken):
            closed = [each for each in taken if not each.is_open]
            besides = Belief(self.names, self.logs, *self._known(mean, cov, rows, closed, summed), read)
        return Belief(self.names, self.logs, *self._known(mean, cov, rows, taken, summed), read, tuple(taken), besides)

    def of_age(self, years: float | None) -> tuple[Vector, Matrix]:
        """Mean and covariance of men of so many years; of all men where that is not known."""
        if years is None:
            return self.mean, self.cov
        mean, cov = _men_of_age(years)
        return (mean, cov) if self.moved_of_age is None else (mean + self.moved_of_age, cov)

    def of_ages(self, years: Array) -> tuple[Array, Array]:
        """Mean [N, dimensions] and covariance [N, dimensions, dimensions] of men of so many `years` [N]."""
        mean, cov = self.builds.at(years)
        return (mean, cov) if self.moved_of_age is None else (mean + self.moved_of_age, cov)

    def moved(self, version: int, by: Vector) -> Population:
        """The same men with their middles moved by `by` [dimensions]: of each age alike, and the age's own log."""
        at = self.names.index(AGE)
        builds = self.builds.aged(float(by[at]))
        of_age = np.where(np.arange(len(by)) == at, 0.0, by)
        mean, cov = builds.any_age()
        return replace(self, builds=builds, mean=mean + of_age, cov=cov, version=version, moved_of_age=of_age)

    def _settled(
        self, mean: Vector, cov: Matrix, rows: list[_Row], taken: list[FittedInterval], summed: list[Observation]
    ) -> list[FittedInterval]:
        """Intervals by the normals that do their work beside all the rest.

        Each is fitted to what the others leave of it (expectation propagation, from memory): fitted to men in general
        it would say again what the others have said.
        """
        for _ in range(INTERVAL_PASSES if taken else 0):
            now, spread = self._known(mean, cov, rows, taken, summed)
            before, taken = taken, [each.beside(float(now[each.at]), float(spread[each.at, each.at])) for each in taken]
            moved = (abs(old.size - new.size) / math.sqrt(new.variance) for old, new in zip(before, taken, strict=True))
            if max(moved) < SETTLED:
                break
        return taken

    def _known(
        self, mean: Vector, cov: Matrix, rows: list[_Row], taken: list[FittedInterval], summed: list[Observation]
    ) -> tuple[Vector, Matrix]:
        """Mean and covariance once rows, intervals and sums are taken up; a sum to first order where it is expected."""
        single = [(self._look(each.at), each.size, each.variance) for each in taken]
        mean, cov = self._update(mean, cov, [*rows, *single])
        at, narrowed = mean, cov
        for _ in range(SUM_PASSES if summed else 0):
            at, narrowed = self._update(mean, cov, [self._summed_row(seen, at) for seen in summed])
        return at, narrowed

    def _taken(self, seen: Observation, interval: Interval) -> FittedInterval:
        at = self.names.index(seen.dimension)
        return FittedInterval(at, *interval.modelled(log=bool(self.logs[at])), *self._told(seen))

    def _rows(self, seen: Iterable[Observation]) -> list[_Row]:
        """A row a dimension: what was read of it several times is one reading at its weighted mean."""
        told: dict[str, list[tuple[float, float]]] = {}
        for each in seen:
            told.setdefault(each.dimension, []).append(self._told(each))
        found: list[_Row] = []
        for dimension, all_ in told.items():
            size, variance = all_[0]
            if len(all_) > 1:
                weight = sum(1 / variance for _, variance in all_)
                size, variance = sum(size / variance for size, variance in all_) / weight, 1 / weight
            found.append((self._look(self.names.index(dimension)), size, variance))
        return found

    def _look(self, i: int) -> Vector:
        row = np.zeros(len(self.names))
        row[i] = 1.0
        return row

    def _told(self, seen: Observation) -> tuple[float, float]:
        """What was seen and its variance, in the model's space."""
        if self.logs[self.names.index(seen.dimension)]:
            return math.log(seen.size), (seen.sd / seen.size) ** 2
        return seen.size, seen.sd**2

    def _summed_row(self, seen: Observation, at: Vector) -> _Row:
        """A sum to first order around `at`."""
        row = np.zeros(len(self.names))
        there = 0.0
        for part, weight in seen.weights:
            i = self.names.index(part)
            size = float(np.exp(at[i])) if self.logs[i] else float(at[i])
            row[i] = weight * size if self.logs[i] else weight
            there += weight * size
        return row, float(row @ at) + seen.size - there, seen.sd**2

    @staticmethod
    def _update(mean: Vector, cov: Matrix, rows: list[_Row]) -> tuple[Vector, Matrix]:
        if not rows:
            return mean, cov
        look = np.array([row for row, _, _ in rows])
        seen = np.array([size for _, size, _ in rows])
        across = cov @ look.T
        spread = look @ across
        spread.flat[:: len(rows) + 1] += [variance for _, _, variance in rows]
        gain = np.linalg.solve(spread, across.T).T
        return mean + gain @ (seen - look @ mean), cov - gain @ across.T


def age_of(observations: Iterable[Observation]) -> float | None:
    """The age in years among what was seen."""
    return next((seen.size for seen in observations if seen.dimension == AGE), None)


@cache
def men() -> Population:
    """Civilian men, bridged to the dimensions; built once."""
    survey = tables.document("body/population_men")
    bridge = tables.rows("body/dimensions")
    columns = tuple(row["column"] for row in bridge)
    offset, added = (np.array([float(row[name]) for row in bridge]) for name in ("offset_mm", "added_sd_mm"))
    logs = logged(survey, columns)
    builds = builds_of(survey, columns, logs, offset, added)
    mean, cov = builds.any_age()
    return Population(
        names=(AGE, *(row["dimension"] for row in bridge)),
        columns=(AGE, *columns),
        logs=np.concatenate([[True], logs]),
        mean=mean,
        cov=cov,
        builds=builds,
        domain=_domain(survey["domain"]),
    )


@lru_cache(maxsize=AGES_KEPT)
def _men_of_age(years: float) -> tuple[Vector, Matrix]:
    mean, cov = men().builds.at(np.array(years))
    mean.flags.writeable = cov.flags.writeable = False
    return cast("Vector", mean), cast("Matrix", cov)


def _domain(ranges: dict[str, list[float]]) -> Domain:
    def pair(name: str) -> tuple[float, float]:
        low, high = ranges[name]
        return (low, high)

    return Domain(pair("age_years"), pair("bmi"), pair("stature_mm"), pair("weight_kg"))
