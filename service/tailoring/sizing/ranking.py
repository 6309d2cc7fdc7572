"""The cheapest pairs of many men at once, by what every size is expected to cost each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from service.tailoring.arrays import Array, Indices
from service.tailoring.body.population import Belief, Moments
from service.tailoring.garments.charts import Chart, ChartSize, Garment
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer, wanted_mm

# The names of a pair's sizes, by the number of its chart in a question and its place in it.
SizesByPlace: TypeAlias = dict[tuple[int, int], Mapping[Garment, ChartSize]]


@dataclass(frozen=True, slots=True)
class Ranked:
    """A size of each garment asked for, and what it is expected to cost (minor units)."""

    sizes: Mapping[Garment, ChartSize]
    expected_minor: int


def ranked_by_man(
    offers: Sequence[ChartOffer], belief: Belief, most: int, mean: Array, variance: Array, known: SizesByPlace
) -> list[tuple[Ranked, ...]]:
    """The cheapest pairs of each man, whose moments are `mean`, `variance` [N, dimensions]."""
    whole = _WholeCosts(belief, mean, variance)
    best = [_best_pairs(offer, whole, most) for offer in offers]
    together = np.concatenate([each.costs for each in best], axis=1)
    starts = np.cumsum([0, *(each.costs.shape[1] for each in best)])
    few = _cheapest(together, most)
    which = np.searchsorted(starts, few, side="right") - 1
    money = np.take_along_axis(together, few, axis=1)
    ranked = []
    for man, (of, columns, minors) in enumerate(zip(which.tolist(), few.tolist(), money.tolist(), strict=True)):
        found = []
        for b, column, minor in zip(of, columns, minors, strict=True):
            if minor != np.inf:
                place = int(best[b].places[man, column - starts[b]])
                found.append(Ranked(_named(offers[b], b, place, best[b].beside, man, known), round(minor)))
        ranked.append(tuple(found))
    return ranked


def _cheapest(costs: Array, most: int) -> Indices:
    """The places [N, most] of the least costs, cheapest first; of equal ones the first."""
    most = min(most, costs.shape[1])
    if most == 1:
        return cast("Indices", costs.argmin(axis=1)[:, None])
    return cast("Indices", np.argsort(costs, axis=1, kind="stable")[:, :most])


class _BestPairs(NamedTuple):
    """Of each man [N, pairs] what an offer's cheapest pairs cost and their places (row times columns and column).

    `beside` has each man's best size of what goes with any pair.
    """

    costs: Array
    places: Indices
    beside: dict[Garment, list[int]]


class _WholeCosts:
    """What every size of some charts is expected to cost each man, costed together as the charts are."""

    def __init__(self, belief: Belief, mean: Array, variance: Array) -> None:
        self._belief, self._moments = belief, Moments.of(belief.logs, mean, variance)
        self._found: dict[Costing, Array] = {}

    def of(self, offer: GarmentOffer) -> Array:
        """The cost [N, sizes] of what is on a rack."""
        among = offer.among.among
        if among not in self._found:
            need, sd = wanted_mm(self._belief, among, offer.at, self._moments)
            self._found[among] = among.expected(need, sd, offer.at, swapped=offer.swapped)
        whole = self._found[among][:, offer.among.sizes]
        return whole if len(offer.sizes) == whole.shape[1] else whole[:, offer.sizes]


def _best_pairs(offer: ChartOffer, whole: _WholeCosts, most: int) -> _BestPairs:
    costs = {garment: whole.of(each) for garment, each in offer.garment_offers.items()}
    people = len(next(iter(costs.values()))) if costs else 0
    if not costs or not offer.is_open:
        return _BestPairs(np.empty((people, 0)), np.empty((people, 0), dtype=np.intp), {})
    beside, extra = {}, np.zeros((people, 1))
    for garment in costs.keys() - set(offer.axes):
        cost = costs[garment]
        beside[garment] = [offer.garment_offers[garment].sizes[i] for i in cost.argmin(axis=1).tolist()]
        extra = extra + cost.min(axis=1)[:, None]
    rows = costs[offer.axes[0]]
    columns = costs[offer.axes[1]] if len(offer.axes) > 1 else np.zeros((people, 1))
    if offer.sold is not None:
        # What is sold in pairs need not be made of what is best apart.
        in_rows, in_columns = np.nonzero(offer.sold)
        total = rows[:, in_rows] + columns[:, in_columns] + extra
        few = _cheapest(total, most)
        places = in_rows * columns.shape[1] + in_columns
        return _BestPairs(np.take_along_axis(total, few, axis=1), places[few], beside)
    r, c = _cheapest(rows, most), _cheapest(columns, most)
    total = np.take_along_axis(rows, r, axis=1)[:, :, None] + np.take_along_axis(columns, c, axis=1)[:, None, :]
    at = r[:, :, None] * columns.shape[1] + c[:, None, :]
    # In the order of their places, so that of equal ones the first is taken.
    order = np.argsort(at.reshape(people, -1), axis=1)
    total = np.take_along_axis(total.reshape(people, -1), order, axis=1) + extra
    return _BestPairs(total, np.take_along_axis(at.reshape(people, -1), order, axis=1), beside)


def _named(
    offer: ChartOffer, b: int, place: int, beside: dict[Garment, list[int]], man: int, known: SizesByPlace
) -> Mapping[Garment, ChartSize]:
    """The sizes of a pair by name, made once for all men where no other garment of his own goes with it."""
    found = None if beside else known.get((b, place))
    if found is None:
        columns = len(offer.garment_offers[offer.axes[1]].sizes) if len(offer.axes) > 1 else 1
        sizes = {**offer.sizes(*divmod(place, columns)), **{garment: at[man] for garment, at in beside.items()}}
        found = chosen(offer.chart, sizes)
        if not beside:
            known[b, place] = found
    return found


def chosen(chart: Chart, sizes: dict[Garment, int]) -> Mapping[Garment, ChartSize]:
    """Sizes by name, from their positions in the chart."""
    return {garment: chart.named(chart.sizes[garment][size]) for garment, size in sizes.items()}
