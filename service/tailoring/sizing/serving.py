"""Whether the best size on offer serves, and what would where none does: "no size here serves" is an answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias, cast

import numpy as np
from scipy.special import ndtr

from service.tailoring.arrays import Mask
from service.tailoring.body.body import Body
from service.tailoring.garments.charts import SUIT, Chart, ChartSize, Garment, LengthClass, reference_charts
from service.tailoring.garments.stock import Stock
from service.tailoring.notices import Notice
from service.tailoring.quantities import inches_text
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer, Offers, Question, sold_together
from service.tailoring.sizing.other_drops import OtherDrop, other_drop
from service.tailoring.sizing.planning import curable_mm
from service.tailoring.sizing.plans import LIKELY, PlaceReport, Plan, Serves, Unjudged
from service.tailoring.work.prices import Money

# Where what would serve is to be had: in the shop's charts, in a reference block, or of a maker.
By: TypeAlias = Literal["chart", "reference_block", "made_to_measure"]
# In what it differs from the size that was best: not in stock, a length class, a drop or another cut, or made.
Change: TypeAlias = Literal["stock", "size", "length_class", "cut", "made"]

BY: tuple[By, ...] = ("chart", "reference_block", "made_to_measure")
CHANGES: tuple[Change, ...] = ("stock", "size", "length_class", "cut", "made")
_DIFFERS: dict[Change, str] = {
    "stock": "A size that is not in stock",
    "size": "Another size",
    "length_class": "Another length class",
    "cut": "Another drop or cut",
}
# A measure that nobody took decides whether a size serves where its place is as likely as this to stay wrong.
DECIDES = 0.25


@dataclass(frozen=True, slots=True)
class Instead:
    """What would serve in the place of one garment of the best plan; of a maker there is no size."""

    garment: Garment
    by: By
    change: Change
    size: ChartSize | None
    length_class: LengthClass | None
    words: str


@dataclass(frozen=True, slots=True)
class Serving:
    """Whether the best plan serves, at which places it stays wrong, which were not judged, and what would serve.

    `other_drop` is one that would serve clearly better than those of the charts asked for, whether any serves or not.
    """

    serves: Serves
    beyond: tuple[PlaceReport, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()
    instead: tuple[Instead, ...] = ()
    other_drop: OtherDrop | None = None

    @property
    def wants_more(self) -> bool:
        """Whether charts that were not asked for may have what serves, or serves better."""
        return self.serves == "no" or self.other_drop is not None

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Of each garment that no size serves, where it stays wrong and what would serve."""
        return tuple(
            Notice("no_size_serves", (), f"No {each.garment} here serves: {self._wrong(each.garment)}. {each.words}")
            for each in self.instead
        )

    def _wrong(self, garment: Garment) -> str:
        places = (each for each in self.beyond if each.garment == garment)
        return ", ".join(f"{each.place.replace('_', ' ')} {_amiss(each)}" for each in places)


def _amiss(at: PlaceReport) -> str:
    """By how much a place is off its ideal, as a notice says it."""
    way = "too little" if at.residual_mm < 0 else "too much"
    return f"{way} by {inches_text(abs(at.residual_mm))} in"


def serving(body: Body, question: Question, offers: Offers, plan: Plan, others: Sequence[Chart] = ()) -> Serving:
    """Whether `plan` serves; where it does not, what would by the charts asked for, by `others`, or by the blocks."""
    beyond = plan.beyond
    garments = [garment for garment in plan.chosen if any(each.garment == garment for each in beyond)]
    near = list({chart.code: chart for chart in (*question.charts, *others)}.values())
    blocks = [chart for chart in reference_charts().values() if chart not in near]
    search = _Search(body, question, offers, plan)
    return Serving(
        serves=plan.serves,
        beyond=beyond,
        unjudged=plan.unjudged,
        instead=tuple(search.instead(garment, near, blocks) for garment in garments),
        other_drop=other_drop(question, offers, plan, others),
    )


def serving_alone(plan: Plan) -> Serving:
    """Whether `plan` serves, whatever else there is."""
    return Serving(plan.serves, plan.beyond, plan.unjudged)


def with_deciding(measures: tuple[NextMeasure, ...], plan: Plan, body: Body) -> tuple[NextMeasure, ...]:
    """The next measures, first the one that decides whether any size serves: a gain is not all that a tape is for."""
    unsure = [each for each in plan.places if each.p_misfit >= DECIDES and each.dimension not in body.belief.read]
    if plan.serves == "yes" or not unsure or body.outside:
        return measures
    first = max(unsure, key=lambda each: each.p_misfit).dimension
    gain = next((each.gain for each in measures if each.dimension == first), Money(0, plan.expected_cost.currency))
    return (NextMeasure(first, gain), *(each for each in measures if each.dimension != first))


class _Search:
    """Looking for a size of a garment that serves this body, whatever is in stock."""

    def __init__(self, body: Body, question: Question, offers: Offers, plan: Plan) -> None:
        self._body, self._question, self._offers, self._plan = body, question, offers, plan

    def instead(self, garment: Garment, near: Iterable[Chart], blocks: Iterable[Chart]) -> Instead:
        """The size of the charts near at hand that serves for the least, or of the blocks; else it is to be made."""
        for by, charts in (("chart", near), ("reference_block", blocks)):
            found = [size for chart in charts for size in self._best_of(chart, garment)]
            if found:
                _, chart, size = min(found, key=lambda each: each[0])
                return self._named(garment, cast("By", by), chart, size)
        words = "No other does, of the charts or the reference blocks: have it made to measure."
        return Instead(garment, "made_to_measure", "made", None, None, words)

    def _best_of(self, chart: Chart, garment: Garment) -> list[tuple[float, Chart, int]]:
        """The cheapest size of a chart that serves, with its cost; none where no size does."""
        wanted = self._question.garments if chart.sold == "pairs" else (garment,)
        offer = self._offers.of(chart, Stock(), wanted)
        if garment not in offer.garment_offers:
            return []
        right = self._right(offer, garment)
        if not right.any():
            return []
        costs = np.where(right, offer.garment_offers[garment].expected, np.inf)
        return [(float(costs.min()), chart, int(costs.argmin()))]

    def _right(self, offer: ChartOffer, garment: Garment) -> Mask:
        """Which sizes serve; of a pair only those that are sold with another that does."""
        right = serving_sizes(self._body, offer.garment_offers[garment])
        if offer.chart.sold != "pairs" or offer.axes != SUIT or garment not in SUIT:
            return right
        jackets, trousers = (serving_sizes(self._body, offer.garment_offers[each]) for each in SUIT)
        pairs = sold_together(offer.chart) & jackets[:, None] & trousers[None, :]
        return cast("Mask", pairs.any(axis=1 if garment == "jacket" else 0))

    def _named(self, garment: Garment, by: By, chart: Chart, size: int) -> Instead:
        best, found = self._plan.chosen[garment], chart.sizes[garment][size]
        change: Change = "cut"
        if chart.code == best.chart:
            length_class = chart.size(garment, best.label).length_class
            change = "length_class" if found.length_class != length_class else "size"
            change = change if self._question.stock.has(garment, chart.code, found.label) else "stock"
        words = f"{_DIFFERS[change]} would: {found.label} of {chart.code} ({chart.title})."
        return Instead(garment, by, change, chart.named(found), found.length_class, words)


def serving_sizes(body: Body, offer: GarmentOffer) -> Mask:
    """Which sizes [K] of an offer stay wrong at no place more likely than not, whatever an alteration may do.

    Judged by the same middle and spread as a plan's places, so that what is named serves when it is asked for.
    """
    of, at = offer.costing, offer.at
    places = [of.places[i] for i in at]
    shown = [body.shown_mm.get((offer.garment, place.name), 0.0) for place in places]
    middle = np.array([body.belief.median(place.dimension) * place.share for place in places]) + shown
    sd = np.array([body.belief.sd(place.dimension) * place.share for place in places])
    residual = of.spare_mm[np.ix_(offer.sizes, at)] - middle
    low, high = np.array([curable_mm(body, of, i) for i in at]).T
    spread = np.maximum(sd, 1e-3)
    beyond = ndtr((low - residual) / spread) + ndtr((residual - high) / spread)
    within = (low <= residual) & (residual <= high)
    return cast("Mask", ((beyond <= LIKELY) & within).all(axis=1))
