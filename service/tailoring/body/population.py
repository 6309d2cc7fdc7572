"""The population of men: a multivariate normal over the dimensions, and its conditioning on what was read.

The survey's columns stand in `tables/population_men.toml`; `tables/dimensions.csv` bridges each dimension to one
column. A dimension that the survey did not take where we take it (the trouser waist) is its column plus an
offset and scatter of its own. Girths and mass live in logs, as the survey's fit does; the other lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, TypeAlias, cast

import numpy as np

from service.tailoring import tables
from service.tailoring.arrays import Matrix, Vector
from service.tailoring.body.intervals import FittedInterval, Interval

# A look at the dimensions, what was seen of it, and its variance.
_Row: TypeAlias = tuple[Vector, float, float]

AGE = "age_years"
# Past this age the survey has few men: their waists are moved.
OLD_YEARS = 54
SUM_PASSES = 3
# Garments that suit a man settle after a few; what contradicts itself takes longer.
INTERVAL_PASSES = 20
SETTLED = 1e-3


@dataclass(frozen=True, slots=True)
class Observation:
    """A noisy look at one dimension: `size` in mm (kg for mass, years for age), its error's SD in the same unit.

    `dimension` may also be a weighted sum: `weights` then names each part, and `size` is the sum's. `looked`: it
    counts as having read the dimension, which then needs no wider scatter. `interval` is what was truly told where
    `size` and `sd` are only the normal nearest to it.
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


@dataclass(frozen=True, eq=False)
class Belief:
    """What is known of one man: a normal over the model's space, unread dimensions with the wider scatter.

    `names` are the dimensions in order; `mean` and `cov` are in the model's space (log where `logs`).
    `read` tells which dimensions were looked at directly, `intervals` what was taken as a normal and is none, and
    `besides` what is believed without those that have an open end; None where there are none of these.
    """

    names: tuple[str, ...]
    logs: np.ndarray[tuple[int], np.dtype[np.bool_]]
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
    def _told(self) -> dict[str, tuple[float, float]]:
        """Median and SD of every dimension: what a plan is spelled out with asks for them again and again."""
        median = np.where(self.logs, np.exp(np.where(self.logs, self.mean, 0.0)), self.mean)
        sd = np.sqrt(np.maximum(self.cov.diagonal(), 0.0)) * np.where(self.logs, median, 1.0)
        return dict(zip(self.names, zip(median.tolist(), sd.tolist(), strict=True), strict=True))


@dataclass(frozen=True, eq=False)
class Population:
    """The model over `names`, each on its survey column: mean and covariance before anything is read.

    `multiplier` widens the SD of what was not read: scatter outside trained survey teams is larger. Two
    dimensions on one column are one girth at two levels: reading either narrows both.
    """

    names: tuple[str, ...]
    columns: tuple[str, ...]
    logs: np.ndarray[tuple[int], np.dtype[np.bool_]]
    mean: Vector
    cov: Matrix
    multiplier: Vector
    domain: Domain
    reported_stature_over_mm: float
    reported_stature_sd_mm: float
    reported_mass_over_kg: float
    reported_mass_sd_kg: float
    old_waist_mm_per_year: float

    def believe(self, observations: Sequence[Observation]) -> Belief:
        """Condition the population on `observations`, in any order and number.

        Readings take one solve. Sums of logged dimensions are not linear, nor are intervals normal: they take a few.
        """
        mean = self.mean_at_age(observations)
        looked = [seen for seen in observations if seen.looked and not seen.weights]
        # In one order, however they came: shares and costs are then the same to the last digit.
        vague = sorted((seen for seen in observations if not seen.looked and not seen.weights), key=_in_order)
        summed = [seen for seen in observations if seen.weights]
        mean, cov = self._update(mean, self.cov, [self._row(seen) for seen in looked])
        read = frozenset(seen.dimension for seen in looked)
        looked_at = {self.columns[self.names.index(name)] for name in read}
        wider = np.where([column in looked_at for column in self.columns], 1.0, self.multiplier)
        # A sum or a vague look reads no dimension: it speaks to a belief that is wide already.
        wide = mean, cov * np.outer(wider, wider)
        rows = [self._row(seen) for seen in vague if not seen.interval]
        told = [self._taken(seen, seen.interval) for seen in vague if seen.interval]
        taken = self._settled(*wide, rows, told, summed)
        besides = None
        if any(each.is_open for each in taken):
            closed = [each for each in taken if not each.is_open]
            besides = Belief(self.names, self.logs, *self._known(*wide, rows, closed, summed), read)
        return Belief(self.names, self.logs, *self._known(*wide, rows, taken, summed), read, tuple(taken), besides)

    def mean_at_age(self, observations: Iterable[Observation]) -> Vector:
        """The mean [dimensions], its waists a little larger past 54: the survey has few older men."""
        years = max((seen.size - OLD_YEARS for seen in observations if seen.dimension == AGE), default=0.0)
        return self.mean if years <= 0 else cast("Vector", self.means_at_age(np.array(OLD_YEARS + years)))

    def means_at_age(self, years: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Matrix:
        """The means [..., dimensions] of men of so many years [...]."""
        waist = np.array(["waist_girth" in name for name in self.names])
        past = np.maximum(years - OLD_YEARS, 0.0)[..., None]
        grown = np.log1p(self.old_waist_mm_per_year * past / np.exp(np.where(waist, self.mean, 1.0)))
        return cast("Matrix", self.mean + np.where(waist, grown, 0.0))

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
        _, size, variance = self._row(seen)
        return FittedInterval(at, *interval.modelled(log=bool(self.logs[at])), size, variance)

    def _look(self, i: int) -> Vector:
        row = np.zeros(len(self.names))
        row[i] = 1.0
        return row

    def _row(self, seen: Observation) -> _Row:
        i = self.names.index(seen.dimension)
        if self.logs[i]:
            return self._look(i), math.log(seen.size), (seen.sd / seen.size) ** 2
        return self._look(i), seen.size, seen.sd**2

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


@cache
def men() -> Population:
    """The surveyed men, bridged to the dimensions; built once."""
    survey = tables.document("body/population_men")
    bridge = tables.rows("body/dimensions")
    columns = [variable["name"] for variable in survey["variable"]]
    at = [columns.index("Age"), *(columns.index(row["column"]) for row in bridge)]
    logs = np.array([survey["variable"][i]["transform"] == "log" for i in at])
    means = np.array([variable["mean"] for variable in survey["variable"]])[at]
    typical = np.where(logs, np.exp(np.where(logs, means, 0.0)), 1.0)
    offset = np.array([0.0, *(float(row["offset_mm"]) for row in bridge)])
    added = np.array([0.0, *(float(row["added_sd_mm"]) for row in bridge)])
    # A logged column takes its offset as a share of the typical size.
    shift = np.where(logs, np.log1p(np.where(logs, offset / typical, 0.0)), offset)
    factors = survey["transport_to_civilians"]["sd_multiplier"]
    reported = survey["transport_to_civilians"]
    return Population(
        names=(AGE, *(row["dimension"] for row in bridge)),
        columns=tuple(columns[i] for i in at),
        logs=logs,
        mean=means + shift,
        cov=_covariance(survey["variable"])[np.ix_(at, at)] + np.diag((added / typical) ** 2),
        multiplier=np.array([factors.get(columns[i], factors["default"]) for i in at]),
        domain=_domain(survey["domain"]),
        reported_stature_over_mm=reported["self_reported_height_over_measured_mm"]["mean"],
        reported_stature_sd_mm=reported["self_reported_height_over_measured_mm"]["sd"],
        reported_mass_over_kg=reported["self_reported_weight_minus_measured_kg"]["mean"],
        reported_mass_sd_kg=reported["self_reported_weight_minus_measured_kg"]["sd"],
        old_waist_mm_per_year=reported["waist_age_gt_54_add_mm_per_year"],
    )


def _covariance(variables: list[dict[str, Any]]) -> Matrix:
    lower = np.zeros((len(variables), len(variables)))
    for i, variable in enumerate(variables):
        lower[i, : i + 1] = variable["cov"]
    return lower + np.tril(lower, -1).T


def _domain(ranges: dict[str, list[float]]) -> Domain:
    def pair(name: str) -> tuple[float, float]:
        low, high = ranges[name]
        return (low, high)

    return Domain(pair("age_years"), pair("bmi"), pair("stature_mm"), pair("weight_kg"))
