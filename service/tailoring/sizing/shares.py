"""In what share of the bodies that he may have a plan is best, needs no needle, or fits once altered.

One fixed set of quasi-random bodies is counted, so that the same question always has the same answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeAlias, TypeVar, cast

import numpy as np

from service.tailoring.arrays import Array, Mask, SingleArray
from service.tailoring.body.draws import drawn
from service.tailoring.body.population import Belief
from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer

# The position in the chart of each garment's size.
Sizes: TypeAlias = dict[Garment, int]
AnyArray = TypeVar("AnyArray", Array, SingleArray)

# Costs nearer than a hundredth of a minor unit are one cost.
ALIKE_MINOR = 0.01


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
        self, belief: Belief, names: Sequence[str], shown_mm: Mapping[tuple[str, str], float] | None = None
    ) -> None:
        self._shown_mm = shown_mm or {}
        bodies, counts = drawn(belief, names)
        self.weights = counts / counts.sum()
        self._bodies = dict(zip(names, bodies, strict=True))
        self._needs: dict[Costing, Array] = {}
        self._costs: dict[Costing, SingleArray] = {}

    def costs(self, garment_offer: GarmentOffer) -> SingleArray:
        """The cost of every size of the chart on each body [sizes, bodies]; counted once a garment's arrays."""
        costing = garment_offer.costing
        if costing not in self._costs:
            self._costs[costing] = costing.rounded(self.needs(garment_offer), garment_offer.at)
        return self._costs[costing]

    def needs(self, garment_offer: GarmentOffer) -> Array:
        """What the garment should measure, less ideal ease, on each body [places, bodies] (mm)."""
        costing = garment_offer.costing
        if costing not in self._needs:
            places = (costing.places[i] for i in garment_offer.at)
            self._needs[costing] = np.array(
                [
                    self._bodies[place.dimension] * place.share + self._shown_mm.get((place.garment, place.name), 0.0)
                    for place in places
                ]
            )
        return self._needs[costing]


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
        bare = fits = np.ones(total.shape, dtype=np.bool_)
        # In the order in which the least cost is added up: the same sum is then the same to the last bit.
        for garment, garment_offer in offer.garment_offers.items():
            sizes = [plan[garment] for plan in plans]
            total += self._bodies.costs(garment_offer)[sizes]
            residual = (
                garment_offer.costing.spare_mm[np.ix_(sizes, garment_offer.at)].T[:, :, None]
                - self._bodies.needs(garment_offer)[:, None, :]
            )
            bare = bare & garment_offer.costing.untouched(residual, garment_offer.at)
            fits = fits & garment_offer.costing.curable(residual, garment_offer.at)
        counted = np.stack([(total <= self._least + ALIKE_MINOR) & fits, bare, fits], axis=1) @ self._bodies.weights
        return [Shares(*(round(share, 4) for share in plan)) for plan in counted.tolist()]

    def _least_of(self, offer: ChartOffer) -> Array:
        """The least true cost [bodies] of what this chart offers."""
        if not np.isfinite(offer.pairs).any():
            return np.full(self._points, np.inf)
        offered = {garment: self._offered(garment_offer) for garment, garment_offer in offer.garment_offers.items()}
        if offer.axes == SUIT and offer.chart.sold == "pairs":
            jackets, trousers = (offered.pop(garment) for garment in offer.axes)
            pair = least_of_pairs(jackets, trousers, np.isfinite(offer.pairs))
            return cast("Array", sum((each.min(axis=0) for each in offered.values()), pair))
        return cast("Array", sum(each.min(axis=0) for each in offered.values()))

    def _offered(self, garment_offer: GarmentOffer) -> SingleArray:
        costs = self._bodies.costs(garment_offer)
        return costs if len(garment_offer.sizes) == len(costs) else costs[garment_offer.sizes]
