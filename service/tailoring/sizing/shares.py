"""In what share of the bodies that he may have a plan is best, needs no needle, or fits once altered.

One fixed set of quasi-random bodies is counted, so that the same question always has the same answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeAlias, TypeVar, cast

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask, SingleArray
from service.tailoring.body.draws import drawn
from service.tailoring.body.population import Belief
from service.tailoring.garments.charts import SIZED_BY, Garment
from service.tailoring.quantities import inches
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer

# The position in the chart of each garment's size.
Sizes: TypeAlias = dict[Garment, int]
AnyArray = TypeVar("AnyArray", Array, SingleArray)

# Costs nearer than a hundredth of a minor unit are one cost.
ALIKE_MINOR = 0.01
# A size whose girth is further than this from what any of the bodies needs is best for none of them: alterations of a
# girth end well below it.
REACH_MM = inches(6)


@dataclass(frozen=True, slots=True)
class Shares:
    """In what share of the fixed draws of his body the plan is best, needs no needle, or fits once altered.

    Best is what costs least *and* fits once altered: the least bad of what does not fit is no answer.
    """

    p_best: float
    p_no_alteration: float
    p_fits_after_alteration: float


def least_of_pairs(rows: AnyArray, columns: AnyArray, sold: Mask) -> AnyArray:
    """The least sum [...] of one of `rows` [R, ...] and one of `columns` [C, ...] that are sold together [R, C].

    Pairs are never spelt out: a chart has ten thousand of them, and they are judged on thousands of bodies.
    """
    if sold.all():
        return cast("AnyArray", rows.min(axis=0) + columns.min(axis=0))
    sums = (rows[row] + columns[sold[row]].min(axis=0) for row in np.flatnonzero(sold.any(axis=1)))
    return reduce(np.minimum, sums, np.full_like(rows[0], np.inf))


class DrawnBodies:
    """The fixed bodies of one belief over some dimensions, and what each size of a garment costs on them.

    `shown_mm` is added at a (garment, place) of every one of them.
    """

    def __init__(
        self,
        belief: Belief,
        names: Sequence[str],
        shown_mm: Mapping[tuple[str, str], float] | None = None,
        points: int | None = None,
    ) -> None:
        self._shown_mm = shown_mm or {}
        bodies, counts = drawn(belief, names, points)
        self.weights = counts / counts.sum()
        self._bodies = dict(zip(names, bodies, strict=True))
        self._needs: dict[Costing, Array] = {}
        self._reached: dict[Costing, tuple[Indices, SingleArray]] = {}
        self._altered: dict[Costing, dict[int, Mask]] = {}

    def costs(self, garment_offer: GarmentOffer, sizes: Sequence[int]) -> SingleArray:
        """The cost of some sizes of the chart on each body [sizes, bodies]."""
        of = garment_offer.among
        at = np.asarray(sizes, dtype=np.intp) + of.first
        return of.among.rounded(self.needs(garment_offer), garment_offer.at, at)

    def in_reach(self, garment_offer: GarmentOffer) -> tuple[Indices, SingleArray]:
        """What of the rack any of the bodies may wear best: positions on the rack, and their costs [sizes, bodies].

        All of a rack of which no size is in reach.
        """
        of = garment_offer.among
        if of.among not in self._reached:
            near = np.flatnonzero(self._near(garment_offer))
            place = np.full(len(of.among.spare_mm), -1)
            place[near] = np.arange(len(near))
            self._reached[of.among] = place, of.among.rounded(self.needs(garment_offer), garment_offer.at, near)
        row, costs = self._reached[of.among]
        found: Indices = row[np.asarray(garment_offer.sizes, dtype=np.intp) + of.first]
        at = np.flatnonzero(found >= 0)
        if not at.size:
            return np.arange(len(found)), self.costs(garment_offer, garment_offer.sizes)
        return at, costs[found[at]]

    def _near(self, garment_offer: GarmentOffer) -> Mask:
        """Which sizes of all charts that are costed together are cut for a girth within reach of some body."""
        of, at = garment_offer.among.among, garment_offer.at
        girth = SIZED_BY[garment_offer.garment]
        place = next((i for i in at if of.places[i].name == girth), None)
        if place is None:
            return np.ones(len(of.spare_mm), dtype=np.bool_)
        needs = self.needs(garment_offer)[at.index(place)]
        spare = of.spare_mm[:, place]
        return cast("Mask", (needs.min() - REACH_MM <= spare) & (spare <= needs.max() + REACH_MM))

    def needs(self, garment_offer: GarmentOffer) -> Array:
        """What the garment should measure, less ideal ease, on each body [places, bodies] (mm)."""
        costing = garment_offer.among.among
        if costing not in self._needs:
            places = (costing.places[i] for i in garment_offer.at)
            self._needs[costing] = np.array(
                [
                    self._bodies[place.dimension] * place.share + self._shown_mm.get((place.garment, place.name), 0.0)
                    for place in places
                ]
            )
        return self._needs[costing]

    def altered(self, garment_offer: GarmentOffer, sizes: Sequence[int]) -> Mask:
        """On which bodies each of `sizes` needs no needle, and on which it fits once altered [sizes, 2, bodies].

        One size is in many plans: each is looked at once.
        """
        costing, at = garment_offer.costing, garment_offer.at
        known = self._altered.setdefault(costing, {})
        fresh = [size for size in dict.fromkeys(sizes) if size not in known]
        if fresh:
            residual = costing.spare_mm[np.ix_(fresh, at)].T[:, :, None] - self.needs(garment_offer)[:, None, :]
            both = np.stack([costing.untouched(residual, at), costing.curable(residual, at)], axis=1)
            known.update(zip(fresh, both, strict=True))
        return np.array([known[size] for size in sizes])


def dimensions_judged(offers: Iterable[ChartOffer]) -> frozenset[str]:
    """The dimensions by which the sizes on offer are judged."""
    return frozenset(
        each.costing.places[i].dimension for offer in offers for each in offer.garment_offers.values() for i in each.at
    )


class ShareCount:
    """Plans on the fixed bodies of one belief, against everything that the charts offer."""

    def __init__(self, bodies: DrawnBodies, offers: Sequence[ChartOffer]) -> None:
        self._bodies = bodies
        self._points = len(bodies.weights)
        self._least = np.min([self._least_of(offer) for offer in offers], axis=0)

    def shares(self, plans: Sequence[tuple[ChartOffer, Sizes]]) -> list[Shares]:
        """The shares of plans, each of one chart."""
        found: dict[int, Shares] = {}
        for offer in {id(offer): offer for offer, _ in plans}.values():
            at = [i for i, (its, _) in enumerate(plans) if its is offer]
            found |= zip(at, self._shares(offer, [plans[i][1] for i in at]), strict=True)
        return [found[i] for i in range(len(plans))]

    def _shares(self, offer: ChartOffer, plans: list[Sizes]) -> list[Shares]:
        total: SingleArray = np.zeros((len(plans), self._points), dtype=np.float32)
        altered = np.ones((len(plans), 2, self._points), dtype=np.bool_)
        # In the order in which the least cost is added up: the same sum is then the same to the last bit.
        for garment, garment_offer in offer.garment_offers.items():
            sizes = [plan[garment] for plan in plans]
            total += self._bodies.costs(garment_offer, sizes)
            altered &= self._bodies.altered(garment_offer, sizes)
        best = (total <= self._least + ALIKE_MINOR) & altered[:, 1]
        counted = np.concatenate([best[:, None], altered], axis=1) @ self._bodies.weights
        return [Shares(*(round(share, 4) for share in plan)) for plan in counted.tolist()]

    def _least_of(self, offer: ChartOffer) -> Array:
        """The least true cost [bodies] of what this chart offers."""
        if not offer.is_open:
            return np.full(self._points, np.inf)
        offered = {garment: self._bodies.in_reach(each) for garment, each in offer.garment_offers.items()}
        if offer.sold is None:
            return cast("Array", reduce(np.add, (costs.min(axis=0) for _, costs in offered.values())))
        (jackets, j_costs), (trousers, t_costs) = (offered.pop(garment) for garment in offer.axes)
        pair = least_of_pairs(j_costs, t_costs, offer.sold[np.ix_(jackets, trousers)])
        return cast("Array", sum((costs.min(axis=0) for _, costs in offered.values()), pair))
