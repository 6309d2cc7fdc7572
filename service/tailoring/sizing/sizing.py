"""Choosing the ready-made suit: every size is a plan, ranked in closed form by what it is to cost once it fits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from service.tailoring.body.body import Body
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.notices import Notice
from service.tailoring.sizing.offers import ChartOffer, Question, Stock, check_stock, missing, offer_of
from service.tailoring.sizing.plans import Plan, make_plan
from service.tailoring.sizing.shares import ShareCount
from service.tailoring.work.prices import Money


@dataclass(frozen=True, slots=True)
class Advice:
    """Ranked plans, what is to be looked at, and the bays that were judged."""

    plans: tuple[Plan, ...]
    notices: tuple[Notice, ...]
    offers: tuple[ChartOffer, ...]


def advise(body: Body, question: Question) -> Advice:
    """Rank what charts and stock offer. Raises Refusal `label_unknown` for a stock label of no chart."""
    check_stock(question)
    offers = [offer_of(body, question, chart) for chart in question.charts]
    chosen = cheapest(offers, question.limit)
    notices = cannot_size(body, question, offers)
    if not body.observations or not chosen:
        return Advice((), notices, tuple(offers))
    shares = ShareCount(body.belief, offers).shares([(offer, sizes) for _, offer, sizes in chosen])
    plans = tuple(
        make_plan(body, question, offer, sizes, Money(round(cost), question.prices.currency), told)
        for (cost, offer, sizes), told in zip(chosen, shares, strict=True)
    )
    return Advice(plans, notices, tuple(offers))


def plan_of(body: Body, question: Question, chart: Chart, worn: dict[Garment, str]) -> Plan:
    """The plan that keeps what is worn, judged against every size that the question offers.

    Raises Refusal `label_unknown`.
    """
    sizes = {garment: chart.sizes(garment).index(chart.size(garment, label)) for garment, label in worn.items()}
    offers = [offer_of(body, question, each) for each in question.charts]
    everything = offer_of(body, replace(question, charts=(chart,), stock=Stock(), garments=tuple(worn)), chart)
    cost = sum(float(everything.garment_offers[garment].expected[size]) for garment, size in sizes.items())
    (shares,) = ShareCount(body.belief, offers).shares([(everything, sizes)])
    return make_plan(body, question, everything, sizes, Money(round(cost), question.prices.currency), shares)


def cheapest(offers: list[ChartOffer], most: int) -> list[tuple[float, ChartOffer, dict[Garment, int]]]:
    """The cheapest pairs on offer with their cost; ties stand as the charts have them."""
    found = []
    for b, offer in enumerate(offers):
        costs = offer.pairs.ravel()
        within = np.partition(costs, most - 1)[most - 1] if costs.size > most else np.inf
        for flat in np.flatnonzero((costs <= within) & np.isfinite(costs)).tolist():
            row, column = divmod(flat, offer.pairs.shape[1])
            found.append((float(costs[flat]), b, row, column))
    return [(cost, offers[b], offers[b].sizes(row, column)) for cost, b, row, column in sorted(found)[:most]]


def cannot_size(body: Body, question: Question, offers: list[ChartOffer]) -> tuple[Notice, ...]:
    """Why a garment that is asked for gets no size."""
    wanted = [g for g in question.garments if any(chart.sizes(g) for chart in question.charts)]
    if not body.observations:
        return (Notice("nothing_known", (), "Nothing is known of him yet: take the first measure below."),)
    if not any(np.isfinite(offer.pairs).any() for offer in offers) and not any(missing(body, each) for each in wanted):
        return (Notice("nothing_on_offer", ("stock",), "No size of what is asked for is in stock or sold so."),)
    return tuple(
        Notice("measure_wanted", (), f"{garment}: take {', '.join(missing(body, garment))} to choose a size.")
        for garment in wanted
        if missing(body, garment)
    )
