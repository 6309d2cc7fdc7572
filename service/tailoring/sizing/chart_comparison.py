"""Which size of another chart serves the same man: judged by the body, never by what the labels say.

A garment tells the body that it serves: its finished measures less the ideal ease, somewhere in the tolerance (taken as
a normal of that interval's middle and spread). Each size of the other chart is costed on that body. Only measures that
both charts give are compared, and the leg of uncut trousers tells nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from service.tailoring.body.draws import drawn
from service.tailoring.body.population import Belief
from service.tailoring.garments.charts import OPTIONAL, REQUIRED, Chart, Garment, GarmentSize
from service.tailoring.garments.places import OwnEase, Place, Verdict, Wish
from service.tailoring.quantities import Length
from service.tailoring.sizing.costing import costing
from service.tailoring.sizing.offers import wanted_mm
from service.tailoring.sizing.shares import ALIKE_MINOR
from service.tailoring.work.prices import Money, PriceList

# The best few sizes of a chart: beyond them nobody looks.
SIZES_TOLD = 3
# The same ideal ease stands on both sides and leaves the difference; only tolerance and cures count.
WISH: Wish = "usual"
# The standard deviation of a uniform interval is its width by the root of twelve.
ROOT_OF_TWELVE = math.sqrt(12)


@dataclass(frozen=True, slots=True)
class PlaceCompared:
    """One finished measure of both garments, in the first chart's unit; no verdict where it is not judged."""

    name: str
    words: str
    first: Length
    other: Length
    verdict: Verdict | None

    @property
    def difference(self) -> Length:
        """How much more the other garment measures; below zero where it is less."""
        return Length(self.other.mm - self.first.mm, self.first.unit)


@dataclass(frozen=True, slots=True)
class Counterpart:
    """A size of the other chart on the body that the first serves.

    `expected_cost` is the misfit and the alterations there, `p_best` how often no size of its chart costs less, and
    `serves` whether every place that is judged is right as it hangs.
    """

    size: GarmentSize
    expected_cost: Money
    p_best: float
    serves: bool
    places: tuple[PlaceCompared, ...]


@dataclass(frozen=True, slots=True)
class ChartCompared:
    """The best sizes of one other chart, best first; none where it has no such garment or no measure in common.

    `dimensions` are those of the body by which they were judged.
    """

    chart: Chart
    dimensions: tuple[str, ...]
    counterparts: tuple[Counterpart, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """One size of a chart, and what other charts have for the same body."""

    chart: Chart
    garment: Garment
    size: GarmentSize
    others: tuple[ChartCompared, ...]


@dataclass(frozen=True, eq=False, slots=True)
class _Asked:
    """One size of a chart, the places at which it is judged, and by what."""

    chart: Chart
    garment: Garment
    size: GarmentSize
    places: frozenset[str]
    prices: PriceList
    own: tuple[OwnEase, ...]


def compare(
    first: Chart, garment: Garment, label: str, others: tuple[Chart, ...], prices: PriceList, own: tuple[OwnEase, ...]
) -> Comparison:
    """Rank the sizes of `others` by how well each serves the body of one size. Raises Refusal `label_unknown`."""
    size = first.size(garment, label)
    given = frozenset(place.name for place in costing(first, garment, WISH, prices, (), own).places)
    asked = _Asked(first, garment, size, given, prices, own)
    return Comparison(first, garment, size, tuple(_compared(asked, other) for other in others))


def _compared(asked: _Asked, other: Chart) -> ChartCompared:
    to = costing(other, asked.garment, WISH, asked.prices, (), asked.own)
    untold = {"inside_leg"} if asked.chart.unfinished or other.unfinished else set()
    at = [i for i, place in enumerate(to.places) if place.name in asked.places - untold]
    if not at:
        return ChartCompared(other, (), ())
    judged = [to.places[i] for i in at]
    belief = _body(asked.size, judged)
    mean, sd = wanted_mm(belief, to, at)
    sizes = other.sizes[asked.garment]
    expected = to.expected(mean, sd, at)
    bodies, _ = drawn(belief, belief.names)  # no interval is told: all count alike
    costs = to.exact(bodies.T * np.array([place.share for place in judged]), at)
    p_best = np.mean(costs <= costs.min(axis=1, keepdims=True) + ALIKE_MINOR, axis=0)
    # Where nothing tells two sizes apart, the one that measures nearest stands first.
    measures = [asked.size.mm(place.name) or 0.0 for place in judged]
    apart = np.abs(to.garment_mm[:, at] - np.array(measures)).sum(axis=1)
    best = np.lexsort((apart, np.round(expected / ALIKE_MINOR)))[:SIZES_TOLD].tolist()
    found = []
    for k in best:
        places = _places(asked, sizes[k], judged)
        cost = Money(round(float(expected[k])), asked.prices.currency)
        serves = all(each.verdict in (None, "right") for each in places)
        found.append(Counterpart(sizes[k], cost, round(float(p_best[k]), 4), serves, places))
    return ChartCompared(other, belief.names, tuple(found))


def _body(size: GarmentSize, judged: list[Place]) -> Belief:
    """The body that a garment serves, and no more: every place by its own measure, nothing by the population."""
    middle = [((size.mm(p.name) or 0.0) - p.ideal_mm[WISH] - (p.low_mm + p.high_mm) / 2) / p.share for p in judged]
    sd = [(p.high_mm - p.low_mm) / ROOT_OF_TWELVE / p.share for p in judged]
    names = tuple(p.dimension for p in judged)
    logs = np.zeros(len(names), dtype=np.bool_)
    return Belief(names, logs, np.array(middle), np.diag(np.square(sd)), frozenset(names))


def _places(asked: _Asked, found: GarmentSize, judged: list[Place]) -> tuple[PlaceCompared, ...]:
    """Every measure that both garments have."""
    by_name = {place.name: place for place in judged}
    compared = []
    for name in (*REQUIRED[asked.garment], *OPTIONAL[asked.garment]):
        first_mm, other_mm = asked.size.mm(name), found.mm(name)
        if first_mm is None or other_mm is None:
            continue
        first, other = Length(first_mm, asked.chart.unit), Length(other_mm, asked.chart.unit)
        place = by_name.get(name)
        words = place.words if place else name.replace("_", " ")
        compared.append(PlaceCompared(name, words, first, other, _verdict(other_mm - first_mm, place)))
    return tuple(compared)


def _verdict(difference_mm: float, place: Place | None) -> Verdict | None:
    if place is None:
        return None
    if difference_mm < place.low_mm:
        return "too_little"
    return "too_much" if difference_mm > place.high_mm else "right"
