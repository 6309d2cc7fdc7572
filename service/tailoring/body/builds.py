"""What men of an age are like before anything is read: civilians' margins on the structure of the soldiers' bodies.

Stature, mass and waist are civilians' by age (`tables/population_men.toml` names the surveys). Every other column
follows them as it does among soldiers, and what is left of it scatters as theirs does, but for the build: whether a man
carries his weight high or low. That is one factor, and civilians have a mean and a variance of it that are their own (a
part of which each column has for itself). So a tape at the chest moves the build, and with it the seat and the neck.

Given the age all of it is one normal. Of a man whose age is not known it is the normal with the moments of all ages
together, each as frequent as among civilians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeAlias, cast

import numpy as np

from service.tailoring.arrays import Array, Matrix, Vector

# Which dimensions live in logs.
Logs: TypeAlias = np.ndarray[tuple[int], np.dtype[np.bool_]]

AGE = "age_years"
# An age is told in whole years.
AGE_SD_YEARS = 0.5
# Ages are tilted by at most so much an e-fold of age: then all but a few are of the oldest, or of the youngest.
TILT_MOST, TILT_HALVED = 30.0, 40
# The block of civilians, in the order of the regressions.
BLOCK = ("stature", "weight_kg", "waistcircumference")


@dataclass(frozen=True, eq=False)
class Block:
    """Civilians' stature (mm), log mass and log waist at the navel, from the middle, by the log of their age.

    `stature`, `mass` and `waist` are coefficients: four powers of the log age, then the block's earlier variables (and
    for the waist, last, log age times log mass). The variances of mass and waist are by three powers of it.
    """

    stature: Vector
    mass: Vector
    waist: Vector
    stature_variance: float
    mass_variance: Vector
    waist_variance: Vector
    level: float

    def moments(self, log_age: Array) -> tuple[Array, Array]:
        """Means [..., 3] and covariances [..., 6]: those of (0, 0), (0, 1), (0, 2), (1, 1), (1, 2) and (2, 2)."""
        powers = log_age[..., None] ** np.arange(4)
        grown, across = self.mass[4], self.waist[4]
        by_mass = self.waist[5] + self.waist[6] * log_age
        stature = powers @ self.stature
        mass = powers @ self.mass[:4] + grown * stature
        waist = powers @ self.waist[:4] + across * stature + by_mass * mass + self.level
        v_stature = np.full_like(log_age, self.stature_variance)
        v_mass = grown**2 * v_stature + powers[..., :3] @ self.mass_variance
        with_mass = grown * v_stature
        with_waist = across * v_stature + by_mass * with_mass
        mass_waist = across * with_mass + by_mass * v_mass
        v_waist = across * with_waist + by_mass * mass_waist + powers[..., :3] @ self.waist_variance
        cov = (v_stature, with_mass, with_waist, v_mass, mass_waist, v_waist)
        return np.stack([stature, mass, waist], axis=-1), np.stack(cov, axis=-1)


@dataclass(frozen=True, eq=False)
class Builds:
    """Moments of men by age over `dimensions`, the age first, in the model's space (girths, mass and age in logs).

    A dimension is `base`, `by_age` times a soldier's log age, and `on_block` times the block; `rest` is the covariance
    of what the block leaves.
    """

    block: Block
    base: Vector
    by_age: Vector
    on_block: Matrix
    rest: Matrix
    middle_years: float
    oldest: float
    oldest_soldier: float
    ages: Vector
    shares: Vector

    def at(self, years: Array) -> tuple[Array, Array]:
        """Mean [..., dimensions] and covariance [..., dimensions, dimensions] of men of so many `years` [...]."""
        known = np.clip(years, self.ages[0], self.oldest)
        block, among = self.block.moments(np.log(known / self.middle_years))
        served = np.log(np.minimum(known, self.oldest_soldier) / self.middle_years)
        mean = self.base + served[..., None] * self.by_age + block @ self.on_block.T
        cov = (among @ self._shapes).reshape(*mean.shape, mean.shape[-1]) + self.rest
        own = np.maximum(years, 1.0)
        mean[..., 0] = np.log(own)
        cov[..., 0, 0] = (AGE_SD_YEARS / own) ** 2
        return mean, cov

    def any_age(self) -> tuple[Vector, Matrix]:
        """Mean and covariance of men of all ages together."""
        mean, cov = self.at(self.ages)
        middle = self.shares @ mean
        off = mean - middle
        within = np.einsum("a,aij->ij", self.shares, cov)
        among = cast("Matrix", within + np.einsum("a,ai,aj->ij", self.shares, off, off))
        return cast("Vector", middle), cast("Matrix", (among + among.T) / 2)

    def aged(self, off: float) -> Builds:
        """The same men, their ages tilted until the mean of the log of their age moves by `off`, or nearly as far."""
        logs = np.log(self.ages)
        middle = float(self.shares @ logs)
        low, high, shares = -TILT_MOST, TILT_MOST, self.shares
        for _ in range(TILT_HALVED if off else 0):
            tilt = (low + high) / 2
            shares = self.shares * np.exp(tilt * (logs - middle))
            shares = shares / shares.sum()
            low, high = (tilt, high) if float(shares @ logs) < middle + off else (low, tilt)
        return replace(self, shares=shares)

    @cached_property
    def _shapes(self) -> Matrix:
        """What each covariance of the block adds to those of the dimensions [6, dimensions squared]."""
        columns, found = self.on_block.T, []
        for i in range(len(columns)):
            for j in range(i, len(columns)):
                one = np.outer(columns[i], columns[j])
                found.append((one if i == j else one + one.T).ravel())
        return np.array(found)


def builds_of(
    survey: dict[str, Any], columns: tuple[str, ...], logs: Logs, offset_mm: Vector, added_mm: Vector
) -> Builds:
    """Builds over dimensions on the survey's `columns`, which are in `logs`: off them by `offset_mm`, and by scatter.

    A logged column takes its offset, and the SD of its own scatter, as a share of its typical size. The age goes
    before the columns.
    """
    middle, civilians = survey["middle"], survey["civilians"]
    ages = np.arange(civilians["ages_years"][0], civilians["ages_years"][1] + 1.0)
    base, by_age, on_block = (np.array(each) for each in zip(*(_row(survey, name) for name in columns), strict=True))
    typical = np.where(logs, np.exp(np.where(logs, base, 0.0)), 1.0)
    shift = np.where(logs, np.log1p(np.where(logs, offset_mm / typical, 0.0)), offset_mm)
    n = len(columns) + 1
    rest = np.zeros((n, n))
    rest[1:, 1:] = _rest(survey, columns) + np.diag(np.square(added_mm / typical))
    return Builds(
        block=_block(survey),
        base=np.concatenate([[0.0], base + shift]),
        by_age=np.concatenate([[0.0], by_age]),
        on_block=np.vstack([np.zeros(len(BLOCK)), on_block]),
        rest=rest,
        middle_years=middle["age_years"],
        oldest=middle["oldest_years"],
        oldest_soldier=middle["oldest_soldier_years"],
        ages=ages,
        shares=np.array(civilians["age_shares"]) / sum(civilians["age_shares"]),
    )


def logged(survey: dict[str, Any], columns: tuple[str, ...]) -> Logs:
    """Which columns live in logs."""
    known = dict(zip(BLOCK, (False, True, True), strict=True))
    known |= {each["name"]: each["transform"] == "log" for each in survey["column"]}
    return np.array([known[name] for name in columns])


def _block(survey: dict[str, Any]) -> Block:
    of, waist, typical = survey["civilians"], survey["waist"], survey["middle"]["waistcircumference"]
    return Block(
        stature=np.array(of["stature"]),
        mass=np.array(of["mass"]),
        waist=np.array(of["waist"]),
        stature_variance=of["stature_variance"],
        mass_variance=np.array(of["mass_variance"]),
        waist_variance=np.array(of["waist_variance"]) + np.array([waist["level_sd_mm"] / typical, 0.0, 0.0]) ** 2,
        level=float(np.log1p(waist["navel_above_iliac_crest_mm"] / typical)),
    )


def _row(survey: dict[str, Any], column: str) -> tuple[float, float, tuple[float, ...]]:
    """A column's middle, its slope on log age and its slopes on the block, civilians' builds in the middle."""
    if column in BLOCK:
        size = survey["middle"][column]
        unit = tuple(float(name == column) for name in BLOCK)
        return (size if column == "stature" else math.log(size)), 0.0, unit
    of = next(each for each in survey["column"] if each["name"] == column)
    constant, by_age, *slopes = of["regression"]
    return constant + survey["builds"]["mean"] * of["build"], by_age, tuple(slopes)


def _rest(survey: dict[str, Any], columns: tuple[str, ...]) -> Matrix:
    """What the block leaves of each column: the soldiers' covariance and the civilians' wider builds."""
    names = [each["name"] for each in survey["column"]]
    lower = np.zeros((len(names), len(names)))
    for i, each in enumerate(survey["column"]):
        lower[i, : i + 1] = each["cov"]
    load = np.array([each["build"] for each in survey["column"]])
    wider, shared = survey["builds"]["variance"] - 1, survey["builds"]["shared"]
    whole = lower + np.tril(lower, -1).T + wider * (shared * np.outer(load, load) + (1 - shared) * np.diag(load**2))
    found = np.zeros((len(columns), len(columns)))
    at = [(i, names.index(name)) for i, name in enumerate(columns) if name not in BLOCK]
    for i, here in at:
        for j, there in at:
            found[i, j] = whole[here, there]
    return found
