"""What a size costs on a body, place by place.

At each place `residual = garment - (body + ideal ease)`. Inside the tolerance it costs next to nothing; outside,
the alteration that cures it, and the risk that it does not; beyond what that can move, the misfit as well. The cost is
a polynomial on each stretch of the residual, so that its expectation over a normal body stands in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial, reduce
from itertools import pairwise
from typing import NamedTuple, cast

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask, SingleArray
from service.tailoring.garments.alterations import Alteration
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.garments.places import OwnEase, Place, Wish
from service.tailoring.sizing.cuts import Bands, Cut, priced_cut
from service.tailoring.sizing.measures import (
    Alike,
    Measures,
    SpareCloth,
    alike_at,
    at_knots,
    distinct,
    laid_out,
    mean_cost,
)
from service.tailoring.work.prices import PriceList

# Of so few sizes it is not asked which of them measure the same.
FEW = 8
# Residuals further out are all looked up as this one, and between two of these steps none is told apart.
REACH_MM, STEPS_OF_MM = 1000, 2
_GRID = np.arange(-REACH_MM, REACH_MM + 1 / STEPS_OF_MM, 1 / STEPS_OF_MM)


class Figures(NamedTuple):
    """A costing's arrays as plain numbers, in mm: garment [K][P], ideal ease [P].

    Of the residual [P], what alterations can move, and between what nothing is altered.
    """

    garment_mm: list[list[float]]
    ideal_mm: list[float]
    curable_mm: list[tuple[float, float]]
    tolerance_mm: list[tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Costing:
    """One garment of a chart for one wish and price list, as arrays over sizes K and places P.

    `spare_mm` [K, P] is garment less ideal ease. `bounds` [P, 5] of the residual: what alterations can move, the
    tolerance, nothing, the tolerance, what alterations can move. Between its `knots` [P, E] the cost is the polynomials
    `coefficients` [P, E + 1, 3] (money minor units by powers of mm).
    """

    places: tuple[Place, ...]
    garment_mm: Array
    spare_mm: Array
    ideal_mm: Array
    bounds: Array
    knots: Array
    coefficients: Array
    low_cures: tuple[Alteration | None, ...]
    high_cures: tuple[Alteration | None, ...]
    unfinished: tuple[bool, ...]

    def expected(
        self, mean_mm: Array, sd_mm: Array, at: list[int], sizes: Indices | None = None, swapped: tuple[int, ...] = ()
    ) -> Array:
        """Expected cost [..., sizes] over the places `at`, for needs of `mean_mm`, `sd_mm` [..., len(at)].

        Of all sizes where none are named. At the places `swapped` it costs beyond what alterations can move no more
        than there. Many sizes share a measure at a place; each distinct one is weighed once.
        """
        return self.expected_ways(mean_mm, sd_mm, at, (swapped,), sizes)[0]

    def expected_ways(
        self,
        mean_mm: Array,
        sd_mm: Array,
        at: list[int],
        ways: tuple[tuple[int, ...], ...],
        sizes: Indices | None = None,
    ) -> list[Array]:
        """The same for each of some `ways` to have places swapped, for little more than once."""
        whole = [_distinct(self, tuple(at), swapped) for swapped in ways]
        measures = whole if sizes is None else [each.of_sizes(sizes) for each in whole]
        first = measures[0]
        residuals = at_knots(first.knots, first.spare_mm - mean_mm[..., first.column], sd_mm[..., first.column])
        return [_spread(mean_cost(each, residuals), each.alike) for each in measures]

    def exact(self, need_mm: Array, at: list[int]) -> Array:
        """The cost [N, K] of every size on N known bodies whose needs are `need_mm` [N, len(at)]."""
        total = np.zeros((need_mm.shape[0], self.spare_mm.shape[0]))
        for column, place in enumerate(at):
            spare, which = distinct(self.spare)[place]
            total += self._cost_of(place, spare - need_mm[:, column, None])[:, which]
        return total

    def rounded(self, need_mm: Array, at: list[int], sizes: Indices) -> SingleArray:
        """The cost [len(sizes), N] of some sizes on N bodies of needs `need_mm` [len(at), N], to half a millimetre.

        Hundreds of draws of one body are judged by it: looking up is cheaper than working it out. What a size costs is
        the same to the last bit, whatever other sizes are asked for.
        """
        steps = dict(zip(at, np.rint(need_mm * STEPS_OF_MM).astype(np.intp), strict=True))
        parts = []
        for each in alike_at(self.spare, tuple(at)):
            met, which = each.which[sizes], np.arange(len(sizes))
            if len(sizes) > FEW:
                met, which = np.unique(met, return_inverse=True)
            cost = reduce(
                np.add,
                (self._looked_up(place, row[met], steps[place]) for place, row in zip(each.at, each.rows, strict=True)),
            )
            parts.append(cost.take(which, axis=0))
        return reduce(partial(np.add, out=parts[0]), parts)

    def _looked_up(self, place: int, measures: Indices, need: Indices) -> SingleArray:
        """The cost [measures, N] at one place, for needs in steps."""
        table, spare = self._by_the_step[place]
        return table.take(spare[measures, None] - need, mode="clip")

    @cached_property
    def _by_the_step(self) -> list[tuple[SingleArray, Indices]]:
        """By place, what every step of the residual costs, and the distinct spare cloths in steps from the first."""
        return [
            (self._table(place), np.rint(spare * STEPS_OF_MM).astype(np.intp) + REACH_MM * STEPS_OF_MM)
            for place, (spare, _) in enumerate(distinct(self.spare))
        ]

    def _table(self, place: int) -> SingleArray:
        """What each step of the residual costs at one place, stretch by stretch: a shop's own prices have their own."""
        found = np.empty(len(_GRID))
        ends = [0, *np.searchsorted(_GRID, self.knots[place], side="right").tolist(), len(_GRID)]
        for (first, end), (c0, c1, c2) in zip(pairwise(ends), self.coefficients[place].tolist(), strict=True):
            residual = _GRID[first:end]
            found[first:end] = c0 + residual * (c1 + residual * c2)
        return found.astype(np.float32)

    @cached_property
    def spare(self) -> SpareCloth:
        """Its spare cloth, to be known again by whoever has other prices."""
        return SpareCloth.of(self.spare_mm)

    def _cost_of(self, place: int, residual_mm: Array) -> Array:
        """The cost at one place of residuals of any shape."""
        c = self.coefficients[place][np.searchsorted(self.knots[place], residual_mm)]
        return cast("Array", c[..., 0] + residual_mm * (c[..., 1] + residual_mm * c[..., 2]))

    @cached_property
    def figures(self) -> Figures:
        """The same figures one by one, for spelling out a plan."""
        ends = ([(low, high) for low, high in each.tolist()] for each in (self._curable, self._left_alone))
        return Figures(self.garment_mm.tolist(), self.ideal_mm.tolist(), *ends)

    @cached_property
    def cured_by_another_size(self) -> tuple[int, ...]:
        """The places that a neighbouring size puts right: girths, where that by which sizes go is altered both ways.

        The first place is that by which sizes go. Where it cannot be altered there is one size for a man, and no other.
        """
        if not self.places or not self.low_cures[0] or not self.high_cures[0]:
            return ()
        return tuple(i for i, place in enumerate(self.places) if i and place.basis != "length")

    @cached_property
    def sided(self) -> tuple[bool, ...]:
        """Where an alteration is made on one side by itself."""
        cures = zip(self.low_cures, self.high_cures, strict=True)
        return tuple(any(cure and cure.sided for cure in both) for both in cures)

    def untouched(self, residual_mm: Array, at: list[int]) -> Mask:
        """Where residuals [len(at), ...] ask for no needle at any place.

        The hem of an uncut leg is not counted: it belongs to selling the trousers.
        """
        return _within(residual_mm, self._left_alone[at])

    def curable(self, residual_mm: Array, at: list[int]) -> Mask:
        """Where residuals [len(at), ...] are right, or within what the alterations can move, at every place."""
        return _within(residual_mm, self._curable[at])

    @cached_property
    def _curable(self) -> Array:
        """Between which residuals [P, 2] alterations bring it right."""
        return self.bounds[:, (0, 4)]

    @cached_property
    def _left_alone(self) -> Array:
        """Between which residuals [P, 2] nothing is altered."""
        return np.where(np.array(self.unfinished)[:, None], self._curable, self.bounds[:, (1, 3)])


def _within(residual_mm: Array, ends_mm: Array) -> Mask:
    low, high = ends_mm.T.reshape(2, -1, *[1] * (residual_mm.ndim - 1))
    return cast("Mask", np.all((low <= residual_mm) & (residual_mm <= high), axis=0))


def _spread(cost: Array, groups: list[Alike]) -> Array:
    """What every size costs [..., K] at all places together, by what its measures [..., R] do."""
    return cast("Array", reduce(np.add, (reduce(np.add, (cost[..., r] for r in g.rows))[..., g.which] for g in groups)))


@lru_cache(maxsize=256)
def _distinct(of: Costing, at: tuple[int, ...], swapped: tuple[int, ...]) -> Measures:
    spare_mm, column, together = laid_out(of.spare, at)
    coefficients = _no_dearer_beyond(of, swapped)[np.array(at)[column]].transpose(2, 1, 0)
    return Measures(
        spare_mm=spare_mm,
        column=column,
        knots=np.ascontiguousarray(of.knots[np.array(at)[column]].T),
        steps=np.ascontiguousarray(-np.diff(coefficients, axis=1)),
        last=np.ascontiguousarray(coefficients[:, -1]),
        alike=together,
    )


@lru_cache(maxsize=256)
def costing(
    chart: Chart,
    garment: Garment,
    wish: Wish,
    prices: PriceList,
    held: Bands = (),
    own: tuple[OwnEase, ...] = (),
) -> Costing:
    """The arrays of one garment of a chart, built once a chart's revision, wish, price list and own ease."""
    priced = priced_cut(Cut.of(chart, garment), prices, held, own)
    garment_mm = _measured(chart, garment, tuple(p.name for p in priced.places))
    ideal_mm = np.array([p.ideal_mm[wish] for p in priced.places])
    return Costing(garment_mm=garment_mm, spare_mm=garment_mm - ideal_mm, ideal_mm=ideal_mm, **priced._asdict())


@lru_cache(maxsize=256)
def _measured(chart: Chart, garment: Garment, places: tuple[str, ...]) -> Array:
    """What the sizes measure at the places [K, P], in mm; whatever anything costs."""
    return np.array([[size.mm(place) or 0.0 for place in places] for size in chart.sizes[garment]])


def _no_dearer_beyond(of: Costing, swapped: tuple[int, ...]) -> Array:
    """The coefficients of a costing, at some places no dearer beyond what alterations can move than there."""
    found = of.coefficients.copy()
    for place in swapped:
        for stretch, edge_mm in ((0, of.bounds[place, 0]), (-1, of.bounds[place, -1])):
            c0, c1, c2 = found[place, stretch]
            found[place, stretch] = (c0 + edge_mm * (c1 + edge_mm * c2), 0.0, 0.0)
    return found


class Costed(NamedTuple):
    """One garment of a chart among others that are costed with it: its own arrays, theirs, and its sizes in theirs."""

    own: Costing
    among: Costing
    first: int

    @property
    def sizes(self) -> slice:
        """Its sizes among those of all."""
        return slice(self.first, self.first + len(self.own.spare_mm))


@lru_cache(maxsize=256)
def costed_together(
    charts: tuple[Chart, ...],
    garment: Garment,
    wish: Wish,
    prices: PriceList,
    held: Bands = (),
    own: tuple[OwnEase, ...] = (),
) -> dict[Chart, Costed]:
    """One garment of every chart that has it; those that are judged and cured alike share one costing.

    Four blocks of one cut have most measures in common, so together they cost hardly more than one.
    """
    alike: dict[Cut, list[tuple[Chart, Costing]]] = {}
    for chart in charts:
        if chart.sizes[garment]:
            of = costing(chart, garment, wish, prices, held, own)
            alike.setdefault(Cut.of(chart, garment), []).append((chart, of))
    found: dict[Chart, Costed] = {}
    for group in alike.values():
        each = [of for _, of in group]
        among = each[0]
        if len(group) > 1:
            garment_mm, spare_mm = (
                np.vstack([getattr(of, name) for of in each]) for name in ("garment_mm", "spare_mm")
            )
            among = replace(among, garment_mm=garment_mm, spare_mm=spare_mm)
        firsts = np.cumsum([0, *(len(of.spare_mm) for of in each)]).tolist()
        found |= {chart: Costed(of, among, first) for (chart, of), first in zip(group, firsts, strict=False)}
    return found
