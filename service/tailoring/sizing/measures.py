"""Sizes of a garment that measure the same at a place: each measure is weighed once, then spread over the sizes."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple, cast

import numpy as np
from scipy.special import ndtr

from service.tailoring.arrays import Array, Indices
from service.tailoring.body.intervals import ROOT_OF_TAU

# Beyond so many SDs the normal leaves nothing that a sum of money could show.
TAILS_SD = 6.5


class Alike(NamedTuple):
    """Places `at` that are added up before they are spread over the sizes: the same few combinations of measures.

    `rows` [places, combinations] names each place's measure in each, `which` [sizes] the combination of each size.
    """

    at: tuple[int, ...]
    rows: Indices
    which: Indices


def alike(at: tuple[int, ...], measures: Indices) -> list[Alike]:
    """The places of `measures` [places, sizes] in groups with at most half as many combinations as there are sizes."""
    if not measures.size:
        return [Alike(at, measures, np.arange(0))]
    groups: list[tuple[list[int], Indices]] = []
    for i, which in enumerate(measures):
        for k, (members, together) in enumerate(groups):
            both = np.unique(together * (which.max() + 1) + which, return_inverse=True)[1]
            if 2 * (both.max() + 1) <= len(which):
                groups[k] = ([*members, i], both)
                break
        else:
            groups.append(([i], np.unique(which, return_inverse=True)[1]))
    found = []
    for members, together in groups:
        first = np.unique(together, return_index=True)[1]
        found.append(Alike(tuple(at[i] for i in members), measures[members][:, first], together))
    return found


class SpareCloth(NamedTuple):
    """What sizes K measure beyond ideal ease at places P, mm, to be known again by: prices do not matter to it.

    A thousand shops with prices of their own sell the same few blocks.
    """

    content: bytes
    shape: tuple[int, ...]

    @classmethod
    def of(cls, spare_mm: Array) -> SpareCloth:
        """That of an array [K, P]."""
        return cls(spare_mm.tobytes(), spare_mm.shape)

    @property
    def mm(self) -> Array:
        """The array [K, P]."""
        return cast("Array", np.ndarray(self.shape, buffer=self.content))


@lru_cache(maxsize=256)
def distinct(spare: SpareCloth) -> list[tuple[Array, Indices]]:
    """By place, distinct spare cloths and which of them each size has [K]."""
    return [np.unique(each, return_inverse=True) for each in spare.mm.T]


@lru_cache(maxsize=256)
def alike_at(spare: SpareCloth, at: tuple[int, ...]) -> list[Alike]:
    """The places `at` in groups of sizes that measure alike."""
    return alike(at, np.array([distinct(spare)[place][1] for place in at]))


@lru_cache(maxsize=256)
def laid_out(spare: SpareCloth, at: tuple[int, ...]) -> tuple[Array, Indices, list[Alike]]:
    """The distinct measures [R] of all sizes at some places: spare cloth, column of `at`; which of them sizes have."""
    by_place = [distinct(spare)[place] for place in at]
    firsts = np.cumsum([0, *(len(found) for found, _ in by_place)])
    column = np.repeat(np.arange(len(at)), np.diff(firsts))
    measures = np.array([first + which for first, (_, which) in zip(firsts.tolist(), by_place, strict=False)])
    none: list[Array] = [np.empty(0)]
    return np.concatenate(none + [found for found, _ in by_place]), column, alike(at, measures)


class Measures(NamedTuple):
    """The distinct measures [R] of some sizes at some places: spare cloth, column of `at`, and what they cost by.

    The `last` stretch's polynomial [3 powers, R], and by how much, below each of the `knots` [E, R], it differs from
    the one above: `steps` [3 powers, E, R]. `alike` tells which measure each size has at each place.
    """

    spare_mm: Array
    column: Indices
    knots: Array
    steps: Array
    last: Array
    alike: list[Alike]

    def of_sizes(self, sizes: Indices) -> Measures:
        """Those that some of the sizes have: customers differ in which they are, so this is not worth keeping."""
        rows = np.concatenate([each.rows[:, each.which[sizes]] for each in self.alike])
        had = np.zeros(len(self.spare_mm), dtype=np.bool_)
        had[rows] = True
        kept, at = np.flatnonzero(had), tuple(place for each in self.alike for place in each.at)
        place = np.cumsum(had) - 1
        return Measures(
            self.spare_mm[kept],
            self.column[kept],
            self.knots[:, kept],
            self.steps[:, :, kept],
            self.last[:, kept],
            [Alike(at, place[rows], np.arange(len(sizes)))],
        )


class AtKnots(NamedTuple):
    """Normal residuals [..., R]: mean, SD, and at each knot [E, ..., R] the share below it and the density on it."""

    mean_mm: Array
    sd_mm: Array
    below: Array
    density: Array


def at_knots(knots: Array, residual_mm: Array, sd_mm: Array) -> AtKnots:
    """Residuals ~ Normal(residual_mm, sd_mm) [..., R] at the `knots` [E, R]."""
    m, sd = residual_mm, np.maximum(sd_mm, 1e-3)
    # Knots stand first, so that the long axis of residuals is the one that runs; in place, for these are large.
    z = knots.reshape(len(knots), *[1] * (m.ndim - 1), m.shape[-1]) - m
    z /= sd
    # Where most sizes are far from most knots, the costly functions are left to the few that are near.
    is_near = abs(z) < TAILS_SD
    if 2 * np.count_nonzero(is_near) > z.size:
        below = ndtr(z)
        density = np.exp(np.multiply(np.square(z, out=z), -0.5, out=z), out=z)
    else:
        below, density = (z > 0).astype(np.float64, order="C"), np.zeros(z.shape)
        near = np.flatnonzero(is_near)
        few = z.ravel()[near]
        below.ravel()[near] = ndtr(few)
        density.ravel()[near] = np.exp(few * few * -0.5)
    return AtKnots(m, sd, below, density)


def mean_cost(measures: Measures, residuals: AtKnots) -> Array:
    """The mean cost [..., R] of normal residuals.

    The last stretch's polynomial over the whole line, and at each knot what the stretches below it differ by.
    """
    m, sd, below, density = residuals
    # Summed over the knots power by power: of what lies below each, and of the density on it.
    c0, c1, c2 = (last + _over_knots(below, of) for last, of in zip(measures.last, measures.steps, strict=True))
    _, d1, d2 = measures.steps
    cost = c0 + c1 * m + c2 * (m * m + sd * sd)
    cost -= sd * ROOT_OF_TAU * (_over_knots(density, d1 + d2 * measures.knots) + m * _over_knots(density, d2))
    return cast("Array", cost)


def _over_knots(each: Array, of: Array) -> Array:
    """The sum [..., R] over knots of a share [E, ..., R] of each of the coefficients [E, R]."""
    return cast("Array", np.einsum("e...r,er->...r", each, of))
