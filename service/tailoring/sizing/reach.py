"""Sizes that any of the drawn bodies may wear best, and which of them are within one size of another."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple, TypeAlias, TypeVar, cast

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask, SingleArray
from service.tailoring.garments.charts import LENGTH_CLASSES, Chart, Garment

AnyArray = TypeVar("AnyArray", Array, SingleArray)
# Sums of costs [bodies], or one that is infinite everywhere.
Costs: TypeAlias = Array | SingleArray

# Girths nearer than this are one size, in whatever unit a chart was written.
ALIKE_MM = 1.0


class Grid(NamedTuple):
    """The sizes of one garment of a chart: the girths (mm) and the length classes, by number, that they are cut for."""

    girth_mm: Array
    length_class: Indices

    def around(self, size: int) -> tuple[float, float, int]:
        """From the next smaller girth to the next larger one, and the length class of a size."""
        steps = np.unique(self.girth_mm)
        at = int(np.searchsorted(steps, self.girth_mm[size]))
        low, high = steps[max(at - 1, 0)], steps[min(at + 1, len(steps) - 1)]
        return float(low), float(high), int(self.length_class[size])


@lru_cache(maxsize=4096)
def ends_of(chart: Chart, garment: Garment, size: int) -> tuple[float, float, int]:
    """What is within one size of a size: from girth to girth (mm), and around which length class."""
    return grid_of(chart, garment).around(size)


@lru_cache(maxsize=256)
def grid_of(chart: Chart, garment: Garment) -> Grid:
    """Girths and length classes of a garment of a chart."""
    sizes = chart.sizes[garment]
    return Grid(
        np.array([size.body_mm for size in sizes]),
        np.array([LENGTH_CLASSES.index(size.length_class) for size in sizes]),
    )


class InReach(NamedTuple):
    """One garment's sizes of all offers that may be best on some body: what they cost [sizes, bodies], offer by offer.

    `girth_mm` and `length_class` are what each is cut for, `offer` the number of its offer, `at` its place on it;
    `costed_as` the first offer that it was costed together with, `size` its place among all of these.
    """

    costs: SingleArray
    offer: Indices
    at: Indices
    girth_mm: Array
    length_class: Indices
    costed_as: Indices
    size: Indices

    def of_offer(self, b: int) -> slice:
        """The rows of one offer."""
        first, last = np.searchsorted(self.offer, (b, b + 1)).tolist()
        return slice(first, last)

    def same(self, chart: Chart, garment: Garment, size: int) -> Mask:
        """Which are that size of a chart in whatever cut: cut for its girth, and in its length class."""
        grid = grid_of(chart, garment)
        girth = abs(self.girth_mm - grid.girth_mm[size]) <= ALIKE_MM
        return cast("Mask", girth & (self.length_class == grid.length_class[size]))

    def around(self, chart: Chart, garment: Garment, size: int) -> Mask:
        """Which are within one size of that size: cut for a girth next to its own, at most one length class away."""
        low, high, length_class = ends_of(chart, garment, size)
        girth = (low - ALIKE_MM <= self.girth_mm) & (self.girth_mm <= high + ALIKE_MM)
        return cast("Mask", girth & (abs(self.length_class - length_class) <= 1))

    def least(self) -> dict[int, SingleArray]:
        """The least cost [bodies] by offer."""
        ends = [*np.flatnonzero(np.diff(self.offer, prepend=-1)).tolist(), len(self.offer)]
        return {int(self.offer[first]): self.costs[first:end].min(axis=0) for first, end in pairwise(ends)}


def least_at(costs: Array, most: int) -> Indices:
    """Where the least few of costs are, cheapest first; of equal ones the first. Ten thousand are never sorted."""
    if most == 1:
        return np.array([costs.argmin()]) if len(costs) else np.arange(0)
    if len(costs) <= most:
        return np.argsort(costs, kind="stable")
    near = np.flatnonzero(costs <= np.partition(costs, most - 1)[most - 1])
    return near[np.argsort(costs[near], kind="stable")[:most]]


def least_of_pairs(rows: AnyArray, columns: AnyArray, sold: Mask) -> AnyArray:
    """The least sum [...] of one of `rows` [R, ...] and one of `columns` [C, ...] that are sold together [R, C].

    Pairs are never spelt out: a chart has ten thousand of them, and they are judged on thousands of bodies.
    """
    if sold.all():
        return cast("AnyArray", rows.min(axis=0) + columns.min(axis=0))
    return cast("AnyArray", (rows + _least_beside(columns, sold)).min(axis=0))


def _least_beside(columns: AnyArray, sold: Mask) -> AnyArray:
    """The least [R, ...] of the `columns` [C, ...] that each row is sold with; infinite where there is none.

    Girths near to one another stand side by side, so what is sold together comes in runs: each run is covered by two of
    a power of two, whose least is known from runs half as long. Column by column it took six times as long.
    """
    doubled = [columns]
    while 2 ** len(doubled) <= len(columns):
        half, step = doubled[-1], 2 ** (len(doubled) - 1)
        doubled.append(np.minimum(half[:-step], half[step:]))
    least = np.full((len(sold), *columns.shape[1:]), np.inf, dtype=columns.dtype)
    steps = np.diff(np.pad(sold.astype(np.int8), ((0, 0), (1, 1))), axis=1)
    starts, ends = (np.argwhere(steps == step).tolist() for step in (1, -1))
    for (row, start), (_, end) in zip(starts, ends, strict=True):
        power = (end - start).bit_length() - 1
        for at in (start, end - 2**power):
            np.minimum(least[row], doubled[power][at], out=least[row])
    return least


def first_at(costs: SingleArray, least: Costs) -> Indices:
    """The first row [bodies] of costs [rows, bodies] that is the least [bodies] of them, sooner than argmin."""
    # In as few bytes as count the rows: a third less time than in two.
    kind = np.uint8 if len(costs) <= np.iinfo(np.uint8).max else np.uint16
    left = np.arange(len(costs), 0, -1, dtype=kind)[:, None]
    most: Indices = ((costs == least).view(np.uint8) * left).max(axis=0).astype(np.intp)
    return len(costs) - most


def best_of_pairs(rows: SingleArray, columns: SingleArray, sold: Mask) -> tuple[Indices, Indices]:
    """Of the pair with that least sum, the row [bodies] and the column [bodies]; the first of equal ones."""
    beside = columns.min(axis=0)[None] if sold.all() else _least_beside(columns, sold)
    sums = rows + beside
    row = first_at(sums, sums.min(axis=0))
    of_row = columns if sold.all() else np.where(sold[row].T, columns, np.float32(np.inf))
    return row, first_at(of_row, of_row.min(axis=0))
