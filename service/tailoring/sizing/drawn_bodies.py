"""The fixed bodies that a customer may have, and what sizes cost and need on each of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import cast

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask, SingleArray
from service.tailoring.body.draws import drawn
from service.tailoring.body.population import Belief
from service.tailoring.garments.charts import SIZED_BY
from service.tailoring.quantities import inches
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer

# A size whose girth is further than this from what any of the bodies needs is best for none of them: alterations of a
# girth end well below it. (Of 527 customers, drawn and invented, no share differed with 3 1/2 in.)
REACH_MM = inches(4)


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
        if of.among in self._reached:
            row, costs = self._reached[of.among]
            if (row[at] >= 0).all():
                return costs[row[at]]
        return of.among.rounded(self.needs(garment_offer), garment_offer.at, at)

    def in_reach(self, garment_offer: GarmentOffer) -> tuple[Indices, Indices, SingleArray]:
        """What of the rack any of the bodies may wear best: positions on the rack, and rows of the array of costs.

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
            every = np.arange(len(found))
            return every, every, self.costs(garment_offer, garment_offer.sizes)
        return at, found[at], costs

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
