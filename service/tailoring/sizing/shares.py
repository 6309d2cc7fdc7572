"""How sure a plan is: in what share of the bodies that a customer may have it is best, or near it, or needs no needle.

One fixed set of quasi-random bodies is counted, so that the same question always has the same answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from service.tailoring.arrays import Indices, Mask, SingleArray
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.drawn_bodies import DrawnBodies
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer
from service.tailoring.sizing.reach import Costs, InReach, best_of_pairs, first_at, grid_of, least_of_pairs

# The position in the chart of each garment's size.
Sizes: TypeAlias = dict[Garment, int]

# Costs nearer than a hundredth of a minor unit are one cost.
ALIKE_MINOR = 0.01


@dataclass(frozen=True, slots=True)
class Shares:
    """In what share of the fixed draws of a body a size is best, needs no needle, or fits once altered.

    Best is what costs least *and* fits once altered: the least bad of what does not fit is no answer. A size is a girth
    and a length, whatever its cut: where four cuts of one size are on offer, that size is best on each body on which
    any of them is. Within one size: what is best is this, or a size larger or smaller, or a length longer or shorter.
    None in what was recorded before it was counted.
    """

    p_best: float
    p_no_alteration: float
    p_fits_after_alteration: float
    p_within_one_size: float | None = None


class Counted(NamedTuple):
    """The shares of a plan: of all its garments together, and of each by itself among all its sizes on offer."""

    together: Shares
    garments: Mapping[Garment, Shares]


class _Alone(NamedTuple):
    """One size of a garment on the bodies: its cost, whether it needs no needle, whether it fits once altered.

    Of its garment's sizes in reach `same` says which are this size in whatever cut, `around` which are within one size.
    """

    cost: SingleArray
    bare: Mask
    fits: Mask
    same: Mask
    around: Mask
    shares: Shares


class _Best(NamedTuple):
    """What costs least on each body: rows [bodies] of garments' sizes in reach, and whether it fits once altered."""

    rows: Mapping[Garment, Indices]
    fits: Mask


class ShareCount:
    """Plans on the fixed bodies of one belief, against everything that the charts offer."""

    def __init__(self, bodies: DrawnBodies, offers: Sequence[ChartOffer]) -> None:
        self._bodies = bodies
        self._points = len(bodies.weights)
        self._offers = [offer for offer in offers if offer.is_open]
        wanted = dict.fromkeys(garment for offer in self._offers for garment in offer.garment_offers)
        self._reach = {garment: self._in_reach(garment) for garment in wanted}
        self._least_by_offer = {garment: reach.least() for garment, reach in self._reach.items()}
        self._of_offer = self._together()
        self._least = self._least_of_all(self._of_offer)
        self._least_alone = {garment: self._least_of_all(of) for garment, of in self._least_by_offer.items()}
        self._alone: dict[tuple[Chart, Garment, int], _Alone] = {}

    def shares(self, plans: Sequence[tuple[ChartOffer, Sizes]]) -> list[Counted]:
        """The shares of plans, each of one chart."""
        racks: dict[GarmentOffer, list[int]] = {}
        for offer, sizes in plans:
            for garment, garment_offer in offer.garment_offers.items():
                racks.setdefault(garment_offer, []).append(sizes[garment])
        # Sizes of one rack at once.
        for garment_offer, wanted in racks.items():
            self._bodies.altered(garment_offer, wanted)
        return [self._shares(offer, sizes) for offer, sizes in plans]

    def in_play(self, share: float) -> dict[int, dict[Garment, Indices]]:
        """By number of the open offer, the positions on its racks that are best on at least such a share of bodies."""
        found: dict[int, dict[Garment, Indices]] = {}
        for b, costs in self._of_offer.items():
            on = np.flatnonzero(costs <= self._least)
            weights = self._bodies.weights[on]
            if weights.any():
                racks = ((garment, reach, reach.of_offer(b)) for garment, reach in self._reach.items())
                found[b] = {
                    garment: reach.at[rows][
                        (reach.costs[rows][:, on] <= self._least_by_offer[garment][b][on]) @ weights >= share
                    ]
                    for garment, reach, rows in racks
                    if rows.start < rows.stop
                }
        return found

    def _shares(self, offer: ChartOffer, sizes: Sizes) -> Counted:
        alone = {garment: self._of_garment(offer, garment, sizes[garment]) for garment in offer.garment_offers}
        # In the order in which the least cost is added up: the same sum is then the same to the last bit.
        cost = reduce(np.add, (each.cost for each in alone.values()))
        bare = reduce(np.logical_and, (each.bare for each in alone.values()))
        fits = reduce(np.logical_and, (each.fits for each in alone.values()))
        best = (cost <= self._least + ALIKE_MINOR) & fits
        same = near = self._best.fits
        for garment, rows in self._best.rows.items():
            same = same & (alone[garment].same[rows] if garment in alone else False)
            near = near & (alone[garment].around[rows] if garment in alone else False)
        together = self._counted(best | same, bare, fits, best | near)
        return Counted(together, {garment: each.shares for garment, each in alone.items()})

    def _of_garment(self, offer: ChartOffer, garment: Garment, size: int) -> _Alone:
        asked = (offer.chart, garment, size)
        if asked not in self._alone:
            garment_offer = offer.garment_offers[garment]
            cost = self._bodies.costs(garment_offer, [size])[0]
            bare, fits = self._bodies.altered(garment_offer, [size])[0]
            same: Mask = np.zeros(0, dtype=np.bool_)
            around, best, within = same, fits, fits
            if garment in self._reach:
                reach, of_all = self._reach[garment], self._best_alone[garment]
                rows = of_all.rows[garment]
                same, around = reach.same(offer.chart, garment, size), reach.around(offer.chart, garment, size)
                least = (cost <= self._least_alone[garment] + ALIKE_MINOR) & fits
                best, within = (least | (which[rows] & of_all.fits) for which in (same, around))
            self._alone[asked] = _Alone(cost, bare, fits, same, around, self._counted(best, bare, fits, within))
        return self._alone[asked]

    def _least_of_all(self, by_offer: Mapping[int, Costs]) -> Costs:
        """The least cost [bodies] of any offer; infinite where there is none."""
        none = np.full(self._points, np.inf, dtype=np.float32)
        return reduce(np.minimum, by_offer.values(), none)

    def _counted(self, *masks: Mask) -> Shares:
        return Shares(*(round(share, 4) for share in (np.array(masks) @ self._bodies.weights).tolist()))

    def _in_reach(self, garment: Garment) -> InReach:
        parts, costs = [], []
        first: dict[Costing, int] = {}
        for b, offer in enumerate(self._offers):
            of = offer.garment_offers.get(garment)
            if of:
                at, rows, of_all = self._bodies.in_reach(of)
                grid, sizes = grid_of(offer.chart, garment), np.asarray(of.sizes, dtype=np.intp)[at]
                costed_as = np.full(len(at), first.setdefault(of.among.among, b))
                cut_for = grid.girth_mm[sizes], grid.length_class[sizes]
                parts.append((np.full(len(at), b), at, *cut_for, costed_as, sizes + of.among.first))
                costs.append((rows, of_all))
        return InReach(_taken(costs), *(np.concatenate(each) for each in zip(*parts, strict=True)))

    @cached_property
    def _best_alone(self) -> dict[Garment, _Best]:
        """By garment, its best size whatever is worn with it."""
        everywhere, found = np.arange(self._points), {}
        for garment, reach in self._reach.items():
            rows = first_at(reach.costs, self._least_alone[garment])
            found[garment] = _Best({garment: rows}, self._fits(garment, rows, everywhere))
        return found

    @cached_property
    def _best(self) -> _Best:
        """The best of all garments together. What the best offer lacks is as if it were best alone, and fits."""
        alone = self._best_alone
        rows = {garment: each.rows[garment].copy() for garment, each in alone.items()}
        fits = np.ones(self._points, dtype=np.bool_)
        if not self._of_offer:
            return _Best(rows, ~fits)
        which = np.array(list(self._of_offer.values())).argmin(axis=0)
        lacking = {garment: np.ones(self._points, dtype=np.bool_) for garment in rows}
        for i, b in enumerate(self._of_offer):
            on = np.flatnonzero(which == i)
            for garment, its in self._best_of_offer(b, on).items() if len(on) else ():
                rows[garment][on] = its
                lacking[garment][on] = False
        for garment, each in alone.items():
            its_fits, other = each.fits.copy(), np.flatnonzero(rows[garment] != each.rows[garment])
            if len(other):
                its_fits[other] = self._fits(garment, rows[garment][other], other)
            fits &= its_fits | lacking[garment]
        return _Best(rows, fits)

    def _best_of_offer(self, b: int, on: Indices) -> dict[Garment, Indices]:
        """The rows of what costs least on the bodies `on` in one offer, all its garments together."""
        offer = self._offers[b]
        parts = {garment: self._reach[garment].of_offer(b) for garment in offer.garment_offers}
        costs = {garment: self._reach[garment].costs[part][:, on] for garment, part in parts.items()}
        at = {
            garment: first_at(each, self._least_by_offer[garment][b][on])
            for garment, each in costs.items()
            if offer.sold is None or garment not in offer.axes
        }
        if offer.sold is not None:
            jackets, trousers = (costs[garment] for garment in offer.axes)
            at |= zip(offer.axes, best_of_pairs(jackets, trousers, self._sold(b, offer.sold)), strict=True)
        return {garment: parts[garment].start + rows for garment, rows in at.items()}

    def _fits(self, garment: Garment, rows: Indices, on: Indices) -> Mask:
        """Whether the sizes at `rows` of those in reach fit the bodies `on`, one each, once altered."""
        reach = self._reach[garment]
        fits = np.zeros(len(on), dtype=np.bool_)
        for b in set(reach.costed_as[rows].tolist()):
            of, here = self._offers[b].garment_offers[garment], np.flatnonzero(reach.costed_as[rows] == b)
            among = of.among.among
            spare = among.spare_mm[np.ix_(reach.size[rows[here]], of.at)].T
            fits[here] = among.curable(spare - self._bodies.needs(of)[:, on[here]], of.at)
        return fits

    def _together(self) -> dict[int, Costs]:
        """By offer, the least true cost [bodies] of all its garments together."""
        found: dict[int, Costs] = {}
        for b, offer in enumerate(self._offers):
            apart = [garment for garment in offer.garment_offers if offer.sold is None or garment not in offer.axes]
            costs = [self._least_by_offer[garment][b] for garment in apart]
            if offer.sold is not None:
                costs.insert(0, least_of_pairs(*self._pair(b), self._sold(b, offer.sold)))
            found[b] = reduce(np.add, costs)
        return found

    def _pair(self, b: int) -> tuple[SingleArray, SingleArray]:
        """The costs [rows, bodies] of an offer's jackets in reach, and of its trousers."""
        jackets, trousers = (self._reach[garment] for garment in self._offers[b].axes)
        return jackets.costs[jackets.of_offer(b)], trousers.costs[trousers.of_offer(b)]

    def _sold(self, b: int, sold: Mask) -> Mask:
        """Which of an offer's jackets and trousers in reach are sold together."""
        reaches = (self._reach[garment] for garment in self._offers[b].axes)
        return cast("Mask", sold[np.ix_(*(reach.at[reach.of_offer(b)] for reach in reaches))])


def _taken(parts: list[tuple[Indices, SingleArray]]) -> SingleArray:
    """Some rows of several arrays, one after the other; no copy where that is the whole of one."""
    arrays = {id(array): array for _, array in parts}
    if len(arrays) > 1:
        return np.concatenate([array[rows] for rows, array in parts])
    (array,) = arrays.values()
    rows = np.concatenate([rows for rows, _ in parts])
    return array if np.array_equal(rows, np.arange(len(array))) else array[rows]
