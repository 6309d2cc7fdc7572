"""Choosing the ready-made suit: every size is a plan, ranked in closed form by what it is to cost once it fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from service.tailoring.body.body import Body
from service.tailoring.body.readings import dimensions
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.garments.stock import Stock, check_stock
from service.tailoring.notices import Notice
from service.tailoring.sizing.drawn_bodies import DrawnBodies, dimensions_judged
from service.tailoring.sizing.next_measures import NextMeasure, next_measures
from service.tailoring.sizing.offers import ChartOffer, Offers, Question, missing
from service.tailoring.sizing.planning import PlanMaker
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.serving import Serving, serving
from service.tailoring.sizing.shares import ShareCount
from service.tailoring.work.prices import Money


@dataclass(frozen=True, slots=True)
class Advice:
    """Ranked plans, what is to be looked at, and the offers that were judged."""

    plans: tuple[Plan, ...]
    notices: tuple[Notice, ...]
    offers: tuple[ChartOffer, ...]
    serves: Serving | None = None


# What an offer costs, which it is, and the positions in its chart.
Candidate: TypeAlias = tuple[float, ChartOffer, dict[Garment, int]]


class Sizing:
    """What charts offer one body, costed once: its ranking, any one plan, and the best of some sizes are read off it.

    Raises Refusal `label_unknown` for a stock label of no chart.
    """

    def __init__(self, body: Body, question: Question) -> None:
        check_stock(question.stock, question.charts)
        self.body, self.question = body, question
        self._costed = Offers(body, question)
        self._bodies: dict[frozenset[str], DrawnBodies] = {}
        self._maker = PlanMaker(body, question)
        self.offers = self._costed.in_stock()

    def advice(self) -> Advice:
        """Rank what charts and stock offer."""
        chosen = cheapest(self.offers, self.question.limit)
        notices = cannot_size(self.body, self.question, self.offers)
        if not self.body.observations or not chosen:
            return Advice((), notices, self.offers)
        plans = self._spelled(chosen, self._among_all)
        return Advice(plans, notices, self.offers, self.serving(plans[0]))

    def next_measures(self) -> tuple[NextMeasure, ...]:
        """What to measure next, by the shares that the plans were counted on."""
        counted = self._among_all if self.body.observations else None
        return next_measures(self.body, self.question, self.offers, counted)

    def serving(self, plan: Plan, others: Sequence[Chart] = ()) -> Serving:
        """Whether a plan serves; else what would, by the charts asked for, by `others` or by the reference blocks."""
        return serving(self.body, self.question, self._costed, plan, others)

    def plan_of(self, chart: Chart, worn: Mapping[Garment, str]) -> Plan:
        """The plan that keeps what is worn, judged against all that is on offer. Raises Refusal `label_unknown`."""
        sizes = {garment: chart.sizes[garment].index(chart.size(garment, label)) for garment, label in worn.items()}
        offer = self._costed.of(chart, Stock(), worn)
        cost = sum(float(offer.garment_offers[garment].expected[size]) for garment, size in sizes.items())
        return self._against_all((cost, offer, sizes))

    def best_of(self, charts: Iterable[Chart], stock: Stock) -> Plan | None:
        """The cheapest plan of those sizes of the charts; None where none is sold so, or nothing is known.

        Of charts that cost the same it is of the first. It is judged against all that is on offer.
        """
        offers = [self._costed.of(chart, stock) for chart in charts]
        found = [best for offer in offers for best in cheapest([offer], 1)] if self.body.observations else []
        if not found:
            return None
        return self._against_all(min(found, key=lambda candidate: round(candidate[0])))

    def _against_all(self, candidate: Candidate) -> Plan:
        """One plan, judged against all that is on offer; a chart that is not may be judged at places of its own."""
        offer = candidate[1]
        on_offer = dimensions_judged([offer]) <= dimensions_judged(self.offers)
        count = self._among_all if on_offer else self._count(self.offers, [offer])
        return self._spelled([candidate], count)[0]

    @cached_property
    def _among_all(self) -> ShareCount:
        return self._count(self.offers)

    def _count(self, offers: Sequence[ChartOffer], worn: Sequence[ChartOffer] = ()) -> ShareCount:
        """Shares among `offers`, on bodies that are drawn once for all that are judged by the same dimensions."""
        judged = dimensions_judged([*offers, *worn])
        if judged not in self._bodies:
            belief = self.body.belief
            self._bodies[judged] = DrawnBodies(
                belief, [name for name in belief.names if name in judged], self.body.shown_mm
            )
        return ShareCount(self._bodies[judged], offers)

    def _spelled(self, candidates: Sequence[Candidate], count: ShareCount) -> tuple[Plan, ...]:
        shares = count.shares([(offer, sizes) for _, offer, sizes in candidates])
        currency = self.question.prices.currency
        return tuple(
            self._maker.plan(offer, sizes, Money(round(cost), currency), of_plan)
            for (cost, offer, sizes), of_plan in zip(candidates, shares, strict=True)
        )


def advise(body: Body, question: Question) -> Advice:
    """Rank what charts and stock offer. Raises Refusal `label_unknown` for a stock label of no chart."""
    return Sizing(body, question).advice()


def cheapest(offers: Sequence[ChartOffer], most: int) -> list[Candidate]:
    """The cheapest pairs on offer with their cost; ties stand as the charts have them."""
    found = [(cost, b, row, column) for b, offer in enumerate(offers) for cost, row, column in offer.cheapest(most)]
    return [(cost, offers[b], offers[b].sizes(row, column)) for cost, b, row, column in sorted(found)[:most]]


def cannot_size(body: Body, question: Question, offers: Sequence[ChartOffer]) -> tuple[Notice, ...]:
    """Why a garment that is asked for gets no size."""
    wanted = [g for g in question.garments if any(chart.sizes[g] for chart in question.charts)]
    if not body.observations:
        return (Notice("nothing_known", (), "Nothing is known yet: take the first measure below."),)
    if not any(offer.is_open for offer in offers) and not any(missing(body, each) for each in wanted):
        return (Notice("nothing_on_offer", ("stock",), "None of the sizes asked for is in stock or sold in that way."),)
    return tuple(
        Notice("measure_wanted", (), f"{garment}: take {', '.join(lacking)} to choose a size.")
        for garment in wanted
        if (lacking := [dimensions()[name].words for name in missing(body, garment)])
    )
